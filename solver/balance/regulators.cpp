// Regulating valves: parts of the network that they divide, and which of them hold their set pressure.
//
// Take the regulators away and the network falls into parts. Let regulator r be the only way into part V, and
// the same be true of every regulator that leads on from V. Held at its set height, V and what lies beyond
// draw a flow c_r that depends on nothing upstream. With less height V draws less, since every law rises. So
// r and V together are one rising curve: seen from upstream, r is its own loss law with a most flow c_r.
// Hence the order of work, leaves first:
//   1. solve V with r's outlet fixed at its set height: c_r;
//   2. solve the part upstream with r drawing c_r against the set height. It may find that the height does
//   not suffice,
//      q < c_r: then r cannot hold, and V joins the part upstream as it is, r open.
// In step 2 a regulator that draws against its set height takes less than it would open (its outlet would
// sink), so heights upstream are never underestimated: a regulator found wanting stays wanting when others
// join as well. Joining is for good, and the passes end after at most one for each regulator.
//
// Regulators that share a downstream part, or lead back upstream, have no such order. Their states (open,
// holding, shut) are tried: from all open, those that break their condition change state, one at a time where
// a set of states comes back. For few of them every set is tried in the end, and where more than one gives a
// different answer, there is more than one balance, and none is printed.
#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <set>

#include "solver/balance/balance.hpp"
#include "solver/balance/newton.hpp"
#include "solver/balance/reduction.hpp"

namespace evenhead::solver {
namespace {

std::size_t at(int i) {
    return static_cast<std::size_t>(i);
}

constexpr double height_tolerance = 1e-7;  // m: a regulator's condition counts as met within this
constexpr int most_tried = 5;              // shared regulators whose states are all tried: 3^5 sets

enum class Mode { open, holding, shut };

class Solver {
  public:
    Solver(const Network& network, State& state, bool record_steps)
        : net_(network), state_(state), record_(record_steps), scratch_(network.node_elevation.size(), -1) {
        double total = 1e-5;
        for (std::size_t h = 0; h < network.nominal_flow.size(); ++h) {
            if (state.active[at(network.first_head) + h]) total += network.nominal_flow[h];
        }
        total_flow_ = total;
        level_slope_ = 3e-10 / total;
        lossless_ = std::make_unique<PowerLaw>(0.0, 0.0, false);
    }

    SolveReport run() {
        divide();
        if (regulators_.empty()) {
            std::vector<Link> links;
            for (std::size_t e = 0; e < net_.elements.size(); ++e) add_element(static_cast<int>(e), links);
            solve(std::move(links));
        } else {
            for (const int r : regulators_) {
                if (owns_part_[at(r)] && !solved_[at(part_below(r))]) solve_owned(r);
            }
            solve_top();
        }
        return std::move(report_);
    }

  private:
    // ---- parts
    // ------------------------------------------------------------------------------------------------

    int part_above(int r) const { return part_[at(net_.elements[at(r)].tail)]; }
    int part_below(int r) const { return part_[at(net_.elements[at(r)].head)]; }

    void divide() {
        for (std::size_t e = 0; e < net_.elements.size(); ++e) {
            if (state_.active[e] && net_.elements[e].regulates()) regulators_.push_back(static_cast<int>(e));
        }
        if (regulators_.empty()) return;
        std::vector<int> root(net_.node_elevation.size());
        std::iota(root.begin(), root.end(), 0);
        const auto find = [&](int node) {
            while (root[at(node)] != node) node = root[at(node)] = root[at(root[at(node)])];
            return node;
        };
        for (std::size_t e = 0; e < net_.elements.size(); ++e) {
            const Element& of = net_.elements[e];
            if (!state_.active[e] || of.regulates() || of.tail == fixed || of.head == fixed) continue;
            root[at(find(of.tail))] = find(of.head);
        }
        part_.assign(root.size(), -1);
        int parts = 0;
        std::vector<int> number(root.size(), -1);
        for (std::size_t node = 0; node < root.size(); ++node) {
            int& of = number[at(find(static_cast<int>(node)))];
            if (of < 0) of = parts++;
            part_[node] = of;
        }
        elements_of_.resize(at(parts));
        leading_on_.resize(at(parts));
        solved_.assign(at(parts), 0);
        std::vector<char> supplied(at(parts), 0);
        std::vector<int> feeders(at(parts), 0);
        for (std::size_t e = 0; e < net_.elements.size(); ++e) {
            const Element& of = net_.elements[e];
            if (!state_.active[e]) continue;
            if (of.regulates()) {
                leading_on_[at(part_[at(of.tail)])].push_back(static_cast<int>(e));
                ++feeders[at(part_[at(of.head)])];
            } else {
                const int part = part_[at(of.tail == fixed ? of.head : of.tail)];
                elements_of_[at(part)].push_back(static_cast<int>(e));
                if (of.tail == fixed) supplied[at(part)] = 1;
            }
        }
        // owned: one feeder, no supply, and every regulator that leads on owns its part as well. Found from
        // the leaves.
        owned_.assign(at(parts), 0);
        std::vector<int> waiting(at(parts), 0), ready;
        std::vector<char> plain(at(parts), 0);
        for (int part = 0; part < parts; ++part) {
            plain[at(part)] = !supplied[at(part)] && feeders[at(part)] == 1;
            waiting[at(part)] = static_cast<int>(leading_on_[at(part)].size());
            if (plain[at(part)] && waiting[at(part)] == 0) ready.push_back(part);
        }
        std::vector<int> feeder(at(parts), -1);
        for (const int r : regulators_) feeder[at(part_below(r))] = r;
        for (std::size_t i = 0; i < ready.size(); ++i) {
            owned_[at(ready[i])] = 1;
            const int above = part_above(feeder[at(ready[i])]);
            if (--waiting[at(above)] == 0 && plain[at(above)]) ready.push_back(above);
        }
        owns_part_.assign(net_.elements.size(), 0);
        cap_.assign(net_.elements.size(), 0.0);
        for (const int r : regulators_) {
            owns_part_[at(r)] = owned_[at(part_below(r))];
            if (!owns_part_[at(r)]) shared_.push_back(r);
        }
    }

    // ---- links
    // ------------------------------------------------------------------------------------------------

    void add_element(int e, std::vector<Link>& links) const {
        const Element& of = net_.elements[at(e)];
        if (!state_.active[at(e)]) return;
        Link link{e, of.tail, of.head, of.fixed_height, of.law};
        if (e >= net_.first_head) link.nominal = std::max(net_.nominal_flow[at(e - net_.first_head)], 1e-12);
        links.push_back(link);
    }

    // A regulator that draws at most `cap` against its set height: held, as the part upstream sees it.
    void add_held(int r, double cap, std::vector<Link>& links) const {
        if (cap <= 0) return;
        const Element& of = net_.elements[at(r)];
        links.push_back({r, of.tail, fixed, of.held_height, of.law, cap, cap});
    }

    void add_open(int r, std::vector<Link>& links) const {
        const Element& of = net_.elements[at(r)];
        links.push_back({r, of.tail, of.head, 0, of.law, infinity, 0});
    }

    // The outlet of a regulator at its set height.
    void add_outlet(int r, std::vector<Link>& links) const {
        const Element& of = net_.elements[at(r)];
        links.push_back({none, fixed, of.head, of.held_height, lossless_.get(), infinity, 0});
    }
    static constexpr int none = -1;

    // ---- one solve
    // --------------------------------------------------------------------------------------------

    struct Solved {
        Reduction reduction;
        NewtonResult result;
        std::vector<double> link_flow;
    };

    // Solves the links and writes heights and flows of their nodes and elements. False: no convergence
    // (reported).
    bool solve(std::vector<Link> links) {
        last_.reduction = reduce(std::move(links), level_slope_, scratch_);
        const Reduction& red = last_.reduction;
        NewtonResult& result = last_.result;
        result = solve_chains(red, total_flow_, level_slope_);
        report_.solves += result.solves;
        note_steps(red, result);
        last_.link_flow.assign(red.links.size(), 0.0);
        for (const Link& link : red.links) {
            if (link.element != none) state_.flow[at(link.element)] = 0;
        }
        for (std::size_t b = 0; b < red.branch_node.size(); ++b)
            state_.height[at(red.branch_node[b])] = result.height[b];
        for (std::size_t c = 0; c < red.chains.size(); ++c)
            write_chain(red, static_cast<int>(c), result.flow[c]);
        if (!result.converged) report_not_converged(red, result);
        return result.converged;
    }

    // Flows of a chain's links and the heights of its inner nodes: forward from its start, and from where the
    // flow stands at the end of a law's domain (an upright part takes what is left) backward from its end.
    void write_chain(const Reduction& red, int c, double q) {
        const Chain& chain = red.chains[at(c)];
        const auto step_low_node = [&](const ChainStep& step) {
            const Link& link = red.links[at(step.link)];
            return step.reversed ? link.head : link.tail;
        };
        const auto taken = [&](const ChainStep& step) {
            const Link& link = red.links[at(step.link)];
            return step.reversed ? -link.law->loss(-q) : link.law->loss(q);
        };
        const auto upright = [&](const ChainStep& step) {
            const Link& link = red.links[at(step.link)];
            const double own = step.reversed ? -q : q;
            const LossRange taken_range = link.law->losses(own);
            return own >= link.cap || taken_range.high > taken_range.low;
        };
        double height = chain.from == fixed ? chain.from_height : last_.result.height[at(chain.from)];
        int i = chain.first;
        for (; i < chain.last; ++i) {
            const ChainStep& step = red.steps[at(i)];
            last_.link_flow[at(step.link)] = step.reversed ? -q : q;
            const int element = red.links[at(step.link)].element;
            if (element != none) state_.flow[at(element)] = step.reversed ? -q : q;
        }
        if (q == 0) return;
        for (i = chain.first; i + 1 < chain.last && !upright(red.steps[at(i)]); ++i) {
            height -= taken(red.steps[at(i)]);
            state_.height[at(step_low_node(red.steps[at(i + 1)]))] = height;
        }
        height = chain.to == fixed ? chain.to_height : last_.result.height[at(chain.to)];
        for (int j = chain.last - 1; j > i; --j) {
            height += taken(red.steps[at(j)]);
            state_.height[at(step_low_node(red.steps[at(j)]))] = height;
        }
    }

    void note_steps(const Reduction& red, const NewtonResult& result) {
        if (!record_) return;
        for (const NewtonStep& step : result.steps) {
            Step out;
            out.number = static_cast<int>(report_.steps.size()) + 1;
            out.mismatch = step.mismatch / net_.metres_per_pascal;
            out.length = step.length;
            if (step.chain >= 0) out.where = chain_ref(red, step.chain);
            report_.steps.push_back(out);
        }
    }

    ElementRef chain_ref(const Reduction& red, int c) const {
        for (int i = red.chains[at(c)].first; i < red.chains[at(c)].last; ++i) {
            const int element = red.links[at(red.steps[at(i)].link)].element;
            if (element != none) return net_.elements[at(element)].ref;
        }
        return {};
    }

    void report_not_converged(const Reduction& red, const NewtonResult& result) {
        if (report_.failure) return;
        Failure failure;
        failure.kind = "not-converged";
        failure.text = "The iteration stopped before pressures and flows agreed.";
        failure.cause =
            "Pipes, valves or nozzles of extreme size next to each other, or an error in the program.";
        failure.remedy =
            "Check the elements named for slips in bore, length or loss; if they are right, report the case.";
        if (!result.steps.empty() && result.steps.back().chain >= 0) {
            const ElementRef where = chain_ref(red, result.steps.back().chain);
            failure.elements.push_back(where);
            failure.points.push_back(
                {where, result.mismatch / net_.metres_per_pascal, 0.0068947573, model::Dimension::pressure});
        }
        report_.failure = std::move(failure);
    }

    // ---- owned parts
    // ------------------------------------------------------------------------------------------

    // Regulators that lead on from these parts: held ones draw their cap, joined ones are open.
    void add_parts(const std::vector<int>& parts, const std::set<int>& joined,
                   std::vector<Link>& links) const {
        for (const int part : parts) {
            for (const int e : elements_of_[at(part)]) add_element(e, links);
            for (const int r : leading_on_[at(part)]) {
                if (!owns_part_[at(r)]) continue;
                if (joined.count(r))
                    add_open(r, links);
                else
                    add_held(r, cap_[at(r)], links);
            }
        }
    }

    // Solves parts with what `more` adds, joining owned parts whose regulators cannot hold, until none is
    // left wanting.
    template <class More>
    bool solve_joining(std::vector<int> parts, const More& more) {
        std::set<int> joined;
        for (;;) {
            std::vector<Link> links;
            add_parts(parts, joined, links);
            more(links);
            if (!solve(std::move(links))) return false;
            bool grown = false;
            for (std::size_t i = 0; i < parts.size(); ++i) {
                for (const int r : leading_on_[at(parts[i])]) {
                    if (!owns_part_[at(r)] || joined.count(r) || cap_[at(r)] <= 0) continue;
                    if (holds(r)) continue;
                    joined.insert(r);
                    parts.push_back(part_below(r));
                    grown = true;
                }
            }
            if (grown) continue;
            for (const int part : parts) {
                for (const int r : leading_on_[at(part)]) {
                    if (owns_part_[at(r)] && !joined.count(r)) restore(r);
                }
            }
            return true;
        }
    }

    // What an owned part looks like while its regulator holds: a later solve may have joined it and written
    // over it.
    struct Snapshot {
        std::vector<std::pair<int, double>> heights, flows;
        std::vector<int> held;  // regulators that lead on and hold
    };

    Snapshot take_snapshot() const {
        Snapshot snapshot;
        for (const Link& link : last_.reduction.links) {
            if (link.element == none) continue;
            snapshot.flows.emplace_back(link.element, state_.flow[at(link.element)]);
            for (const int node : {link.tail, link.head}) {
                if (node != fixed) snapshot.heights.emplace_back(node, state_.height[at(node)]);
            }
            if (net_.elements[at(link.element)].regulates() && link.head == fixed)
                snapshot.held.push_back(link.element);
        }
        return snapshot;
    }

    void restore(int r) {
        std::vector<int> stack{r};
        while (!stack.empty()) {
            const auto found = snapshots_.find(stack.back());
            stack.pop_back();
            if (found == snapshots_.end()) continue;
            for (const auto& [node, height] : found->second.heights) state_.height[at(node)] = height;
            for (const auto& [element, flow] : found->second.flows) state_.flow[at(element)] = flow;
            stack.insert(stack.end(), found->second.held.begin(), found->second.held.end());
        }
    }

    // The held regulator draws all that its part wants.
    bool holds(int r) const { return state_.flow[at(r)] >= cap_[at(r)] * (1 - 1e-12) - 1e-18; }

    void solve_owned(int r) {
        // Leaves first, without recursion: a regulator is solved once all that lead on from its part are.
        std::vector<int> stack{r};
        while (!stack.empty()) {
            const int now = stack.back();
            bool ready = true;
            for (const int next : leading_on_[at(part_below(now))]) {
                if (solved_[at(part_below(next))]) continue;
                stack.push_back(next);
                ready = false;
            }
            if (!ready) continue;
            stack.pop_back();
            const int part = part_below(now);
            if (solved_[at(part)]) continue;
            solved_[at(part)] = 1;
            solve_joining({part}, [&](std::vector<Link>& links) { add_outlet(now, links); });
            cap_[at(now)] = outlet_flow(now);
            snapshots_[now] = take_snapshot();
        }
    }

    // What the fixed outlet of r fed into the network in the last solve.
    double outlet_flow(int r) const {
        const std::vector<Link>& links = last_.reduction.links;
        for (std::size_t l = links.size(); l-- > 0;) {
            if (links[l].element == none && links[l].head == net_.elements[at(r)].head)
                return last_.link_flow[l];
        }
        return 0;
    }

    // ---- the top, with shared regulators
    // ------------------------------------------------------------------------

    void solve_top() {
        for (std::size_t part = 0; part < owned_.size(); ++part) {
            if (!owned_[part] && !(elements_of_[part].empty() && leading_on_[part].empty()))
                top_.push_back(static_cast<int>(part));
        }
        if (shared_.empty()) {
            solve_joining(top_, [](std::vector<Link>&) {});
            return;
        }
        solve_shared();
    }

    // Solves with the shared regulators in given modes. What a holding one passes is what its outlet feeds
    // on, which may depend on what it draws: repeated until both agree.
    bool solve_modes(const std::vector<Mode>& modes) {
        std::vector<double> draw(shared_.size(), 0.0);
        for (int pass = 0; pass < 60; ++pass) {
            for (const int r : shared_) state_.flow[at(r)] = 0;  // where no link stands for it
            const bool solved = solve_joining(top_, [&](std::vector<Link>& links) {
                for (std::size_t i = 0; i < shared_.size(); ++i) {
                    if (modes[i] == Mode::open) add_open(shared_[i], links);
                    if (modes[i] == Mode::holding) {
                        add_outlet(shared_[i], links);
                        add_held(shared_[i], draw[i], links);
                    }
                }
            });
            if (!solved) return false;
            double change = 0, scale = 1e-9;
            std::vector<double> drawn(shared_.size(), 0.0);
            for (std::size_t i = 0; i < shared_.size(); ++i) {
                if (modes[i] != Mode::holding) continue;
                drawn[i] = state_.flow[at(shared_[i])];
                const double next = outlet_flow(shared_[i]);
                change = std::max(change, std::abs(next - draw[i]));
                scale = std::max(scale, std::abs(next));
                draw[i] = next;
            }
            if (change <= 1e-13 * scale) {
                draw_ = draw;
                drawn_ = drawn;
                return true;
            }
        }
        return false;
    }

    // Whether regulator i keeps the condition of its mode in the last solve; `instead` says what it should
    // be.
    bool keeps(std::size_t i, Mode mode, Mode& instead) const {
        const Element& of = net_.elements[at(shared_[i])];
        const double inlet = still_aware_height(of.tail), outlet = still_aware_height(of.head);
        const double possible = std::min(inlet - of.law->losses(0).high, of.held_height);
        switch (mode) {
            case Mode::open:
                if (outlet > of.held_height + height_tolerance) {
                    instead = Mode::holding;
                    return false;
                }
                return true;
            case Mode::holding:
                if (draw_[i] < -1e-15) {
                    instead = Mode::shut;
                    return false;
                }
                if (drawn_[i] < draw_[i] * (1 - 1e-12) - 1e-18) {
                    instead = Mode::open;
                    return false;
                }
                return true;
            case Mode::shut:
                if (outlet < possible - height_tolerance) {
                    instead = inlet - of.law->losses(0).high >= of.held_height ? Mode::holding : Mode::open;
                    return false;
                }
                return true;
        }
        return true;
    }

    double still_aware_height(int node) const {
        const double height = spread_.height[at(node)];
        return std::isnan(height) ? -1e9 : height;
    }

    bool consistent(const std::vector<Mode>& modes, std::vector<std::pair<std::size_t, Mode>>& wrong) {
        wrong.clear();
        if (!solve_modes(modes)) return false;
        spread_ = state_;
        for (std::size_t i = 0; i < shared_.size(); ++i) {
            // A holding regulator's element carries its draw for the spread; a shut one is closed.
            if (modes[i] == Mode::shut) spread_.active[at(shared_[i])] = 0;
        }
        spread_still_heights(net_, spread_);
        for (std::size_t i = 0; i < shared_.size(); ++i) {
            Mode instead{};
            if (!keeps(i, modes[i], instead)) wrong.emplace_back(i, instead);
        }
        return wrong.empty();
    }

    void solve_shared() {
        std::vector<Mode> modes(shared_.size(), Mode::open);
        std::set<std::vector<Mode>> visited;
        std::vector<std::pair<std::size_t, Mode>> wrong;
        bool found = false;
        for (int pass = 0; pass < 60 && !found; ++pass) {
            found = consistent(modes, wrong);
            if (found || report_.failure || wrong.empty()) break;
            const bool again = !visited.insert(modes).second;
            for (std::size_t w = 0; w < (again ? 1 : wrong.size()); ++w)
                modes[wrong[w].first] = wrong[w].second;
            if (again && visited.count(modes)) break;
        }
        const int solves = report_.solves;
        if (shared_.size() <= most_tried) found = try_all_modes(found, modes);
        report_.solves = solves;
        if (!found && !report_.failure)
            report_regulators("contradiction", "No set of their states satisfies all of them.");
    }

    // Every set of states: true where exactly one answer satisfies everything (and is then in `state_`).
    bool try_all_modes(bool found, const std::vector<Mode>& first) {
        State answer = state_;
        std::size_t sets = 1;
        for (std::size_t i = 0; i < shared_.size(); ++i) sets *= 3;
        std::vector<std::pair<std::size_t, Mode>> wrong;
        const auto saved = report_.failure;
        const bool record = record_;
        record_ = false;
        for (std::size_t set = 0; set < sets; ++set) {
            std::vector<Mode> modes;
            for (std::size_t i = 0, rest = set; i < shared_.size(); ++i, rest /= 3)
                modes.push_back(static_cast<Mode>(rest % 3));
            if (found && modes == first) continue;
            report_.failure.reset();
            if (!consistent(modes, wrong)) continue;
            if (!found) {
                found = true;
                answer = state_;
            } else if (differ(answer, state_)) {
                report_.failure.reset();
                report_regulators("several-states",
                                  "More than one set of their states satisfies everything.");
                break;
            }
        }
        if (!report_.failure || report_.failure->kind != "several-states") report_.failure = saved;
        if (found)
            report_.failure =
                report_.failure && report_.failure->kind == "several-states" ? report_.failure : std::nullopt;
        record_ = record;
        state_ = std::move(answer);
        return found;
    }

    bool differ(const State& a, const State& b) const {
        for (std::size_t e = 0; e < a.flow.size(); ++e) {
            if (std::abs(a.flow[e] - b.flow[e]) > 1e-6 * total_flow_) return true;
        }
        return false;
    }

    void report_regulators(const char* kind, const char* text) {
        Failure failure;
        failure.kind = kind;
        for (const int r : shared_) {
            failure.elements.push_back(net_.elements[at(r)].ref);
            Failure::Worst worst;
            worst.at = net_.elements[at(r)].ref;
            const double elevation = net_.node_elevation[at(net_.elements[at(r)].head)];
            worst.value = (state_.height[at(net_.elements[at(r)].head)] - elevation) / net_.metres_per_pascal;
            worst.limit = (net_.elements[at(r)].held_height - elevation) / net_.metres_per_pascal;
            worst.dimension = model::Dimension::pressure;
            failure.points.push_back(worst);
        }
        failure.text =
            std::string("These regulators feed the same part of the system or each other. ") + text;
        failure.cause = "Pressures set at different regulators of one part work against each other.";
        failure.remedy =
            "Let one regulator feed each part, or set them apart by more than the losses between them.";
        report_.failure = std::move(failure);
    }

    const Network& net_;
    State& state_;
    bool record_;
    std::vector<int> scratch_;
    double total_flow_ = 0, level_slope_ = 0;
    std::unique_ptr<Law> lossless_;
    SolveReport report_;
    Solved last_;
    std::vector<int> regulators_, shared_, part_, top_;
    std::vector<std::vector<int>> elements_of_, leading_on_;  // by part: elements, regulators
    std::vector<char> owned_, solved_, owns_part_;            // by part, by part, by element
    std::vector<double> cap_;                                 // by element: regulators
    std::vector<double> draw_, drawn_;                        // by shared regulator, in the last solve
    std::map<int, Snapshot> snapshots_;                       // by regulator that owns its part
    State spread_;
};

}  // namespace

SolveReport solve_state(const Network& network, State& state, bool record_steps) {
    return Solver(network, state, record_steps).run();
}

}  // namespace evenhead::solver
