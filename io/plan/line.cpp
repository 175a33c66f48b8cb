// Sets the points of a line along rows. What hangs on a point stands square to the line, to its left or
// right, as a box of known size; boxes on the same side must not touch. A line longer than its limit turns
// and comes back beside itself, as a hose is laid in a yard.
#include <algorithm>

#include "io/plan/schematic_parts.hpp"

namespace evenhead::io::schematic {
namespace {

/// One row while it is filled.
class Filling {
  public:
    Filling(const std::vector<Branch>& branches, double start, Prefer prefer)
        : branches_(&branches), next_(start), prefer_(prefer) {}

    bool empty() const { return row_.places.empty(); }

    /// Adds an item; `false` and nothing added where the row would be longer than `limit`.
    bool add(std::size_t number, const Item& item, double limit) {
        const Filled before = filled_;
        const std::size_t sides_before = row_.sides.size();
        double along = next_;
        std::vector<std::size_t> first;  // sides of this item that stand at the point itself
        bool used[2] = {false, false};
        double farthest = along;
        for (const int branch : item.hung) {
            const Extent& extent = (*branches_)[at(branch)].extent;
            const double slots[2] = {slot(true, extent, along), slot(false, extent, along)};
            const bool left = choose_left(extent, slots);
            const double there = slots[left ? 0 : 1];
            if (!used[left ? 0 : 1]) {
                used[left ? 0 : 1] = true;
                // Unless something beyond the point hangs there already.
                if (there > along && row_.sides.size() == sides_before + first.size()) {
                    along = there;  // the point itself moves on, and with it what hangs on its other side
                    for (const std::size_t side : first) put_side(side, along);
                }
                first.push_back(row_.sides.size());
            }
            row_.sides.push_back({branch, there, left});
            put_side(row_.sides.size() - 1, there);
            farthest = std::max(farthest, there);
        }
        if (!empty() && std::max(farthest, along) > limit) {
            filled_ = before;
            row_.sides.resize(sides_before);
            return false;
        }
        row_.places.push_back({number, along});
        next_ = std::max(along, farthest) + step;
        filled_.end = std::max({filled_.end, along, farthest, filled_.free[0], filled_.free[1]});
        return true;
    }

    Rows::Row take() {
        row_.end = filled_.end;
        row_.left = filled_.reach[0];
        row_.right = filled_.reach[1];
        return std::move(row_);
    }

  private:
    /// The nearest place for a box on a side, at or beyond `along`.
    double slot(bool left, const Extent& extent, double along) const {
        const double back = left ? extent.left : extent.right;
        return std::max(along, filled_.free[left ? 0 : 1] + gap + back);
    }
    bool choose_left(const Extent& extent, const double (&slots)[2]) const {
        if (prefer_ != Prefer::none) {
            // Outside the ring, unless that side is far behind.
            constexpr double patience = 6;
            const bool left = prefer_ == Prefer::left;
            return slots[left ? 0 : 1] <= slots[left ? 1 : 0] + patience ? left : !left;
        }
        if (slots[0] != slots[1]) return slots[0] < slots[1];
        if (extent.depth <= step) return false;  // teeth of a comb stand on one side
        const double* reach = filled_.reach;
        return reach[0] < reach[1] || (reach[0] == reach[1] && !filled_.last_left);
    }
    void put_side(std::size_t side, double along) {
        Rows::Side& placed = row_.sides[side];
        placed.along = along;
        const Extent& extent = (*branches_)[at(placed.branch)].extent;
        const std::size_t here = placed.left ? 0 : 1;
        filled_.free[here] = along + (placed.left ? extent.right : extent.left);
        filled_.reach[here] = std::max(filled_.reach[here], extent.depth);
        filled_.last_left = placed.left;
    }

    const std::vector<Branch>* branches_;
    struct Filled {
        double free[2] = {-turn_room, -turn_room};  // how far boxes on the left and right reach along the row
        double reach[2] = {0, 0};                   // and away from it
        double end = 0;
        bool last_left = false;
    };
    Filled filled_;
    Rows::Row row_;
    double next_ = 0;
    Prefer prefer_;
};

}  // namespace

Rows set_along(const std::vector<Branch>& branches, const std::vector<Item>& items, double limit,
               double start, Prefer prefer) {
    Rows rows;
    Filling filling(branches, start, prefer);
    for (std::size_t i = 0; i < items.size(); ++i) {
        if (filling.add(i, items[i], limit)) continue;
        rows.rows.push_back(filling.take());
        filling = Filling(branches, step, Prefer::none);
        filling.add(i, items[i], limit);
    }
    rows.rows.push_back(filling.take());
    return rows;
}

RowFrame frame_of(const Rows& rows, Extent& extent) {
    RowFrame frame;
    double x = 0;
    for (std::size_t i = 0; i < rows.rows.size(); ++i) {
        const Rows::Row& row = rows.rows[i];
        const double to_left = RowFrame::forward(i) ? row.left : row.right;
        const double to_right = RowFrame::forward(i) ? row.right : row.left;
        if (i > 0)
            x += gap + to_left;
        else
            extent.left = to_left;
        frame.x.push_back(x);
        x += to_right;
        frame.height = std::max(frame.height, row.end);
    }
    extent.right = x;
    extent.depth = frame.height + (rows.rows.size() > 1 ? gap : 0);
    return frame;
}

void lay_line(Branches& branches, int number, double limit) {
    Branch& branch = branches.all[at(number)];
    std::vector<Item> items;
    for (std::size_t i = 0; i < branch.line.size(); ++i)
        items.push_back({branch.line[i], branch.line_pipes[i], branches.of_point[at(branch.line[i])]});
    const double start = branch.anchor == model::none ? 0 : step;
    Rows rows = set_along(branches.all, items, limit, start, Prefer::none);

    Rows::Row& last = rows.rows.back();
    double ahead_at = 0;
    if (branch.ahead >= 0) {
        const Extent& ahead = branches.all[at(branch.ahead)].extent;
        ahead_at =
            last.sides.empty() ? last.places.back().along : std::max(last.places.back().along, last.end);
        last.end = ahead_at + ahead.depth;
        last.left = std::max(last.left, ahead.left);
        last.right = std::max(last.right, ahead.right);
    }

    branch.points.clear();
    branch.ways.clear();
    branch.hung.clear();
    const RowFrame frame = frame_of(rows, branch.extent);
    for (std::size_t i = 0; i < rows.rows.size(); ++i) {
        const int around = RowFrame::forward(i) ? 0 : 2;
        for (const Rows::Place& place : rows.rows[i].places) {
            const Item& item = items[place.item];
            branch.points.emplace_back(item.point, frame.spot(i, place.along));
            if (place.item == 0 && item.pipe != model::none)
                branch.ways.push_back({item.pipe, branch.anchor, {}});
            else if (i > 0 && &place == &rows.rows[i].places.front())
                branch.ways.push_back({item.pipe, items[place.item - 1].point, frame.turn(i - 1)});
        }
        for (const Rows::Side& side : rows.rows[i].sides)
            branch.hung.push_back({side.branch, frame.spot(i, side.along), around + (side.left ? 1 : 3), {}});
        if (branch.ahead >= 0 && i + 1 == rows.rows.size())
            branch.hung.push_back({branch.ahead, frame.spot(i, ahead_at), around, {}});
    }
}

}  // namespace evenhead::io::schematic
