// CSV against RFC 4180, section 2 (its own examples, with a header of two or three keys), and the slips of
// spreadsheets.
#include "io/read/csv.hpp"

#include "reading_fixture.hpp"

namespace evenhead::io {

using CsvTest = Reading;

TEST_F(CsvTest, RulesOfRfc4180) {
    // Rules 1 and 2: CRLF, the last one optional; 5 to 7: quotes, a line end and a comma inside, doubled
    // quotes.
    const Document document = read_csv(
        "pipes", "id,note,k\r\naaa,bbb,ccc\r\n\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,\"b\"\"bb\",\"c,c\"");
    EXPECT_TRUE(document.errors.empty()) << told(document);
    const auto& rows = document.find_table("pipes")->rows;
    ASSERT_EQ(rows.size(), 3U);
    EXPECT_EQ(text_of(rows[0], "k"), "ccc");
    EXPECT_EQ(text_of(rows[1], "id"), "aaa");
    EXPECT_EQ(text_of(rows[1], "note"), "b\r\nbb");
    EXPECT_EQ(text_of(rows[2], "note"), "b\"bb");
    EXPECT_EQ(text_of(rows[2], "k"), "c,c");
    EXPECT_EQ(rows[2].place.line, 5);
    EXPECT_EQ(rows[2].find("k")->place.column, 3);
}

TEST_F(CsvTest, EmptyCellsAndLinesAreAbsent) {
    const Document document =
        read_csv("pipes", "\xEF\xBB\xBF id , length,,\n\nP1,,\n,,,\n  P2 , \" 5 \" ,,\n\"\",\"\"\n");
    EXPECT_TRUE(document.errors.empty()) << told(document);
    const auto& rows = document.find_table("pipes")->rows;
    ASSERT_EQ(rows.size(), 2U);
    EXPECT_EQ(text_of(rows[0], "id"), "P1");
    EXPECT_EQ(text_of(rows[0], "length"), "(absent)");
    EXPECT_EQ(text_of(rows[1], "id"), "P2");
    EXPECT_EQ(text_of(rows[1], "length"), "5");
    EXPECT_EQ(rows[1].place.line, 5);
    EXPECT_TRUE(read_csv("pipes", "id,length\n").find_table("pipes")->rows.empty());
    expect_errors(read_csv("pipes", ""), {{1, 1, "empty"}});
}

TEST_F(CsvTest, SlipsOfHeaderAndCells) {
    expect_errors(read_csv("pipes", "id,length,id\nP1,5\n"), {{1, 3, "field 1 and field 3"}});
    expect_errors(read_csv("heads", "id,own_valve,own_valve.cv\nP1,5\n"), {{1, 3, "own_valve"}});
    expect_errors(read_csv("pipes", "id,length\nP1,3,5\nP2,4\n"), {{2, 3, "write 3.5"}});
    expect_errors(read_csv("pipes", "id,,length\nP1,3,5\n"), {{2, 2, "no key"}});
    expect_errors(read_csv("pipes", "id,length\rP1,3\r"), {{1, 1, "CR"}});
    expect_errors(read_csv("pipes", "id,note\nP1,\"a\nP2,b\nP3,c\n"), {{2, 2, "row over two lines"}});
    expect_errors(read_csv("pipes", "id,note\nP1,\"1\" pipe\"\nP2,b\n"), {{2, 2, "twice"}});
    const Document unclosed = read_csv("pipes", "id,note\nP1,\"a\nP2,\"b\"\n");
    expect_errors(unclosed, {{2, 2, "row over two lines"}});
    EXPECT_EQ(unclosed.find_table("pipes")->rows.size(), 2U);  // the line behind it is not lost
}

TEST_F(CsvTest, OtherSeparators) {
    for (const char* text : {"id;length\nP1;5\n", "id\tlength\nP1\t5\n", "sep=,\nid,length\nP1,5\n"}) {
        const Document document = read_csv("pipes", text);
        EXPECT_EQ(document.errors.size(), 1U) << text << told(document);
        ASSERT_EQ(document.find_table("pipes")->rows.size(), 1U) << text;  // mended
        EXPECT_EQ(text_of(document.find_table("pipes")->rows[0], "length"), "5") << text;
    }
    expect_errors(read_csv("pipes", "id;length\nP1;5\n"), {{1, 1, "commas between the cells"}});
    expect_errors(read_csv("pipes", "id,length\nP1;5\n"), {{2, 1, "; between the cells"}});
    // A semicolon inside a cell is its own matter: coordinates.
    EXPECT_TRUE(read_csv("pipes", "id,bends\nP1,1 2; 3 4\n").errors.empty());
    EXPECT_TRUE(read_csv("pipes", "bends\n1 2; 3 4\n").errors.empty());
}

TEST_F(CsvTest, ChartsOverSeveralLines) {
    const Document document = read_csv("devices",
                                       "id,type,flow,loss,safe_flow\n"
                                       "meter,meter,10,1.0,30\nmeter,,20,4.2,\n,,30,9.5,\n"
                                       "backflow,backflow,0,2.5,\nbackflow,backflow,10,4.0,\n"
                                       "gate,gate,,,\ngate,gate,,,\n");
    EXPECT_TRUE(document.errors.empty()) << told(document);
    const auto& rows = document.find_table("devices")->rows;
    ASSERT_EQ(rows.size(), 4U);  // the gates are no chart: two rows with one id, for others to refuse
    EXPECT_EQ(text_of(rows[0], "id"), "meter");
    EXPECT_EQ(text_of(rows[0], "safe_flow"), "30");
    ASSERT_EQ(rows[0].find("flow")->kind, Cell::Kind::list);
    ASSERT_EQ(rows[0].find("flow")->items.size(), 3U);
    EXPECT_EQ(rows[0].find("flow")->items[2].text, "30");
    EXPECT_EQ(rows[0].find("flow")->items[2].place.line, 4);
    EXPECT_EQ(rows[0].find("loss")->items[1].text, "4.2");
    EXPECT_EQ(rows[1].find("loss")->items.size(), 2U);
    EXPECT_EQ(rows[2].find("flow"), nullptr);
    // One line is a chart of one row, and stays a text.
    EXPECT_EQ(read_csv("devices", "id,flow,loss\nm,10,1\n").find_table("devices")->rows[0].find("flow")->kind,
              Cell::Kind::text);
}

TEST_F(CsvTest, ChartsOfTheOtherTables) {
    EXPECT_EQ(read_csv("nozzles", "id,pressure,flow,radius,max\nn,20,1,10,45\n,30,1.2,11,\n")
                  .find_table("nozzles")
                  ->rows.size(),
              1U);
    EXPECT_EQ(read_csv("supplies", "id,static,flow,residual\ns,60,18,50\ns,,30,40\n")
                  .find_table("supplies")
                  ->rows.size(),
              1U);
    EXPECT_EQ(read_csv("pipes", "id,length\nP1,5\nP1,6\n").find_table("pipes")->rows.size(), 2U);
    const Document heads = read_csv(
        "heads", "id,nozzle,own_valve.flow,own_valve.loss,own_valve.set\nh,n,10,1,40\n,,20,4,\ni,n,,,\n");
    ASSERT_EQ(heads.find_table("heads")->rows.size(), 2U) << told(heads);
    const Cell* valve = heads.find_table("heads")->rows[0].find("own_valve");
    ASSERT_TRUE(valve && valve->kind == Cell::Kind::table && valve->fields.size() == 3);
    EXPECT_EQ(valve->fields[0].first, "flow");
    EXPECT_EQ(valve->fields[0].second.items.size(), 2U);
    EXPECT_EQ(valve->fields[2].second.text, "40");
    EXPECT_EQ(heads.find_table("heads")->rows[1].find("own_valve"), nullptr);
}

TEST_F(CsvTest, ChartLinesThatContradict) {
    const Document document =
        read_csv("devices", "id,note,type,flow,loss,x,y,z\nm,,meter,10,1\nm,new,filter,20,4,1,2,3\n");
    expect_errors(document, {{3, 3, "its type differs: \"meter\" there, \"filter\" here"}});
    EXPECT_EQ(document.find_table("devices")->rows.size(), 1U);
}

TEST_F(CsvTest, SizesThatBecameDates) {
    const Document document = read_csv("pipes", "id,size,note\nP1,4-Mar,4-Mar\nP2,03/04/2026,x\nP3,3/4,x\n");
    expect_errors(document, {{2, 2, "was it 3/4?"}, {3, 2, "\"03/04/2026\" is a date"}});
    EXPECT_EQ(text_of(document.find_table("pipes")->rows[0], "size"), "3/4");
    EXPECT_EQ(text_of(document.find_table("pipes")->rows[0], "note"), "4-Mar");
    const auto behind = [](std::string_view cell) { return size_behind_date(cell).value_or("no date"); };
    EXPECT_EQ(behind("2-Jan"), "1/2");
    EXPECT_EQ(behind("02-jan"), "1/2");
    EXPECT_EQ(behind("Mar-04"), "3/4");
    EXPECT_EQ(behind("3-Apr"), "3/4");  // a spreadsheet that puts the day first
    EXPECT_EQ(behind("4-Mar-26"), "3/4");
    EXPECT_EQ(behind("2026-03-04"), "3/4");
    EXPECT_EQ(behind("2026-03-04 00:00:00"), "3/4");
    EXPECT_EQ(behind("1/1/2004"), "1-1/4");
    EXPECT_EQ(behind("04.03.2026"), "3/4");
    EXPECT_EQ(behind("4-Mär"), "");  // a date, but who knows which
    for (const char* size : {"3/4", "1-1/4", "1 1/4", "pvc-cl200 3/4", "copper-k 1", "pe100-sdr17 63", "1.5",
                             "0.75", "2-inch", "100", "hdpe-dr11", "1-1/2 in", "mar", "3-4", ""})
        EXPECT_EQ(behind(size), "no date") << size;
}

TEST_F(CsvTest, ManyErrorsEnd) {
    std::string text = "id,length\n";
    for (int i = 0; i < 5000; ++i) text += "P,1,2\n";
    const Document document = read_csv("pipes", text);
    EXPECT_EQ(document.errors.size(), 201U);
    EXPECT_FALSE(document.complete);
}

}  // namespace evenhead::io
