// The drawing: ground and grade over the length of the way; a row of labels for losses above; the head's own
// numbers at its right.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "io/report/drawing_words.hpp"
#include "io/report/grade_line.hpp"
#include "io/write/layout.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;

constexpr double row_height = 17;  // px

std::string signed_text(const ShownUnits& units, double change) {
    const std::string text = units.text(std::abs(change), Dimension::pressure);
    return (change < 0 ? "\xE2\x88\x92" : "+") + text;
}

class Drawing {
  public:
    Drawing(Html& html, const Speaker& speaker, const solver::Worksheet& worksheet, const GradeLine& line,
            double width)
        : html_(html),
          units_(speaker.units),
          system_(speaker.system),
          sheet_(worksheet),
          line_(line),
          width_(width) {
        const bool narrow = width < 600;
        rows_ = narrow ? 7 : 6;
        left_ = narrow ? 44 : 60;
        right_ = width - (narrow ? 104 : 132);
        for (const GradePoint& point : line.points) {
            low_ = std::min({low_, shown(point.ground), shown(point.grade)});
            high_ = std::max({high_, shown(point.ground), shown(point.grade)});
            far_ = std::max(far_, shown(point.along));
        }
        if (!std::isnan(line.wanted)) high_ = std::max(high_, shown(line.wanted));
        step_ = round_step(high_ - low_, narrow ? 4 : 5);
        low_ = std::floor(low_ / step_ - 0.2) * step_;
        high_ = std::ceil(high_ / step_) * step_;
        for (const GradeLoss& loss : line.losses) {
            labels_.push_back(shortened(loss.words, narrow ? 18 : 28) + " " +
                              signed_text(units_, loss.change));
            widths_.push_back(width_of(labels_.back()) + 4);
            points_.push_back(x(loss.along));
        }
        placed_ = place_labels(line, widths_, points_, width - 4, rows_);
        int used = 0;
        for (const PlacedLabel& label : placed_) used = std::max(used, label.row + 1);
        top_ = 8 + row_height * used + 10;
        bottom_ = top_ + (narrow ? 190 : 230);
    }

    void write(std::string_view size) {
        const std::string head = system_.point_id(system_.heads[at(sheet_.head)].point);
        html_.raw(fmt::format(
            "<svg class=\"grade {}\" viewBox=\"0 0 {:.0f} {:.0f}\" width=\"{:.0f}\" role=\"img\">", size,
            width_, bottom_ + 40, width_));
        html_.raw("<title>").text(fmt::format("Grade line to head {} in run {}: {} at the nozzle", head,
                                              system_.runs[at(sheet_.run)].id,
                                              units_.text(sheet_.pressure, Dimension::pressure)));
        html_.raw("</title>\n");
        axes();
        areas();
        labels();
        at_head(head);
        html_.raw("</svg>\n");
    }

  private:
    double shown(double metres) const { return units_.in_unit(metres, Dimension::length); }
    double x(double along) const { return left_ + (far_ > 0 ? shown(along) / far_ : 0) * (right_ - left_); }
    double y_of(double value) const { return bottom_ - (value - low_) / (high_ - low_) * (bottom_ - top_); }
    double y(double metres) const { return y_of(shown(metres)); }

    void words(double px, double py, std::string_view anchor, std::string_view kind, std::string_view what) {
        html_.raw(fmt::format("<text class=\"{}\" x=\"{:.1f}\" y=\"{:.1f}\"{}>", kind, px, py,
                              anchor == "start" ? "" : fmt::format(" text-anchor=\"{}\"", anchor)));
        html_.text(what).raw("</text>\n");
    }

    void axes() {
        const std::string unit(units_.word(Dimension::length));
        std::string grid = "<path class=\"grid\" d=\"";
        for (double value = low_; value <= high_ + step_ / 2; value += step_)
            grid += fmt::format("M{:.1f} {:.1f}H{:.1f}", left_, y_of(value), right_);
        html_.raw(grid + "\"/>\n");
        const bool thin = (high_ - low_) / step_ * 15 > bottom_ - top_;
        int number = 0;
        for (double value = low_; value <= high_ + step_ / 2; value += step_)
            if (number++ % (thin ? 2 : 1) == 0)
                words(left_ - 6, y_of(value) + 4, "end", "tick",
                      fmt::format("{:.6g}", value == 0 ? 0 : value));
        words(2, bottom_ + 36, "start", "tick", fmt::format("Height ({})", unit));
        if (!(far_ > 0)) return;
        const double along = round_step(far_, width_ < 600 ? 3 : 8);
        const std::string end = fmt::format("along the way ({})", unit);
        words(right_, bottom_ + 36, "end", "tick", end);
        for (double value = 0; value <= far_ * 1.0001; value += along) {
            const double px = left_ + value / far_ * (right_ - left_);
            words(px, bottom_ + 18, "middle", "tick", fmt::format("{:.6g}", value));
        }
    }

    void areas() {
        std::string ground, grade;
        for (const GradePoint& point : line_.points) {
            ground +=
                fmt::format("{}{:.1f} {:.1f}", ground.empty() ? "M" : "L", x(point.along), y(point.ground));
            grade +=
                fmt::format("{}{:.1f} {:.1f}", grade.empty() ? "M" : "L", x(point.along), y(point.grade));
        }
        std::string back;
        for (auto point = line_.points.rbegin(); point != line_.points.rend(); ++point)
            back += fmt::format("L{:.1f} {:.1f}", x(point->along), y(point->ground));
        html_.raw(fmt::format("<path class=\"pressure\" d=\"{}{}Z\"/>\n", grade, back));
        html_.raw(fmt::format("<path class=\"soil\" d=\"{}L{:.1f} {:.1f}L{:.1f} {:.1f}Z\"/>\n", ground,
                              x_end(), bottom_, left_, bottom_));
        html_.raw(fmt::format("<path class=\"ground\" d=\"{}\"/>\n", ground));
        html_.raw(fmt::format("<path class=\"line\" d=\"{}\"/>\n", grade));
    }
    double x_end() const { return x(line_.points.back().along); }

    void labels() {
        for (const PlacedLabel& label : placed_) {
            const double py = top_ - 10 - row_height * label.row;
            html_.raw(fmt::format("<path class=\"leader\" d=\"M{:.1f} {:.1f}V{:.1f}L{:.1f} {:.1f}\"/>\n",
                                  label.leader, py - 9, std::min(top_, y(line_.losses[label.loss].grade) - 2),
                                  label.point, y(line_.losses[label.loss].grade)));
            const bool on_right = label.leader == label.left;
            words(label.leader + (on_right ? 4 : -4), py, on_right ? "start" : "end", "label",
                  labels_[label.loss]);
        }
    }

    /// What the head gets and what it needs, beside the end of the line.
    void at_head(const std::string& head) {
        const double px = x_end() + 8, grade = y(line_.points.back().grade);
        const bool low = sheet_.margin < 0;
        html_.raw(fmt::format("<path class=\"{}\" d=\"M{:.1f} {:.1f}V{:.1f}\"/>\n",
                              low ? "gets over" : "gets", x_end(), y(line_.points.back().ground), grade));
        const int fits = static_cast<int>((width_ - px) / letter_width);
        double name = grade - 3, needs = not_drawn;
        if (!std::isnan(line_.wanted)) {
            const double wanted = y(line_.wanted);
            html_.raw(fmt::format("<path class=\"wanted\" d=\"M{:.1f} {:.1f}H{:.1f}\"/>\n", x_end() - 26,
                                  wanted, x_end() + 6));
            // Two lines for what it gets, one for what it needs: whichever is higher goes above.
            needs = wanted + 4;
            if (wanted >= grade && needs < grade + 12 + row_height) needs = grade + 12 + row_height;
            if (wanted < grade && name < needs + row_height) name = needs + row_height;
        }
        words(px, name, "start", low ? "label strong over" : "label strong", shortened(head, fits));
        words(px, name + row_height - 2, "start", low ? "label over" : "label",
              "gets " + units_.text(sheet_.pressure, Dimension::pressure));
        if (needs != not_drawn)
            words(px, needs, "start", "label", "needs " + units_.limit(sheet_.wanted, Dimension::pressure));
    }
    static constexpr double not_drawn = -1e9;

    Html& html_;
    const ShownUnits& units_;
    const model::System& system_;
    const solver::Worksheet& sheet_;
    const GradeLine& line_;
    double width_, left_ = 0, right_ = 0, top_ = 0, bottom_ = 0;  // px
    double low_ = 1e300, high_ = -1e300, far_ = 0, step_ = 1;     // in the unit of length shown
    int rows_ = 4;
    std::vector<std::string> labels_;
    std::vector<double> widths_, points_;
    std::vector<PlacedLabel> placed_;
};

}  // namespace

void draw_grade_line(Html& html, const Speaker& speaker, const solver::Worksheet& worksheet,
                     const GradeLine& line, double width, std::string_view size) {
    if (line.points.empty()) return;
    Drawing(html, speaker, worksheet, line, width).write(size);
}

}  // namespace evenhead::io
