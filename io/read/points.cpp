// Points: those without a row of their own kind, and the supplies.
#include "io/read/points.hpp"

#include <fmt/format.h>

#include "io/read/charts.hpp"

namespace evenhead::io {

using model::Dimension;
using model::Index;
using model::PointKind;
using model::Quantity;
using model::Supply;

namespace {

constexpr std::string_view points_keys[] = {"id", "elev", "x", "y", "note"};

void read_points(CaseReader& reader) {
    reader.each_row("points", [&](const Row& row) {
        const Fields fields(reader, points_table, row);
        const auto id = fields.id();
        if (!id) return;
        const Index point = reader.add_point(*id, PointKind::plain, model::none, row.place);
        if (point != model::none) read_place(fields, point);
    });
}

constexpr std::string_view supplies_keys[] = {"id", "static", "flow", "residual", "elev", "x", "y", "note"};

void read_tests(Fields& fields, Supply& supply) {
    CaseReader& reader = fields.reader();
    fields.exclude_defaults_if_own({"flow", "residual"});
    if (!fields.has("flow") && !fields.has("residual")) {
        reader.assume(fields.row(), "supply", "holds its static pressure at any flow",
                      "no flow test is given");
        return;
    }
    supply.tests = read_chart(fields, {"flow", Dimension::flow, Least::above_zero},
                              {"residual", Dimension::pressure, Least::any});
    if (supply.tests.empty()) {
        reader.graph_sound = false;  // it would pass for a supply that holds its pressure
        return;
    }
    const auto residuals = chart_cells(*fields.find("residual"));
    const model::ChartRow& first = supply.tests.front();
    if (first.value.value >= supply.static_pressure.value)
        fields.error(residuals[0],
                     fmt::format("residual {} is not below static {}", shown(residuals[0]),
                                 shown(*fields.find("static"))),
                     "the pressure falls when water flows: check which of the two is which");
    std::vector<Quantity> falling;
    for (const model::ChartRow& test : supply.tests) falling.push_back(test.value);
    check_order(fields, "residual", falling, Order::falling);
}

void read_supplies(CaseReader& reader) {
    reader.each_row("supplies", [&](const Row& row) {
        Fields fields(reader, supplies_table, row);
        const auto id = fields.id();
        Supply supply;
        if (const auto pressure = fields.quantity("static", Dimension::pressure))
            supply.static_pressure = *pressure;
        else
            fields.missing(
                "static",
                "give the pressure at no flow (0 at an open water surface, \"?\" where nobody knows)");
        if (supply.static_pressure.value < 0)
            fields.warn(fields.find("static")->place, "the supply is below atmospheric pressure",
                        "for open water write static = 0 and its surface as elev");
        read_tests(fields, supply);
        if (!id) return;
        supply.point = reader.add_point(*id, PointKind::supply, last(reader.system.supplies) + 1, row.place);
        if (supply.point == model::none) return;
        reader.system.supplies.push_back(std::move(supply));
        read_place(fields, reader.system.supplies.back().point);
    });
    if (reader.count_rows("supplies") == 0 && reader.undefined_names_count())
        reader.error({0, 1, 1}, "the case", "a case without a supply",
                     "say where the water comes from: supplies = [ { id = \"street\", static = 60 }, ]");
}

}  // namespace

void read_place(const Fields& fields, Index index) {
    model::Point& point = at(fields.reader().system.points, index);
    point.elevation = fields.quantity("elev", Dimension::length);
    point.x = fields.quantity("x", Dimension::length);
    point.y = fields.quantity("y", Dimension::length);
    if (std::string note = fields.text("note"); !note.empty()) point.note = std::move(note);
    if (point.x.has_value() != point.y.has_value())
        fields.missing(point.x ? "y" : "x", "x (east) and y (north) go together");
}

const TableReader points_table{"points", points_keys, read_points};
const TableReader supplies_table{"supplies", supplies_keys, read_supplies};

}  // namespace evenhead::io
