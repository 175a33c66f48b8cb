// The take-off as a workbook: counts are sums over a sheet of elements, orders and costs follow from them.
#pragma once

#include "io/write/takeoff.hpp"

namespace evenhead::io {

/// Throws WriteError.
void write_takeoff_book(Output& output, const TakeoffSubject& subject);

}  // namespace evenhead::io
