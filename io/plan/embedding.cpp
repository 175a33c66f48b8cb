#include "io/plan/embedding.hpp"

#include <algorithm>
#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/boyer_myrvold_planar_test.hpp>
#include <functional>

#include "model/position.hpp"

namespace evenhead::io::schematic {
namespace {

using Link = std::pair<int, int>;
/// By junction: links around it, in turn.
using Rotation = std::vector<std::vector<int>>;

/// The order of links around each junction in an embedding of the links that are `kept`; false where there is
/// none. A link has a vertex in its middle, so that two of the same pair stay apart.
bool embed(int junctions, const std::vector<Link>& links, const std::vector<char>& kept, Rotation* rotation) {
    using Graph = boost::adjacency_list<boost::vecS, boost::vecS, boost::undirectedS, boost::no_property,
                                        boost::property<boost::edge_index_t, int>>;
    using Edge = boost::graph_traits<Graph>::edge_descriptor;
    Graph graph(at(junctions) + links.size());
    std::vector<int> link_of;
    for (std::size_t i = 0; i < links.size(); ++i) {
        if (!kept[i]) continue;
        for (const int end : {links[i].first, links[i].second}) {
            boost::add_edge(at(end), at(junctions) + i, static_cast<int>(link_of.size()), graph);
            link_of.push_back(static_cast<int>(i));
        }
    }
    if (rotation == nullptr) return boost::boyer_myrvold_planarity_test(graph);
    std::vector<std::vector<Edge>> embedding(boost::num_vertices(graph));
    if (!boost::boyer_myrvold_planarity_test(boost::boyer_myrvold_params::graph = graph,
                                             boost::boyer_myrvold_params::embedding = embedding.data()))
        return false;
    rotation->assign(at(junctions), {});
    for (std::size_t i = 0; i < at(junctions); ++i)
        for (const Edge& edge : embedding[i])
            (*rotation)[i].push_back(link_of[at(boost::get(boost::edge_index, graph, edge))]);
    return true;
}

/// Keeps as many links as can be drawn without a crossing, in order: halves of what is left are tried whole.
std::vector<char> planar_part(int junctions, const std::vector<Link>& links) {
    std::vector<char> kept(links.size(), 1);
    if (embed(junctions, links, kept, nullptr)) return kept;
    kept.assign(links.size(), 0);
    const std::function<void(std::size_t, std::size_t)> take = [&](std::size_t from, std::size_t to) {
        if (from == to) return;
        std::fill(kept.begin() + static_cast<std::ptrdiff_t>(from),
                  kept.begin() + static_cast<std::ptrdiff_t>(to), 1);
        if (embed(junctions, links, kept, nullptr)) return;
        std::fill(kept.begin() + static_cast<std::ptrdiff_t>(from),
                  kept.begin() + static_cast<std::ptrdiff_t>(to), 0);
        if (to - from == 1) return;
        take(from, from + (to - from) / 2);
        take(from + (to - from) / 2, to);
    };
    take(0, links.size());
    return kept;
}

/// The numbering of junctions from `first` to `last`, which the link `between` joins.
std::vector<int> bottom_to_top(const Rotation& rotation, const std::vector<Link>& links, int first, int last,
                               int between) {
    const std::size_t count = rotation.size();
    std::vector<int> number(count, -1), parent(count, -1), low(count, -1), order;
    struct Visit {
        int junction, through;
        std::size_t next;
    };
    std::vector<Visit> stack;
    const auto enter = [&](int junction, int through, int from) {
        number[at(junction)] = static_cast<int>(order.size());
        low[at(junction)] = junction;
        parent[at(junction)] = from;
        order.push_back(junction);
        stack.push_back({junction, through, 0});
    };
    const auto lower = [&](int junction, int candidate) {
        if (number[at(candidate)] < number[at(low[at(junction)])]) low[at(junction)] = candidate;
    };
    enter(first, -1, -1);
    enter(last, between, first);
    while (!stack.empty()) {
        Visit& visit = stack.back();
        if (visit.next == rotation[at(visit.junction)].size()) {
            const int done = visit.junction;
            stack.pop_back();
            if (parent[at(done)] >= 0) lower(parent[at(done)], low[at(done)]);
            continue;
        }
        const int link = rotation[at(visit.junction)][visit.next++];
        if (link == visit.through || link == between) continue;
        const auto& [one, two] = links[at(link)];
        const int other = one == visit.junction ? two : one;
        if (number[at(other)] < 0)
            enter(other, link, visit.junction);
        else
            lower(visit.junction, other);
    }

    // A linked list in which each junction is set beside its parent.
    std::vector<int> before(count, -1), after(count, -1);
    after[at(first)] = last;
    before[at(last)] = first;
    std::vector<char> plus(count, 0);
    for (const int junction : order) {
        if (junction == first || junction == last) continue;
        const int beside = parent[at(junction)];
        const bool in_front = !plus[at(low[at(junction)])];
        const int left = in_front ? before[at(beside)] : beside;
        const int right = in_front ? beside : after[at(beside)];
        before[at(junction)] = left;
        after[at(junction)] = right;
        if (left >= 0) after[at(left)] = junction;
        if (right >= 0) before[at(right)] = junction;
        plus[at(beside)] = in_front ? 1 : 0;
    }
    std::vector<int> list;
    for (int junction = first; junction >= 0; junction = after[at(junction)]) list.push_back(junction);
    return list;
}

/// The face on each side of each link: [2 * link] going from its first junction to its second, [+ 1] back.
std::vector<int> faces_of(const Rotation& rotation, const std::vector<Link>& links, int* count) {
    std::vector<std::size_t> place(2 * links.size(), 0);  // of a link in the rotation of its two ends
    for (std::size_t junction = 0; junction < rotation.size(); ++junction)
        for (std::size_t i = 0; i < rotation[junction].size(); ++i) {
            const int link = rotation[junction][i];
            place[2 * at(link) + (at(links[at(link)].first) == junction ? 0 : 1)] = i;
        }
    std::vector<int> face(2 * links.size(), -1);
    *count = 0;
    for (const auto& around : rotation)
        for (const int start : around)
            for (const std::size_t way : {std::size_t{0}, std::size_t{1}}) {
                std::size_t half = 2 * at(start) + way;
                if (face[half] >= 0) continue;
                for (; face[half] < 0;) {
                    face[half] = *count;
                    const std::size_t link = half / 2, end = half % 2 == 0 ? 1 : 0;
                    const int junction = end == 1 ? links[link].second : links[link].first;
                    const auto& turn = rotation[at(junction)];
                    const int next = turn[(place[2 * link + end] + 1) % turn.size()];
                    half = 2 * at(next) + (links[at(next)].first == junction ? 0 : 1);
                }
                ++*count;
            }
    return face;
}

}  // namespace

Bars find_bars(const LinkGraph& graph, int first, const std::vector<double>& far) {
    std::vector<Link> links = graph.links;
    Bars bars;
    bars.first = first;
    bars.drawn = planar_part(graph.junctions, links);

    // The top: the farthest junction that a link beside all others can join to the bottom.
    std::vector<int> candidates;
    for (int junction = 0; junction < graph.junctions; ++junction)
        if (junction != first) candidates.push_back(junction);
    std::stable_sort(candidates.begin(), candidates.end(),
                     [&](int one, int two) { return far[at(one)] > far[at(two)]; });
    constexpr std::size_t most_tried = 24;
    candidates.resize(std::min(candidates.size(), most_tried));
    const auto beside_first = std::find_if(links.begin(), links.end(), [&](const Link& link) {
        return bars.drawn[static_cast<std::size_t>(&link - links.data())] &&
               (link.first == first || link.second == first);
    });
    candidates.push_back(beside_first->first == first ? beside_first->second : beside_first->first);
    std::vector<char> kept = bars.drawn;
    kept.push_back(1);
    links.emplace_back(first, candidates.front());
    Rotation rotation;
    for (const int candidate : candidates) {
        links.back().second = candidate;
        bars.last = candidate;
        if (embed(graph.junctions, links, kept, &rotation)) break;
    }
    const int between = static_cast<int>(links.size()) - 1;
    bars.order = bottom_to_top(rotation, links, first, bars.last, between);

    std::vector<int> level(at(graph.junctions), 0);
    for (std::size_t i = 0; i < bars.order.size(); ++i) level[at(bars.order[i])] = static_cast<int>(i);
    int count = 0;
    const std::vector<int> face = faces_of(rotation, links, &count);
    // The face to the left of the link between bottom and top is the outside; as seen from its right end it
    // is another place.
    const int outside = face[2 * at(between)];
    const auto as_left = [&](int f) { return f == outside ? 0 : f + 2; };
    const auto as_right = [&](int f) { return f == outside ? 1 : f + 2; };
    bars.faces = count + 2;
    for (std::size_t i = 0; i < graph.links.size(); ++i) {
        const bool upward = level[at(links[i].first)] < level[at(links[i].second)];
        bars.upward.push_back(upward ? 1 : 0);
        bars.left.push_back(bars.drawn[i] ? as_left(face[2 * i + (upward ? 0 : 1)]) : 0);
        bars.right.push_back(bars.drawn[i] ? as_right(face[2 * i + (upward ? 1 : 0)]) : 0);
    }
    return bars;
}

}  // namespace evenhead::io::schematic
