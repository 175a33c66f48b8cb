// Edited cases against texts written by hand after the words of the TOML 1.0.0 specification and of RFC 4180;
// and every cell of every shipped case written again as it stands, which must give the same bytes.
#include "io/edit/rewrite_case.hpp"

#include <sstream>

#include "io/read/case.hpp"
#include "reading_fixture.hpp"

namespace evenhead::io {
namespace {

namespace fs = std::filesystem;

std::string bytes_of(const fs::path& path) {
    std::stringstream text;
    text << std::ifstream(path, std::ios::binary).rdbuf();
    return text.str();
}

class RewriteCaseTest : public Reading {
  protected:
    /// The case of this text with these edits.
    std::string rewritten(std::string_view text, const std::vector<CellEdit>& edits) const {
        return rewrite_case(write("case.toml", text), (folder / "new.toml").string(), edits)
            .files.front()
            .text;
    }
};

TEST_F(RewriteCaseTest, OneCellChangesAndNothingElse) {
    const std::string text =
        "# old zone, 1987\r\n"
        "title   = \"Größe, { ] # }\"\r\n"
        "pipes = [\r\n"
        "  { id = \"é\", size = \"?\" , length = 0x1F },   # as found\r\n"
        "  {id='b',size='''?''',note=\"\"\"a\"b\"\"\"\"},\r\n"
        "]\r\n";
    EXPECT_EQ(rewritten(text, {{"pipes", {0, 4, 3}, "size", "pvc-cl200 1"},
                               {"pipes", {0, 4, 3}, "length", "12.5", true},
                               {"pipes", {0, 5, 3}, "size", "a \"\\ \t"},
                               {"pipes", {0, 5, 3}, "note", "c"}}),
              "# old zone, 1987\r\n"
              "title   = \"Größe, { ] # }\"\r\n"
              "pipes = [\r\n"
              "  { id = \"é\", size = \"pvc-cl200 1\" , length = 12.5 },   # as found\r\n"
              "  {id='b',size=\"a \\\"\\\\ \\u0009\",note=\"c\"},\r\n"
              "]\r\n");
}

TEST_F(RewriteCaseTest, ListsAndWhatStandsAtTheTop) {
    const std::string text =
        "ground = 10 # about\n"
        "limits.velocity = 5\n"
        "nozzles = [{ id = \"n\", pressure = [20, 30], flow = [1.0, # a ] here\n  \"?\"] }]\n"
        "laterals = [{ id = \"L\", sizes = [[2, \"a 1\"], [2, \"a 3/4\"]], spacing = 3 }]\n";
    EXPECT_EQ(
        rewritten(text, {{"", {}, "ground", "11 +- 1 ft"},
                         {"", {}, "limits.velocity", "6", true},
                         {"nozzles", {0, 3, 12}, "flow", "1.4 +- 0.1 gpm", false, 1},
                         {"laterals", {0, 5, 13}, "sizes", "[[4, \"a 1\"]]", true}}),
        "ground = \"11 +- 1 ft\" # about\n"
        "limits.velocity = 6\n"
        "nozzles = [{ id = \"n\", pressure = [20, 30], flow = [1.0, # a ] here\n  \"1.4 +- 0.1 gpm\"] }]\n"
        "laterals = [{ id = \"L\", sizes = [[4, \"a 1\"]], spacing = 3 }]\n");
}

TEST_F(RewriteCaseTest, KeysThatTheRowDoesNotHave) {
    const std::string text =
        "laterals = [{ id = \"L\", size = \"a 1\", spacing = 3 } # one\n]\n"
        "heads = [{ id = \"H\", own_valve = { cv = 5 } }, { id = \"G\", own_valve.cv = 5 }]\n"
        "[[pipes]] # main\nfrom = \"a\"\n[[pipes]]\nfrom = \"b\"\n";
    EXPECT_EQ(rewritten(text, {{"laterals", {0, 1, 13}, "sizes", "[[2, \"a 1\"]]", true, -1, "size"},
                               {"laterals", {0, 1, 13}, "uphill", "2", true},
                               {"heads", {0, 3, 10}, "own_valve.set", "40", true},
                               {"heads", {0, 3, 48}, "own_valve.set", "30", true},
                               {"pipes", {0, 4, 1}, "size", "a 1"},
                               {"pipes", {0, 6, 1}, "size", "a 2"}}),
              "laterals = [{ id = \"L\", sizes = [[2, \"a 1\"]], spacing = 3, uphill = 2 } # one\n]\n"
              "heads = [{ id = \"H\", own_valve = { cv = 5, set = 40 } }, { id = \"G\", own_valve.cv = 5, "
              "own_valve.set = 30 }]\n"
              "[[pipes]] # main\nsize = \"a 1\"\nfrom = \"a\"\n[[pipes]]\nsize = \"a 2\"\nfrom = \"b\"\n");
}

TEST_F(RewriteCaseTest, CsvTables) {
    write("pipes.csv",
          "\xEF\xBB\xBF"
          "id,from , size,note\r\n"
          "P1, \"a\",?,\"one, \"\"two\"\"\r\nthree\"\r\n"
          "P2,b\r\n"
          "P3,c,\"?\",x\r\n");
    write("nozzles.csv", "id,pressure,flow\nn,20,1\n,30,?\n");
    const std::string path =
        write("case.toml",
              "pipes = [\"pipes.csv\", { id = \"P0\", size = \"?\" }] # all\nnozzles = 'nozzles.csv'\n");
    const std::vector<CaseFile> files = rewrite_case(path, (folder / "new.toml").string(),
                                                     {{"pipes", {1, 2, 1}, "size", "pvc-cl200 1-1/4"},
                                                      {"pipes", {1, 4, 1}, "size", "1, \"short\""},
                                                      {"pipes", {1, 5, 1}, "size", "1"},
                                                      {"pipes", {1, 5, 1}, "c", "120"},
                                                      {"pipes", {0, 1, 23}, "size", "2"},
                                                      {"nozzles", {2, 2, 1}, "flow", "1.3", true, 1}})
                                            .files;
    ASSERT_EQ(files.size(), 3U);
    EXPECT_EQ(
        files[0].text,
        "pipes = [\"new-pipes.csv\", { id = \"P0\", size = \"2\" }] # all\nnozzles = \"new-nozzles.csv\"\n");
    EXPECT_EQ(fs::path(files[1].path), folder / "new-pipes.csv");
    EXPECT_EQ(files[1].text,
              "\xEF\xBB\xBF"
              "id,from , size,note,c\r\n"
              "P1, \"a\",pvc-cl200 1-1/4,\"one, \"\"two\"\"\r\nthree\"\r\n"
              "P2,b,\"1, \"\"short\"\"\"\r\n"
              "P3,c,\"1\",x,120\r\n");
    EXPECT_EQ(files[2].text, "id,pressure,flow\nn,20,1\n,30,1.3\n");
    write_case(files);
    EXPECT_EQ(bytes_of(folder / "new.toml"), files[0].text);
    EXPECT_EQ(bytes_of(folder / "new-pipes.csv"), files[1].text);
    EXPECT_TRUE(read_document((folder / "new.toml").string()).errors.empty());
}

TEST_F(RewriteCaseTest, WhereTablesGo) {
    write("pipes.csv", "id\nP1\n");
    write("old-pipes.csv", "id\nP2\n");
    write("more/heads.csv", "id\nH1\n");
    const std::string path =
        write("case.toml", "pipes = [\"pipes.csv\", \"old-pipes.csv\"]\nheads = \"more/heads.csv\"\n");
    // Beside the case nothing is written twice that did not change; no name of the case is taken.
    EXPECT_EQ(rewrite_case(path, (folder / "new.toml").string(), {}).files.size(), 1U);
    const auto near =
        rewrite_case(path, (folder / "old.toml").string(), {{"pipes", {1, 2, 1}, "id", "P3"}}).files;
    ASSERT_EQ(near.size(), 2U);
    EXPECT_EQ(fs::path(near[1].path), folder / "old-old-pipes.csv");
    // Elsewhere the tables go along.
    fs::create_directories(folder / "out");
    const auto away = rewrite_case(path, (folder / "out/new.toml").string(), {}).files;
    ASSERT_EQ(away.size(), 4U);
    EXPECT_EQ(away[0].text,
              "pipes = [\"new-pipes.csv\", \"new-old-pipes.csv\"]\nheads = \"new-heads.csv\"\n");
    EXPECT_EQ(fs::path(away[3].path), folder / "out/new-heads.csv");
    // Never over the case.
    fs::create_symlink("case.toml", folder / "link.toml");
    for (const char* name : {"case.toml", "link.toml", "pipes.csv", "more/../case.toml"})
        EXPECT_THROW(rewrite_case(path, (folder / name).string(), {}), RewriteError) << name;
    EXPECT_THROW(rewrite_case((folder / "none.toml").string(), (folder / "new.toml").string(), {}),
                 RewriteError);
}

TEST_F(RewriteCaseTest, TablesNeverGoOverThoseOfTheCase) {
    write("more/heads.csv", "id\nH1\n");
    write("more/new-heads.csv", "id\nH2\n");
    const std::string path = write("case.toml", "heads = [\"more/heads.csv\", \"more/new-heads.csv\"]\n");
    const auto files = rewrite_case(path, (folder / "more/new.toml").string(), {}).files;
    ASSERT_EQ(files.size(), 3U);
    EXPECT_EQ(fs::path(files[1].path), folder / "more/new-new-heads.csv");
    EXPECT_EQ(fs::path(files[2].path), folder / "more/new-new-new-heads.csv");
    EXPECT_EQ(files[0].text, "heads = [\"new-new-heads.csv\", \"new-new-new-heads.csv\"]\n");
}

TEST_F(RewriteCaseTest, TheFileOfARuleSetGoesAlong) {
    const std::string set = "set town\r\nabout The town's own\r\nrule velocity 4 ft/s\r\nsource the town\r\n";
    write("rules/town.txt", set);
    const std::string sound =
        "supplies = [ { id = \"S\", static = 60 } ]\nvalves = [ { id = \"V\", cv = 11 } ]\n"
        "nozzles = [ { id = \"N\", pressure = 30, flow = 1 } ]\nheads = [ { id = \"H\", nozzle = \"N\" } ]\n"
        "pipes = [ { along = \"S 20 V 9 H\", size = \"pvc-cl200 1\" } ]\n";
    const std::string path = write("case.toml", sound + "limits.use = 'rules/town.txt' # theirs\n");
    ASSERT_TRUE(read_case(path).system);
    // Beside the case it stays where it is; elsewhere it goes along, and the new case reads it.
    EXPECT_EQ(rewrite_case(path, (folder / "new.toml").string(), {}).files.size(), 1U);
    EXPECT_THROW(rewrite_case(path, (folder / "rules/town.txt").string(), {}), RewriteError);
    fs::create_directories(folder / "out");
    const std::string target = (folder / "out/new.toml").string();
    const auto files = rewrite_case(path, target, {}).files;
    ASSERT_EQ(files.size(), 2U);
    EXPECT_EQ(files[0].text, sound + "limits.use = \"new-town.txt\" # theirs\n");
    EXPECT_EQ(fs::path(files[1].path), folder / "out/new-town.txt");
    EXPECT_EQ(files[1].text, set);
    write_case(files);
    const CaseReading moved = read_case(target);
    ASSERT_TRUE(moved.system) << moved.errors.front().text;
    EXPECT_NEAR(moved.system->limits.at("velocity").value->value, 4 * 0.3048, 1e-12);
    // A set of the catalogue is no file.
    EXPECT_EQ(
        rewrite_case(write("case.toml", sound + "[limits]\nuse = \"careful\"\n"), target, {}).files.size(),
        1U);
}

TEST_F(RewriteCaseTest, WhatHasNoPlaceIsHandedBack) {
    const std::string text = "laterals = [{ id = \"L\" }]\nheads = [{ id = \"H\", flow = [1, 2] }]\n";
    const RewrittenCase result =
        rewrite_case(write("case.toml", text), (folder / "new.toml").string(),
                     {{"heads", {0, 1, 13}, "nozzle", "a"},                        // made by a lateral
                      {"pipes", {0, 1, 13}, "size", "a"},                          // no such table
                      {"", {}, "ground", "1"},                                     // not at the top
                      {"heads", {0, 2, 10}, "flow", "3", true, 2},                 // no third item
                      {"heads", {0, 2, 10}, "length", "3", true, -1, "", true}});  // only where it is
    EXPECT_EQ(result.left_out.size(), 5U);
    EXPECT_EQ(result.files.front().text, text);
}

// Every text of every row of every shipped case, written again as it stands.
TEST_F(RewriteCaseTest, SameWordsGiveTheSameBytes) {
    int edited = 0;
    for (const auto& entry : fs::directory_iterator(EVENHEAD_SOURCE_DIR "/cases")) {
        const fs::path path = entry.path() / "case.toml";
        if (!fs::exists(path)) continue;
        std::vector<CellEdit> edits;
        {
            const Document document = read_document(path.string());
            for (const Table& table : document.tables)
                for (const Row& row : table.rows)
                    for (const auto& [key, cell] : row.cells) {
                        if (cell.kind == Cell::Kind::table || cell.kind == Cell::Kind::list) continue;
                        edits.push_back({std::string(table.name), row.place, std::string(key),
                                         std::string(cell.text), cell.kind != Cell::Kind::text});
                    }
        }
        edited += static_cast<int>(edits.size());
        const auto files = rewrite_case(path.string(), (entry.path() / "new.toml").string(), edits).files;
        std::string text = files.front().text;
        for (std::size_t at = text.find("\"new-"); at != std::string::npos; at = text.find("\"new-"))
            text.erase(at + 1, 4);
        EXPECT_EQ(text, bytes_of(path)) << path;
        for (std::size_t i = 1; i < files.size(); ++i) {
            const fs::path table(files[i].path);
            EXPECT_EQ(files[i].text, bytes_of(table.parent_path() / table.filename().string().substr(4)))
                << table;
        }
    }
    EXPECT_GT(edited, 1000);
}

}  // namespace
}  // namespace evenhead::io
