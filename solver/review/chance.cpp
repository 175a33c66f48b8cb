// Each sample is the case with every uncertain input x moved by its standard deviation p times a draw, and
// its runs balanced: nothing is straightened. Beside it the first order: with D the derivatives of a head's
// pressure (sensitivity.hpp), the pressure is normal about what the case says with the variance sum (D p)^2,
// p being the standard deviation of the draw as it is cut.
#include "solver/review/chance.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <limits>

#include "model/position.hpp"
#include "solver/balance/balance.hpp"
#include "solver/inputs/spreads.hpp"
#include "solver/parallel.hpp"
#include "solver/review/draws.hpp"
#include "solver/review/sensitivity.hpp"
#include "solver/rules/rules.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::solver {
namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();
constexpr std::size_t most_held = 16'000'000;  // pressures in memory at once
constexpr double tail = 0.05, tail_deviations = 1.6448536269514722;

/// Points that take their elevation from another move with it.
struct Moved {
    std::size_t input;
    std::vector<std::pair<Index, double>> points;  // m per m
};

std::vector<Moved> moved_points(const model::System& system, const model::Layout& layout,
                                const std::vector<Input>& inputs) {
    std::vector<Moved> moved;
    for (std::size_t i = 0; i < inputs.size(); ++i) {
        if (inputs[i].kind != Input::Kind::elevation) continue;
        Moved& of = moved.emplace_back(Moved{i, {}});
        if (layout.assumptions.empty()) {
            for (const Index point : inputs[i].rows) of.points.emplace_back(point, 1);
            continue;
        }
        model::System higher = system;
        change_input(higher, inputs[i], 1);
        const std::vector<double> elevation = model::find_layout(higher).elevation;
        for (std::size_t point = 0; point < elevation.size(); ++point)
            if (elevation[point] != layout.elevation[point])
                of.points.emplace_back(static_cast<Index>(point), elevation[point] - layout.elevation[point]);
    }
    return moved;
}

/// What all samples share.
struct Question {
    model::System system;  // with its spreads
    const model::Layout& layout;
    std::vector<Input> inputs;
    std::vector<Moved> moved;
    const ChanceOptions& options;
};

/// Balances samples; one for each thread.
class Sampler {
  public:
    explicit Sampler(const Question& question)
        : question_(question),
          system_(question.system),
          layout_(question.layout),
          numbers_(system_, question.inputs),
          prepared_{prepare_structure(build_network(system_, layout_)), {}} {}

    /// Calls take(i, pressure in Pa; NaN without a solution) for each of heads[first .. last).
    template <class Take>
    void sample(std::uint64_t number, const std::vector<HeadChance>& heads, std::size_t first,
                std::size_t last, std::size_t& unsolved, const Take& take) {
        draw(number);
        const Network network = build_network(system_, layout_);
        prepared_.parameters = set_parameters(network, prepared_.structure);
        Balancer balancer(system_, network, prepared_);
        Index run = model::none;
        bool solved = false;
        for (std::size_t i = first; i < last; ++i) {
            if (heads[i].run != run) {
                run = heads[i].run;
                solved = balancer.solve(system_.runs[at(run)].valves).solved;
                if (!solved) ++unsolved;
            }
            take(i, solved ? pressure(network, balancer.state(), heads[i].head) : unknown);
        }
    }

  private:
    void draw(std::uint64_t number) {
        for (std::size_t i = 0; i < question_.inputs.size(); ++i) numbers_.set(i, change(number, i));
        for (const Moved& of : question_.moved)
            for (const auto& [point, share] : of.points)
                layout_.elevation[at(point)] = question_.layout.elevation[at(point)];
        for (const Moved& of : question_.moved) {
            const double moved = change(number, of.input);
            for (const auto& [point, share] : of.points) layout_.elevation[at(point)] += share * moved;
        }
    }
    double change(std::uint64_t number, std::size_t input) const {
        return question_.inputs[input].deviation *
               normal_draw(question_.options.seed, number, static_cast<std::uint32_t>(input));
    }

    static double pressure(const Network& network, const State& state, Index head) {
        const std::size_t element = at(network.first_head + head);
        const Element& of = network.elements[element];
        const double D = state.height[at(of.tail)] - of.fixed_height;
        if (std::isnan(D)) return unknown;  // no water stands there
        return network.head_laws[at(head)]->nozzle_pressure(D, state.flow[element]) /
               network.metres_per_pascal;
    }

    const Question& question_;
    model::System system_;
    model::Layout layout_;
    InputNumbers numbers_;
    Prepared prepared_;
};

double first_order_deviation(const Question& question, const HeadDerivatives& of) {
    if (of.empty()) return unknown;
    double variance = 0;
    std::size_t next = 0;  // of question.moved
    for (std::size_t i = 0; i < question.inputs.size(); ++i) {
        double derivative = 0;
        if (question.inputs[i].kind == Input::Kind::elevation) {
            for (const auto& [point, share] : question.moved[next].points)
                derivative += share * of.by(InputName::elevation, {InputSubject::Table::point, point});
            ++next;
        } else {
            derivative = of.by(question.inputs[i]);
        }
        const double moved = derivative * question.inputs[i].deviation * cut_deviation;
        variance += moved * moved;
    }
    return std::sqrt(variance);
}

/// The heads of a run as drawn, with their first order.
std::vector<HeadChance> heads_of_run(const Question& question, const Network& network,
                                     const Prepared& prepared, Index run) {
    std::vector<HeadChance> heads;
    Balancer balancer(question.system, network, prepared);
    RunResult result;
    balancer.balance(run, question.system.runs[at(run)].valves, result);
    if (result.failure) return heads;
    const Tangents tangents(network, balancer.state());
    for_each(result.concerned.heads, [&](Index head) {
        if (std::isnan(result.head_pressure[at(head)])) return;
        HeadChance& of = heads.emplace_back();
        of.run = run;
        of.head = head;
        of.pressure = result.head_pressure[at(head)];
        of.wanted = wanted_pressure(question.system, head).value_or(unknown);
        const double deviation =
            first_order_deviation(question, HeadDerivatives(question.system, network, tangents, head));
        of.first_order_band = {of.pressure - tail_deviations * deviation,
                               of.pressure + tail_deviations * deviation};
        of.first_order_below = deviation > 0 ? normal_share((of.wanted - of.pressure) / deviation)
                               : std::isnan(of.wanted) || std::isnan(deviation) ? unknown
                               : of.pressure < of.wanted                        ? 1
                                                                                : 0;
    });
    return heads;
}

/// The value below which a share of all lie, straight between two of them. Reorders.
double quantile(std::vector<double>& values, double share) {
    const double place = share * static_cast<double>(values.size() - 1);
    const auto low = static_cast<std::size_t>(place);
    const auto at_low = values.begin() + static_cast<std::ptrdiff_t>(low);
    std::nth_element(values.begin(), at_low, values.end());
    const double value = *at_low;
    if (low + 1 == values.size()) return value;
    const double next = *std::min_element(at_low + 1, values.end());
    return value + (place - static_cast<double>(low)) * (next - value);
}

void judge(HeadChance& of, const double* pressures, std::size_t count) {
    std::vector<double> solved;
    solved.reserve(count);
    std::size_t below = 0;
    for (std::size_t i = 0; i < count; ++i) {
        if (std::isnan(pressures[i])) continue;
        solved.push_back(pressures[i]);
        below += pressures[i] < of.wanted ? 1 : 0;
    }
    of.samples = solved.size();
    of.below = solved.empty() || std::isnan(of.wanted)
                   ? unknown
                   : static_cast<double>(below) / static_cast<double>(solved.size());
    of.band = {unknown, unknown};
    if (!solved.empty()) of.band = {quantile(solved, tail), quantile(solved, 1 - tail)};
}

}  // namespace

int usual_samples(const model::System& system) {
    const auto rows =
        static_cast<double>(system.pipes.size() + system.heads.size() + system.valves.size() + 1);
    return static_cast<int>(std::clamp(4e7 / rows, 500.0, 10'000.0));
}

Chance find_chance(const model::System& system, const model::Layout& layout, const ChanceOptions& options) {
    Question question{
        with_spreads(system, options.spreads != nullptr ? *options.spreads : model::usual_spreads()),
        layout,
        {},
        {},
        options};
    question.inputs = uncertain_inputs(question.system);
    question.moved = moved_points(question.system, layout, question.inputs);
    std::vector<Index> runs = options.runs;
    for (std::size_t run = 0; options.runs.empty() && run < system.runs.size(); ++run)
        runs.push_back(static_cast<Index>(run));
    const auto threads = at(options.threads > 0 ? options.threads : default_threads());

    Chance chance;
    chance.samples = at(options.samples);
    chance.seed = options.seed;
    std::vector<std::vector<HeadChance>> by_run(runs.size());
    {
        const Network network = build_network(question.system, layout);
        const Prepared prepared = prepare(network);
        in_parallel(threads, runs.size(), [&](std::size_t, std::size_t i) {
            by_run[i] = heads_of_run(question, network, prepared, runs[i]);
        });
    }
    for (const auto& heads : by_run) chance.heads.insert(chance.heads.end(), heads.begin(), heads.end());

    // As many heads at a time as their pressures fit in memory; whole runs, so that none is balanced twice.
    constexpr std::size_t at_once = 25;  // samples
    std::vector<HeadChance>& heads = chance.heads;
    std::vector<std::unique_ptr<Sampler>> samplers(threads);
    std::atomic<std::size_t> unsolved = 0;
    for (std::size_t first = 0; first < heads.size();) {
        std::size_t last = first;
        while (last < heads.size() && (last == first || (last - first) * chance.samples < most_held ||
                                       heads[last].run == heads[last - 1].run))
            ++last;
        std::vector<double> pressures((last - first) * chance.samples);
        in_parallel(
            threads, (chance.samples + at_once - 1) / at_once, [&](std::size_t worker, std::size_t part) {
                if (!samplers[worker]) samplers[worker] = std::make_unique<Sampler>(question);
                std::size_t without = 0;
                for (std::size_t i = part * at_once; i < std::min(chance.samples, (part + 1) * at_once); ++i)
                    samplers[worker]->sample(i, heads, first, last, without,
                                             [&](std::size_t head, double pressure) {
                                                 pressures[(head - first) * chance.samples + i] = pressure;
                                             });
                unsolved += without;
            });
        in_parallel(threads, last - first, [&](std::size_t, std::size_t i) {
            judge(heads[first + i], pressures.data() + i * chance.samples, chance.samples);
        });
        first = last;
    }
    chance.unsolved = unsolved;
    chance.inputs = std::move(question.inputs);
    return chance;
}

}  // namespace evenhead::solver
