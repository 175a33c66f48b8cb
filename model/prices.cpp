#include "model/prices.hpp"

#include <algorithm>
#include <string>

#include "model/price_list.hpp"

namespace evenhead::model {

std::optional<UnitPrice> pipe_price(const System& system, std::string_view kind, std::string_view nominal) {
    const std::string size = std::string(kind) + " " + std::string(nominal);
    const auto found = std::find_if(system.prices.begin(), system.prices.end(), [&](const Price& price) {
        return price.item.empty() && price.size == size;
    });
    if (found != system.prices.end() && found->price.known())
        return UnitPrice{found->price.value, PriceSource::from_case};
    if (const auto listed = listed_price(kind, nominal)) return UnitPrice{*listed, PriceSource::invented};
    return std::nullopt;
}

}  // namespace evenhead::model
