#include "solver/balance/newton/components.hpp"

#include <boost/pending/disjoint_sets.hpp>

#include "model/position.hpp"

namespace evenhead::solver {

Components find_components(const Reduction& reduction) {
    const std::size_t points = reduction.branch_node.size();
    Components out;
    boost::disjoint_sets_with_storage<> joined(points);
    for (const Chain& chain : reduction.chains) {
        if (chain.from == fixed || chain.to == fixed || chain.from == chain.to) continue;
        out.pairs.emplace_back(chain.from, chain.to);
        joined.union_set(at(chain.from), at(chain.to));
    }
    std::vector<int> number(points, -1);
    for (std::size_t point = 0; point < points; ++point) {
        int& of = number[joined.find_set(point)];
        if (of < 0) {
            of = static_cast<int>(out.chains.size());
            out.chains.emplace_back();
        }
        out.of_point.push_back(of);
    }
    for (std::size_t c = 0; c < reduction.chains.size(); ++c) {
        const Chain& chain = reduction.chains[c];
        if (chain.from == chain.to) continue;
        const int point = chain.from == fixed ? chain.to : chain.from;
        out.chains[at(out.of_point[at(point)])].push_back(static_cast<int>(c));
    }
    return out;
}

}  // namespace evenhead::solver
