// CSV lines that belong together: a chart over several lines, and columns with a dotted key.
#include <fmt/format.h>

#include <algorithm>

#include "io/excerpt.hpp"
#include "io/read/csv.hpp"

namespace evenhead::io {

namespace {

/// The columns of a table that make charts; where there are none, every line is a row of its own.
std::vector<std::string_view> chart_columns(std::string_view table) {
    if (table == "supplies") return {"flow", "residual"};
    if (table == "devices") return {"flow", "loss", "rise"};
    if (table == "valves") return {"flow", "loss"};
    if (table == "nozzles") return {"pressure", "flow", "radius"};
    if (table == "heads") return {"own_valve.flow", "own_valve.loss"};
    return {};
}

Cell* find_cell(Row& row, std::string_view key) {
    const auto found =
        std::find_if(row.cells.begin(), row.cells.end(), [&](const auto& cell) { return cell.first == key; });
    return found == row.cells.end() ? nullptr : &found->second;
}

/// What one line says of a key, where the row may hold a list already.
std::string_view first_text(const Cell& cell) {
    return cell.kind == Cell::Kind::list ? cell.items.front().text : cell.text;
}

void append(Cell& chart, Cell value) {
    if (chart.kind != Cell::Kind::list) {
        Cell list;
        list.kind = Cell::Kind::list;
        list.csv = true;
        list.place = chart.place;
        list.items.push_back(std::move(chart));
        chart = std::move(list);
    }
    chart.items.push_back(std::move(value));
}

}  // namespace

bool is_chart_column(std::string_view table, std::string_view key) {
    const std::vector<std::string_view> charts = chart_columns(table);
    return std::find(charts.begin(), charts.end(), key) != charts.end();
}

bool continue_chart(std::string_view table, Row& before, Row& line, std::vector<model::Issue>& errors) {
    const std::vector<std::string_view> charts = chart_columns(table);
    const auto in_chart = [&](std::string_view key) {
        return std::find(charts.begin(), charts.end(), key) != charts.end();
    };
    const Cell* const known_id = before.find("id");
    const Cell* const same = line.find("id");
    if (!known_id || (same && same->text != known_id->text)) return false;
    const std::string_view id = known_id->text;  // the cells move below
    if (std::none_of(line.cells.begin(), line.cells.end(),
                     [&](const auto& cell) { return in_chart(cell.first); }))
        return false;
    for (auto& [key, cell] : line.cells) {
        Cell* const known = find_cell(before, key);
        if (!known)
            before.cells.emplace_back(key, std::move(cell));
        else if (in_chart(key))
            append(*known, std::move(cell));
        else if (first_text(*known) != cell.text)
            errors.push_back(
                {cell.place, std::string(id),
                 fmt::format("{} stands on line {} already, and its {} differs: {} there, {} here",
                             quoted(id), known->place.line, key, quoted(known->text), quoted(cell.text)),
                 fmt::format(
                     "give this line an id of its own, or leave its {} empty if it continues the chart",
                     key)});
    }
    return true;
}

void gather_dotted_keys(Row& row) {
    std::vector<std::pair<std::string_view, Cell>> gathered;
    gathered.reserve(row.cells.size());
    for (auto& [key, cell] : row.cells) {
        const std::size_t dot = key.find('.');
        if (dot == std::string_view::npos) {
            gathered.emplace_back(key, std::move(cell));
            continue;
        }
        const std::string_view outer = key.substr(0, dot);
        auto group = std::find_if(gathered.begin(), gathered.end(),
                                  [&](const auto& known) { return known.first == outer; });
        if (group == gathered.end()) {
            Cell table;
            table.kind = Cell::Kind::table;
            table.csv = true;
            table.place = cell.place;
            group = gathered.emplace(gathered.end(), outer, std::move(table));
        }
        group->second.fields.emplace_back(key.substr(dot + 1), std::move(cell));
    }
    row.cells = std::move(gathered);
}

}  // namespace evenhead::io
