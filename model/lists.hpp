// A list for each row of a table: two tables in place of one list each, since a city has a million rows.
#pragma once

#include <cstddef>
#include <span>
#include <utility>
#include <vector>

#include "model/position.hpp"

namespace evenhead::model {

template <class Value>
class ListsOf {
  public:
    ListsOf() = default;
    /// A list for each of `rows` rows. `each(put)` calls `put(row, value)` for all there is, twice in the
    /// same order.
    template <class Each>
    ListsOf(std::size_t rows, const Each& each) : ends_(rows + 1, 0) {
        // Each end is first the number of values, then where its list begins; filling moves it to where it
        // ends.
        each([&](int row, const Value&) { ++ends_[at(row)]; });
        int sum = 0;
        for (int& end : ends_) end = std::exchange(sum, sum + end);
        values_.resize(at(sum));
        each([&](int row, const Value& value) { values_[at(ends_[at(row)]++)] = value; });
        ends_.insert(ends_.begin(), 0);
        ends_.pop_back();
    }

    /// The list of one more row.
    void add(std::span<const Value> list) {
        values_.insert(values_.end(), list.begin(), list.end());
        ends_.push_back(static_cast<int>(values_.size()));
    }
    void reserve(std::size_t rows) {
        ends_.reserve(rows + 1);
        values_.reserve(rows);
    }

    std::size_t size() const { return ends_.size() - 1; }
    std::span<const Value> operator[](std::size_t row) const {
        return std::span(values_).subspan(at(ends_[row]), at(ends_[row + 1] - ends_[row]));
    }

  private:
    std::vector<int> ends_{0};  ///< the list of row i is from ends_[i] to ends_[i + 1] in values_
    std::vector<Value> values_;
};

/// Lists of positions.
using Lists = ListsOf<int>;

}  // namespace evenhead::model
