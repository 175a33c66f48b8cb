// Laterals: heads in a line and their pipes.
#include "tests/io/case_folder.hpp"

namespace evenhead::io {
namespace {

struct Refusal {
    std::string row;
    Words words;
};

/// The sound start with a lateral instead of the table of heads; line 4.
std::string with_lateral(const std::string& row, const std::string& more = "") {
    std::string text = with_line(4, "laterals = [ " + row + " ]", more);
    return text.replace(text.find("30 H1"), 5, "30 T");
}

std::string ids_of_pipes(const model::System& system) {
    std::string ids;
    for (const model::Pipe& pipe : system.pipes) ids += system.pipe_id(pipe) + "=" + pipe.size->nominal + " ";
    return ids;
}

TEST(CaseLaterals, OneSizeAndSeveral) {
    EXPECT_EQ(
        ids_of_pipes(system_of(with_lateral(
            R"({ id = "H", from = "T", first = 30, heads = 3, spacing = 12, nozzle = "half", size = "pvc-cl200 1" })"))),
        "street-lawn=1 lawn-T=1 T-H1=1 H1-H2=1 H2-H3=1 ");
    EXPECT_EQ(
        ids_of_pipes(system_of(with_lateral(
            R"({ id = "H", from = "T", first = 30, heads = 3, spacing = 12, nozzle = "half", sizes = [[1, "pvc-cl200 1"], [2, "pvc-cl200 3/4"]] })"))),
        "street-lawn=1 lawn-T=1 T-H1=1 H1-H2=3/4 H2-H3=3/4 ");
    EXPECT_EQ(
        ids_of_pipes(system_of(with_lateral(
            R"({ id = "H", from = "T", first = 30, heads = 2, spacing = 12, nozzle = "half", kind = "pvc-cl200", size = "3/4" })"))),
        "street-lawn=1 lawn-T=1 T-H1=3/4 H1-H2=3/4 ");
}

TEST(CaseLaterals, WhatTheLateralDoesNotSayTheDefaultsDo) {
    const auto system =
        system_of(with_lateral(R"({ id = "H", from = "T", first = 30, heads = 2, spacing = 12 })",
                               "defaults.pipes = { size = \"pvc-cl200 3/4\", fittings = \"10 %\" "
                               "}\ndefaults.heads = { nozzle = \"half\", cv = 4 }\n"));
    EXPECT_EQ(ids_of_pipes(system), "street-lawn=1 lawn-T=1 T-H1=3/4 H1-H2=3/4 ");
    EXPECT_DOUBLE_EQ(system.pipes[3].fittings, 0.1);
    EXPECT_EQ(system.heads[1].nozzle, 0);
    EXPECT_EQ(system.heads[1].joint.coefficient.value, 4);
}

TEST(CaseLaterals, ARowOfHeadsAddsToItsHead) {
    const auto system = system_of(with_lateral(
        R"({ id = "H", from = "T", first = 30, heads = 3, spacing = 12, nozzle = "half", size = "pvc-cl200 1" })",
        "heads = [ { id = \"H2\", elev = 9, nozzle = \"?\" }, { id = \"H3\", cv = 2 } ]\n"));
    ASSERT_EQ(system.heads.size(), 3u);
    EXPECT_EQ(system.heads[0].nozzle, 0);
    EXPECT_EQ(system.heads[1].nozzle, model::none);
    EXPECT_EQ(system.heads[2].nozzle, 0);
    EXPECT_EQ(system.heads[2].joint.coefficient.value, 2);
    EXPECT_DOUBLE_EQ(system.points[static_cast<std::size_t>(system.heads[1].point)].elevation->value,
                     9 * 0.3048);
}

TEST(CaseLaterals, UphillIsWhatEachOfItsPipesRises) {
    const auto reading = read_text(with_lateral(
        R"({ id = "H", from = "T", first = 30, heads = 3, spacing = 12, uphill = 2, nozzle = "half", size = "pvc-cl200 1" })",
        "ground = 50\n"));
    ASSERT_TRUE(reading.system);
    for (int i = 0; i < 3; ++i) {
        const auto point = static_cast<std::size_t>(reading.system->heads[static_cast<std::size_t>(i)].point);
        EXPECT_DOUBLE_EQ(reading.layout.elevation[point] / 0.3048, 52 + 2 * i);
    }
}

TEST(CaseLaterals, Refusals) {
    const Refusal refusals[] = {
        {R"({ id = "H", from = "T", first = 30, heads = 3, spacing = 10, nozzle = "half", sizes = [[1, "pvc-cl200 1"], [1, "pvc-cl200 3/4"]] })",
         {R"(4:100: H: the counts of sizes add up to 2, not to 3 heads | give every pipe of the lateral a size)"}},
        {R"({ id = "H", from = "T", first = 30, heads = 0, spacing = 10, nozzle = "half", size = "pvc-cl200 1" })",
         {R"(4:58: H: heads = 0 is not a count | write a whole number from 1 to 10000)"}},
        {R"({ id = "H", from = "T", first = 30, heads = 2.5, spacing = 10, nozzle = "half", size = "pvc-cl200 1" })",
         {R"(4:58: H: heads = 2.5 is not a count | write a whole number from 1 to 10000)"}},
        {R"({ id = "H", from = "T", first = 30, heads = 1000000000, spacing = 10, nozzle = "half", size = "pvc-cl200 1" })",
         {R"(4:58: H: heads = 1000000000 is not a count | write a whole number from 1 to 10000)"}},
        {R"({ id = "H", from = "T", first = 30, spacing = 10, nozzle = "half", size = "pvc-cl200 1" })",
         {R"(4:14: H: heads is missing | give the number of heads)"}},
        {R"({ id = "H", first = 30, heads = 2, spacing = 10, nozzle = "half", size = "pvc-cl200 1" })",
         {R"(4:14: H: from is missing | name the point where the lateral begins)"}},
        {R"({ id = "H", from = "T", heads = 2, nozzle = "half", size = "pvc-cl200 1" })",
         {R"(4:14: H: first is missing | give the length to the first head)",
          R"(4:14: H: spacing is missing | give the length from head to head)"}},
        {R"({ id = "H", from = "T", first = -3, heads = 2, spacing = -3, nozzle = "half", size = "pvc-cl200 1" })",
         {R"(4:46: H: first = -3 is negative | first is 0 or more)",
          R"(4:71: H: spacing = -3 is negative | spacing is 0 or more)"}},
        {R"({ id = "H", from = "T", first = 3, heads = 2, spacing = 3, size = "pvc-cl200 1" })",
         {R"(4:14: H: nozzle is missing | name the head's nozzle ("?" where nobody knows))"}},
        {R"({ id = "H", from = "T", first = 3, heads = 2, spacing = 3, nozzle = "hal", size = "pvc-cl200 1" })",
         {R"(4:82: H: nobody defines the nozzle "hal" | did you mean "half"?)"}},
        {R"({ id = "H", from = "T", first = 3, heads = 2, spacing = 3, nozzle = "half" })",
         {R"(4:14: H: size is missing | give size = "kind size" such as "pvc-cl200 1", or bore ("?" where nobody knows))"}},
        {R"({ id = "H", from = "T", first = 3, heads = 2, spacing = 3, nozzle = "half", sizes = [[2, "pvc-cl200 7"]] })",
         {R"(4:103: H: pvc-cl200 has no size "7" | its sizes are 3/4 1 1-1/4 1-1/2 2 2-1/2 3 3-1/2 4 5 6 8 10 12)"}},
        {R"({ id = "H", from = "T", first = 3, heads = 2, spacing = 3, nozzle = "half", sizes = 3 })",
         {R"(4:98: H: sizes is not a list of counts and sizes | write sizes = [[2, "pvc-cl200 1"], [2, "pvc-cl200 3/4"]])"}},
        {R"({ id = "H", from = "T", first = 3, heads = 2, spacing = 3, nozzle = "half", sizes = [[2]] })",
         {R"(4:99: H: sizes is not a list of counts and sizes | write sizes = [[2, "pvc-cl200 1"], [2, "pvc-cl200 3/4"]])"}},
        {R"({ id = "H", from = "T", first = 3, heads = 2, spacing = 3, nozzle = "half", sizes = [[2, 2026-04-03]] })",
         {R"(4:103: H: size = 2026-04-03 is a date, not a size | write the size again, in quotes: size = "3/4")"}},
        {R"({ id = "H", from = "T", first = 3, heads = 2, spacing = 3, nozzle = "half", sizes = [["?", "pvc-cl200 1"]] })",
         {R"(4:99: H: sizes is not a list of counts and sizes | write sizes = [[2, "pvc-cl200 1"], [2, "pvc-cl200 3/4"]])"}},
        {R"({ id = "H", from = "T", first = 3, heads = 2, spacing = 3, nozzle = "half", sizes = [] })",
         {R"(4:98: H: the counts of sizes add up to 0, not to 2 heads | give every pipe of the lateral a size)"}},
        {R"({ id = "H", from = "T", first = 3, heads = 2, spacing = 3, nozzle = "half", size = "pvc-cl200 1", sizes = [[2, "pvc-cl200 1"]] })",
         {R"(4:120: H: both size and sizes are given | give one of them)"}},
        {R"({ id = "H", from = "T", first = 3, heads = 2, spacing = 3, nozzle = "half", size = "pvc-cl200 1" }, { id = "H", from = "T", heads = 1, first = 1 })",
         {R"(4:114: H: a lateral "H" is already given on line 4 | give one of the two another id)"}},
        {R"({ id = "H", from = "T", first = 3, heads = 11, spacing = 3, nozzle = "half", size = "pvc-cl200 1" }, { id = "H1", from = "T", heads = 1, first = 1, nozzle = "half", size = "pvc-cl200 1" })",
         {R"(4:115: H11: the id "H11" is already taken by the head on line 4 | give one of the two another id)"}},
        {R"({ id = "H", from = "T", first = 3, heads = 2, spaceing = 3, spacing = 3, nozzle = "half", size = "pvc-cl200 1" })",
         {R"(4:60: H: a row of laterals has no key "spaceing" | did you mean "spacing"?)"}},
    };
    for (const auto& [row, words] : refusals) EXPECT_EQ(errors_of(with_lateral(row)), words) << row;
}

}  // namespace
}  // namespace evenhead::io
