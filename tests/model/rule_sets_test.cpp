// The table of rule sets: read whole, each limit with its source; numbers of the table converted by hand.
#include <gtest/gtest.h>

#include "model/catalogue/reader.hpp"
#include "model/rule_sets.hpp"

namespace evenhead::model {
namespace {

const RuleOfSet* find(const RuleSet& set, std::string_view rule) {
    for (const RuleOfSet& row : set.rules)
        if (row.rule == rule) return &row;
    return nullptr;
}

TEST(RuleSets, EveryLimitHasASourceInWords) {
    ASSERT_GE(rule_sets().size(), 10u);
    for (const RuleSet& set : rule_sets()) {
        EXPECT_FALSE(set.about.empty()) << set.name;
        ASSERT_FALSE(set.rules.empty()) << set.name;
        for (const RuleOfSet& row : set.rules) {
            // One that gives none is called after its set.
            EXPECT_NE(row.limit.source, "set " + set.name) << row.rule;
            EXPECT_EQ(row.limit.source.find("http"), std::string::npos) << set.name;
        }
    }
}

TEST(RuleSets, NumbersAreInSi) {
    // 15 psi = 15 x 6894.757 Pa; 7 ft/s = 7 x 0.3048 m/s.
    const RuleSet* colorado = find_rule_set("colorado-highways");
    ASSERT_NE(colorado, nullptr);
    const RuleOfSet* regulator = find(*colorado, "regulator");
    ASSERT_NE(regulator, nullptr);
    EXPECT_NEAR(regulator->limit.value->value, 15 * 6894.757293, 0.01);
    EXPECT_EQ(regulator->limit.base, Limit::Base::design);
    EXPECT_EQ(regulator->dimension, Dimension::pressure);

    const auto by_material = read_rule_sets("set a\nrule velocity 7 ft/s in copper\n");
    const auto copper = static_cast<std::size_t>(Material::copper);
    ASSERT_EQ(by_material.front().rules.size(), 1u);
    EXPECT_NEAR(by_material.front().rules[0].limit.by_material[copper]->value, 2.1336, 1e-12);
    EXPECT_FALSE(by_material.front().rules[0].limit.value);
}

TEST(RuleSets, SpreadTakesItsBase) {
    EXPECT_EQ(find(*find_rule_set("spread-10"), "zone-spread")->limit.base, Limit::Base::design);
    EXPECT_EQ(find(*find_rule_set("spread-10-of-mean"), "zone-spread")->limit.base, Limit::Base::mean);
    EXPECT_DOUBLE_EQ(find(*find_rule_set("spread-15"), "zone-spread")->limit.value->value, 0.15);
    EXPECT_EQ(find_rule_set("nobody's"), nullptr);
}

TEST(RuleSets, ALineThatSaysNothingIsNamed) {
    const auto line_of = [](std::string_view text) {
        try {
            read_rule_sets(text);
        } catch (const tables::LineFault& fault) {
            return fault.line;
        }
        return 0;
    };
    EXPECT_EQ(line_of("rule velocity 5 ft/s\n"), 1);
    EXPECT_EQ(line_of("set a\n\nrule velocity fast\n"), 3);
    EXPECT_EQ(line_of("set a\nrule velocity 5 gpm\n"), 2);
    EXPECT_EQ(line_of("set a\nrule velocity 0 ft/s\n"), 2);
    EXPECT_EQ(line_of("set a\nrule velocity -5 ft/s\n"), 2);
    EXPECT_EQ(line_of("set a\nrule velocity nan ft/s\n"), 2);
    EXPECT_EQ(line_of("set a\nrule velocity 5 ft/s in glass\n"), 2);
    EXPECT_EQ(line_of("set a\nrule zone-spread 10 % above mean\n"), 2);
    EXPECT_EQ(line_of("set a\nsource nothing\n"), 2);
    EXPECT_EQ(line_of("set a\nset a\n"), 2);
    EXPECT_EQ(line_of("# only this\n"), 0);
}

}  // namespace
}  // namespace evenhead::model
