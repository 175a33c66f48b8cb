// Pipe sizes: "kind size" looked up in the case's own kinds and in the catalogue.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "io/read/fields.hpp"
#include "model/system.hpp"

namespace evenhead::io {

/// A size as it is written ("1-1/4", 1, "?"). Empty, and said, where it is no size at all (a date, a list).
std::string_view read_size_text(const Fields& fields, std::string_view key);

/// Resolves "kind size", or a size alone where `kind` (empty: none) says of what. Nothing, and said, where
/// nobody defines it; a size "?" is known by its kind only.
std::optional<model::Shared<model::PipeSize>> resolve_size(const Fields& fields, const Cell& cell,
                                                           std::string_view kind);

/// One size for all pipes of these values.
model::Shared<model::PipeSize> shared_size(CaseReader& reader, model::PipeSize size);

/// Reads `c` and `roughness` of a row; where neither the row nor the size has them, those of smooth plastic
/// are assumed.
void set_friction(const Fields& fields, model::PipeSize& size, const std::string& subject);
void set_friction(const Fields& fields, model::Shared<model::PipeSize>& size, const std::string& subject);

}  // namespace evenhead::io
