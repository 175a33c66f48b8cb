// Run times against published examples, days, bounds, and nights packed against every timetable there is.
#include "solver/timetable/timetable.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <random>
#include <set>

#include "model/position.hpp"
#include "solver/timetable/timeline_parts.hpp"
#include "solver/timetable/timetable_parts.hpp"
#include "tests/model/build_system.hpp"

namespace evenhead::solver {
namespace {

constexpr double inch = 0.0254, hour = 3600;

// Von Bernuth and Mecham, Defining the Run Time Multiplier: a pattern of overlapped heads with DU of the
// lower quarter 0.772. The lower half follows from it as 0.4 + 0.6 DU (Irrigation Association 2005).
TEST(RunTimes, MultipliersOfAPublishedPattern) {
    EXPECT_NEAR(run_time_multiplier(MultiplierRule::low_half, 0.772, 0), 1.15848, 5e-6);
    EXPECT_NEAR(run_time_multiplier(MultiplierRule::low_quarter, 0.772, 0), 1 / 0.772, 1e-12);
    EXPECT_EQ(run_time_multiplier(MultiplierRule::none, 0.772, 0), 1);
    EXPECT_EQ(run_time_multiplier(MultiplierRule::given, 0.772, 1.2), 1.2);
    EXPECT_EQ(run_time_multiplier(MultiplierRule::low_half, std::nan(""), 0), 1);
}

struct OneZone {
    OneZone() {
        build.valve("v");
        plan.rows.resize(1);
        plan.rows[0].valve = 0;
        plan.window = model::Window{};
        made.zones.resize(1);
        made.zones[0].valve = 0;
    }
    const ZoneTime& minutes() {
        choose_days(plan, made);
        issues.clear();
        find_minutes(build.system, plan, made, issues);
        return made.zones[0];
    }
    test::SystemBuilder build;
    model::WateringPlan plan;
    Timetable made;
    std::vector<model::Issue> issues;
};

// 60 x 15 ft strip with 8 gpm: 96.25 x 8 / 900 = 0.85556 in/h; half an inch then takes 60 x 0.5 / 0.85556 =
// 35.063 min, with the multiplier of the pattern above 40.621 min; both carry the rounding of the rate.
TEST(RunTimes, AStripOfLawn) {
    constexpr double rounding = 41 * 0.00005 / 0.85556;  // min: half of the fourth digit of the rate
    OneZone zone;
    zone.plan.rows[0].need = 0.5 * inch;
    zone.plan.rows[0].days = 1;
    zone.made.zones[0].rate = 96.25 * 8 / 900 * inch / hour;
    EXPECT_NEAR(zone.minutes().exact, 35.063, rounding);
    EXPECT_EQ(zone.minutes().minutes, 36);
    zone.made.zones[0].multiplier = run_time_multiplier(MultiplierRule::low_half, 0.772, 0);
    EXPECT_NEAR(zone.minutes().exact, 40.621, rounding);
    EXPECT_EQ(zone.minutes().minutes, 41);
    zone.plan.rows[0].days = 0b1010101;  // four nights share the week's need
    EXPECT_NEAR(zone.minutes().exact, 40.621 / 4, rounding);
}

// Longest cycle = 60 x storage / (rate - intake): 0.2 in at 1.5 in/h on a soil that takes 0.5 in/h: 12 min,
// on which 0.2 in stand, that take 24 min to sink. 0.5 in take 20 min: two cycles.
TEST(RunTimes, CyclesAndSoaks) {
    OneZone zone;
    zone.plan.rows[0].need = 0.5 * inch;
    zone.plan.rows[0].days = 1;
    zone.plan.rows[0].intake = model::Quantity{0.5 * inch / hour, 0};
    zone.plan.rows[0].storage = model::Quantity{0.2 * inch, 0};
    zone.made.zones[0].rate = 1.5 * inch / hour;
    const ZoneTime& time = zone.minutes();
    EXPECT_TRUE(zone.issues.empty());
    EXPECT_EQ(time.minutes, 20);
    EXPECT_EQ(time.longest_cycle, 12);
    EXPECT_EQ(time.cycles(), 2);
    EXPECT_EQ(time.soak(12), 24);
    EXPECT_EQ(time.soak(8), 16);
    EXPECT_EQ(time.least_span(), 20 + 16);        // eight minutes, their soak, then a full cycle
    zone.made.zones[0].rate = 0.5 * inch / hour;  // the soil takes it as it comes
    EXPECT_EQ(zone.minutes().cycles(), 1);
}

TEST(RunTimes, SoilThatTakesNoWholeMinuteIsRefused) {
    OneZone zone;
    zone.plan.rows[0].need = 0.5 * inch;
    zone.plan.rows[0].intake = model::Quantity{0.1 * inch / hour, 0};
    zone.made.zones[0].rate = 2 * inch / hour;
    zone.minutes();
    ASSERT_EQ(zone.issues.size(), 1U);
    EXPECT_EQ(zone.issues[0].row, "v");
    zone.plan.rows[0].storage = model::Quantity{0.01 * inch, 0};
    zone.minutes();
    ASSERT_EQ(zone.issues.size(), 1U);
}

struct Row {
    const char* group;
    model::Days days;
    int times;
};

Timetable days_of(const std::vector<Row>& rows, model::Days open = model::every_day) {
    model::WateringPlan plan;
    plan.window = model::Window{};
    plan.window->days = open;
    Timetable made;
    for (std::size_t i = 0; i < rows.size(); ++i) {
        model::Watering row;
        row.valve = static_cast<Index>(i);
        row.need = 0.01 * static_cast<double>(i + 1);
        row.group = rows[i].group;
        row.days = rows[i].days;
        row.times = rows[i].times;
        plan.rows.push_back(row);
        ZoneTime zone;
        zone.row = i;
        zone.rate = 1e-6;
        made.zones.push_back(zone);
    }
    choose_days(plan, made);
    return made;
}

int count(model::Days days) {
    int found = 0;
    for (; days != 0; days &= days - 1) ++found;
    return found;
}

TEST(DaysOfNights, NamedDaysStandAndOthersFollowTheWindow) {
    const Timetable made = days_of({{"", 0b0000101, 0}, {"", 0, 0}}, 0b0011111);
    EXPECT_EQ(made.zones[0].days, 0b0000101U);
    EXPECT_EQ(made.zones[1].days, 0b0011111U);
}

TEST(DaysOfNights, GroupsHaveDaysOfTheirOwn) {
    const Timetable made = days_of({{"lawn", 0, 3}, {"lawn", 0, 3}, {"beds", 0, 2}, {"trees", 0, 0}});
    EXPECT_EQ(count(made.zones[0].days), 3);
    EXPECT_EQ(made.zones[0].days, made.zones[1].days);
    EXPECT_EQ(count(made.zones[2].days), 2);
    EXPECT_EQ(made.zones[0].days & made.zones[2].days, 0U);
    EXPECT_EQ(made.zones[3].days & (made.zones[0].days | made.zones[2].days), 0U);
    EXPECT_EQ(count(made.zones[3].days), 2);
    EXPECT_EQ(made.assumptions.size(), 3U);
    const Timetable named = days_of({{"lawn", 0b0010101, 0}, {"beds", 0, 0}});
    EXPECT_EQ(named.zones[1].days, 0b1101010U);
    EXPECT_EQ(days_of({{"lawn", 0, 0}}).zones[0].days, model::every_day);
}

TEST(DaysOfNights, TooFewDaysAreShared) {
    const Timetable made = days_of({{"lawn", 0, 5}, {"beds", 0, 4}});
    EXPECT_EQ(count(made.zones[0].days), 5);
    EXPECT_EQ(count(made.zones[1].days), 4);
    EXPECT_EQ(made.assumptions.back().why, "too few days are left for one of its own");
}

TEST(DaysOfNights, CountedDaysAreSpread) {
    const Timetable made = days_of({{"", 0, 3}, {"", 0, 3}, {"", 0, 1}});
    std::array<int, 7> load{};
    for (const ZoneTime& zone : made.zones) {
        EXPECT_EQ(count(zone.days), zone.row == 2 ? 1 : 3);
        for (std::size_t day = 0; day < 7; ++day) load[day] += static_cast<int>(zone.days >> day & 1U);
    }
    for (const int zones : load) EXPECT_EQ(zones, 1);  // seven zone-nights, one each
}

/// A night of zones whose sets are drawn: allowed is what holds no set of a drawn list.
NightZones drawn_night(unsigned seed, bool soaks) {
    std::mt19937 random(seed);
    NightZones night;
    const int zones = soaks ? 2 + static_cast<int>(random() % 2) : 3 + static_cast<int>(random() % 2);
    for (int z = 0; z < zones; ++z) {
        ZoneTime time;
        time.minutes = 1 + static_cast<int>(random() % 5);
        if (soaks && random() % 3 > 0) {
            time.longest_cycle = 1 + static_cast<int>(random() % 3);
            time.soak_share = 0.3 + 0.4 * static_cast<double>(random() % 5);
        }
        night.zones.push_back(time);
    }
    std::vector<unsigned> forbidden;
    for (int i = 0; i < zones; ++i) {
        const unsigned set = static_cast<unsigned>(random()) % (1U << zones);
        if (count(set) > 1) forbidden.push_back(set);
    }
    for (int size = 1; size <= zones; ++size) {
        for (unsigned set = 1; set < 1U << zones; ++set) {
            bool allowed = count(set) == size;
            for (const unsigned held : forbidden) allowed = allowed && (set & held) != held;
            if (!allowed) continue;
            ValveSet& positions = night.allowed.emplace_back();
            for (int z = 0; z < zones; ++z)
                if ((set >> z & 1U) != 0) positions.push_back(z);
        }
    }
    return night;
}

/// The shortest night, by going through all there is minute by minute: of each zone what is left to run, how
/// long it has run without a pause, and how long it must still soak.
int shortest_night(const NightZones& night) {
    struct Zone {
        int left, running, soaking;
        auto operator<=>(const Zone&) const = default;
    };
    using State = std::vector<Zone>;
    State start;
    for (const ZoneTime& time : night.zones) start.push_back({time.minutes, 0, 0});
    std::set<State> now{start};
    std::set<ValveSet> sets(night.allowed.begin(), night.allowed.end());
    sets.insert(ValveSet{});
    for (int minute = 0; minute < 200; ++minute) {
        std::set<State> next;
        for (const State& state : now) {
            if (std::all_of(state.begin(), state.end(), [](const Zone& zone) { return zone.left == 0; }))
                return minute;
            for (const ValveSet& set : sets) {
                State then = state;
                bool fits = true;
                for (std::size_t z = 0; z < then.size() && fits; ++z) {
                    const ZoneTime& time = night.zones[z];
                    const bool limited = time.longest_cycle > 0 && time.minutes > time.longest_cycle;
                    Zone& zone = then[z];
                    if (std::find(set.begin(), set.end(), static_cast<Index>(z)) != set.end()) {
                        fits = zone.left > 0 && zone.soaking == 0 &&
                               (!limited || zone.running < time.longest_cycle);
                        --zone.left;
                        if (limited) ++zone.running;
                    } else if (zone.running > 0) {
                        zone.soaking = time.soak(zone.running) - 1;
                        zone.running = 0;
                    } else if (zone.soaking > 0) {
                        --zone.soaking;
                    }
                    if (zone.left == 0) zone = {0, 0, 0};
                }
                if (fits) next.insert(then);
            }
        }
        now = std::move(next);
    }
    return -1;
}

void check_night(const NightZones& night, const std::vector<RunPiece>& pieces) {
    const std::set<ValveSet> sets(night.allowed.begin(), night.allowed.end());
    std::vector<int> minutes(night.zones.size(), 0), end(night.zones.size(), -1000000),
        length(night.zones.size(), 0);
    int last = 0;
    for (const RunPiece& piece : pieces) {
        const ZoneTime& time = night.zones[at(piece.zone)];
        minutes[at(piece.zone)] += piece.length;
        if (time.longest_cycle > 0 && time.minutes > time.longest_cycle) {
            EXPECT_LE(piece.length, time.longest_cycle);
            EXPECT_GE(piece.start, end[at(piece.zone)] + time.soak(length[at(piece.zone)]));
        }
        EXPECT_GE(piece.start, end[at(piece.zone)]);
        end[at(piece.zone)] = piece.start + piece.length;
        length[at(piece.zone)] = piece.length;
        last = std::max(last, end[at(piece.zone)]);
    }
    for (std::size_t z = 0; z < night.zones.size(); ++z) EXPECT_EQ(minutes[z], night.zones[z].minutes);
    for (int minute = 0; minute < last; ++minute) {
        ValveSet open;
        for (const RunPiece& piece : pieces)
            if (piece.start <= minute && minute < piece.start + piece.length) open.push_back(piece.zone);
        std::sort(open.begin(), open.end());
        EXPECT_TRUE(open.empty() || sets.count(open) == 1);
    }
}

class PackedNights : public ::testing::TestWithParam<bool> {};

TEST_P(PackedNights, AreAsShortAsAnyAndNoShorterThanTheirBound) {
    int tight = 0;
    for (unsigned seed = 1; seed <= 40; ++seed) {
        const NightZones night = drawn_night(seed, GetParam());
        const int shortest = shortest_night(night);
        const FractionalNight fractional = fractional_night(night, true);
        NightBound bound;
        bound_by_zones(night, bound);
        double priced = 0;
        for (std::size_t z = 0; z < night.zones.size(); ++z)
            priced += fractional.price[z] * night.zones[z].minutes;
        for (const ValveSet& set : night.allowed) {
            double sum = 0;
            for (const Index zone : set) sum += fractional.price[at(zone)];
            EXPECT_LE(sum, 1 + 1e-9);
        }
        const int least =
            std::max({static_cast<int>(std::ceil(priced - 1e-6)), bound.longest_span, bound.apart_minutes});
        EXPECT_LE(least, shortest) << seed;
        tight += least == shortest ? 1 : 0;
        TimetableOptions options;
        options.threads = 1;
        options.evaluations = 4000;
        const std::vector<RunPiece> pieces = pack_night(night, fractional, least, options).pieces;
        check_night(night, pieces);
        int end = 0;
        for (const RunPiece& piece : pieces) end = std::max(end, piece.start + piece.length);
        EXPECT_EQ(end, shortest) << seed;
    }
    EXPECT_GT(tight, 20);
}
INSTANTIATE_TEST_SUITE_P(WithAndWithoutSoaks, PackedNights, ::testing::Bool());

TEST(PackedNight, TheSameOnAnyThreads) {
    const NightZones night = drawn_night(7, true);
    const FractionalNight fractional = fractional_night(night, true);
    TimetableOptions options;
    options.evaluations = 400;
    options.threads = 1;
    const auto one = pack_night(night, fractional, 1, options).pieces;
    options.threads = 3;
    const auto three = pack_night(night, fractional, 1, options).pieces;
    ASSERT_EQ(one.size(), three.size());
    for (std::size_t i = 0; i < one.size(); ++i) {
        EXPECT_EQ(one[i].zone, three[i].zone);
        EXPECT_EQ(one[i].start, three[i].start);
    }
}

}  // namespace
}  // namespace evenhead::solver
