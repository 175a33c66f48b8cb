// The pipe catalogue printed: the list of kinds, and one kind with its sizes. Each in the units of its
// standard: inches and psi, or millimetres and bar.
#pragma once

#include <string>

#include "io/write/layout.hpp"
#include "model/catalogue.hpp"

namespace evenhead::io {

/// A line for each kind: name, standard, material, C and range of sizes.
std::string kinds_text(const Page& page);
/// `{schema, kinds: [...]}` with what kind_json gives of each, sizes included; ends in a newline.
std::string kinds_json();
/// `name,standard,material,c,smallest,largest,unit`, a line for each kind.
std::string kinds_csv();

/// One kind: what its sizes share, the table of sizes, how the bore follows, the rating and what warm water
/// leaves of it.
std::string kind_text(const model::PipeKind& kind, const Page& page);
/// `{schema, name, standard, material, c, roughness, modulus, units, bore_rule, rating_rule, source, sizes:
/// [{nominal, outside, wall, bore, rating}], rating_factors: [{temperature, factor}],
/// rating_factors_source}`; numbers in `units`, null where nothing is known; ends in a newline.
std::string kind_json(const model::PipeKind& kind);
/// `kind,nominal,unit,outside,wall,bore,rating_unit,rating`, a line for each size.
std::string kind_csv(const model::PipeKind& kind);

}  // namespace evenhead::io
