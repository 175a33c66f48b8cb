// The compact stand-ins for std::optional, against std::optional itself; and that rows of long tables stay
// small.
#include "model/seldom.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "model/lists.hpp"
#include "model/system.hpp"

namespace evenhead::model {
namespace {

// A city has a million of each, and the whole answer at most 1 KB of memory for each head.
static_assert(sizeof(OptionalQuantity) == sizeof(Quantity));
static_assert(sizeof(Point) <= 112 && sizeof(Head) <= 104 && sizeof(Pipe) <= 104);

/// Takes both through the same steps.
template <class Optional, class Value>
void behaves_as_optional(const Value& one, const Value& other, const auto& same) {
    Optional mine;
    std::optional<Value> theirs;
    const auto check = [&] {
        ASSERT_EQ(mine.has_value(), theirs.has_value());
        ASSERT_EQ(static_cast<bool>(mine), static_cast<bool>(theirs));
        if (theirs) {
            EXPECT_TRUE(same(*mine, *theirs));
        }
        EXPECT_TRUE(same(mine.value_or(other), theirs.value_or(other)));
    };
    check();
    mine = one, theirs = one;
    check();
    Optional copy = mine;
    *copy = other;  // of its own
    check();
    mine = copy, theirs = other;
    check();
    mine = std::nullopt, theirs = std::nullopt;
    check();
    EXPECT_TRUE(copy.has_value());
    mine = std::move(copy), theirs = other;
    check();
    mine.reset(), theirs.reset();
    check();
    mine = {}, theirs = {};
    check();
}

TEST(Seldom, BehavesAsOptional) {
    behaves_as_optional<Seldom<std::string>, std::string>(
        "one", "other", [](const auto& a, const auto& b) { return a == b; });
    const auto same = [](const Quantity& a, const Quantity& b) {
        return (a.value == b.value || (std::isnan(a.value) && std::isnan(b.value))) &&
               a.deviation == b.deviation;
    };
    behaves_as_optional<OptionalQuantity, Quantity>({3, 0}, {4, 0.5}, same);
    behaves_as_optional<OptionalQuantity, Quantity>({}, {0, 0}, same);  // "?" is present
    behaves_as_optional<Seldom<Quantity>, Quantity>({}, {0, 0}, same);
    EXPECT_FALSE(OptionalQuantity(Seldom<Quantity>()).has_value());
    EXPECT_EQ(OptionalQuantity(Seldom<Quantity>(Quantity{5, 1}))->deviation, 1);
    EXPECT_FALSE(Seldom<Quantity>(OptionalQuantity()).has_value());
}

TEST(Shared, IsPartedByTheFirstChange) {
    Shared<PipeSize> one;
    one.edit().bore = {0.02, 0};
    Shared<PipeSize> other = one;
    EXPECT_TRUE(one.shares(other));
    other.edit().bore.value = 0.03;
    EXPECT_FALSE(one.shares(other));
    EXPECT_EQ(one->bore.value, 0.02);
    EXPECT_EQ(other->bore.value, 0.03);
    EXPECT_FALSE(Shared<PipeSize>()->bore.known());  // no change reaches the usual one
}

TEST(Lists, HoldWhatIsPutInOrder) {
    const std::vector<std::pair<int, int>> put = {{2, 7}, {0, 5}, {2, 1}, {4, 9}, {2, 3}};
    std::vector<std::vector<int>> expected(5);
    for (const auto& [row, value] : put) expected[at(row)].push_back(value);
    Lists lists(5, [&](const auto& add) {
        for (const auto& [row, value] : put) add(row, value);
    });
    const std::vector<int> more = {8, 8};
    lists.add(more);
    expected.push_back(more);
    ASSERT_EQ(lists.size(), expected.size());
    for (std::size_t row = 0; row < expected.size(); ++row)
        EXPECT_EQ(std::vector<int>(lists[row].begin(), lists[row].end()), expected[row]) << row;
    EXPECT_EQ(Lists().size(), 0U);
}

}  // namespace
}  // namespace evenhead::model
