// Drawn against built: what was planted is found, and nothing else; and each effect is what balancing a case
// that was changed by hand says.
#include "solver/comparison/comparison.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "solver/runs/runs.hpp"
#include "tests/solver/build_result.hpp"

namespace evenhead::test {
namespace {

using model::Quantity;
using solver::Change;
using solver::ChangeKind;
using solver::Comparison;
using Table = solver::ChangeSubject::Table;

/// street - M - V1 - A1 - A2 - A3, and V2 - B1; A3 wants most.
SystemBuilder drawn() {
    SystemBuilder b;
    b.system.ground = Quantity{10, 0};
    b.supply("street", 400e3).tests = {{{1e-3, 0}, {330e3, 0}}};
    b.device("M", model::DeviceType::meter).loss = {model::LossKind::cv, {14, 0}, {}, {}, false};
    b.valve("V1", 9);
    b.valve("V2", 9);
    b.nozzle(200e3, 1.2e-4);
    b.nozzle(200e3, 1.8e-4);
    for (model::Nozzle& nozzle : b.system.nozzles) nozzle.min = Quantity{150e3, 0};
    for (const char* id : {"A1", "A2", "A3", "B1"}) b.head(id);
    b.line({"street", "M", "T", "V1", "A1", "A2", "A3"}, 12, 0.025);
    b.line({"T", "V2", "B1"}, 9, 0.025);
    b.default_runs();
    return b;
}

Comparison compare(const SystemBuilder& one, const SystemBuilder& other) {
    return solver::compare(one.system, find_layout(one.system), other.system, find_layout(other.system), 1);
}

model::Pipe& pipe(SystemBuilder& b, const std::string& id) {
    const auto found = std::find_if(b.system.pipes.begin(), b.system.pipes.end(),
                                    [&](const model::Pipe& of) { return b.system.pipe_id(of) == id; });
    EXPECT_NE(found, b.system.pipes.end()) << id;
    return *found;
}

double pressure(const SystemBuilder& b, Index run, Index head) {
    return solver::solve_run(b.system, find_layout(b.system), run)
        .head_pressure[static_cast<std::size_t>(head)];
}

TEST(Comparison, OfACaseWithItselfIsEmpty) {
    const Comparison found = compare(drawn(), drawn());
    EXPECT_TRUE(found.changes.empty());
    ASSERT_EQ(found.deciding.size(), 2U);
    EXPECT_EQ(found.deciding[0].head, 2);
    EXPECT_EQ(found.deciding[0].drawn, found.deciding[0].built);
}

struct Planted {
    const char* name;
    ChangeKind kind;
    Table table;
    const char* key;
    std::function<void(SystemBuilder&)> plant;
};

const std::vector<Planted>& planted() {
    static const std::vector<Planted> all{
        {"size", ChangeKind::resized, Table::pipe, "size",
         [](SystemBuilder& b) {
             pipe(b, "A1-A2").size.edit().bore = {0.02, 0};
         }},
        {"length", ChangeKind::changed, Table::pipe, "length",
         [](SystemBuilder& b) {
             pipe(b, "T-V1").length = {40, 0};
         }},
        {"k", ChangeKind::changed, Table::pipe, "k",
         [](SystemBuilder& b) {
             pipe(b, "T-V1").k = {8, 0};
         }},
        {"c", ChangeKind::changed, Table::pipe, "c",
         [](SystemBuilder& b) {
             pipe(b, "M-T").size.edit().c = {110, 0};
         }},
        {"elevation", ChangeKind::moved, Table::point, "elev",
         [](SystemBuilder& b) {
             b.at("A3").elevation = Quantity{13, 0};
         }},
        {"nozzle", ChangeKind::renozzled, Table::head, "nozzle",
         [](SystemBuilder& b) { b.system.heads[1].nozzle = 1; }},
        {"nozzle data", ChangeKind::changed, Table::nozzle, "flow",
         [](SystemBuilder& b) {
             b.system.nozzles[0].rows[0].value = {1.5e-4, 0};
         }},
        {"joint", ChangeKind::changed, Table::head, "loss",
         [](SystemBuilder& b) {
             b.system.heads[2].joint = {model::LossKind::cv, {1.5, 0}};
         }},
        {"valve", ChangeKind::changed, Table::valve, "cv",
         [](SystemBuilder& b) {
             b.system.valves[0].loss.coefficient = {4, 0};
         }},
        {"set", ChangeKind::changed, Table::valve, "set",
         [](SystemBuilder& b) {
             b.system.valves[0].set = Quantity{200e3, 0};
         }},
        {"meter", ChangeKind::changed, Table::device, "cv",
         [](SystemBuilder& b) {
             b.system.devices[0].loss.coefficient = {7, 0};
         }},
        {"static", ChangeKind::changed, Table::supply, "static",
         [](SystemBuilder& b) {
             b.system.supplies[0].static_pressure = {370e3, 0};
         }},
        {"residual", ChangeKind::changed, Table::supply, "residual",
         [](SystemBuilder& b) {
             b.system.supplies[0].tests[0].value = {300e3, 0};
         }},
        {"friction", ChangeKind::changed, Table::system, "friction",
         [](SystemBuilder& b) {
             for (model::Pipe& of : b.system.pipes) of.size.edit().roughness = {1e-4, 0};
             b.system.friction = model::FrictionLaw::darcy_weisbach;
         }},
    };
    return all;
}

TEST(Comparison, EachPlantedChangeIsFoundAloneWithWhatItDoes) {
    for (const Planted& of : planted()) {
        SystemBuilder from = drawn(), to = drawn();
        if (of.key == std::string("friction"))
            for (model::Pipe& its : from.system.pipes) its.size.edit().roughness = {1e-4, 0};
        of.plant(to);
        const Comparison found = compare(from, to);
        ASSERT_EQ(found.changes.size(), 1U) << of.name;
        const Change& change = found.changes[0];
        EXPECT_EQ(change.kind, of.kind) << of.name;
        EXPECT_EQ(change.subject.table, of.table) << of.name;
        EXPECT_EQ(change.key, of.key) << of.name;
        EXPECT_EQ(change.not_alone, "") << of.name;
        ASSERT_EQ(change.effects.size(), 2U) << of.name;
        const double effect = pressure(to, 0, 2) - pressure(from, 0, 2);
        EXPECT_NEAR(change.effects[0].alone, effect, 1) << of.name;
        EXPECT_NEAR(change.effects[0].together, effect, 1) << of.name;
        EXPECT_GT(std::abs(effect), 500) << of.name << ": the test would say nothing";
    }
}

// Two at once: each alone as if the other were not there, and both together.
TEST(Comparison, AloneAndTogether) {
    SystemBuilder one = drawn(), other = drawn(), both = drawn();
    planted()[0].plant(one);
    planted()[8].plant(other);
    planted()[0].plant(both);
    planted()[8].plant(both);
    const Comparison found = compare(drawn(), both);
    ASSERT_EQ(found.changes.size(), 2U);
    const double before = pressure(drawn(), 0, 2);
    for (const Change& change : found.changes) {
        const bool size = change.kind == ChangeKind::resized;
        EXPECT_NEAR(change.effects[0].alone, pressure(size ? one : other, 0, 2) - before, 1);
        EXPECT_NEAR(change.effects[0].together, pressure(both, 0, 2) - before, 1);
        EXPECT_NEAR(change.effects[1].alone, 0, 0) << "the other zone feels neither";
    }
    EXPECT_LE(found.changes[0].effects[0].alone, found.changes[1].effects[0].alone) << "the dearest first";
}

TEST(Comparison, AHeadMoreComesWithItsPipe) {
    SystemBuilder built = drawn();
    built.head("A4", 1);
    built.pipe("A3", "A4", 12, 0.025);
    const Comparison found = compare(drawn(), built);
    ASSERT_EQ(found.changes.size(), 2U);
    for (const Change& change : found.changes) {
        EXPECT_EQ(change.kind, ChangeKind::added);
        EXPECT_EQ(change.group, found.changes[0].group);
        EXPECT_NEAR(change.effects[0].alone, pressure(built, 0, 2) - pressure(drawn(), 0, 2), 1);
    }
    // The other way round it is dropped.
    for (const Change& change : compare(built, drawn()).changes) EXPECT_EQ(change.kind, ChangeKind::dropped);
}

// A device in a way that was there takes the place of its pipe; without the pipe it would lead nowhere.
TEST(Comparison, OneWayForAnotherIsMadeTogether) {
    SystemBuilder built = drawn();
    built.system.pipes.erase(built.system.pipes.begin() + 2);  // T-V1
    built.device("G", model::DeviceType::gate).loss = {model::LossKind::cv, {3, 0}, {}, {}, false};
    built.line({"T", "G", "V1"}, 6, 0.025);
    const Comparison found = compare(drawn(), built);
    ASSERT_EQ(found.changes.size(), 4U);
    for (const Change& change : found.changes) {
        EXPECT_EQ(change.group, found.changes[0].group);
        EXPECT_EQ(change.not_alone, "");
        EXPECT_NEAR(change.effects[0].alone, pressure(built, 0, 2) - pressure(drawn(), 0, 2), 1);
    }
}

TEST(Comparison, ADroppedHeadThatDecidesIsSaid) {
    SystemBuilder built = drawn();
    built.system.pipes.erase(built.system.pipes.begin() + 5);  // A2-A3
    built.system.heads.erase(built.system.heads.begin() + 2);
    built.at("A3").kind = model::PointKind::plain;
    built.at("A3").row = model::none;
    built.at("B1").row = 2;
    const Comparison found = compare(drawn(), built);
    ASSERT_EQ(found.changes.size(), 2U);
    EXPECT_TRUE(std::isnan(found.changes[0].effects[0].alone));
    EXPECT_TRUE(std::isnan(found.deciding[0].built));
    EXPECT_EQ(found.deciding[0].built_head, 1);
}

// The order of rows, the direction in which a pipe is written and its name are nobody's business.
TEST(Comparison, WhatIsOnlyWrittenOtherwiseIsTheSame) {
    SystemBuilder built = drawn();
    std::reverse(built.system.pipes.begin(), built.system.pipes.end());
    std::swap(pipe(built, "A1-A2").from, pipe(built, "A1-A2").to);
    pipe(built, "A2-A3").own_id = std::string("last");
    EXPECT_TRUE(compare(drawn(), built).changes.empty());
}

TEST(Comparison, ACoefficientAndItsBoreAreTwoChanges) {
    SystemBuilder from = drawn(), to = drawn();
    from.system.valves[0].loss = {model::LossKind::k, {5, 0}, {0.025, 0}, {}, false};
    to.system.valves[0].loss = {model::LossKind::k, {9, 0}, {0.02, 0}, {}, false};
    const Comparison found = compare(from, to);
    ASSERT_EQ(found.changes.size(), 2U);
    EXPECT_EQ(found.changes[0].key + found.changes[1].key, "borek") << "the bore costs more";
    SystemBuilder alone = from;
    alone.system.valves[0].loss.coefficient = {9, 0};
    EXPECT_NEAR(found.changes[1].effects[0].alone, pressure(alone, 0, 2) - pressure(from, 0, 2), 1);
}

// Both zones together: the run that is changed opens a valve that is new, and makes it along.
TEST(Comparison, ARunThatOpensANewValveBringsItAlong) {
    SystemBuilder from = drawn(), to = drawn();
    to.valve("V3", 9);
    to.head("C1", 1);
    to.line({"T", "V3", "C1"}, 9, 0.025);
    from.system.runs = {{"all", {0, 1}, true, {}}};
    to.system.runs = {{"all", {0, 1, 2}, true, {}}};
    const Comparison found = compare(from, to);
    const auto run = std::find_if(found.changes.begin(), found.changes.end(),
                                  [](const Change& change) { return change.subject.table == Table::run; });
    ASSERT_NE(run, found.changes.end());
    const double effect = pressure(to, 0, 2) - pressure(from, 0, 2);
    EXPECT_LT(effect, -500);
    EXPECT_NEAR(run->effects[0].alone, effect, 1);
}

TEST(Comparison, ADroppedRunIsNoWaterForItsHead) {
    SystemBuilder from = drawn(), to = drawn();
    from.system.runs = {{"one", {0}, true, {}}, {"two", {1}, true, {}}};
    to.system.runs = {{"one", {0}, true, {}}};
    const Comparison found = compare(from, to);
    ASSERT_EQ(found.changes.size(), 1U);
    EXPECT_EQ(found.changes[0].kind, ChangeKind::dropped);
    ASSERT_EQ(found.changes[0].effects.size(), 2U);
    EXPECT_EQ(found.changes[0].effects[0].alone, 0);
    EXPECT_TRUE(std::isnan(found.changes[0].effects[1].alone));
}

// A head that gets a valve of its own runs only in the run that opens it.
TEST(Comparison, AValveOfItsOwnBelongsToTheHeadThatStays) {
    SystemBuilder from = drawn(), to = drawn();
    from.head("G1", 1);
    to.head("G1", 1);
    for (SystemBuilder* of : {&from, &to}) of->pipe("T", "G1", 9, 0.025);
    to.own_valve(4, 9);
    const Comparison found = compare(from, to);
    const auto valve = std::find_if(found.changes.begin(), found.changes.end(), [](const Change& change) {
        return change.subject.table == Table::valve;
    });
    ASSERT_NE(valve, found.changes.end());
    // Drawn, G1 runs in every run and takes its share of the meter; built, only when its valve is open.
    ASSERT_FALSE(valve->effects.empty()) << valve->not_alone;
    const double effect = pressure(to, 0, 2) - pressure(from, 0, 2);
    EXPECT_GT(effect, 500);
    EXPECT_NEAR(valve->effects[0].alone, effect, 1);
}

// What dries a head comes before what costs a little.
TEST(Comparison, ADriedHeadComesFirst) {
    SystemBuilder built = drawn();
    planted()[0].plant(built);
    pipe(built, "T-V2").closed = true;
    const Comparison found = compare(drawn(), built);
    ASSERT_EQ(found.changes.size(), 2U);
    EXPECT_EQ(found.changes[0].key, "closed");
}

TEST(Comparison, WhatCannotBeMadeAloneSaysWhy) {
    SystemBuilder built = drawn();
    // V2 is fed from A1 now. Without its old pipe alone nothing would lead to it.
    built.system.pipes.erase(built.system.pipes.begin() + 6);  // T-V2
    built.pipe("A1", "V2", 9, 0.025);
    const Comparison found = compare(drawn(), built);
    ASSERT_EQ(found.changes.size(), 2U);
    const auto dropped = std::find_if(found.changes.begin(), found.changes.end(), [](const Change& change) {
        return change.kind == ChangeKind::dropped;
    });
    EXPECT_NE(dropped->not_alone, "");
    EXPECT_TRUE(dropped->effects.empty());
}

}  // namespace
}  // namespace evenhead::test
