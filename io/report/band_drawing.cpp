// The drawing of the bands: a row for each head, its name at the left, its chance at the right, pressure
// across.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/report/drawing_words.hpp"
#include "io/report/review_parts.hpp"
#include "io/write/chance.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::ElementKind;
using solver::HeadChance;

constexpr double row_height = 24, bar_height = 10, top = 6;  // px

class Bands {
  public:
    Bands(Html& html, const Speaker& speaker, const std::vector<const HeadChance*>& heads, double width)
        : html_(html), speaker_(speaker), heads_(heads), width_(width), narrow_(width < 600) {
        left_ = narrow_ ? 92 : 150;
        right_ = width - (narrow_ ? 56 : 76);
        for (const HeadChance* of : heads) {
            include(of->band[0]);
            include(of->band[1]);
            include(of->wanted);
            include(of->pressure);
        }
        step_ = round_step(high_ - low_, narrow_ ? 3 : 8);
        low_ = std::floor(low_ / step_ - 0.1) * step_;
        high_ = std::ceil(high_ / step_ + 0.1) * step_;
        bottom_ = top + row_height * static_cast<double>(heads.size());
    }

    void write(std::string_view size) {
        html_.raw(
            fmt::format("<svg class=\"grade bands {}\" viewBox=\"0 0 {:.0f} {:.0f}\" width=\"{:.0f}\" "
                        "role=\"img\">",
                        size, width_, bottom_ + 40, width_));
        html_.raw("<title>").text(
            "Bands of pressure and lower limits of the heads likeliest to get too little");
        html_.raw("</title>\n");
        axis();
        for (std::size_t i = 0; i < heads_.size(); ++i)
            row(*heads_[i], top + row_height * (static_cast<double>(i) + 0.5));
        html_.raw("</svg>\n");
    }

  private:
    void include(double si) {
        if (std::isnan(si)) return;
        const double value = speaker_.units.in_unit(si, Dimension::pressure);
        low_ = std::min(low_, value);
        high_ = std::max(high_, value);
    }
    double x_of(double value) const { return left_ + (value - low_) / (high_ - low_) * (right_ - left_); }
    double x(double si) const { return x_of(speaker_.units.in_unit(si, Dimension::pressure)); }

    void words(double px, double py, std::string_view anchor, std::string_view kind, std::string_view what) {
        html_.raw(fmt::format("<text class=\"{}\" x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"{}\">", kind, px,
                              py, anchor));
        html_.text(what).raw("</text>\n");
    }

    void axis() {
        std::string grid;
        for (int i = 0; low_ + i * step_ <= high_ + step_ / 2; ++i) {
            const double value = low_ + i * step_;
            grid += fmt::format("M{:.1f} {:.1f}V{:.1f}", x_of(value), top, bottom_);
            words(x_of(value), bottom_ + 16, "middle", "tick", fmt::format("{:.6g}", value == 0 ? 0 : value));
        }
        html_.raw("<path class=\"grid\" d=\"" + grid + "\"/>\n");
        words(right_, bottom_ + 34, "end", "tick",
              fmt::format("Pressure at the nozzle ({})", speaker_.units.word(Dimension::pressure)));
    }

    void row(const HeadChance& of, double middle) {
        const std::string head = element_id(speaker_.system, {ElementKind::head, of.head}),
                          run = element_id(speaker_.system, {ElementKind::run, of.run});
        const int fits = static_cast<int>((left_ - 10) / letter_width);
        words(left_ - 8, middle + 4, "end", "label", shortened(head + " (" + run + ")", fits));
        const double low = x(of.band[0]), high = x(of.band[1]);
        const double limit = std::isnan(of.wanted) ? low : std::clamp(x(of.wanted), low, high);
        const auto bar = [&](std::string_view kind, double from, double to) {
            if (to - from < 0.05) return;
            html_.raw(
                fmt::format("<rect class=\"{}\" x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" "
                            "height=\"{:.0f}\"/>\n",
                            kind, from, middle - bar_height / 2, to - from, bar_height));
        };
        bar("short", low, limit);
        bar("enough", limit, high);
        html_.raw(fmt::format("<path class=\"drawn\" d=\"M{0:.1f} {1:.1f}V{2:.1f}\"/>\n", x(of.pressure),
                              middle - 8, middle + 8));
        if (!std::isnan(of.wanted))
            html_.raw(fmt::format("<path class=\"wanted\" d=\"M{0:.1f} {1:.1f}V{2:.1f}\"/>\n", x(of.wanted),
                                  middle - row_height / 2 + 1, middle + row_height / 2 - 1));
        const bool likely = of.below > 0.5;
        words(width_ - 4, middle + 4, "end", likely ? "label over" : "label", share_below(of.below));
    }

    Html& html_;
    const Speaker& speaker_;
    const std::vector<const HeadChance*>& heads_;
    double width_;
    bool narrow_;
    double left_ = 0, right_ = 0, bottom_ = 0;       // px
    double low_ = 1e300, high_ = -1e300, step_ = 1;  // in the unit of pressure shown
};

}  // namespace

void draw_bands(Html& html, const Speaker& speaker, const std::vector<const HeadChance*>& heads, double width,
                std::string_view size) {
    if (!heads.empty()) Bands(html, speaker, heads, width).write(size);
}

}  // namespace evenhead::io
