#include "solver/balance/newton/chain_tree.hpp"

#include "model/position.hpp"

namespace evenhead::solver {

ChainTree::ChainTree(const Reduction& reduction, const std::vector<int>& allowed) : red_(reduction) {
    const std::size_t points = reduction.branch_node.size();
    std::vector<std::vector<int>> at_point(points);
    std::vector<char> seen(points, 0);
    const auto arrive = [&](int point, int chain) {
        if (point == fixed || seen[at(point)]) return;
        seen[at(point)] = 1;
        order_.push_back(point);
        chains_.push_back(chain);
    };
    for (const int c : allowed) {
        const Chain& chain = reduction.chains[at(c)];
        if (chain.from == fixed) arrive(chain.to, c);
        if (chain.to == fixed) arrive(chain.from, c);
        if (chain.from == fixed || chain.to == fixed) continue;
        at_point[at(chain.from)].push_back(c);
        at_point[at(chain.to)].push_back(c);
    }
    for (std::size_t i = 0; i < order_.size(); ++i) {
        const int point = order_[i];
        for (const int c : at_point[at(point)]) {
            const Chain& chain = reduction.chains[at(c)];
            arrive(chain.from == point ? chain.to : chain.from, c);
        }
    }
}

void ChainTree::drain(std::vector<double>& excess, std::vector<double>& flow) const {
    for (std::size_t i = order_.size(); i-- > 0;) {
        const int point = order_[i], c = chains_[i];
        const Chain& chain = red_.chains[at(c)];
        flow[at(c)] = chain.from == point ? excess[at(point)] : -excess[at(point)];
        const int above = chain.from == point ? chain.to : chain.from;
        if (above != fixed) excess[at(above)] += excess[at(point)];
    }
}

}  // namespace evenhead::solver
