#include "io/read/cans.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <utility>

#include "io/read/fields.hpp"
#include "io/units.hpp"
#include "model/nearest.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::Index;
using solver::CatchCan;
using solver::ZoneCoverage;

constexpr std::string_view cans_keys[] = {"x",      "y",        "valve", "depth",
                                          "volume", "duration", "area",  "diameter"};
const TableReader cans_table{"cans", cans_keys, nullptr};

struct SmallUnit {
    std::string_view word;
    double si;  ///< m3 or m2 in one
};
constexpr std::array<SmallUnit, 5> volumes{
    {{"mL", 1e-6}, {"ml", 1e-6}, {"L", 1e-3}, {"in3", 16.387064e-6}, {"fl-oz", 29.5735295625e-6}}};
constexpr std::array<SmallUnit, 5> openings{
    {{"in2", 6.4516e-4}, {"cm2", 1e-4}, {"mm2", 1e-6}, {"ft2", 0.09290304}, {"m2", 1}}};

/// "180", "180 mL": above or equal to zero, in SI; nothing where it is anything else.
template <std::size_t Count>
std::optional<double> small_quantity(std::string_view text, const std::array<SmallUnit, Count>& units,
                                     std::string_view bare) {
    while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
    const auto number_end = text.find_first_not_of("0123456789.+-eE");
    std::string_view word = bare;
    if (number_end != std::string_view::npos) {
        word = text.substr(number_end);
        while (!word.empty() && word.front() == ' ') word.remove_prefix(1);
        text = text.substr(0, number_end);
    }
    const auto number = parse_bare_number(text, Dimension::none, model::UnitSystem::us);
    const auto unit =
        std::find_if(units.begin(), units.end(), [&](const SmallUnit& row) { return row.word == word; });
    if (!number || unit == units.end() || !(number->value >= 0)) return std::nullopt;
    return number->value * unit->si;
}

class CansFile {
  public:
    CansFile(const std::string& path, const model::System& system, const std::vector<ZoneCoverage>& zones,
             const CanOptions& options)
        : reader_(read_cans_document(path)), system_(system), zones_(zones), options_(options) {
        reader_.system.units = system.units;
    }

    FileReading read(std::vector<CatchCan>& cans) {
        std::vector<CatchCan> found;
        reader_.each_row("cans", [&](const Row& row) {
            const Fields fields(reader_, cans_table, row);
            CatchCan can;
            can.place = row.place;
            // Under a key that is misspelt stands what would be missed.
            const bool keys_known = std::all_of(row.cells.begin(), row.cells.end(), [](const auto& cell) {
                return std::find(std::begin(cans_keys), std::end(cans_keys), cell.first) !=
                       std::end(cans_keys);
            });
            if (!keys_known) return;
            const bool placed = read_place(fields, can);
            read_rate(fields, can);
            find_zone(fields, placed, can);
            found.push_back(can);
        });
        if (reader_.errors.empty()) count(found);
        FileReading reading;
        reading.files = reader_.document.files;
        reading.errors = reader_.take_errors();
        reading.warnings = reader_.take_warnings();
        if (reading.errors.empty()) cans = std::move(found);
        return reading;
    }

  private:
    static bool read_place(const Fields& fields, CatchCan& can) {
        bool known = true;
        for (const auto& [key, value] : {std::pair{"x", &can.x}, std::pair{"y", &can.y}}) {
            const auto given = fields.quantity(key, Dimension::length);
            if (!given) fields.missing(key, "give x (east) and y (north) of the can, as of the heads");
            if (const Cell* cell = fields.find(key); cell != nullptr && cell->text == "?")
                fields.error(*cell, fmt::format("a can whose {} is not known", key), "leave the row out");
            known = known && given && given->known();
            if (given) *value = given->value;
        }
        return known;
    }

    /// What a cell holds by `read`; where that is nothing, says that it is no `noun`.
    template <class Read>
    std::optional<double> read_cell(const Fields& fields, std::string_view key, const Read& read,
                                    std::string_view noun, std::string_view mend) const {
        const Cell* cell = fields.find(key);
        if (cell == nullptr) return std::nullopt;
        const std::optional<double> value = read(cell->text);
        if (!value)
            fields.error(*cell, fmt::format("{} is no {}", shown(key, *cell), noun), std::string(mend));
        return value;
    }

    std::optional<double> duration(const Fields& fields) const {
        const Cell* cell = fields.find("duration");
        if (cell == nullptr) {
            if (!options_.duration)
                fields.missing(
                    "duration",
                    "say how long the zone ran: a column duration (minutes), or --duration \"20 min\"");
            return options_.duration;
        }
        return read_cell(
            fields, "duration", [&](std::string_view text) { return can_duration(text, system_.units); },
            "time above zero", "write minutes, or a number with its unit: \"20 min\", \"1 h\"");
    }

    std::optional<double> opening(const Fields& fields) const {
        fields.at_most_one({"area", "diameter"}, "give one of them");
        if (const auto diameter = fields.above_zero("diameter", Dimension::bore))
            return std::numbers::pi / 4 * diameter->value * diameter->value;
        if (!fields.has("area") && !options_.opening)
            fields.missing("area",
                           "a volume needs the opening of the can: a column area or diameter, or --can-area");
        if (!fields.has("area")) return options_.opening;
        return read_cell(
            fields, "area", [&](std::string_view text) { return can_opening(text, system_.units); },
            "opening above zero", "write the area of the opening: \"16.6 in2\", \"100 cm2\"");
    }

    std::optional<double> depth_of(std::string_view text) const {
        const ParsedQuantity parsed = parse_quantity(text, Dimension::bore, system_.units);
        if (!parsed.error.empty() || !(parsed.quantity.value >= 0)) return std::nullopt;
        return parsed.quantity.value;
    }

    void read_rate(const Fields& fields, CatchCan& can) {
        const auto ran = duration(fields);
        if (fields.at_most_one({"depth", "volume"}, "give one of them") > 1) return;
        if (!fields.has("depth") && !fields.has("volume")) {
            fields.missing("depth", "give the depth of the water in the can, or its volume");
        } else if (fields.has("depth")) {
            const auto depth = read_cell(
                fields, "depth", [&](std::string_view text) { return depth_of(text); }, "depth of water",
                "write 0 or more: \"0.2 in\", \"5 mm\"; leave the row out "
                "where nobody knows");
            if (depth && ran) can.rate = *depth / *ran;
        } else {
            const auto volume = read_cell(
                fields, "volume", [](std::string_view text) { return small_quantity(text, volumes, "mL"); },
                "volume of water",
                "write 0 or more: \"45\" (mL), \"45 mL\", \"2.7 in3\"; leave the row out where nobody knows");
            const auto area = opening(fields);
            if (volume && area && ran) can.rate = *volume / *area / *ran;
        }
    }

    void find_zone(const Fields& fields, bool placed, CatchCan& can) {
        if (const Cell* cell = fields.find("valve")) {
            model::NearestName nearest(cell->text);
            for (const ZoneCoverage& zone : zones_) {
                const std::string& id =
                    system_.point_id(system_.valves[static_cast<std::size_t>(zone.valve)].point);
                if (id == cell->text) can.valve = zone.valve;
                nearest.offer(id);
            }
            if (can.valve == model::none) {
                const auto near = nearest.found();
                fields.error(*cell, fmt::format("the case has no valve {}", shown(*cell)),
                             near ? fmt::format("did you mean \"{}\"?", *near)
                                  : std::string("name the valve of the zone that ran"));
            }
            return;
        }
        if (!placed) return;
        std::size_t holding = 0;
        for (const ZoneCoverage& zone : zones_)
            if (!zone.ground.rings.empty() && holds(zone.ground, {can.x, can.y})) {
                can.valve = zone.valve;
                ++holding;
            }
        if (holding == 1) return;
        can.valve = model::none;
        fields.error(fields.place(),
                     holding == 0 ? std::string("the can stands on the ground of no zone")
                                  : fmt::format("the can stands on the ground of {} zones", holding),
                     "name the zone that ran in a column valve");
    }

    /// A zone whose cans are too few says nothing of its lowest quarter.
    void count(const std::vector<CatchCan>& cans) {
        if (cans.empty()) {
            reader_.error({0, 1, 1}, "cans", "the file has no can",
                          "write a row for each can: x, y, and depth or volume");
            return;
        }
        std::map<Index, std::pair<std::size_t, model::Place>> of_zone;
        std::map<Index, double> water;
        for (const CatchCan& can : cans) {
            ++of_zone.try_emplace(can.valve, 0, can.place).first->second.first;
            water[can.valve] += can.rate;
        }
        for (const auto& [valve, number] : of_zone) {
            const std::string& id = system_.point_id(system_.valves[static_cast<std::size_t>(valve)].point);
            if (number.first < solver::fewest_cans)
                reader_.error(number.second, id,
                              fmt::format("zone {} has {} can{}, too few to tell its driest quarter", id,
                                          number.first, number.first == 1 ? "" : "s"),
                              fmt::format("set out {} or more; common practice is 24", solver::fewest_cans));
            else if (!(water[valve] > 0))
                reader_.error(number.second, id, fmt::format("every can of zone {} is empty", id),
                              "check the valve that is named, and the column that was read");
        }
    }

    CaseReader reader_;
    const model::System& system_;
    const std::vector<ZoneCoverage>& zones_;
    const CanOptions& options_;
};

}  // namespace

std::optional<double> can_duration(std::string_view text, model::UnitSystem units) {
    constexpr double minute = 60;
    if (const auto minutes = parse_bare_number(text, Dimension::none, units))
        return minutes->value > 0 ? std::optional(minutes->value * minute) : std::nullopt;
    const ParsedQuantity parsed = parse_quantity(text, Dimension::time, units);
    if (!parsed.error.empty() || !(parsed.quantity.value > 0)) return std::nullopt;
    return parsed.quantity.value;
}

std::optional<double> can_opening(std::string_view text, model::UnitSystem units) {
    const auto area = small_quantity(text, openings, units == model::UnitSystem::us ? "in2" : "cm2");
    return area && *area > 0 ? area : std::nullopt;
}

FileReading read_cans(const std::string& path, const model::System& system,
                      const std::vector<ZoneCoverage>& zones, const CanOptions& options,
                      std::vector<CatchCan>& cans) {
    return CansFile(path, system, zones, options).read(cans);
}

}  // namespace evenhead::io
