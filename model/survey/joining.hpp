// Surveyed points and lines, joined to pipes that meet: ends snapped, joints on the middle of a line found,
// and what nearly meets or is there twice reported.
#pragma once

#include <array>
#include <limits>
#include <string>
#include <vector>

#include "model/system.hpp"

namespace evenhead::model {

/// A place on the drawing, m: x east, y north.
using SurveyPlace = std::array<double, 2>;

struct SurveyPoint {
    std::string id;
    PointKind kind = PointKind::plain;
    bool directed = false;  ///< a valve, or a device that is entered and left by certain pipes
    bool has_place = false;
    SurveyPlace place{};
};

/// A pipe, or several in a row, as surveyed.
struct SurveyLine {
    std::string id;
    std::vector<SurveyPlace> way;  ///< two or more; empty: only its ends are known
    /// Points that it names as its ends; a line that names both is left whole and as it is drawn.
    Index from = none, to = none;
    bool named() const { return from != none && to != none; }
};

struct Survey {
    std::vector<SurveyPoint> points;
    std::vector<SurveyLine> lines;
};

/// A pipe between two points of the joined survey.
struct JoinedPipe {
    Index line = none;
    Index from = none, to = none;  ///< of JoinedSurvey::points
    std::vector<SurveyPlace> bends;
    bool whole = true;    ///< all of its line
    bool turned = false;  ///< runs against the line as drawn: water enters and leaves a valve its way
};

/// What nearly meets: reported, never joined.
struct SurveyGap {
    enum class Kind {
        loose_end,  ///< the end of a line, beyond the snap from something else
        point_off,  ///< a point that no line comes to
        far_end,    ///< the end of a line, farther than the snap from the point that it names
    } kind = Kind::loose_end;
    Index point = none;  ///< of JoinedSurvey::points
    SurveyPlace place{};
    double distance = std::numeric_limits<double>::infinity();  ///< m to what is nearest
    Index near_point = none, near_line = none;                  ///< one of them, or neither
};

/// Two points of one kind no farther apart than the snap.
struct SurveyTwins {
    Index one = none, other = none;
    double distance = 0;  ///< m
};

struct JoinedSurvey {
    std::vector<SurveyPoint> points;  ///< those of the survey, then the joints and ends made, J1, J2 ...
    std::vector<JoinedPipe> pipes;    ///< in the order of the lines
    std::size_t snapped = 0;          ///< ends of lines moved to something by more than nothing
    double farthest_snap = 0;         ///< m
    std::size_t joints = 0;           ///< points within the way of a line, which is parted there
    std::size_t turned = 0;
    std::vector<Index> undirected;  ///< points whose inlet and outlet the lines do not tell apart
    std::vector<SurveyGap> gaps;
    std::vector<SurveyTwins> twins;
};

/// Joins what lies no farther apart than `snap` (m). Loose ends look for what they nearly meet up to ten
/// times as far. The same survey gives the same answer; the order of lines decides only names and, of
/// equally near things, which.
JoinedSurvey join_survey(const Survey& survey, double snap);

}  // namespace evenhead::model
