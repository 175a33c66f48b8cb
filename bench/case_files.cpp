#include "bench/case_files.hpp"

#include <algorithm>
#include <fmt/format.h>

#include <fstream>
#include <stdexcept>
#include <string>

#include "io/units.hpp"
#include "model/position.hpp"

namespace evenhead::bench {
namespace {

using namespace model;

// As a table gives it: 107, not the 106.99999999999999 that comes of metres.
std::string number(const Quantity& quantity, Dimension dimension) {
    return fmt::format("{:.12g}", io::to_units(quantity.value, dimension, UnitSystem::us));
}
std::string elevation(const Point& point) {
    return point.elevation ? number(*point.elevation, Dimension::length) : "";
}

class File {
  public:
    explicit File(const std::filesystem::path& path) : path_(path), out_(path, std::ios::binary) {}
    template <class... Arguments>
    void line(fmt::format_string<Arguments...> format, Arguments&&... arguments) {
        text_.clear();
        fmt::format_to(std::back_inserter(text_), format, std::forward<Arguments>(arguments)...);
        text_ += '\n';
        out_ << text_;
    }
    ~File() noexcept(false) {
        out_.close();
        if (!out_) throw std::runtime_error(fmt::format("{} cannot be written", path_.string()));
    }
    File(const File&) = delete;
    File& operator=(const File&) = delete;

  private:
    std::filesystem::path path_;
    std::ofstream out_;
    std::string text_;
};

// Two keys of a row of an inline table: columns of a chart.
std::string chart(const char* at_key, Dimension at_dimension, const char* key, Dimension dimension,
                  const std::vector<ChartRow>& rows) {
    std::string at_cells, cells;
    for (const ChartRow& row : rows) {
        const char* comma = at_cells.empty() ? "" : ", ";
        at_cells += comma + number(row.at, at_dimension);
        cells += comma + number(row.value, dimension);
    }
    if (rows.size() == 1) return fmt::format(", {} = {}, {} = {}", at_key, at_cells, key, cells);
    return fmt::format(", {} = [{}], {} = [{}]", at_key, at_cells, key, cells);
}

std::string device_keys(const System& system, const Device& device) {
    std::string keys = fmt::format("id = \"{}\"", system.point_id(device.point));
    if (device.type == DeviceType::pump)
        return keys + ", type = \"pump\"" +
               chart("flow", Dimension::flow, "rise", Dimension::pressure, device.rise);
    keys += fmt::format(", type = \"{}\"", device.type == DeviceType::meter ? "meter" : "backflow");
    keys += chart("flow", Dimension::flow, "loss", Dimension::pressure, device.loss.chart);
    if (device.safe_flow) keys += ", safe_flow = " + number(*device.safe_flow, Dimension::flow);
    return keys;
}

void write_top(const System& system, const std::filesystem::path& path, bool own_valves) {
    File file(path);
    file.line("title = \"{}\"", system.title);
    file.line("units = \"us\"\nground = {}\n", number(*system.ground, Dimension::length));
    file.line("supplies = [");
    for (const Supply& supply : system.supplies) {
        const Point& point = system.points[at(supply.point)];
        file.line("  {{ id = \"{}\", static = {}{} }},", point.id,
                  number(supply.static_pressure, Dimension::pressure),
                  supply.tests.empty()
                      ? ""
                      : chart("flow", Dimension::flow, "residual", Dimension::pressure, supply.tests));
    }
    file.line("]");
    if (!system.devices.empty()) {
        file.line("devices = [");
        for (const Device& device : system.devices) file.line("  {{ {} }},", device_keys(system, device));
        file.line("]");
    }
    file.line("nozzles = [  # invented");
    for (const Nozzle& nozzle : system.nozzles) {
        file.line("  {{ id = \"{}\"{}, min = {}, design = {}, max = {} }},", nozzle.id,
                  chart("pressure", Dimension::pressure, "flow", Dimension::flow, nozzle.rows),
                  number(*nozzle.min, Dimension::pressure), number(*nozzle.design, Dimension::pressure),
                  number(*nozzle.max, Dimension::pressure));
    }
    file.line("]");
    if (!own_valves) file.line("valves = \"valves.csv\"");
    file.line("heads = \"heads.csv\"\npipes = [\"mains.csv\", \"laterals.csv\"]");
    if (!own_valves) file.line("runs = \"runs.csv\"");
}

}  // namespace

std::filesystem::path write_case(const System& system, const std::filesystem::path& folder) {
    std::filesystem::create_directories(folder);
    const bool own_valves = !system.valves.empty() && system.valves.front().head != none;
    write_top(system, folder / "case.toml", own_valves);
    const auto coefficient = [](const Loss& loss) { return io::shortest(loss.coefficient.value); };
    if (!own_valves) {
        File valves(folder / "valves.csv");
        valves.line("id,cv");
        for (const Valve& valve : system.valves)
            valves.line("{},{}", system.point_id(valve.point), coefficient(valve.loss));
        File runs(folder / "runs.csv");
        runs.line("id,valves");
        for (const Run& run : system.runs) {
            std::string ids;
            for (const Index valve : run.valves)
                ids += (ids.empty() ? "" : " ") + system.point_id(system.valves[at(valve)].point);
            runs.line("{},{}", run.id, ids);
        }
    }
    {
        File heads(folder / "heads.csv");
        heads.line("id,nozzle,elev,cv{}", own_valves ? ",own_valve.cv" : "");
        for (const Head& head : system.heads) {
            heads.line("{},{},{},{}{}", system.point_id(head.point), system.nozzles[at(head.nozzle)].id,
                       elevation(system.points[at(head.point)]), coefficient(head.joint),
                       own_valves ? "," + coefficient(system.valves[at(head.valve)].loss) : "");
        }
    }
    // The main, then the laterals: a file holds a million rows at most.
    const std::size_t laterals = std::min(system.heads.size(), system.pipes.size());
    const auto write_pipes = [&](const char* name, std::size_t first, std::size_t last) {
        File pipes(folder / name);
        pipes.line("from,to,length,size");
        for (std::size_t i = first; i < last; ++i) {
            const Pipe& pipe = system.pipes[i];
            pipes.line("{},{},{},{} {}", system.point_id(pipe.from), system.point_id(pipe.to),
                       number(pipe.length, Dimension::length), pipe.size->kind, pipe.size->nominal);
        }
    };
    write_pipes("mains.csv", 0, system.pipes.size() - laterals);
    write_pipes("laterals.csv", system.pipes.size() - laterals, system.pipes.size());
    return folder / "case.toml";
}

}  // namespace evenhead::bench
