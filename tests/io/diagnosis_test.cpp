// What is said of a diagnosis: every kind of fault in words, and the shape of its JSON and CSV.
#include "io/write/diagnosis.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <memory>
#include <nlohmann/json.hpp>
#include <regex>
#include <set>

#include "io/write/fault_words.hpp"
#include "io/write/field_tests.hpp"
#include "tests/io/case_folder.hpp"
#include "tests/io/planted.hpp"

namespace evenhead::io {
namespace {

using nlohmann::json;
using solver::ElementKind;
using solver::FaultKind;
using solver::Site;

template <class Write>
std::string written(const Write& write) {
    std::string text;
    Output output([&](std::string_view piece) { text += piece; });
    write(output);
    output.finish();
    return text;
}

/// Without the breaks of a narrow page.
std::string in_one_line(std::string text) {
    std::replace(text.begin(), text.end(), '\n', ' ');
    return text;
}

class Diagnosed : public testing::Test {
  protected:
    Diagnosed()
        : reading_(read_text(every_kind_case)),
          front_(*reading_.system, reading_.layout, 0),
          back_(*reading_.system, reading_.layout, 1) {}

    static const Site& site(const Planted& planted, FaultKind kind, const std::string& at,
                            ElementKind element = ElementKind::run) {
        for (const Site& of : planted.sites())
            if (of.kind == kind && fault_place(planted.survey(), of).at == at &&
                (element == ElementKind::run || of.at.kind == element))
                return of;
        throw std::invalid_argument("no such site: " + at);
    }

    struct Answer {
        std::unique_ptr<const model::System> system;  // with the readings; what the diagnosis points to
        solver::Diagnosis diagnosis;
        std::string text() const {
            return written([&](Output& o) { write_diagnosis_text(o, subject(), {}); });
        }
        json as_json() const {
            return json::parse(written([&](Output& o) { write_diagnosis_json(o, subject()); }));
        }
        DiagnosisSubject subject() const { return {*system, diagnosis, "case.toml"}; }
    };
    Answer diagnose(model::System system, int threads = 0) const {
        Answer answer{std::make_unique<const model::System>(std::move(system)), {}};
        solver::DiagnosisOptions options;
        options.threads = threads;
        answer.diagnosis = solver::diagnose(*answer.system, reading_.layout, options);
        return answer;
    }

    CaseReading reading_;
    Planted front_, back_;
};

TEST_F(Diagnosed, EveryKindAtEveryPlaceIsAClauseWithAnAmount) {
    std::set<FaultKind> said;
    std::set<std::string> clauses;
    std::size_t sites = 0;
    const std::regex clause_shape("[a-z][^.;:]*"), amount_shape("[a-z0-9][^;:]*");
    for (const Planted* planted : {&front_, &back_}) {
        const Speaker speaker{planted->survey().part.system, ShownUnits::of_text(*reading_.system)};
        const FaultWords words(speaker, planted->survey());
        for (const Site& of : planted->sites()) {
            const double severity = model::fault_priors()[of.kind].severity(0.7);
            const std::string clause = words.clause(of, severity);
            EXPECT_TRUE(std::regex_match(clause, clause_shape)) << clause;
            const std::string amount = words.amount(of, severity, {0.9 * severity, 1.1 * severity});
            EXPECT_EQ(std::regex_match(amount, amount_shape), has_severity(of.kind)) << amount;
            EXPECT_FALSE(words.action(of).empty());
            EXPECT_FALSE(words.place(of).empty());
            EXPECT_FALSE(fault_place(planted->survey(), of).at.empty());
            said.insert(of.kind);
            if (planted == &front_) {
                clauses.insert(clause);
                ++sites;
            }
        }
    }
    EXPECT_EQ(said.size(), model::fault_kinds);
    EXPECT_EQ(clauses.size(), sites) << "two faults are said in the same words";
}

TEST_F(Diagnosed, FaultsAreSaidInTheWordsOfTheTrade) {
    const auto said = [&](const Planted& planted, FaultKind kind, const std::string& at, double severity,
                          std::array<double, 2> band, ElementKind element = ElementKind::run) {
        const Speaker speaker{planted.survey().part.system, ShownUnits::of_text(*reading_.system)};
        const FaultWords words(speaker, planted.survey());
        const Site& of = site(planted, kind, at, element);
        const std::string amount = words.amount(of, severity, band);
        return words.clause(of, severity) + (amount.empty() ? "" : ": " + amount);
    };
    constexpr double psi = 6894.757293168361, gpm = 6.30901964e-5, foot = 0.3048;
    EXPECT_EQ(said(front_, FaultKind::blockage, "L3-L4", 0.83, {0.80, 0.86}),
              "pipe L3-L4 is blocked: 83 % of its opening shut (80 to 86 %)");
    EXPECT_EQ(said(front_, FaultKind::blockage, "lawn", 0.83, {0.83, 0.83}, ElementKind::valve),
              "valve lawn does not open fully: 83 % of its opening shut");
    EXPECT_EQ(said(front_, FaultKind::blockage, "L2", 0.9, {0.8, 0.95}),
              "the screen or swing joint of head L2 is clogged: 90 % of its opening shut (80 to 95 %)");
    EXPECT_EQ(said(front_, FaultKind::blockage, "meter", 0.7, {0.6, 0.8}),
              "the meter or its stop is blocked: 70 % of its opening shut (60 to 80 %)");
    EXPECT_EQ(said(front_, FaultKind::blockage, "backflow", 0.7, {0.6, 0.8}),
              "the backflow preventer is half shut or fouled: 70 % of its opening shut (60 to 80 %)");
    EXPECT_EQ(said(front_, FaultKind::blockage, "strainer", 0.7, {0.6, 0.8}),
              "filter strainer is clogged: 70 % of its opening shut (60 to 80 %)");
    EXPECT_EQ(said(front_, FaultKind::blockage, "main-gate", 0.7, {0.6, 0.8}),
              "gate valve main-gate is partly shut: 70 % of its opening shut (60 to 80 %)");
    EXPECT_EQ(said(front_, FaultKind::blockage, "mv", 0.7, {0.6, 0.8}),
              "master valve mv does not open fully: 70 % of its opening shut (60 to 80 %)");
    EXPECT_EQ(said(front_, FaultKind::narrow_run, "L3-L4", 0.25, {0.2, 0.3}),
              "pipe L3-L4 is narrower than drawn: 25 % of its bore lost (20 to 30 %)");
    EXPECT_EQ(said(front_, FaultKind::narrow_run, "L", 0.25, {0.2, 0.3}),
              "lateral L (6 pipes) is narrower than drawn: 25 % of its bore lost (20 to 30 %)");
    EXPECT_EQ(said(front_, FaultKind::leak, "L3", 7.9 * gpm, {7 * gpm, 9 * gpm}),
              "water leaks at head L3: 7.90 gpm lost (7.00 to 9.00 gpm)");
    EXPECT_EQ(said(front_, FaultKind::leak, "T1", 7.9 * gpm, {7 * gpm, 9 * gpm}),
              "water leaks at T1: 7.90 gpm lost (7.00 to 9.00 gpm)");
    EXPECT_EQ(said(front_, FaultKind::clogged_nozzle, "L3", 0.42, {0.3, 0.5}),
              "the nozzle of head L3 is clogged: 42 % of its flow left (30 to 50 %)");
    EXPECT_EQ(said(front_, FaultKind::larger_nozzle, "L3", 1.4, {1.3, 1.5}),
              "the nozzle of head L3 is worn or too large: 140 % of the flow drawn (130 to 150 %)");
    EXPECT_EQ(said(front_, FaultKind::larger_nozzle, "lawn", 1.15, {1.1, 1.2}),
              "the nozzles of zone lawn (6 heads) are worn or too large: 115 % of the flow drawn, each (110 "
              "to 120 %)");
    EXPECT_EQ(said(back_, FaultKind::larger_nozzle, "B3", 1.15, {1.1, 1.2}),
              "the nozzle of head B3 is worn or too large: 115 % of the flow drawn (110 to 120 %)");
    EXPECT_EQ(said(front_, FaultKind::missing_nozzle, "L3", 4.2, {4.0, 4.5}),
              "head L3 has lost its nozzle or is broken off: 4.2 times its flow (4.0 to 4.5 times)");
    EXPECT_EQ(said(front_, FaultKind::low_supply, "street", 12 * psi, {11 * psi, 13 * psi}),
              "the pressure of supply street is low: 12.0 psi below what is given (11.0 to 13.0 psi)");
    EXPECT_EQ(said(front_, FaultKind::regulator_low, "house", 12 * psi, {11 * psi, 13 * psi}),
              "regulator house holds too little pressure: 12.0 psi below its setting (11.0 to 13.0 psi)");
    EXPECT_EQ(said(back_, FaultKind::regulator_low, "beds", 12 * psi, {11 * psi, 13 * psi}),
              "valve beds holds too little pressure: 12.0 psi below its setting (11.0 to 13.0 psi)");
    EXPECT_EQ(said(back_, FaultKind::regulator_low, "B1", 12 * psi, {11 * psi, 13 * psi}),
              "the regulator in head B1 holds too little: 12.0 psi below its setting (11.0 to 13.0 psi)");
    EXPECT_EQ(said(front_, FaultKind::second_zone_on, "beds", 1, {1, 1}),
              "the zone of valve beds runs at the same time");
    EXPECT_EQ(said(front_, FaultKind::extra_heads, "L6", 1.2, {1, 2}),
              "heads were added on the line at head L6: about 1 head more (1 to 2)");
    EXPECT_EQ(said(front_, FaultKind::higher_ground, "lawn", 12 * foot, {10 * foot, 14 * foot}),
              "zone lawn lies higher than drawn: by 12.0 ft (10.0 to 14.0 ft)");
    EXPECT_EQ(said(front_, FaultKind::gauge_off, "gauge", -4 * psi, {-5 * psi, -3 * psi}),
              "the gauge shows too little: by 4.0 psi (3.0 to 5.0 psi)");
    EXPECT_EQ(said(front_, FaultKind::gauge_off, "gauge", 4 * psi, {3 * psi, 5 * psi}),
              "the gauge shows too much: by 4.0 psi (3.0 to 5.0 psi)");
}

TEST_F(Diagnosed, PlacesOfSeveralThingsHaveThemAll) {
    const FaultPlace lateral = fault_place(front_.survey(), site(front_, FaultKind::narrow_run, "L"));
    EXPECT_EQ(lateral.parts.size(), 6U);
    EXPECT_EQ(lateral.parts.front(), "lawn-L1");
    const FaultPlace zone = fault_place(back_.survey(), site(back_, FaultKind::larger_nozzle, "beds"));
    EXPECT_EQ(zone.parts, (std::vector<std::string>{"B1", "B2", "B3", "B4"}));
    EXPECT_TRUE(fault_place(front_.survey(), site(front_, FaultKind::leak, "L3")).parts.empty());
    bool some = false;  // of one nozzle's: the first head names it
    for (const Site& of : back_.sites())
        if (of.kind == FaultKind::larger_nozzle && of.rows.size() == 2) {
            const FaultPlace place = fault_place(back_.survey(), of);
            EXPECT_EQ(place.at, place.parts.front());
            some = true;
        }
    EXPECT_TRUE(some);
}

TEST_F(Diagnosed, TheAnswerComesFirst) {
    const Answer pinched = diagnose(front_.with({&site(front_, FaultKind::blockage, "L3-L4")}, {0.6}));
    const std::string text = pinched.text();
    EXPECT_TRUE(text.starts_with("Pipe L3-L4 is ")) << text;
    const auto sure = text.find("\nHow sure: "), next = text.find("\nNext: "),
               readings = text.find("\nPressure at");
    ASSERT_NE(readings, std::string::npos) << text;
    EXPECT_LT(sure, next);
    EXPECT_LT(next, readings);
    EXPECT_NE(text.find("\nWhen it is mended\n"), std::string::npos);
    EXPECT_NE(text.find("\nL6 "), std::string::npos);
    EXPECT_NE(text.find("licensed"), std::string::npos);
    EXPECT_NE(text.find("Locate buried"), std::string::npos);
    for (std::size_t begin = 0, end; begin < text.size(); begin = end + 1) {
        end = text.find('\n', begin);
        EXPECT_LE(display_width(text.substr(begin, end - begin)), page_columns)
            << text.substr(begin, end - begin);
    }
    EXPECT_FALSE(leads_as_drawn(pinched.diagnosis));
}

// While it may be any of several lengths of pipe, the next step is a reading that halves them, not a spade.
TEST_F(Diagnosed, NobodyDigsBeforeThePlaceIsLikely) {
    model::System system = front_.with({&site(front_, FaultKind::blockage, "L3-L4")}, {0.6});
    std::erase_if(system.readings, [&](const model::Reading& reading) {
        const std::string& id = system.point_id(reading.point);
        return reading.all_shut || (id != "L1" && id != "L6" && id != "meter");
    });
    ASSERT_EQ(system.readings.size(), 3U);
    const Answer few = diagnose(system);
    EXPECT_NE(few.text().find("\nNext: gauge head L"), std::string::npos) << few.text();
    EXPECT_EQ(few.text().find("dig at"), std::string::npos);
    const Answer many = diagnose(front_.with({&site(front_, FaultKind::blockage, "L3-L4")}, {0.6}));
    EXPECT_NE(many.text().find("\nNext: dig at pipe L3-L4"), std::string::npos) << many.text();
}

// A stop that is turned in a minute comes before the spade where it may as well be the stop.
TEST_F(Diagnosed, WhatCostsLeastComesFirst) {
    const Answer meter = diagnose(front_.with({&site(front_, FaultKind::blockage, "street-meter")}, {0.6}));
    const std::string text = in_one_line(meter.text());
    const auto stop = text.find("see that the stop at the"), dig = text.find("if that is not it");
    ASSERT_NE(stop, std::string::npos) << text;
    EXPECT_LT(stop, dig);
}

TEST_F(Diagnosed, AHealthySystemIsSaidToBeOne) {
    model::System healthy = front_.with({}, {});
    const Answer answer = diagnose(healthy);
    EXPECT_TRUE(answer.text().starts_with("These readings show nothing wrong")) << answer.text();
    EXPECT_EQ(answer.text().find("When it is mended"), std::string::npos);
    EXPECT_TRUE(leads_as_drawn(answer.diagnosis));
    const json all = answer.as_json();
    EXPECT_TRUE(all["groups"][0]["healthy"]);
    EXPECT_GT(all["as_drawn"], 0.5);
}

TEST_F(Diagnosed, WhatNothingExplainsIsSaid) {
    model::System odd = front_.with({&site(front_, FaultKind::blockage, "L3-L4")}, {0.6});
    int i = 0;
    for (model::Reading& reading : odd.readings)
        if (reading.pressure) reading.pressure->value *= i++ % 2 == 0 ? 0.85 : 1.15;
    const Answer answer = diagnose(odd);
    EXPECT_TRUE(answer.text().starts_with("No single fault explains these readings.")) << answer.text();
    EXPECT_TRUE(leads_unexplained(answer.diagnosis));
    EXPECT_FALSE(leads_as_drawn(answer.diagnosis));
    EXPECT_GT(answer.as_json()["unexplained"], 0.5);
}

TEST_F(Diagnosed, OneWrongReadingIsNamedAndForgiven) {
    model::System wrong = front_.with({&site(front_, FaultKind::blockage, "L3-L4")}, {0.6});
    for (model::Reading& reading : wrong.readings)
        if (reading.pressure && !reading.all_shut && wrong.point_id(reading.point) == "L2")
            reading.pressure->value -= 12 * 6894.757;
    const Answer answer = diagnose(wrong);
    EXPECT_TRUE(answer.text().starts_with("Pipe L3-L4 is ")) << answer.text();
    EXPECT_NE(in_one_line(answer.text()).find("One reading is likely wrong"), std::string::npos);
    EXPECT_NE(answer.text().find("wrong?"), std::string::npos);
    const json all = answer.as_json();
    ASSERT_EQ(all["bad_readings"].size(), 1U);
    EXPECT_EQ(all["bad_readings"][0]["at"], "L2");
}

TEST_F(Diagnosed, TwoFaultsAreSaidAsTwo) {
    const Answer answer =
        diagnose(front_.with({&site(front_, FaultKind::blockage, "lawn", ElementKind::valve),
                              &site(front_, FaultKind::blockage, "L3-L4")},
                             {0.4, 0.6}));
    const std::string text = answer.text();
    EXPECT_TRUE(text.starts_with("No single fault explains these readings; two at")) << text;
    EXPECT_EQ(answer.as_json()["groups"][0]["members"][0]["faults"].size(), 2U);
}

TEST_F(Diagnosed, TheJsonHasItsShape) {
    const std::map<std::string, std::string> units{
        {"blockage", "%"},      {"narrow-run", "%"},      {"leak", "gpm"},         {"clogged-nozzle", ""},
        {"larger-nozzle", ""},  {"missing-nozzle", ""},   {"low-supply", "psi"},   {"regulator-low", "psi"},
        {"second-zone-on", ""}, {"extra-heads", "heads"}, {"higher-ground", "ft"}, {"gauge-off", "psi"}};
    std::set<std::string> seen;
    for (const Planted* planted : {&front_, &back_}) {
        std::set<std::pair<FaultKind, bool>> done;
        for (const Site& of : planted->sites()) {
            if (!done.insert({of.kind, of.rows.size() > 1}).second) continue;
            model::System system = planted->with({&of}, {0.6});
            // With few readings there is much that it could be.
            std::vector<model::Reading> few;
            for (std::size_t i = 0; i < system.readings.size(); i += 5) few.push_back(system.readings[i]);
            system.readings = few;
            const json all = diagnose(system).as_json();
            EXPECT_EQ(all["schema"], 1);
            EXPECT_EQ(all["case"], "One of each");
            EXPECT_EQ(all["units"]["pressure"], "psi");
            double sum = all["unexplained"], before = 1;
            for (const json& group : all["groups"]) {
                const double probability = group["probability"];
                EXPECT_LE(probability, before);
                before = probability;
                sum += probability;
                double members = 0;
                bool healthy = false;
                for (const json& member : group["members"]) {
                    members += member["probability"].get<double>();
                    healthy |= member["faults"].empty();
                    for (const json& fault : member["faults"]) {
                        const std::string kind = fault["fault"];
                        ASSERT_TRUE(units.contains(kind)) << kind;
                        seen.insert(kind);
                        EXPECT_EQ(fault["unit"], units.at(kind));
                        EXPECT_TRUE(fault["at"].is_string());
                        EXPECT_EQ(fault["severity"].is_null(), kind == "second-zone-on");
                        EXPECT_EQ(fault["band"].is_null(), kind == "second-zone-on");
                        EXPECT_TRUE(fault["band"].is_null() || fault["band"][0] <= fault["band"][1]);
                        EXPECT_TRUE(!fault.contains("parts") || fault["parts"].size() > 1U);
                    }
                }
                EXPECT_EQ(group["healthy"], healthy);
                EXPECT_NEAR(members, probability, 1e-12);
                ASSERT_EQ(group["predicted"].size(), few.size());
                for (const json& at : group["predicted"]) {
                    EXPECT_TRUE(at["kind"] == "pressure" || at["kind"] == "flow");
                    EXPECT_TRUE(at["run"] == "none" || at["run"] == "front" || at["run"] == "back");
                    EXPECT_TRUE(at["measured"].is_number() && at["predicted"].is_number());
                    EXPECT_GT(at["sd"], 0);
                }
            }
            EXPECT_NEAR(sum, 1, 1e-12);
            double gain = 1e9;
            for (const json& next : all["next"]) {
                EXPECT_LE(next["gain"], gain);
                gain = next["gain"];
                for (const json& expected : next["expected"]) {
                    EXPECT_LT(expected["group"], all["groups"].size());
                    EXPECT_TRUE(expected["value"].is_number());
                    EXPECT_GT(expected["sd"], 0);
                }
            }
            EXPECT_FALSE(all["stopped"]);
        }
    }
    EXPECT_EQ(seen.size(), units.size());
}

TEST_F(Diagnosed, TheCsvHasARowForEachFault) {
    const Answer answer = diagnose(front_.with({&site(front_, FaultKind::leak, "L3")}, {0.5}));
    const std::string text = written([&](Output& o) { write_diagnosis_csv(o, answer.subject()); });
    std::size_t rows = 1;  // what is not explained
    for (const auto& hypothesis : answer.diagnosis.hypotheses)
        rows += std::max<std::size_t>(1, hypothesis.faults.size());
    EXPECT_EQ(static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n')), rows + 1);
    EXPECT_TRUE(text.starts_with(
        "group,group_probability,healthy,member,member_probability,fault,at,severity,unit,low,"
        "high,parts\n0,"));
    for (std::size_t begin = 0, end; begin < text.size(); begin = end + 1) {
        end = text.find('\n', begin);
        EXPECT_EQ(std::count(text.begin() + static_cast<std::ptrdiff_t>(begin),
                             text.begin() + static_cast<std::ptrdiff_t>(end), ','),
                  11)
            << text.substr(begin, end - begin);
    }
}

TEST_F(Diagnosed, TheBytesDoNotDependOnThreads) {
    const model::System system = front_.with({&site(front_, FaultKind::leak, "L3")}, {0.5});
    const Answer one = diagnose(system, 1), two = diagnose(system, 2);
    EXPECT_EQ(one.text(), two.text());
    EXPECT_EQ(one.as_json().dump(), two.as_json().dump());
}

TEST_F(Diagnosed, TestsInTheFieldTellPairsApart) {
    const auto test = [&](const Planted& planted, FaultKind one, const char* at, FaultKind other,
                          const char* where, ElementKind element = ElementKind::run) {
        return field_test(site(planted, one, at, element), site(planted, other, where));
    };
    EXPECT_NE(test(back_, FaultKind::blockage, "beds", FaultKind::regulator_low, "beds", ElementKind::valve)
                  .find("Cap a head"),
              std::string::npos);
    EXPECT_NE(test(front_, FaultKind::leak, "L3", FaultKind::missing_nozzle, "L3").find("column of water"),
              std::string::npos);
    EXPECT_NE(
        test(front_, FaultKind::extra_heads, "L6", FaultKind::larger_nozzle, "lawn").find("Count the heads"),
        std::string::npos);
    EXPECT_NE(
        test(front_, FaultKind::low_supply, "street", FaultKind::blockage, "meter").find("no water running"),
        std::string::npos);
    EXPECT_NE(
        test(front_, FaultKind::gauge_off, "gauge", FaultKind::low_supply, "street").find("second gauge"),
        std::string::npos);
    EXPECT_NE(test(front_, FaultKind::blockage, "L3", FaultKind::clogged_nozzle, "L3").find("pitot"),
              std::string::npos);
    EXPECT_NE(
        test(front_, FaultKind::second_zone_on, "beds", FaultKind::larger_nozzle, "lawn").find("other zones"),
        std::string::npos);
    // The same whichever comes first; nothing where only digging tells.
    EXPECT_EQ(test(front_, FaultKind::leak, "L3", FaultKind::missing_nozzle, "L3"),
              test(front_, FaultKind::missing_nozzle, "L3", FaultKind::leak, "L3"));
    EXPECT_EQ(test(front_, FaultKind::narrow_run, "L3-L4", FaultKind::blockage, "L3-L4"), "");
}

TEST(Chance, IsNeverCertain) {
    EXPECT_EQ(chance(1), "over 99 %");
    EXPECT_EQ(chance(0.934), "93 %");
    EXPECT_EQ(chance(0), "under 1 %");
}

}  // namespace
}  // namespace evenhead::io
