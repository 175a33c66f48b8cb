#include "solver/sizing/components.hpp"

#include <algorithm>
#include <map>

#include <boost/pending/disjoint_sets.hpp>

#include "model/position.hpp"

namespace evenhead::solver {
namespace {

/// By open pipe: the runs in which water may pass it. A condition may close pipes, never open them.
std::vector<std::vector<Index>> runs_of_open(const SizingProblem& whole) {
    std::vector<std::vector<Index>> runs(whole.open.size());
    for (std::size_t o = 0; o < whole.open.size(); ++o) {
        for (const Index run : whole.runs)
            if (concerns(whole.system, whole.layout, run, whole.open[o].pipe)) runs[o].push_back(run);
    }
    return runs;
}

}  // namespace

std::vector<SizingComponent> split_problem(const SizingProblem& whole) {
    const std::vector<std::vector<Index>> runs = runs_of_open(whole);
    // Open pipes are joined through the runs that they share, and a pipe to the one that it may not exceed.
    const std::size_t opens = whole.open.size();
    boost::disjoint_sets_with_storage<> sets(opens + whole.system.runs.size());
    for (std::size_t o = 0; o < opens; ++o) {
        for (const Index run : runs[o]) sets.union_set(o, opens + at(run));
        const Index feeder = whole.open[o].feeder;
        if (feeder != model::none && whole.open_of_pipe[at(feeder)] >= 0)
            sets.union_set(o, at(whole.open_of_pipe[at(feeder)]));
    }
    std::map<std::size_t, std::size_t> position;
    std::vector<SizingComponent> parts;
    for (std::size_t o = 0; o < opens; ++o) {
        const auto [seen, added] = position.try_emplace(sets.find_set(o), parts.size());
        if (added) parts.emplace_back();
        parts[seen->second].open.push_back(o);
    }
    for (SizingComponent& part : parts) {
        for (const std::size_t o : part.open)
            part.runs.insert(part.runs.end(), runs[o].begin(), runs[o].end());
        std::sort(part.runs.begin(), part.runs.end());
        part.runs.erase(std::unique(part.runs.begin(), part.runs.end()), part.runs.end());
    }
    return parts;
}

SizingProblem problem_of(const SizingProblem& whole, const SizingComponent& part) {
    SizingProblem own = whole;
    own.open.clear();
    own.open_of_pipe.assign(whole.open_of_pipe.size(), -1);
    own.runs = part.runs;
    for (const std::size_t o : part.open) {
        own.open_of_pipe[at(whole.open[o].pipe)] = static_cast<int>(own.open.size());
        own.open.push_back(whole.open[o]);
    }
    return own;
}

}  // namespace evenhead::solver
