#include <fmt/format.h>

#include <array>
#include <cmath>

#include "io/write/takeoff.hpp"
#include "model/position.hpp"

namespace evenhead::io {

using model::Dimension;
using model::TakeoffItem;
using model::TakeoffLine;

std::string_view section_title(model::TakeoffSection section) {
    constexpr std::array<std::string_view, model::takeoff_sections> titles{
        "Pipe", "Fittings", "Valves and devices", "Heads", "Wire", "Trench"};
    return titles[static_cast<std::size_t>(section)];
}

std::string takeoff_sizes(const Speaker& speaker, const TakeoffLine& line) {
    std::string text;
    for (const model::TakeoffSize& size : line.sizes) {
        if (!text.empty()) text += " x ";
        if (!size.nominal.empty())
            text += printable(size.nominal);
        else if (std::isnan(size.diameter))
            text += "?";
        else
            text += speaker.units.limit(size.diameter, Dimension::bore) + " bore";
    }
    return text;
}

std::string takeoff_label(const Speaker& speaker, const TakeoffLine& line) {
    std::string text(kind_of(line.item).name);
    switch (line.item) {
        case TakeoffItem::pipe:
            text.clear();
            break;
        case TakeoffItem::valve_box:
            return "valve box, standard";
        case TakeoffItem::large_valve_box:
            return "valve box, large";
        case TakeoffItem::round_valve_box:
            return "valve box, round";
        case TakeoffItem::valve_in_head:
            break;
        default:
            for (char& letter : text)
                if (letter == '-') letter = ' ';
    }
    for (const std::string& more : {line.family, takeoff_sizes(speaker, line), line.of})
        if (!more.empty()) text += (text.empty() ? "" : " ") + more;
    if (std::isnan(line.amount)) return text;
    if (kind_of(line.item).section == model::TakeoffSection::trench)
        return text + ", " + speaker.units.limit(line.amount, Dimension::bore) + " deep";
    return text + ", held to " + speaker.units.limit(line.amount, Dimension::pressure);
}

namespace {

/// Without the last bits that the way through metres leaves.
double tidy(double value) {
    constexpr double last = 1e9;
    return std::round(value * last) / last;
}

}  // namespace

double takeoff_quantity(const Speaker& speaker, const TakeoffLine& line, double quantity) {
    return line.by_length() ? tidy(speaker.units.in_unit(quantity, Dimension::length)) : quantity;
}

double takeoff_price(const Speaker& speaker, const TakeoffLine& line) {
    if (!line.price) return std::nan("");
    // Of the length that is shown, which `show` may have chosen.
    return line.by_length() ? tidy(line.price->value / speaker.units.in_unit(1, Dimension::length))
                            : line.price->value;
}

double takeoff_cost(const TakeoffLine& line) {
    return tidy(line.cost);
}

std::string money(double value) {
    return std::isnan(value) ? "-" : fmt::format("{:.2f}", value);
}

std::string takeoff_id(const Speaker& speaker, const model::TakeoffElement& element) {
    return element.pipe ? speaker.system.pipe_id(element.index) : speaker.system.point_id(element.index);
}

std::string takeoff_order(const Speaker& speaker, const TakeoffLine& line) {
    if (!(line.piece > 0)) return "";
    return fmt::format("{:.0f} x {}", line.ordered, speaker.units.limit(line.piece, Dimension::length));
}

std::string takeoff_cost_sentence(const model::Takeoff& takeoff) {
    const std::size_t without = takeoff.lines.size() - takeoff.priced;
    if (takeoff.priced == 0) return "Cost not known: nothing has a price.";
    std::string text = fmt::format("Cost {}", money(takeoff.cost));
    if (without > 0)
        text += fmt::format(", without {} that {} no price", counted(without, "line"),
                            without == 1 ? "has" : "have");
    text += takeoff.invented == 0                ? "; all prices are the case's."
            : takeoff.invented == takeoff.priced ? "; every price is invented: put in yours (prices)."
                                                 : fmt::format(
                                                       "; the prices of {} are invented (*): put in "
                                                       "yours (prices).",
                                                       counted(takeoff.invented, "line"));
    return text;
}

std::string takeoff_not_counted() {
    return "Not counted: the controller and its wiring to the mains, glue, tape and clamps, sleeves under "
           "paving, thrust blocks, gravel and backfill, spare parts, labour but for the trench, permits and "
           "tests.";
}

std::string takeoff_cautions() {
    return "For irrigation sprinklers, not for fire protection. " + takeoff_not_counted() +
           " Locate buried utilities before digging; the depth of trenches, the protection of the supply "
           "against backflow and whether this may be built are for the local code and a licensed irrigator "
           "or engineer to decide.";
}

}  // namespace evenhead::io
