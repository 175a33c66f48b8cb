#include "solver/coverage/cans.hpp"

#include <utility>

namespace evenhead::solver {

std::vector<ZoneCans> compare_cans(const std::vector<ZoneCoverage>& zones,
                                   const std::vector<CatchCan>& cans) {
    std::vector<ZoneCans> compared;
    for (const ZoneCoverage& zone : zones) {
        ZoneCans of;
        of.valve = zone.valve;
        std::vector<Depth> measured, computed;
        for (const CatchCan& can : cans) {
            if (can.valve != zone.valve) continue;
            of.cans.push_back({can, zone.rate_at(can.x, can.y)});
            measured.push_back({can.rate, 1});
            computed.push_back({of.cans.back().computed, 1});
        }
        if (of.cans.empty()) continue;
        of.measured = uniformity(std::move(measured));
        of.computed = uniformity(std::move(computed));
        compared.push_back(std::move(of));
    }
    return compared;
}

}  // namespace evenhead::solver
