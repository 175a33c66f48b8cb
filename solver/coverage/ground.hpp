// The ground that a zone is to water, and the same cut into square cells.
//
// A ring that goes round a piece of ground counts with its sign, so that a hole is a ring the other way
// round: with p_i = (x_i, y_i) its corners and z_i = x_i y_(i+1) - x_(i+1) y_i,
//   area A = sum z_i / 2,  A x = sum z_i (x_i + x_(i+1)) / 6,  A y likewise.
// Cut off at a straight line corner by corner (Sutherland and Hodgman, Communications of the ACM 17 (1974)
// 32-42), a ring that is not convex may come apart into pieces joined along the line; what joins them has no
// area, so that the sums stay exact. Nothing is sampled: cells at the edge count by the part that lies
// inside.
#pragma once

#include <array>
#include <optional>
#include <vector>

#include "model/system.hpp"

namespace evenhead::solver {

using Place = std::array<double, 2>;  ///< m, east and north
using Ring = std::vector<Place>;

/// Area of a piece of ground, and its middle times the area.
struct Moments {
    double area = 0, x = 0, y = 0;
    Place middle() const { return {x / area, y / area}; }
    Moments& operator+=(const Moments& other);
};
Moments moments(const Ring& ring);

/// The part of a ring where a x + b y >= c.
Ring cut(const Ring& ring, double a, double b, double c);

struct Ground {
    std::vector<Ring> rings;         ///< outer ones counter-clockwise, holes clockwise
    double area = 0;                 ///< m2
    std::array<double, 4> bounds{};  ///< west, south, east, north
};

/// All the outlines together, what two of them share once. Nothing where one of them crosses itself or
/// encloses nothing.
std::optional<Ground> ground_of_outlines(const std::vector<const model::Area*>& areas);
/// The hull of some places; nothing where they lie in a line.
std::optional<Ground> ground_of_hull(const std::vector<Place>& places);

/// True for a place on the ground or on its edge.
bool holds(const Ground& ground, const Place& place);

/// A cell of the grid, or a part of it: what lies on the ground, on one side of the edge of an arc.
struct Piece {
    Moments ground;
    int cell = 0;   ///< row x columns + column
    int part = -1;  ///< position in CellGrid::parts; -1: the whole square
    int next = -1;  ///< the next piece of the same cell; -1: none
};

struct CellGrid {
    double west = 0, south = 0, side = 0;  ///< m
    int columns = 0, rows = 0;
    std::size_t cells = 0;                 ///< with ground in them
    std::vector<Piece> pieces;             ///< by row, then by column; those cut off later at the end
    std::vector<std::vector<Ring>> parts;  ///< of pieces that are no whole square
    std::vector<int> first;                ///< by cell: its first piece; -1: no ground

    Place middle(int cell) const;
    /// Cuts every piece of a cell in two along a x + b y = c, where that goes through it.
    void split(int cell, double a, double b, double c);

  private:
    std::vector<Ring> rings(const Piece& piece) const;
};

/// How many cells a grid of this side would have over the ground.
double count_cells(const Ground& ground, double side);
CellGrid cut_into_cells(const Ground& ground, double side);

}  // namespace evenhead::solver
