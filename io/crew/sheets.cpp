#include "io/crew/sheets.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "io/crew/sheet_parts.hpp"
#include "io/write/common_json.hpp"
#include "io/write/row_sinks.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;

constexpr double gallon = 0.003785411784;  // m3, 231 cubic inches

struct SheetKind {
    std::string_view name;
    CrewSheet (*make)(const CrewSubject&);
    bool balance;
};
constexpr std::array<SheetKind, 7> kinds{{
    {"pipes", pipes_sheet, false},
    {"valves", valves_sheet, false},
    {"flushing", flushing_sheet, false},
    {"commissioning", commissioning_sheet, true},
    {"flow-limits", flow_limits_sheet, true},
    {"drainage", drainage_sheet, false},
    {"winter", winter_sheet, false},
}};

class SheetsText {
  public:
    SheetsText(Output& output, const CrewSubject& subject, const Page& page)
        : output_(output), subject_(subject), page_(page) {
        page_.all = true;  // what is left out would not be done
    }

    void write(const CrewSheet& sheet) {
        if (!first_) output_.write("\n\n");
        first_ = false;
        say(fmt::format("{}. {}", printable(case_title(subject_.speaker.system, subject_.case_path)),
                        sheet.title));
        for (const std::string& sentence : sheet.answer) say(sentence);
        for (const SheetTable& table : sheet.tables)
            if (!table.form) this->table(table);
        list("Counted with", sheet.notes);
        list("Take care", sheet.cautions);
    }

  private:
    void say(const std::string& words, std::string_view first = "") {
        output_.write(paragraph(words, page_.columns(), first));
    }

    void list(std::string_view heading, const std::vector<std::string>& sentences) {
        if (sentences.empty()) return;
        output_.write(fmt::format("\n{}\n", heading));
        for (const std::string& sentence : sentences) say(sentence, "- ");
    }

    void table(const SheetTable& of) {
        output_.write("\n");
        say(of.title);
        if (of.rows.empty()) return output_.write("none\n");
        std::vector<TextTable::Column> columns;
        std::vector<std::size_t> shown;
        for (std::size_t c = 0; c < of.columns.size(); ++c) {
            const SheetColumn& column = of.columns[c];
            if (((column.detail || column.roomy) && !page_.wide) || nothing_in(of, c)) continue;
            shown.push_back(c);
            const int width = column.blank ? 8 : shown.size() == 1 ? 8 : 0;
            columns.push_back({column.title, column.unit, width, !column.number});
        }
        TextTable table(columns);
        for (const auto& row : of.rows) {
            std::vector<std::string> cells;
            cells.reserve(shown.size());
            for (const std::size_t c : shown)
                cells.push_back(of.columns[c].blank ? "________" : printable(row[c].words));
            table.add(std::move(cells));
        }
        output_.write(table.text(page_));
    }

    Output& output_;
    const CrewSubject& subject_;
    Page page_;
    bool first_ = true;
};

void write_row(RowSink& row, const SheetTable& table, const std::vector<SheetCell>& cells) {
    for (std::size_t c = 0; c < cells.size(); ++c) {
        const SheetColumn& column = table.columns[c];
        if (column.number)
            row.number(column.key, column.blank ? std::nan("") : cells[c].number);
        else
            row.text(column.key, column.blank ? "" : cells[c].words);
    }
}

void list_json(JsonWriter& json, std::string_view key, const std::vector<std::string>& sentences) {
    json.line().key(key).begin_array();
    for (const std::string& sentence : sentences) json.text(sentence);
    json.end_array();
}

}  // namespace

const std::vector<std::string_view>& sheet_names_of_crew() {
    static const std::vector<std::string_view> names = [] {
        std::vector<std::string_view> all;
        all.reserve(kinds.size());
        for (const SheetKind& kind : kinds) all.push_back(kind.name);
        return all;
    }();
    return names;
}

const std::vector<std::pair<std::string_view, std::string_view>>& crew_tables() {
    static const std::vector<std::pair<std::string_view, std::string_view>> tables{
        {"pipes", "pipes"},
        {"trenches", "pipes"},
        {"crossings", "pipes"},
        {"wires", "valves"},
        {"flushing", "flushing"},
        {"settings", "flushing"},
        {"gauges", "commissioning"},
        {"meters", "commissioning"},
        {"heads", "commissioning"},
        {"readings", "commissioning"},
        {"flow-limits", "flow-limits"},
        {"drainage", "drainage"},
        {"winter", "winter"}};
    return tables;
}

bool nothing_in(const SheetTable& table, std::size_t column) {
    return !table.columns[column].blank &&
           std::all_of(table.rows.begin(), table.rows.end(),
                       [&](const auto& row) { return row[column].words.empty(); });
}

bool needs_balance(std::string_view sheet) {
    for (const SheetKind& kind : kinds)
        if (kind.name == sheet) return kind.balance;
    return false;
}

std::vector<CrewSheet> crew_sheets(const CrewSubject& subject, const std::vector<std::string>& names) {
    std::vector<CrewSheet> sheets;
    for (const SheetKind& kind : kinds)
        for (const std::string& name : names)
            if (name == kind.name && (!kind.balance || subject.measured)) {
                sheets.push_back(kind.make(subject));
                sheets.back().name = name;
            }
    return sheets;
}

void write_sheets_text(Output& output, const CrewSubject& subject, const std::vector<CrewSheet>& sheets,
                       const Page& page) {
    SheetsText text(output, subject, page);
    for (const CrewSheet& sheet : sheets) text.write(sheet);
    output.write("\n" + paragraph("For irrigation sprinklers, not for fire protection.", page.columns()));
}

void write_sheets_json(Output& output, const CrewSubject& subject, const std::vector<CrewSheet>& sheets,
                       const std::vector<model::Issue>& warnings, const std::vector<std::string>& files) {
    const Speaker& speaker = subject.speaker;
    JsonWriter json(output);
    JsonRow row(json);
    json.begin_object().key("schema").whole(1);
    json.text("case", case_title(speaker.system, subject.case_path));
    json.key("units").begin_object();
    for (const auto& [name, dimension] : {std::pair{"pressure", Dimension::pressure},
                                          {"flow", Dimension::flow},
                                          {"length", Dimension::length},
                                          {"depth", Dimension::bore}})
        json.text(name, speaker.units.word(dimension));
    json.text("volume", volume_word(speaker.system)).end_object();
    json.line().key("sheets").begin_array();
    for (const CrewSheet& sheet : sheets) {
        json.line().begin_object().text("sheet", sheet.name).text("title", sheet.title);
        list_json(json, "answer", sheet.answer);
        for (const SheetTable& table : sheet.tables) {
            if (table.form) continue;
            json.line().key(table.name).begin_array();
            for (const auto& cells : table.rows) {
                json.line().begin_object();
                write_row(row, table, cells);
                json.end_object();
            }
            json.end_array();
        }
        list_json(json, "notes", sheet.notes);
        list_json(json, "cautions", sheet.cautions);
        json.end_object();
    }
    json.end_array();
    json.line().key("warnings").begin_array();
    warnings_json(json, warnings, files);
    json.end_array().end_object();
    output.write("\n");
}

void write_sheet_csv(Output& output, const SheetTable& table) {
    std::string header;
    for (const SheetColumn& column : table.columns) header += (header.empty() ? "" : ",") + column.key;
    output.write(header + "\n");
    CsvRow row(output);
    for (const auto& cells : table.rows) {
        write_row(row, table, cells);
        row.end();
    }
}

// ---- what the sheets share
// ----------------------------------------------------------------------------------

SheetRow& SheetRow::text(std::string words) {
    cells_.push_back({std::move(words), std::nan("")});
    return *this;
}

SheetRow& SheetRow::number(double si, Dimension dimension) {
    cells_.push_back({units_.number(si, dimension), units_.in_unit(si, dimension)});
    return *this;
}

SheetRow& SheetRow::plain(double si, Dimension dimension) {
    const double value = units_.in_unit(si, dimension);
    std::string words = std::isnan(value) ? "-" : fmt::format("{:.1f}", value);
    if (words.ends_with(".0")) words.resize(words.size() - 2);
    cells_.push_back({words == "-0" ? "0" : words, value});
    return *this;
}

SheetRow& SheetRow::bare(double value, int decimals) {
    cells_.push_back({std::isfinite(value) ? fmt::format("{:.{}f}", value, decimals) : "-", value});
    return *this;
}

SheetRow& SheetRow::volume(double cubic_metres) {
    return bare(in_volume_unit(system_, cubic_metres), 1);
}

SheetRow& SheetRow::blank() {
    cells_.push_back({"", std::nan("")});
    return *this;
}

std::string_view volume_word(const model::System& system) {
    return system.units == model::UnitSystem::us ? "gal" : "L";
}

double in_volume_unit(const model::System& system, double cubic_metres) {
    return system.units == model::UnitSystem::us ? cubic_metres / gallon : cubic_metres * 1000;
}

std::string volume_text(const model::System& system, double cubic_metres) {
    return fmt::format("{:.1f} {}", in_volume_unit(system, cubic_metres), volume_word(system));
}

SheetColumn text_column(std::string key, std::string title) {
    return {std::move(key), std::move(title)};
}

SheetColumn number_column(const CrewSubject& subject, std::string key, std::string title,
                          Dimension dimension) {
    return {std::move(key), std::move(title), std::string(subject.speaker.units.word(dimension)), true};
}

SheetColumn bare_column(std::string key, std::string title, std::string unit) {
    return {std::move(key), std::move(title), std::move(unit), true};
}

SheetColumn blank_column(std::string key, std::string title) {
    SheetColumn column{std::move(key), std::move(title)};
    column.blank = true;
    return column;
}

SheetColumn detail(SheetColumn column) {
    column.detail = true;
    return column;
}

SheetColumn roomy(SheetColumn column) {
    column.roomy = true;
    return column;
}

std::string part_name(const model::System& system, model::Index valve) {
    return valve == model::none ? "mainline" : system.point_id(system.valves[at(valve)].point);
}

std::string run_name(const model::System& system, model::Index run) {
    return run == model::none ? "none" : system.runs[at(run)].id;
}

std::string joined(const std::vector<std::string>& ids) {
    return fmt::format("{}", fmt::join(ids, " "));
}

}  // namespace evenhead::io
