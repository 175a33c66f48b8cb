// Which way water passes valves and directed devices. Points are reached from the supplies along the pipes,
// the way past a valve counted as longer than any, so that the mainline comes before the zones; a line that
// comes to such a point runs, piece by piece, from the end that is reached first.
#include <algorithm>
#include <cmath>
#include <queue>

#include "model/position.hpp"
#include "model/survey/joining_parts.hpp"

namespace evenhead::model::survey {
namespace {

constexpr double past_a_valve = 1e9;  // m

double plan(const JoinedSurvey& joined, const JoinedPipe& pipe) {
    const SurveyPoint &from = joined.points[at(pipe.from)], &to = joined.points[at(pipe.to)];
    return from.has_place && to.has_place
               ? std::hypot(from.place[0] - to.place[0], from.place[1] - to.place[1])
               : 0;
}

/// By point: the how-manyth it is reached; below 0: never.
std::vector<int> order_of_reach(const JoinedSurvey& joined) {
    std::vector<std::vector<Index>> at_point(joined.points.size());
    for (std::size_t i = 0; i < joined.pipes.size(); ++i)
        for (const Index end : {joined.pipes[i].from, joined.pipes[i].to})
            at_point[at(end)].push_back(static_cast<Index>(i));
    std::vector<double> reached(joined.points.size(), std::numeric_limits<double>::infinity());
    std::vector<int> rank(joined.points.size(), -1);
    using Step = std::pair<double, Index>;
    std::priority_queue<Step, std::vector<Step>, std::greater<>> open;
    for (std::size_t i = 0; i < joined.points.size(); ++i)
        if (joined.points[i].kind == PointKind::supply) open.emplace(0.0, static_cast<Index>(i));
    int next = 0;
    while (!open.empty()) {
        const auto [far, point] = open.top();
        open.pop();
        if (rank[at(point)] >= 0) continue;
        rank[at(point)] = next++;
        const double leave = joined.points[at(point)].kind == PointKind::valve ? past_a_valve : 0;
        for (const Index pipe : at_point[at(point)]) {
            const JoinedPipe& of = joined.pipes[at(pipe)];
            const Index other = of.from == point ? of.to : of.from;
            const double there = far + leave + plan(joined, of);
            if (rank[at(other)] >= 0 || !(there < reached[at(other)])) continue;
            reached[at(other)] = there;
            open.emplace(there, other);
        }
    }
    return rank;
}

/// Turns what runs against the order; the number of pieces.
std::size_t turn(JoinedSurvey& joined, std::size_t begin, std::size_t end, const std::vector<int>& rank) {
    std::size_t turned = 0;
    for (std::size_t i = begin; i < end; ++i) {
        JoinedPipe& pipe = joined.pipes[i];
        const int from = rank[at(pipe.from)], to = rank[at(pipe.to)];
        if (from < 0 || to < 0 || from < to) continue;
        std::swap(pipe.from, pipe.to);
        std::reverse(pipe.bends.begin(), pipe.bends.end());
        pipe.turned = true;
        ++turned;
    }
    return turned;
}

}  // namespace

void direct_pipes(const Survey& survey, JoinedSurvey& joined) {
    const std::vector<int> rank = order_of_reach(joined);
    auto& pipes = joined.pipes;
    for (std::size_t begin = 0, end = 0; begin < pipes.size(); begin = end) {
        bool matters = false;
        for (end = begin; end < pipes.size() && pipes[end].line == pipes[begin].line; ++end)
            for (const Index point : {pipes[end].from, pipes[end].to})
                matters = matters || joined.points[at(point)].directed;
        if (survey.lines[at(pipes[begin].line)].named() || !matters) continue;
        const std::size_t turned = turn(joined, begin, end, rank);
        joined.turned += turned > 0 ? 1 : 0;
        // The pieces of a line follow each other as water does.
        if (turned == end - begin)
            std::reverse(pipes.begin() + static_cast<std::ptrdiff_t>(begin),
                         pipes.begin() + static_cast<std::ptrdiff_t>(end));
    }
    std::vector<std::array<int, 2>> meeting(joined.points.size(), {0, 0});  // pipes that leave, that enter
    for (const JoinedPipe& pipe : pipes) {
        ++meeting[at(pipe.from)][0];
        ++meeting[at(pipe.to)][1];
    }
    for (std::size_t i = 0; i < survey.points.size(); ++i) {
        const auto& [leaving, entering] = meeting[i];
        if (joined.points[i].directed && leaving + entering >= 2 && (leaving == 0 || entering == 0))
            joined.undirected.push_back(static_cast<Index>(i));
    }
}

}  // namespace evenhead::model::survey
