#include "io/report/coverage_drawing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "io/plan/svg_text.hpp"
#include "io/report/contours.hpp"
#include "io/report/water_colours.hpp"
#include "io/write/coverage.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::Place;
using solver::ZoneCoverage;

constexpr double edge = 12, most_height = 400, foot = 24;  // px
constexpr double node_distance = 3;                        // px
constexpr double letters = 11;                             // px
constexpr int most_levels = water_colours - 1;             // from none to the most

/// A step of 1, 2 or 5 times a power of ten that goes into `span` at most `most` times.
double round_step(double span, int most) {
    const double rough = span / most, power = std::pow(10, std::floor(std::log10(rough)));
    for (const double factor : {1.0, 2.0, 5.0})
        if (factor * power >= rough) return factor * power;
    return 10 * power;
}

struct Label {
    double x = 0, y = 0;  // px, its middle
    std::string words;
    double half_width() const { return text_width(words) * letters / 2 + 2; }
};

class CoverageDrawing {
  public:
    CoverageDrawing(Html& html, const Speaker& speaker, const ZoneCoverage& zone, std::size_t number)
        : html_(html), speaker_(speaker), zone_(zone), number_(number) {
        const auto& [west, south, east, north] = zone.ground.bounds;
        scale_ = std::min((coverage_width - 2 * edge) / (east - west), most_height / (north - south));
        left_ = (coverage_width - scale_ * (east - west)) / 2;
        west_ = west;
        north_ = north;
        height_ = 2 * edge + scale_ * (north - south) + foot;
        sample();
        find_levels();
        for (const solver::HeadCoverage& head : zone.heads) {
            const auto& numbers = head.thrown.numbers();
            heads_.push_back({x(numbers.x), y(numbers.y)});
        }
    }

    void write() {
        const std::string id = zone_id(speaker_.system, zone_);
        html_.raw(fmt::format("<svg class=\"water\" viewBox=\"0 0 {0} {1:.0f}\" width=\"{0}\" role=\"img\">",
                              coverage_width, height_));
        html_.raw("<title>").text(
            fmt::format("Water on the ground of zone {}: {} on average, {} in its driest quarter", id,
                        speaker_.units.text(zone_.rate, Dimension::rate),
                        speaker_.units.text(zone_.rate * zone_.du_lq, Dimension::rate)));
        html_.raw("</title>\n");
        const std::string outline = ground_path();
        html_.raw(fmt::format("<clipPath id=\"ground-{}\"><path d=\"{}\"/></clipPath>\n", number_, outline));
        html_.raw(fmt::format("<g clip-path=\"url(#ground-{})\">\n", number_));
        html_.raw(fmt::format("<path class=\"w{}\" d=\"{}\"/>\n", colour(0), outline));
        for (std::size_t i = 0; i < rings_.size(); ++i)
            if (const std::string d = path_of(rings_[i]); !d.empty())
                html_.raw(fmt::format("<path class=\"w{} level\" d=\"{}\"/>\n", colour(i + 1), d));
        html_.raw(fmt::format("</g>\n<path class=\"outline\" d=\"{}\"/>\n", outline));
        heads();
        driest();
        for (std::size_t i = 0; i < rings_.size(); ++i) label(i);
        for (const Label& label : labels_)
            html_
                .raw(fmt::format("<text x=\"{}\" y=\"{}\" text-anchor=\"middle\">", px(label.x),
                                 px(label.y + 4)))
                .text(label.words)
                .raw("</text>\n");
        scale_bar();
        html_.raw("</svg>\n");
        legend();
    }

  private:
    double x(double east) const { return left_ + (east - west_) * scale_; }
    double y(double north) const { return edge + (north_ - north) * scale_; }
    double shown(double si) const { return speaker_.units.in_unit(si, Dimension::rate); }

    /// Nodes over all that is drawn, each the mean of four places about it, for the edge of an arc is a
    /// cliff; of those on the ground where there are any, since arcs often end where the ground does.
    void sample() {
        const auto& [west, south, east, north] = zone_.ground.bounds;
        const double spacing = node_distance / scale_;
        grid_.columns = static_cast<int>(std::ceil((east - west) / spacing)) + 3;
        grid_.rows = static_cast<int>(std::ceil((north - south) / spacing)) + 3;
        for (int row = 0; row < grid_.rows; ++row)
            for (int column = 0; column < grid_.columns; ++column) {
                double everywhere = 0, inside = 0;
                int places_inside = 0;
                for (const double dx : {-0.25, 0.25})
                    for (const double dy : {-0.25, 0.25}) {
                        const Place place{west + (column - 1 + dx) * spacing,
                                          north - (row - 1 + dy) * spacing};
                        const double rate = zone_.rate_at(place[0], place[1]);
                        everywhere += rate / 4;
                        if (!solver::holds(zone_.ground, place)) continue;
                        inside += rate;
                        ++places_inside;
                    }
                grid_.values.push_back(shown(places_inside > 0 ? inside / places_inside : everywhere));
                on_ground_.push_back(places_inside > 0);
            }
    }

    /// Round values between which all but the lowest and the highest fiftieth lie: close where water is even,
    /// but no closer than colours can tell.
    void find_levels() {
        std::vector<double> sorted;
        for (std::size_t i = 0; i < grid_.values.size(); ++i)
            if (on_ground_[i] != 0) sorted.push_back(grid_.values[i]);
        if (sorted.empty()) return;
        std::sort(sorted.begin(), sorted.end());
        const double low = sorted[sorted.size() / 50], high = sorted[sorted.size() * 49 / 50];
        if (!(high > 0)) return;
        step_ = std::max(round_step(std::max(high - low, 1e-9 * high), 9), round_step(high, most_levels));
        decimals_ = std::max(0, static_cast<int>(-std::floor(std::log10(step_) + 1e-9)));
        const int first = static_cast<int>(std::floor(low / step_)) + 1;
        lowest_ = (first - 1) * step_;
        for (int k = first; k * step_ <= high * (1 + 1e-9); ++k) {
            levels_.push_back(k * step_);
            std::vector<ContourRing> rings;
            for (const ContourRing& ring : contour_rings(grid_, levels_.back()))
                rings.push_back(thinned(ring, 0.25 / node_distance));
            rings_.push_back(std::move(rings));
        }
    }

    /// Of what is at least the k-th level (0: below the first): by its value, so that none is as pale as no
    /// water.
    int colour(std::size_t k) const {
        if (levels_.empty()) return 0;
        const double low = k == 0 ? lowest_ : levels_[k - 1];
        return static_cast<int>(std::lround(low / levels_.back() * (water_colours - 1)));
    }
    std::string value(double level) const { return fmt::format("{:.{}f}", level, decimals_); }

    std::array<double, 2> on_paper(const std::array<double, 2>& node) const {
        return {left_ + (node[0] - 1) * node_distance, edge + (node[1] - 1) * node_distance};
    }

    std::string path_of(const std::vector<ContourRing>& rings) const {
        std::string d;
        for (const ContourRing& ring : rings) {
            if (ring.size() < 3) continue;
            for (std::size_t i = 0; i < ring.size(); ++i) {
                const auto [px_x, px_y] = on_paper(ring[i]);
                d += fmt::format("{}{:.1f} {:.1f}", i == 0 ? "M" : "L", px_x, px_y);
            }
            d += "Z";
        }
        return d;
    }

    std::string ground_path() const {
        std::string d;
        for (const solver::Ring& ring : zone_.ground.rings) {
            for (std::size_t i = 0; i < ring.size(); ++i)
                d += fmt::format("{}{:.1f} {:.1f}", i == 0 ? "M" : "L", x(ring[i][0]), y(ring[i][1]));
            d += "Z";
        }
        return d;
    }

    void heads() {
        for (std::size_t i = 0; i < heads_.size(); ++i) {
            html_.raw(fmt::format("<circle class=\"head\" cx=\"{}\" cy=\"{}\" r=\"3.5\"><title>",
                                  px(heads_[i][0]), px(heads_[i][1])));
            const auto& head = speaker_.system.heads[at(zone_.heads[i].head)];
            html_.text("head " + speaker_.system.point_id(head.point)).raw("</title></circle>\n");
        }
    }

    void driest() {
        if (zone_.driest.empty()) return;
        const solver::DryPlace& place = zone_.driest.front();
        const double px_x = x(place.x), px_y = y(place.y);
        html_.raw(fmt::format("<path class=\"driest\" d=\"M{0:.1f} {1:.1f}l8 8m0 -8l-8 8\"/>\n", px_x - 4,
                              px_y - 4));
        heads_.push_back({px_x, px_y});  // no label goes over it
        Label label{px_x, px_y - 13, "driest " + speaker_.units.text(place.depth, Dimension::share)};
        if (label.y < 10) label.y = px_y + 13;
        label.x = std::clamp(label.x, label.half_width(), coverage_width - label.half_width());
        labels_.push_back(label);
    }

    /// Room round a place, px: to what is drawn already, and none where the label would leave the ground.
    double room(const Label& label) const {
        const double wide = label.half_width(), tall = letters / 2 + 2;
        for (const double dx : {-wide, wide})
            for (const double dy : {-tall, tall})
                if (!solver::holds(zone_.ground, {west_ + (label.x + dx - left_) / scale_,
                                                  north_ - (label.y + dy - edge) / scale_}))
                    return 0;
        double least = 1e9;
        const auto keep_off = [&](double px_x, double px_y, double half_x, double half_y) {
            const double dx = std::max(std::abs(label.x - px_x) - wide - half_x, 0.0);
            const double dy = std::max(std::abs(label.y - px_y) - tall - half_y, 0.0);
            least = std::min(least, std::hypot(dx, dy));
        };
        for (const auto& [px_x, px_y] : heads_) keep_off(px_x, px_y, 5, 5);
        for (const Label& other : labels_) keep_off(other.x, other.y, other.half_width(), tall);
        return least;
    }

    /// Puts the level's value where its line has the most room.
    void label(std::size_t level) {
        Label best;
        double most = 1;
        for (const ContourRing& ring : rings_[level]) {
            const std::size_t stride = std::max<std::size_t>(ring.size() / 60, 1);
            for (std::size_t i = 0; i < ring.size(); i += stride) {
                const auto [px_x, px_y] = on_paper(ring[i]);
                const Label tried{px_x, px_y, value(levels_[level])};
                const double found = std::min(room(tried), 40.0);
                if (found <= most) continue;
                most = found;
                best = tried;
            }
        }
        if (!best.words.empty()) labels_.push_back(best);
    }

    void scale_bar() {
        const double span = (coverage_width - 2 * edge) / scale_ / 3;
        const double wanted = speaker_.units.in_unit(span, Dimension::length);
        const double length = round_step(wanted / 2.5, 1);
        const double width = length * scale_ * span / wanted;
        const double px_y = height_ - 8;
        html_.raw(fmt::format("<path class=\"bar\" d=\"M{0:.1f} {1:.1f}v4h{2:.1f}v-4\"/>\n", edge, px_y - 4,
                              width));
        html_.raw(fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\">", edge + width + 6, px_y))
            .text(fmt::format("{:.6g} {}", length, speaker_.units.word(Dimension::length)))
            .raw("</text>\n");
    }

    void legend() {
        html_.raw("<ul class=\"water water-legend\">\n");
        for (std::size_t i = 0; i <= levels_.size(); ++i) {
            const std::string words = i == levels_.size() ? value(i == 0 ? 0 : levels_[i - 1]) + " and more"
                                      : i == 0
                                          ? "under " + value(levels_[0])
                                          : fmt::format("{} to {}", value(levels_[i - 1]), value(levels_[i]));
            html_.raw(fmt::format("<li><span class=\"w{}\"></span>", colour(i))).text(words).raw("</li>\n");
        }
        html_.raw("<li>").text(speaker_.units.word(Dimension::rate)).raw("</li>\n</ul>\n");
    }

    Html& html_;
    const Speaker& speaker_;
    const ZoneCoverage& zone_;
    const std::size_t number_;
    double scale_ = 1, left_ = 0, west_ = 0, north_ = 0, height_ = 0;
    NodeGrid grid_;  // row 0 in the north, a node beyond the ground on each side; in the unit shown
    std::vector<char> on_ground_;  // by node
    double step_ = 0, lowest_ = 0;
    int decimals_ = 0;
    std::vector<double> levels_;
    std::vector<std::vector<ContourRing>> rings_;  // by level
    std::vector<std::array<double, 2>> heads_;     // px
    std::vector<Label> labels_;
};

}  // namespace

void draw_coverage(Html& html, const Speaker& speaker, const ZoneCoverage& zone, std::size_t number) {
    CoverageDrawing(html, speaker, zone, number).write();
}

}  // namespace evenhead::io
