// What the sheets share while they are made. Not installed: use sheets.hpp.
#pragma once

#include "io/crew/sheets.hpp"

namespace evenhead::io {

CrewSheet pipes_sheet(const CrewSubject& subject);
CrewSheet valves_sheet(const CrewSubject& subject);
CrewSheet flushing_sheet(const CrewSubject& subject);
CrewSheet commissioning_sheet(const CrewSubject& subject);
CrewSheet flow_limits_sheet(const CrewSubject& subject);
CrewSheet drainage_sheet(const CrewSubject& subject);
CrewSheet winter_sheet(const CrewSubject& subject);

/// A row of a table while it is written, cell by cell.
class SheetRow {
  public:
    SheetRow(const CrewSubject& subject, SheetTable& table)
        : units_(subject.speaker.units), system_(subject.speaker.system), cells_(table.rows.emplace_back()) {}

    SheetRow& text(std::string words);
    /// A quantity as a gauge or tape shows it.
    SheetRow& number(double si, model::Dimension dimension);
    /// One that is printed to a tenth, whole numbers without it.
    SheetRow& plain(double si, model::Dimension dimension);
    /// A number that has no dimension of the case's.
    SheetRow& bare(double value, int decimals);
    /// gal or L.
    SheetRow& volume(double cubic_metres);
    SheetRow& blank();

  private:
    const ShownUnits& units_;
    const model::System& system_;
    std::vector<SheetCell>& cells_;
};

/// True where no row has anything in a column that is not left open: no place for it on paper.
bool nothing_in(const SheetTable& table, std::size_t column);

/// "gal" or "L".
std::string_view volume_word(const model::System& system);
double in_volume_unit(const model::System& system, double cubic_metres);
std::string volume_text(const model::System& system, double cubic_metres);

/// A column of text, of numbers with their unit, and one that is left open.
SheetColumn text_column(std::string key, std::string title);
SheetColumn number_column(const CrewSubject& subject, std::string key, std::string title,
                          model::Dimension dimension);
SheetColumn bare_column(std::string key, std::string title, std::string unit = "");
SheetColumn blank_column(std::string key, std::string title);
SheetColumn detail(SheetColumn column);
SheetColumn roomy(SheetColumn column);

/// "lawn", or "mainline" for none.
std::string part_name(const model::System& system, model::Index valve);
/// "lawn", or "all shut" for none.
std::string run_name(const model::System& system, model::Index run);
/// Ids with blanks between them.
std::string joined(const std::vector<std::string>& ids);

inline constexpr std::string_view dig_caution =
    "Have buried utilities located before you dig. Depth, cover and bedding are for the local code, the soil "
    "and the frost to decide.";
inline constexpr std::string_view pressure_caution =
    "Shut the supply and relieve the pressure before you open a fitting.";
inline constexpr std::string_view code_caution =
    "Local plumbing and electrical code and a licensed irrigator or engineer decide.";

}  // namespace evenhead::io
