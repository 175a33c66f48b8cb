// The plan as SVG 1.1 (W3C Recommendation of 16 August 2011, second edition; elements and attributes by its
// appendices K and M): nothing else is in it, everything of the case is, once, and nothing of the case is
// markup.
#include "io/plan/plan.hpp"

#include <map>

#include "io/plan/labels.hpp"
#include "io/plan/svg_text.hpp"
#include "io/plan/symbols.hpp"
#include "tests/io/plan_sample.hpp"
#include "tests/io/write_sample.hpp"

namespace evenhead::io {
namespace {

using namespace plan_sample;

std::map<std::string, int> ids_of(const std::vector<Tag>& tags) {
    std::map<std::string, int> ids;
    for (const Tag& tag : tags)
        if (const std::string id = tag.attribute("id"); !id.empty()) ++ids[id];
    return ids;
}

int with_prefix(const std::map<std::string, int>& ids, const std::string& prefix) {
    int count = 0;
    for (const auto& [id, times] : ids)
        if (id.starts_with(prefix + "-") &&
            id.find_first_not_of("0123456789", prefix.size() + 1) == std::string::npos)
            count += times;
    return count;
}

TEST(Plan, HasNothingButElementsAndAttributesOfSvg11) {
    const std::map<std::string, std::set<std::string>> allowed{
        {"svg", {"xmlns", "xmlns:xlink", "version", "class", "width", "height", "viewBox"}},
        {"title", {}},
        {"desc", {}},
        {"defs", {}},
        {"style", {"type"}},
        {"pattern", {"id", "patternUnits", "width", "height", "patternTransform"}},
        {"rect", {"class", "width", "height"}},
        {"g", {"id", "class", "transform", "style"}},
        {"path", {"id", "class", "d", "transform"}},
        {"circle", {"class", "r"}},
        {"use", {"class", "xlink:href"}},
        {"text", {"class", "x", "y", "text-anchor", "style"}},
    };
    for (const std::string& name : shipped_cases) {
        for (const Tag& tag : tags_of(shipped(name).drawn({model::none, true, 0, true}))) {
            const auto found = allowed.find(tag.name);
            ASSERT_NE(found, allowed.end()) << tag.name;
            for (const auto& [key, value] : tag.attributes)
                EXPECT_TRUE(found->second.contains(key)) << tag.name << key;
        }
    }
}

TEST(Plan, DrawsEveryThingOfTheCaseOnce) {
    for (const std::string& name : shipped_cases) {
        const Solved solved = shipped(name);
        const model::System& system = solved.system();
        int plain = 0;
        for (const model::Point& point : system.points)
            plain += point.kind == model::PointKind::plain ? 1 : 0;
        for (const bool standalone : {true, false}) {
            const auto ids = ids_of(tags_of(solved.drawn({model::none, false, 0, standalone})));
            for (const auto& [id, times] : ids) EXPECT_EQ(times, 1) << name << id;
            EXPECT_EQ(with_prefix(ids, "head"), static_cast<int>(system.heads.size())) << name;
            EXPECT_EQ(with_prefix(ids, "pipe"), static_cast<int>(system.pipes.size())) << name;
            EXPECT_EQ(with_prefix(ids, "device"), static_cast<int>(system.devices.size())) << name;
            EXPECT_EQ(with_prefix(ids, "valve"), static_cast<int>(system.valves.size())) << name;
            EXPECT_EQ(with_prefix(ids, "supply"), static_cast<int>(system.supplies.size())) << name;
            EXPECT_EQ(with_prefix(ids, "point"), plain) << name;
        }
    }
}

TEST(Plan, IsToTheScaleOfItsBar) {
    const Solved solved = shipped("corner-garden");
    const std::string svg = solved.drawn();
    // Two heads of the case, 24 ft and 0 ft apart by its coordinates; the bar says how long 20 ft are.
    const auto tags = tags_of(svg);
    const auto place_of = [&](const std::string& id) {
        for (std::size_t i = 0; i < solved.system().heads.size(); ++i)
            if (solved.system().point_id(solved.system().heads[i].point) == id)
                for (const Tag& tag : tags)
                    if (tag.attribute("id") == "head-" + std::to_string(i)) {
                        double x = 0, y = 0;
                        EXPECT_EQ(
                            std::sscanf(tag.attribute("transform").c_str(), "translate(%lf %lf)", &x, &y), 2);
                        return std::pair(x, y);
                    }
        ADD_FAILURE() << id;
        return std::pair(0.0, 0.0);
    };
    double bar = 0;
    for (const Tag& tag : tags)
        if (tag.attribute("class") == "measure") {
            double end = 0;
            if (std::sscanf(tag.attribute("d").c_str(), "M34 18v6H%lf", &end) == 1) bar = end - 34;
        }
    ASSERT_GT(bar, 0);
    const auto first = place_of("FL2"), second = place_of("FL3");
    EXPECT_NEAR((first.first - second.first) / bar * 20, 24, 0.05);
    EXPECT_NEAR(first.second, second.second, 1e-9);
    EXPECT_NE(svg.find(">20 ft<"), std::string::npos);
    EXPECT_GT(place_of("FL4").second, place_of("FL1").second);  // north is up
}

TEST(Plan, SaysTheVerdictTheCriticalHeadTheScaleAndTheCaution) {
    const std::string svg = shipped("contractor-layout").drawn();
    for (const char* words :
         {"All 6 runs together: outside limits", "Critical head N8 in run north: 23.1 psi, needs 30 psi",
          "placed by pipe length: S-5", "not for fire protection", "utilities located"})
        EXPECT_NE(svg.find(words), std::string::npos) << words;
    EXPECT_EQ(svg.find("not to scale"), std::string::npos);
    const Solved garden = shipped("corner-garden");
    EXPECT_NE(garden.drawn({1, false, 0, true}).find("Run front-beds: within limits"), std::string::npos);
}

TEST(Plan, NothingOfTheCaseIsMarkup) {
    const CaseFolder folder;
    folder.write("case.toml", R"(title = "</title><script>alert(1)</script>\u202E & ]]> \"quoted\""
ground = 0
supplies = [ { id = "<script>alert(2)</script>", static = 60, flow = 20, residual = 50 } ]
valves = [ { id = "\"onload=\"x", cv = 11 } ]
nozzles = [ { id = "half", pressure = 30, flow = 1.2, min = 99 } ]
heads = [ { id = "=cmd()&<b>", nozzle = "half" }, { id = "]]>'", nozzle = "half" } ]
pipes = [
  { id = "<p>", from = "<script>alert(2)</script>", to = "\"onload=\"x", length = 20, size = "pvc-cl200 1" },
  { from = "\"onload=\"x", to = "=cmd()&<b>", length = 20, size = "pvc-cl200 1" },
  { from = "=cmd()&<b>", to = "]]>'", length = 20, size = "pvc-cl200 1" },
]
)");
    CaseReading reading = folder.read();
    ASSERT_EQ(in_words(reading.errors, reading), std::vector<std::string>());
    const Solved solved(std::move(reading));
    for (const bool standalone : {true, false}) {
        const std::string svg = solved.drawn({model::none, true, 0, standalone});
        for (const Tag& tag : tags_of(svg)) {
            EXPECT_NE(tag.name, "script");
            EXPECT_NE(tag.name, "b");
            EXPECT_EQ(tag.attribute("onload"), "");
        }
        EXPECT_EQ(svg.find("]]>"), std::string::npos);
        EXPECT_EQ(svg.find("\u202E"), std::string::npos);
        EXPECT_NE(svg.find("&lt;script&gt;alert(2)"), std::string::npos);
    }
}

TEST(Plan, LabelsCoverNeitherEachOtherNorAMark) {
    std::vector<Label> labels;
    Occupied occupied(40);
    for (int i = 0; i < 40; ++i) {
        Label label;
        label.text = "head-" + std::to_string(i);
        label.at = {30.0 + 13 * (i % 10), 40.0 + 17 * (i / 10)};
        label.half = 5;
        occupied.add({label.at.x - 5, label.at.y - 5, label.at.x + 5, label.at.y + 5});
        labels.push_back(label);
    }
    Occupied again = occupied;
    place_labels(labels, occupied, {0, 0, 200, 150});
    ASSERT_GT(labels.size(), 4U);
    EXPECT_LT(labels.size(), 40U);
    for (const Label& label : labels) {
        const double width = text_width(label.text) * label.size;
        const double left = label.anchor == Label::Anchor::start ? label.baseline.x
                            : label.anchor == Label::Anchor::end ? label.baseline.x - width
                                                                 : label.baseline.x - width / 2;
        const Box box{left, label.baseline.y - 0.75 * label.size, left + width,
                      label.baseline.y + 0.2 * label.size};
        EXPECT_TRUE(again.is_free(box)) << label.text;
        again.add(box);
    }
}

TEST(Plan, EveryPipeHasTheWidthOfItsBoreAndTheStatesTheirShapes) {
    const Solved solved = shipped("sports-park");
    const PipeWidths widths(solved.system());
    for (const model::Pipe& one : solved.system().pipes)
        for (const model::Pipe& two : solved.system().pipes)
            if (one.size->bore.value < two.size->bore.value) {
                EXPECT_LE(widths.of(one), widths.of(two));
            }
    std::set<std::string_view> shapes;
    for (const HeadState state :
         {HeadState::off, HeadState::low, HeadState::within, HeadState::high, HeadState::dry})
        shapes.insert(head_shape(state));
    EXPECT_EQ(shapes.size(), 5U);
}

}  // namespace
}  // namespace evenhead::io
