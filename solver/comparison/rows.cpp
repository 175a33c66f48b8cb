#include <algorithm>
#include <charconv>
#include <functional>
#include <map>
#include <unordered_map>

#include "model/position.hpp"
#include "solver/comparison/rows_parts.hpp"

namespace evenhead::solver {
namespace {

using model::none;
using model::System;

template <class Rows, class Id>
std::vector<Pair> match(const Rows& drawn, const Rows& built, const Id& drawn_id, const Id& built_id) {
    std::unordered_map<std::string, Index> by_id;
    for (std::size_t i = 0; i < built.size(); ++i) by_id.emplace(built_id(built[i]), static_cast<Index>(i));
    std::vector<Pair> pairs;
    std::vector<char> met(built.size(), 0);
    for (std::size_t i = 0; i < drawn.size(); ++i) {
        const auto found = by_id.find(drawn_id(drawn[i]));
        pairs.emplace_back(static_cast<Index>(i), found == by_id.end() ? none : found->second);
        if (found != by_id.end()) met[at(found->second)] = 1;
    }
    for (std::size_t i = 0; i < built.size(); ++i)
        if (met[i] == 0) pairs.emplace_back(none, static_cast<Index>(i));
    return pairs;
}

/// By the id of the row itself, or of its point.
template <class Rows>
std::vector<Pair> by_own_id(const Rows& drawn, const Rows& built) {
    const auto id = [](const auto& row) { return row.id; };
    return match(drawn, built, id, id);
}
template <class Rows>
std::vector<Pair> by_point(const System& drawn, const System& built, const Rows& from, const Rows& to) {
    using Row = typename Rows::value_type;
    const std::function<std::string(const Row&)> one =
                                                     [&](const Row&row) { return drawn.point_id(row.point); },
                                                 other = [&](const Row&row) {
                                                     return built.point_id(row.point);
                                                 };
    return match(from, to, one, other);
}

/// Pipes by their ids; what is left by its ends, whichever way it is written and whatever it is called.
std::vector<Pair> match_pipes(const System& drawn, const System& built) {
    const std::function<std::string(const model::Pipe&)> one = [&](const model::Pipe& pipe) {
        return drawn.pipe_id(pipe);
    };
    const std::function<std::string(const model::Pipe&)> other = [&](const model::Pipe& pipe) {
        return built.pipe_id(pipe);
    };
    const auto ends = [](const System& of, const model::Pipe& pipe) {
        std::pair<std::string, std::string> ids{of.point_id(pipe.from), of.point_id(pipe.to)};
        if (ids.second < ids.first) std::swap(ids.first, ids.second);
        return ids;
    };
    std::vector<Pair> pairs = match(drawn.pipes, built.pipes, one, other);
    // The same name between other points is another pipe.
    std::vector<Pair> apart;
    for (Pair& pair : pairs) {
        if (pair.first == none || pair.second == none) continue;
        if (ends(drawn, drawn.pipes[at(pair.first)]) == ends(built, built.pipes[at(pair.second)])) continue;
        apart.emplace_back(none, pair.second);
        pair.second = none;
    }
    pairs.insert(pairs.end(), apart.begin(), apart.end());
    std::map<std::pair<std::string, std::string>, std::vector<std::size_t>> left;
    for (std::size_t i = 0; i < pairs.size(); ++i)
        if (pairs[i].first == none) left[ends(built, built.pipes[at(pairs[i].second)])].push_back(i);
    for (Pair& pair : pairs) {
        if (pair.first == none || pair.second != none) continue;
        const auto found = left.find(ends(drawn, drawn.pipes[at(pair.first)]));
        if (found == left.end() || found->second.empty()) continue;
        pair.second = pairs[found->second.front()].second;
        pairs[found->second.front()].second = none;
        found->second.erase(found->second.begin());
    }
    std::erase_if(pairs, [](const Pair& pair) { return pair.first == none && pair.second == none; });
    return pairs;
}

}  // namespace

Matched match_rows(const System& drawn, const System& built) {
    Matched matched;
    matched.points = by_own_id(drawn.points, built.points);
    matched.nozzles = by_own_id(drawn.nozzles, built.nozzles);
    matched.runs = by_own_id(drawn.runs, built.runs);
    matched.supplies = by_point(drawn, built, drawn.supplies, built.supplies);
    matched.devices = by_point(drawn, built, drawn.devices, built.devices);
    matched.valves = by_point(drawn, built, drawn.valves, built.valves);
    matched.heads = by_point(drawn, built, drawn.heads, built.heads);
    matched.pipes = match_pipes(drawn, built);
    return matched;
}

std::string short_number(double value) {
    char text[32];
    const auto end = std::to_chars(text, text + sizeof text, value, std::chars_format::general, 6).ptr;
    return {text, end};
}

}  // namespace evenhead::solver
