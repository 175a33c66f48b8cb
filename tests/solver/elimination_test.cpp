// The elimination of points against Eigen's sparse LDLT, and where that loses its digits.
#include <gtest/gtest.h>

#include <Eigen/SparseCholesky>

#include <random>
#include <utility>
#include <vector>

#include "solver/balance/newton/elimination.hpp"

namespace evenhead::solver {
namespace {

struct Grid {
    int count;
    std::vector<std::pair<int, int>> links;
    std::vector<double> conductance, to_fixed, b;
};

// A grid with a few parallel links and leaves; conductances over `decades`.
Grid random_grid(unsigned seed, int width, double decades) {
    std::mt19937 random(seed);
    const auto uniform = [&] { return static_cast<double>(random()) / 4294967296.0; };
    Grid grid;
    grid.count = width * width + width;
    for (int i = 0; i < width; ++i) {
        for (int j = 0; j < width; ++j) {
            if (i + 1 < width) grid.links.emplace_back(i * width + j, (i + 1) * width + j);
            if (j + 1 < width) grid.links.emplace_back(i * width + j + 1, i * width + j);
        }
        grid.links.emplace_back(width * width + i, i * width);  // a leaf
        grid.links.emplace_back(i, (i + 1) % width);            // parallel to a grid link, but for one
    }
    for (std::size_t l = 0; l < grid.links.size(); ++l)
        grid.conductance.push_back(std::pow(10.0, decades * (uniform() - 0.5)));
    for (int i = 0; i < grid.count; ++i) {
        grid.to_fixed.push_back(uniform() < 0.3 ? std::pow(10.0, decades * (uniform() - 0.5)) : 0.0);
        grid.b.push_back(uniform() - 0.5);
    }
    grid.to_fixed[0] = 1;
    return grid;
}

TEST(Elimination, AgreesWithSparseLdlt) {
    for (unsigned seed = 1; seed <= 20; ++seed) {
        const Grid grid = random_grid(seed, 3 + static_cast<int>(seed % 9), 3);
        std::vector<Eigen::Triplet<double>> entries;
        for (std::size_t l = 0; l < grid.links.size(); ++l) {
            const auto [a, b] = grid.links[l];
            const double g = grid.conductance[l];
            entries.insert(entries.end(), {{a, a, g}, {b, b, g}, {a, b, -g}, {b, a, -g}});
        }
        for (int i = 0; i < grid.count; ++i)
            entries.emplace_back(i, i, grid.to_fixed[static_cast<std::size_t>(i)]);
        Eigen::SparseMatrix<double> matrix(grid.count, grid.count);
        matrix.setFromTriplets(entries.begin(), entries.end());
        const Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> ldlt(matrix);
        const Eigen::VectorXd expected =
            ldlt.solve(Eigen::Map<const Eigen::VectorXd>(grid.b.data(), grid.count));
        Elimination elimination(grid.count, grid.links);
        elimination.factorise(grid.conductance, grid.to_fixed);
        std::vector<double> x = grid.b;
        elimination.solve(x);
        for (int i = 0; i < grid.count; ++i) {
            EXPECT_NEAR(x[static_cast<std::size_t>(i)], expected[i],
                        1e-10 * expected.lpNorm<Eigen::Infinity>());
        }
    }
}

// Two points joined by a gate that loses almost nothing, tied to the ground by a trickle: the answer is b /
// trickle for both. Stored as diagonals the trickle is lost (1e12 + 1e-8 has no digit left for it), as
// conductances it is not.
TEST(Elimination, KeepsATrickleBesideAGate) {
    const double gate = 1e12, trickle = 1e-8;
    Elimination elimination(2, {{0, 1}});
    elimination.factorise({gate}, {0, trickle});
    std::vector<double> x{trickle * 30, 0};
    elimination.solve(x);
    EXPECT_NEAR(x[0], 30, 1e-12);
    EXPECT_NEAR(x[1], 30, 1e-12);

    Eigen::SparseMatrix<double> matrix(2, 2);
    matrix.insert(0, 0) = gate;
    matrix.insert(1, 1) = gate + trickle;
    matrix.insert(0, 1) = matrix.insert(1, 0) = -gate;
    const Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> ldlt(matrix);
    const Eigen::VectorXd lost = ldlt.solve(Eigen::Vector2d(trickle * 30, 0));
    EXPECT_FALSE(std::abs(lost[0] - 30) < 1);  // why this class exists
}

TEST(Elimination, LeavesFloatingPointsAtRest) {
    Elimination elimination(3, {{0, 1}});
    elimination.factorise({2.0}, {0, 0, 4});
    std::vector<double> x{0, 0, 8};
    elimination.solve(x);
    EXPECT_EQ(x[0], 0);
    EXPECT_EQ(x[1], 0);
    EXPECT_EQ(x[2], 2);
}

}  // namespace
}  // namespace evenhead::solver
