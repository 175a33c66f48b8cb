// The shipped price list against the catalogue: every size of every kind once, at a price that rises with it.
#include "model/price_list.hpp"

#include <gtest/gtest.h>

#include "model/catalogue.hpp"

namespace evenhead::model {
namespace {

TEST(PriceList, PricesEverySizeOfTheCatalogueMoreThanTheSmallerOne) {
    std::size_t rows = 0;
    for (const PipeKind& kind : pipe_kinds()) {
        double smaller = 0;
        for (const PipeSize& size : kind.sizes) {
            const auto price = listed_price(kind.name, size.nominal);
            ASSERT_TRUE(price) << kind.name << " " << size.nominal;
            EXPECT_GE(*price, smaller) << kind.name << " " << size.nominal;
            smaller = *price;
            ++rows;
        }
    }
    EXPECT_EQ(price_list().size(), rows);
    EXPECT_FALSE(listed_price("pvc-cl200", "7"));
}

TEST(PriceList, IsByTheFootInTheTableAndByTheMetreInside) {
    // The row reads 0.41 per-ft.
    EXPECT_NEAR(*listed_price("pvc-sch40", "1"), 0.41 / 0.3048, 1e-12);
}

}  // namespace
}  // namespace evenhead::model
