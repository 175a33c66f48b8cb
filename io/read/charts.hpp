// Charts: columns of equal length, and how their numbers may follow each other.
#pragma once

#include <string_view>
#include <vector>

#include "io/read/fields.hpp"
#include "model/system.hpp"

namespace evenhead::io {

enum class Order { rising, falling, never_falling, never_rising };

/// Says which number of the column breaks the order; numbers not known are passed over.
void check_order(const Fields& fields, std::string_view key, const std::vector<model::Quantity>& numbers,
                 Order order);

enum class Least { any, zero, above_zero };

/// A column of a chart: its key, what its numbers measure, and how small they may be.
struct Column {
    std::string_view key;
    model::Dimension dimension;
    Least least = Least::zero;
};

/// Two columns as rows, `at` rising. Empty, and said, where one is missing or they are not of equal length.
std::vector<model::ChartRow> read_chart(const Fields& fields, const Column& at, const Column& value);

/// The loss of a device (`type` as in the case), of a "valve" or of a swing joint: cv, kv, k with bore, flow
/// with loss, or only size. `lossless` allows none of them. Where it is wrong, which is said, the loss is one
/// not known.
model::Loss read_loss(Fields& fields, std::string_view type, bool lossless);

/// The rise of a pump: rows of flow and rise.
std::vector<model::ChartRow> read_rise(Fields& fields);

}  // namespace evenhead::io
