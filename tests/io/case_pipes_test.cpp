// Pipes: rows, stretches, sizes, lengths from coordinates, elevations through uphill.
#include "tests/io/case_folder.hpp"

namespace evenhead::io {
namespace {

struct Refusal {
    std::string row;
    Words words;
};

model::System system_with_pipes(const std::string& rows, const std::string& more = "") {
    return system_of(with_line(5, "pipes = [ " + rows + " ]", more));
}

TEST(CasePipes, EveryKey) {
    const auto system = system_with_pipes(
        R"({ from = "street", to = "lawn", id = "P", length = 20, size = "pvc-cl200 1", k = 0.9, fittings = "10 %", closed = false, rating = 150, c = 130 },
        { along = "lawn 30 H1", bore = 1.05, roughness = 0.001 })");
    const model::Pipe& pipe = system.pipes.at(0);
    EXPECT_EQ(system.pipe_id(pipe), "P");
    EXPECT_EQ(system.point_id(pipe.from), "street");
    EXPECT_EQ(pipe.k.value, 0.9);
    EXPECT_DOUBLE_EQ(pipe.fittings, 0.1);
    EXPECT_NEAR(pipe.size->rating->value, 150 * 6894.757293168361, 1e-6);  // instead of the standard's
    EXPECT_EQ(pipe.size->c.value, 130);
    EXPECT_EQ(pipe.size->material, model::Material::pvc);
    EXPECT_EQ(system.pipes[1].size->c.value, 150);
    EXPECT_DOUBLE_EQ(system.pipes[1].size->roughness.value, 0.001 * 0.0254);
    ASSERT_EQ(system.assumptions.size(), 1u);
    EXPECT_EQ(system.assumptions[0].subject, "lawn-H1");
    EXPECT_EQ(system.assumptions[0].what, "C");
    EXPECT_EQ(system.assumptions[0].number, 150);
}

TEST(CasePipes, ABareBoreByDarcyWeisbachAssumesTheRoughness) {
    const auto system = system_of("friction = \"darcy-weisbach\"\n" +
                                  with_line(5,
                                            "pipes = [ { along = \"street 2 lawn\", bore = 1.05 }, { along = "
                                            "\"lawn 2 H1\", bore = 1, roughness = 0 } ]"));
    ASSERT_EQ(system.assumptions.size(), 1u);
    EXPECT_EQ(system.assumptions[0].what, "roughness");
    EXPECT_EQ(system.assumptions[0].number, 1.5e-6);
    EXPECT_EQ(system.pipes[1].size->roughness.value, 0);
}

TEST(CasePipes, SizesByKindAndByDefaultKind) {
    const auto system = system_with_pipes(
        R"({ along = "street 20 lawn", size = 1 }, { along = "lawn 30 H1", size = "pvc-sch40 1 1/4" })",
        "defaults.pipes = { kind = \"pvc-cl200\" }\n");
    EXPECT_NEAR(system.pipes[0].size->bore.value, 1.189 * 0.0254, 1e-9);  // ASTM D2241: 1.315 - 2 x 0.063
    EXPECT_NEAR(system.pipes[1].size->bore.value, 1.380 * 0.0254, 1e-9);  // ASTM D1785: 1.660 - 2 x 0.140
}

TEST(CasePipes, ASizeOrABoreMayBeUnknown) {
    const auto system = system_with_pipes(
        R"({ along = "street 20 lawn", size = "copper-k ?" }, { along = "lawn 30 T", size = "?" }, { along = "T 30 H1", bore = "?" })");
    EXPECT_TRUE(system.pipes[0].size->given_unknown);
    EXPECT_EQ(system.pipes[0].size->kind, "copper-k");
    EXPECT_EQ(system.pipes[0].size->material, model::Material::copper);
    EXPECT_EQ(system.pipes[0].size->c.value, 140);
    EXPECT_FALSE(system.pipes[0].size->bore.known());
    EXPECT_TRUE(system.pipes[1].size->given_unknown);
    EXPECT_EQ(system.pipes[1].size->kind, "");
    EXPECT_TRUE(system.pipes[2].size->given_unknown);
}

TEST(CasePipes, KindsOfTheCase) {
    const auto system = system_with_pipes(
        R"({ along = "street 20 lawn", size = "old 1-1/4" }, { along = "lawn 30 H1", size = "old ?" })",
        R"(kinds = [ { id = "old", size = "1.25", bore = 1.3, od = 1.66, c = 95, roughness = 0.01, rating = 100, modulus = 300000 } ])"
        "\n");
    const model::PipeSize& size = *system.pipes[0].size;
    EXPECT_DOUBLE_EQ(size.bore.value, 1.3 * 0.0254);
    EXPECT_DOUBLE_EQ(size.wall, 0.18 * 0.0254);  // half of 1.66 - 1.3
    EXPECT_EQ(size.c.value, 95);
    EXPECT_NEAR(size.modulus, 300000 * 6894.757293168361, 1e-3);
    EXPECT_EQ(system.pipes[1].size->c.value, 95);
    EXPECT_FALSE(system.pipes[1].size->bore.known());
    EXPECT_TRUE(system.assumptions.empty());
}

TEST(CasePipes, AlongIsPointsAndLengthsInTurn) {
    const auto system =
        system_with_pipes(R"({ along = ["street", 20, "lawn", "9.144 m", "H1"], size = "pvc-cl200 1" })");
    ASSERT_EQ(system.pipes.size(), 2u);
    EXPECT_DOUBLE_EQ(system.pipes[1].length.value, 9.144);
    EXPECT_EQ(system.pipe_id(1), "lawn-H1");
    EXPECT_EQ(
        system_with_pipes(
            R"({ along = "street 20 lawn", id = "one", size = "pvc-cl200 1" }, { along = "lawn 0 H1", size = "pvc-cl200 1" })")
            .pipe_id(0),
        "one");
}

TEST(CasePipes, LengthsFromCoordinates) {
    // 3-4-5 triangles: straight 50 ft; around the corner 30 + 40 = 70 ft.
    const std::string places =
        R"(points = [ { id = "A", x = 0, y = 0 }, { id = "B", x = 30, y = 40, elev = 12 } ])"
        "\n";
    const auto system = system_with_pipes(
        R"({ along = "street 20 A - B 5 lawn 30 H1", size = "pvc-cl200 1" }, { from = "A", to = "B", id = "around", size = "pvc-cl200 1", bends = [[30, 0]] },
        { from = "A", to = "B", id = "given", length = 99, size = "pvc-cl200 1", bends = [[30, 0]] })",
        places);
    EXPECT_DOUBLE_EQ(system.pipes[1].length.value, 50 * 0.3048);
    EXPECT_DOUBLE_EQ(system.pipes[4].length.value, 70 * 0.3048);
    EXPECT_DOUBLE_EQ(system.pipes[5].length.value, 99 * 0.3048);
    EXPECT_EQ(system.pipes[4].bends->size(), 1u);
}

std::string with_high_head(const std::string& row) {
    std::string text = with_line(5, "pipes = [ " + row + " ]", "ground = 100\n");
    return text.insert(text.find("nozzle = \"half\""), "elev = 90, ");
}

double elevation_of(const CaseReading& reading, const std::string& id) {
    for (std::size_t i = 0; i < reading.system->points.size(); ++i)
        if (reading.system->points[i].id == id) return reading.layout.elevation[i] / 0.3048;
    return -1;
}

TEST(CasePipes, UphillFromTheGround) {
    const auto reading = read_text(
        with_line(5, "pipes = [ { along = \"street 20 lawn 30 H1\", uphill = 3, size = \"pvc-cl200 1\" } ]",
                  "ground = 100\n"));
    ASSERT_TRUE(reading.system);
    EXPECT_DOUBLE_EQ(elevation_of(reading, "street"), 100);
    EXPECT_DOUBLE_EQ(elevation_of(reading, "lawn"), 103);
    EXPECT_DOUBLE_EQ(elevation_of(reading, "H1"), 106);
    EXPECT_TRUE(reading.system->assumptions.empty());
}

TEST(CasePipes, UphillFromTheNearestPointThatHasAnElevation) {
    // The valve has none: 20 ft along the pipe the street's 200 ft is nearest, and the head stands 3 ft above
    // that.
    std::string text = with_line(5,
                                 "pipes = [ { along = \"street 20 lawn\", size = \"pvc-cl200 1\" }, { along "
                                 "= \"lawn 30 H1\", uphill = 3, size = \"pvc-cl200 1\" } ]");
    text.replace(text.find("static"), 6, "elev = 200, static");
    const auto raised = read_text(text);
    ASSERT_TRUE(raised.system);
    EXPECT_DOUBLE_EQ(elevation_of(raised, "lawn"), 200);
    EXPECT_DOUBLE_EQ(elevation_of(raised, "H1"), 203);
    ASSERT_EQ(raised.system->assumptions.size(), 1u);
    EXPECT_EQ(raised.system->assumptions[0].subject, "lawn");
}

TEST(CasePipes, UphillAgainstTheOrderOfTheRows) {
    const auto reading =
        read_text(with_line(5,
                            "pipes = [ { along = \"lawn 30 H1\", uphill = -2, size = \"pvc-cl200 1\" }, { "
                            "along = \"street 20 lawn\", uphill = 3, size = \"pvc-cl200 1\" } ]",
                            "ground = 10\n"));
    ASSERT_TRUE(reading.system);
    EXPECT_DOUBLE_EQ(elevation_of(reading, "H1"), 11);
}

TEST(CasePipes, Refusals) {
    const Refusal refusals[] = {
        {R"({ along = "street 20 lawn 30 H1", size = "pvc-cl200 1" }, { from = "lawn", to = "lawn", length = 2, size = "pvc-cl200 1" })",
         {R"(5:69: lawn-lawn: a pipe from "lawn" to itself | a pipe runs between two points)"}},
        {R"({ along = "street 20 lawn 30 H1", size = "pvc-cl200 1" }, { from = "street", to = "lawn", length = 2, size = "pvc-cl200 1" })",
         {R"(5:69: street-lawn: a second pipe is called "street-lawn" (the first is on line 5) | give this one an id of its own, such as id = "street-lawn-2")"}},
        {R"({ along = "street 20 lawn 30 H1", size = "pvc-cl200 1" }, { along = "street 20 lawn 2 T", size = "pvc-cl200 1" })",
         {R"(5:69: street 20 lawn 2 T: a second pipe is called "street-lawn" (the first is on line 5) | give this one an id of its own, such as id = "street-lawn-2")"}},
        {R"({ along = "street 20 lawn 30 H1", size = "pvc-cl200 1" }, { from = "street", to = "lawn", id = "street-lawn", length = 2, size = "pvc-cl200 1" })",
         {R"(5:69: street-lawn: a second pipe is called "street-lawn" (the first is on line 5) | give one of the two another id)"}},
        {R"({ along = "street 20 lawn 30 H1", size = "pvc-cl200 1" }, { from = "street", to = "lawn", id = "second", length = -2, size = "pvc-cl200 1" })",
         {R"(5:125: second: length = -2 is negative | length is 0 or more)"}},
        {R"({ along = "street -20 lawn 30 H1", size = "pvc-cl200 1" })",
         {R"(5:21: street -20 lawn 30 H1: the length -20 from street to lawn is negative | a length is 0 or more)"}},
        {R"({ along = "street 20 lawn 30", size = "pvc-cl200 1" })",
         {R"(5:21: street 20 lawn 30: along ends with a length ("30") | write points and lengths in turn, such as along = "T1 20 T2 5 lawn" (- for a length from coordinates))"}},
        {R"({ along = "street 20", size = "pvc-cl200 1" })",
         {R"(5:21: street 20: along needs two points and the length between them | write points and lengths in turn, such as along = "T1 20 T2 5 lawn" (- for a length from coordinates))"}},
        {R"({ along = "street - lawn 30 H1", size = "pvc-cl200 1" })",
         {R"(5:11: street - lawn 30 H1: length is missing | give the length, or x and y to street (it has none))"}},
        {R"({ along = "street x lawn 30 H1", size = "pvc-cl200 1" })",
         {R"(5:21: street x lawn 30 H1: along = "x" is not a length: it does not begin with a finite number | write a number (it means ft) or a number with its unit: ft, in, m, cm, mm)"}},
        {R"({ along = 3, size = "pvc-cl200 1" })",
         {R"(5:21: 3: along = 3 names no points | write points and lengths in turn, such as along = "T1 20 T2 5 lawn" (- for a length from coordinates))"}},
        {R"({ along = "street 20 lawn 30 H1", from = "x", length = 3, id = "y", size = "pvc-cl200 1" })",
         {R"(5:52: y: both along and from are given | along names the points and their lengths itself)",
          R"(5:66: y: both along and length are given | along names the points and their lengths itself)",
          R"(5:74: y: id is given for 2 pipes at once | give each pipe that has its own id a row of its own)"}},
        {R"({ along = "street 20 lawn 30 H1" }, { from = "street", length = 3, size = "pvc-cl200 1" })",
         {R"(5:11: street 20 lawn 30 H1: size is missing | give size = "kind size" such as "pvc-cl200 1", or bore ("?" where nobody knows))",
          R"(5:47: street-?: to is missing | name the point where the pipe ends, or write along)"}},
        {R"({ along = "street 20 lawn 30 H1" })",
         {R"(5:11: street 20 lawn 30 H1: size is missing | give size = "kind size" such as "pvc-cl200 1", or bore ("?" where nobody knows))"}},
        {R"({ along = "street 20 lawn 30 H1", bore = 2, size = "pvc-cl200 1" })",
         {R"(5:52: street 20 lawn 30 H1: both size and bore are given | give one of them: size stands for a bore)"}},
        {R"({ along = "street 20 lawn 30 H1", bore = 0, c = 130 })",
         {R"(5:52: street 20 lawn 30 H1: bore = 0 is not above zero | write a bore such as 1.05 or "1.05 in")"}},
        {R"({ along = "street 20 lawn 30 H1", bore = -1 })",
         {R"(5:52: street 20 lawn 30 H1: bore = -1 is not above zero | write a bore such as 1.05 or "1.05 in")"}},
        {R"({ along = "street 20 lawn 30 H1", size = "pvc-cl20 1" })",
         {R"(5:52: street 20 lawn 30 H1: nobody defines the kind "pvc-cl20" of size "pvc-cl20 1" | did you mean "pvc-cl200"?)"}},
        {R"({ along = "street 20 lawn 30 H1", size = "pvc-cl200 7" })",
         {R"(5:52: street 20 lawn 30 H1: pvc-cl200 has no size "7" | its sizes are 3/4 1 1-1/4 1-1/2 2 2-1/2 3 3-1/2 4 5 6 8 10 12)"}},
        {R"({ along = "street 20 lawn 30 H1", size = "pvc-cl200" })",
         {R"(5:52: street 20 lawn 30 H1: size = "pvc-cl200" names a kind but no size | its sizes are 3/4 1 1-1/4 1-1/2 2 2-1/2 3 3-1/2 4 5 6 8 10 12)"}},
        {R"({ along = "street 20 lawn 30 H1", size = 1 })",
         {R"(5:52: street 20 lawn 30 H1: size = 1 is a size of no kind | write the kind before it, such as size = "pvc-cl200 1", or give defaults.pipes.kind)"}},
        {R"({ along = "street 20 lawn 30 H1", kind = "pvc", size = 1 })",
         {R"(5:66: street 20 lawn 30 H1: nobody defines the kind "pvc" of size 1 | the kinds are pvc-sch40 pvc-sch80 pvc-cl315 pvc-cl200 pvc-cl160 pe-sidr19 pe-sidr15 pe-sidr11.5 hdpe-dr17 hdpe-dr11 pe100-sdr17 pe100-sdr11 copper-k copper-l copper-m steel-sch40)"}},
        {R"({ along = "street 20 lawn 30 H1", size = 2026-03-04 })",
         {R"(5:52: street 20 lawn 30 H1: size = 2026-03-04 is a date, not a size | write the size again, in quotes: size = "3/4")"}},
        {R"({ along = "street 20 lawn 30 H1", size = "" })",
         {R"(5:52: street 20 lawn 30 H1: size is empty | write a size such as "1-1/4")"}},
        {R"({ along = "street 20 lawn 30 H1", size = true })",
         {R"(5:52: street 20 lawn 30 H1: size = true is not a size | write size = "pvc-cl200 1-1/4")"}},
        {R"({ along = "street 20 lawn 30 H1", k = -1, fittings = "-5 %", closed = 1, rating = 0, c = 0, size = "pvc-cl200 1" })",
         {R"(5:49: street 20 lawn 30 H1: k = -1 is negative | k is 0 or more)",
          R"(5:64: street 20 lawn 30 H1: fittings = "-5 %" is negative | fittings is 0 or more)",
          R"(5:81: street 20 lawn 30 H1: closed = 1 is neither true nor false | write closed = true or closed = false, without quotes)",
          R"(5:93: street 20 lawn 30 H1: rating = 0 is not above zero | write a pressure such as 60 or "60 psi")",
          R"(5:100: street 20 lawn 30 H1: c = 0 is not above zero | write a number such as 1.5)"}},
        {R"({ along = "street 20 lawn 30 H1", bends = [[0, 0]], size = "pvc-cl200 1" })",
         {R"(5:53: street 20 lawn 30 H1: bends is given for 2 pipes at once | give each pipe that has its own bends a row of its own)"}},
        {R"({ along = "street 20 lawn 30 H1", lenght = 4, size = "pvc-cl200 1" })",
         {R"(5:45: street 20 lawn 30 H1: a row of pipes has no key "lenght" | did you mean "length"?)"}},
        {R"({ from = "street", to = "lawn", length = "20 psi", size = "pvc-cl200 1" }, { along = "lawn 30 H1", size = "pvc-cl200 1" })",
         {R"(5:52: street-lawn: length = "20 psi": psi measures a pressure, not a length | write a number (it means ft) or a number with its unit: ft, in, m, cm, mm)"}},
    };
    for (const auto& [row, words] : refusals)
        EXPECT_EQ(errors_of(with_line(5, "pipes = [ " + row + " ]")), words) << row;
}

TEST(CasePipes, ABareFractionIsSuspicious) {
    const Refusal refusals[] = {
        {R"({ along = "street 20 lawn 30 H1", fittings = 0.1, size = "pvc-cl200 1" })",
         {R"(5:56: street 20 lawn 30 H1: fittings = 0.1 is less than one percent | a bare number is percent: for a tenth write fittings = "10 %")"}},
    };
    for (const auto& [row, words] : refusals)
        EXPECT_EQ(warnings_of(with_line(5, "pipes = [ " + row + " ]")), words) << row;
}

TEST(CaseKinds, Refusals) {
    const Refusal refusals[] = {
        {R"(kinds = [ { id = "my", size = 1, bore = 1.1 }, { id = "my", size = "1", bore = 1.1 }, { id = "other" } ])",
         {R"(6:48: my: size "1" of kind "my" is already given on line 6 | keep one of the two)",
          R"(6:87: other: size is missing | give the nominal size, such as size = "1-1/4")",
          R"(6:87: other: bore is missing | give the inside diameter as bore)"}},
        {R"(kinds = [ { id = "my", size = 1, bore = 1.1, od = 1.0 } ])",
         {R"(6:51: my: od is not above bore | od is the outside diameter)"}},
        {R"(kinds = [ { id = "my", size = 1, bore = 0 } ])",
         {R"(6:41: my: bore = 0 is not above zero | write a bore such as 1.05 or "1.05 in")"}},
        {R"(kinds = [ { size = 1, bore = 1.1 } ])",
         {R"(6:11: 1: id is missing | give the row an id of its own, such as id = "L1")"}},
        {R"(prices = [ { size = "pvc-cl200 ?", price = -1 }, { size = "1" }, { size = "pvc-cl200 1", price = 1 }, { size = "pvc-cl200 1", price = 1 } ])",
         {R"(6:21: pvc-cl200 ?: a price is for one size | give a row for each size)",
          R"(6:44: pvc-cl200 ?: price = -1 is negative | price is 0 or more)",
          R"(6:50: 1: price is missing | give the price of one foot (metric: one metre) of pipe)",
          R"(6:59: 1: size = "1" is a size of no kind | write the kind before it, such as size = "pvc-cl200 1", or give defaults.pipes.kind)",
          R"(6:112: pvc-cl200 1: the price of pvc-cl200 1 is already given on line 6 | keep one of the two)"}},
    };
    for (const auto& [row, words] : refusals) EXPECT_EQ(errors_of(sound_start + row + "\n"), words) << row;
}

TEST(CasePipes, UphillThatContradicts) {
    const Refusal refusals[] = {
        {R"({ along = "street 20 lawn 30 H1", uphill = 3, size = "pvc-cl200 1" })",
         {R"(5:11: lawn-H1: uphill puts "H1" at 106 ft, but it is at 90 ft already | correct one of the two, or leave uphill out)"}},
    };
    for (const auto& [row, words] : refusals) EXPECT_EQ(errors_of(with_high_head(row)), words) << row;
}

TEST(CasePipes, UphillInARing) {
    const Refusal refusals[] = {
        {R"({ along = "street 20 lawn 30 H1 2 A", size = "pvc-cl200 1" }, { along = "A 1 B 1 C 1 A", uphill = 2, size = "pvc-cl200 1" })",
         {R"(5:73: A-B: uphill goes round in a ring, and no point of it has an elevation | give elev to "A")"}},
    };
    for (const auto& [row, words] : refusals)
        EXPECT_EQ(errors_of(with_line(5, "pipes = [ " + row + " ]")), words) << row;
}

}  // namespace
}  // namespace evenhead::io
