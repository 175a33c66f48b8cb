// The crew's sheets: what is laid, wired, flushed, measured, drained and blown out, each a page of its own.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "io/write/layout.hpp"
#include "io/write/output.hpp"
#include "io/write/sentences.hpp"
#include "model/crew_table.hpp"
#include "model/takeoff/routes.hpp"
#include "model/takeoff/takeoff.hpp"
#include "solver/crew/gauges.hpp"

namespace evenhead::io {

/// A column of a table. `key` heads it in JSON and CSV, `title` and `unit` for people.
struct SheetColumn {
    std::string key, title, unit{};
    bool number = false;
    bool blank = false;   ///< to be filled in by hand
    bool detail = false;  ///< left out of text and page, where there is no room for it
    bool roomy = false;   ///< left out of narrow text alone
};

struct SheetCell {
    std::string words;  ///< as people read it; as it stands in JSON and CSV where it is no number
    double number = 0;  ///< of a column of numbers, in the unit of the column; NaN: not known
};

struct SheetTable {
    std::string name;   ///< "crossings": --table, and its key in JSON
    std::string title;  ///< what it lists, with its order
    std::vector<SheetColumn> columns;
    std::vector<std::vector<SheetCell>> rows;
    bool form = false;  ///< of CSV alone: to be filled in and read again
};

struct CrewSheet {
    std::string name, title;          ///< "flow-limits", "Flow-sensor limits"
    std::vector<std::string> answer;  ///< sentences before the tables
    std::vector<SheetTable> tables;
    std::vector<std::string> notes;  ///< what was counted with, and how it is read
    std::vector<std::string> cautions;
};

/// What the sheets are made of. `measured`: of the sheets commissioning and flow-limits alone; null: left
/// out.
struct CrewSubject {
    const Speaker& speaker;
    const model::Layout& layout;
    const model::Takeoff& takeoff;
    const model::TakeoffRules& rules;
    const model::CrewTable& table;
    std::string case_path;
    const solver::Commissioning* measured = nullptr;
    std::string gauge{};  ///< of the wire, a name of the table; empty: that of the take-off
};

/// Names of the sheets in their order, and of the tables with the sheet that has them.
const std::vector<std::string_view>& sheet_names_of_crew();
const std::vector<std::pair<std::string_view, std::string_view>>& crew_tables();
/// True where the sheet needs the runs balanced.
bool needs_balance(std::string_view sheet);

/// The sheets of these names.
std::vector<CrewSheet> crew_sheets(const CrewSubject& subject, const std::vector<std::string>& names);

void write_sheets_text(Output& output, const CrewSubject& subject, const std::vector<CrewSheet>& sheets,
                       const Page& page);
/// `{schema, case, units, sheets: [{sheet, title, answer, <table>: [rows], notes, cautions}], warnings}`.
void write_sheets_json(Output& output, const CrewSubject& subject, const std::vector<CrewSheet>& sheets,
                       const std::vector<model::Issue>& warnings, const std::vector<std::string>& files);
/// One page of HTML, to open in a browser or to print: each sheet begins a printed page.
void write_sheets_page(Output& output, const CrewSubject& subject, const std::vector<CrewSheet>& sheets);
/// One table, with its keys in the first line.
void write_sheet_csv(Output& output, const SheetTable& table);

}  // namespace evenhead::io
