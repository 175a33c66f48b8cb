// Which pipe feeds which: searches from each valve's outlet through its zone, and from the one supply through
// the mainline. What lies on a ring may be fed from either side and is left out.
#include <deque>

#include "model/position.hpp"
#include "solver/sizing/problem.hpp"

namespace evenhead::solver {
namespace {

class FeederSearch {
  public:
    FeederSearch(const model::System& system, const model::Layout& layout)
        : system_(system),
          layout_(layout),
          ends_at_(2 * system.points.size()),
          seen_(2 * system.points.size(), 0),
          feeder_(system.pipes.size(), model::none) {
        for (std::size_t pipe = 0; pipe < system.pipes.size(); ++pipe)
            for (const std::size_t end : {std::size_t{0}, std::size_t{1}})
                ends_at_[node(pipe, end)].push_back({static_cast<Index>(pipe), end});
    }

    std::vector<Index> find() {
        for (const model::Valve& valve : system_.valves)
            if (valve.head == model::none) search(outlet(valve.point));
        if (system_.supplies.size() == 1) search(inlet(system_.supplies.front().point));
        return std::move(feeder_);
    }

  private:
    struct End {
        Index pipe;
        std::size_t end;
    };
    struct Visit {
        std::size_t node;
        Index before;  // the pipe by which water came
    };
    static std::size_t inlet(Index point) { return 2 * at(point); }
    static std::size_t outlet(Index point) { return 2 * at(point) + 1; }
    std::size_t node(std::size_t pipe, std::size_t end) const {
        const Index point = end == 0 ? system_.pipes[pipe].from : system_.pipes[pipe].to;
        return layout_.end_on_outlet[pipe][end] ? outlet(point) : inlet(point);
    }

    void search(std::size_t start) {
        if (seen_[start]) return;
        std::deque<Visit> waiting{{start, model::none}};
        seen_[start] = 1;
        const auto go = [&](std::size_t to, Index before) {
            if (seen_[to]) return;
            seen_[to] = 1;
            waiting.push_back({to, before});
        };
        while (!waiting.empty()) {
            const Visit here = waiting.front();
            waiting.pop_front();
            const model::Point& point = system_.points[here.node / 2];
            if (point.kind == model::PointKind::device && here.node % 2 == 0) go(here.node + 1, here.before);
            for (const End& end : ends_at_[here.node]) {
                const std::size_t other = node(at(end.pipe), 1 - end.end);
                if (seen_[other]) continue;
                if (here.before != model::none && !layout_.pipe_in_loop[at(end.pipe)] &&
                    !layout_.pipe_in_loop[at(here.before)])
                    feeder_[at(end.pipe)] = here.before;
                go(other, end.pipe);
            }
        }
    }

    const model::System& system_;
    const model::Layout& layout_;
    std::vector<std::vector<End>> ends_at_;  // by node
    std::vector<char> seen_;
    std::vector<Index> feeder_;
};

}  // namespace

std::vector<Index> find_feeders(const model::System& system, const model::Layout& layout) {
    return FeederSearch(system, layout).find();
}

}  // namespace evenhead::solver
