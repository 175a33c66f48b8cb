// The list of pipe prices that ships with the program: invented, for examples and first comparisons.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace evenhead::model {

/// One row (see catalogue/prices.txt).
struct ListedPrice {
    std::string kind, nominal;  ///< as in the catalogue of pipes
    double price = 0;           ///< per m
};

/// Built once; thread safe.
const std::vector<ListedPrice>& price_list();

/// The listed price of a metre of pipe; empty where the list has none.
std::optional<double> listed_price(std::string_view kind, std::string_view nominal);

}  // namespace evenhead::model
