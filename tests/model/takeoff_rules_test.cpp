// The table of a take-off as the program reads it: against the lines of the table, read here as words.
#include "model/takeoff/rules.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <set>
#include <string>

#include "model/catalogue.hpp"
#include "model/catalogue/reader.hpp"

namespace evenhead::model {
namespace {

TEST(TakeoffRules, EveryPipeOfTheCatalogueHasARow) {
    for (const PipeKind& kind : pipe_kinds())
        for (const PipeSize& size : kind.sizes) {
            const PipeRule& rule = takeoff_rules().of(size);
            EXPECT_NE(rule.family, "other") << kind.name;
            EXPECT_GT(rule.piece, 0) << kind.name;
        }
}

TEST(TakeoffRules, EveryItemHasAPriceAndNamesAreUnique) {
    std::set<std::string_view> names;
    for (std::size_t i = 0; i < takeoff_kinds().size(); ++i) {
        const auto item = static_cast<TakeoffItem>(i);
        names.insert(kind_of(item).name);
        EXPECT_EQ(find_item(kind_of(item).name), item);
        EXPECT_EQ(takeoff_rules().prices[i].has_value(), item != TakeoffItem::pipe) << kind_of(item).name;
    }
    EXPECT_EQ(names.size(), takeoff_kinds().size());
    EXPECT_EQ(item_of(DeviceType::meter), TakeoffItem::meter);
    EXPECT_EQ(item_of(DeviceType::quick_coupler), TakeoffItem::quick_coupler);
    EXPECT_EQ(item_of(DeviceType::other), TakeoffItem::other);
}

TEST(TakeoffRules, LengthsInTheirUnits) {
    const TakeoffRules& rules = takeoff_rules();
    // 20 ft, 18 in, 450 mm: an inch is 25.4 mm.
    EXPECT_NEAR(rules.of(*find_size(*find_kind("pvc-cl200"), "1")).piece, 6.096, 1e-12);
    EXPECT_NEAR(rules.mainline_depth.us, 0.4572, 1e-12);
    EXPECT_NEAR(rules.mainline_depth.metric, 0.45, 1e-12);
    EXPECT_NEAR(rules.of(*find_size(*find_kind("pe100-sdr11"), "63")).piece, 100, 1e-12);
    EXPECT_NEAR(rules.of(*find_size(*find_kind("pe100-sdr11"), "75")).piece, 12, 1e-12);
    EXPECT_TRUE(std::isinf(rules.wires.back().reach.us));
    EXPECT_EQ(rules.wires.front().us, "18 AWG");
    EXPECT_EQ(rules.wires.front().metric, "0.8 mm2");
}

TEST(TakeoffRules, ATableOfItsOwnKeepsTheOtherRows) {
    const TakeoffRules rules = read_takeoff_rules("waste pipe 8 %\nhead-inlet 1/2 any\n");
    EXPECT_NEAR(rules.pipe_waste, 0.08, 1e-15);
    EXPECT_EQ(rules.inlets.size(), 1U);
    EXPECT_EQ(rules.pipes.size(), takeoff_rules().pipes.size());
}

TEST(TakeoffRules, RefusesWhatIsNoLine) {
    for (const char* text : {"waste pipe 5",
                             "waste pipe 500 %",
                             "waste rain 5 %",
                             "trench width 1 ft",
                             "trench depth 1 ft 1 m",
                             "pipe pvc-* any pvc 0 ft length coupling 22.5",
                             "pipe pvc-* any pvc 20 ft stick coupling 22.5",
                             "pipe pvc-* any pvc 20 ft length nails 22.5",
                             "pipe pvc-* 3 gpm pvc 20 ft length coupling 22.5",
                             "box valves none",
                             "box valves 1.5",
                             "box head round",
                             "box gate square",
                             "connectors head 2",
                             "gauge 800 ft 250 m 18 AWG",
                             "head-inlet 1/2",
                             "head-inlet 1/2 4 psi",
                             "price teapot 1 1",
                             "price pipe 1 1",
                             "price tee -1 1",
                             "price tee 1",
                             "family pe 0",
                             "wire spool 0 ft 0 m",
                             "nonsense"}) {
        try {
            read_takeoff_rules(std::string("# a comment\n") + text + "\n");
            ADD_FAILURE() << text;
        } catch (const tables::LineFault& fault) {
            EXPECT_EQ(fault.line, 2) << text;
        }
    }
}

}  // namespace
}  // namespace evenhead::model
