// The baseline "textbook": Newton-Raphson on all heights and flows with a general sparse factorisation of the
// whole network (Todini & Pilati 1988), as a textbook of hydraulics and one of numerics together would have
// it.
#pragma once

#include <Eigen/SparseCholesky>
#include <vector>

#include "bench/clock.hpp"
#include "bench/flat_laws.hpp"

namespace evenhead::bench {

/// The largest mismatch of any element's law (m) at which both baselines stop.
inline constexpr double wanted_mismatch = 1e-9;

class Textbook {
  public:
    /// Flattens the laws, finds the pattern of the matrix and the place of every element in it, and analyses
    /// it.
    Textbook(const model::System& system, const solver::Network& network);

    /// Solves with these elements open (by element) from nominal flows; false where 60 steps do not suffice.
    bool solve(const std::vector<char>& open);
    /// Likewise from the flows of the solve before.
    bool solve_again(const std::vector<char>& open);

    const std::vector<double>& height() const { return height_; }      ///< by node and one more, m
    const std::vector<double>& flow() const { return flow_; }          ///< by element, m3/s
    const std::vector<char>& active() const { return reach_.active; }  ///< by element
    std::vector<double> head_pressures() const;                        ///< psi, see nozzle_pressures
    int steps() const { return steps_; }
    /// Time inside Eigen's analyzePattern, factorize and solve since the constructor began.
    const Seconds& eigen_time() const { return eigen_time_; }
    std::size_t nodes() const { return diagonal_.size(); }

  private:
    using Matrix = Eigen::SparseMatrix<double>;
    // An element as the iteration sees it. A fixed end is one node more, at height 0, whose equation nobody
    // reads.
    struct Link {
        int tail, head;
        int tail_diagonal, head_diagonal, beside;  // positions in the values of the matrix
        double lift;                               // m, height of a fixed tail less that of a fixed head
    };
    void find_pattern();
    void find_links(const std::vector<int>& beside, int unread);
    bool iterate();
    void assemble();
    double taken(const Link& link) const {
        return height_[static_cast<std::size_t>(link.tail)] - height_[static_cast<std::size_t>(link.head)] +
               link.lift;
    }

    const solver::Network& network_;
    FlatLaws laws_;
    Matrix matrix_;               // lower triangle
    std::vector<Link> links_;     // by element
    std::vector<int> diagonal_;   // by node: position in the values of the matrix
    std::vector<double> height_;  // by node, and of the one more
    std::vector<double> flow_, loss_, slope_, right_;
    Eigen::VectorXd solution_;
    Eigen::SimplicialLDLT<Matrix, Eigen::Lower, Eigen::AMDOrdering<int>> solver_;
    Reach reach_;
    int steps_ = 0;
    Seconds eigen_time_;
};

/// By element: what is open in a run with these valves open.
std::vector<char> open_with(const solver::Network& network, const std::vector<solver::Index>& valves);

}  // namespace evenhead::bench
