// The sheet: title and verdict, the drawing, scale and north, legend, units and cautions.
#include "io/plan/plan.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <string>
#include <vector>

#include "io/plan/legend.hpp"
#include "io/plan/map.hpp"
#include "io/plan/svg_text.hpp"
#include "io/plan/words.hpp"
#include "io/write/layout.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

constexpr double edge = 20;            // px around the sheet
constexpr double page_on_end = 1.25;   // height over width that a drawing may have
constexpr double narrow_screen = 366;  // px that a phone leaves for the drawing

/// The hatch of what is outside limits: lines on the ground, so that what lies beneath does not shine
/// through.
constexpr std::string_view hatch =
    "<pattern id=\"hatch\" patternUnits=\"userSpaceOnUse\" width=\"5\" height=\"5\" "
    "patternTransform=\"rotate(45)\">"
    "<rect class=\"ground\" width=\"5\" height=\"5\"/><path class=\"hatch-line\" d=\"M1.5 "
    "0V5\"/></pattern>\n";

/// Text set from the top down, wrapped at blanks; without an output it only measures.
class Column {
  public:
    Column(Output* output, double left, double top, double width)
        : output_(output), left_(left), y_(top), width_(width) {}
    void paragraph(std::string_view text, double size, std::string_view classes, bool bold = false) {
        std::string row;
        const auto end_row = [&] {
            if (row.empty()) return;
            y_ += size * 1.25;
            if (output_ != nullptr)
                output_->write(fmt::format("<text class=\"{}\" x=\"{}\" y=\"{}\">{}</text>\n", classes,
                                           px(left_), px(y_ - size * 0.25), escaped(row)));
            row.clear();
        };
        const std::string clean = printable(text);
        for (std::size_t begin = 0; begin < clean.size();) {
            std::size_t blank = clean.find(' ', begin);
            if (blank == std::string::npos) blank = clean.size();
            const std::string word = cut_to_width(clean.substr(begin, blank - begin), width_ / size / 1.14);
            begin = blank + 1;
            if (word.empty()) continue;
            if (!row.empty() && text_width(row + " " + word, bold) * size > width_) end_row();
            row += row.empty() ? word : " " + word;
        }
        end_row();
    }
    void space(double height) { y_ += height; }
    double y() const { return y_; }

  private:
    Output* output_;
    double left_, y_, width_;
};

/// A round length (1, 2 or 5 times a power of ten in the unit shown) of about a fifth of the width: in m.
double bar_length(const ShownUnits& units, double px_per_metre, double width) {
    const double unit = units.in_unit(1, model::Dimension::length);  // per m
    const double most = width / 5 / px_per_metre * unit;
    double round = std::pow(10, std::floor(std::log10(most)));
    for (const double factor : {5.0, 2.0})
        if (factor * round <= most) {
            round *= factor;
            break;
        }
    return round / unit;
}

class Sheet {
  public:
    Sheet(const PlanSubject& subject, const PlanOptions& options)
        : subject_(subject),
          options_(options),
          width_(options.width > 0 ? std::max(options.width, 300.0) : usual_width(subject.system)),
          inner_(width_ - (options.standalone ? 2 * edge : 0)),
          left_(options.standalone ? edge : 0),
          marks_(drawn_marks(subject, options)),
          map_(std::make_unique<PlanMap>(subject, options, inner_, page_on_end * inner_, narrow())),
          legend_(subject, marks_, map_->to_scale()) {
        // A drawing on end has its legend beside it.
        constexpr double least_for_both = 800, beside = 250;
        if (!options.standalone || width_ < least_for_both || map_->height() < 0.95 * inner_) return;
        legend_width_ = beside;
        map_ = std::make_unique<PlanMap>(subject, options, inner_ - beside - edge, 1.1 * inner_, narrow());
    }

    void write(Output& output) const {
        const double height = lay(nullptr);
        output.write(
            fmt::format("<svg xmlns=\"http://www.w3.org/2000/svg\" "
                        "xmlns:xlink=\"http://www.w3.org/1999/xlink\" version=\"1.1\" class=\"plan\" "
                        "width=\"{0}\" height=\"{1}\" "
                        "viewBox=\"0 0 {0} {1}\"{2}>\n<title>{3}</title>\n",
                        px(width_), px(height),
                        options_.standalone ? "" : fmt::format(" style=\"--narrow:{}\"", px(narrow())),
                        escaped("Plan of " + plan_title(subject_))));
        output.write(fmt::format(
            "<desc>{}</desc>\n<defs>\n",
            escaped(plan_verdict(subject_, options_) + ". " + plan_critical(subject_, options_))));
        if (options_.standalone)
            output.write(fmt::format(
                "<style type=\"text/css\">\nsvg.plan {{ max-width: 100%; height: auto }}{}</style>\n",
                plan_style()));
        output.write(hatch);
        output.write(fmt::format("</defs>\n<rect class=\"paper\" width=\"{}\" height=\"{}\"/>\n", px(width_),
                                 px(height)));
        lay(&output);
        output.write("</svg>\n");
    }

  private:
    static double usual_width(const model::System& system) {
        return system.heads.size() < 1000 ? 1000 : system.heads.size() < 8000 ? 1600 : 2400;
    }
    /// Marks and letters are so much larger where the drawing is shrunk to a narrow screen.
    double narrow() const { return options_.standalone ? 0 : std::max(1.0, 0.85 * width_ / narrow_screen); }

    /// Everything from the top down; the height.
    double lay(Output* output) const {
        double y = 0;
        if (options_.standalone) {
            Column head(output, left_, edge, inner_);
            head.paragraph(plan_title(subject_), 19, "title", true);
            head.space(3);
            head.paragraph(plan_verdict(subject_, options_), 14, "verdict", true);
            head.space(2);
            head.paragraph(plan_critical(subject_, options_), 13, "line");
            y = head.y() + 8;
        }
        if (output != nullptr) {
            output->write(fmt::format("<g id=\"map\" transform=\"translate({} {})\">\n", px(left_), px(y)));
            map_->write(*output);
            output->write("</g>\n");
        }
        const double top = y;
        y += map_->height();
        if (!options_.standalone) return scale_for_page(output, y);
        y = strip(output, y);
        if (legend_width_ > 0) {
            if (output != nullptr)
                legend_.write(*output, left_ + inner_ - legend_width_, top + 8, legend_width_);
            y = std::max(y, top + 8 + legend_.height(legend_width_)) + 4;
        } else {
            rule(output, y + 4);
            y += 14;
            if (output != nullptr) legend_.write(*output, left_, y, inner_);
            y += legend_.height(inner_) + 8;
        }
        rule(output, y);
        Column foot(output, left_, y + 10, inner_);
        foot.paragraph(units_text(), 11, "label");
        foot.space(3);
        foot.paragraph(plan_caution(), 11, "label");
        return foot.y() + edge;
    }
    void rule(Output* output, double y) const {
        if (output != nullptr)
            output->write(fmt::format("<path class=\"rule\" d=\"M{} {}H{}\"/>\n", px(left_), px(y),
                                      px(left_ + inner_)));
    }
    /// North and a scale bar, at (left_, y); returns where they end.
    double scale(Output* output, double y, double size, std::string_view classes) const {
        const double metres =
            bar_length(subject_.speaker.units, map_->px_per_metre(), inner_ * std::min(size, 2.0));
        const double length = metres * map_->px_per_metre();
        const std::string words = subject_.speaker.units.limit(metres, model::Dimension::length);
        if (output != nullptr)
            output->write(fmt::format(
                "<g class=\"scale{0}\" transform=\"translate({1} {2}) scale({3})\"><title>{4}</title>"
                "<path class=\"solid\" d=\"M12 0l5.5 15l-5.5-4z\"/><path class=\"measure\" d=\"M12 0l-5.5 "
                "15l5.5-4\"/>"
                "<text class=\"small strong\" x=\"12\" y=\"26\" text-anchor=\"middle\">N</text>"
                "<path class=\"measure\" d=\"M34 18v6H{5}v-6\"/><text class=\"small\" x=\"{6}\" "
                "y=\"25\">{7}</text></g>\n",
                classes, px(left_), px(y), px(size), escaped("North is up; the bar is " + words + " long"),
                px(34 + length / size), px(41 + length / size), escaped(words)));
        return left_ + 41 * size + length + text_width(words) * 10 * size;
    }
    static constexpr double scale_height = 32;  // px

    /// In a page: once for each screen. What there is to remark is the page's to say.
    double scale_for_page(Output* output, double y) const {
        if (!map_->to_scale()) return y;
        scale(output, y, 1, " wide");
        // Wholly below the drawing: on a narrow screen marks and names fill its margin.
        scale(output, y, narrow(), " narrow");
        constexpr double beneath_letters = 28;
        return y + std::max(scale_height, beneath_letters * narrow());
    }

    /// North and a scale bar, or that there is no scale; then what there is to remark.
    double strip(Output* output, double y) const {
        double text_left = left_ + 4;
        double top = y;
        if (map_->to_scale()) {
            text_left = scale(output, y, 1, "") + 24;
            // Beside the bar where there is room, else below it.
            constexpr double least = 260;
            const bool beside = left_ + inner_ - text_left >= least;
            top = y + (beside ? 9 : 34);
            if (!beside) text_left = left_ + 4;
        }
        Column notes(output, text_left, top, left_ + inner_ - text_left);
        for (const std::string& note : plan_notes(subject_, map_->to_scale(), map_->along_pipe()))
            notes.paragraph(note, 11, "label");
        return std::max(notes.y(), y + (map_->to_scale() ? scale_height : 0)) + 6;
    }
    std::string units_text() const {
        using model::Dimension;
        const ShownUnits& units = subject_.speaker.units;
        return fmt::format("Units: pressure {}, flow {}, velocity {}, length and elevation {}, bore {}.",
                           units.word(Dimension::pressure), units.word(Dimension::flow),
                           units.word(Dimension::velocity), units.word(Dimension::length),
                           units.word(Dimension::bore));
    }

    const PlanSubject& subject_;
    const PlanOptions& options_;
    double width_, inner_, left_;
    const RunMarks& marks_;
    std::unique_ptr<PlanMap> map_;
    Legend legend_;
    double legend_width_ = 0;  ///< px, beside the drawing; 0: below it
};

}  // namespace

void write_plan(Output& output, const PlanSubject& subject, const PlanOptions& options) {
    if (options.standalone) output.write("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    Sheet(subject, options).write(output);
}

void write_plan_legend(Output& output, const PlanSubject& subject, double width) {
    const Legend legend(subject, subject.marks.worst(), plan_is_to_scale(subject.system));
    const double height = legend.height(width);
    output.write(
        fmt::format("<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" class=\"plan\" width=\"{0}\" "
                    "height=\"{1}\" viewBox=\"0 0 {0} {1}\">\n<title>Legend of the plan</title>\n",
                    px(width), px(height)));
    legend.write(output, 0, 0, width);
    output.write("</svg>\n");
}

std::vector<std::string> plan_remarks(const PlanSubject& subject) {
    const Placement placement = place(subject.system);
    return plan_notes(subject, placement.to_scale, placement.along_pipe);
}

bool plan_offers_elevations(const model::System& system) {
    constexpr std::size_t most_points = 3000;  // of more, hardly one would find room
    return system.points.size() <= most_points;
}

bool plan_is_to_scale(const model::System& system) {
    return has_coordinates(system);
}

}  // namespace evenhead::io
