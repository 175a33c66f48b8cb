// Nozzles: rows of pressure and flow, throw radius, limits.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "io/read/charts.hpp"

namespace evenhead::io {
namespace {

using model::ChartRow;
using model::Dimension;
using model::Nozzle;
using model::OptionalQuantity;
using model::Quantity;

constexpr std::string_view nozzles_keys[] = {"id",  "pressure", "flow", "radius", "exponent",
                                             "min", "design",   "max",  "shape"};

// Flow that follows pressure so little that doubles cannot tell the pressure from the flow. 0 is another
// matter: there the balance finds the pressure from the rest of the system.
constexpr double least_exponent = 0.001;

void read_rows(const Fields& fields, Nozzle& nozzle) {
    nozzle.rows = read_chart(fields, {"pressure", Dimension::pressure, Least::above_zero},
                             {"flow", Dimension::flow, Least::above_zero});
    if (nozzle.rows.empty()) return;
    std::vector<Quantity> flows;
    for (const ChartRow& row : nozzle.rows) flows.push_back(row.value);
    check_order(fields, "flow", flows, Order::never_falling);
    for (std::size_t i = 0; i + 1 < nozzle.rows.size(); ++i) {
        const ChartRow &low = nozzle.rows[i], &high = nozzle.rows[i + 1];
        if (!(low.at.value > 0)) continue;  // refused already
        const double rise = std::log(high.value.value / low.value.value);
        if (rise > 0 && rise < least_exponent * std::log(high.at.value / low.at.value))
            fields.error(chart_cells(*fields.find("flow"))[i + 1],
                         "flow hardly rises from the row before: it would not tell the pressure",
                         "write the same flow in both rows");
    }
}

void read_exponent(const Fields& fields, Nozzle& nozzle) {
    const auto exponent = fields.quantity("exponent", Dimension::none);
    if (!exponent) return;
    const Cell& cell = *fields.find("exponent");
    if (nozzle.rows.size() > 1) {
        if (fields.own("exponent"))
            fields.error(cell, "exponent is given beside several rows",
                         "leave exponent out: the rows say how flow follows pressure");
        return;
    }
    if (exponent->value < 0 || exponent->value > 1)
        fields.error(cell, fmt::format("{} is not from 0 to 1", shown("exponent", cell)),
                     "0.5 is an orifice, 0 a constant flow; leave it out for 0.5");
    else if (exponent->value > 0 && exponent->value < least_exponent)
        fields.error(cell,
                     fmt::format("{} is neither 0 nor {} or more", shown("exponent", cell), least_exponent),
                     "write 0 for a flow that does not follow the pressure");
    nozzle.exponent = exponent->value;
    // An answer that needs the flow then refuses the nozzle by name.
    if (!exponent->known() && !nozzle.rows.empty()) nozzle.rows[0].value = {};
}

void read_radius(const Fields& fields, Nozzle& nozzle) {
    const Cell* cell = fields.find("radius");
    if (!cell) return;
    nozzle.radius = fields.column("radius", Dimension::length);
    const auto cells = chart_cells(*cell);
    for (std::size_t i = 0; i < cells.size(); ++i)
        if (nozzle.radius[i].value < 0)
            fields.error(cells[i], fmt::format("{} is negative", shown("radius", cells[i])),
                         "a radius is 0 or more");
    if (cell->kind != Cell::Kind::list && nozzle.radius.size() == 1)
        nozzle.radius.resize(std::max<std::size_t>(nozzle.rows.size(), 1),
                             nozzle.radius[0]);  // the same at every pressure
    if (nozzle.radius.size() != nozzle.rows.size() && !nozzle.rows.empty())
        fields.error(*cell,
                     fmt::format("pressure and radius are not of equal length ({} and {})",
                                 nozzle.rows.size(), nozzle.radius.size()),
                     "give one radius for each pressure, or one number for all");
}

void read_limits_of(const Fields& fields, Nozzle& nozzle) {
    nozzle.min = fields.zero_or_more("min", Dimension::pressure);
    nozzle.design = fields.above_zero("design", Dimension::pressure);
    nozzle.max = fields.above_zero("max", Dimension::pressure);
    const auto above = [](const OptionalQuantity& low, const OptionalQuantity& high) {
        return low && high && low->value > high->value;
    };
    if (above(nozzle.min, nozzle.max))
        fields.error(
            *fields.find("min"),
            fmt::format("min {} is above max {}", shown(*fields.find("min")), shown(*fields.find("max"))),
            "min is the lowest pressure the nozzle works at, max the highest");
    else if (above(nozzle.min, nozzle.design) || above(nozzle.design, nozzle.max))
        fields.warn(fields.find("design")->place, "design is not between min and max",
                    "check the three pressures");
}

void read_shape(const Fields& fields, Nozzle& nozzle) {
    const Cell* cell = fields.find("shape");
    if (!cell) return;
    nozzle.shape = fields.pairs("shape", Dimension::none, Dimension::none);
    double before = -1;
    bool waters = false, right = true;
    for (const auto& [fraction, rate] : nozzle.shape) {
        right = right && fraction > before && fraction >= 0 && fraction <= 1 && rate >= 0;
        waters = waters || rate > 0;
        before = fraction;
    }
    if (!nozzle.shape.empty() && !(right && waters))
        fields.error(*cell, "shape is no fall of water along the radius",
                     "write rows of fraction of the radius (rising, 0 to 1) and relative rate (0 or more): "
                     "[[0, 1], [1, 0]]");
}

void read_nozzles(CaseReader& reader) {
    reader.each_row("nozzles", [&](const Row& row) {
        Fields fields(reader, nozzles_table, row);
        fields.exclude_defaults_if_own({"pressure", "flow"});
        const auto id = fields.id();
        Nozzle nozzle;
        nozzle.place = row.place;
        read_rows(fields, nozzle);
        read_exponent(fields, nozzle);
        read_radius(fields, nozzle);
        read_limits_of(fields, nozzle);
        read_shape(fields, nozzle);
        if (!id) return;
        nozzle.id = *id;
        if (const model::Index taken = reader.nozzles.find(*id); taken != model::none) {
            fields.error(row.place,
                         fmt::format("a nozzle {} is already given on {}", quoted(*id),
                                     reader.place_words(at(reader.system.nozzles, taken).place, row.place)),
                         "give one of the two another id");
            return;
        }
        reader.system.nozzles.push_back(std::move(nozzle));
        reader.nozzles.find_or_add(*id, last(reader.system.nozzles));
    });
}

}  // namespace

const TableReader nozzles_table{"nozzles", nozzles_keys, read_nozzles};

}  // namespace evenhead::io
