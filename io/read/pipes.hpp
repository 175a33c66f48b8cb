// Making pipes: what rows of `pipes` and laterals have in common.
#pragma once

#include <optional>
#include <string_view>

#include "io/read/fields.hpp"
#include "model/system.hpp"

namespace evenhead::io {

/// What every pipe that a row makes has in common.
struct Making {
    model::Pipe pipe;
    model::OptionalQuantity uphill;  ///< m, what each of them rises
};

/// Reads all keys but those of the ends. `size` is the cell that gives the size (nullptr: none, then bore
/// must), `kind` the kind of a size alone (empty: none).
Making read_making(const Fields& fields, const Cell* size, std::string_view kind);

/// The `kind` of a row; empty where it has none.
std::string_view kind_of(const Fields& fields);

/// Adds a pipe between two ids; `length` not given: from coordinates. A pipe without `id` is called from-to.
model::Index add_pipe(const Fields& fields, const Making& making, std::string_view from, std::string_view to,
                      const model::OptionalQuantity& length, std::optional<std::string_view> id);

/// Second look at the laterals, once the rows of `pipes` are read: makes their pipes.
void make_lateral_pipes(CaseReader& reader);

}  // namespace evenhead::io
