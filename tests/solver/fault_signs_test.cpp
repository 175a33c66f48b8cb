// What faults do to the pressures on the way through one zone: eight rotors of 3 gpm at 45 psi, 35 ft apart,
// 62 psi at the street, a reduced-pressure backflow preventer, 150 ft of main. Changes in psi and gpm; the
// spread (max - min) / mean in percent. The table is common practice, computed once by a program that shares
// nothing with this one; only its signs are held, since its pipes and losses are not known to the last inch.
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <fstream>

#include "io/read/case.hpp"
#include "solver/diagnosis/faulty_system.hpp"
#include "tests/io/case_folder.hpp"

namespace evenhead::solver {
namespace {

using model::Side;

constexpr double psi = 6894.757293168361, gpm = 231 * 0.0254 * 0.0254 * 0.0254 / 60;
constexpr double foot = 0.3048;

constexpr const char* zone_case = R"(
ground = 0
supplies = [ { id = "street", static = 62 } ]
devices = [
  { id = "meter", type = "meter", cv = 9.55 },
  { id = "backflow", type = "backflow", flow = [0, 15, 25, 40], loss = [6, 7.3, 8.4, 11] },
  { id = "gate", type = "gate", cv = 60 },
]
valves = [ { id = "zone", cv = 11.4, set = 45 }, { id = "other", cv = 11.4 } ]
nozzles = [ { id = "rotor", pressure = 45, flow = 3 } ]
laterals = [ { id = "O", from = "other", first = 10, heads = 5, spacing = 35, nozzle = "rotor", size = "pvc-cl200 1-1/4" } ]
heads = [
  { id = "H1", nozzle = "rotor" }, { id = "H2", nozzle = "rotor" }, { id = "H3", nozzle = "rotor" },
  { id = "H4", nozzle = "rotor" }, { id = "H5", nozzle = "rotor" }, { id = "H6", nozzle = "rotor" },
  { id = "H7", nozzle = "rotor" }, { id = "H8", nozzle = "rotor" },
]
pipes = [
  { along = "street 5 meter 5 backflow 75 tee 65 gate 10 end 1 zone", size = "pvc-cl200 1-1/4" },
  { along = "end 5 other", size = "pvc-sch40 1-1/4" },
  { along = "zone 35 H1 35 H2 35 H3 35 H4", size = "pvc-cl200 1-1/4" },
  { along = "H4 17.5 middle 17.5 H5 35 H6", size = "pvc-cl200 1" },
  { along = "H6 35 H7 35 H8", size = "pvc-cl200 3/4" },
]
runs = [ { id = "zone", valves = ["zone"] }, { id = "other", valves = ["other"] } ]
)";

enum Column { P1, P2, P3, P4, H1, H4, H5, H8, Qm, Qpit, spread, S1, S3, Qs, columns };
constexpr const char* names[columns] = {"P1", "P2", "P3",   "P4",     "H1", "H4", "H5",
                                        "H8", "Qm", "Qpit", "spread", "S1", "S3", "Qs"};
using Row = std::array<double, columns>;

class FaultSigns : public testing::Test {
  protected:
    FaultSigns() : reading_(io::read_text(zone_case)) {
        const model::System& system = *reading_.system;
        const auto gauge = [&](std::size_t situation, const std::string& id, bool flow,
                               Side side = Side::outlet) {
            Gauge made;
            made.situation = situation;
            made.point = point(system, id);
            made.flow = flow;
            made.side = side;
            made.deviation = flow ? gpm : psi;
            gauges_.push_back(made);
        };
        gauge(0, "backflow", false, Side::inlet);
        gauge(0, "backflow", false);
        gauge(0, "zone", false, Side::inlet);
        gauge(0, "zone", false);
        for (int i = 1; i <= 8; ++i) gauge(0, "H" + std::to_string(i), false);
        gauge(0, "meter", true);
        gauge(1, "backflow", false, Side::inlet);
        gauge(1, "zone", false, Side::inlet);
        gauge(1, "meter", true);
        survey_ = make_survey(system, reading_.layout, {{0, {0}}, {model::none, {}}}, gauges_, 0, {0, 1});
        healthy_ = FaultySystem::healthy(survey_, model::fault_priors());
    }

    static Index point(const model::System& system, const std::string& id) {
        for (std::size_t i = 0; i < system.points.size(); ++i)
            if (system.points[i].id == id) return static_cast<Index>(i);
        ADD_FAILURE() << "no point " << id;
        return 0;
    }
    Index part_point(const std::string& id) const { return point(survey_.part.system, id); }
    Index part_pipe(const std::string& id) const {
        for (std::size_t i = 0; i < survey_.part.system.pipes.size(); ++i)
            if (survey_.part.system.pipe_id(static_cast<Index>(i)) == id) return static_cast<Index>(i);
        ADD_FAILURE() << "no pipe " << id;
        return 0;
    }
    Index part_head(const std::string& id) const {
        return survey_.part.system.points[static_cast<std::size_t>(part_point(id))].row;
    }

    static Row row_of(const std::vector<double>& shown) {
        Row row{};
        const auto pressure = [&](std::size_t gauge) { return shown[gauge] / psi; };
        for (std::size_t i = 0; i < 4; ++i) row[i] = pressure(i);
        row[H1] = pressure(4);
        row[H4] = pressure(7);
        row[H5] = pressure(8);
        row[H8] = pressure(11);
        row[Qm] = shown[12] / gpm;
        double low = 1e9, high = 0, sum = 0;
        for (std::size_t head = 4; head < 12; ++head) {
            low = std::min(low, pressure(head));
            high = std::max(high, pressure(head));
            sum += pressure(head);
            row[Qpit] += 3 * std::sqrt(pressure(head) / 45);
        }
        row[spread] = 100 * (high - low) / (sum / 8);
        row[S1] = pressure(13);
        row[S3] = pressure(14);
        row[Qs] = shown[15] / gpm;
        return row;
    }

    /// Changes at the severity (in what the catalogue measures it by: a share of the run's flow, of the
    /// static or set pressure; else SI) of one fault.
    Row changes(const Site& site, double severity) const {
        model::FaultPriors priors = model::fault_priors();
        model::FaultPrior& prior = priors.kinds[static_cast<std::size_t>(site.kind)];
        prior.even = model::FaultPrior::Even::itself;
        prior.low = prior.high = severity;
        const Site* const faults[] = {&site};
        FaultySystem faulty(survey_, priors, faults, &healthy_);
        EXPECT_TRUE(faulty.possible());
        const double ranks[] = {0.5};
        const auto answer = faulty.solve(ranks);
        EXPECT_TRUE(answer.solved);
        Row row = row_of(answer.shown), base = row_of(healthy_.shown);
        for (std::size_t i = 0; i < columns; ++i) row[i] -= base[i];
        return row;
    }

    /// What the table calls nothing (up to a tenth) is next to nothing here; the rest has its sign.
    static void expect_signs(const char* name, const Row& found, const Row& table) {
        for (std::size_t i = 0; i < columns; ++i) {
            const double unclear = i == spread ? 1.0 : 0.1;
            if (std::abs(table[i]) <= unclear) {
                EXPECT_LT(std::abs(found[i]), i == spread ? 2.0 : 0.3) << name << " " << names[i];
            } else {
                EXPECT_GT(found[i] * table[i], 0)
                    << name << " " << names[i] << ": " << found[i] << ", " << table[i];
            }
        }
    }

    io::CaseReading reading_;
    std::vector<Gauge> gauges_;
    Survey survey_;
    Healthy healthy_;
};

TEST_F(FaultSigns, TheZoneIsLikeThatOfTheTable) {
    const Row table{56.4, 48.3, 45.8, 41.9, 41.3, 40.2, 39.7, 38.7, 22.6, 22.6, 6.4, 62.0, 56.0, 0.0};
    const Row found = row_of(healthy_.shown);
    for (std::size_t i = 0; i < columns; ++i)
        EXPECT_NEAR(found[i], table[i], i == spread ? 2.5 : 1.5) << names[i];
}

TEST_F(FaultSigns, EveryRowHasThem) {
    const auto pipe = [&](const char* id) { return ElementRef{ElementKind::pipe, part_pipe(id)}; };
    const auto head = [&](const char* id) { return ElementRef{ElementKind::head, part_head(id)}; };
    const auto one = [](FaultKind kind, ElementRef at, Index valve) {
        return Site{kind, at, {at.index}, valve, 1};
    };
    const ElementRef meter{ElementKind::device, 0}, backflow{ElementKind::device, 1},
        gate{ElementKind::device, 2};
    const ElementRef zone{ElementKind::valve, 0}, other{ElementKind::valve, 1},
        street{ElementKind::supply, 0};
    const auto leak = [&](const char* id) {
        return one(FaultKind::leak, {ElementKind::point, part_point(id)}, model::none);
    };
    std::vector<Index> lateral, heads;
    for (const char* id :
         {"zone-H1", "H1-H2", "H2-H3", "H3-H4", "H4-middle", "middle-H5", "H5-H6", "H6-H7", "H7-H8"})
        lateral.push_back(part_pipe(id));
    for (int i = 1; i <= 8; ++i) heads.push_back(part_head("H" + std::to_string(i)));
    const Site narrow{FaultKind::narrow_run, pipe("zone-H1"), lateral, 0, 1};
    const Site worn{FaultKind::larger_nozzle, head("H1"), heads, 0, 1};
    const Site wrong{FaultKind::larger_nozzle, head("H1"), {heads[0], heads[1], heads[2]}, 0, 1};
    const Site higher{FaultKind::higher_ground, zone, heads, 0, 1};

    struct Line {
        const char* name;
        Site site;
        double severity;
        Row table;
    };
    const std::vector<Line> lines = {
        {"supply 12 psi low",
         one(FaultKind::low_supply, street, model::none),
         12.0 / 62,
         {-10.8, -10.3, -9.8, -9.0, -8.9, -8.7, -8.5, -8.4, -2.6, -2.6, 0.1, -12.0, -12.0, 0}},
        {"service restricted",
         one(FaultKind::blockage, meter, model::none),
         0.87,
         {-11.6, -11.2, -10.6, -9.7, -9.6, -9.3, -9.2, -9.0, -2.8, -2.8, 0.1, 0, 0, 0}},
        {"backflow preventer half shut",
         one(FaultKind::blockage, backflow, model::none),
         0.87,
         {1.2, -10.6, -10.1, -9.3, -9.1, -8.9, -8.8, -8.6, -2.7, -2.7, 0.1, 0, 0, 0}},
        {"gate half shut",
         one(FaultKind::blockage, gate, model::none),
         0.87,
         {1.2, 1.7, -9.8, -9.0, -8.9, -8.7, -8.6, -8.4, -2.6, -2.6, 0.1, 0, 0, 0}},
        {"main leaks",
         leak("tee"),
         9 / 22.6,
         {-4.0, -5.4, -7.0, -6.4, -6.3, -6.2, -6.1, -6.0, 6.9, -1.8, 0.1, -1.2, -2.2, 10.3}},
        {"second zone on",
         one(FaultKind::second_zone_on, other, model::none),
         1,
         {-8.2, -11.2, -14.5, -13.3, -13.1, -12.8, -12.6, -12.3, 12.8, -3.9, 0.2, 0, 0, 0}},
        {"valve throttled",
         one(FaultKind::blockage, zone, 0),
         0.87,
         {1.3, 1.8, 2.3, -9.6, -9.5, -9.2, -9.1, -8.9, -2.8, -2.8, 0.1, 0, 0, 0}},
        {"regulator holds 32 psi",
         one(FaultKind::regulator_low, zone, 0),
         13.0 / 45,
         {1.3, 1.8, 2.4, -9.9, -9.8, -9.6, -9.4, -9.2, -2.9, -2.9, 0.1, 0, 0, 0}},
        {"lateral broken",
         leak("middle"),
         8 / 22.6,
         {-2.9, -4.0, -5.2, -7.2, -7.5, -8.2, -9.0, -8.8, 5.2, -2.5, 5.7, 0, 0, 0}},
        {"lateral pinched",
         one(FaultKind::blockage, pipe("H4-middle"), 0),
         0.91,
         {0.6, 0.8, 1.1, 1.5, 1.5, 1.7, -9.6, -9.4, -1.2, -1.2, 31.0, 0, 0, 0}},
        {"lateral scaled",
         narrow,
         0.20,
         {0.5, 0.7, 0.9, 1.3, -0.4, -3.0, -4.3, -6.5, -1.1, -1.1, 17.5, 0, 0, 0}},
        {"lateral a size small",
         narrow,
         0.16,
         {0.4, 0.6, 0.7, 1.0, -0.4, -2.6, -3.7, -4.3, -0.8, -0.8, 11.0, 0, 0, 0}},
        {"nozzle clogged",
         one(FaultKind::clogged_nozzle, head("H5"), 0),
         0.5,
         {0.5, 0.7, 0.9, 1.2, 1.3, 1.4, 1.5, 1.5, -1.0, 0.4, -0.7, 0, 0, 0}},
        {"screen clogged",
         one(FaultKind::blockage, head("H5"), 0),
         0.96,
         {0.5, 0.7, 0.9, 1.2, 1.3, 1.4, -28.8, 1.4, -1.0, -1.0, 77.9, 0, 0, 0}},
        {"nozzle missing",
         one(FaultKind::missing_nozzle, head("H5"), 0),
         4,
         {-2.8, -3.8, -5.0, -6.9, -7.2, -7.9, -8.6, -8.4, 5.1, -2.4, 5.4, 0, 0, 0}},
        {"all nozzles worn",
         worn,
         1.15,
         {-1.2, -1.6, -2.1, -2.9, -3.1, -3.3, -3.4, -3.6, 2.3, -1.0, 1.9, 0, 0, 0}},
        {"first three oversize",
         wrong,
         1.67,
         {-2.0, -2.8, -3.7, -5.0, -5.3, -5.4, -5.3, -5.2, 3.8, -1.6, 0.7, 0, 0, 0}},
        {"three heads added",
         one(FaultKind::extra_heads, head("H8"), 0),
         3,
         {-2.5, -3.4, -4.4, -6.1, -6.4, -7.1, -7.7, -10.9, 4.6, -2.4, 15.5, 0, 0, 0}},
        {"12 ft higher",
         higher,
         12 * foot,
         {0.5, 0.7, 0.9, 1.3, -3.8, -3.7, -3.7, -3.6, -1.1, -1.1, 0.0, 0, 0, 0}},
    };
    for (const Line& line : lines) {
        const Row found = changes(line.site, line.severity);
        expect_signs(line.name, found, line.table);
        // As large as there, within half of it: it is that fault and no other.
        for (const Column column : {H8, Qm})
            EXPECT_NEAR(found[column], line.table[column], 0.3 + std::abs(line.table[column]) / 2)
                << line.name << " " << names[column];
    }
}

}  // namespace
}  // namespace evenhead::solver
