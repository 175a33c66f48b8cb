// The shortest night, by search. A timetable is an order of pieces of run time, each put where it fits
// earliest (timeline.hpp): whatever the order, all moments are allowed. Four starts are bettered by simulated
// annealing, each with a share of the evaluations and numbers of its own, so that threads do not matter:
// whole runs and cycles, the longest first; the sets of the linear programme one after the other; and twice a
// night that is made minute by minute (dispatch.cpp). A change moves a piece in the order, changes places of
// two, parts a piece, or hands minutes on to another piece of its zone. Of equally short nights the one with
// fewer pauses counts.
#include <algorithm>
#include <cmath>
#include <limits>
#include <random>

#include "solver/parallel.hpp"
#include "solver/runs/runs.hpp"
#include "solver/timetable/dispatch_parts.hpp"
#include "solver/timetable/timeline_parts.hpp"

namespace evenhead::solver {
namespace {

constexpr double pause_cost = 0.002;  // minutes: a pause never counts as much as one, below 500 of them
constexpr double late_cost = 0.3;     // minutes, for each minute of a zone after the bound
constexpr double too_high_cost = 50;  // minutes, for each minute that is not within limits

using Order = std::vector<Request>;

/// A zone's run in whole cycles: equal ones; or a full cycle last, which takes fewer minutes of soak.
void add_cycles(const ZoneTime& time, int zone, bool full_last, Order& order) {
    const int cycles = time.cycles();
    int left = time.minutes;
    for (int c = cycles; c > 0; --c) {
        int length = (left + c - 1) / c;
        if (full_last && c > 1) length = std::max(1, (left - time.longest_cycle + c - 2) / (c - 1));
        order.push_back({zone, length});
        left -= length;
    }
}

int equal_span(const ZoneTime& time) {
    const int cycles = time.cycles();
    return time.minutes + (cycles - 1) * time.soak((time.minutes + cycles - 1) / cycles);
}

Order whole_runs(const NightZones& night, int bound) {
    std::vector<int> zones;
    for (std::size_t z = 0; z < night.zones.size(); ++z) zones.push_back(static_cast<int>(z));
    std::stable_sort(zones.begin(), zones.end(), [&](int a, int b) {
        return night.zones[at(a)].least_span() > night.zones[at(b)].least_span();
    });
    Order order;
    for (const int zone : zones) {
        const ZoneTime& time = night.zones[at(zone)];
        add_cycles(time, zone, equal_span(time) > bound, order);
    }
    return order;
}

/// The sets with minutes, each beside one that shares many of its zones.
std::vector<std::size_t> chain(const FractionalNight& fractional, double least) {
    std::vector<std::size_t> left, chained;
    for (std::size_t s = 0; s < fractional.sets.size(); ++s)
        if (fractional.minutes[s] > least) left.push_back(s);
    while (!left.empty()) {
        const auto shared = [&](std::size_t s) {
            if (chained.empty()) return fractional.minutes[s];
            std::vector<Index> both;
            const ValveSet &one = fractional.sets[s], &other = fractional.sets[chained.back()];
            std::set_intersection(one.begin(), one.end(), other.begin(), other.end(),
                                  std::back_inserter(both));
            return static_cast<double>(both.size());
        };
        const auto next = std::max_element(left.begin(), left.end(), [&](std::size_t a, std::size_t b) {
            return shared(a) < shared(b) - 1e-9;
        });
        chained.push_back(*next);
        left.erase(next);
    }
    return chained;
}

/// The sets of the linear programme in whole minutes: a piece for each stretch of them that opens a zone.
Order of_sets(const NightZones& night, const FractionalNight& fractional, double least) {
    const std::vector<std::size_t> sets = chain(fractional, least);
    std::vector<int> left;
    for (const ZoneTime& zone : night.zones) left.push_back(zone.minutes);
    Order order;
    const auto opens = [&](std::size_t place, int zone) {
        if (place >= sets.size()) return false;
        const ValveSet& set = fractional.sets[sets[place]];
        return std::binary_search(set.begin(), set.end(), zone);
    };
    const auto add = [&](int zone, int length) {
        const ZoneTime& time = night.zones[at(zone)];
        length = std::min(length, left[at(zone)]);
        left[at(zone)] -= length;
        while (length > 0) {
            const int part = time.longest_cycle > 0 ? std::min(length, time.longest_cycle) : length;
            order.push_back({zone, part});
            length -= part;
        }
    };
    for (std::size_t i = 0; i < sets.size(); ++i) {
        for (const Index zone : fractional.sets[sets[i]]) {
            if (i > 0 && opens(i - 1, zone)) continue;  // part of a stretch that is there already
            double minutes = 0;
            std::size_t last = i;
            for (; last < sets.size() && opens(last, zone); ++last) minutes += fractional.minutes[sets[last]];
            bool more = false;
            for (std::size_t later = last; later < sets.size() && !more; ++later) more = opens(later, zone);
            add(zone, more ? static_cast<int>(std::lround(minutes)) : left[at(zone)]);
        }
    }
    for (std::size_t z = 0; z < night.zones.size(); ++z) add(static_cast<int>(z), left[z]);
    return order;
}

class Annealing {
  public:
    Annealing(const NightZones& night, unsigned seed) : night_(night), timeline_(night), random_(seed) {}

    /// False where the order fits nowhere.
    bool run(Order order, int bound, long evaluations) {
        bound_ = bound;
        Cost now = cost(order);
        best_ = now.plain;
        best_order_ = order;
        const double warm = 0.02 * std::max(10, bound), cold = 0.02;
        for (long e = 1; e < evaluations && best_ > bound; ++e) {
            const double temperature =
                warm * std::pow(cold / warm, static_cast<double>(e) / static_cast<double>(evaluations));
            Order changed = order;
            change(changed);
            const Cost then = cost(changed);
            if (!(then.guide <= now.guide) && !(share() < std::exp((now.guide - then.guide) / temperature)))
                continue;
            now = then;
            order = std::move(changed);
            if (now.plain >= best_) continue;
            best_ = now.plain;
            best_order_ = order;
        }
        return best_ < std::numeric_limits<double>::infinity();
    }
    double best() const { return best_; }
    PackedNight packed() {
        timeline_.fill(best_order_);
        return {timeline_.pieces(), timeline_.minutes_too_high()};
    }

  private:
    double share() { return static_cast<double>(random_()) / 4294967296.0; }
    std::size_t below(std::size_t count) { return random_() % count; }

    struct Cost {
        double plain;  ///< what counts in the end
        double guide;  ///< also how much water is late, so that the way there goes downhill
    };
    Cost cost(const Order& order) {
        if (!timeline_.fill(order)) {
            const double never = std::numeric_limits<double>::infinity();
            return {never, never};
        }
        last_zone_ = timeline_.last_zone();
        const double plain =
            timeline_.end() + pause_cost * timeline_.pauses() + too_high_cost * timeline_.minutes_too_high();
        return {plain, plain + late_cost * timeline_.minutes_after(bound_)};
    }

    void change(Order& order) {
        const double kind = share();
        std::size_t one = below(order.size());
        if (share() < 0.25) {  // what ends last, and before others
            while (order[one].zone != last_zone_) one = (one + 1) % order.size();
            const Request moved = order[one];
            order.erase(order.begin() + static_cast<std::ptrdiff_t>(one));
            order.insert(order.begin() + static_cast<std::ptrdiff_t>(below(one + 1)), moved);
            if (kind < 0.5) return;
            one = below(order.size());
        }
        if (kind < 0.4) {
            const Request moved = order[one];
            order.erase(order.begin() + static_cast<std::ptrdiff_t>(one));
            order.insert(order.begin() + static_cast<std::ptrdiff_t>(below(order.size() + 1)), moved);
        } else if (kind < 0.65) {
            std::swap(order[one], order[below(order.size())]);
        } else if (kind < 0.85) {
            hand_on(order, one);
        } else if (order[one].length > 1 && order.size() < 6 * night_.zones.size() + 200) {
            const int part = 1 + static_cast<int>(below(static_cast<std::size_t>(order[one].length - 1)));
            order[one].length -= part;
            order.insert(order.begin() + static_cast<std::ptrdiff_t>(below(order.size() + 1)),
                         {order[one].zone, part});
        }
    }

    /// Minutes of a piece to another one of its zone.
    void hand_on(Order& order, std::size_t one) {
        std::vector<std::size_t> others;
        for (std::size_t i = 0; i < order.size(); ++i)
            if (i != one && order[i].zone == order[one].zone) others.push_back(i);
        if (others.empty()) return;
        Request& taker = order[others[below(others.size())]];
        int most = order[one].length;
        if (const int longest = night_.zones[at(order[one].zone)].longest_cycle; longest > 0)
            most = std::min(most, longest - taker.length);
        if (most < 1) return;
        const int moved = share() < 0.5 ? most : 1 + static_cast<int>(below(static_cast<std::size_t>(most)));
        taker.length += moved;
        order[one].length -= moved;
        if (order[one].length == 0) order.erase(order.begin() + static_cast<std::ptrdiff_t>(one));
    }

    const NightZones& night_;
    Timeline timeline_;
    std::mt19937 random_;
    int bound_ = 0, last_zone_ = 0;
    double best_ = 0;
    Order best_order_;
};

/// As many as take seconds: one costs about the square of the number of pieces.
long usual_evaluations(const NightZones& night) {
    double pieces = 1;
    for (const ZoneTime& zone : night.zones) pieces += zone.cycles();
    return static_cast<long>(std::clamp(4e7 / (pieces * pieces), 2e4, 4e5));
}

}  // namespace

PackedNight pack_night(const NightZones& night, const FractionalNight& fractional, int bound,
                       const TimetableOptions& options) {
    std::vector<Order> starts{whole_runs(night, bound), of_sets(night, fractional, 0.5), {}, {}};
    std::vector<PackedNight> packed(starts.size());
    std::vector<double> cost(starts.size(), std::numeric_limits<double>::infinity());
    const long evaluations = options.evaluations > 0 ? options.evaluations : usual_evaluations(night);
    const std::size_t threads = at(options.threads > 0 ? options.threads : default_threads());
    in_parallel(threads, starts.size(), [&](std::size_t, std::size_t i) {
        const unsigned seed = options.seed * 8 + static_cast<unsigned>(i);
        const long share = std::max(1L, evaluations / static_cast<long>(starts.size()));
        if (starts[i].empty()) {
            std::mt19937 random(seed);
            const int tries = static_cast<int>(std::clamp(share / 100, 10L, 1000L));
            starts[i] = dispatched_night(night, fractional, bound, tries, random);
        }
        if (starts[i].empty()) return;
        Annealing annealing(night, seed);
        if (!annealing.run(starts[i], bound, share)) return;
        cost[i] = annealing.best();
        packed[i] = annealing.packed();
    });
    const std::size_t best =
        static_cast<std::size_t>(std::min_element(cost.begin(), cost.end()) - cost.begin());
    return packed[best];
}

}  // namespace evenhead::solver
