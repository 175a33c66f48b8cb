// Every refusal of the command line, with what would be right; nothing is written.
#include "tests/cli/run_program.hpp"

namespace evenhead::cli {
namespace {

struct Refusal {
    const char *command, *words;
};

class RefusalsTest : public ProgramTest {
  protected:
    void SetUp() override {
        ProgramTest::SetUp();
        write("case.toml", two_zones());
    }

    void expect_refused(const Refusal& refusal) const {
        const Ended ended = shell(refusal.command);
        EXPECT_EQ(ended.status, 2) << refusal.command;
        EXPECT_EQ(ended.output, "") << refusal.command;
        EXPECT_NE(ended.errors.find(refusal.words), std::string::npos) << refusal.command << "\n"
                                                                       << ended.errors;
        EXPECT_FALSE(exists("out")) << refusal.command;
    }
};

TEST_F(RefusalsTest, OptionsAndNames) {
    for (const Refusal& refusal : {
             Refusal{"evenhead",
                     "a verb is missing: check, worksheet, diagnose, size, accept, compare, review, draw, "
                     "report, "
                     "takeoff, coverage, together, timetable, sheets, export, import, kinds or start"},
             {"evenhead chek case.toml", "\"chek\" is not known here; the nearest is check"},
             {"evenhead check", "CASE is required\nSee: evenhead check --help"},
             {"evenhead check case.toml case.toml -o out", "case.toml is named twice; once will do"},
             {"evenhead check case.toml --fromat json -o out", "the nearest is --format"},
             {"evenhead check case.toml --format yaml -o out", "--format: yaml not in {text,json,csv}"},
             {"evenhead check case.toml --detail some -o out", "--detail: some not in {all,running,summary}"},
             {"evenhead check case.toml --table nozzles -o out", "--table: nozzles not in {runs,"},
             {"evenhead check case.toml --threads many -o out",
              "--threads: Value many not in range 0 to 1024"},
             {"evenhead check case.toml --threads 1e9 -o out", "--threads: Value 1e9 not in range 0 to 1024"},
             {"evenhead check case.toml --output ''", "it names no file"},
             {"evenhead check case.toml -o case.toml",
              "--output case.toml is a file of the case itself; name another"},
             {"evenhead check case.toml --quiet --verbose -o out", "excludes"},
             {"evenhead check case.toml --run lwan -o out",
              "--run lwan: this case has no such run; the nearest is lawn"},
             {"evenhead check case.toml --run north -o out",
              "--run north: this case has no such run; its first is lawn"},
             {"evenhead check case.toml --run $'\\e[2J' -o out", "--run ?[2J: this case has no such run"},
             {"evenhead worksheet case.toml --run north -o out", "this case has no such run"},
             {"evenhead worksheet case.toml L44 -o out", "the nearest is L4"},
             {"evenhead worksheet case.toml zzzzzz -o out", "there is no head zzzzzz in this case"},
             {"evenhead kinds pvc-cl20 -o out",
              "there is no pipe kind \"pvc-cl20\"; the nearest is \"pvc-cl200\"; "},
             {"evenhead kinds bamboo -o out",
              "there is no pipe kind \"bamboo\"; `evenhead kinds` lists them all"},
         })
        expect_refused(refusal);
}

TEST_F(RefusalsTest, WorksheetsThatHaveNoWayToFollow) {
    write("no-heads.toml",
          "supplies = [ { id = \"street\", static = 60 } ]\npipes = [ { along = \"street 5 T\", bore = 1 } "
          "]\n");
    expect_refused({"evenhead worksheet no-heads.toml -o out",
                    "this case has no heads, so there is no way to one to follow"});
    write("no-run.toml", two_zones("runs = [ { id = \"one\", valves = [\"lawn\"] } ]"));
    expect_refused(
        {"evenhead worksheet no-run.toml B2 -o out", "no run waters head B2; name its valve in a run"});
    std::string closed = two_zones();
    closed.replace(closed.find("length = 20"), 11, "length = 20, closed = true");
    write("closed.toml", closed);
    expect_refused({"evenhead worksheet closed.toml B1 -o out", "no water reaches head B1"});
    closed.insert(0, "runs = [ { id = \"one\", valves = [\"beds\"] } ]\n");
    write("dry.toml", closed);
    expect_refused(
        {"evenhead worksheet dry.toml -o out", "no head runs, so there is no way to one to follow"});
}

TEST_F(RefusalsTest, AnswersOfStart) {
    for (const Refusal& refusal : {
             Refusal{"evenhead start case.toml --yes",
                     "case.toml is there already; name another file, or --force"},
             {"evenhead start out --static -4 --yes", "--static -4: it has to be above 0 psi"},
             {"evenhead start out --static lots --yes", "\"lots\" is not a pressure"},
             {"evenhead start out --flow 0 --yes", "--flow 0: it has to be above 0 gpm"},
             {"evenhead start out --static 50 --flow 9 --residual 50 --yes",
              "with water running it is lower"},
             {"evenhead start out --static 50 --flow 9 --residual '5 ft' --yes", "ft measures a length"},
             {"evenhead start out --distance -1 --yes", "--distance -1: it has to be at least 0 ft"},
             {"evenhead start out --rise '5 psi' --yes", "psi measures a pressure"},
             {"evenhead start out --heads 2.5 --yes", "a whole number from 1 to 200, please"},
             {"evenhead start out --heads 201 --yes", "a whole number from 1 to 200, please"},
             {"evenhead start out --spacing 0 --yes", "--spacing 0: it has to be above 0 ft"},
             {"evenhead start out --nozzle-flow 0 --yes", "--nozzle-flow 0: it has to be above 0 gpm"},
             {"evenhead start out --nozzle-pressure 0 --yes",
              "--nozzle-pressure 0: it has to be above 0 psi"},
             {"evenhead start out --pipe 'pvc-cl200 9/7' --yes",
              "pvc-cl200 has no such size; `evenhead kinds pvc-cl200`"},
             {"evenhead start out --pipe 'pvc-cl20 1' --yes", "(nearest: pvc-cl200)"},
             {"evenhead start out --pipe bamboo --yes", "`evenhead kinds` lists the kinds"},
             {"evenhead start out --regulated perhaps --yes", "yes or no, please"},
             {"evenhead start out --units imperial --yes", "--units: imperial not in {us,metric}"},
             {"evenhead start out < /dev/null",
              "the answers ended before --static; --yes takes the rest as assumed"},
         })
        expect_refused(refusal);
}

TEST_F(RefusalsTest, StartTakesAPressureForItsNozzle) {
    EXPECT_EQ(evenhead("start a.toml --nozzle-pressure '2 bar' --yes").status, 0);
    EXPECT_NE(content("a.toml").find("2 bar"), std::string::npos) << content("a.toml");
    EXPECT_EQ(evenhead("check a.toml").status, 0);
}

}  // namespace
}  // namespace evenhead::cli
