// CSV text as rows (RFC 4180: cells between quotes may hold commas, line ends and doubled quotes; LF or
// CRLF).
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "io/read/rows.hpp"

namespace evenhead::io {

// More of these no case has; a file that has would only take memory.
inline constexpr std::size_t most_csv_lines = 1'000'000;
inline constexpr std::size_t most_csv_fields = 1000;

/// Reads a CSV text that lives as long as the document and adds its rows to `table`, whose name is known
/// already. What is wrong goes to `document.errors`; where rows are lost, `document.complete` becomes false.
void read_csv(std::string_view text, int file, Table& table, Document& document);

/// The size that a spreadsheet has turned into this date, e.g. "4-Mar", "03/04/2026", "2026-03-04" -> "3/4";
/// empty where the cell is no date.
std::optional<std::string> size_behind_date(std::string_view cell);

/// True for a key under which a size stands.
bool is_size_column(std::string_view key);

/// True for a column of this table that makes a chart: its lines may belong together.
bool is_chart_column(std::string_view table, std::string_view key);

/// Joins a line to the row before it if it continues that row's chart: no id or the same one, and a chart
/// column filled. Chart columns become lists; a cell that contradicts the row before goes to `errors`. False:
/// the line is a row of its own.
bool continue_chart(std::string_view table, Row& before, Row& line, std::vector<model::Issue>& errors);

/// Gathers columns such as own_valve.cv and own_valve.set in one cell own_valve of kind table.
void gather_dotted_keys(Row& row);

}  // namespace evenhead::io
