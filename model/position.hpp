// Positions are ints (-1: none, fixed); tables want std::size_t.
#pragma once

#include <cstddef>

namespace evenhead {

/// A position that is not negative, as an index into a table.
constexpr std::size_t at(int position) {
    return static_cast<std::size_t>(position);
}

}  // namespace evenhead
