// Sizes written into a case: what is not a size stays to the byte, and what is written reads back as chosen.
#include "io/edit/sized_case.hpp"

#include <gtest/gtest.h>

#include "model/position.hpp"
#include "tests/io/case_folder.hpp"

namespace evenhead::io {
namespace {

const std::string head =
    "# The owner's words.\nunits = \"us\"\nground = 0\nsupplies = [ { id = \"S\", static = 60 } ]  # street\n"
    "valves = [ { id = \"V\", cv = 11.5 } ]\nnozzles = [ { id = \"N\", pressure = 30, flow = 1.5 } ]\n";

/// The sized case where pipes get these sizes of pvc-cl200 in the order of the system.
RewrittenCase sized(const CaseFolder& folder, const std::vector<std::string>& nominals) {
    const CaseReading reading = folder.read();
    EXPECT_TRUE(reading.errors.empty());
    if (!reading.system) return {};
    std::vector<WrittenSize> sizes;
    std::size_t next = 0;
    for (std::size_t pipe = 0; pipe < reading.system->pipes.size(); ++pipe)
        if (reading.system->pipes[pipe].size->given_unknown)
            sizes.push_back({static_cast<model::Index>(pipe), "pvc-cl200", nominals.at(next++)});
    return write_sizes((folder.path() / "case.toml").string(), (folder.path() / "new.toml").string(),
                       *reading.system, sizes);
}

/// What the case becomes, and that it reads back with those sizes.
std::string text_of(const std::string& toml, const std::vector<std::string>& nominals) {
    const CaseFolder folder;
    folder.write("case.toml", head + toml);
    const RewrittenCase made = sized(folder, nominals);
    EXPECT_TRUE(made.left_out.empty());
    if (made.files.empty()) return {};
    const CaseReading before = folder.read();
    folder.write("case.toml", made.files.front().text);
    const CaseReading after = folder.read();
    EXPECT_TRUE(after.errors.empty());
    EXPECT_TRUE(made.files.front().text.starts_with(head));
    if (after.system && before.system) {
        EXPECT_EQ(after.system->pipes.size(), before.system->pipes.size());
        std::size_t next = 0;
        for (std::size_t pipe = 0; pipe < after.system->pipes.size(); ++pipe) {
            EXPECT_EQ(after.system->pipe_id(static_cast<model::Index>(pipe)),
                      before.system->pipe_id(static_cast<model::Index>(pipe)));
            if (before.system->pipes[pipe].size->given_unknown) {
                EXPECT_EQ(after.system->pipes[pipe].size->nominal, nominals.at(next++));
            }
        }
    }
    return made.files.front().text.substr(head.size());
}

TEST(SizedCase, ReplacesOneSizeAndNothingElse) {
    EXPECT_EQ(
        text_of(
            "heads = [ { id = \"H\", nozzle = \"N\" } ]\npipes = [\n"
            "  { along = \"S 20 V\", size = \"pvc-sch40 1\" },   # stays\n"
            "  { from = 'V', size   =  'pvc-cl200 ?' , to = \"H\", length = 12 },   # \"pvc-cl200 ?\"\n]\n",
            {"1-1/4"}),
        "heads = [ { id = \"H\", nozzle = \"N\" } ]\npipes = [\n"
        "  { along = \"S 20 V\", size = \"pvc-sch40 1\" },   # stays\n"
        "  { from = 'V', size   =  \"pvc-cl200 1-1/4\" , to = \"H\", length = 12 },   # \"pvc-cl200 "
        "?\"\n]\n");
}

TEST(SizedCase, PartsAStretchWhereItsPipesGetSeveralSizes) {
    EXPECT_EQ(
        text_of("heads = [ { id = \"A\", nozzle = \"N\" }, { id = \"B\", nozzle = \"N\" } ]\npipes = [\n"
                "  { along = \"S 20 V 10 A 5 B\", size = \"pvc-cl200 ?\", k = 0.5 },  # all of it\n]\n",
                {"2", "1", "1"}),
        "heads = [ { id = \"A\", nozzle = \"N\" }, { id = \"B\", nozzle = \"N\" } ]\npipes = [\n"
        "  { along = \"S 20 V\", size = \"pvc-cl200 2\", k = 0.5 },\n"
        "  { along = \"V 10 A 5 B\", size = \"pvc-cl200 1\", k = 0.5 },  # all of it\n]\n");
}

TEST(SizedCase, GivesALateralAListOfSizes) {
    EXPECT_EQ(
        text_of("laterals = [ { id = \"L\", from = \"V\", first = 9, heads = 3, spacing = 8, nozzle = \"N\", "
                "size = \"pvc-cl200 ?\" } ]\npipes = [ { along = \"S 20 V\", size = \"pvc-sch40 1\" } ]\n",
                {"1", "3/4", "3/4"}),
        "laterals = [ { id = \"L\", from = \"V\", first = 9, heads = 3, spacing = 8, nozzle = \"N\", "
        "sizes = [[1, \"pvc-cl200 1\"], [2, \"pvc-cl200 3/4\"]] } ]\npipes = [ { along = \"S 20 V\", size = "
        "\"pvc-sch40 1\" } ]\n");
    EXPECT_EQ(
        text_of(
            "laterals = [ { id = \"L\", from = \"V\", first = 9, heads = 3, spacing = 8, nozzle = \"N\", "
            "sizes = [[1, \"pvc-cl200 1\"], [2, \"pvc-cl200 ?\"]] } ]\npipes = [ { along = \"S 20 V\", size "
            "= \"pvc-sch40 1\" } ]\n",
            {"1", "3/4"}),
        "laterals = [ { id = \"L\", from = \"V\", first = 9, heads = 3, spacing = 8, nozzle = \"N\", "
        "sizes = [[2, \"pvc-cl200 1\"], [1, \"pvc-cl200 3/4\"]] } ]\npipes = [ { along = \"S 20 V\", size = "
        "\"pvc-sch40 1\" } ]\n");
}

TEST(SizedCase, WritesTheKeyWhereTheDefaultsGaveIt) {
    EXPECT_EQ(
        text_of(
            "defaults.pipes.size = \"pvc-cl200 ?\"\nheads = [ { id = \"H\", nozzle = \"N\" } ]\n[[pipes]]  # "
            "main\nalong = \"S 20 V\"\n[[pipes]]\nalong = \"V 9 H\"\nk = 1 # elbow\n",
            {"1", "3/4"}),
        "defaults.pipes.size = \"pvc-cl200 ?\"\nheads = [ { id = \"H\", nozzle = \"N\" } ]\n[[pipes]]  # "
        "main\nsize = \"pvc-cl200 1\"\nalong = \"S 20 V\"\n[[pipes]]\nsize = \"pvc-cl200 3/4\"\nalong = \"V "
        "9 "
        "H\"\nk = 1 # elbow\n");
    EXPECT_EQ(text_of("defaults.pipes = { kind = \"pvc-cl200\", size = \"?\" }\nheads = [ { id = \"H\", "
                      "nozzle = \"N\" } ]\n"
                      "pipes = [ { along = \"S 20 V\" }, { along = \"V 9 H\", k = 1 } ]\n",
                      {"1", "3/4"}),
              "defaults.pipes = { kind = \"pvc-cl200\", size = \"?\" }\nheads = [ { id = \"H\", nozzle = "
              "\"N\" } ]\n"
              "pipes = [ { along = \"S 20 V\", size = \"pvc-cl200 1\" }, { along = \"V 9 H\", k = 1, size = "
              "\"pvc-cl200 3/4\" } ]\n");
}

TEST(SizedCase, WritesCsvCellsAndNamesTheNewFile) {
    const CaseFolder folder;
    folder.write("case.toml", head + "heads = \"heads.csv\"\npipes = \"pipes.csv\"  # as surveyed\n");
    folder.write("heads.csv", "id,nozzle\nA,N\nB,N\n");
    folder.write("pipes.csv", "along,k,size\r\nS 20 V,,pvc-sch40 1\r\n\"V 9 A 8 B\",0.5,pvc-cl200 ?\r\n");
    const RewrittenCase made = sized(folder, {"1", "3/4"});
    ASSERT_EQ(made.files.size(), 2U);
    EXPECT_EQ(made.files[0].text, head + "heads = \"heads.csv\"\npipes = \"new-pipes.csv\"  # as surveyed\n");
    EXPECT_EQ(made.files[1].path, (folder.path() / "new-pipes.csv").string());
    EXPECT_EQ(made.files[1].text,
              "along,k,size\r\nS 20 V,,pvc-sch40 1\r\n\"V 9 A\",0.5,pvc-cl200 1\r\n\"A 8 "
              "B\",0.5,pvc-cl200 3/4\r\n");
}

TEST(SizedCase, AddsTheColumnsThatACsvLacks) {
    const CaseFolder folder;
    folder.write("case.toml", head +
                                  "defaults.pipes.size = \"pvc-cl200 ?\"\nlaterals = \"laterals.csv\"\n"
                                  "pipes = \"pipes.csv\"\n");
    folder.write(
        "laterals.csv",
        "id,from,first,heads,spacing,nozzle,size\nL,V,10,3,12,N,pvc-cl200 ?\nM,V,10,1,12,N,pvc-cl200 ?\n");
    folder.write("pipes.csv", "from,to,length\nS,V,20\n");
    const CaseReading before = folder.read();
    ASSERT_TRUE(before.system);
    std::vector<WrittenSize> sizes;
    for (std::size_t pipe = 0; pipe < before.system->pipes.size(); ++pipe) {
        const std::string id = before.system->pipe_id(static_cast<model::Index>(pipe));
        sizes.push_back({static_cast<model::Index>(pipe), "pvc-cl200",
                         id == "S-V"    ? "2"
                         : id == "V-L1" ? "1"
                                        : "3/4"});
    }
    const std::string target = (folder.path() / "new.toml").string();
    const RewrittenCase made =
        write_sizes((folder.path() / "case.toml").string(), target, *before.system, sizes);
    ASSERT_EQ(made.files.size(), 3U);
    EXPECT_EQ(made.files[1].text,
              "id,from,first,heads,spacing,nozzle,size,sizes\nL,V,10,3,12,N,,1 pvc-cl200 1; 2 pvc-cl200 "
              "3/4\nM,V,10,1,12,N,pvc-cl200 3/4\n");
    EXPECT_EQ(made.files[2].text, "from,to,length,size\nS,V,20,pvc-cl200 2\n");
    write_case(made.files);
    const CaseReading after = read_case(target);
    ASSERT_TRUE(after.system) << in_words(after.errors, after).front();
    for (const WrittenSize& size : sizes)
        EXPECT_EQ(after.system->pipes[at(size.pipe)].size->nominal, size.nominal);
}

TEST(SizedCase, RefusesACaseThatHasChangedMeanwhile) {
    const CaseFolder folder;
    const std::string pipes = "pipes = [ { along = \"S 20 V 9 H\", size = \"pvc-cl200 ?\" } ]\n";
    folder.write("case.toml", head + "heads = \"heads.csv\"\n" + pipes);
    folder.write("heads.csv", "id,nozzle\nH,N\n");
    const CaseReading reading = folder.read();
    ASSERT_TRUE(reading.system);
    const std::string path = (folder.path() / "case.toml").string(),
                      target = (folder.path() / "new.toml").string();
    const CaseStamp stamp(path, reading.files);
    const std::vector<WrittenSize> sizes{{0, "pvc-cl200", "1"}, {1, "pvc-cl200", "1"}};
    EXPECT_EQ(write_sizes(path, target, *reading.system, sizes, &stamp).files.size(), 1U);
    folder.write("heads.csv", "id,nozzle\nH,N\n\n");
    EXPECT_THROW(write_sizes(path, target, *reading.system, sizes, &stamp), RewriteError);
    folder.write("heads.csv", "id,nozzle\nH,N\n");  // as it was
    EXPECT_EQ(write_sizes(path, target, *reading.system, sizes, &stamp).files.size(), 1U);
    folder.write("case.toml", "# one more line\n" + head + "heads = \"heads.csv\"\n" + pipes);
    EXPECT_THROW(write_sizes(path, target, *reading.system, sizes, &stamp), RewriteError);
}

}  // namespace
}  // namespace evenhead::io
