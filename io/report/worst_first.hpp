// Keeps of many runs what belongs to the worst of them, within a budget.
#pragma once

#include <cmath>
#include <cstddef>
#include <limits>
#include <map>
#include <tuple>
#include <utility>

#include "model/system.hpp"

namespace evenhead::io {

/// How bad a run is: those that fail come first, then those with the least margin, then in file order.
struct Badness {
    bool outside = false;
    double margin = 0;  ///< Pa; NaN: nothing wanted, comes last
    model::Index run = model::none;

    bool operator<(const Badness& other) const { return key() < other.key(); }

  private:
    std::tuple<bool, double, model::Index> key() const {
        return {!outside, std::isnan(margin) ? std::numeric_limits<double>::infinity() : margin, run};
    }
};

template <class Value>
class WorstFirst {
  public:
    /// `budget`: sum of the costs of all that is kept.
    explicit WorstFirst(std::size_t budget) : budget_(budget) {}

    /// True where something of this badness would stay, whatever it costs.
    bool takes(const Badness& badness) const { return used_ < budget_ || badness < kept_.rbegin()->first; }
    void add(const Badness& badness, Value value, std::size_t cost) {
        used_ += cost;
        kept_.emplace(badness, std::pair{std::move(value), cost});
        while (used_ > budget_ && kept_.size() > 1) {
            const auto last = std::prev(kept_.end());
            used_ -= last->second.second;
            kept_.erase(last);
            ++dropped_;
        }
    }
    /// Something would not have stayed, and was not even made.
    void pass_over() { ++dropped_; }

    /// Badness -> value and its cost, worst first.
    const std::map<Badness, std::pair<Value, std::size_t>>& kept() const { return kept_; }
    std::size_t dropped() const { return dropped_; }

  private:
    std::map<Badness, std::pair<Value, std::size_t>> kept_;
    std::size_t budget_, used_ = 0, dropped_ = 0;
};

}  // namespace evenhead::io
