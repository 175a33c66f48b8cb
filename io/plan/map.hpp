// The drawing itself: everything of the system at its place, in px.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "io/plan/labels.hpp"
#include "io/plan/plan.hpp"
#include "io/plan/symbols.hpp"

namespace evenhead::io {

class PlanMap {
  public:
    /// `width` px, marks and throws included; to scale it is at most `tallest` px high.
    /// `narrow`: how much larger marks and letters are to be where the drawing is shrunk to a narrow screen;
    /// 0: it never is.
    PlanMap(const PlanSubject& subject, const PlanOptions& options, double width, double tallest,
            double narrow);

    double height() const { return height_; }
    bool to_scale() const { return placement_.to_scale; }
    double px_per_metre() const { return scale_.x; }
    const std::vector<Index>& along_pipe() const { return placement_.along_pipe; }
    const PipeWidths& widths() const { return widths_; }

    /// Elements within a <g> that is moved to the place of the drawing.
    void write(Output& output) const;

  private:
    Spot px_of(const Spot& spot) const {
        return {(spot.x - left_) * scale_.x + margin_, (top_ - spot.y) * scale_.y + margin_};
    }
    Spot px_of_point(Index point) const { return px_of(placement_.points[at(point)]); }
    std::vector<Spot> pipe_line(Index pipe) const;  ///< px, from `from` to `to`
    void fit(double width, double tallest);
    void measure_room();
    /// What marks are of their full size, by the room that they have: of heads all alike, of supplies,
    /// devices and valves by their point. `larger`: 1, or narrow_ for the narrow screen.
    double head_size(double larger = 1) const;
    double thing_size(Index point, double larger = 1) const;
    /// How a thing grows on a narrow screen: a style, where there may be one.
    std::string growth(Index point) const;
    double radius(Index head) const;  ///< m; NaN: not known

    void write_areas(Output& output) const;
    void write_throws(Output& output) const;
    void write_pipes(Output& output) const;
    void write_points(Output& output) const;
    void write_heads(Output& output) const;
    void write_valves(Output& output) const;
    void write_devices(Output& output) const;
    void write_supplies(Output& output) const;
    void write_critical(Output& output) const;
    /// Places that may be at fault: numbered call-outs, beside what they are about.
    struct CallOut {
        const PlanSuspect* suspect;
        Spot about, at;  ///< px: what it points at, and its middle
    };
    /// `larger` as of head_size; found once for each.
    const std::vector<CallOut>& call_outs(double larger) const;
    std::vector<CallOut> find_call_outs(double larger) const;
    Spot spot_of(const solver::ElementRef& thing) const;  ///< px, its middle
    void write_suspects(Output& output) const;
    void write_labels(Output& output, double larger, std::string_view layer) const;
    static void write_layer(Output& output, const std::vector<Label>& list, double larger,
                            std::string_view layer);
    std::string valve_state(Index valve) const;
    bool pipe_is_dim(Index pipe) const;
    /// Something fails about it, and its state alone does not say so.
    bool head_has_halo(Index head) const;
    std::string_view density() const;  ///< class: how thin lines are
    std::vector<Label> names(double larger) const;
    std::vector<Label> size_labels(double larger) const;
    std::vector<Label> elevation_labels(double larger) const;
    double half_of_head(Index head, double larger) const;  ///< px, as its label sees it
    double half_of_pipe(Index pipe) const;                 ///< px, with what runs along beneath it
    Occupied occupied(double larger) const;

    const PlanSubject& subject_;
    const PlanOptions& options_;
    const RunMarks& marks_;
    Placement placement_;
    PipeWidths widths_;
    std::vector<char> junction_;  ///< by point: a plain point that is more than a bend
    Spot scale_{1, 1};            ///< px per metre, or per step
    double left_ = 0, top_ = 0, margin_ = 0, height_ = 0, width_ = 0;
    double narrow_ = 0;
    mutable std::map<double, std::vector<CallOut>> call_outs_;  ///< by how much larger
    double head_room_ = 0;      ///< px, from a head to the next mark where they are dense
    double head_needs_ = 14;    ///< px, of a mark of full size
    std::vector<double> room_;  ///< by point: px from its mark to the next
};

}  // namespace evenhead::io
