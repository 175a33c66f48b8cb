// Losses of power laws, many at once. Elements behind one another have the same flow: its power is found
// once.
#pragma once

#include <array>
#include <cmath>
#include <cstddef>

#include "solver/laws/powers.hpp"

namespace evenhead::solver {

/// Calls sink(element, loss in m) for what was added, in order, sooner or later; for all of it at the end.
template <class Sink>
class LossBatch {
  public:
    explicit LossBatch(Sink sink) : sink_(sink) {}

    /// r |q|^0.852 q + m |q| q.
    void add(int element, double r, double m, double q) {
        if (flows_ == 0 || q_[flows_ - 1] != q) {
            if (flows_ == most_flows || count_ == most) flush();
            q_[flows_++] = q;
        } else if (count_ == most) {
            flush();
            q_[flows_++] = q;
        }
        waiting_[count_++] = {element, static_cast<int>(flows_ - 1), r, m};
    }

    void flush() {
        powers(flows_, q_.data(), power_.data());
        for (std::size_t i = 0; i < count_; ++i) {
            const Waiting& of = waiting_[i];
            const double q = q_[static_cast<std::size_t>(of.flow)];
            sink_(of.element, (of.r * power_[static_cast<std::size_t>(of.flow)] + of.m * std::abs(q)) * q);
        }
        flows_ = count_ = 0;
    }

  private:
    static constexpr std::size_t most_flows = 256, most = 1024;
    struct Waiting {
        int element, flow;
        double r, m;
    };
    Sink sink_;
    std::size_t flows_ = 0, count_ = 0;
    std::array<double, most_flows> q_, power_;
    std::array<Waiting, most> waiting_;
};

}  // namespace evenhead::solver
