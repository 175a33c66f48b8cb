#include "solver/sizing/trial.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <utility>

#include "model/position.hpp"
#include "solver/rules/rule.hpp"
#include "solver/rules/velocity.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::solver {
namespace {

std::vector<TrialBasis::HeadLimits> head_limits(const model::System& system, const RuleBasis& rules) {
    std::vector<TrialBasis::HeadLimits> limits;
    const bool off = rules[RuleId::head_pressure].off,
               by_mean = rules[RuleId::zone_spread].base == model::Limit::Base::mean;
    for (std::size_t h = 0; h < system.heads.size(); ++h) {
        const auto head = static_cast<Index>(h);
        const model::Nozzle& nozzle = system.nozzles[at(system.heads[h].nozzle)];
        TrialBasis::HeadLimits of;
        of.least = off ? -infinity : wanted_pressure(system, head).value_or(-infinity);
        of.most = off ? infinity : allowed_pressure(system, head).value_or(infinity);
        constexpr double none = std::numeric_limits<double>::quiet_NaN();
        of.design = by_mean ? none : known(nozzle.design).value_or(none);
        of.constant_draw = nozzle.rows.size() == 1 && nozzle.exponent == 0;
        of.full_flow = nozzle.rows.front().value.value;
        limits.push_back(of);
    }
    return limits;
}

}  // namespace

TrialBasis::TrialBasis(const SizingProblem& of) : problem(of) {
    std::size_t most_choices = 1;
    for (const OpenPipe& open : problem.open) {
        most_choices = std::max(most_choices, open.choices.size());
        area.emplace_back();
        for (const SizingChoice& choice : open.choices) {
            const double bore = choice.size->bore.value;
            area.back().push_back(std::numbers::pi / 4 * bore * bore);
        }
    }
    for (const model::Pipe& pipe : problem.system.pipes) {
        const double bore = pipe.size->bore.value;
        fixed_area.push_back(std::numbers::pi / 4 * bore * bore);
    }
    pairs_of_open.resize(problem.open.size());
    for (std::size_t s = 0; s < problem.situations.size(); ++s) {
        const SizingProblem::Situation& situation = problem.situations[s];
        SituationBasis made;
        for (std::size_t c = 0; c < most_choices; ++c) {
            Design design;
            for (const OpenPipe& open : problem.open)
                design.push_back(static_cast<int>(std::min(c, open.choices.size() - 1)));
            const model::System sized = problem.sized(s, design);
            made.networks.push_back(build_network(sized, situation.layout));
            if (c == 0) {
                made.rules = prepare_rules(sized, situation.layout);
                made.heads = head_limits(sized, made.rules);
            }
        }
        if (s == 0) set_most_velocity(made.rules[RuleId::velocity]);
        for (const Index run : problem.runs) {
            const int pair = static_cast<int>(pairs.size());
            pairs.push_back({static_cast<int>(s), run});
            for (std::size_t o = 0; o < problem.open.size(); ++o)
                if (concerns(situation.system, situation.layout, run, problem.open[o].pipe))
                    pairs_of_open[o].push_back(pair);
        }
        situations.push_back(std::move(made));
    }
}

void TrialBasis::set_most_velocity(const RuleLimit& limit) {
    const auto most_in = [&](const model::PipeSize& size) {
        return limit.off ? infinity : solver::most_velocity(limit, size.material);
    };
    for (const OpenPipe& open : problem.open) {
        most_velocity.emplace_back();
        for (const SizingChoice& choice : open.choices) most_velocity.back().push_back(most_in(*choice.size));
    }
    for (const model::Pipe& pipe : problem.system.pipes) fixed_most_velocity.push_back(most_in(*pipe.size));
}

Trial::Trial(const TrialBasis& basis, Design design)
    : basis_(basis),
      design_(std::move(design)),
      area_(basis.fixed_area),
      most_velocity_(basis.fixed_most_velocity) {
    for (std::size_t s = 0; s < basis.situations.size(); ++s) {
        const SizingProblem::Situation& of = basis.problem.situations[s];
        Situation made;
        made.network = std::make_unique<Network>(build_network(of.system, of.layout));
        made.prepared = std::make_unique<Prepared>(prepare(*made.network));
        const std::size_t opens = basis.problem.open.size();
        made.place_of.assign(opens, -1);
        made.step_of.assign(opens, -1);
        const auto open_of = [&](int element) {
            const int pipe = element - made.network->first_pipe;
            return element >= made.network->first_pipe && element < made.network->first_device
                       ? basis.problem.open_of_pipe[at(pipe)]
                       : -1;
        };
        const Structure& structure = made.prepared->structure;
        for (std::size_t place = 0; place < structure.places(); ++place)
            if (const int open = open_of(structure.element[place]); open >= 0)
                made.place_of[at(open)] = static_cast<int>(place);
        for (std::size_t step = 0; step < structure.step_element.size(); ++step)
            if (const int open = open_of(structure.step_element[step]); open >= 0)
                made.step_of[at(open)] = static_cast<int>(step);
        made.balancer = std::make_unique<Balancer>(of.system, *made.network, *made.prepared);
        situations_.push_back(std::move(made));
        for (std::size_t o = 0; o < opens; ++o) write(situations_.back(), s, o);
    }
}

void Trial::write(Situation& to, std::size_t situation, std::size_t open_pipe) {
    const Network& from = basis_.situations[situation].networks[at(design_[open_pipe])];
    const std::size_t element = at(to.network->first_pipe + basis_.problem.open[open_pipe].pipe);
    to.network->elements[element].law = from.elements[element].law;
    const std::size_t pipe = at(basis_.problem.open[open_pipe].pipe), choice = at(design_[open_pipe]);
    area_[pipe] = basis_.area[open_pipe][choice];
    most_velocity_[pipe] = basis_.most_velocity[open_pipe][choice];
    const double r = to.network->power_r[element] = from.power_r[element];
    const double m = to.network->power_m[element] = from.power_m[element];
    Parameters& set = to.prepared->parameters;
    if (const int place = to.place_of[open_pipe]; place >= 0) {
        set.r[at(place)] = r;
        set.m[at(place)] = m;
    }
    if (const int step = to.step_of[open_pipe]; step >= 0 && !std::isnan(r)) {
        set.step_r[at(step)] = r;
        set.step_m[at(step)] = m;
        for (std::size_t i = at(step); i < set.step_r.size(); ++i) {
            set.r_before[i + 1] = set.r_before[i] + set.step_r[i];
            set.m_before[i + 1] = set.m_before[i] + set.step_m[i];
        }
    }
}

void Trial::set(std::size_t open_pipe, int choice) {
    if (design_[open_pipe] == choice) return;
    design_[open_pipe] = choice;
    for (std::size_t s = 0; s < situations_.size(); ++s) write(situations_[s], s, open_pipe);
}

void Trial::set(const Design& design) {
    for (std::size_t o = 0; o < design.size(); ++o) set(o, design[o]);
}

bool Trial::balance(int pair) {
    const RunPair& of = basis_.pairs[at(pair)];
    Situation& situation = situations_[at(of.situation)];
    const auto& valves = basis_.problem.situations[at(of.situation)].system.runs[at(of.run)].valves;
    ++balances_;
    const Closure closure = situation.balancer->solve(valves);
    balancer_ = situation.balancer.get();
    return !situation.balancer->failure() && closure.solved;
}

double Trial::head_pressure(std::size_t situation, Index head) const {
    const Network& net = *situations_[situation].network;
    const std::size_t e = at(net.first_head + head);
    const double D = state().height[at(net.elements[e].tail)] - net.elements[e].fixed_height;
    if (std::isnan(D)) return D;
    return net.head_laws[at(head)]->nozzle_pressure(D, state().flow[e]) / net.metres_per_pascal;
}

Judgement Trial::judge(int pair) {
    constexpr double no_solution = 1e3, least_base = 1e4;  // Pa: a limit near zero is measured by this
    Judgement judged;
    if (!balance(pair)) {
        judged.excess = judged.worst = no_solution;
        judged.subject = {ElementKind::run, basis_.pairs[at(pair)].run};
        return judged;
    }
    const RunPair& of = basis_.pairs[at(pair)];
    const SizingProblem::Situation& situation = basis_.problem.situations[at(of.situation)];
    const TrialBasis::SituationBasis& limits = basis_.situations[at(of.situation)];
    const Network& net = network(of.situation);
    const auto note = [&](double share, RuleId rule, ElementRef subject, bool upper) {
        judged.excess += share;
        if (share <= judged.worst) return;
        judged.worst = share;
        judged.rule = rule;
        judged.subject = subject;
        judged.upper = upper;
    };
    const std::vector<Index>& valves = situation.system.runs[at(of.run)].valves;
    const bool full_draws = !limits.rules[RuleId::short_flow].off;
    const auto judge_heads = [&](const std::vector<Index>& heads, Index valve) {
        double lowest = infinity, highest = -infinity, sum = 0, design = infinity;
        int count = 0;
        Index high = model::none;
        for (const Index head : heads) {
            const TrialBasis::HeadLimits& limit = limits.heads[at(head)];
            const double pressure = head_pressure(at(of.situation), head);
            const ElementRef subject{ElementKind::head, head};
            if (std::isnan(pressure)) continue;
            if (outside(pressure, limit.least, false, model::Dimension::pressure))
                note((limit.least - pressure) / std::max(limit.least, least_base), RuleId::head_pressure,
                     subject, false);
            if (outside(pressure, limit.most, true, model::Dimension::pressure))
                note((pressure - limit.most) / std::max(limit.most, least_base), RuleId::head_pressure,
                     subject, true);
            if (limit.constant_draw) {
                const double flow = state().flow[at(net.first_head + head)];
                if (full_draws && outside(flow, limit.full_flow, false, model::Dimension::flow))
                    note((limit.full_flow - flow) / limit.full_flow + std::max(0.0, -pressure) / least_base,
                         RuleId::short_flow, subject, false);
                continue;
            }
            lowest = std::min(lowest, pressure);
            if (pressure > highest) {
                highest = pressure;
                high = head;
            }
            sum += pressure;
            ++count;
            if (!std::isnan(limit.design)) design = std::min(design, limit.design);
        }
        const RuleLimit& spread = limits.rules[RuleId::zone_spread];
        if (valve == model::none || spread.off || count < 2) return;
        const double base = design < infinity ? design : sum / count;
        if (!(base > 0)) return;
        const double share = (highest - lowest) / base;
        if (outside(share, spread.value, true, model::Dimension::share))
            note(share - spread.value, RuleId::zone_spread, {ElementKind::head, high}, true);
    };
    judge_heads(situation.layout.heads_on_mainline, model::none);
    for (const Index valve : valves) judge_heads(situation.layout.zone_heads[at(valve)], valve);
    if (!limits.rules[RuleId::velocity].off) {
        for_each(state().elements, [&](int e) {
            const Index pipe = e - net.first_pipe;
            if (e < net.first_pipe || e >= net.first_device) return;
            const double here = std::abs(state().flow[at(e)]) / area_[at(pipe)],
                         most = most_velocity_[at(pipe)];
            if (here > most && outside(here, most, true, model::Dimension::velocity))
                note(here / most - 1, RuleId::velocity, {ElementKind::pipe, pipe}, true);
        });
    }
    return judged;
}

double Trial::excess(double most) {
    double sum = 0;
    for (std::size_t pair = 0; pair < basis_.pairs.size() && sum <= most; ++pair)
        sum += judge(static_cast<int>(pair)).excess;
    return sum;
}

bool Trial::passes() {
    return passes_rules(basis_.problem, design_);
}

double highest_height(const Network& net) {
    double highest = -infinity;
    for (int supply = 0; supply < net.first_pipe; ++supply)
        highest = std::max(highest, net.elements[at(supply)].fixed_height);
    for (int device = net.first_device; device < net.first_valve; ++device)
        highest += std::max(0.0, -net.elements[at(device)].law->losses(0).low);  // pumps
    return highest;
}

double height_in_lateral(const HeadLaw& law, double p) {
    if (p <= 0) return p;
    const double q = law.nozzle().flow(p);
    return p + law.joint_resistance() * q * q;
}

bool passes_rules(const SizingProblem& problem, const Design& design) {
    if (!problem.may_grow && !problem.telescopes(design)) return false;
    CheckOptions options;
    options.threads = 1;
    const bool all_runs = problem.runs.size() == problem.system.runs.size();
    const auto nothing = [](const RunResult&, const RunFindings&) {};
    for (std::size_t s = 0; s < problem.situations.size(); ++s) {
        const model::System sized = problem.sized(s, design);
        for (const Index run : problem.runs) {
            if (!all_runs) options.only_run = run;
            if (!check_runs(sized, problem.situations[s].layout, options, nothing).within_limits)
                return false;
            if (all_runs) break;
        }
    }
    return true;
}

}  // namespace evenhead::solver
