#include "solver/balance/newton/elimination.hpp"

#include <algorithm>
#include <limits>

#include <Eigen/OrderingMethods>
#include <Eigen/SparseCore>

namespace evenhead::solver {
namespace {

std::vector<int> order_points(int count, const std::vector<std::pair<int, int>>& links) {
    std::vector<Eigen::Triplet<double>> entries;
    entries.reserve(2 * links.size() + static_cast<std::size_t>(count));
    for (int i = 0; i < count; ++i) entries.emplace_back(i, i, 1.0);
    for (const auto& [a, b] : links) {
        entries.emplace_back(a, b, 1.0);
        entries.emplace_back(b, a, 1.0);
    }
    Eigen::SparseMatrix<double> pattern(count, count);
    pattern.setFromTriplets(entries.begin(), entries.end());
    Eigen::PermutationMatrix<Eigen::Dynamic, Eigen::Dynamic, int> order(count);
    Eigen::AMDOrdering<int>()(pattern, order);
    return {order.indices().data(), order.indices().data() + count};  // order[place] = point
}

}  // namespace

Elimination::Elimination(int count, const std::vector<std::pair<int, int>>& links)
    : count_(count),
      position_(static_cast<std::size_t>(count)),
      start_(static_cast<std::size_t>(count) + 1, 0) {
    const auto size = static_cast<std::size_t>(count);
    const std::vector<int> order = order_points(count, links);
    for (int place = 0; place < count; ++place)
        position_[static_cast<std::size_t>(order[static_cast<std::size_t>(place)])] = place;

    // Later neighbours of every place; eliminating a place hands its neighbours to the nearest of them.
    std::vector<std::vector<int>> later(size);
    for (const auto& [a, b] : links) {
        const int pa = position_[static_cast<std::size_t>(a)], pb = position_[static_cast<std::size_t>(b)];
        later[static_cast<std::size_t>(std::min(pa, pb))].push_back(std::max(pa, pb));
    }
    for (std::size_t place = 0; place < size; ++place) {
        std::vector<int>& row = later[place];
        std::sort(row.begin(), row.end());
        row.erase(std::unique(row.begin(), row.end()), row.end());
        if (row.size() > 1) {
            std::vector<int>& heir = later[static_cast<std::size_t>(row.front())];
            heir.insert(heir.end(), row.begin() + 1, row.end());
        }
        start_[place + 1] = start_[place] + static_cast<int>(row.size());
        neighbour_.insert(neighbour_.end(), row.begin(), row.end());
    }

    const auto entry_of = [&](int early, int late) {
        const auto first = neighbour_.begin() + start_[static_cast<std::size_t>(early)];
        const auto last = neighbour_.begin() + start_[static_cast<std::size_t>(early) + 1];
        return static_cast<int>(std::lower_bound(first, last, late) - neighbour_.begin());
    };
    pair_start_.reserve(size + 1);
    for (std::size_t place = 0; place < size; ++place) {
        pair_start_.push_back(pair_entry_.size());
        for (int i = start_[place]; i < start_[place + 1]; ++i) {
            // The row of the nearer neighbour has the farther ones, in the same order.
            int entry = start_[static_cast<std::size_t>(neighbour_[static_cast<std::size_t>(i)])];
            for (int j = i + 1; j < start_[place + 1]; ++j) {
                while (neighbour_[static_cast<std::size_t>(entry)] != neighbour_[static_cast<std::size_t>(j)])
                    ++entry;
                pair_entry_.push_back(entry);
            }
        }
    }
    pair_start_.push_back(pair_entry_.size());

    link_entry_.reserve(links.size());
    for (const auto& [a, b] : links) {
        const int pa = position_[static_cast<std::size_t>(a)], pb = position_[static_cast<std::size_t>(b)];
        link_entry_.push_back(entry_of(std::min(pa, pb), std::max(pa, pb)));
    }
    weight_.resize(neighbour_.size());
    fixed_.resize(size);
    diagonal_.resize(size);
}

void Elimination::factorise(const std::vector<double>& conductance, const std::vector<double>& to_fixed) {
    std::fill(weight_.begin(), weight_.end(), 0.0);
    for (std::size_t link = 0; link < link_entry_.size(); ++link) {
        weight_[static_cast<std::size_t>(link_entry_[link])] += conductance[link];
    }
    for (std::size_t point = 0; point < to_fixed.size(); ++point) {
        fixed_[static_cast<std::size_t>(position_[point])] = to_fixed[point];
    }
    for (std::size_t place = 0; place < fixed_.size(); ++place) {
        const auto first = static_cast<std::size_t>(start_[place]),
                   last = static_cast<std::size_t>(start_[place + 1]);
        double d = fixed_[place];
        for (std::size_t i = first; i < last; ++i) d += weight_[i];
        diagonal_[place] = d;
        if (!(d > 0)) continue;
        std::size_t pair = pair_start_[place];
        for (std::size_t i = first; i < last; ++i) {
            const double share = weight_[i] / d;
            fixed_[static_cast<std::size_t>(neighbour_[i])] += share * fixed_[place];
            for (std::size_t j = i + 1; j < last; ++j) {
                weight_[static_cast<std::size_t>(pair_entry_[pair++])] += share * weight_[j];
            }
            weight_[i] = share;
        }
    }
}

void Elimination::solve(std::vector<double>& b) const {
    std::vector<double> x(b.size());
    for (std::size_t point = 0; point < b.size(); ++point)
        x[static_cast<std::size_t>(position_[point])] = b[point];
    for (std::size_t place = 0; place < x.size(); ++place) {
        if (!(diagonal_[place] > 0)) continue;
        for (auto i = static_cast<std::size_t>(start_[place]);
             i < static_cast<std::size_t>(start_[place + 1]); ++i) {
            x[static_cast<std::size_t>(neighbour_[i])] += weight_[i] * x[place];
        }
    }
    for (std::size_t place = x.size(); place-- > 0;) {
        double value = diagonal_[place] > 0 ? x[place] / diagonal_[place] : 0.0;
        for (auto i = static_cast<std::size_t>(start_[place]);
             i < static_cast<std::size_t>(start_[place + 1]); ++i) {
            value += weight_[i] * x[static_cast<std::size_t>(neighbour_[i])];
        }
        x[place] = value;
    }
    for (std::size_t point = 0; point < b.size(); ++point)
        b[point] = x[static_cast<std::size_t>(position_[point])];
}

}  // namespace evenhead::solver
