// TOML documents against the words of the TOML 1.0.0 specification (values, tables, arrays of tables, dotted
// keys); places counted by hand.
#include "io/read/rows.hpp"

#include <sys/stat.h>

#include <cmath>

#include "reading_fixture.hpp"

namespace evenhead::io {

using RowsTest = Reading;
namespace fs = std::filesystem;

TEST_F(RowsTest, ValuesAndPlaces) {
    const Document document = read(
        "title = \"Größe \\\"x\\\"\"  # a note\n"
        "date = 2026-03-04\n"
        "limits.velocity = 5.50\n"
        "pipes = [\n"
        "  { id = 7, length = 0x1F, k = -1e3, closed = true, sizes = [[2, 'a b'], []], own.v = inf },\n"
        "]\n");
    EXPECT_TRUE(document.errors.empty()) << told(document);
    EXPECT_TRUE(document.complete);
    ASSERT_EQ(document.top.size(), 3U);
    EXPECT_EQ(document.top[0].second.text, "Größe \"x\"");
    EXPECT_EQ(document.top[1].second.kind, Cell::Kind::date);
    EXPECT_EQ(document.top[1].second.text, "2026-03-04");
    const Cell* limits = document.find_top("limits");
    ASSERT_TRUE(limits && limits->kind == Cell::Kind::table && limits->fields.size() == 1);
    EXPECT_EQ(limits->fields[0].first, "velocity");
    EXPECT_EQ(limits->fields[0].second.text, "5.50");
    EXPECT_EQ(limits->fields[0].second.number, 5.5);
    EXPECT_EQ(limits->fields[0].second.place.column, 19);

    const Table* pipes = document.find_table("pipes");
    ASSERT_TRUE(pipes && pipes->rows.size() == 1);
    const Row& row = pipes->rows[0];
    EXPECT_EQ(row.place.line, 5);
    EXPECT_EQ(row.place.column, 3);
    std::string keys;
    for (const auto& [key, cell] : row.cells) keys += std::string(key) + " ";
    EXPECT_EQ(keys, "id length k closed sizes own ");  // in the order of the file
    EXPECT_EQ(row.find("id")->kind, Cell::Kind::integer);
    EXPECT_EQ(text_of(row, "id"), "7");
    EXPECT_EQ(row.find("length")->number, 31);
    EXPECT_EQ(text_of(row, "length"), "0x1F");
    EXPECT_EQ(row.find("k")->kind, Cell::Kind::number);
    EXPECT_EQ(row.find("k")->number, -1000);
    EXPECT_TRUE(row.find("closed")->boolean);
    ASSERT_EQ(row.find("sizes")->items.size(), 2U);
    EXPECT_EQ(row.find("sizes")->items[0].items[1].text, "a b");
    EXPECT_TRUE(std::isinf(row.find("own")->fields[0].second.number));
    EXPECT_EQ(row.find("missing"), nullptr);
}

TEST_F(RowsTest, RowsUnderHeadingsAreTheSameRows) {
    const Document inline_rows =
        read("heads = [ { id = \"a\", own_valve = { cv = 5 } }, { id = \"b\" } ]\nvalves = []\n");
    const Document headings = read(
        "[[heads]]\nid = \"a\"\n[heads.own_valve]\ncv = 5\n[[heads]]\nid = \"b\"\n[limits]\nvelocity = "
        "5\n[[valves]]\nid = \"v\"\n");
    for (const Document* document : {&inline_rows, &headings}) {
        EXPECT_TRUE(document->errors.empty()) << told(*document);
        const Table* heads = document->find_table("heads");
        ASSERT_TRUE(heads && heads->rows.size() == 2);
        EXPECT_EQ(text_of(heads->rows[0], "id"), "a");
        EXPECT_EQ(heads->rows[0].find("own_valve")->fields[0].second.number, 5);
        EXPECT_EQ(text_of(heads->rows[1], "id"), "b");
    }
    EXPECT_EQ(inline_rows.find_table("valves")->rows.size(), 0U);
    EXPECT_EQ(headings.find_table("heads")->rows[1].place.line, 5);
    EXPECT_EQ(headings.find_table("valves")->rows.size(), 1U);
}

TEST_F(RowsTest, MarksOfOtherSystems) {
    const Document document = read("\xEF\xBB\xBFtitle = \"a\"\r\npipes = [\r\n  { id = \"p\" },\r\n]\r\n");
    EXPECT_TRUE(document.errors.empty()) << told(document);
    EXPECT_EQ(document.find_table("pipes")->rows[0].place.line, 3);
}

TEST_F(RowsTest, HeadingsSwallowTables) {
    const Document document = read(
        "[limits]\nvelocity = 6\nunits = \"us\"\n"
        "pipes = [ { id = \"p\" } ]\n"
        "[[laterals]]\nid = \"L\"\nheads = 4\nvalves = [ { id = \"v\" } ]\n"
        "[defaults]\npipes = { size = \"x\" }\nnozzles = [ { id = \"n\" } ]\n");
    expect_errors(document, {{1, 1, "write limits.velocity"},
                             {5, 1, "[[laterals]] swallows what stands after it: valves"},
                             {9, 1, "nozzles"}});
    EXPECT_NE(document.errors[0].text.find("units, pipes"), std::string::npos);
    EXPECT_TRUE(document.complete);  // and they are found where they belong
    for (const char* name : {"pipes", "valves", "nozzles", "laterals"})
        EXPECT_EQ(document.find_table(name)->rows.size(), 1U) << name;
    EXPECT_EQ(document.find_top("units")->text, "us");
    EXPECT_EQ(document.find_top("limits")->fields.size(), 1U);
    EXPECT_EQ(document.find_top("defaults")->fields.size(), 1U);
    EXPECT_EQ(document.find_table("laterals")->rows[0].find("heads")->number, 4);
}

TEST_F(RowsTest, WhatIsNoTableOfRows) {
    expect_errors(
        read("pipes = 5\nheads = [ { id = \"a\" }, 7 ]\n[valves]\nid = \"v\"\n"),
        {{1, 9, "pipes = \"pipes.csv\""}, {2, 25, "heads holds rows only"}, {3, 1, "one row where a list"}});
}

TEST_F(RowsTest, CsvBesideTheCase) {
    write("pipes.csv", "id,length\nP1,12\n");
    write("more/pipes.csv", "id,length\nP2,13\n");
    const Document document = read("pipes = [\"pipes.csv\", { id = \"P0\" }, \"more/pipes.csv\"]\n");
    EXPECT_TRUE(document.errors.empty()) << told(document);
    EXPECT_EQ(document.files,
              (std::vector<std::string>{(folder / "case.toml").string(), "pipes.csv", "more/pipes.csv"}));
    const Table& pipes = *document.find_table("pipes");
    ASSERT_EQ(pipes.rows.size(), 3U);
    EXPECT_EQ(text_of(pipes.rows[0], "id"), "P1");
    EXPECT_TRUE(pipes.rows[0].find("id")->csv);
    EXPECT_EQ(pipes.rows[0].find("length")->place.file, 1);
    EXPECT_EQ(pipes.rows[0].find("length")->place.line, 2);
    EXPECT_EQ(pipes.rows[0].find("length")->place.column, 2);
    EXPECT_EQ(pipes.rows[2].place.file, 2);
}

TEST_F(RowsTest, CsvElsewhereIsRefused) {
    fs::create_directories(folder / "case");
    write("outside.csv", "id\nsecret\n");
    write("case-2/near.csv", "id\nsecret\n");  // a folder whose name begins like the case's
    fs::create_symlink("../outside.csv", folder / "case/link.csv");
    fs::create_symlink("..", folder / "case/up");
    const auto read_named = [&](const std::string& name) {
        return read_document(write("case/case.toml", "pipes = \"" + name + "\"\n"));
    };
    for (const std::string& name :
         {std::string("../outside.csv"), std::string("link.csv"), std::string("up/outside.csv"),
          (folder / "outside.csv").string(), std::string("../case-2/near.csv")}) {
        const Document document = read_named(name);
        expect_errors(document, {{1, 9, "outside the folder of the case"}});
        EXPECT_FALSE(document.complete);
        EXPECT_TRUE(document.find_table("pipes")->rows.empty());
    }
    write("case/inside.csv", "id\nfine\n");
    fs::create_symlink("inside.csv", folder / "case/again.csv");
    EXPECT_EQ(read_named("../case/again.csv").find_table("pipes")->rows.size(), 1U);
    expect_errors(read_named("missing.csv"), {{1, 9, "there is no file \"missing.csv\""}});
    expect_errors(read_named(""), {{1, 9, "no file name"}});
    expect_errors(read_named("inside.csv\\u0000"), {{1, 9, "no file name"}});
    expect_errors(read_document(write("case/case.toml", "pipes = [\"inside.csv\", \"again.csv\"]\n")),
                  {{1, 24, "named twice"}});
}

TEST_F(RowsTest, OnlyOrdinaryFilesAreOpened) {
    ASSERT_EQ(mkfifo((folder / "pipe.csv").c_str(), 0600), 0);  // opening it would wait forever
    fs::create_directories(folder / "folder.csv");
    expect_errors(read("pipes = \"pipe.csv\"\nheads = \"folder.csv\"\n"),
                  {{1, 9, "named pipe"}, {2, 9, "is a folder"}});
    expect_errors(read_document((folder / "pipe.csv").string()), {{0, 0, "named pipe"}});
    expect_errors(read_document("/dev/null"), {{0, 0, "device"}});
    expect_errors(read_document((folder / "none.toml").string()), {{0, 0, "there is no file"}});
    expect_errors(read_document(folder.string()), {{0, 0, "is a folder"}});
    expect_errors(read_document(std::string(5000, 'x')), {{0, 0, "cannot be read"}});
}

TEST_F(RowsTest, OnlyUtf8Text) {
    expect_errors(read("title = \"a\"\njob = \"caf\xE9\"\n"), {{2, 11, "save it as UTF-8"}});
    expect_errors(read("title = \"é\xC0\xAF\"\n"), {{1, 11, "UTF-8"}});     // overlong
    expect_errors(read("title = \"\xED\xA0\x80\"\n"), {{1, 10, "UTF-8"}});  // half of a surrogate pair
    expect_errors(read(std::string_view("title = \"a\0b\"\n", 14)), {{1, 11, "NUL"}});
    expect_errors(read(std::string_view("\xFF\xFEt\0", 4)), {{1, 1, "UTF-16"}});
    expect_errors(read_csv("pipes", "id,note\np,12345678901\xE9\n"), {{2, 2, "UTF-8"}});
}

TEST_F(RowsTest, HostileFilesEnd) {
    const auto deep = [](const std::string& open, int times) {
        std::string text;
        for (int i = 0; i < times; ++i) text += open;
        return text;
    };
    expect_errors(read("a = " + deep("[", 100000)), {{1, 68, "63 brackets"}});
    expect_errors(read("a = " + deep("{a=", 100000)), {{1, 194, "63 brackets"}});
    expect_errors(read("a" + deep(".a", 100000) + " = 1\n"), {{1, 129, "words"}});
    expect_errors(read("[a" + deep(".a", 100000) + "]\n"), {{1, 130, "words"}});
    const Document long_line = read("title = \"" + std::string(10000000, 'x') + "\"\n");
    EXPECT_TRUE(long_line.errors.empty());
    EXPECT_EQ(long_line.find_top("title")->text.size(), 10000000U);
    // Not 100,000 of them; and it is said that this is not all.
    const Document slips = read(deep("a = 3/4\n", 100000));
    ASSERT_EQ(slips.errors.size(), 201U);
    EXPECT_EQ(slips.errors.back().text, "200 slips so far: from here on the file is not read");
    EXPECT_EQ(slips.errors.back().place.line, 101);  // two slips a line: the size, and the key given before
    EXPECT_FALSE(slips.complete);
}

TEST_F(RowsTest, MoreThanAnyCaseHasIsRefused) {
    const auto times = [](const std::string& text, int count) {
        std::string all;
        for (int i = 0; i < count; ++i) all += text;
        return all;
    };
    expect_errors(read("a = [" + times("1,", 100001) + "]\n"), {{1, 200006, "more than 100000 values"}});
    EXPECT_TRUE(read("a = [" + times("1,", 100000) + "]\n").errors.empty());
    std::string keys;
    for (int i = 0; i < 1001; ++i) keys += "k" + std::to_string(i) + " = 1\n";
    expect_errors(read(keys), {{1001, 8, "more than 1000 keys"}});
    expect_errors(read("pipes = [" + times("{},", 1000001) + "]\n"),
                  {{1, 3000010, "more than 1000000 rows"}});
    expect_errors(read(times("[[pipes]]\n", 1000001)), {{1000001, 10, "more than 1000000 headings"}});
    std::string header = "k0";
    for (int i = 1; i < 1001; ++i) header += ",k" + std::to_string(i);
    write("pipes.csv", header + "\n");
    expect_errors(read("pipes = \"pipes.csv\"\n"), {{1, 1001, "more than 1000 fields"}});
    write("pipes.csv", "id\n" + times("p\n", 1000001));
    expect_errors(read("pipes = \"pipes.csv\"\n"), {{1000002, 1, "more than 1000000 rows"}});
}

TEST_F(RowsTest, DocumentMoves) {
    Document document = read("title = \"a\"\npipes = [ { id = \"p\\u0041\" } ]\n");  // an escape: owned text
    const Document moved = std::move(document);
    EXPECT_EQ(moved.find_top("title")->text, "a");
    EXPECT_EQ(text_of(moved.find_table("pipes")->rows[0], "id"), "pA");
}

TEST_F(RowsTest, ReadingsFiles) {
    const Document csv = read_readings_document(write("readings.csv", "run,at,pressure\nlawn,L1,42\n"));
    EXPECT_TRUE(csv.errors.empty()) << told(csv);
    EXPECT_EQ(text_of(csv.find_table("readings")->rows[0], "pressure"), "42");
    const Document toml =
        read_readings_document(write("readings.toml",
                                     "readings = [ { run = \"lawn\", at = \"L1\", pressure = 42 } ]\nseen = "
                                     "[ { what = \"wet\", at = \"L2\" } ]\n"));
    EXPECT_TRUE(toml.errors.empty()) << told(toml);
    EXPECT_EQ(toml.find_table("seen")->rows.size(), 1U);
    expect_errors(
        read_readings_document(write("readings.toml", "units = \"us\"\npipes = [ { id = \"p\" } ]\n")),
        {{1, 9, "readings and seen only"}, {2, 9, "pipes"}});
}

}  // namespace evenhead::io
