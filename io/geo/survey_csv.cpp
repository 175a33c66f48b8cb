// A table of points: a line each, with its place in x and y (the units of the case) or in degrees. Lines of
// type pipe with one id, one after the other, are the places along that pipe.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <deque>

#include "io/excerpt.hpp"
#include "io/geo/survey_parts.hpp"
#include "io/read/csv_lines.hpp"
#include "io/units.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;

constexpr std::size_t most_errors = 200;  // nobody reads on after so many

class PointTable {
  public:
    PointTable(std::string_view text, const SurveyOptions& options, SurveyFile& file)
        : lines_(text, kept_), options_(options), file_(file) {}

    void read() {
        CsvRecord record;
        if (!next(record)) {
            error(1, 1, "", "the file is empty", "the first line holds the keys: id,type,x,y,...");
            return;
        }
        header(record);
        if (!file_.errors.empty()) return;
        while (next(record) && file_.errors.size() < most_errors)
            if (!broken_) row(record);
        if (file_.errors.empty() && file_.features.empty())
            error(1, 1, "", "the file has no point", "write a line for each point below the keys");
        for (const SurveyFeature& feature : file_.features)
            if (feature.is_line() && feature.way.size() < 2)
                error(feature.place.line, 1, feature.id, "a pipe of one place only",
                      "write a line for each place along it, all with its id, one after the other");
        if (file_.errors.empty() && degrees_) put_on_plane(file_, options_);
        if (!degrees_) file_.origin = options_.origin;
    }

  private:
    void error(int line, int field, std::string row, std::string text, std::string mend) {
        file_.errors.push_back({{0, line, field}, std::move(row), std::move(text), std::move(mend)});
    }

    bool next(CsvRecord& record) {
        const bool any = lines_.next(record);
        for (const CsvLines::BrokenQuote& broken : lines_.broken)
            error(broken.line, broken.field, excerpt(broken.rest), "a quote that is not closed on its line",
                  "close it, or leave it out");
        broken_ = broken_ || !lines_.broken.empty();
        lines_.broken.clear();
        return any;
    }

    /// The column of a key: by --key, else of its own name.
    int column(std::initializer_list<std::string_view> keys) const {
        for (const std::string_view key : keys) {
            const auto given = options_.names.find(std::string(key));
            const std::string name = given == options_.names.end() ? std::string(key) : given->second;
            const auto found = std::find(names_.begin(), names_.end(), name);
            if (found != names_.end()) return static_cast<int>(found - names_.begin());
        }
        return -1;
    }

    void header(const CsvRecord& record) {
        for (const std::string_view name : record.cells) {
            if (!name.empty() && std::find(names_.begin(), names_.end(), name) != names_.end())
                error(record.line, static_cast<int>(names_.size()) + 1, std::string(name),
                      fmt::format("the key {} heads two fields", quoted(name)), "keep one of them");
            names_.emplace_back(name);
        }
        x_ = column({"x"});
        y_ = column({"y"});
        degrees_ = x_ < 0 && y_ < 0;
        if (degrees_) {
            x_ = column({"lon", "longitude"});
            y_ = column({"lat", "latitude"});
        }
        if (x_ >= 0 && y_ >= 0) return;
        const auto parted_by = [&](char c) {
            return record.cells.size() == 1 && record.cells[0].find(c) != std::string_view::npos;
        };
        if (parted_by(';') || parted_by('\t'))
            error(record.line, 1, "the first line",
                  fmt::format("{} between the cells, where commas are wanted",
                              parted_by(';') ? "semicolons" : "tabs"),
                  "save it as CSV with commas between the cells, and numbers with a point, such as 3.5");
        else
            error(
                record.line, 1, "the first line", "no columns say where the points lie",
                "name them x and y (east and north), or lon and lat in degrees; --key x=NAME says what they "
                "are called");
    }

    std::optional<double> number(const CsvRecord& record, int field) {
        const auto index = static_cast<std::size_t>(field);
        const std::string_view cell = index < record.cells.size() ? record.cells[index] : std::string_view();
        const auto parsed = parse_quantity(cell, degrees_ ? Dimension::none : Dimension::length, file_.units);
        if (!cell.empty() && parsed.error.empty() && parsed.quantity.known()) return parsed.quantity.value;
        error(record.line, field + 1, row_name(record), fmt::format("{} is no coordinate", quoted(cell)),
              "write a plain number, such as 62.4");
        return std::nullopt;
    }

    std::string row_name(const CsvRecord& record) const {
        const int id = column({"id"});
        return id >= 0 && static_cast<std::size_t>(id) < record.cells.size()
                   ? excerpt(record.cells[static_cast<std::size_t>(id)])
                   : "";
    }

    void row(const CsvRecord& record) {
        if (record.cells.size() > names_.size()) {
            error(record.line, static_cast<int>(names_.size()) + 1, row_name(record),
                  fmt::format("the line has {} fields, the first line {} keys", record.cells.size(),
                              names_.size()),
                  "put a cell that holds a comma between quotes, and write 3.5, not 3,5");
            return;
        }
        const auto x = number(record, x_), y = number(record, y_);
        if (!x || !y) return;
        if (degrees_ && !(std::abs(*x) <= 180 && std::abs(*y) <= 90)) {
            const bool changed_over = std::abs(*x) <= 90 && std::abs(*y) <= 180;
            error(record.line, (std::abs(*x) <= 180 ? y_ : x_) + 1, row_name(record),
                  fmt::format("{} is no longitude and latitude", fmt::format("{}, {}", *x, *y)),
                  changed_over ? "are the two columns changed over? lon is east, lat is north"
                               : "lon is from -180 to 180 degrees, lat from -90 to 90");
            return;
        }
        SurveyFeature made;
        made.place = {0, record.line, 1};
        std::vector<SurveyValue> values;
        for (std::size_t field = 0; field < record.cells.size(); ++field) {
            const int index = static_cast<int>(field);
            const std::string_view cell = record.cells[field];
            if (index == x_ || index == y_ || names_[field].empty() || cell.empty()) continue;
            values.push_back(
                {names_[field], std::string(cell), toml_of_cell(cell), {0, record.line, index + 1}});
        }
        if (!take_values(file_, options_, values, "point", made)) return;
        if (made.is_area()) {
            error(record.line, 1, made.id, "an area stands in a table of points",
                  "draw areas in GeoJSON, or write them into the case");
            return;
        }
        made.way.push_back({*x, *y});
        if (made.is_line() && made.id.empty()) {
            error(record.line, 1, "", "a place along a pipe that has no id",
                  "give every line of one pipe the same id");
            return;
        }
        if (made.is_line() && !file_.features.empty() && file_.features.back().is_line() &&
            file_.features.back().id == made.id) {
            add_to(file_.features.back(), made);
            return;
        }
        file_.features.push_back(std::move(made));
    }

    /// The values of a pipe stand on any of its lines, once or always the same.
    void add_to(SurveyFeature& pipe, const SurveyFeature& more) {
        pipe.way.push_back(more.way.front());
        for (const auto& [key, value] : more.values) {
            const std::string* known = pipe.find(key);
            if (!known)
                pipe.values.emplace_back(key, value);
            else if (*known != value)
                error(more.place.line, 1, pipe.id,
                      fmt::format("{} is {} here and {} above", key, excerpt(value), excerpt(*known)),
                      "a pipe has one of them: give a second pipe an id of its own");
        }
        if (pipe.from.empty()) pipe.from = more.from;
        if (pipe.to.empty()) pipe.to = more.to;
    }

    std::deque<std::string> kept_;
    CsvLines lines_;
    const SurveyOptions& options_;
    SurveyFile& file_;
    std::vector<std::string> names_;
    int x_ = -1, y_ = -1;
    bool degrees_ = false;
    bool broken_ = false;  ///< a quote is not closed: what the lines hold is not known
};

}  // namespace

void read_point_table(std::string_view text, const SurveyOptions& options, SurveyFile& file) {
    PointTable(text, options, file).read();
}

}  // namespace evenhead::io
