// Distances are checked by hand against the definition (the least number of single-letter edits and neighbour
// swaps).
#include "model/nearest.hpp"

#include <gtest/gtest.h>

#include <string>
#include <vector>

namespace evenhead::model {
namespace {

TEST(EditDistance, CountsTheLeastNumberOfEdits) {
    EXPECT_EQ(edit_distance("kitten", "sitting", 9), 3u);  // two letters changed, one put in
    EXPECT_EQ(edit_distance("valve", "vavle", 9), 1u);     // one swap
    EXPECT_EQ(edit_distance("", "abc", 9), 3u);
    EXPECT_EQ(edit_distance("length", "lenght", 9), 1u);
    EXPECT_EQ(edit_distance("Lawn", "lawn", 9), 0u);
    EXPECT_EQ(edit_distance("abcdef", "uvwxyz", 2), 3u);  // stops at limit + 1
}

TEST(NearestName, FindsWhatWasMeantAndNothingFarOff) {
    const std::vector<std::string> names = {"pressure", "flow", "radius", "min", "max"};
    EXPECT_EQ(nearest_name("presure", names), "pressure");
    EXPECT_EQ(nearest_name("folw", names), "flow");
    EXPECT_EQ(nearest_name("Flow", names), "flow");
    EXPECT_EQ(nearest_name("colour", names), std::nullopt);
    EXPECT_EQ(nearest_name("q", names), std::nullopt);
    EXPECT_EQ(nearest_name("", names), std::nullopt);
}

TEST(NearestName, TakesTheFirstOfEquallyNear) {
    const std::vector<std::string> names = {"L1", "L2", "L3"};
    EXPECT_EQ(nearest_name("L4", names), "L1");
}

}  // namespace
}  // namespace evenhead::model
