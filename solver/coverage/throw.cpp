#include "solver/coverage/throw.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace evenhead::solver {
namespace {

using Row = std::array<double, 2>;

std::array<double, 2> towards(double bearing) {
    const double radians = bearing / 180 * std::numbers::pi;
    return {std::sin(radians), std::cos(radians)};
}

/// Rows from u = 0 on.
std::vector<Row> whole_shape(const std::vector<Row>& shape) {
    if (shape.empty()) return {{0, 1}, {1, 0}};
    std::vector<Row> rows = shape;
    if (rows.front()[0] > 0) rows.insert(rows.begin(), {0, rows.front()[1]});
    return rows;
}

// M.
double whole_moment(const std::vector<Row>& rows) {
    double moment = 0;
    for (std::size_t i = 1; i < rows.size(); ++i) {
        const auto [u, g] = rows[i - 1];
        const auto [v, h] = rows[i];
        moment += (v - u) * (g * (2 * u + v) + h * (u + 2 * v)) / 6;
    }
    return moment;
}

}  // namespace

Throw::Throw(const ThrowNumbers& numbers, const std::vector<Row>& shape)
    : numbers_(numbers), shape_(whole_shape(shape)) {
    scale_ = numbers.flow /
             (numbers.arc / 180 * std::numbers::pi * numbers.radius * numbers.radius * whole_moment(shape_));
    begins_ = towards(numbers.facing - numbers.arc / 2);
    ends_ = towards(numbers.facing + numbers.arc / 2);
}

bool Throw::waters(const std::vector<Row>& shape) {
    return whole_moment(whole_shape(shape)) > 0;
}

double Throw::relative(double u) const {
    if (u > shape_.back()[0]) return 0;
    const auto next = std::upper_bound(shape_.begin(), shape_.end(), u,
                                       [](double value, const Row& row) { return value < row[0]; });
    if (next == shape_.end()) return shape_.back()[1];
    const Row &low = *(next - 1), &high = *next;
    return low[1] + (u - low[0]) / (high[0] - low[0]) * (high[1] - low[1]);
}

bool Throw::in_arc(double x, double y) const {
    if (full_circle()) return true;
    // Clockwise of where it begins, anticlockwise of where it ends; more than half a circle is either.
    const double east = x - numbers_.x, north = y - numbers_.y;
    const bool past_begin = begins_[0] * north - begins_[1] * east <= 0;
    const bool before_end = ends_[0] * north - ends_[1] * east >= 0;
    return numbers_.arc <= 180 ? past_begin && before_end : past_begin || before_end;
}

double Throw::sudden_end() const {
    return shape_.back()[1] > 0 ? shape_.back()[0] * numbers_.radius : 0;
}

double Throw::rate(double x, double y) const {
    const double distance = std::hypot(x - numbers_.x, y - numbers_.y);
    return distance <= numbers_.radius && in_arc(x, y) ? scale_ * relative(distance / numbers_.radius) : 0;
}

double Throw::wetted_area() const {
    return numbers_.arc / 360 * std::numbers::pi * numbers_.radius * numbers_.radius;
}

}  // namespace evenhead::solver
