#include "solver/balance/link_solver.hpp"
#include "model/position.hpp"

#include <algorithm>
#include <cmath>

namespace evenhead::solver {
namespace {

constexpr int no_element = -1;
constexpr double most_height = 1e12;  // m: an iteration that ran further away is nothing to start from

double nominal_flow_of_all(const Network& network, const State& state) {
    double total = 1e-5;  // m3/s: a floor, so that slopes and shares of it stay ordinary numbers
    for (std::size_t head = 0; head < network.nominal_flow.size(); ++head) {
        if (state.active[at(network.first_head) + head]) total += network.nominal_flow[head];
    }
    return total;
}

}  // namespace

// The level slope takes at most 3e-10 m at the nominal flow of everything: below the 1e-9 m that no loss may
// move by, and well above the last digits of heights.
LinkSolver::LinkSolver(const Network& network, State& state, bool record_steps)
    : network_(network),
      state_(state),
      record_steps_(record_steps),
      scratch_(network.node_elevation.size(), -1),
      feeds_(network.elements.size()),
      nominal_flow_(nominal_flow_of_all(network, state)) {
    scale_to(nominal_flow_);
}

void LinkSolver::scale_to(double total_flow) {
    total_flow_ = total_flow;
    level_slope_ = level_share / total_flow;
}

void LinkSolver::add_element(int element, Links& links) const {
    const Element& of = network_.elements[at(element)];
    if (!state_.active[at(element)]) return;
    Link link{element, of.tail, of.head, of.fixed_height, of.law};
    if (element >= network_.first_head) {
        link.nominal = std::max(network_.nominal_flow[at(element - network_.first_head)], 1e-12);
    }
    links.all.push_back(link);
}

void LinkSolver::add_open(int regulator, Links& links) const {
    const Element& of = network_.elements[at(regulator)];
    links.all.push_back({regulator, of.tail, of.head, 0, of.law});
}

void LinkSolver::add_holding(int regulator, double nominal, bool loops, Links& links) const {
    const Element& of = network_.elements[at(regulator)];
    const int outlet = static_cast<int>(links.all.size());
    links.all.push_back({no_element, fixed, of.head, of.held_height, &lossless_});
    links.all.push_back(
        {regulator, of.tail, fixed, of.held_height, of.law, infinity, std::max(nominal, 1e-12)});
    links.feeds.push_back({outlet, outlet + 1, loops});
}

bool LinkSolver::draws_all(int regulator, Precision precision) const {
    const double share = precision == Precision::full ? 1e-10 : 1e-3;
    return state_.flow[at(regulator)] >= feeds_[at(regulator)].most * (1 - share) - 1e-15;
}

bool LinkSolver::solve(Links links, Precision precision, bool warm) {
    const std::vector<Feed> feeds = links.feeds;
    scale_to(nominal_flow_);
    reduction_ = reduce(std::move(links), level_slope_, scratch_);
    NewtonStart start;
    bool from_start = warm && start_from_state(start);
    for (;;) {
        result_ =
            solve_chains(reduction_, total_flow_, level_slope_, precision, from_start ? &start : nullptr);
        report_.solves += result_.solves;
        note_steps();
        const double largest = largest_flow(result_.flow);
        // Beyond the most flow nothing but the level slope lies between two held heights: the states of the
        // regulators are wrong, and the flow's sign says which way.
        if (!(largest > outgrown * total_flow_) || largest > most_flow) break;
        if (!result_.converged && precision == Precision::hasty) break;
        // Supplies that feed each other may pass far more than the heads draw: the level slope was too steep.
        scale_to(largest);
        reduction_ = reduce({std::move(reduction_.links), feeds}, level_slope_, scratch_);
        start = {std::move(result_.height), std::move(result_.flow)};
        from_start = true;
    }
    stop_trickles();
    note_feeds(feeds);
    for (const Link& link : reduction_.links) {
        if (link.element != no_element) state_.flow[at(link.element)] = 0;
    }
    for (std::size_t b = 0; b < reduction_.branch_node.size(); ++b) {
        state_.height[at(reduction_.branch_node[b])] = result_.height[b];
    }
    for (std::size_t c = 0; c < reduction_.chains.size(); ++c) write_chain(c, result_.flow[c]);
    if (!result_.converged && precision == Precision::full) note_failure();
    return result_.converged;
}

// Where chains stand still that could carry water (a one-way element shuts), rounding leaves a trickle in
// rings that nothing flows through.
void LinkSolver::stop_trickles() {
    std::vector<char> open;
    for (const double flow : result_.flow) open.push_back(flow != 0);
    if (std::find(open.begin(), open.end(), 0) == open.end()) return;
    const std::vector<char> carries = chains_that_carry(reduction_, open);
    for (std::size_t c = 0; c < carries.size(); ++c) {
        if (!carries[c]) result_.flow[c] = 0;
    }
}

// The links that draw end at what they were found to draw.
void LinkSolver::note_feeds(const std::vector<Feed>& feeds) {
    for (std::size_t f = 0; f < feeds.size(); ++f) {
        Link& inlet = reduction_.links[at(feeds[f].inlet)];
        inlet.cap = result_.feeds[f].most;
        feeds_[at(inlet.element)] = result_.feeds[f];
    }
}

bool LinkSolver::start_from_state(NewtonStart& start) const {
    for (const int node : reduction_.branch_node) {
        start.height.push_back(state_.height[at(node)]);
        if (!(std::abs(start.height.back()) < most_height)) return false;
    }
    for (const Chain& chain : reduction_.chains) {
        double flow = chain.nominal;
        for (int i = chain.first; i < chain.last; ++i) {
            const ChainStep& step = reduction_.steps[at(i)];
            const int element = reduction_.links[at(step.link)].element;
            if (element == no_element) continue;
            flow = step.reversed ? -state_.flow[at(element)] : state_.flow[at(element)];
            break;
        }
        start.flow.push_back(flow);
    }
    return true;
}

// Flows of a chain's links and the heights of its inner nodes: forward from its start, and from a law that
// stands upright at this flow (it takes whatever is left) backward from its end.
void LinkSolver::write_chain(std::size_t c, double q) {
    const Chain& chain = reduction_.chains[c];
    const auto link_of = [&](int i) -> const Link& {
        return reduction_.links[at(reduction_.steps[at(i)].link)];
    };
    const auto reversed = [&](int i) { return reduction_.steps[at(i)].reversed; };
    const auto own_flow = [&](int i) { return reversed(i) && q != 0 ? -q : q; };
    const auto start_node = [&](int i) { return reversed(i) ? link_of(i).head : link_of(i).tail; };
    const auto taken = [&](int i) {
        return reversed(i) ? -link_of(i).law->loss(-q) : link_of(i).law->loss(q);
    };
    const auto upright = [&](int i) {
        const LossRange range = link_of(i).law->losses(own_flow(i));
        return own_flow(i) >= link_of(i).cap || range.high > range.low;
    };
    for (int i = chain.first; i < chain.last; ++i) {
        if (link_of(i).element != no_element) state_.flow[at(link_of(i).element)] = own_flow(i);
    }
    if (q == 0) return;  // still water: see spread_still_heights
    double height = chain.from == fixed ? chain.from_height : result_.height[at(chain.from)];
    int i = chain.first;
    for (; i + 1 < chain.last && !upright(i); ++i) {
        height -= taken(i);
        state_.height[at(start_node(i + 1))] = height;
    }
    height = chain.to == fixed ? chain.to_height : result_.height[at(chain.to)];
    for (int j = chain.last - 1; j > i; --j) {
        height += taken(j);
        state_.height[at(start_node(j))] = height;
    }
}

void LinkSolver::note_steps() {
    if (!record_steps_) return;
    for (const NewtonStep& step : result_.steps) {
        Step out;
        out.number = static_cast<int>(report_.steps.size()) + 1;
        out.mismatch = step.mismatch / network_.metres_per_pascal;
        out.length = step.length;
        if (step.chain >= 0) out.where = chain_ref(step.chain);
        report_.steps.push_back(out);
    }
}

ElementRef LinkSolver::chain_ref(int chain) const {
    for (int i = reduction_.chains[at(chain)].first; i < reduction_.chains[at(chain)].last; ++i) {
        const int element = reduction_.links[at(reduction_.steps[at(i)].link)].element;
        if (element != no_element) return network_.elements[at(element)].ref;
    }
    return {};
}

void LinkSolver::note_failure() {
    if (report_.failure) return;
    const int worst = result_.steps.empty() ? -1 : result_.steps.back().chain;
    report_.failure = not_converged("The iteration stopped before pressures and flows agreed.",
                                    worst < 0 ? ElementRef{} : chain_ref(worst),
                                    result_.mismatch / network_.metres_per_pascal, mismatch_limit);
}

Failure not_converged(const char* text, const ElementRef& where, double mismatch, double limit) {
    Failure failure;
    failure.kind = "not-converged";
    failure.text = text;
    failure.cause =
        "Pipes, valves or nozzles of extreme size next to each other, or an error in the program.";
    failure.remedy =
        "Check the elements named for slips in bore, length or loss; if they are right, report the case.";
    failure.elements.push_back(where);
    failure.points.push_back({where, mismatch, limit, model::Dimension::pressure});
    return failure;
}

}  // namespace evenhead::solver
