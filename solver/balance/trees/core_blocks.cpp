#include "solver/balance/trees/core_blocks.hpp"

#include <algorithm>

#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/biconnected_components.hpp>

#include "model/position.hpp"

namespace evenhead::solver {
namespace {

bool drives(const Law& law) {
    const LossRange still = law.losses(0);
    return still.low > 0 || still.high < 0;
}

}  // namespace

// A middle vertex on each chain keeps parallel chains apart; where its two halves lie in different blocks,
// the chain is a bridge, and a block of its own.
CoreBlocks::CoreBlocks(const Network& network, const Structure& structure)
    : junctions_(structure.junction_node.size()) {
    using Graph = boost::adjacency_list<boost::vecS, boost::vecS, boost::undirectedS, boost::no_property,
                                        boost::property<boost::edge_index_t, std::size_t>>;
    const std::size_t chains = structure.chains.size();
    Graph graph(junctions_ + chains);
    for (std::size_t c = 0; c < chains; ++c) {
        boost::add_edge(at(structure.chains[c].from), junctions_ + c, 2 * c, graph);
        boost::add_edge(junctions_ + c, at(structure.chains[c].to), 2 * c + 1, graph);
    }
    std::vector<std::size_t> part(2 * chains);
    const auto of_edge = boost::make_iterator_property_map(part.begin(), get(boost::edge_index, graph));
    blocks_ = chains == 0 ? 0 : boost::biconnected_components(graph, of_edge);
    at_.resize(junctions_ + blocks_);
    always_.assign(junctions_ + blocks_, 0);
    const auto tie = [&](int junction, std::size_t block) {
        std::vector<int>& blocks = at_[at(junction)];
        if (std::find(blocks.begin(), blocks.end(), static_cast<int>(junctions_ + block)) != blocks.end())
            return;
        blocks.push_back(static_cast<int>(junctions_ + block));
        at_[junctions_ + block].push_back(junction);
    };
    for (std::size_t c = 0; c < chains; ++c) {
        block_of_.push_back(static_cast<int>(part[2 * c]));
        const CoreChain& chain = structure.chains[c];
        tie(chain.from, part[2 * c]);
        tie(chain.to, part[2 * c]);
        for (int step = chain.first; step < chain.last; ++step) {
            const Law& law = *network.elements[at(structure.step_element[at(step)])].law;
            if (law.power() == nullptr && drives(law)) always_[junctions_ + part[2 * c]] = 1;
        }
    }
    for (const int junction : structure.supply_junction) always_[at(junction)] = 1;
    carries_.resize(chains);
}

// Blocks and the junctions that they share form a tree. Its ends where nothing is drawn carry nothing, nor
// does what is an end without them.
const std::vector<char>& CoreBlocks::carrying(const std::vector<int>& junctions,
                                              const std::vector<int>& chains) {
    held_ = always_;
    for (const int junction : junctions) held_[at(junction)] = 1;
    for (const int chain : chains) held_[junctions_ + at(block_of_[at(chain)])] = 1;
    ties_.clear();
    std::vector<int> ends;
    for (std::size_t i = 0; i < at_.size(); ++i) {
        ties_.push_back(static_cast<int>(at_[i].size()));
        if (ties_[i] <= 1 && !held_[i]) ends.push_back(static_cast<int>(i));
    }
    constexpr int gone = -1;
    while (!ends.empty()) {
        const int end = ends.back();
        ends.pop_back();
        if (ties_[at(end)] == gone) continue;
        ties_[at(end)] = gone;
        for (const int other : at_[at(end)]) {
            if (ties_[at(other)] != gone && --ties_[at(other)] <= 1 && !held_[at(other)])
                ends.push_back(other);
        }
    }
    for (std::size_t c = 0; c < carries_.size(); ++c)
        carries_[c] = ties_[junctions_ + at(block_of_[c])] != gone;
    return carries_;
}

}  // namespace evenhead::solver
