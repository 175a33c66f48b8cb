// Branch and bound over boxes: for each open pipe a range of choices, from low to high.
//
// In a tree, the height at a node rises with the size of every pipe on its way from the root and falls with
// that of every other pipe (all laws rise: a larger pipe off the way lets more through, and what feeds both
// gives way). So over a box the lowest height at a node is where its way has the smallest and all else the
// largest choices, the highest where it is the other way round: two balances. From them:
//
// - a head whose highest pressure is below what it wants, or whose lowest is above what it may have, ends the
//   box;
// - no design of the box has its highest head of a zone below M, the largest of the lowest pressures, so
//   spread s wants every head of the zone at M - s B at least (B the base of the rule), or at M (1 - s) where
//   the base is the mean, which is never above the highest;
// - a pipe whose least flow is too fast for its smallest choice loses that choice, as one does that is larger
//   than the largest choice of its feeder (or smaller than the smallest of what it feeds).
//
// Then the relaxed problem (tree_labels.cpp) gives a bound, and designs to try: those that the rules pass are
// candidates. A box whose bound is the cost of its relaxed optimum, and that optimum passes, is finished;
// else it is parted at a pipe that the worst of what is outside limits hangs on. The box of least bound comes
// first; several at once are looked at in parallel, always the same ones.
#include "solver/sizing/tree_search.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <queue>

#include "model/position.hpp"
#include "solver/parallel.hpp"
#include "solver/rules/rule.hpp"
#include "solver/sizing/tree_labels.hpp"

namespace evenhead::solver {
namespace {

struct Box {
    std::vector<int> low, high;  // by open pipe
    double bound = 0;
    long order = 0;
};
struct Later {
    bool operator()(const Box& a, const Box& b) const {
        return a.bound != b.bound ? a.bound > b.bound : a.order > b.order;
    }
};

/// What came of a box.
struct Looked {
    double bound = infinity;
    std::optional<Found> found;
    std::vector<Box> parts;
};

class BoxWork {
  public:
    BoxWork(const TrialBasis& basis, const TreeZone& zone, const Design& start)
        : basis_(basis),
          problem_(basis.problem),
          zone_(zone),
          situation_(basis.pairs[at(zone.pair)].situation),
          limits_(basis.situations[at(situation_)]),
          trial_(basis, start),
          other_(start) {
        for (std::size_t v = 0; v < zone.nodes.size(); ++v)
            if (zone.nodes[v].open >= 0) node_of_open_[zone.nodes[v].open] = static_cast<int>(v);
        find_zones();
    }

    long balances() const { return trial_.balances(); }

    Looked look(const Box& given, double most) {
        Box box = given;
        Looked looked;
        TreeBox ranges;
        for (int round = 0; round < 3; ++round) {
            if (!tighten_telescoping(box)) return looked;
            if (!find_ranges(box, ranges)) return looked;
            bool changed = false;
            if (!tighten_velocity(box, ranges, changed)) return looked;
            if (!changed) break;
        }
        const TreeBound bound = bound_tree(basis_, zone_, ranges, most, other_);
        if (bound.designs.empty()) return looked;
        looked.bound = bound.cost;
        Judgement first;
        for (std::size_t i = 0; i < bound.designs.size(); ++i) {
            const Design& design = bound.designs[i];
            trial_.set(design);
            const Judgement judged = judge_all();
            if (i == 0) first = judged;
            if (judged.excess > 0) continue;
            const double cost = problem_.cost(design);
            if (looked.found && looked.found->cost <= cost) continue;
            if (passes_rules(problem_, design)) looked.found = Found{design, cost};
            break;
        }
        if (looked.found && looked.found->cost <= bound.cost * (1 + 1e-12)) return looked;
        part(box, bound.designs.front(), first, looked);
        return looked;
    }

  private:
    Judgement judge_all() {
        Judgement worst;
        double sum = 0;
        for (std::size_t pair = 0; pair < basis_.pairs.size(); ++pair) {
            const Judgement judged = trial_.judge(static_cast<int>(pair));
            sum += judged.excess;
            if (judged.worst > worst.worst) worst = judged;
        }
        worst.excess = sum;
        return worst;
    }

    /// The heads of each valve's zone among the tree's, for spread.
    void find_zones() {
        const SizingProblem::Situation& of = problem_.situations[at(situation_)];
        const RunPair& pair = basis_.pairs[at(zone_.pair)];
        for (const Index valve : of.system.runs[at(pair.run)].valves) {
            std::vector<std::pair<int, Index>> heads;  // node, head
            for (std::size_t v = 0; v < zone_.nodes.size(); ++v)
                for (const int head : zone_.nodes[v].heads) {
                    const auto& all = of.layout.zone_heads[at(valve)];
                    if (std::find(all.begin(), all.end(), head) != all.end() &&
                        !limits_.heads[at(head)].constant_draw)
                        heads.emplace_back(static_cast<int>(v), head);
                }
            if (heads.size() > 1) zones_.push_back(std::move(heads));
        }
    }

    int choice_for(const Box& box, std::size_t open, bool large) const {
        return large ? box.high[open] : box.low[open];
    }

    /// Feeders among the open pipes bound each other; false where nothing is left.
    bool tighten_telescoping(Box& box) const {
        for (bool changed = true; changed;) {
            changed = false;
            for (std::size_t o = 0; o < problem_.open.size(); ++o) {
                if (box.low[o] > box.high[o]) return false;
                const Index feeder = problem_.open[o].feeder;
                if (feeder == model::none) continue;
                const int of = problem_.open_of_pipe[at(feeder)];
                const auto& own = problem_.open[o].choices;
                const model::PipeSize& largest =
                    of >= 0 ? *problem_.open[at(of)].choices[at(box.high[at(of)])].size
                            : *problem_.system.pipes[at(feeder)].size;
                while (box.high[o] >= box.low[o] && exceeds(*own[at(box.high[o])].size, largest)) {
                    --box.high[o];
                    changed = true;
                }
                if (box.low[o] > box.high[o]) return false;
                if (of < 0) continue;
                const auto& above = problem_.open[at(of)].choices;
                while (box.low[at(of)] <= box.high[at(of)] &&
                       exceeds(*own[at(box.low[o])].size, *above[at(box.low[at(of)])].size)) {
                    ++box.low[at(of)];
                    changed = true;
                }
                if (box.low[at(of)] > box.high[at(of)]) return false;
            }
        }
        return true;
    }

    /// Lowest and highest heights, and what heads want; false where the box holds nothing.
    bool find_ranges(const Box& box, TreeBox& ranges) {
        const std::size_t count = zone_.nodes.size();
        const Network& net = trial_.network(situation_);
        const double mpp = net.metres_per_pascal;
        ranges.low = box.low;
        ranges.high = box.high;
        ranges.least.assign(count, -infinity);
        ranges.most.assign(count, infinity);
        ranges.wanted.assign(count, -infinity);
        const double top_of_all = highest_height(net);
        for (std::size_t v = 0; v < count; ++v) {
            // Of very many those that matter.
            const bool passed_over =
                v != 0 && zone_.nodes[v].heads.empty() && zone_.nodes[v].children.size() == 1 && count > 400;
            for (const bool highest : {false, true}) {
                if (passed_over) break;
                Design design = other_;
                for (const auto& [open, at_node] : node_of_open_)
                    design[at(open)] = choice_for(box, at(open), !highest);
                for (int up = static_cast<int>(v); up > 0; up = zone_.nodes[at(up)].parent)
                    if (const int open = zone_.nodes[at(up)].open; open >= 0)
                        design[at(open)] = choice_for(box, at(open), highest);
                trial_.set(design);
                if (!trial_.balance(zone_.pair)) continue;  // then nothing is known
                const double height = trial_.state().height[at(zone_.nodes[v].node)];
                if (std::isnan(height)) continue;
                constexpr double rounding = 1e-6;  // m
                (highest ? ranges.most[v] : ranges.least[v]) = height + (highest ? rounding : -rounding);
            }
            ranges.most[v] = std::min(ranges.most[v], top_of_all);
        }
        // What heads want, of themselves and by the spread of their zone.
        std::vector<double> wanted_pressure_of(limits_.heads.size(), -infinity);
        const auto pressure_at = [&](int head, double height) {
            const HeadLaw& law = *net.head_laws[at(head)];
            const double D = height - net.elements[at(net.first_head + head)].fixed_height;
            return law.nozzle_pressure(D, law.flow(D, 1e-4)) / mpp;
        };
        for (std::size_t v = 0; v < count; ++v)
            for (const int head : zone_.nodes[v].heads) {
                const TrialBasis::HeadLimits& limit = limits_.heads[at(head)];
                wanted_pressure_of[at(head)] = limit.least;
                if (ranges.least[v] > -infinity && outside(pressure_at(head, ranges.least[v]) - 0.02,
                                                           limit.most, true, model::Dimension::pressure))
                    return false;
            }
        const RuleLimit& spread = limits_.rules[RuleId::zone_spread];
        for (const auto& heads : zones_) {
            if (spread.off) break;
            double top = -infinity, design = infinity;
            for (const auto& [v, head] : heads) {
                if (ranges.least[at(v)] > -infinity)
                    top = std::max(top, pressure_at(head, ranges.least[at(v)]));
                const double own = limits_.heads[at(head)].design;
                if (!std::isnan(own)) design = std::min(design, own);
            }
            if (top == -infinity) continue;
            const double share = spread.value * (1 + 1e-6);
            // Of a mean: a higher top may want less, or a mean below zero says nothing.
            if (design == infinity && !(share <= 1 && top > 0)) continue;
            const double least = design < infinity ? top - share * design : top * (1 - share);
            for (const auto& [v, head] : heads)
                wanted_pressure_of[at(head)] = std::max(wanted_pressure_of[at(head)], least);
        }
        for (std::size_t v = 0; v < count; ++v)
            for (const int head : zone_.nodes[v].heads) {
                const double wanted = wanted_pressure_of[at(head)];
                if (wanted == -infinity) continue;
                const double tolerance = 0.02 + 2e-7 * std::abs(wanted);  // Pa: rounding of the rules
                const HeadLaw& law = *net.head_laws[at(head)];
                const double p = (wanted - tolerance) * mpp;
                if (law.set() && p > *law.set()) return false;
                ranges.wanted[v] =
                    std::max(ranges.wanted[v], height_in_lateral(law, p) +
                                                   net.elements[at(net.first_head + head)].fixed_height);
            }
        const bool no_suction = !limits_.rules[RuleId::below_atmosphere].off;
        for (std::size_t v = 0; v < count; ++v) {
            if (no_suction && ranges.wanted[v] == -infinity) {
                const double least = limits_.rules[RuleId::below_atmosphere].value - 1;
                ranges.wanted[v] = net.node_elevation[at(zone_.nodes[v].node)] + least * mpp;
            }
            if (ranges.least[v] == -infinity && ranges.wanted[v] == -infinity)
                ranges.least[v] = net.node_elevation[at(zone_.nodes[v].node)] - 20;
            if (std::max(ranges.least[v], ranges.wanted[v]) > ranges.most[v]) return false;
        }
        return true;
    }

    /// Flows cannot be below what heads pass at their lowest: choices that are too fast even then go.
    bool tighten_velocity(Box& box, const TreeBox& ranges, bool& changed) const {
        if (limits_.rules[RuleId::velocity].off) return true;
        const Network& net = trial_.network(situation_);
        std::vector<double> flow(zone_.nodes.size(), 0);
        for (std::size_t v = zone_.nodes.size(); v-- > 1;) {
            const TreeNode& node = zone_.nodes[v];
            const double height = std::max(ranges.least[v], ranges.wanted[v]);
            for (const int head : node.heads)
                flow[v] += net.head_laws[at(head)]->flow(
                    height - net.elements[at(net.first_head + head)].fixed_height, 1e-4);
            flow[at(node.parent)] += flow[v];
            if (node.open < 0) {
                if (too_fast(node.options.front(), flow[v])) return false;
                continue;
            }
            int& low = box.low[at(node.open)];
            while (low <= box.high[at(node.open)] && too_fast(node.options[at(low)], flow[v])) {
                ++low;
                changed = true;
            }
            if (low > box.high[at(node.open)]) return false;
        }
        return true;
    }

    static bool too_fast(const TreeOption& option, double flow) {
        return option.area > 0 && flow / option.area > option.most_velocity * (1 + 2e-7);
    }

    bool on_way(int v, int to) const {
        for (int up = to; up > 0; up = zone_.nodes[at(up)].parent)
            if (up == v) return true;
        return false;
    }
    int node_of(const Judgement& judged) const {
        for (std::size_t v = 0; v < zone_.nodes.size(); ++v)
            if (judged.subject.kind == ElementKind::head)
                for (const int head : zone_.nodes[v].heads)
                    if (head == judged.subject.index) return static_cast<int>(v);
        return -1;
    }

    /// Parts the box at the pipe on the way of what is worst whose choices differ most in loss; else at any.
    void part(const Box& box, const Design& design, const Judgement& judged, Looked& looked) {
        trial_.set(design);
        trial_.balance(zone_.pair);
        const int to = node_of(judged);
        const bool fast = judged.rule == RuleId::velocity && judged.subject.kind == ElementKind::pipe;
        int best = -1;
        double most = -1;
        for (const auto& [open, v] : node_of_open_) {
            if (box.low[at(open)] >= box.high[at(open)]) continue;
            const TreeNode& node = zone_.nodes[at(v)];
            const Network& net = trial_.network(situation_);
            const double q = std::abs(trial_.state().flow[at(net.first_pipe + problem_.open[at(open)].pipe)]);
            double score = node.options[at(box.low[at(open)])].law->loss(q) -
                           node.options[at(box.high[at(open)])].law->loss(q) + 1e-9;
            if (to >= 0 && on_way(v, to)) score += 1e6;
            if (fast && problem_.open[at(open)].pipe == judged.subject.index) score += 1e9;
            if (score > most) {
                most = score;
                best = open;
            }
        }
        if (best < 0) return;  // one design only, and it was looked at
        Box below = box, above = box;
        const int here = std::clamp(design[at(best)], box.low[at(best)], box.high[at(best)]);
        const int cut = here < box.high[at(best)] ? here : here - 1;
        below.high[at(best)] = cut;
        above.low[at(best)] = cut + 1;
        below.bound = above.bound = looked.bound;
        looked.parts = {below, above};
    }

    const TrialBasis& basis_;
    const SizingProblem& problem_;
    const TreeZone& zone_;
    int situation_;
    const TrialBasis::SituationBasis& limits_;
    Trial trial_;
    Design other_;
    std::map<int, int> node_of_open_;
    std::vector<std::vector<std::pair<int, Index>>> zones_;
};

}  // namespace

TreeSearchResult search_tree(const TrialBasis& basis, const TreeZone& zone,
                             const TreeSearchOptions& options) {
    const SizingProblem& problem = basis.problem;
    TreeSearchResult result;
    Box whole;
    Design start;
    double dry = 0;  // open pipes that stand still in this run: as in the known design
    for (std::size_t o = 0; o < problem.open.size(); ++o) {
        whole.low.push_back(0);
        whole.high.push_back(static_cast<int>(problem.open[o].choices.size()) - 1);
        start.push_back(options.known_design.empty() ? 0 : options.known_design[o]);
    }
    std::vector<char> flows(problem.open.size(), 0);
    for (const TreeNode& node : zone.nodes)
        if (node.open >= 0) flows[at(node.open)] = 1;
    for (std::size_t o = 0; o < problem.open.size(); ++o) {
        if (flows[o]) continue;
        start[o] = problem.open[o].cheapest();
        dry += problem.open[o].choices[at(start[o])].cost;
    }
    double known = options.known;
    const auto threads = static_cast<std::size_t>(std::max(1, options.threads));
    std::vector<std::unique_ptr<BoxWork>> workers(threads);
    std::priority_queue<Box, std::vector<Box>, Later> waiting;
    waiting.push(whole);
    long order = 0;
    constexpr std::size_t batch = 4;
    bool stopped = false;
    while (!waiting.empty() && !stopped) {
        result.bound = std::min(waiting.top().bound, known);
        if (!(waiting.top().bound < known * (1 - 1e-12))) break;
        if (result.boxes >= options.most_boxes ||
            (options.keep_going && !options.keep_going(known, result.bound))) {
            stopped = true;
            break;
        }
        std::vector<Box> boxes;
        while (boxes.size() < batch && !waiting.empty()) {
            boxes.push_back(waiting.top());
            waiting.pop();
        }
        std::vector<Looked> looked(boxes.size());
        in_parallel(threads, boxes.size(), [&](std::size_t worker, std::size_t i) {
            if (!workers[worker]) workers[worker] = std::make_unique<BoxWork>(basis, zone, start);
            looked[i] = workers[worker]->look(boxes[i], known - dry);
        });
        for (std::size_t i = 0; i < boxes.size(); ++i) {
            ++result.boxes;
            if (looked[i].found && looked[i].found->cost < known * (1 - 1e-12)) {
                result.best = *looked[i].found;
                known = result.best.cost;
            }
            for (Box& part : looked[i].parts) {
                part.bound = std::max(boxes[i].bound, looked[i].bound + dry);
                part.order = ++order;
                if (part.bound < known * (1 - 1e-12)) waiting.push(std::move(part));
            }
        }
    }
    if (!stopped) {
        result.proven = true;
        result.bound = known;
    }
    for (const auto& worker : workers)
        if (worker) result.balances += worker->balances();
    return result;
}

}  // namespace evenhead::solver
