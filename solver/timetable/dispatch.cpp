// Where the prices of the linear programme are right, a night as short as it opens only sets whose prices sum
// to 1. So a zone is worth its price; and the more of what is left of the night its minutes and soaks take,
// the more, or it would come too late.
#include "solver/timetable/dispatch_parts.hpp"

#include <algorithm>
#include <limits>

namespace evenhead::solver {
namespace {

struct Weights {
    double need = 1;            ///< what need counts beside the price
    double going = 1.1;         ///< what a zone counts more that is open already
    int quantum = 3;            ///< minutes after which the set is chosen anew
    std::vector<double> noise;  ///< by zone
};

class Dispatch {
  public:
    Dispatch(const NightZones& night, const FractionalNight& fractional, SetStates& states)
        : night_(night), sets_(fractional.sets), price_(fractional.price), states_(states) {}

    /// The end of the night; its pieces are in `pieces`. Nothing where nothing may be opened any more.
    int run(const Weights& weights, int bound, std::vector<RunPiece>& pieces) {
        pieces.clear();
        zones_.clear();
        for (const ZoneTime& time : night_.zones)
            zones_.push_back(
                {time.minutes, 0, 0, -1, time.longest_cycle > 0 && time.minutes > time.longest_cycle});
        worth_.resize(zones_.size());
        int now = 0;
        for (std::size_t rounds = 0; rounds < 100000; ++rounds) {
            if (std::all_of(zones_.begin(), zones_.end(), [](const Zone& zone) { return zone.left == 0; }))
                return now;
            weigh(weights, bound, now);
            const ValveSet open = best_set();
            int minutes = weights.quantum;
            if (open.empty()) {  // all that is left soaks
                minutes = std::numeric_limits<int>::max();
                for (const Zone& zone : zones_)
                    if (zone.left > 0 && zone.ready > now) minutes = std::min(minutes, zone.ready - now);
                if (minutes == std::numeric_limits<int>::max()) break;
            }
            for (const Index z : open) {
                const Zone& zone = zones_[at(z)];
                minutes = std::min(minutes, zone.left);
                if (zone.limited)
                    minutes = std::min(minutes, night_.zones[at(z)].longest_cycle - zone.running);
            }
            step(open, now, minutes, pieces);
            now += minutes;
        }
        return std::numeric_limits<int>::max();
    }

  private:
    struct Zone {
        int left, running, ready, piece;  ///< minutes; from when on; of pieces, while it runs
        bool limited;                     ///< by cycles
    };

    static bool may_open(const Zone& zone, int now) {
        return zone.left > 0 && (zone.running > 0 || zone.ready <= now);
    }

    void weigh(const Weights& weights, int bound, int now) {
        for (std::size_t z = 0; z < zones_.size(); ++z) {
            const Zone& zone = zones_[z];
            if (!may_open(zone, now)) {
                worth_[z] = -1;
                continue;
            }
            const ZoneTime& time = night_.zones[z];
            const int soaks = zone.limited && zone.left > time.longest_cycle - zone.running
                                  ? time.soak(zone.left - (time.longest_cycle - zone.running))
                                  : 0;
            const double need = static_cast<double>(zone.left + soaks) /
                                static_cast<double>(std::max(bound - now, zone.left));
            worth_[z] = std::max(1e-9, (price_[z] + weights.need * need) * weights.noise[z]);
            if (zone.running > 0) worth_[z] *= zone.limited ? 2 * weights.going : weights.going;
        }
    }

    ValveSet best_set() {
        ValveSet best, open;
        double most = 0;
        for (const ValveSet& set : sets_) {
            double worth = 0;
            for (const Index z : set) worth += std::max(0.0, worth_[at(z)]);
            if (worth <= most * (1 + 1e-12)) continue;
            open.clear();
            int state = SetStates::none_open;
            for (const Index z : set) {
                if (worth_[at(z)] < 0) continue;
                state = states_.with(state, z);
                if (state == SetStates::nowhere) break;
                open.push_back(z);
            }
            if (state == SetStates::nowhere || !states_.allowed(state)) continue;
            most = worth;
            best = open;
        }
        return best;
    }

    void step(const ValveSet& open, int now, int minutes, std::vector<RunPiece>& pieces) {
        for (std::size_t z = 0; z < zones_.size(); ++z) {
            Zone& zone = zones_[z];
            if (!std::binary_search(open.begin(), open.end(), static_cast<Index>(z))) {
                stop(z, now);
                continue;
            }
            if (zone.running == 0) {
                zone.piece = static_cast<int>(pieces.size());
                pieces.push_back({static_cast<int>(z), now, 0});
            }
            pieces[at(zone.piece)].length += minutes;
            zone.running += minutes;
            zone.left -= minutes;
            if (zone.left == 0 || (zone.limited && zone.running == night_.zones[z].longest_cycle))
                stop(z, now + minutes);
        }
    }
    void stop(std::size_t z, int now) {
        Zone& zone = zones_[z];
        if (zone.running == 0) return;
        if (zone.limited) zone.ready = now + night_.zones[z].soak(zone.running);
        zone.running = 0;
    }

    const NightZones& night_;
    const std::vector<ValveSet>& sets_;
    const std::vector<double>& price_;
    SetStates& states_;
    std::vector<Zone> zones_;
    std::vector<double> worth_;
};

}  // namespace

std::vector<Request> dispatched_night(const NightZones& night, const FractionalNight& fractional, int bound,
                                      int tries, std::mt19937& random) {
    SetStates states(night);
    Dispatch dispatch(night, fractional, states);
    const auto share = [&] { return static_cast<double>(random()) / 4294967296.0; };
    std::vector<RunPiece> pieces, best;
    int shortest = std::numeric_limits<int>::max();
    for (int i = 0; i < tries && shortest > bound; ++i) {
        Weights weights;
        static constexpr double needs[] = {0.05, 0.2, 0.5, 1, 2, 5};
        static constexpr int quanta[] = {1, 2, 3, 5, 8, 15};
        weights.need = needs[random() % 6];
        weights.quantum = quanta[random() % 6];
        weights.going = 1 + 0.3 * share();
        const double spread = i < 12 ? 0 : 0.6 * share();
        for (std::size_t z = 0; z < night.zones.size(); ++z)
            weights.noise.push_back(1 + spread * (2 * share() - 1));
        const int end = dispatch.run(weights, bound, pieces);
        if (end >= shortest) continue;
        shortest = end;
        best = pieces;
    }
    std::stable_sort(best.begin(), best.end(),
                     [](const RunPiece& a, const RunPiece& b) { return a.start < b.start; });
    std::vector<Request> order;
    order.reserve(best.size());
    for (const RunPiece& piece : best) order.push_back({piece.zone, piece.length});
    return order;
}

}  // namespace evenhead::solver
