// Two cases of one system, drawn and built: what differs, and what each difference does to the heads that
// decide.
#pragma once

#include <string>
#include <vector>

#include "model/graph.hpp"
#include "model/system.hpp"
#include "solver/balance/result.hpp"

namespace evenhead::solver {

enum class ChangeKind { added, dropped, moved, resized, renozzled, changed };

/// What a change is about: a row of one of these tables, or the whole system.
struct ChangeSubject {
    enum class Table { supply, device, valve, head, pipe, nozzle, point, run, system } table = Table::system;
    Index drawn = model::none, built = model::none;  ///< positions of its row; none: it is not there
};

/// One side of a change: a number with its unit, words, a chart, or a place in plan.
struct ChangeValue {
    enum class Form { nothing, number, words, chart, place } form = Form::nothing;
    double number = 0;  ///< SI of `dimension`; of a place its x
    double y = 0;       ///< of a place
    model::Dimension dimension = model::Dimension::none;
    std::string words;
    std::vector<model::ChartRow> chart;
};

/// What a change does to the critical head of a run as drawn. Pa; NaN: no water reaches it, it is not there
/// any more, or nothing balances.
struct ChangeEffect {
    Index run = model::none, head = model::none;  ///< of the drawn system
    double alone = 0;                             ///< what its pressure gains by this change alone
    double together = 0;                          ///< by all changes
};

struct Change {
    ChangeKind kind = ChangeKind::changed;
    ChangeSubject subject;
    std::string key;  ///< of the case: "length", "static" ...; empty where the row itself is added or dropped
    ChangeValue from, to;
    std::size_t group = 0;  ///< changes of one group are made together: a pipe with the head it leads to
    std::string not_alone;  ///< why this change (with its group) cannot be made alone; empty: it can
    std::vector<ChangeEffect>
        effects;  ///< by run as drawn that has a critical head; empty where not_alone says why
};

/// A head that decides a run as drawn, in both systems. Pa; NaN as above.
struct ComparedHead {
    Index run = model::none, head = model::none;
    double drawn = 0, built = 0;
    double wanted = 0;  ///< as built, where the head is there; NaN: nothing
    Index built_run = model::none, built_head = model::none;  ///< what decides the same run as built
    double built_pressure = 0;                                ///< there
};

struct Comparison {
    std::vector<Change>
        changes;  ///< what costs a deciding head most first; what does nothing last, in file order
    std::vector<ComparedHead> deciding;
};

/// The differences alone, in the order of tables and rows, grouped. Rows are matched by their ids; pipes that
/// bear none of their own by their ends. A length that both systems take from coordinates is no difference of
/// its own where an end moved: it goes with that. Spreads, notes, places in files and what is not water
/// (limits, readings, prices) are not compared.
std::vector<Change> find_changes(const model::System& drawn, const model::System& built);

/// The drawn system with one group of changes made.
model::System with_changes(const model::System& drawn, const model::System& built,
                           const std::vector<Change>& changes, std::size_t group);

/// The differences with their effects, each by balancing the drawn system with it. Rows that are the same but
/// for their name are one change of the key "id" each. Throws
/// std::invalid_argument where a value that the balance needs is not known.
Comparison compare(const model::System& drawn, const model::Layout& drawn_layout, const model::System& built,
                   const model::Layout& built_layout, int threads = 0);

}  // namespace evenhead::solver
