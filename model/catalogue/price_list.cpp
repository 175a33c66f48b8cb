#include "model/price_list.hpp"

#include <algorithm>
#include <stdexcept>

#include "model/catalogue/reader.hpp"
#include "model/catalogue/tables.hpp"

namespace evenhead::model {
namespace {

std::vector<ListedPrice> read_list() {
    constexpr double metres_per_foot = 0.3048;
    std::vector<ListedPrice> list;
    tables::read(tables::prices, [&](const tables::Line& line) {
        if (line.key != "price" || line.words.size() != 4 || line.words[3] != "per-ft")
            throw std::invalid_argument("a row is: price KIND SIZE NUMBER per-ft");
        const double price = tables::number(line.words[2]) / metres_per_foot;
        if (!(price > 0)) throw std::invalid_argument("a price is above 0");
        list.push_back({std::string(line.words[0]), std::string(line.words[1]), price});
    });
    return list;
}

}  // namespace

const std::vector<ListedPrice>& price_list() {
    static const std::vector<ListedPrice> list = read_list();
    return list;
}

std::optional<double> listed_price(std::string_view kind, std::string_view nominal) {
    const auto& list = price_list();
    const auto row = std::find_if(list.begin(), list.end(), [&](const ListedPrice& of) {
        return of.kind == kind && of.nominal == nominal;
    });
    return row == list.end() ? std::nullopt : std::optional(row->price);
}

}  // namespace evenhead::model
