// Elevations: the point's own, else the ground, else that of the nearest point along the pipes, else 0.
//
// "Nearest" is one search by Dijkstra from all points that have an elevation at once: a helper vertex reaches
// each of them at no length. A distance carries the elevation it started from; of equal lengths the lower
// elevation wins, so that the order of the rows does not matter.
#include <boost/graph/compressed_sparse_row_graph.hpp>
#include <boost/graph/dijkstra_shortest_paths_no_color_map.hpp>
#include <cmath>
#include <functional>
#include <limits>

#include "model/graph_parts.hpp"

namespace evenhead::model::parts {
namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
constexpr double never = std::numeric_limits<double>::infinity();

/// Length along the pipes and the elevation at its start; as a step: what it adds, and the elevation it
/// starts with.
struct Way {
    double length = 0, elevation = 0;
    bool starts = false;
    bool operator<(const Way& other) const {
        return length != other.length ? length < other.length : elevation < other.elevation;
    }
};

using Ways = boost::compressed_sparse_row_graph<boost::directedS, boost::no_property, Way, boost::no_property,
                                                int, int>;

std::vector<double> from_neighbours(const System& system, const std::vector<double>& own) {
    const int helper = static_cast<int>(own.size());
    std::vector<std::pair<int, int>> ends;
    std::vector<Way> steps;
    for (std::size_t i = 0; i < own.size(); ++i)
        if (!std::isnan(own[i])) {
            ends.emplace_back(helper, static_cast<int>(i));
            steps.push_back({0, own[i], true});
        }
    for (const Pipe& pipe : system.pipes) {
        const double length = pipe.length.known() ? pipe.length.value : 0;
        ends.emplace_back(pipe.from, pipe.to);
        ends.emplace_back(pipe.to, pipe.from);
        steps.resize(steps.size() + 2, Way{length, 0, false});
    }
    const Ways graph(boost::edges_are_unsorted_multi_pass, ends.begin(), ends.end(), steps.begin(),
                     helper + 1);

    std::vector<Way> nearest(own.size() + 1);
    const auto add = [](const Way& way, const Way& step) {
        return Way{way.length + step.length, step.starts ? step.elevation : way.elevation, false};
    };
    boost::dijkstra_shortest_paths_no_color_map(
        graph, helper,
        boost::weight_map(boost::get(boost::edge_bundle, graph))
            .distance_map(
                boost::make_iterator_property_map(nearest.begin(), boost::get(boost::vertex_index, graph)))
            .distance_compare(std::less<>())
            .distance_combine(add)
            .distance_inf(Way{never, never, false})
            .distance_zero(Way{0, -never, false}));
    std::vector<double> elevation(own.size());
    for (std::size_t i = 0; i < own.size(); ++i)
        elevation[i] = nearest[i].length == never ? unknown : nearest[i].elevation;
    return elevation;
}

/// One assumption for all these points.
void assume(const System& system, const std::vector<Index>& points, double elevation, const std::string& why,
            Layout& layout) {
    if (points.empty()) return;
    const std::string subject =
        points.size() == system.points.size()
            ? "all points"
            : (points.size() == 1 ? "" : std::to_string(points.size()) + " points: ") +
                  list_of(system, points);
    layout.assumptions.push_back({subject, "elevation", elevation, Dimension::length, "", why});
}

}  // namespace

void find_elevations(const System& system, Layout& layout) {
    std::vector<double>& elevation = layout.elevation;
    elevation.assign(system.points.size(), unknown);
    std::vector<Index> missing;
    for (std::size_t i = 0; i < system.points.size(); ++i) {
        const OptionalQuantity& own = system.points[i].elevation;
        if (own)
            elevation[i] = own->value;  // NaN where the case says "?": refused by the answers that need it
        else if (system.ground)
            elevation[i] = system.ground->value;
        else
            missing.push_back(static_cast<Index>(i));
    }
    if (missing.empty()) return;

    const std::vector<double> nearest = from_neighbours(system, elevation);
    constexpr std::size_t shown =
        1000;  // a row for each point while somebody can read them; then one for the rest
    std::vector<Index> rest, nothing_near;
    for (const Index point : missing) {
        elevation[at(point)] = nearest[at(point)];
        if (std::isnan(nearest[at(point)])) {
            elevation[at(point)] = 0;
            nothing_near.push_back(point);
        } else if (layout.assumptions.size() < shown) {
            layout.assumptions.push_back({system.point_id(point), "elevation", nearest[at(point)],
                                          Dimension::length, "",
                                          "that of the nearest point along the pipes that has one"});
        } else {
            rest.push_back(point);
        }
    }
    if (!rest.empty()) {
        assume(system, rest, unknown, "that of the nearest point along the pipes that has one", layout);
        layout.assumptions.back().words = "as nearby";
    }
    assume(system, nothing_near, 0, "neither an elevation nor a ground is given", layout);
}

}  // namespace evenhead::model::parts
