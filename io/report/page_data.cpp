#include <fmt/format.h>

#include <map>

#include "io/plan/symbols.hpp"
#include "io/report/sections.hpp"
#include "io/write/json_writer.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;

/// Passes JSON on so that no markup can begin in it: "<" only stands inside strings, where it may be written
/// as its code; so may the two line ends that JSON allows and scripts once did not.
void write_safely(Output& output, std::string_view json) {
    while (!json.empty()) {
        const std::size_t cut = json.find('<');
        output.write(json.substr(0, cut));
        if (cut == std::string_view::npos) return;
        output.write("\\u003c");
        json.remove_prefix(cut + 1);
    }
}

std::string positions(const std::vector<Index>& list) {
    std::string text;
    for (const Index i : list) text += (text.empty() ? "" : " ") + std::to_string(i);
    return text;
}

std::string things(const RunMarks& marks) {
    std::string text;
    const auto add = [&](const char* kind, const std::vector<Index>& list) {
        for (const Index i : list) text += fmt::format("{}{}-{}", text.empty() ? "" : " ", kind, i);
    };
    add("head", marks.over_heads);
    add("pipe", marks.over_pipes);
    add("device", marks.over_devices);
    add("valve", marks.over_valves);
    add("point", marks.over_points);
    add("supply", marks.over_supplies);
    return text;
}

std::string heads_in(const RunMarks& marks, HeadState state) {
    std::vector<Index> list;
    for (const HeadMark& mark : marks.heads)
        if (mark.state == state) list.push_back(mark.head);
    return positions(list);
}

/// What the water passes on its way to the head of a worksheet, each once.
std::string way_of(const solver::Worksheet& sheet) {
    std::string text;
    const solver::ElementRef* before = nullptr;
    for (const solver::WorksheetLine& line : sheet.lines) {
        if (line.subject.kind != solver::ElementKind::pipe || (before != nullptr && *before == line.subject))
            continue;
        text += fmt::format("{}pipe-{}", text.empty() ? "" : " ", line.subject.index);
        before = &line.subject;
    }
    return text;
}

void write_run(JsonWriter& json, const RunMarks& marks) {
    const auto put = [&](std::string_view key, const std::string& text) {
        if (!text.empty()) json.text(key, text);
    };
    put("open", positions(marks.open));
    for (const HeadState state : {HeadState::low, HeadState::high, HeadState::dry})
        put(state_word(state), heads_in(marks, state));
    put("over", things(marks));
    if (marks.critical_head != model::none) json.key("critical").whole(marks.critical_head);
    if (!marks.solved) json.key("unsolved").boolean(true);
}

}  // namespace

void write_page_data(const ReportParts& parts) {
    const ReportFacts& facts = parts.facts;
    const model::System& system = facts.subject.system;
    const model::Layout& layout = facts.subject.layout;
    std::string text;
    Output taker([&](std::string_view piece) { text += piece; });
    parts.html.raw("<script type=\"application/json\" id=\"numbers\">");
    const auto pass_on = [&] {
        taker.flush();
        write_safely(parts.html.output(), text);
        text.clear();
    };
    JsonWriter json(taker);
    json.begin_object();
    json.key("units").begin_object();
    for (const auto& [name, dimension] : {std::pair{"pressure", Dimension::pressure},
                                          {"flow", Dimension::flow},
                                          {"velocity", Dimension::velocity},
                                          {"length", Dimension::length}})
        json.text(name, facts.speaker.units.word(dimension));
    json.end_object();
    json.key("critical").whole(facts.summary.critical_run);
    json.key("shapes").begin_object();
    for (const HeadState state :
         {HeadState::off, HeadState::low, HeadState::within, HeadState::high, HeadState::dry})
        json.text(head_class(state), head_shape(state));
    json.end_object();
    // What is lit when a run is chosen: heads and pipes by zone.
    json.line().key("zone_heads").begin_array();
    for (const auto& heads : layout.zone_heads) json.text(positions(heads));
    json.end_array();
    std::vector<std::vector<Index>> zone_pipes(system.valves.size());
    for (std::size_t pipe = 0; pipe < system.pipes.size(); ++pipe)
        for (const Index valve : layout.zone_of_pipe[pipe])
            zone_pipes[at(valve)].push_back(static_cast<Index>(pipe));
    json.line().key("zone_pipes").begin_array();
    for (const auto& pipes : zone_pipes) json.text(positions(pipes));
    json.end_array();
    json.line().text("main_heads", positions(layout.heads_on_mainline));
    pass_on();
    std::map<Index, const std::string*> numbers;
    std::map<Index, std::string> ways;
    for (const auto& [badness, kept] : facts.worksheets.kept()) ways[badness.run] = way_of(kept.first);
    for (const auto& [badness, kept] : facts.numbers.kept()) numbers[badness.run] = &kept.first;
    json.line().key("runs").begin_object();
    for (const RunMarks& marks : facts.marks.runs()) {
        json.line().key(std::to_string(marks.run)).begin_object();
        write_run(json, marks);
        if (const auto way = ways.find(marks.run); way != ways.end()) json.text("way", way->second);
        const auto found = numbers.find(marks.run);
        if (found != numbers.end()) {
            json.key("numbers");
            taker.write("{" + *found->second + "}");
        }
        json.end_object();
        pass_on();
    }
    json.end_object().end_object();
    pass_on();
    parts.html.raw("</script>\n");
}

}  // namespace evenhead::io
