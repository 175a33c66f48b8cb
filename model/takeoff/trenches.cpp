// Trench by depth. Pipes that lie side by side are counted once.
//
// Pipes are laid in the order of depth, deepest first (the mainline), then of the case. A stretch of a pipe
// p(x) = p0 + x d (unit vector d, 0 <= x <= L) needs no trench of its own where one is dug already that runs
// the same way and no farther away than its width w. With the dug piece q0 + y u (unit vector u, 0 <= y <=
// M), within 10 degrees of d, that is where
//
//   0 <= a + b x <= M   with a = (p0 - q0) . u,  b = d . u     its foot is on the piece
//  -w <= e + g x <= w   with e = (p0 - q0) x u,  g = d x u     it is near enough
//
// so an interval of x; what is left of all such intervals is dug, and may serve those that come after it.
// Pipe without coordinates has a trench of its own. Where the case's length is not that of the plan, trench
// and pipe are longer in the same proportion.
#include <algorithm>
#include <cmath>
#include <numeric>

#include <boost/geometry.hpp>
#include <boost/geometry/index/rtree.hpp>

#include "model/takeoff/takeoff_parts.hpp"

namespace evenhead::model::takeoff {
namespace {

constexpr double same_way = 0.98480775301220802;  // cosine of 10 degrees
constexpr double slight = 1e-6;                   // m: shorter is nothing

using Interval = std::array<double, 2>;

double dot(const Vector& one, const Vector& other) {
    return one[0] * other[0] + one[1] * other[1];
}

double cross(const Vector& one, const Vector& other) {
    return one[0] * other[1] - one[1] * other[0];
}

/// A straight piece of a way.
struct Segment {
    Vector start{};
    Vector along{};  ///< unit
    double length = 0;
    Index pipe = none;

    Vector at_distance(double x) const { return {start[0] + x * along[0], start[1] + x * along[1]}; }
};

/// Keeps of `interval` where low <= a + b x <= high.
void keep(Interval& interval, double a, double b, double low, double high) {
    if (b == 0) {
        if (a < low || a > high) interval[1] = interval[0];
        return;
    }
    double first = (low - a) / b, last = (high - a) / b;
    if (first > last) std::swap(first, last);
    interval[0] = std::max(interval[0], first);
    interval[1] = std::min(interval[1], last);
}

/// Where on `of` the trench `dug` serves.
Interval served(const Segment& of, const Segment& dug, double width) {
    Interval interval{0, of.length};
    const double b = dot(of.along, dug.along);
    if (std::abs(b) < same_way) return {0, 0};
    const Vector between{of.start[0] - dug.start[0], of.start[1] - dug.start[1]};
    keep(interval, dot(between, dug.along), b, 0, dug.length);
    keep(interval, cross(between, dug.along), cross(of.along, dug.along), -width, width);
    return interval;
}

/// Takes an interval out of those that are left; how much that was.
double take_out(std::vector<Interval>& left, const Interval& out) {
    double taken = 0;
    std::vector<Interval> rest;
    for (const Interval& interval : left) {
        const double first = std::max(interval[0], out[0]), last = std::min(interval[1], out[1]);
        if (last - first < slight) {
            rest.push_back(interval);
            continue;
        }
        taken += last - first;
        if (first - interval[0] >= slight) rest.push_back({interval[0], first});
        if (interval[1] - last >= slight) rest.push_back({last, interval[1]});
    }
    left = std::move(rest);
    return taken;
}

class Trenches {
  public:
    Trenches(const Subject& subject, Lines& lines, Takeoff& result)
        : subject_(subject),
          lines_(lines),
          result_(result),
          width_(subject.rules.trench_width.in(subject.system.units)) {}

    void dig() {
        const auto& on_mainline = subject_.layout.pipe_on_mainline;
        const UnitSystem units = subject_.system.units;
        const double main = subject_.rules.mainline_depth.in(units),
                     lateral = subject_.rules.lateral_depth.in(units);
        std::vector<Index> order(subject_.system.pipes.size());
        std::iota(order.begin(), order.end(), 0);
        const bool main_first = main >= lateral;
        std::stable_partition(order.begin(), order.end(),
                              [&](Index pipe) { return (on_mainline[at(pipe)] != 0) == main_first; });
        for (const Index pipe : order) {
            const bool deep = on_mainline[at(pipe)] != 0;
            const double dug = dig(pipe);
            result_.trench += dug;
            if (dug > 0)
                lines_.add({deep ? TakeoffItem::mainline_trench : TakeoffItem::lateral_trench,
                            "",
                            {},
                            "",
                            deep ? main : lateral},
                           {true, pipe, dug});
        }
    }

  private:
    using Corner = boost::geometry::model::point<double, 2, boost::geometry::cs::cartesian>;
    using Box = boost::geometry::model::box<Corner>;
    using Entry = std::pair<Box, std::size_t>;

    static Box box_around(const Segment& segment, double margin) {
        const Vector end = segment.at_distance(segment.length);
        const auto low = [&](std::size_t i) { return std::min(segment.start[i], end[i]) - margin; };
        const auto high = [&](std::size_t i) { return std::max(segment.start[i], end[i]) + margin; };
        return {Corner(low(0), low(1)), Corner(high(0), high(1))};
    }

    static std::vector<Segment> segments_of(const std::vector<Vector>& way, Index pipe) {
        std::vector<Segment> segments;
        for (std::size_t i = 1; i < way.size(); ++i) {
            const double x = way[i][0] - way[i - 1][0], y = way[i][1] - way[i - 1][1];
            const double length = std::hypot(x, y);
            if (length > 0) segments.push_back({way[i - 1], {x / length, y / length}, length, pipe});
        }
        return segments;
    }

    /// Trench that this pipe needs beside what is dug already.
    double dig(Index pipe) {
        const double length = subject_.pipe(pipe).length.known() ? subject_.pipe(pipe).length.value : 0;
        const std::vector<Segment> segments = segments_of(subject_.way(pipe), pipe);
        if (segments.empty()) {
            ++result_.pipes_without_place;
            return length;
        }
        double plan = 0, dug = 0;
        for (const Segment& segment : segments) plan += segment.length;
        const double longer = length / plan;
        std::vector<Segment> fresh;
        for (const Segment& segment : segments)
            for (const Interval& left : not_served(segment, longer)) {
                fresh.push_back({segment.at_distance(left[0]), segment.along, left[1] - left[0], pipe});
                dug += (left[1] - left[0]) * longer;
            }
        // Only then: a pipe that turns back along itself still has one trench for each way.
        for (const Segment& segment : fresh) {
            tree_.insert({box_around(segment, 0), dug_.size()});
            dug_.push_back(segment);
        }
        return dug;
    }

    std::vector<Interval> not_served(const Segment& segment, double longer) {
        std::vector<Interval> left{{0, segment.length}};
        std::vector<Entry> near;
        tree_.query(boost::geometry::index::intersects(box_around(segment, width_)),
                    std::back_inserter(near));
        std::sort(near.begin(), near.end(),
                  [](const Entry& one, const Entry& other) { return one.second < other.second; });
        for (const Entry& entry : near) {
            const double taken = take_out(left, served(segment, dug_[entry.second], width_));
            if (taken > 0) share(segment.pipe, dug_[entry.second].pipe, taken * longer);
        }
        return left;
    }

    void share(Index pipe, Index with, double length) {
        result_.shared += length;
        auto& list = result_.shared_trenches;
        if (!list.empty() && list.back().pipe == pipe && list.back().with == with)
            list.back().length += length;
        else
            list.push_back({pipe, with, length});
    }

    const Subject& subject_;
    Lines& lines_;
    Takeoff& result_;
    const double width_;
    std::vector<Segment> dug_;
    boost::geometry::index::rtree<Entry, boost::geometry::index::quadratic<16>> tree_;
};

}  // namespace

void count_trenches(const Subject& subject, Lines& lines, Takeoff& result) {
    Trenches(subject, lines, result).dig();
}

}  // namespace evenhead::model::takeoff
