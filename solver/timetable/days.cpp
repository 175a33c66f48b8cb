// Which zones water in which night. Days that a row names stand. Zones of a group share their days, and no
// other group waters then as far as there are days enough: a group whose days are only counted, or not given
// at all, gets days that no other group has. Days that are counted are spread over the week, each zone so
// that the fullest night stays as short as can be.
#include <algorithm>
#include <cmath>
#include <map>

#include "model/position.hpp"
#include "solver/timetable/timetable_parts.hpp"

namespace evenhead::solver {
namespace {

std::vector<int> list_of(model::Days days) {
    std::vector<int> list;
    for (int day = 0; day < 7; ++day)
        if ((days >> day & 1U) != 0) list.push_back(day);
    return list;
}

int count_of(model::Days days) {
    return static_cast<int>(list_of(days).size());
}

/// Every way to take `count` of the days as evenly as can be, one for each day to begin with.
std::vector<model::Days> spread(model::Days days, int count) {
    const std::vector<int> list = list_of(days);
    const int all = static_cast<int>(list.size());
    if (count >= all) return {days};
    std::vector<model::Days> ways;
    for (int first = 0; first < all; ++first) {
        model::Days way = 0;
        for (int i = 0; i < count; ++i) way |= 1U << list[at((first + i * all / count) % all)];
        if (std::find(ways.begin(), ways.end(), way) == ways.end()) ways.push_back(way);
    }
    return ways;
}

struct Group {
    model::Days named = 0;
    int times = 0;           ///< the most that a row of it counts
    bool counts_all = true;  ///< every row counts its days
    model::Days days = 0;
};

}  // namespace

void choose_days(const model::WateringPlan& plan, Timetable& made) {
    const model::Days open = plan.window ? plan.window->days : model::every_day;
    std::map<std::string, Group> groups;
    std::vector<std::string> order;
    for (const ZoneTime& zone : made.zones) {
        const model::Watering& row = plan.rows[zone.row];
        if (row.group.empty()) continue;
        const auto [place, first] = groups.try_emplace(row.group);
        if (first) order.push_back(row.group);
        Group& group = place->second;
        group.named |= row.days;
        group.times = std::max(group.times, row.times);
        if (row.times == 0) group.counts_all = false;
    }
    model::Days taken = 0;
    for (auto& [name, group] : groups) taken |= group.days = group.named;

    const auto assume = [&](const std::string& group, model::Days days, const char* why) {
        std::string words;
        static constexpr const char* names[] = {"mon", "tue", "wed", "thu", "fri", "sat", "sun"};
        for (const int day : list_of(days)) words += (words.empty() ? "" : " ") + std::string(names[day]);
        model::Assumption assumption;
        assumption.subject = group;
        assumption.what = "days of the group";
        assumption.words = std::move(words);
        assumption.why = why;
        made.assumptions.push_back(std::move(assumption));
    };
    // Groups that count their days first, then those that take what is left, in turn.
    std::vector<Group*> rest;
    std::vector<std::string> rest_names;
    for (const std::string& name : order) {
        Group& group = groups[name];
        if (group.named != 0) continue;
        if (!group.counts_all) {
            rest.push_back(&group);
            rest_names.push_back(name);
            continue;
        }
        const bool enough = count_of(open & ~taken) >= group.times;
        group.days = spread(enough ? open & ~taken : open, group.times).front();
        taken |= group.days;
        assume(name, group.days,
               enough ? "its days are counted, not named" : "too few days are left for one of its own");
    }
    std::vector<int> left = list_of(open & ~taken);
    const bool enough = left.size() >= rest.size();
    if (!enough) left = list_of(open);
    for (std::size_t i = 0; i < rest.size(); ++i) {
        if (order.size() == 1 || !enough)
            rest[i]->days = open;
        else
            for (std::size_t d = i; d < left.size(); d += rest.size()) rest[i]->days |= 1U << left[d];
        if (order.size() > 1)
            assume(rest_names[i], rest[i]->days,
                   enough ? "it names no days" : "too few days are left for one of its own");
    }

    // Long runs first, so that short ones even the nights out.
    std::vector<std::size_t> by_length(made.zones.size());
    for (std::size_t i = 0; i < by_length.size(); ++i) by_length[i] = i;
    const auto week = [&](std::size_t i) {
        const ZoneTime& zone = made.zones[i];
        return plan.rows[zone.row].need / zone.rate * zone.multiplier;
    };
    std::stable_sort(by_length.begin(), by_length.end(),
                     [&](std::size_t a, std::size_t b) { return week(a) > week(b); });
    std::array<double, 7> load{};
    const auto take = [&](std::size_t i, model::Days days) {
        made.zones[i].days = days;
        for (const int day : list_of(days)) load[at(day)] += week(i) / count_of(days);
    };
    const auto ways_of = [&](std::size_t i) {
        const model::Watering& row = plan.rows[made.zones[i].row];
        if (row.days != 0) return std::vector<model::Days>{row.days};
        const model::Days from = row.group.empty() ? open : groups[row.group].days;
        return row.times > 0 ? spread(from, row.times) : std::vector<model::Days>{from};
    };
    for (const bool choice : {false, true}) {  // those without a choice first
        for (const std::size_t i : by_length) {
            const std::vector<model::Days> ways = ways_of(i);
            if ((ways.size() > 1) != choice) continue;
            const auto fullest = [&](model::Days days) {
                double most = 0;
                for (const int day : list_of(days)) most = std::max(most, load[at(day)]);
                return most;
            };
            take(i, *std::min_element(ways.begin(), ways.end(), [&](model::Days a, model::Days b) {
                     return fullest(a) < fullest(b) * (1 - 1e-12);
                 }));
        }
    }
}

}  // namespace evenhead::solver
