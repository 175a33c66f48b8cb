// The steps of a take-off and what they share. Not installed: use takeoff.hpp.
#pragma once

#include <map>
#include <optional>
#include <span>
#include <tuple>

#include "model/position.hpp"
#include "model/takeoff/takeoff.hpp"

namespace evenhead::model::takeoff {

using Vector = std::array<double, 2>;

/// What a pipe's size means for its fittings.
struct PipeFacts {
    const PipeRule* rule = nullptr;
    std::string kind;
    TakeoffSize size;
};

/// Lines while they grow: the same thing is one line, wherever it is found.
class Lines {
  public:
    struct Thing {
        TakeoffItem item = TakeoffItem::pipe;
        std::string family;
        std::vector<TakeoffSize> sizes;
        std::string of;
        double amount = std::numeric_limits<double>::quiet_NaN();
    };
    /// The line of this thing, with so much more of it from this element.
    TakeoffLine& add(const Thing& thing, const TakeoffElement& element);
    std::vector<TakeoffLine> take() { return std::move(lines_); }

  private:
    using Key = std::tuple<TakeoffItem, std::string, std::vector<std::string>, std::string, double>;
    std::map<Key, std::size_t> by_thing_;
    std::vector<TakeoffLine> lines_;
};

/// Everything that the steps look at.
struct Subject {
    const System& system;
    const Layout& layout;
    const TakeoffRules& rules;
    std::vector<const PipeFacts*> pipes;  ///< by pipe
    std::map<const PipeSize*, PipeFacts> facts;

    Subject(const System& of, const Layout& with, const TakeoffRules& by);
    const PipeFacts& facts_of(Index pipe) const { return *pipes[at(pipe)]; }
    const Pipe& pipe(Index index) const { return system.pipes[at(index)]; }
    const Point& point(Index index) const { return system.points[at(index)]; }
    /// Where a point lies, if the case says.
    std::optional<Vector> place(Index index) const;
    /// The way of a pipe over the ground: its ends and its bends; empty without coordinates of both ends.
    std::vector<Vector> way(Index index) const;
};

/// The end of a pipe at a point.
struct End {
    Index pipe = none;
    bool at_to = false;
    std::optional<Vector> away;  ///< unit vector along the pipe, away from the point
};

/// Ends of pipes that meet: at a plain point, supply or head, or on one side of a device or valve.
struct Meeting {
    Index point = none;
    bool outlet = false;
    std::vector<End> ends;
};
std::vector<Meeting> find_meetings(const Subject& subject);

/// Turn of the way through a point that two pipes leave in these directions: 0 goes straight on, 180 comes
/// back; degrees.
double turn(const Vector& one, const Vector& other);

/// True where two pipes go through a plain point without any fitting.
bool goes_through(const Subject& subject, const Meeting& meeting);

/// Fittings at points.
void count_fittings(const Subject& subject, const std::vector<Meeting>& meetings, Lines& lines);
/// Pipe in its pieces, elbows at its bends, and what joins the pieces.
void count_pipes(const Subject& subject, const std::vector<Meeting>& meetings, Lines& lines);
/// Valves, devices and their boxes.
void count_control(const Subject& subject, Lines& lines);
/// Heads, nozzles, swing joints and risers.
void count_heads(const Subject& subject, Lines& lines);
/// Trench; says how much pipe lies in the trench of another.
void count_trenches(const Subject& subject, Lines& lines, Takeoff& result);
/// Wire and connectors; says where it begins and to what no way leads.
void count_wire(const Subject& subject, const TakeoffOptions& options, Lines& lines, Takeoff& result);
/// Orders, prices and sums.
void price_lines(const Subject& subject, Takeoff& result);
/// What was assumed, in words.
void say_assumptions(const Subject& subject, Takeoff& result);

/// The size of an element's thread or of a valve: as given, else that of the pipe before it.
TakeoffSize size_of_valve(const Subject& subject, Index valve);
TakeoffSize size_of_device(const Subject& subject, Index device);
/// The thread of a head's inlet, by its flow.
TakeoffSize inlet_of(const Subject& subject, const Head& head);

/// Largest first; what is not known last.
bool larger(const TakeoffSize& one, const TakeoffSize& other);

}  // namespace evenhead::model::takeoff
