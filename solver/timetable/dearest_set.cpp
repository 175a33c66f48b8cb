// The dearest set by branch and bound. Zones are taken in or left out, the dearest for their least draw
// first. What is still to come is worth no more than parts of zones, in this order, as far as there is room
// everywhere: places hold each other or nothing in common, and there that order is the best. A set that is
// taken in is balanced and judged; where it is blocked by what more open valves only make worse, nothing that
// holds it is looked at.
//
// What is proven is that no set is worth more than a target; targets are tried from above, so that there is
// an answer whenever the steps run out.
#include "solver/timetable/dearest_set_parts.hpp"

#include <algorithm>

#include "model/position.hpp"

namespace evenhead::solver {
namespace {

constexpr double targets[] = {2,    1.5,   1.3,  1.2,   1.15, 1.1,   1.08, 1.06,  1.05,
                              1.04, 1.035, 1.03, 1.025, 1.02, 1.015, 1.01, 1.006, 1.003};
constexpr double lowest = targets[std::size(targets) - 1];
constexpr long most_steps = 1'500'000;  // for each target
constexpr std::size_t enough = 60;      // better sets
constexpr double full = 0.6;            // of the capacity: below, sets are not worth judging

class Search {
  public:
    Search(const Rooms& rooms, const std::vector<double>& price,
           const std::function<Verdict(const ValveSet&)>& ask)
        : ask_(ask), places_(rooms.places) {
        for (std::size_t z = 0; z < price.size(); ++z)
            if (price[z] > 0) zones_.push_back({rooms.zones[z], price[z], static_cast<Index>(z)});
        std::stable_sort(zones_.begin(), zones_.end(), [](const Zone& a, const Zone& b) {
            return a.price * b.room.least > b.price * a.room.least;
        });
        widest_.assign(zones_.size() + 1, 0);
        for (std::size_t z = zones_.size(); z-- > 0;)
            widest_[z] = std::max(widest_[z + 1], zones_[z].room.capacity);
    }

    Dearest run(bool look) {
        Dearest found;
        found.most = std::max(1.0, with_parts(0, widest_[0]));
        if (look) {
            prove(lowest);
        } else {
            for (const double target : targets) {
                if (target >= found.most) continue;
                if (!prove(target)) break;
                found.most = std::min(found.most, target_);
                if (target_ > target) break;
            }
        }
        found.better = std::move(better_);
        return found;
    }

  private:
    struct Zone {
        ZoneRoom room;
        double price;
        Index position;
    };

    /// True where no set is worth more than `target_`, which may have to rise for it.
    bool prove(double target) {
        target_ = target;
        steps_ = 0;
        set_.clear();
        search(0, 0, infinity, 0);
        return steps_ <= most_steps && better_.empty();
    }

    /// What parts of the zones from `next` on are worth in so much room.
    double with_parts(std::size_t next, double room) {
        left_ = places_;
        double sum = 0;
        for (; next < zones_.size() && room > 0; ++next) {
            const Zone& zone = zones_[next];
            double draw = std::min(zone.room.least, room);
            for (const int place : zone.room.behind) draw = std::min(draw, std::max(0.0, left_[at(place)]));
            for (const int place : zone.room.behind) left_[at(place)] -= draw;
            room -= draw;
            sum += zone.room.least > 0 ? zone.price * draw / zone.room.least : zone.price;
        }
        return sum;
    }

    /// `capacity`: of the neediest zone that is in.
    void search(std::size_t next, double drawn, double capacity, double worth) {
        if (next == zones_.size() || better_.size() >= enough || ++steps_ > most_steps) return;
        if (worth + with_parts(next, std::min(capacity, widest_[next]) - drawn) <= target_) return;
        take_in(next, drawn, capacity, worth);
        search(next + 1, drawn, capacity, worth);
    }

    void take_in(std::size_t next, double drawn, double capacity, double worth) {
        const Zone& zone = zones_[next];
        const double draws = drawn + zone.room.least, all = worth + zone.price;
        const double tighter = std::min(capacity, zone.room.capacity);
        if (draws > tighter) return;
        for (const int place : zone.room.behind)
            if (zone.room.least > places_[at(place)]) return;
        const ValveSet before = set_;
        set_.insert(std::lower_bound(set_.begin(), set_.end(), zone.position), zone.position);
        if (draws > full * tighter || all > target_) {
            const Verdict verdict = ask_(set_);
            if (verdict == Verdict::never) {
                set_ = before;
                return;
            }
            if (all > target_) {
                if (verdict == Verdict::allowed)
                    better_.push_back(set_);
                else
                    target_ = all;
            }
        }
        for (const int place : zone.room.behind) places_[at(place)] -= zone.room.least;
        search(next + 1, draws, tighter, all);
        for (const int place : zone.room.behind) places_[at(place)] += zone.room.least;
        set_ = before;
    }

    const std::function<Verdict(const ValveSet&)>& ask_;
    std::vector<Zone> zones_;
    std::vector<double> places_, left_, widest_;
    std::vector<ValveSet> better_;
    ValveSet set_;  ///< that is in
    double target_ = 1;
    long steps_ = 0;
};

}  // namespace

Dearest find_dearest(const Rooms& rooms, const std::vector<double>& price,
                     const std::function<Verdict(const ValveSet&)>& ask, bool look) {
    return Search(rooms, price, ask).run(look);
}

}  // namespace evenhead::solver
