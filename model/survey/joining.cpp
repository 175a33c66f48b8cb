// In turn, for the snap s:
//
// 1. An end of a line that lies no farther than s from a surveyed point ends there (the nearest).
// 2. Of the other ends those within s of each other meet in a joint, placed at the first of them; an end
// alone
//    within s of another line meets it at its foot on that line; else it stays a loose end.
// 3. A point (surveyed or made) within s of the way of a line that does not end there parts the line.
// 4. Valves and directed devices are entered from the side of the supply: points are reached from the
// supplies
//    along the pipes, the way past a valve counted as longer than any, so that the mainline comes before the
//    zones; a pipe at such a point runs from the end reached first.
//
// A line that names its ends is never parted or turned: whoever wrote it knows what it joins.
#include "model/survey/joining.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include <boost/geometry.hpp>
#include <boost/geometry/index/rtree.hpp>

#include "model/position.hpp"
#include "model/survey/joining_parts.hpp"

namespace evenhead::model {
namespace {

constexpr double slight = 1e-6;        // m: nearer is the same place
constexpr double reach_in_snaps = 10;  // of a loose end

using Corner = boost::geometry::model::point<double, 2, boost::geometry::cs::cartesian>;
using Box = boost::geometry::model::box<Corner>;
using Entry = std::pair<Box, std::size_t>;
using Tree = boost::geometry::index::rtree<Entry, boost::geometry::index::quadratic<16>>;

double distance(const SurveyPlace& one, const SurveyPlace& other) {
    return std::hypot(one[0] - other[0], one[1] - other[1]);
}

Box box_around(const SurveyPlace& one, const SurveyPlace& other, double margin) {
    return {Corner(std::min(one[0], other[0]) - margin, std::min(one[1], other[1]) - margin),
            Corner(std::max(one[0], other[0]) + margin, std::max(one[1], other[1]) + margin)};
}

/// Positions in a tree near a place, rising.
std::vector<std::size_t> near(const Tree& tree, const SurveyPlace& place, double reach) {
    std::vector<Entry> found;
    tree.query(boost::geometry::index::intersects(box_around(place, place, reach)),
               std::back_inserter(found));
    std::vector<std::size_t> positions;
    positions.reserve(found.size());
    for (const Entry& entry : found) positions.push_back(entry.second);
    std::sort(positions.begin(), positions.end());
    return positions;
}

/// Where on a line a place has its foot.
struct Foot {
    double distance = std::numeric_limits<double>::infinity();  ///< m from the place
    double along = 0;                                           ///< m from the start of the line
    SurveyPlace place{};
};

class Joining {
  public:
    Joining(const Survey& survey, double snap) : survey_(survey), snap_(snap) {
        result_.points = survey.points;
        ends_.assign(survey.lines.size(), {none, none});
        cuts_.resize(survey.lines.size());
        std::vector<Entry> pieces;
        for (std::size_t line = 0; line < survey.lines.size(); ++line) {
            const auto& way = survey.lines[line].way;
            for (std::size_t i = 1; i < way.size(); ++i) {
                pieces.emplace_back(box_around(way[i - 1], way[i], 0), pieces_.size());
                pieces_.emplace_back(line, i);
            }
        }
        piece_tree_ = Tree(pieces);
        for (const SurveyPoint& point : survey.points) names_.insert(point.id);
    }

    JoinedSurvey join() {
        end_at_points();
        end_at_joints();
        part_lines();
        make_pipes();
        survey::direct_pipes(survey_, result_);
        find_gaps();
        find_twins();
        return std::move(result_);
    }

  private:
    struct LineEnd {
        std::size_t line = 0;
        int side = 0;
        SurveyPlace place{};
    };
    struct Cut {
        double along = 0;
        Index point = none;
    };

    const SurveyLine& line(std::size_t index) const { return survey_.lines[index]; }

    Foot foot_on(std::size_t of, const SurveyPlace& place) const {
        Foot best;
        double before = 0;
        const auto& way = line(of).way;
        for (std::size_t i = 1; i < way.size(); ++i) {
            const double x = way[i][0] - way[i - 1][0], y = way[i][1] - way[i - 1][1];
            const double length = std::hypot(x, y);
            double share = 0;
            if (length > 0)
                share = std::clamp(
                    ((place[0] - way[i - 1][0]) * x + (place[1] - way[i - 1][1]) * y) / (length * length),
                    0.0, 1.0);
            const SurveyPlace foot{way[i - 1][0] + share * x, way[i - 1][1] + share * y};
            const double away = distance(foot, place);
            if (away < best.distance) best = {away, before + share * length, foot};
            before += length;
        }
        return best;
    }

    double length_of(std::size_t of) const {
        double length = 0;
        const auto& way = line(of).way;
        for (std::size_t i = 1; i < way.size(); ++i) length += distance(way[i - 1], way[i]);
        return length;
    }

    /// Lines with a piece near a place, rising.
    std::vector<std::size_t> lines_near(const SurveyPlace& place, double reach) const {
        std::vector<std::size_t> lines;
        for (const std::size_t piece : near(piece_tree_, place, reach)) lines.push_back(pieces_[piece].first);
        std::sort(lines.begin(), lines.end());
        lines.erase(std::unique(lines.begin(), lines.end()), lines.end());
        return lines;
    }

    void index_points() {
        std::vector<Entry> entries;
        for (std::size_t i = 0; i < result_.points.size(); ++i)
            if (result_.points[i].has_place)
                entries.emplace_back(box_around(result_.points[i].place, result_.points[i].place, 0), i);
        point_tree_ = Tree(entries);
    }

    void snapped(double by) {
        if (by > slight) ++result_.snapped;
        result_.farthest_snap = std::max(result_.farthest_snap, by);
    }

    void end_at_points() {
        index_points();
        for (std::size_t i = 0; i < survey_.lines.size(); ++i) {
            for (const int side : {0, 1}) {
                const Index named = side == 0 ? line(i).from : line(i).to;
                if (named != none) ends_[i][at(side)] = named;
                if (line(i).way.empty()) continue;
                const SurveyPlace place = side == 0 ? line(i).way.front() : line(i).way.back();
                if (named != none) {
                    const SurveyPoint& point = survey_.points[at(named)];
                    const double away = point.has_place ? distance(point.place, place) : 0;
                    if (away > snap_)
                        result_.gaps.push_back(
                            {SurveyGap::Kind::far_end, named, place, away, named, static_cast<Index>(i)});
                    else
                        snapped(away);
                    continue;
                }
                double least = std::numeric_limits<double>::infinity();
                for (const std::size_t point : near(point_tree_, place, snap_)) {
                    const double away = distance(result_.points[point].place, place);
                    if (away > snap_ || !(away < least)) continue;
                    least = away;
                    ends_[i][at(side)] = static_cast<Index>(point);
                }
                if (ends_[i][at(side)] != none)
                    snapped(least);
                else
                    open_.push_back({i, side, place});
            }
        }
    }

    Index make_point(const SurveyPlace& place) {
        SurveyPoint made;
        do made.id = "J" + std::to_string(++made_);
        while (names_.contains(made.id));
        made.has_place = true;
        made.place = place;
        result_.points.push_back(std::move(made));
        return static_cast<Index>(result_.points.size()) - 1;
    }

    void end_at_joints() {
        std::vector<Entry> entries;
        for (std::size_t i = 0; i < open_.size(); ++i)
            entries.emplace_back(box_around(open_[i].place, open_[i].place, 0), i);
        const Tree tree(entries);
        for (std::size_t i = 0; i < open_.size(); ++i) {
            const LineEnd& end = open_[i];
            if (ends_[end.line][at(end.side)] != none) continue;
            std::vector<std::size_t> meeting;
            for (const std::size_t other : near(tree, end.place, snap_))
                if (other != i && ends_[open_[other].line][at(open_[other].side)] == none &&
                    distance(open_[other].place, end.place) <= snap_)
                    meeting.push_back(other);
            SurveyPlace place = end.place;
            if (meeting.empty()) {
                Foot least;
                for (const std::size_t other : lines_near(end.place, snap_)) {
                    if (other == end.line || line(other).named()) continue;
                    const Foot foot = foot_on(other, end.place);
                    if (foot.distance <= snap_ && foot.distance < least.distance) least = foot;
                }
                if (least.distance <= snap_) {
                    place = least.place;
                    snapped(least.distance);
                } else {
                    loose_.push_back(static_cast<Index>(result_.points.size()));
                }
            }
            const Index joint = make_point(place);
            ends_[end.line][at(end.side)] = joint;
            for (const std::size_t other : meeting) {
                ends_[open_[other].line][at(open_[other].side)] = joint;
                snapped(distance(open_[other].place, place));
            }
        }
    }

    void part_lines() {
        index_points();
        for (std::size_t point = 0; point < result_.points.size(); ++point) {
            if (!result_.points[point].has_place) continue;
            const SurveyPlace& place = result_.points[point].place;
            for (const std::size_t on : lines_near(place, snap_)) {
                const auto index = static_cast<Index>(point);
                if (line(on).named() || ends_[on][0] == index || ends_[on][1] == index) continue;
                const Foot foot = foot_on(on, place);
                // At an end of the line stands another point already, and this one beside it.
                if (foot.distance > snap_ || foot.along <= slight || foot.along >= length_of(on) - slight)
                    continue;
                cuts_[on].push_back({foot.along, index});
                ++result_.joints;
            }
        }
    }

    void make_pipes() {
        for (std::size_t i = 0; i < survey_.lines.size(); ++i) {
            std::vector<Cut>& cuts = cuts_[i];
            std::stable_sort(cuts.begin(), cuts.end(),
                             [](const Cut& one, const Cut& other) { return one.along < other.along; });
            const double length = length_of(i);
            std::vector<Cut> stops{{0, ends_[i][0]}};
            stops.insert(stops.end(), cuts.begin(), cuts.end());
            stops.push_back({length, ends_[i][1]});
            for (std::size_t stop = 1; stop < stops.size(); ++stop) {
                JoinedPipe pipe;
                pipe.line = static_cast<Index>(i);
                pipe.from = stops[stop - 1].point;
                pipe.to = stops[stop].point;
                pipe.whole = cuts.empty();
                double along = 0;
                const auto& way = line(i).way;
                for (std::size_t bend = 1; bend + 1 < way.size(); ++bend) {
                    along += distance(way[bend - 1], way[bend]);
                    if (along > stops[stop - 1].along + slight && along < stops[stop].along - slight)
                        pipe.bends.push_back(way[bend]);
                }
                result_.pipes.push_back(std::move(pipe));
            }
        }
    }

    /// What is nearest to a point, apart from itself and the lines that end there.
    SurveyGap nearest_to(Index point, double reach) const {
        SurveyGap gap;
        gap.point = point;
        gap.place = result_.points[at(point)].place;
        for (const std::size_t other : near(point_tree_, gap.place, reach)) {
            const double away = distance(result_.points[other].place, gap.place);
            if (static_cast<Index>(other) == point || !(away < gap.distance) || away > reach) continue;
            if (joined(point, static_cast<Index>(other))) continue;
            gap.distance = away;
            gap.near_point = static_cast<Index>(other);
        }
        for (const std::size_t other : lines_near(gap.place, reach)) {
            if (ends_[other][0] == point || ends_[other][1] == point) continue;
            const Foot foot = foot_on(other, gap.place);
            if (!(foot.distance < gap.distance - slight) || foot.distance > reach) continue;
            gap.distance = foot.distance;
            gap.near_line = static_cast<Index>(other);
            gap.near_point = none;
        }
        return gap;
    }
    bool joined(Index one, Index other) const {
        return std::any_of(ends_.begin(), ends_.end(), [&](const auto& ends) {
            return (ends[0] == one && ends[1] == other) || (ends[0] == other && ends[1] == one);
        });
    }

    void find_gaps() {
        std::vector<char> met(result_.points.size(), 0);
        for (const JoinedPipe& pipe : result_.pipes) met[at(pipe.from)] = met[at(pipe.to)] = 1;
        for (const Index point : loose_) {
            SurveyGap gap = nearest_to(point, reach_in_snaps * snap_);
            gap.kind = SurveyGap::Kind::loose_end;
            if (std::isfinite(gap.distance)) result_.gaps.push_back(gap);
        }
        for (std::size_t i = 0; i < survey_.points.size(); ++i) {
            if (met[i] != 0) continue;
            const auto point = static_cast<Index>(i);
            SurveyGap gap;
            gap.point = point;
            if (survey_.points[i].has_place) gap = nearest_to(point, reach_in_snaps * snap_);
            gap.kind = SurveyGap::Kind::point_off;
            result_.gaps.push_back(gap);
        }
    }

    void find_twins() {
        for (std::size_t i = 0; i < survey_.points.size(); ++i) {
            const SurveyPoint& point = survey_.points[i];
            if (!point.has_place) continue;
            for (const std::size_t other : near(point_tree_, point.place, snap_)) {
                if (other <= i || other >= survey_.points.size()) continue;
                const double away = distance(survey_.points[other].place, point.place);
                const bool alike = survey_.points[other].kind == point.kind;
                if (away <= (alike ? snap_ : slight))
                    result_.twins.push_back({static_cast<Index>(i), static_cast<Index>(other), away});
            }
        }
    }

    const Survey& survey_;
    const double snap_;
    JoinedSurvey result_;
    std::vector<std::array<Index, 2>> ends_;                   ///< by line: the points that it ends at
    std::vector<std::vector<Cut>> cuts_;                       ///< by line
    std::vector<std::pair<std::size_t, std::size_t>> pieces_;  ///< line, and the vertex where it ends
    Tree piece_tree_, point_tree_;
    std::vector<LineEnd> open_;
    std::vector<Index> loose_;
    std::set<std::string> names_;
    int made_ = 0;
};

}  // namespace

JoinedSurvey join_survey(const Survey& survey, double snap) {
    return Joining(survey, snap).join();
}

}  // namespace evenhead::model
