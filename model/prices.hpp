// What things cost: a case's own prices first, then the shipped list, which is invented and says so.
#pragma once

#include <optional>
#include <string_view>

#include "model/system.hpp"

namespace evenhead::model {

enum class PriceSource {
    from_case,  ///< a row of `prices`
    invented,   ///< the shipped list
};

/// Money for one, or for a metre of what is sold by length. No currency: that of whoever gave it.
struct UnitPrice {
    double value = 0;
    PriceSource source = PriceSource::from_case;
};

/// A metre of pipe of this kind and nominal size; empty where nobody gives it.
std::optional<UnitPrice> pipe_price(const System& system, std::string_view kind, std::string_view nominal);

}  // namespace evenhead::model
