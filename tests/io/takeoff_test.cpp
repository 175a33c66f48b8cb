// Take-offs against counts by hand: the source of every number is the count written beside it.
#include "io/write/takeoff.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <sstream>

#include "io/units.hpp"
#include "takeoff_sample.hpp"

namespace evenhead::io {
namespace {

using model::TakeoffSection;

const std::string garden =
    "title = \"Corner garden\"\n"
    "supplies = [ { id = \"street\", static = 62, flow = 18, residual = 50 } ]\n"
    "devices = [\n"
    "  { id = \"meter\", type = \"meter\", flow = [0, 30], loss = [0, 9.5] },\n"
    "  { id = \"backflow\", type = \"backflow\", flow = [0, 20], loss = [2.5, 5.5] },\n"
    "]\n"
    "valves = [ { id = \"lawn\", cv = 11.5 }, { id = \"beds\", cv = 11.5, set = 40 } ]\n"
    "nozzles = [\n"
    "  { id = \"lawn-half\", pressure = [20, 30, 40], flow = [0.97, 1.21, 1.38], design = 30 },\n"
    "  { id = \"bed-turning\", pressure = 45, flow = 1.8, design = 45 },\n"
    "]\n"
    "heads = [ { id = \"B1\", nozzle = \"bed-turning\" } ]\n"
    "laterals = [ { id = \"L\", from = \"lawn\", first = 30, heads = 4, spacing = 12, nozzle = "
    "\"lawn-half\", sizes = [[2, \"pvc-cl200 1\"], [2, \"pvc-cl200 3/4\"]] } ]\n"
    "pipes = [\n"
    "  { along = \"street 20 meter 10 backflow\", size = \"copper-k 1\" },\n"
    "  { along = \"backflow 60 T1 5 lawn\", size = \"pvc-sch40 1-1/4\" },\n"
    "  { from = \"T1\", to = \"beds\", length = 5, size = \"pvc-sch40 1-1/4\" },\n"
    "  { from = \"beds\", to = \"B1\", length = 40, size = \"pvc-cl200 1\" },\n"
    "]\n";

TEST(Takeoff, PipeOfASmallGarden) {
    const Counted counted(garden);
    // copper 20 + 10; mainline 60 + 5 + 5; Class 200 1 in 30 + 12 (two of the lateral) + 40; 3/4 in 12 + 12.
    EXPECT_EQ(
        counted.of(TakeoffSection::pipe),
        (Counts{{"copper-k 1", 30}, {"pvc-sch40 1-1/4", 70}, {"pvc-cl200 1", 82}, {"pvc-cl200 3/4", 24}}));
    // With 5 %: 31.5, 73.5, 86.1 and 25.2 ft in lengths of 20 ft.
    EXPECT_EQ(counted.line("copper-k 1").ordered, 2);
    EXPECT_EQ(counted.line("pvc-sch40 1-1/4").ordered, 4);
    EXPECT_EQ(counted.line("pvc-cl200 1").ordered, 5);
    EXPECT_EQ(counted.line("pvc-cl200 3/4").ordered, 2);
    EXPECT_EQ(counted.elements("pvc-cl200 3/4"), "L2-L3, L3-L4");
}

TEST(Takeoff, FittingsOfASmallGarden) {
    const Counted counted(garden);
    EXPECT_EQ(counted.of(TakeoffSection::fittings),
              (Counts{
                  {"connection copper 1", 1},      // street
                  {"thread adapter copper 1", 3},  // both sides of the meter, inlet of the backflow preventer
                  {"thread adapter pvc 1-1/4 x 1", 1},  // its outlet
                  {"thread adapter pvc 1-1/4", 2},      // inlets of the valves
                  {"thread adapter pvc 1 x 1-1/4", 2},  // their outlets
                  {"tee pvc 1-1/4", 1},                 // T1
                  {"coupling pvc 1-1/4", 2},            // 60 ft to T1 are three lengths
                  {"coupling pvc 1", 2},                // 30 ft to L1 and 40 ft to B1 are two each
                  {"head tee pvc 1 x 1/2", 1},          // L1
                  {"head tee pvc 1 x 3/4 x 1/2", 1},    // L2
                  {"head tee pvc 3/4 x 1/2", 1},        // L3
                  {"head elbow pvc 3/4 x 1/2", 1},      // L4
                  {"head elbow pvc 1 x 1/2", 1},        // B1
              }));
    EXPECT_EQ(counted.elements("thread adapter copper 1"), "meter (2), backflow");
    EXPECT_EQ(counted.elements("coupling pvc 1"), "beds-B1, lawn-L1");  // laterals come after `pipes`
}

TEST(Takeoff, TheRestOfASmallGarden) {
    const Counted counted(garden);
    EXPECT_EQ(
        counted.of(TakeoffSection::control),
        (Counts{{"zone valve 1-1/4", 2}, {"meter 1", 1}, {"backflow 1", 1}, {"valve box, standard", 2}}));
    EXPECT_EQ(
        counted.of(TakeoffSection::heads),
        (Counts{{"head 1/2", 5}, {"nozzle lawn-half", 4}, {"nozzle bed-turning", 1}, {"riser 1/2", 5}}));
    // To either valve 20 + 10 + 60 + 5 and slack of 3 at both ends; the common wire along 100 ft of mainline,
    // with slack at the supply and at two valves.
    EXPECT_EQ(counted.of(TakeoffSection::wire),
              (Counts{{"valve wire 18 AWG", 202}, {"common wire 18 AWG", 109}, {"wire connector", 4}}));
    // Mainline 20 + 10 + 60 + 5 + 5; laterals 30 + 3 x 12 + 40.
    EXPECT_EQ(counted.of(TakeoffSection::trench),
              (Counts{{"mainline trench, 18 in deep", 100}, {"lateral trench, 12 in deep", 106}}));
}

/// A supply S at 0, 0 with pipes of one kind from there on; `points` are "id x y".
std::string plan(const std::string& points, const std::string& pipes) {
    std::string text = "supplies = [ { id = \"S\", static = 60, x = 0, y = 0 } ]\npoints = [\n";
    std::istringstream lines(points);
    for (std::string id, x, y; lines >> id >> x >> y;)
        text.append("  { id = \"")
            .append(id)
            .append("\", x = ")
            .append(x)
            .append(", y = ")
            .append(y)
            .append(" },\n");
    return text + "]\npipes = [\n" + pipes + "]\n";
}

struct Turned {
    double degrees;
    const char* kind;
    Counts elbows;
};

TEST(Takeoff, ElbowsByTheAngleOfATurn) {
    const Turned turns[] = {
        {0, "pvc-cl200", {}},
        {20, "pvc-cl200", {}},  // a length of PVC is sprung that far
        {30, "pvc-cl200", {{"elbow 45 pvc 1", 1}}},
        {45, "pvc-cl200", {{"elbow 45 pvc 1", 1}}},
        {85, "pvc-cl200", {{"elbow 90 pvc 1", 1}}},
        {90, "pvc-cl200", {{"elbow 90 pvc 1", 1}}},
        {135, "pvc-cl200", {{"elbow 90 pvc 1", 1}, {"elbow 45 pvc 1", 1}}},
        {180, "pvc-cl200", {{"elbow 90 pvc 1", 2}}},
        {45, "pe-sidr15", {}},  // from a coil it goes round
        {90, "pe-sidr15", {{"elbow 90 pe 1", 1}}},
    };
    for (const Turned& turned : turns)
        for (const double side : {1.0, -1.0}) {
            const double angle = turned.degrees * 3.14159265358979323846 / 180 * side;
            const Counted counted(
                plan("A 10 0 B " + shortest(10 + 9 * std::cos(angle)) + " " + shortest(9 * std::sin(angle)),
                     along("S - A - B", std::string(turned.kind) + " 1")));
            Counts fittings = counted.of(TakeoffSection::fittings);
            const std::string family = std::string(turned.kind) == "pe-sidr15" ? "pe" : "pvc";
            EXPECT_EQ(fittings.erase("connection " + family + " 1"), 1U);
            EXPECT_EQ(fittings.erase("cap " + family + " 1"), 1U);
            EXPECT_EQ(fittings, turned.elbows) << turned.degrees * side << " " << turned.kind;
        }
}

TEST(Takeoff, BendsOfAPipeAreElbowsAndEndAStretch) {
    // 15 + 30 + 30: with elbows between, the first part needs no coupling and the others one each. The case
    // says that the pipe is twice as long as drawn: 30, 60, 60 need 1 + 2 + 2.
    const std::string bends = ", bends = [[15, 0], [15, 30]] },\n";
    const std::string pipe = "  { from = \"S\", to = \"B\", size = \"pvc-cl200 1\"";
    const Counted drawn(plan("B 45 30", pipe + bends));
    EXPECT_EQ(drawn.elements("elbow 90 pvc 1"), "S-B (2)");
    EXPECT_EQ(drawn.of(TakeoffSection::fittings)["coupling pvc 1"], 2);
    const Counted longer(plan("B 45 30", pipe + ", length = 150" + bends));
    EXPECT_EQ(longer.of(TakeoffSection::fittings)["coupling pvc 1"], 5);
}

TEST(Takeoff, StretchesGoOnThroughPointsWithoutAFitting) {
    // 45 ft straight in three pipes of 15: joints at 20 and at 40 ft.
    const Counted counted(plan("A 15 0 B 30 0 C 45 0", along("S - A - B - C", "pvc-cl200 1")));
    EXPECT_EQ(counted.elements("coupling pvc 1"), "A-B, B-C");
    // Drawn the other way round it is the same pipe.
    const Counted turned(
        plan("A 15 0 B 30 0 C 45 0",
             along("C - B", "pvc-cl200 1") + along("A - B", "pvc-cl200 1") + along("S - A", "pvc-cl200 1")));
    EXPECT_EQ(turned.of(TakeoffSection::fittings)["coupling pvc 1"], 2);
    // 60 ft are three whole lengths, and 60.1 ft are not.
    EXPECT_EQ(Counted(plan("A 60 0", along("S - A", "pvc-cl200 1"))).line("coupling pvc 1").quantity, 2);
    EXPECT_EQ(Counted(plan("A 60.1 0", along("S - A", "pvc-cl200 1"))).line("coupling pvc 1").quantity, 3);
    // A coil of 100 ft.
    EXPECT_EQ(Counted(plan("A 250 0", along("S - A", "pe-sidr15 1"))).line("coupling pe 1").quantity, 2);
}

TEST(Takeoff, RingWithoutAFitting) {
    // Corners of 18 degrees: PVC is sprung all round.
    std::string points, way = "S - R0";
    constexpr int corners = 20;
    const double radius = 5 / std::sin(3.14159265358979323846 / corners);
    for (int i = 0; i < corners; ++i) {
        const double angle = 2 * 3.14159265358979323846 * i / corners;
        points += "R" + std::to_string(i) + " " + shortest(100 + radius * std::cos(angle)) + " " +
                  shortest(radius * std::sin(angle)) + " ";
        way += i > 0 ? " - R" + std::to_string(i) : "";
    }
    const Counted counted(plan(points, along(way + " - R0", "pvc-cl200 1")));
    Counts fittings = counted.of(TakeoffSection::fittings);
    EXPECT_EQ(fittings["elbow 45 pvc 1"], 0);
    EXPECT_EQ(fittings["tee pvc 1"], 1);
    // S to R0 at 100 + radius: 131.96 ft, seven lengths; the ring from tee to tee 200 ft.
    EXPECT_EQ(fittings["coupling pvc 1"], 6 + 9);
}

TEST(Takeoff, TeesCrossesAndReducers) {
    const std::string points = "A 10 0 B 20 0 C 10 10 D 10 -10 E 17 7";
    const auto fittings = [&](const std::string& pipes) {
        return Counted(plan(points, pipes)).of(TakeoffSection::fittings);
    };
    const std::string main = along("S - A", "pvc-sch40 1-1/4");
    // The run is what goes straight, whatever the sizes.
    EXPECT_EQ(fittings(main + along("A - B", "pvc-cl200 3/4") +
                       along("A - C", "pvc-cl200 1"))["reducing tee pvc 1-1/4 x 3/4 x 1"],
              1);
    EXPECT_EQ(fittings(main + along("A - B", "pvc-sch40 1-1/4") +
                       along("A - C", "pvc-cl200 1-1/4"))["tee pvc 1-1/4"],
              1);
    // A branch at 45 degrees; and a tee that the water enters by its branch.
    Counts slanted =
        fittings(main + along("A - B - E", "pvc-sch40 1-1/4") + along("A - E", "pvc-sch40 1-1/4"));
    EXPECT_EQ(slanted["tee pvc 1-1/4"], 1);
    // The branch at A; B turns by 113 degrees (90 + 45), E by 112 (90).
    EXPECT_EQ(slanted["elbow 45 pvc 1-1/4"], 2);
    EXPECT_EQ(slanted["elbow 90 pvc 1-1/4"], 2);
    Counts bull = fittings(main + along("A - C", "pvc-cl200 1") + along("A - D", "pvc-cl200 1"));
    EXPECT_EQ(bull["reducing tee pvc 1 x 1 x 1-1/4"], 1);
    EXPECT_EQ(bull.count("elbow 90 pvc 1"), 0U);
    Counts cross = fittings(main + along("A - B", "pvc-sch40 1-1/4") + along("A - C", "pvc-cl200 1") +
                            along("A - D", "pvc-cl200 1"));
    EXPECT_EQ(cross["reducing cross pvc 1-1/4 x 1-1/4 x 1 x 1"], 1);
    // Both branches on one side (E at 45 degrees): a tee for each, and an elbow.
    Counts manifold = fittings(main + along("A - B", "pvc-sch40 1") + along("A - C", "pvc-cl200 1") +
                               along("A - E", "pvc-cl200 3/4"));
    EXPECT_EQ(manifold["reducing tee pvc 1-1/4 x 1-1/4 x 1"], 1);
    EXPECT_EQ(manifold["reducing tee pvc 1-1/4 x 1 x 3/4"], 1);
    EXPECT_EQ(manifold["elbow 45 pvc 3/4"], 1);
    // Five ends: three tees.
    Counts five = fittings(main + along("A - B", "pvc-sch40 1-1/4") + along("A - C", "pvc-sch40 1-1/4") +
                           along("A - D", "pvc-sch40 1-1/4") + along("A - E", "pvc-sch40 1-1/4"));
    EXPECT_EQ(five["tee pvc 1-1/4"], 3);
    // Straight on: smaller, another kind, another family.
    EXPECT_EQ(fittings(main + along("A - B", "pvc-cl200 1"))["reducer pvc 1-1/4 x 1"], 1);
    EXPECT_EQ(fittings(main + along("A - B", "pvc-cl200 1-1/4"))["coupling pvc 1-1/4"], 1);
    EXPECT_EQ(fittings(main + along("A - B", "pe-sidr15 1"))["transition pvc to pe 1-1/4 x 1"], 1);
    // Round a corner and smaller: the elbow is in the smaller pipe.
    Counts corner = fittings(main + along("A - C", "pvc-cl200 3/4"));
    EXPECT_EQ(corner["elbow 90 pvc 3/4"], 1);
    EXPECT_EQ(corner["reducer pvc 1-1/4 x 3/4"], 1);
}

TEST(Takeoff, ThreadsOfSteelNeedNoAdapter) {
    const std::string start =
        "supplies = [ { id = \"S\", static = 60 } ]\nvalves = [ { id = \"V\", cv = 20, size = \"1\" } ]\n"
        "nozzles = [ { id = \"n\", pressure = 45, flow = 10, design = 45 } ]\n"
        "heads = [ { id = \"H\", nozzle = \"n\", cv = 4 }, { id = \"I\", nozzle = \"n\", cv = 4, set = 45 } "
        "]\n";
    const Counted counted(start + "pipes = [\n" + along("S 10 V", "steel-sch40 1-1/4") +
                          along("V 10 H", "pvc-cl200 1") + along("V 10 I", "pvc-cl200 1") + "]\n");
    // The valve's outlet feeds two pipes: a tee on it.
    EXPECT_EQ(counted.of(TakeoffSection::fittings), (Counts{{"connection steel 1-1/4", 1},
                                                            {"reducer steel 1-1/4 x 1", 1},
                                                            {"thread adapter pvc 1", 1},
                                                            {"tee pvc 1", 1},
                                                            {"head elbow pvc 1 x 3/4", 2}}));
    // 10 gpm is beyond 1/2 in; a head that holds its pressure is another body.
    EXPECT_EQ(
        counted.of(TakeoffSection::heads),
        (Counts{{"head 3/4", 1}, {"head 3/4, held to 45 psi", 1}, {"nozzle n", 2}, {"swing joint 3/4", 2}}));
    EXPECT_EQ(counted.of(TakeoffSection::control), (Counts{{"zone valve 1", 1}, {"valve box, standard", 1}}));
}

TEST(Takeoff, ValvesNearEachOtherShareABox) {
    std::string text = "supplies = [ { id = \"S\", static = 60, x = 0, y = 0 } ]\nvalves = [\n";
    // Four within 2 ft of the first, which holds three; one far away.
    for (const char* valve : {"\"A\", x = 10, y = 1", "\"B\", x = 11, y = 1", "\"C\", x = 10, y = 2",
                              "\"D\", x = 11, y = 2", "\"E\", x = 40, y = 1"})
        text += std::string("  { id = ") + valve + ", cv = 10 },\n";
    text += "]\nnozzles = [ { id = \"n\", pressure = 30, flow = 2 } ]\nheads = [\n";
    for (const char* head : {"F", "G", "H", "I", "J"})
        text += std::string("  { id = \"") + head + "\", nozzle = \"n\" },\n";
    text += "]\npipes = [\n";
    for (const char* way : {"S 12 A 9 F", "S 12 B 9 G", "S 12 C 9 H", "S 12 D 9 I", "S 42 E 9 J"})
        text += along(way, "pvc-cl200 1");
    const Counted counted(text + "]\n");
    const Counts control = counted.of(TakeoffSection::control);
    EXPECT_EQ(control.at("valve box, large"), 1);
    EXPECT_EQ(control.at("valve box, standard"), 2);
    EXPECT_EQ(counted.line("valve box, large").elements.size(), 3U);
}

TEST(Takeoff, LongerWiresAreThicker) {
    // Beyond 800 ft the next gauge.
    EXPECT_EQ(Counted(garden).line("valve wire 18 AWG").of, "18 AWG");
    std::string far = garden;
    far.replace(far.find("backflow 60 T1"), 14, "backflow 900 T1");
    EXPECT_EQ(Counted(far).of(TakeoffSection::wire).count("valve wire 14 AWG"), 1U);
}

TEST(Takeoff, PricesOfTheCaseComeFirst) {
    const std::string prices =
        "prices = [\n"
        "  { size = \"pvc-cl200 1\", price = 0.5 },\n"
        "  { item = \"nozzle\", price = 2 },\n"
        "  { item = \"nozzle\", size = \"bed-turning\", price = 3 },\n"
        "  { item = \"head-tee\", size = \"pvc 1 x 1/2\", price = 0.75 },\n"
        "  { item = \"mainline-trench\", price = \"2 per ft\" },\n"
        "]\n";
    const Counted counted(garden + prices);
    EXPECT_NEAR(counted.line("pvc-cl200 1").cost, 5 * 20 * 0.5, 1e-9);  // five lengths are paid
    EXPECT_NEAR(counted.line("nozzle lawn-half").cost, 4 * 2.0, 1e-12);
    EXPECT_NEAR(counted.line("nozzle bed-turning").cost, 3.0, 1e-12);
    EXPECT_NEAR(counted.line("head tee pvc 1 x 1/2").cost, 0.75, 1e-12);
    EXPECT_NEAR(counted.line("mainline trench, 18 in deep").cost, 200, 1e-9);
    EXPECT_EQ(counted.line("head tee pvc 3/4 x 1/2").price->source, model::PriceSource::invented);
    double sum = 0;
    for (const auto& line : counted.takeoff.lines) sum += line.price ? line.cost : 0;
    EXPECT_NEAR(counted.takeoff.cost, sum, 1e-9);
}

TEST(Takeoff, SaysWhatItCannotCount) {
    // A second main of its own, with a valve that no wire along the first one reaches; a pipe whose length
    // nobody knows; a price of nothing that is there.
    const Counted counted(
        "supplies = [ { id = \"S\", static = 60 }, { id = \"R\", static = 60 } ]\n"
        "valves = [ { id = \"V\", cv = 10 }, { id = \"W\", cv = 10 } ]\n"
        "nozzles = [ { id = \"n\", pressure = 30, flow = 2 } ]\n"
        "heads = [ { id = \"H\", nozzle = \"n\" }, { id = \"I\", nozzle = \"n\" } ]\n"
        "prices = [ { item = \"tee\", size = \"pvc 9\", price = 1 }, { item = \"cap\", price = 1 } ]\n"
        "pipes = [\n" +
        along("S 20 V 10 H", "pvc-cl200 1") + along("R 30 W", "pvc-cl200 1") +
        "  { from = \"W\", to = \"I\", length = \"?\", size = \"pvc-cl200 1\" },\n]\n");
    // V: 20 and slack of 3 at both ends; W: the slack alone. Common: 20 and slack at three ends.
    EXPECT_EQ(counted.of(TakeoffSection::wire),
              (Counts{{"valve wire 18 AWG", 32}, {"common wire 18 AWG", 29}, {"wire connector", 4}}));
    ASSERT_EQ(counted.takeoff.unrouted.size(), 1U);
    EXPECT_EQ(counted.system.point_id(counted.takeoff.unrouted[0]), "W");
    EXPECT_EQ(counted.takeoff.unknown_lengths.size(), 1U);
    EXPECT_EQ(counted.of(TakeoffSection::pipe), (Counts{{"pvc-cl200 1", 60}}));
    EXPECT_EQ(counted.takeoff.unused_prices, std::vector<model::Index>{0});
    std::string said;
    for (const model::Assumption& assumption : counted.takeoff.assumptions)
        said += assumption.subject + ": " +
                assumption_and_reason(ShownUnits::of_case(counted.system.units), assumption) + "\n";
    for (const char* words :
         {"W: wire slack only", "pipe: lengths not known for 1 of 4", "prices: not used tee pvc 9"})
        EXPECT_NE(said.find(words), std::string::npos) << words << " in\n" << said;
}

TEST(Takeoff, SizesThatNobodyKnows) {
    const Counted counted(plan("A 10 0 B 20 0 C 30 0", along("S - A - B", "pvc-cl200 ?") +
                                                           "  { from = \"B\", to = \"C\", bore = 1 },\n"));
    EXPECT_EQ(counted.of(TakeoffSection::pipe), (Counts{{"pvc-cl200 ?", 20}, {"1 in bore", 10}}));
    EXPECT_EQ(counted.takeoff.unknown_sizes.size(), 2U);
    EXPECT_FALSE(counted.line("pvc-cl200 ?").price.has_value());
}

TEST(Takeoff, SameTakeoffWhateverTheOrderOfPipes) {
    const std::string points = "A 10 0 B 20 0 C 10 10 D 10 -10";
    const std::string one = along("S - A", "pvc-sch40 1-1/4"), two = along("A - B", "pvc-cl200 3/4"),
                      three = along("A - C", "pvc-cl200 1"), four = along("A - D", "pvc-cl200 1");
    const Counted first(plan(points, one + two + three + four)),
        second(plan(points, four + three + two + one));
    for (int section = 0; section < model::takeoff_sections; ++section)
        EXPECT_EQ(first.of(static_cast<TakeoffSection>(section)),
                  second.of(static_cast<TakeoffSection>(section)));
}

}  // namespace
}  // namespace evenhead::io
