// What is to be sized: the open pipes, the sizes that each may take with what they cost, and every situation
// (the case as given, and under each of its conditions) in which every run must keep its limits.
#pragma once

#include <string>
#include <vector>

#include "model/graph.hpp"
#include "model/system.hpp"
#include "solver/balance/result.hpp"

namespace evenhead::solver {

struct SizingChoice {
    model::Shared<model::PipeSize> size;
    double cost = 0;  ///< of the whole pipe: money, or m3 of wall
};

/// A pipe whose size is looked for; its kind stays.
struct OpenPipe {
    Index pipe = model::none;
    std::vector<SizingChoice> choices;  ///< of rising bore, at least one
    Index feeder = model::none;         ///< the pipe that it may not exceed; none: no such limit

    /// The position of the choice of least cost, the first of equal ones.
    int cheapest() const;
};

/// A design: the position of each open pipe's choice.
using Design = std::vector<int>;

/// What the cost of a design is.
enum class CostBasis {
    prices,      ///< money, by the prices of the case
    price_list,  ///< money, the shipped list (invented) where the case gives no price
    volume,      ///< m3 of plastic or metal in the walls
};

struct SizingProblem {
    model::System system;  ///< as read; open pipes bear their first choice
    model::Layout layout;
    std::vector<OpenPipe> open;
    std::vector<int> open_of_pipe;  ///< by pipe: position in `open`, or -1
    std::vector<Index> runs;        ///< the runs that must keep their limits
    CostBasis basis = CostBasis::volume;
    bool may_grow = false;
    /// Larger choices lose less at every flow, under every condition. Else nothing can be concluded from a
    /// size to the next.
    bool ordered = true;

    struct Situation {
        Index condition = model::none;  ///< none: the case as given
        model::System system;
        model::Layout layout;
    };
    std::vector<Situation> situations;  ///< the first is the case as given

    double cost(const Design& design) const;
    /// The system of a situation with the sizes of a design.
    model::System sized(std::size_t situation, const Design& design) const;
    /// The size that a choice is in a situation.
    model::Shared<model::PipeSize> size_in(std::size_t situation, std::size_t open_pipe, int choice) const;
    /// False where a pipe exceeds the one that feeds it.
    bool telescopes(const Design& design) const;
    /// How many designs there are, those that do not telescope counted too; infinite beyond double.
    double designs() const;
};

/// Water may pass the pipe in the run: it is on the mainline, or in a zone that the run opens.
bool concerns(const model::System& system, const model::Layout& layout, Index run, Index pipe);

/// True where `pipe` is larger than its feeder: in bore, unless both have the same nominal size.
bool exceeds(const model::PipeSize& pipe, const model::PipeSize& feeder);

struct SizingQuestion {
    bool all = false;         ///< every pipe of a known kind, not only those of size "?"
    bool may_grow = false;    ///< a pipe may be larger than the one that feeds it
    bool price_list = false;  ///< the shipped list serves where the case gives no price
};

/// A problem, or what the case lacks for it (no kind, no price, no wall); then the problem is of no use.
struct SizingProblemOrIssues {
    SizingProblem problem;
    std::vector<model::Issue> issues;
};
SizingProblemOrIssues make_sizing_problem(const model::System& system, const model::Layout& layout,
                                          const SizingQuestion& question);

/// By pipe: the pipe of the same zone (or of a mainline that is a tree with one supply) that feeds it, none
/// where there is none or water may come from two sides. A device hands on the pipe before it.
std::vector<Index> find_feeders(const model::System& system, const model::Layout& layout);

}  // namespace evenhead::solver
