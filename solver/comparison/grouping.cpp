// Which differences between two systems belong together, and are made together.
#include <algorithm>
#include <map>
#include <numeric>
#include <unordered_map>

#include "model/position.hpp"
#include "solver/comparison/rows_parts.hpp"

namespace evenhead::solver {
namespace {

using model::none;
using model::System;
using Table = ChangeSubject::Table;

/// Sets of changes that are made together.
class Grouping {
  public:
    Grouping(const System& drawn, const System& built, std::vector<Change>& changes)
        : drawn_(drawn), built_(built), changes_(changes), leader_(changes.size()) {
        std::iota(leader_.begin(), leader_.end(), std::size_t{0});
    }

    void group() {
        for (const bool of_built : {false, true}) note_points(of_built ? built_ : drawn_, of_built);
        join_at_own_points();
        join_ways();
        join_nozzles();
        join_runs();
        std::map<std::size_t, std::size_t> number;
        for (std::size_t i = 0; i < changes_.size(); ++i)
            changes_[i].group = number.try_emplace(leader(i), number.size()).first->second;
    }

  private:
    std::size_t leader(std::size_t i) {
        while (leader_[i] != i) i = leader_[i] = leader_[leader_[i]];
        return i;
    }
    void join(std::size_t one, std::size_t other) { leader_[leader(other)] = leader(one); }

    static bool structural(const Change& change) {
        return change.kind == ChangeKind::added || change.kind == ChangeKind::dropped;
    }
    void note_points(const System& system, bool of_built) {
        for (const model::Point& point : system.points)
            (of_built ? in_built_ : in_drawn_)[point.id] = point.kind;
    }
    /// There in one of the two only, or not as the same kind of thing.
    bool own(const std::string& id) const {
        const auto one = in_drawn_.find(id), other = in_built_.find(id);
        return one == in_drawn_.end() || other == in_built_.end() || one->second != other->second;
    }

    std::vector<std::string> points_of(const Change& change) const {
        const bool built = change.kind == ChangeKind::added;
        const System& of = built ? built_ : drawn_;
        const Index row = built ? change.subject.built : change.subject.drawn;
        switch (change.subject.table) {
            case Table::supply:
                return {of.point_id(of.supplies[at(row)].point)};
            case Table::device:
                return {of.point_id(of.devices[at(row)].point)};
            case Table::valve:
                return {of.point_id(of.valves[at(row)].point)};
            case Table::head:
                return {of.point_id(of.heads[at(row)].point)};
            case Table::pipe:
                return {of.point_id(of.pipes[at(row)].from), of.point_id(of.pipes[at(row)].to)};
            default:
                return {};
        }
    }

    void join_at_own_points() {
        std::map<std::string, std::size_t> first;
        for (std::size_t i = 0; i < changes_.size(); ++i) {
            if (!structural(changes_[i])) continue;
            for (const std::string& id : points_of(changes_[i]))
                if (own(id)) join(first.try_emplace(id, i).first->second, i);
        }
    }

    /// What is dropped between two points and what is added between the same: one way for another.
    void join_ways() {
        std::map<std::size_t, std::vector<std::string>> borders[2];
        for (std::size_t i = 0; i < changes_.size(); ++i) {
            if (!structural(changes_[i])) continue;
            auto& border = borders[changes_[i].kind == ChangeKind::added ? 1 : 0][leader(i)];
            for (const std::string& id : points_of(changes_[i]))
                if (!own(id) && std::find(border.begin(), border.end(), id) == border.end())
                    border.push_back(id);
        }
        for (const auto& [dropped, from] : borders[0])
            for (const auto& border : borders[1]) {
                const std::vector<std::string>& to = border.second;
                const auto shared = std::count_if(from.begin(), from.end(), [&](const std::string& id) {
                    return std::find(to.begin(), to.end(), id) != to.end();
                });
                if (shared >= 2) join(dropped, border.first);
            }
    }

    /// A head with a nozzle that only the built system has brings it along.
    void join_nozzles() {
        std::map<std::string, std::size_t> added;
        for (std::size_t i = 0; i < changes_.size(); ++i)
            if (changes_[i].kind == ChangeKind::added && changes_[i].subject.table == Table::nozzle)
                added[built_.nozzles[at(changes_[i].subject.built)].id] = i;
        for (std::size_t i = 0; i < changes_.size(); ++i) {
            if (changes_[i].kind != ChangeKind::renozzled) continue;
            const auto found = added.find(changes_[i].to.words);
            if (found != added.end()) join(i, found->second);
        }
    }

    /// A run that opens a valve that only the built system has brings it along.
    void join_runs() {
        std::map<Index, std::size_t> added;  // by valve
        for (std::size_t i = 0; i < changes_.size(); ++i)
            if (changes_[i].kind == ChangeKind::added && changes_[i].subject.table == Table::valve)
                added[changes_[i].subject.built] = i;
        for (std::size_t i = 0; i < changes_.size(); ++i) {
            const ChangeSubject& subject = changes_[i].subject;
            if (subject.table != Table::run || subject.built == none) continue;
            for (const Index valve : built_.runs[at(subject.built)].valves)
                if (const auto found = added.find(valve); found != added.end()) join(i, found->second);
        }
    }

    const System &drawn_, &built_;
    std::vector<Change>& changes_;
    std::vector<std::size_t> leader_;
    std::unordered_map<std::string, model::PointKind> in_drawn_, in_built_;
};

}  // namespace

void group_changes(const System& drawn, const System& built, std::vector<Change>& changes) {
    Grouping(drawn, built, changes).group();
}

}  // namespace evenhead::solver
