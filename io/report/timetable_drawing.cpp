#include "io/report/timetable_drawing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/week.hpp"
#include "io/write/layout.hpp"
#include "io/write/sentences.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::Night;

constexpr double row_height = 20, chart_height = 110, chart_head = 26, chart_foot = 34;  // px
constexpr double course_height = chart_head + chart_height + chart_foot;
constexpr double thinnest = 1.5;   // px, of a bar
constexpr double character = 7.4;  // no letter of a usual sans at 12 px is wider, on average

std::string shortened(std::string text, int most) {
    if (display_width(text) <= most) return text;
    while (!text.empty() && display_width(text) >= most) {
        while (text.size() > 1 && (static_cast<unsigned char>(text.back()) & 0xC0U) == 0x80U) text.pop_back();
        text.pop_back();
    }
    return text + "\xE2\x80\xA6";
}

/// A number of 1, 2 or 5 times a power of ten, not below `value`.
double round_up(double value) {
    const double power = std::pow(10, std::floor(std::log10(std::max(value, 1e-9))));
    for (const double factor : {1.0, 2.0, 5.0})
        if (factor * power >= value * (1 - 1e-9)) return factor * power;
    return 10 * power;
}

class NightDrawing {
  public:
    NightDrawing(Html& html, const TimetableSubject& subject, const Night& night, double width)
        : html_(html),
          subject_(subject),
          night_(night),
          units_(ShownUnits::of_text(subject.system)),
          narrow_(width < 600),
          width_(width),
          left_(narrow_ ? 84 : 130),
          right_(width - 18) {
        for (std::size_t s = 0; s < subject.system.supplies.size(); ++s)
            courses_.push_back({"From " + subject.system.point_id(subject.system.supplies[s].point), {}});
        for (const model::Device& device : subject.system.devices)
            if (device.type == model::DeviceType::pump)
                courses_.push_back({"Through pump " + subject.system.point_id(device.point), {}});
        for (const solver::TimetableRun& run : night.runs) {
            std::size_t course = 0;
            for (const auto* flows : {&run.supply_flow, &run.pump_flow})
                for (const double flow : *flows)
                    courses_[course++].flows.push_back(units_.in_unit(flow, Dimension::flow));
        }
    }

    void write(std::string_view size) {
        const double bars = 10 + static_cast<double>(courses_.size()) * course_height;
        const double height = bars + 26 + row_height * static_cast<double>(night_.zones.size()) + 26;
        html_.raw(fmt::format(
            "<svg class=\"night {}\" viewBox=\"0 0 {:.0f} {:.0f}\" width=\"{:.0f}\" role=\"img\">", size,
            width_, height, width_));
        html_.raw("<title>").text(fmt::format("Flow over time and open valves, {} to {}, night of {}",
                                              clock_words(night_.start), clock_words(night_.end),
                                              days_words(night_.days)));
        html_.raw("</title>\n");
        hours(10 + chart_head, bars - chart_foot);
        hours(bars + 14, height - 22);
        double top = 10;
        for (const Course& course : courses_) {
            chart(course, top);
            top += course_height;
        }
        openings(bars);
        for (const double foot : {bars - 15, height - 4})
            for (int minute = first_hour(); minute <= night_.end; minute += step())
                words(x(minute), foot, "middle", "tick", clock_words(minute));
        html_.raw("</svg>\n");
    }

  private:
    struct Course {
        std::string name;
        std::vector<double> flows;  ///< by run, in the unit shown
    };

    double x(int minute) const {
        const double span = std::max(1, night_.end - night_.start);
        return left_ + (minute - night_.start) / span * (right_ - left_);
    }
    /// Minutes between the hours that are written.
    int step() const {
        const int most = narrow_ ? 4 : 12;
        for (const int minutes : {10, 20, 30, 60, 120, 180, 240})
            if ((night_.end - night_.start) / minutes <= most) return minutes;
        return 360;
    }
    int first_hour() const { return (night_.start + step() - 1) / step() * step(); }

    void words(double px, double py, std::string_view anchor, std::string_view kind, std::string_view what) {
        html_.raw(fmt::format("<text class=\"{}\" x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"{}\">", kind, px,
                              py, anchor));
        html_.text(what).raw("</text>\n");
    }

    void hours(double top, double bottom) {
        std::string grid;
        for (int minute = first_hour(); minute <= night_.end; minute += step())
            grid += fmt::format("M{:.1f} {:.1f}V{:.1f}", x(minute), top, bottom);
        html_.raw("<path class=\"grid\" d=\"" + grid + "\"/>\n");
    }

    void chart(const Course& course, double top) {
        const double most = round_up(*std::max_element(course.flows.begin(), course.flows.end())),
                     bottom = top + chart_head + chart_height;
        const auto y = [&](double flow) { return bottom - flow / most * chart_height; };
        words(
            4, top + 8, "start", "name",
            fmt::format("{} ({})", shortened(course.name, narrow_ ? 34 : 90), units_.word(Dimension::flow)));
        std::string grid;
        for (const double part : {0.0, 0.5, 1.0}) {
            grid += fmt::format("M{:.1f} {:.1f}H{:.1f}", left_, y(part * most), right_);
            words(left_ - 6, y(part * most) + 4, "end", "tick", fmt::format("{:.6g}", part * most));
        }
        html_.raw("<path class=\"grid\" d=\"" + grid + "\"/>\n");
        // Between runs, where everything soaks, nothing flows.
        std::string line = fmt::format("M{:.1f} {:.1f}", x(night_.start), bottom);
        int until = night_.start;
        for (std::size_t i = 0; i < night_.runs.size(); ++i) {
            const solver::TimetableRun& run = night_.runs[i];
            if (run.start > until) line += fmt::format("V{:.1f}H{:.1f}", bottom, x(run.start));
            line += fmt::format("V{:.1f}H{:.1f}", y(course.flows[i]), x(run.end));
            until = run.end;
        }
        line += fmt::format("V{:.1f}", bottom);
        html_.raw("<path class=\"water\" d=\"" + line + "Z\"/>\n");
        html_.raw("<path class=\"line\" d=\"" + line + "\"/>\n");
    }

    void openings(double top) {
        words(4, top + 8, "start", "name", "Open valves");
        for (std::size_t row = 0; row < night_.zones.size(); ++row) {
            const double middle = top + 26 + row_height * static_cast<double>(row);
            const std::string id =
                element_id(subject_.system,
                           {solver::ElementKind::valve, subject_.timetable.zones[night_.zones[row]].valve});
            words(left_ - 6, middle + 4, "end", "label",
                  shortened(id, static_cast<int>((left_ - 10) / character)));
            html_.raw(fmt::format("<path class=\"grid\" d=\"M{:.1f} {:.1f}H{:.1f}\"/>\n", left_,
                                  middle + row_height / 2, right_));
            std::string bars;
            for (const solver::Opening& opening : night_.openings)
                if (opening.zone == night_.zones[row])
                    bars += fmt::format("M{:.1f} {:.1f}H{:.1f}V{:.1f}H{:.1f}Z", x(opening.start), middle - 6,
                                        std::max(x(opening.end), x(opening.start) + thinnest), middle + 6,
                                        x(opening.start));
            html_.raw("<path class=\"open\" d=\"" + bars + "\"/>\n");
        }
    }

    Html& html_;
    const TimetableSubject& subject_;
    const Night& night_;
    const ShownUnits units_;
    bool narrow_;
    double width_, left_, right_;
    std::vector<Course> courses_;
};

}  // namespace

void draw_night(Html& html, const TimetableSubject& subject, const Night& night, double width,
                std::string_view size) {
    if (night.runs.empty()) return;
    NightDrawing(html, subject, night, width).write(size);
}

}  // namespace evenhead::io
