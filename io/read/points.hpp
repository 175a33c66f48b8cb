// What any point may say, and the valves of its own that a head may have.
#pragma once

#include "io/read/fields.hpp"
#include "model/system.hpp"

namespace evenhead::io {

/// Reads elev, x, y and note into a point.
void read_place(const Fields& fields, model::Index index);

/// Reads the keys of a zone control valve: a row of `valves`, or a head's `own_valve`. Its point is up to the
/// caller.
model::Valve read_valve(Fields& fields);

/// Adds a head without anything but its point; where the id is taken, says so and returns none.
model::Index add_head(CaseReader& reader, std::string_view id, const model::Place& place);

/// The keys that a head's `own_valve` may have; not a table of the case.
extern const TableReader own_valve_keys;

}  // namespace evenhead::io
