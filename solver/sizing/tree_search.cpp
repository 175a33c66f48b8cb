// Branch and bound over boxes: for each open pipe a range of choices, from low to high.
//
// A box is narrowed first, or found to hold nothing (tree_ranges.cpp).
//
// Then the relaxed problem (tree_labels.cpp) gives a bound, and designs to try: those that the rules pass are
// candidates. A box whose bound is the cost of its relaxed optimum, and that optimum passes, is finished;
// else it is parted at a pipe that the worst of what is outside limits hangs on. The box of least bound comes
// first; several at once are looked at in parallel, always the same ones.
#include "solver/sizing/tree_search.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>
#include <queue>

#include "model/position.hpp"
#include "solver/parallel.hpp"
#include "solver/sizing/tree_labels.hpp"
#include "solver/sizing/tree_ranges.hpp"

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
          trial_(basis, start),
          other_(start),
          ranges_(basis, zone, trial_, start) {
        for (std::size_t v = 0; v < zone.nodes.size(); ++v)
            if (zone.nodes[v].open >= 0) node_of_open_[zone.nodes[v].open] = static_cast<int>(v);
    }

    long balances() const { return trial_.balances(); }

    Looked look(const Box& given, double most) {
        Box box = given;
        Looked looked;
        TreeBox ranges{box.low, box.high, {}, {}, {}};
        if (!ranges_.narrow(ranges)) return looked;
        box.low = ranges.low;
        box.high = ranges.high;
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
    Trial trial_;
    Design other_;
    TreeRanges ranges_;
    std::map<int, int> node_of_open_;
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
