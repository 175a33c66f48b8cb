// What could not be judged, once each however many runs say it.
#pragma once

#include <cstdint>
#include <unordered_map>
#include <vector>

#include "solver/rules/rules.hpp"

namespace evenhead::io {

class NotCheckedList {
  public:
    void add(const std::vector<solver::NotChecked>& rows) {
        for (const auto& row : rows) {
            const auto key =
                (static_cast<std::uint64_t>(static_cast<std::uint32_t>(row.subject.index)) << 16U) |
                (static_cast<std::uint64_t>(row.subject.kind) << 8U) | static_cast<std::uint64_t>(row.rule);
            auto& places = seen_[key];
            bool known = false;
            for (const std::size_t place : places) known = known || rows_[place].why == row.why;
            if (known) continue;
            places.push_back(rows_.size());
            rows_.push_back(row);
        }
    }
    /// In the order in which they came.
    const std::vector<solver::NotChecked>& rows() const { return rows_; }

  private:
    std::vector<solver::NotChecked> rows_;
    std::unordered_map<std::uint64_t, std::vector<std::size_t>> seen_;
};

}  // namespace evenhead::io
