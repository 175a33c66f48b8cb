// Elevations through `uphill`: a pipe gives its end `to` the elevation of its end `from` and what it rises.
#include <fmt/format.h>

#include <cmath>
#include <unordered_map>
#include <unordered_set>

#include "io/read/case_reader.hpp"
#include "io/units.hpp"
#include "model/graph.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;
using model::Point;
using model::Quantity;

constexpr double same_elevation = 1e-6;  // m; apart by more is a contradiction, not rounding

class Raising {
  public:
    explicit Raising(CaseReader& reader) : reader_(reader), done_(reader.rises.size(), false) {
        for (std::size_t i = 0; i < reader.rises.size(); ++i) {
            from_[pipe(i).from].push_back(i);
            raised_.insert(pipe(i).to);
        }
    }

    void run() {
        std::vector<Index> starts;
        for (std::size_t i = 0; i < done_.size(); ++i) {
            const Index from = pipe(i).from;
            if (point(from).elevation || !raised_.contains(from)) starts.push_back(from);
        }
        for (const Index start : starts) place(start);
        for (const Index start : starts) raise_from(start);
        for (std::size_t i = 0; i < done_.size(); ++i)
            if (!done_[i]) {
                reader_.error(reader_.rises[i].place, reader_.system.pipe_id(pipe(i)),
                              "uphill goes round in a ring, and no point of it has an elevation",
                              fmt::format("give elev to {}", quoted(point(pipe(i).from).id)));
                return;
            }
    }

  private:
    const model::Pipe& pipe(std::size_t rise) const {
        return at(reader_.system.pipes, reader_.rises[rise].pipe);
    }
    Point& point(Index index) const { return at(reader_.system.points, index); }

    /// Follows the rises from a point whose elevation nothing raises, or is given.
    void raise_from(Index start) {
        std::vector<Index> open{start};
        while (!open.empty()) {
            const Index from = open.back();
            open.pop_back();
            const auto rises = from_.find(from);
            if (rises == from_.end()) continue;
            const Quantity base = *point(from).elevation;
            for (const std::size_t rise : rises->second) {
                if (done_[rise]) continue;
                done_[rise] = true;
                const Quantity& height = reader_.rises[rise].height;
                if (set(rise, {base.value + height.value, std::hypot(base.deviation, height.deviation)}))
                    open.push_back(pipe(rise).to);
            }
        }
    }

    /// Gives a start its elevation where it has none: the ground, else as the layout finds it from the points
    /// around, which is then an assumption.
    void place(Index start) {
        if (point(start).elevation) return;
        if (reader_.system.ground) {
            point(start).elevation = reader_.system.ground;
            return;
        }
        if (!layout_)
            layout_ = model::find_layout(reader_.system);  // of what is given: nothing is raised yet
        point(start).elevation = Quantity{at(layout_->elevation, start), 0};
        std::string why = "neither an elevation nor a ground is given";
        for (const model::Assumption& assumption : layout_->assumptions)
            if (assumption.subject == point(start).id) why = assumption.why;
        reader_.assume(point(start).id, "elevation", point(start).elevation->value, Dimension::length, why);
    }

    /// True where the end had no elevation before.
    bool set(std::size_t rise, const Quantity& elevation) {
        Point& to = point(pipe(rise).to);
        if (!to.elevation) {
            to.elevation = elevation;
            return true;
        }
        if (std::abs(to.elevation->value - elevation.value) > same_elevation) {
            const auto words = [&](double metres) {
                const auto units = reader_.system.units;
                return fmt::format("{:.6g} {}", to_units(metres, Dimension::length, units),
                                   unit_word(Dimension::length, units));
            };
            reader_.error(reader_.rises[rise].place, reader_.system.pipe_id(pipe(rise)),
                          fmt::format("uphill puts {} at {}, but it is at {} already", quoted(to.id),
                                      words(elevation.value), words(to.elevation->value)),
                          "correct one of the two, or leave uphill out");
        }
        return false;
    }

    CaseReader& reader_;
    std::vector<bool> done_;
    std::unordered_map<Index, std::vector<std::size_t>> from_;
    std::unordered_set<Index> raised_;
    std::optional<model::Layout> layout_;
};

}  // namespace

void raise_points(CaseReader& reader) {
    if (reader.graph_sound && !reader.rises.empty()) Raising(reader).run();
}

}  // namespace evenhead::io
