#include "solver/balance/newton/chain_tree.hpp"

#include <boost/pending/disjoint_sets.hpp>

#include "model/position.hpp"

namespace evenhead::solver {

std::vector<int> joining_chains(std::size_t points, const std::vector<Ends>& ends,
                                const std::vector<int>& order) {
    boost::disjoint_sets_with_storage<> joined(points + 1);  // the last: all fixed heights
    const auto name = [&](int point) { return point == fixed ? points : at(point); };
    std::vector<int> joining;
    for (const int c : order) {
        const std::size_t from = joined.find_set(name(ends[at(c)].from)),
                          to = joined.find_set(name(ends[at(c)].to));
        if (from == to) continue;
        joined.link(from, to);
        joining.push_back(c);
    }
    return joining;
}

ChainTree::ChainTree(std::size_t points, const std::vector<Ends>& ends, const std::vector<int>& allowed)
    : ends_(ends) {
    std::vector<std::vector<int>> at_point(points);
    std::vector<char> seen(points, 0);
    const auto arrive = [&](int point, int chain) {
        if (point == fixed || seen[at(point)]) return;
        seen[at(point)] = 1;
        order_.push_back(point);
        chains_.push_back(chain);
    };
    for (const int c : allowed) {
        const Ends& chain = ends_[at(c)];
        if (chain.from == fixed) arrive(chain.to, c);
        if (chain.to == fixed) arrive(chain.from, c);
        if (chain.from == fixed || chain.to == fixed) continue;
        at_point[at(chain.from)].push_back(c);
        at_point[at(chain.to)].push_back(c);
    }
    for (std::size_t i = 0; i < order_.size(); ++i) {
        const int point = order_[i];
        for (const int c : at_point[at(point)]) {
            const Ends& chain = ends_[at(c)];
            arrive(chain.from == point ? chain.to : chain.from, c);
        }
    }
}

void ChainTree::drain(std::vector<double>& excess, std::vector<double>& flow) const {
    for (std::size_t i = order_.size(); i-- > 0;) {
        const int point = order_[i], c = chains_[i];
        const Ends& chain = ends_[at(c)];
        flow[at(c)] = chain.from == point ? excess[at(point)] : -excess[at(point)];
        const int above = chain.from == point ? chain.to : chain.from;
        if (above != fixed) excess[at(above)] += excess[at(point)];
    }
}

}  // namespace evenhead::solver
