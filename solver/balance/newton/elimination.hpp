// The linear system of one Newton step, solved by eliminating points one by one.
//
// With a conductance g on each element between two free points, and s_k the conductances from point k to
// fixed heights, the step solves  sum_j g_kj (x_k - x_j) + s_k x_k = b_k.  Eliminating point k joins its
// remaining neighbours i, j with g_i g_j / d_k and gives each of them g_i s_k / d_k to a fixed height, where
// d_k = s_k + sum_j g_kj. This is LDL^T of the symmetric positive definite matrix, kept as conductances
// instead of diagonals: every operation adds or multiplies numbers that are not negative, so nothing cancels
// however far the conductances lie apart (a lossless gate beside a trickling head is sixteen decades and
// more; a factorisation that stores the diagonal loses s there). A leaf of a tree has one neighbour and makes
// no new entry.
#pragma once

#include <cstddef>
#include <utility>
#include <vector>

namespace evenhead::solver {

class Elimination {
  public:
    /// Orders the points (approximate minimum degree) and finds where entries arise: once for a topology.
    /// `links`: pairs of different free points, 0 <= point < count; parallel links share an entry.
    Elimination(int count, const std::vector<std::pair<int, int>>& links);

    /// Factorises for conductances by link and to fixed heights by point, none negative.
    void factorise(const std::vector<double>& conductance, const std::vector<double>& to_fixed);
    /// Solves in place: b (by point) becomes x. Points that nothing ties to a fixed height get 0.
    void solve(std::vector<double>& b) const;

  private:
    int count_;
    std::vector<int> position_;    // by point: its place in the order
    std::vector<int> link_entry_;  // by link: entry
    std::vector<int> start_;       // by place: first entry of its row; one more at the end
    std::vector<int> neighbour_;   // by entry: place of the later neighbour, rising
    std::vector<std::size_t> pair_start_;
    std::vector<int> pair_entry_;  // for each pair of a row's entries, in order: the entry that joins them
    std::vector<double> weight_;   // by entry: conductance, then the share g / d
    std::vector<double> fixed_, diagonal_;
};

}  // namespace evenhead::solver
