#include <algorithm>

#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/biconnected_components.hpp>
#include <boost/pending/disjoint_sets.hpp>

#include "model/position.hpp"
#include "solver/balance/newton/reduction.hpp"

namespace evenhead::solver {
namespace {

// A forest of chains (seen without the fixed heights) has no ring of its own. Where the chains are all that
// the peeling left, everything flows then.
bool make_a_ring(const Reduction& reduction) {
    boost::disjoint_sets_with_storage<> joined(reduction.branch_node.size());
    for (const Chain& chain : reduction.chains) {
        if (chain.from == fixed || chain.to == fixed) continue;
        if (joined.find_set(at(chain.from)) == joined.find_set(at(chain.to))) return true;
        joined.union_set(at(chain.from), at(chain.to));
    }
    return false;
}

bool pumps(const Series& law) {
    const LossRange still = law.losses(0);
    return still.low > 0 || still.high < 0;
}

}  // namespace

// A middle vertex on each chain keeps parallel chains apart; a chain that ends where it starts is judged
// alone (it flows between two fixed heights, or round a ring of its own with a pump).
std::vector<char> chains_that_carry(const Reduction& reduction, const std::vector<char>& open) {
    const bool all = std::find(open.begin(), open.end(), 0) == open.end();
    if (all && !make_a_ring(reduction)) return open;
    using Graph = boost::adjacency_list<boost::vecS, boost::vecS, boost::undirectedS, boost::no_property,
                                        boost::property<boost::edge_index_t, std::size_t>>;
    const std::size_t branches = reduction.branch_node.size(), count = reduction.chains.size();
    Graph graph(branches + 1 + count);
    const auto vertex = [&](int node) { return node == fixed ? branches : at(node); };
    for (std::size_t c = 0; c < count; ++c) {
        const Chain& chain = reduction.chains[c];
        if (chain.from == chain.to || !open[c]) continue;
        boost::add_edge(vertex(chain.from), branches + 1 + c, 2 * c, graph);
        boost::add_edge(branches + 1 + c, vertex(chain.to), 2 * c + 1, graph);
    }
    std::vector<std::size_t> part(2 * count);
    const auto of_edge = boost::make_iterator_property_map(part.begin(), get(boost::edge_index, graph));
    std::vector<char> flows(boost::biconnected_components(graph, of_edge), 0);
    std::vector<char> carries(count, 0);
    for (std::size_t c = 0; c < count; ++c) {
        const Chain& chain = reduction.chains[c];
        if (!open[c]) continue;
        if (chain.from == chain.to) {
            carries[c] = chain.from == fixed || pumps(reduction.laws[c]);
        } else if (part[2 * c] ==
                   part[2 * c + 1]) {  // else a bridge: water would have to come back the same way
            carries[c] = 1;
            if (chain.from == fixed || chain.to == fixed || pumps(reduction.laws[c])) flows[part[2 * c]] = 1;
        }
    }
    for (std::size_t c = 0; c < count; ++c) {
        const Chain& chain = reduction.chains[c];
        if (carries[c] && chain.from != chain.to && !flows[part[2 * c]]) carries[c] = 0;
    }
    return carries;
}

}  // namespace evenhead::solver
