#include "solver/sizing/problem.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "model/conditions.hpp"
#include "model/pipe_sizes.hpp"
#include "model/position.hpp"
#include "model/prices.hpp"

namespace evenhead::solver {
namespace {

using model::PipeSize;

bool prices_pipe(const model::System& system) {
    return std::any_of(system.prices.begin(), system.prices.end(),
                       [](const model::Price& price) { return price.item.empty(); });
}

/// Cross section of the wall, m2.
std::optional<double> wall_area(const PipeSize& size) {
    const double bore = size.bore.value,
                 outside = std::isnan(size.outside) ? bore + 2 * size.wall : size.outside;
    if (!(outside > bore)) return std::nullopt;
    return std::numbers::pi / 4 * (outside * outside - bore * bore);
}

class Maker {
  public:
    Maker(const model::System& system, const model::Layout& layout, const SizingQuestion& question)
        : system_(system), question_(question) {
        problem_.system = system;
        problem_.layout = layout;
        problem_.may_grow = question.may_grow;
        problem_.basis = prices_pipe(system) && !question.price_list ? CostBasis::prices
                         : question.price_list                       ? CostBasis::price_list
                                                                     : CostBasis::volume;
    }

    SizingProblemOrIssues make() {
        problem_.open_of_pipe.assign(system_.pipes.size(), -1);
        for (std::size_t pipe = 0; pipe < system_.pipes.size(); ++pipe)
            if (wanted(system_.pipes[pipe])) open(static_cast<Index>(pipe));
        if (!issues_.empty()) return {{}, std::move(issues_)};
        if (!question_.may_grow) set_feeders();
        make_situations();
        for (std::size_t run = 0; run < system_.runs.size(); ++run)
            problem_.runs.push_back(static_cast<Index>(run));
        problem_.ordered = ordered();
        return {std::move(problem_), {}};
    }

  private:
    bool wanted(const model::Pipe& pipe) const {
        return pipe.size->given_unknown || (question_.all && !pipe.size->kind.empty());
    }

    void miss(const model::Pipe& pipe, std::string text, std::string mend) {
        issues_.push_back({pipe.place, system_.pipe_id(pipe), std::move(text), std::move(mend)});
    }

    std::optional<double> unit_cost(const PipeSize& size) const {
        if (problem_.basis == CostBasis::volume) return wall_area(size);
        const auto price = model::pipe_price(system_, size.kind, size.nominal);
        const bool taken = price && (price->source == model::PriceSource::from_case ||
                                     problem_.basis == CostBasis::price_list);
        return taken ? std::optional(price->value) : std::nullopt;
    }

    bool hazen_williams() const { return system_.friction == model::FrictionLaw::hazen_williams; }
    /// What the balance needs of a size beside its bore.
    bool has_friction(const PipeSize& size) const {
        return (hazen_williams() ? size.c : size.roughness).known();
    }

    void open(Index index) {
        const model::Pipe& pipe = system_.pipes[at(index)];
        const PipeSize& given = *pipe.size;
        if (given.kind.empty())
            return miss(pipe, "its size is \"?\" of no kind, and the kind is not for sizing to choose",
                        "write the kind before it, such as size = \"pvc-cl200 ?\"");
        if (!pipe.length.known())
            return miss(pipe, "its length is not known (\"?\"), and without it nothing can be sized",
                        "give the length");
        const std::vector<PipeSize> sizes = model::sizes_of(system_, given.kind);
        if (sizes.empty())
            return miss(pipe, "no size of " + given.kind + " has a known bore, so there is none to choose",
                        "give a bore in kinds");
        // What a row of this size would say were it silent: of a "?" the first size in the order of the case.
        const PipeSize* usual = &sizes.front();
        for (const model::CustomSize& own : system_.kinds) {
            if (own.size.kind != given.kind) continue;
            usual = &own.size;
            break;
        }
        PipeSize silent = *usual;
        if (given.given_unknown) {
            silent.rating.reset();
        } else {
            silent = model::usual_size(system_, given).value_or(silent);
        }
        OpenPipe made;
        made.pipe = index;
        bool any_friction = false;
        for (const PipeSize& size : sizes) {
            PipeSize choice = size;
            model::take_own_words(given, silent, choice);
            if (!has_friction(choice)) continue;
            any_friction = true;
            if (const auto cost = unit_cost(size))
                made.choices.push_back({choice, *cost * pipe.length.value});
        }
        if (!any_friction) {
            const std::string friction = hazen_williams() ? "C" : "roughness";
            return miss(
                pipe,
                "no size of " + given.kind + " has a known " + friction + ", so there is none to choose",
                "give the " + friction + " in kinds");
        }
        if (made.choices.empty()) {
            if (problem_.basis == CostBasis::volume)
                return miss(
                    pipe, "the walls of " + given.kind + " are not known, so its plastic cannot be compared",
                    "give prices (prices = [ { size = \"" + given.kind + " " + sizes.front().nominal +
                        "\", price = 1.2 }, ... ]), or od in kinds");
            return miss(pipe, "no size of " + given.kind + " has a price",
                        "add rows to prices, such as { size = \"" + given.kind + " " + sizes.front().nominal +
                            "\", price = 1.2 }; only sizes with a price are chosen");
        }
        problem_.open_of_pipe[at(index)] = static_cast<int>(problem_.open.size());
        problem_.system.pipes[at(index)].size = made.choices.front().size;
        problem_.open.push_back(std::move(made));
    }

    void set_feeders() {
        const std::vector<Index> feeders = find_feeders(system_, problem_.layout);
        for (OpenPipe& open : problem_.open) {
            const Index feeder = feeders[at(open.pipe)];
            if (feeder == model::none) continue;
            const bool same_zone = problem_.layout.pipe_on_mainline[at(open.pipe)] == 0;
            if (same_zone || problem_.open_of_pipe[at(feeder)] >= 0) open.feeder = feeder;
        }
    }

    void make_situations() {
        problem_.situations.push_back({model::none, problem_.system, problem_.layout});
        for (std::size_t c = 0; c < system_.conditions.size(); ++c) {
            model::System changed = model::under_condition(problem_.system, system_.conditions[c]);
            for (std::size_t point = 0; point < changed.points.size(); ++point)
                changed.points[point].elevation = model::Quantity{problem_.layout.elevation[point], 0};
            model::Layout layout = model::find_layout(changed);
            problem_.situations.push_back({static_cast<Index>(c), std::move(changed), std::move(layout)});
        }
    }

    bool ordered() const {
        for (std::size_t s = 0; s < problem_.situations.size(); ++s)
            for (std::size_t o = 0; o < problem_.open.size(); ++o)
                for (std::size_t c = 1; c < problem_.open[o].choices.size(); ++c) {
                    const auto smaller = problem_.size_in(s, o, static_cast<int>(c) - 1);
                    const auto larger = problem_.size_in(s, o, static_cast<int>(c));
                    const PipeSize &small = *smaller, &large = *larger;
                    if (hazen_williams()) {
                        const auto carries = [](const PipeSize& size) {
                            return size.c.value * std::pow(size.bore.value, 2.63);
                        };
                        if (!(carries(small) <= carries(large))) return false;
                    } else if (!(large.roughness.value / large.bore.value <=
                                 small.roughness.value / small.bore.value)) {
                        return false;
                    }
                }
        return true;
    }

    const model::System& system_;
    const SizingQuestion& question_;
    SizingProblem problem_;
    std::vector<model::Issue> issues_;
};

}  // namespace

int OpenPipe::cheapest() const {
    const auto least = std::min_element(
        choices.begin(), choices.end(),
        [](const SizingChoice& one, const SizingChoice& other) { return one.cost < other.cost; });
    return static_cast<int>(least - choices.begin());
}

bool concerns(const model::System& system, const model::Layout& layout, Index run, Index pipe) {
    if (layout.pipe_on_mainline[at(pipe)] != 0) return true;
    const auto& valves = system.runs[at(run)].valves;
    const auto zones = layout.zone_of_pipe[at(pipe)];
    return std::any_of(zones.begin(), zones.end(), [&](Index valve) {
        return std::find(valves.begin(), valves.end(), valve) != valves.end();
    });
}

bool exceeds(const PipeSize& pipe, const PipeSize& feeder) {
    const bool same_nominal = !pipe.nominal.empty() && pipe.nominal == feeder.nominal;
    return !same_nominal && pipe.bore.value > feeder.bore.value * (1 + 1e-9);
}

double SizingProblem::cost(const Design& design) const {
    double sum = 0;
    for (std::size_t o = 0; o < open.size(); ++o) sum += open[o].choices[at(design[o])].cost;
    return sum;
}

model::Shared<PipeSize> SizingProblem::size_in(std::size_t situation, std::size_t open_pipe,
                                               int choice) const {
    const model::Shared<PipeSize>& size = open[open_pipe].choices[at(choice)].size;
    const Index condition = situations[situation].condition;
    if (condition == model::none) return size;
    PipeSize changed = *size;
    model::change_size(changed, system.conditions[at(condition)]);
    return changed;
}

model::System SizingProblem::sized(std::size_t situation, const Design& design) const {
    model::System made = situations[situation].system;
    for (std::size_t o = 0; o < open.size(); ++o)
        made.pipes[at(open[o].pipe)].size = size_in(situation, o, design[o]);
    return made;
}

bool SizingProblem::telescopes(const Design& design) const {
    for (std::size_t o = 0; o < open.size(); ++o) {
        const Index feeder = open[o].feeder;
        if (feeder == model::none) continue;
        const int of = open_of_pipe[at(feeder)];
        const PipeSize& before =
            of >= 0 ? *open[at(of)].choices[at(design[at(of)])].size : *system.pipes[at(feeder)].size;
        if (exceeds(*open[o].choices[at(design[o])].size, before)) return false;
    }
    return true;
}

double SizingProblem::designs() const {
    double count = 1;
    for (const OpenPipe& pipe : open) count *= static_cast<double>(pipe.choices.size());
    return count;
}

SizingProblemOrIssues make_sizing_problem(const model::System& system, const model::Layout& layout,
                                          const SizingQuestion& question) {
    return Maker(system, layout, question).make();
}

}  // namespace evenhead::solver
