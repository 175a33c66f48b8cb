#include "model/takeoff/takeoff.hpp"

#include <algorithm>
#include <cmath>

#include "model/catalogue.hpp"
#include "model/takeoff/takeoff_parts.hpp"

namespace evenhead::model {
namespace takeoff {
namespace {

PipeFacts facts_of_size(const PipeSize& size, const TakeoffRules& rules) {
    PipeFacts facts;
    facts.rule = &rules.of(size);
    facts.kind = size.kind;
    const PipeKind* kind = find_kind(size.kind);
    const bool own = kind != nullptr && find_size(*kind, size.nominal) == nullptr;
    facts.size.metric = kind != nullptr && !own && kind->metric;
    if (!size.given_unknown) facts.size.nominal = size.nominal;
    facts.size.diameter = std::isnan(size.outside) ? size.bore.value : size.outside;
    return facts;
}

/// Falls from line to line: sizes of the same thing, the largest first.
std::vector<double> diameters(const TakeoffLine& line) {
    std::vector<double> all;
    for (const TakeoffSize& size : line.sizes) all.push_back(std::isnan(size.diameter) ? 0 : -size.diameter);
    return all;
}

bool before(const TakeoffLine& one, const TakeoffLine& other) {
    const auto key = [](const TakeoffLine& line) { return std::tuple(line.item, line.family); };
    if (key(one) != key(other)) return key(one) < key(other);
    const auto left = diameters(one), right = diameters(other);
    if (left != right) return left < right;
    return one.of < other.of;
}

}  // namespace

bool larger(const TakeoffSize& one, const TakeoffSize& other) {
    const auto known = [](const TakeoffSize& size) { return std::isnan(size.diameter) ? 0 : size.diameter; };
    return known(one) > known(other);
}

TakeoffLine& Lines::add(const Thing& thing, const TakeoffElement& element) {
    std::vector<std::string> names;
    for (const TakeoffSize& size : thing.sizes)
        names.push_back(size.nominal.empty() ? std::to_string(size.diameter) : size.nominal);
    const Key key(thing.item, thing.family, std::move(names), thing.of,
                  std::isnan(thing.amount) ? -1 : thing.amount);
    const auto [found, fresh] = by_thing_.try_emplace(key, lines_.size());
    if (fresh) {
        TakeoffLine line;
        line.item = thing.item;
        line.family = thing.family;
        line.sizes = thing.sizes;
        line.of = thing.of;
        line.amount = thing.amount;
        lines_.push_back(std::move(line));
    }
    TakeoffLine& line = lines_[found->second];
    line.quantity += element.quantity;
    TakeoffElement* last = line.elements.empty() ? nullptr : &line.elements.back();
    if (last != nullptr && last->pipe == element.pipe && last->index == element.index)
        last->quantity += element.quantity;
    else
        line.elements.push_back(element);
    return line;
}

Subject::Subject(const System& of, const Layout& with, const TakeoffRules& by)
    : system(of), layout(with), rules(by) {
    pipes.reserve(system.pipes.size());
    for (const Pipe& pipe : system.pipes) {
        const PipeSize& size = *pipe.size;
        auto found = facts.find(&size);
        if (found == facts.end()) found = facts.emplace(&size, facts_of_size(size, rules)).first;
        pipes.push_back(&found->second);
    }
}

std::optional<Vector> Subject::place(Index index) const {
    const Point& of = point(index);
    if (!of.x || !of.y || !of.x->known() || !of.y->known()) return std::nullopt;
    return Vector{of.x->value, of.y->value};
}

std::vector<Vector> Subject::way(Index index) const {
    const Pipe& of = pipe(index);
    const auto from = place(of.from), to = place(of.to);
    if (!from || !to) return {};
    std::vector<Vector> points{*from};
    if (of.bends) points.insert(points.end(), of.bends->begin(), of.bends->end());
    points.push_back(*to);
    return points;
}

}  // namespace takeoff

Takeoff take_off(const System& system, const Layout& layout, const TakeoffRules& rules,
                 const TakeoffOptions& options) {
    const takeoff::Subject subject(system, layout, rules);
    Takeoff result;
    takeoff::Lines lines;
    result.heads = system.heads.size();
    result.valves = system.valves.size();
    for (std::size_t i = 0; i < system.pipes.size(); ++i) {
        const Pipe& pipe = system.pipes[i];
        result.pipe += pipe.length.known() ? pipe.length.value : 0;
        if (pipe.size->given_unknown) result.unknown_sizes.push_back(static_cast<Index>(i));
        if (!pipe.length.known()) result.unknown_lengths.push_back(static_cast<Index>(i));
        if (pipe.fittings > 0) ++result.pipes_with_allowance;
    }
    const auto meetings = takeoff::find_meetings(subject);
    takeoff::count_pipes(subject, meetings, lines);
    takeoff::count_fittings(subject, meetings, lines);
    takeoff::count_control(subject, lines);
    takeoff::count_heads(subject, lines);
    takeoff::count_wire(subject, options, lines, result);
    takeoff::count_trenches(subject, lines, result);
    result.lines = lines.take();
    std::stable_sort(result.lines.begin(), result.lines.end(), takeoff::before);
    takeoff::price_lines(subject, result);
    takeoff::say_assumptions(subject, result);
    return result;
}

}  // namespace evenhead::model
