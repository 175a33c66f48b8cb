// Orders and prices. A line's price is that of the case (its item and what stands behind it, else its item
// alone), else the shipped one, which is invented.
#include <algorithm>
#include <cmath>

#include "model/takeoff/takeoff_parts.hpp"

namespace evenhead::model::takeoff {
namespace {

constexpr double inch = 0.0254;
constexpr double cents = 100;

/// What a price row may name a line by: "1 x 3/4", a nozzle's id, a gauge.
std::string sizes_text(const TakeoffLine& line) {
    std::string text;
    for (const TakeoffSize& size : line.sizes) text += (text.empty() ? "" : " x ") + size.nominal;
    return text + line.of;
}

/// The row of `prices` that fits the line best; `used` marks every row that fits.
std::optional<UnitPrice> case_price(const System& system, const TakeoffLine& line, std::vector<char>& used) {
    const std::string_view item = kind_of(line.item).name;
    const std::string sizes = sizes_text(line);
    const std::string whole = line.family.empty() ? sizes : line.family + (sizes.empty() ? "" : " " + sizes);
    const Price* best = nullptr;
    int rank = 0;
    for (std::size_t i = 0; i < system.prices.size(); ++i) {
        const Price& price = system.prices[i];
        if (price.item != item || !price.price.known()) continue;
        const int fits = price.size.empty()          ? 1
                         : price.size == line.family ? 2
                         : price.size == sizes       ? 3
                         : price.size == whole       ? 4
                                                     : 0;
        if (fits > 0) used[i] = 1;
        if (fits <= rank) continue;
        rank = fits;
        best = &price;
    }
    if (best == nullptr) return std::nullopt;
    return UnitPrice{best->price.value, PriceSource::from_case};
}

std::optional<UnitPrice> shipped_price(const TakeoffRules& rules, const TakeoffLine& line, UnitSystem units) {
    const auto& rule = rules.prices[static_cast<std::size_t>(line.item)];
    if (!rule) return std::nullopt;
    double diameter = 0;
    for (const TakeoffSize& size : line.sizes)
        if (!(size.diameter <= diameter)) diameter = size.diameter;  // what is not known stays not known
    if (rule->power > 0 && !(diameter > 0)) return std::nullopt;
    double value = rule->at_one_inch * (rule->power > 0 ? std::pow(diameter / inch, rule->power) : 1);
    const std::string family = line.family.substr(0, line.family.find(" to "));
    if (kind_of(line.item).section == TakeoffSection::fittings) value *= rules.family_factor(family);
    // In whole cents of what the case measures by, so that a reader can multiply what he sees.
    const double unit = line.by_length() && units == UnitSystem::us ? 0.3048 : 1;
    value = std::max(1.0, std::round(value * unit * cents)) / cents / unit;
    return UnitPrice{value, PriceSource::invented};
}

}  // namespace

void price_lines(const Subject& subject, Takeoff& result) {
    const auto& prices = subject.system.prices;
    std::vector<char> used(prices.size(), 0);
    for (TakeoffLine& line : result.lines) {
        if (!line.by_length()) line.quantity = std::round(line.quantity);  // shares of a box are a third, ...
        constexpr double slight = 1e-9;
        line.ordered = line.piece > 0
                           ? std::max(0.0, std::ceil(line.quantity * (1 + line.waste) / line.piece - slight))
                           : line.quantity;
        if (line.item == TakeoffItem::pipe) {
            if (!line.sizes.front().nominal.empty())
                line.price = pipe_price(subject.system, line.family, line.sizes.front().nominal);
        } else {
            line.price = case_price(subject.system, line, used);
            if (!line.price) line.price = shipped_price(subject.rules, line, subject.system.units);
        }
        if (!line.price) continue;
        line.cost = line.price->value * line.paid();
        result.cost += line.cost;
        ++result.priced;
        if (line.price->source == PriceSource::invented) ++result.invented;
    }
    for (std::size_t i = 0; i < prices.size(); ++i)
        if (used[i] == 0 && !prices[i].item.empty() && !prices[i].size.empty())
            result.unused_prices.push_back(static_cast<Index>(i));
}

}  // namespace evenhead::model::takeoff
