// Systems solved by the program's own solver and drawn, for the tests of the plan.
#pragma once

#include <gtest/gtest.h>

#include <set>
#include <string>
#include <vector>

#include "io/plan/plan.hpp"
#include "io/read/case.hpp"
#include "tests/io/case_folder.hpp"

namespace evenhead::io::plan_sample {

/// A case, solved, with what the plan needs of it.
struct Solved {
    explicit Solved(CaseReading read) : reading(std::move(read)), marks(*reading.system, reading.layout) {
        summary =
            solver::check_runs(*reading.system, reading.layout, {},
                               [&](const solver::RunResult& result, const solver::RunFindings& findings) {
                                   marks.add(result, findings);
                               });
        marks.finish(summary);
    }
    const model::System& system() const { return *reading.system; }

    std::string drawn(const PlanOptions& options = {}) const {
        std::string text;
        Output output([&](std::string_view piece) { text += piece; });
        const Speaker speaker{system(), ShownUnits::of_text(system())};
        write_plan(output, {system(), reading.layout, marks, speaker}, options);
        output.finish();
        return text;
    }

    CaseReading reading;
    PlanMarks marks;
    solver::CheckSummary summary;
};

inline Solved shipped(const std::string& name) {
    return Solved(read_case(EVENHEAD_SOURCE_DIR "/cases/" + name + "/case.toml"));
}
inline const std::vector<std::string> shipped_cases{"contractor-layout", "corner-garden",  "fairway",
                                                    "metric-pitch",      "old-commercial", "sports-park"};

/// A start tag: its name and its attributes.
struct Tag {
    std::string name;
    std::vector<std::pair<std::string, std::string>> attributes;
    std::string attribute(const std::string& key) const {
        for (const auto& [name_here, value] : attributes)
            if (name_here == key) return value;
        return "";
    }
};

/// The start tags of a document; what is not well-formed fails the test.
inline std::vector<Tag> tags_of(const std::string& svg) {
    std::vector<Tag> tags;
    std::vector<std::string> open;
    std::size_t at = svg.starts_with("<?xml") ? svg.find("?>") + 2 : 0;
    while ((at = svg.find('<', at)) != std::string::npos) {
        const bool closing = svg[at + 1] == '/';
        std::size_t end = at + (closing ? 2 : 1);
        const std::size_t name_end = svg.find_first_of(" >/", end);
        Tag tag{svg.substr(end, name_end - end), {}};
        end = name_end;
        while (svg[end] == ' ') {
            const std::size_t equals = svg.find('=', end), quote = equals + 1;
            const std::size_t last = svg.find('"', quote + 1);
            tag.attributes.emplace_back(svg.substr(end + 1, equals - end - 1),
                                        svg.substr(quote + 1, last - quote - 1));
            EXPECT_EQ(svg[quote], '"');
            end = last + 1;
        }
        const bool empty = svg[end] == '/';
        EXPECT_EQ(svg[end + (empty ? 1 : 0)], '>') << svg.substr(at, 80);
        if (closing) {
            EXPECT_FALSE(open.empty());
            if (!open.empty()) {
                EXPECT_EQ(open.back(), tag.name);
                open.pop_back();
            }
        } else {
            if (!empty) open.push_back(tag.name);
            tags.push_back(std::move(tag));
        }
        at = end;
    }
    EXPECT_TRUE(open.empty());
    return tags;
}

}  // namespace evenhead::io::plan_sample
