// A long table is cut into rows while it is read: they must be those of RFC 4180 that csv_test.cpp checks one
// by one.
#include "io/read/long_csv.hpp"

#include "io/read/csv.hpp"
#include "reading_fixture.hpp"

namespace evenhead::io {
namespace {

using LongCsvTest = Reading;

/// A cell with all that a reader of the case may ask of it.
std::string words(std::string_view key, const Cell& cell) {
    std::string text = std::string(key) + "@" + std::to_string(cell.place.line) + ":" +
                       std::to_string(cell.place.column) + (cell.csv ? "=" : "?") + std::string(cell.text);
    for (const auto& [inner, field] : cell.fields) text += "{" + words(inner, field) + "}";
    return text + ";";
}

std::vector<std::string> rows_of(const Document& document, std::string_view table) {
    std::vector<std::string> rows;
    document.find_table(table)->visit([&](const Row& row) {
        std::string text = std::to_string(row.place.file) + ":" + std::to_string(row.place.line) + " ";
        for (const auto& [key, cell] : row.cells) text += words(key, cell);
        rows.push_back(text);
        return true;
    });
    return rows;
}

TEST_F(LongCsvTest, GivesTheRowsThatAWholeTableHas) {
    // Ends in fields that are there and then are not, quotes with commas, line ends and doubled quotes, CRLF
    // and LF, blank lines, dotted keys, a column without a key, no line end at the end.
    const std::string pipes =
        "id , from,to,length,note,\r\n\nP1,a,b,5,\"x, \"\"y\"\"\nz\",\r\n,,,,\nP2,b,c,,\n \"P3\" ,c,d, 7 "
        ",\xC3\xA4\n"
        "P4,\"d\",e,\"8\"";
    write("pipes.csv", pipes);
    write("more.csv", "from,to\nx,y\n");
    write("heads.csv", "id,own_valve.cv,nozzle,own_valve.set\nH1,11,n,\nH2,,n\nH3,,n,40\n");
    const std::string path = write(
        "case.toml",
        "heads = \"heads.csv\"\npipes = [{ from = \"p\" }, \"pipes.csv\", { from = \"q\" }, \"more.csv\"]\n");
    const Document rows = read_document(path), text = read_document(path, CsvTables::as_text);
    EXPECT_TRUE(text.errors.empty());
    EXPECT_TRUE(text.find_table("heads")->rows.empty());
    EXPECT_EQ(text.find_table("pipes")->rows.size(), 2U);
    EXPECT_EQ(text.find_table("pipes")->count(), 7U);
    EXPECT_EQ(rows.find_table("pipes")->rows.size(), 7U);
    for (const char* table : {"pipes", "heads"}) EXPECT_EQ(rows_of(text, table), rows_of(rows, table));
    EXPECT_EQ(rows_of(text, "heads"), rows_of(text, "heads"));  // once more from the start
    EXPECT_EQ(text.header_lines, rows.header_lines);
}

TEST_F(LongCsvTest, LeavesSlipsAndChartsToTheWholeTable) {
    const auto kept = [](const char* table, std::string_view text) {
        return LongCsv::look_through(text, 1, table).has_value();
    };
    EXPECT_TRUE(kept("pipes", "id,size\nP1,3/4\nP2,3/4\n"));
    for (const char* text :
         {"", "id,size", "id,size\n", "id,size\rP1,3/4\r", "id,size\nP1,4-Mar\n",
          "id,size\nP1,3/4\nP2,4-Mar\n", "id,size\nP1,3/4,x\n", "id,id\nP1,3/4\n", "id,\nP1,3/4\n",
          "id;size\nP1;3/4\n", "id,size\nP1;3/4\n", "sep=,\nid,size\nP1,3/4\n", "id,size\nP1,\"3/4\n",
          "id,size\nP1,3\"\nP2,\"3/4\" x\n", "id,own.a,own\nP1,1,2\n"})
        EXPECT_FALSE(kept("pipes", text)) << text;
    EXPECT_FALSE(kept("devices", "id,flow,loss\nm,10,1\n,20,4\n"));
    EXPECT_TRUE(kept("devices", "id,cv\nm,10\n"));
}

TEST_F(LongCsvTest, KnowsWhetherEveryKeyIsOneOfTheTable) {
    const auto known = [](std::string_view text) {
        const auto file = LongCsv::look_through(text, 1, "heads");
        return file && LongCsv::Walk(*file).next()->keys_known;
    };
    EXPECT_TRUE(known("id,own_valve.cv\nH1,11\n"));
    EXPECT_FALSE(known("id,nozle\nH1,n\n"));
}

}  // namespace
}  // namespace evenhead::io
