// Tables in CSV files: the same rows as in TOML, and every error of every file in one run.
#include "tests/io/case_folder.hpp"

namespace evenhead::io {
namespace {

const char* const supplies_and_valve =
    "supplies = [ { id = \"street\", static = 60, flow = 20, residual = 50 } ]\n"
    "valves = [ { id = \"lawn\", cv = 11 } ]\n";

class CaseCsv : public testing::Test {
  protected:
    CaseFolder folder;

    void SetUp() override {
        folder.write("case.toml",
                     std::string(supplies_and_valve) +
                         "nozzles = \"nozzles.csv\"\nheads = \"heads.csv\"\npipes = \"pipes.csv\"\n");
        folder.write(
            "nozzles.csv",
            "id,pressure,flow,radius,min\nhalf,20,1.0,10,15\n,30,1.2,11\n,40,1.4,12\nfull,30,2.4,12,\n");
        folder.write("heads.csv", "id,nozzle,elev,arc\nH1,half,3,180\nH2,full,,\n");
        folder.write("pipes.csv",
                     "along,from,to,length,size,closed\nstreet 20 lawn 30 H1,,,,pvc-cl200 "
                     "1,\n,H1,H2,12,pvc-cl200 3/4,FALSE\n");
    }
    Words errors() const {
        const CaseReading reading = folder.read();
        EXPECT_EQ(reading.system.has_value(), reading.errors.empty());
        return in_words(reading.errors, reading);
    }
};

TEST_F(CaseCsv, TheSameSystemAsInToml) {
    const CaseReading csv = folder.read();
    ASSERT_EQ(in_words(csv.errors, csv), Words());
    const model::System toml = system_of(std::string(supplies_and_valve) + R"(
nozzles = [ { id = "half", pressure = [20, 30, 40], flow = [1.0, 1.2, 1.4], radius = [10, 11, 12], min = 15 }, { id = "full", pressure = 30, flow = 2.4, radius = 12 } ]
heads = [ { id = "H1", nozzle = "half", elev = 3, arc = 180 }, { id = "H2", nozzle = "full" } ]
pipes = [ { along = "street 20 lawn 30 H1", size = "pvc-cl200 1" }, { from = "H1", to = "H2", length = 12, size = "pvc-cl200 3/4" } ]
)");
    const model::System& system = *csv.system;
    ASSERT_EQ(system.nozzles.size(), toml.nozzles.size());
    for (std::size_t i = 0; i < toml.nozzles.size(); ++i) {
        ASSERT_EQ(system.nozzles[i].rows.size(), toml.nozzles[i].rows.size());
        ASSERT_EQ(system.nozzles[i].radius.size(), toml.nozzles[i].radius.size());
        for (std::size_t row = 0; row < toml.nozzles[i].rows.size(); ++row) {
            EXPECT_EQ(system.nozzles[i].rows[row].at.value, toml.nozzles[i].rows[row].at.value);
            EXPECT_EQ(system.nozzles[i].rows[row].value.value, toml.nozzles[i].rows[row].value.value);
        }
    }
    ASSERT_EQ(system.pipes.size(), toml.pipes.size());
    for (std::size_t i = 0; i < toml.pipes.size(); ++i) {
        EXPECT_EQ(system.pipe_id(system.pipes[i]), toml.pipe_id(toml.pipes[i]));
        EXPECT_EQ(system.pipes[i].length.value, toml.pipes[i].length.value);
        EXPECT_EQ(system.pipes[i].size->bore.value, toml.pipes[i].size->bore.value);
    }
    EXPECT_EQ(system.heads[0].arc->value, 180);
    EXPECT_FALSE(system.heads[1].arc);  // an empty cell is an absent key
}

TEST_F(CaseCsv, ListsOfIdsCoordinatesAndSizesInCells) {
    folder.write("case.toml", std::string(supplies_and_valve) +
                                  "nozzles = \"nozzles.csv\"\npipes = \"pipes.csv\"\nlaterals = "
                                  "\"laterals.csv\"\nareas = \"areas.csv\"\n"
                                  "runs = \"runs.csv\"\nconditions = \"conditions.csv\"\n");
    folder.write("pipes.csv", "along,size\nstreet 20 lawn,pvc-cl200 1\n");
    folder.write(
        "laterals.csv",
        "id,from,first,heads,spacing,nozzle,sizes\nH,lawn,30,3,12,half,2 pvc-cl200 1; 1 pvc-cl200 3/4\n");
    folder.write("areas.csv", "id,valve,outline\nA,lawn,0 0; 4 0; 4 4\n");
    folder.write("runs.csv", "id,valves\none,lawn\n");
    folder.write("conditions.csv", "id,supply,closed,c_by_kind.pvc-cl200\nworn,-8 psi,H1-H2 H2-H3,120\n");
    const CaseReading reading = folder.read();
    ASSERT_EQ(in_words(reading.errors, reading), Words());
    EXPECT_EQ(reading.system->pipes.at(3).size->nominal, "3/4");
    EXPECT_EQ(reading.system->areas.at(0).outline.size(), 3u);
    EXPECT_EQ(reading.system->conditions.at(0).closed_pipes, (std::vector<model::Index>{2, 3}));
    EXPECT_EQ(reading.system->conditions.at(0).c_by_kind.at("pvc-cl200"), 120);
}

TEST_F(CaseCsv, OwnValvesByDottedKeys) {
    folder.write("heads.csv", "id,nozzle,own_valve.cv,own_valve.set\nH1,half,,\nH2,full,6,40\n");
    folder.write("pipes.csv", "along,size\nstreet 20 lawn 30 H1,pvc-cl200 1\nstreet 9 H2,pvc-cl200 1\n");
    const CaseReading reading = folder.read();
    ASSERT_EQ(in_words(reading.errors, reading), Words());
    EXPECT_EQ(reading.system->heads.at(0).valve, model::none);
    EXPECT_EQ(reading.system->heads.at(1).valve, 1);
    EXPECT_EQ(reading.system->valves.at(1).loss.coefficient.value, 6);
}

TEST_F(CaseCsv, ErrorsHaveLineAndField) {
    folder.write("heads.csv", "id,nozzle,elev\nH1,half,3 psi\nH2,hal,\nH2,half,\n");
    EXPECT_EQ(errors(),
              (Words{"heads.csv:2:3: H1: elev = \"3 psi\": psi measures a pressure, not a length | write a "
                     "number (it means "
                     "ft) or a number with its unit: ft, in, m, cm, mm",
                     "heads.csv:3:2: H2: nobody defines the nozzle \"hal\" | did you mean \"half\"?",
                     "heads.csv:4:1: H2: the id \"H2\" is already taken by the head on line 3 | give one of "
                     "the two another id"}));
}

TEST_F(CaseCsv, AKeyNobodyKnowsIsToldOnceForItsColumn) {
    folder.write("heads.csv", "id,nozle,nozzle\nH1,a,half\nH2,b,half\n");
    EXPECT_EQ(errors(), Words{"heads.csv:1:2: the first line, field 2: a row of heads has no key \"nozle\" | "
                              "did you mean \"nozzle\"?"});
}

TEST_F(CaseCsv, TheOtherLineMayBeInAnotherFile) {
    folder.write("heads.csv", "id,nozzle\nlawn,half\nH1,half\nH2,half\n");
    EXPECT_EQ(errors(),
              Words{"heads.csv:2:1: lawn: the id \"lawn\" is already taken by the valve on line 2 of " +
                    folder.read().files.at(0) + " | give one of the two another id"});
}

TEST_F(CaseCsv, AMissingTableIsTheOnlyThingSaidAboutWhatItDefines) {
    folder.write("case.toml", std::string(supplies_and_valve) +
                                  "nozzles = \"nozles.csv\"\nheads = \"heads.csv\"\npipes = \"pipes.csv\"\n");
    const Words found = errors();
    ASSERT_EQ(found.size(), 1u);
    EXPECT_EQ(found[0].substr(0, 5), "3:11:");
}

TEST_F(CaseCsv, EveryErrorOfEveryFileInOneRunInTheOrderOfTheFiles) {
    folder.write("case.toml",
                 "limits.velosity = 5\nsupplies = [ { id = \"street\", static = \"60 gpm\" } ]\nvalves = [ { "
                 "id = \"lawn\" } ]\n"
                 "nozzles = \"nozzles.csv\"\nheads = \"heads.csv\"\npipes = \"pipes.csv\"\n"
                 "devices = [ { id = \"filter\", type = \"filter\", cv = 20 } ]\n");
    folder.write("nozzles.csv", "id,pressure,flow\nhalf,30,1.0\n,20,1.2\nfull,30,2.4\n");
    folder.write("pipes.csv", "along,size\nstreet 20 lawn 30 H1,pvc-cl200 7\nH1 -3 H2,pvc-cl200 1\n");
    Words places;
    for (const std::string& words : errors()) places.push_back(words.substr(0, words.find(": ")));
    EXPECT_EQ(places,
              (Words{"1:8", "2:40", "3:12", "7:13", "nozzles.csv:3:2", "pipes.csv:2:2", "pipes.csv:3:1"}));
}

TEST(CaseErrors, NobodyReadsOnAfterAThousand) {
    std::string text = "supplies = [ { id = \"street\", static = 60 } ]\nheads = [\n";
    for (int i = 0; i < 1500; ++i)
        text += "  { id = \"H" + std::to_string(i) + "\", nozzle = \"none-such\" },\n";
    const CaseReading reading = read_text(text + "]\n");
    ASSERT_EQ(reading.errors.size(), 1001u);
    EXPECT_EQ(reading.errors.back().text, "1000 errors so far: not all of the case is looked at");
    EXPECT_EQ(reading.errors.back().place.line, 1002);
}

}  // namespace
}  // namespace evenhead::io
