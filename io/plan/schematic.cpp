// A schematic of a system without coordinates: the mainline as a straight spine from the supply, laterals as
// combs square to it, loops as rectangles. The system is taken apart into branches (branches.cpp); each is
// laid from the farthest in (line.cpp, ring.cpp), then all are set in place from the supply out. Long lines
// are turned back where the whole fits its page better so.
#include <algorithm>
#include <cmath>

#include "io/plan/schematic_parts.hpp"

namespace evenhead::io {
namespace {

using namespace schematic;
using model::none;

/// A frame on the page: origin, and quarters that it is turned counterclockwise.
struct Frame {
    Spot origin;
    int turn = 0;
    Spot page(const Spot& own) const {
        switch (turn % 4) {
            case 0:
                return {origin.x + own.x, origin.y + own.y};
            case 1:
                return {origin.x - own.y, origin.y + own.x};
            case 2:
                return {origin.x - own.x, origin.y - own.y};
            default:
                return {origin.x + own.y, origin.y - own.x};
        }
    }
};

class Layer {
  public:
    Layer(const model::System& system, double shape)
        : system_(system), shape_(shape), branches_(take_apart(system)) {}

    Placement place() {
        lay(best_limits());
        Placement placement;
        placement.points.resize(system_.points.size());
        placement.bends.resize(system_.pipes.size());
        double top = 0;
        for (const int root : branches_.roots) {
            // Forward is to the right: the left of a branch is up.
            const Extent& extent = branches_.all[at(root)].extent;
            set(root, {{0, top - extent.left}, 3}, placement);
            top -= extent.left + extent.right + 2 * gap;
        }
        return placement;
    }

  private:
    void lay(const Limits& limits) {
        for (std::size_t i = branches_.all.size(); i-- > 0;) {
            const Branch& branch = branches_.all[i];
            if (branch.absorbed) continue;
            const auto number = static_cast<int>(i);
            if (!branch.ring.empty())
                lay_ring(system_, branches_, number, limits.inner);
            else
                lay_line(branches_, number, branch.anchor == none ? limits.outermost : limits.inner);
        }
    }

    /// How large a step would be on a page of the wanted shape and height 1.
    double size() const {
        double width = 2 * gap, height = 0;
        for (const int root : branches_.roots) {
            const Extent& extent = branches_.all[at(root)].extent;
            width = std::max(width, extent.depth + 2 * gap);
            height += extent.left + extent.right + 2 * gap;
        }
        return std::min(shape_ / width, 1 / height);
    }

    Limits best_limits() {
        Limits best;
        lay(best);
        double most = size();
        double longest = 0;
        for (const int root : branches_.roots)
            longest = std::max(longest, branches_.all[at(root)].extent.depth);
        const double fair = std::sqrt(static_cast<double>(system_.points.size()));
        // A straight line is clearer than a turned one: turn only for what is clearly larger.
        constexpr double worth = 1.25;
        const auto attempt = [&](const Limits& limits, double than) {
            lay(limits);
            if (size() <= than) return false;
            most = size();
            best = limits;
            return true;
        };
        bool any = false;
        for (double limit = longest / 1.5; limit > std::max(8.0, fair / 2); limit /= 1.5)
            any = attempt({limit, no_limit}, any ? most : worth * most) || any;
        any = false;
        const double inner[] = {4 * fair, 2 * fair, fair, fair / 2};
        for (const double limit : inner)
            for (const double outer : {best.outermost, 1.5 * fair, 3 * fair})
                if (limit >= 8) any = attempt({outer, limit}, any ? most : worth * most) || any;
        return best;
    }

    void set(int root, const Frame& first, Placement& placement) const {
        struct Next {
            int branch;
            Frame frame;
            std::optional<Spot> via;
        };
        std::vector<Next> stack{{root, first, {}}};
        while (!stack.empty()) {
            const Next next = stack.back();
            stack.pop_back();
            const Branch& branch = branches_.all[at(next.branch)];
            for (const auto& [point, spot] : branch.points)
                placement.points[at(point)] = next.frame.page(spot);
            for (const Way& way : branch.ways) {
                std::vector<Spot> bends;
                if (way.start == branch.anchor && way.start != none) {
                    const Spot origin = next.frame.page({0, 0});
                    if (next.via) bends.push_back(*next.via);
                    if (!(origin == placement.points[at(way.start)])) bends.push_back(origin);
                }
                for (const Spot& bend : way.bends) bends.push_back(next.frame.page(bend));
                if (system_.pipes[at(way.pipe)].from != way.start) std::reverse(bends.begin(), bends.end());
                placement.bends[at(way.pipe)] = std::move(bends);
            }
            for (const Hung& hung : branch.hung)
                stack.push_back({hung.branch,
                                 {next.frame.page(hung.place), (next.frame.turn + hung.turn) % 4},
                                 hung.via ? std::optional(next.frame.page(*hung.via)) : std::nullopt});
        }
    }

    const model::System& system_;
    double shape_;
    Branches branches_;
};

}  // namespace

Placement place_schematic(const model::System& system, double shape) {
    return Layer(system, shape).place();
}

}  // namespace evenhead::io
