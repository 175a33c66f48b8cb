// The limit: each step evaluates every law once, as fast as vectors of doubles allow, and goes over the
// arrays of the network once at the bandwidth that this machine's memory has for arrays of that size. No
// solver that takes as many steps can do with less, unless it finds powers more cheaply.
#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <vector>

#include "bench/flat_laws.hpp"
#include "bench/parts.hpp"
#include "bench/sitting.hpp"
#include "bench/systems.hpp"

namespace evenhead::bench {
namespace {

constexpr int heads = 240000;

class Limit {
  public:
    explicit Limit(std::uint64_t seed)
        : made_(looped_system(heads, seed)), network_(solver::build_network(made_.system, made_.layout)) {
        const FlatLaws laws(made_.system, network_);
        const std::vector<char> open(network_.elements.size(), 1);
        const std::vector<double> flow = nominal_flows(network_, find_reach(network_, open));
        // Friction first, so that powers are taken where there is friction only.
        const auto pick = [&](bool friction, const std::vector<double>& from) {
            std::vector<double> picked;
            for (std::size_t e = 0; e < flow.size(); ++e) {
                if ((laws.r()[e] > 0) == friction) picked.push_back(from[e]);
            }
            return picked;
        };
        const std::vector<double> pipe_flow = pick(true, flow), pipe_r = pick(true, laws.r()),
                                  other_flow = pick(false, flow), other_m = pick(false, laws.m());
        pipe_flow_ = map(pipe_flow);
        r_ = map(pipe_r);
        other_flow_ = map(other_flow);
        m_ = map(other_m);
        // By element the law's number, flow in and out, and where its node is; by node height out, and
        // conductance and flow going in and out.
        const std::size_t bytes =
            network_.elements.size() * (8 + 8 + 8 + 4) + network_.node_elevation.size() * (8 + 16 + 16);
        const auto count = static_cast<Eigen::Index>(bytes / 24);
        a_ = b_ = c_ = Eigen::ArrayXd::Constant(count, 1.0);
    }

    Measured laws() {
        const Stopwatch stopwatch;
        slope_ = r_ * ((pipe_flow_.abs().log() * 0.852).exp());
        loss_ = slope_ * pipe_flow_;
        slope_ = slope_ * 1.852;
        other_slope_ = m_ * other_flow_.abs();
        other_loss_ = other_slope_ * other_flow_;
        other_slope_ = other_slope_ * 2;
        return {stopwatch.passed()};
    }
    // Two arrays read and one written, together as many bytes as the network's.
    Measured pass() {
        const Stopwatch stopwatch;
        a_ = b_ + 0.5 * c_;
        return {stopwatch.passed()};
    }

  private:
    static Eigen::ArrayXd map(const std::vector<double>& values) {
        return Eigen::Map<const Eigen::ArrayXd>(values.data(), static_cast<Eigen::Index>(values.size()));
    }
    Built made_;
    solver::Network network_;
    Eigen::ArrayXd pipe_flow_, r_, other_flow_, m_, slope_, loss_, other_slope_, other_loss_, a_, b_, c_;
};

}  // namespace

void measure_limit(Report& report) {
    if (report.settings().most_heads < heads) return;
    Limit limit(report.settings().seed);
    Row laws, pass;
    laws.part = pass.part = "limit";
    laws.who = pass.who = "limit";
    laws.heads = pass.heads = heads;
    laws.count = pass.count = 20;
    laws.what = "every law once";
    pass.what = "one pass over the arrays";
    Sitting sitting(report);
    sitting.add(laws, [&] { return limit.laws(); });
    sitting.add(pass, [&] { return limit.pass(); });
    sitting.run();
    const Row* ours = report.find("sizes", "cold", "ours", heads);
    if (ours == nullptr) return;
    const double step = report.seconds("limit", laws.what, "limit", heads) +
                        report.seconds("limit", pass.what, "limit", heads);
    report.ratio("limit_share_240k", ours->steps * step / report.median(*ours));
}

}  // namespace evenhead::bench
