#include "io/read/case_reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <tuple>

namespace evenhead::io {

using model::Index;
using model::Place;
using model::PointKind;

namespace {

constexpr std::size_t most_errors = 1000;  // nobody reads on after so many

void sort_by_place(std::vector<model::Issue>& issues) {
    std::stable_sort(issues.begin(), issues.end(), [](const model::Issue& left, const model::Issue& right) {
        const auto key = [](const Place& place) { return std::tie(place.file, place.line, place.column); };
        return key(left.place) < key(right.place);
    });
}

}  // namespace

CaseReader::CaseReader(Document read) : document(std::move(read)), graph_sound(document.complete) {
    errors = document.errors;
    system.files = document.files;
}

bool CaseReader::said_before(const Place& place, std::string_view text) {
    const std::string where = fmt::format("{}:{}:{}:{}", place.file, place.line, place.column, text);
    return !said_.insert(std::hash<std::string_view>()(where)).second;
}

void CaseReader::error(const Place& place, std::string row, std::string text, std::string mend) {
    if (full_) return;
    if (!said_before(place, text))
        errors.push_back({place, std::move(row), std::move(text), std::move(mend)});
    full_ = errors.size() >= most_errors;
    if (full_) graph_sound = false;
}

void CaseReader::warn(const Place& place, std::string row, std::string text, std::string mend) {
    if (!said_before(place, text))
        warnings.push_back({place, std::move(row), std::move(text), std::move(mend)});
}

std::vector<model::Issue> CaseReader::take_errors() {
    sort_by_place(errors);
    if (full_)
        errors.push_back({errors.back().place, "the case",
                          fmt::format("{} errors so far: not all of the case is looked at", errors.size()),
                          "mend these first"});
    return std::move(errors);
}

std::vector<model::Issue> CaseReader::take_warnings() {
    sort_by_place(warnings);
    return std::move(warnings);
}

void CaseReader::assume(std::string_view subject, std::string_view what, std::string_view words,
                        std::string_view why) {
    model::Assumption assumption;
    assumption.subject = subject;
    assumption.what = what;
    assumption.words = words;
    assumption.why = why;
    system.assumptions.push_back(std::move(assumption));
}

void CaseReader::assume(std::string_view subject, std::string_view what, double number,
                        model::Dimension dimension, std::string_view why) {
    assume(subject, what, std::string_view(), why);
    system.assumptions.back().number = number;
    system.assumptions.back().dimension = dimension;
}

std::size_t CaseReader::count_rows(std::string_view name) const {
    const Table* table = document.find_table(name);
    return table ? table->count() : 0;
}

void CaseReader::forget_rows(std::string_view name) {
    for (Table& table : document.tables) {
        if (table.name != name) continue;
        std::vector<Row>().swap(table.rows);
        for (const Table::File& file : table.files)
            for (std::string& text : document.text)
                if (text.data() <= file.csv.text().data() &&
                    file.csv.text().data() < text.data() + text.size())
                    std::string().swap(text);
        table.files.clear();
    }
}

const Cells* CaseReader::defaults(std::string_view table) const {
    const Cell* all = document.find_top("defaults");
    if (!all || all->kind != Cell::Kind::table) return nullptr;
    for (const auto& [name, cell] : all->fields)
        if (name == table && cell.kind == Cell::Kind::table) return &cell.fields;
    return nullptr;
}

Index CaseReader::add_point(std::string_view id, PointKind kind, Index row, const Place& place) {
    const Index position = last(system.points) + 1;
    if (const Index taken = points.find_or_add(id, position); taken != model::none) {
        const model::Point& other = at(system.points, taken);
        error(place, std::string(id),
              fmt::format("the id {} is already taken by the {} on {}", quoted(id), kind_word(other.kind),
                          place_words(other.place, place)),
              kind == PointKind::plain ? "give elev, x, y or note in that row"
                                       : "give one of the two another id");
        graph_sound = false;
        return model::none;
    }
    return append_point(id, kind, row, place);
}

Index CaseReader::append_point(std::string_view id, PointKind kind, Index row, const Place& place) {
    model::Point& point = system.points.emplace_back();
    point.id = id;
    point.kind = kind;
    point.row = row;
    point.place = place;
    return last(system.points);
}

Index CaseReader::point_named(std::string_view id, const Place& place) {
    // A pipe mostly begins where the one before it ends.
    if (last_named_ != model::none && at(system.points, last_named_).id == id) return last_named_;
    const Index found = points.find_or_add(id, last(system.points) + 1);
    last_named_ = found != model::none ? found : append_point(id, PointKind::plain, model::none, place);
    return last_named_;
}

Index CaseReader::valve_named(std::string_view id) const {
    const Index found = points.find(id);
    if (found == model::none) return model::none;
    const model::Point& point = at(system.points, found);
    if (point.kind == PointKind::valve) return point.row;
    if (point.kind == PointKind::head) return at(system.heads, point.row).valve;
    return model::none;
}

std::string CaseReader::place_words(const Place& place, const Place& from) const {
    if (place.file == from.file) return fmt::format("line {}", place.line);
    return fmt::format("line {} of {}", place.line, at(document.files, place.file));
}

std::string_view kind_word(PointKind kind) {
    switch (kind) {
        case PointKind::supply:
            return "supply";
        case PointKind::device:
            return "device";
        case PointKind::valve:
            return "valve";
        case PointKind::head:
            return "head";
        case PointKind::plain:
            break;
    }
    return "point";
}

std::string did_you_mean(std::optional<std::string_view> nearest, std::string_view otherwise) {
    return nearest ? fmt::format("did you mean {}?", quoted(*nearest)) : std::string(otherwise);
}

std::string Meant::mend(std::string_view otherwise) const {
    return did_you_mean(nearest_.found(), otherwise);
}

}  // namespace evenhead::io
