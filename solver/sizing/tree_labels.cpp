// A relaxed problem of a tree, and why it may discard what it discards.
//
// Heights H rise against the flow: over a box of choices every design has H_v in [least_v, most_v] at node v.
// Each node has a grid G_v[0..K-1] over that range. The design of a subtree below v is told by a label
//
//     (cost, b, p, Q[0..K-1])
//
// b is the largest bore of the pipes that leave v (what telescoping asks of the pipe above), p the lowest H_v
// at which every head of the subtree has the pressure that it wants, Q[k] the flow that the subtree draws at
// H_v = G_v[k]. Let q~(H) be straight between (G_v[k], Q[k]). A subtree's flow is a rising function of H_v,
// and concave: a head's is (each of its stretches is a power of at most one of the pressure; where stretches
// join the straight line is lowered by what it may exceed it), a sum of such is, and with a loss d(q) convex
// in q
//
//     H_u = H_v + d(q(H_v))                                                                        (1)
//
// is convex in q, so that q is concave in H_u. Straight lines between points of a concave function lie below
// it: q~ <= q on the grid's range. (Behind an element whose loss is not convex steps from the left are taken,
// which lie below any rising function.) From v up to its parent u through a pipe of choice c with loss d_c:
//
//     p' = p + d_c(q~(p)),        Q'[k] = q~(H) where H + d_c(q~(H)) = G_u[k]                      (2)
//
// and at a junction p = max p_i, Q = sum Q_i. Since q~ <= q, the p' of (2) is no more than the true one and
// Q' no more than the true flow: every design that keeps its lower limits keeps the relaxed ones at the same
// cost. At the root a label stands if p <= S(q~(p)), S the height that the rest of the system leaves: S falls
// and q~ rises, so only then is there a height H >= p that both agree on.
//
// Dropped are: upper limits, spread (but for what the box already concluded from it), velocities at flows
// above the lowest possible ones, and every other rule. So the least relaxed cost is a lower bound.
//
// A label may discard another of no less cost whose b, p and every Q[k] are no less. For (2), the sum and the
// test at the root are rising in p and in every Q[k] (with p <= p* and q~ <= q~* also p' <= p'*, and the H of
// Q'[k] is no lower, so that less is lost and less drawn...): whatever completes the other to a design that
// stands, completes it too, at no more cost. The H of Q'[k] does rise as q~ falls, but Q' = (G_u[k] - H)
// taken through the falling inverse of d_c is then no more. A label whose cost and least cost of all that is
// outside its subtree (with each pipe at the least flow that the box allows) reach the cost of a known design
// is discarded too.
#include "solver/sizing/tree_labels.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "model/position.hpp"
#include "solver/sizing/label_lists.hpp"
#include "solver/sizing/tree_costs.hpp"

namespace evenhead::solver {
namespace {

constexpr double bore_slack = 1 + 1e-9;

class Bounding {
  public:
    Bounding(const TrialBasis& basis, const TreeZone& zone, const TreeBox& box, double most,
             const Design& other)
        : basis_(basis), problem_(basis.problem), zone_(zone), box_(box), most_(most), other_(other) {}

    TreeBound run() {
        if (!prepare()) return {};
        costs_.emplace(zone_, box_, ends(), least_flow_, most_);
        if (!up()) return std::move(bound_);
        finish();
        return std::move(bound_);
    }

  private:
    std::size_t size() const { return zone_.nodes.size(); }
    const TreeNode& node(std::size_t v) const { return zone_.nodes[v]; }
    bool allowed(const TreeNode& of, const TreeOption& option) const { return box_.allows(of, option); }
    /// By node: lowest and highest point of its grid.
    std::vector<std::pair<double, double>> ends() const {
        std::vector<std::pair<double, double>> ends;
        for (const auto& heights : grid_) ends.emplace_back(heights.front(), heights.back());
        return ends;
    }

    // Grids, the heads' draws on them, the least flow of every pipe.
    bool prepare() {
        const Network& net = basis_.situations[at(basis_.pairs[at(zone_.pair)].situation)].networks.front();
        grid_.resize(size());
        own_.resize(size());
        least_flow_.assign(size(), 0);
        concave_.assign(size(), 1);
        mixed_ = mixed_kinds();
        std::vector<double> floor(size());
        for (std::size_t v = 0; v < size(); ++v) floor[v] = std::max(box_.least[v], box_.wanted[v]);
        for (std::size_t v = size(); v-- > 0;) {
            double high = box_.most[v];
            if (!(floor[v] <= high + 1e-6)) return false;
            high = std::max(high, floor[v] + 1e-6);
            for (std::size_t k = 0; k < K; ++k)
                grid_[v][k] =
                    floor[v] + (high - floor[v]) * static_cast<double>(k) / static_cast<double>(K - 1);
            own_[v].fill(0);
            for (const int head : node(v).heads)
                add_head(*net.head_laws[at(head)], net.elements[at(net.first_head + head)].fixed_height, v);
            least_flow_[v] += own_[v][0];
            if (v == 0) break;
            // No lower than what the child needs, and what the way there takes at the least.
            const auto parent = at(node(v).parent);
            double lost = infinity;
            for (const TreeOption& option : node(v).options)
                if (allowed(node(v), option)) lost = std::min(lost, option.law->loss(least_flow_[v]));
            floor[parent] = std::max(floor[parent], floor[v] + lost);
            least_flow_[parent] += least_flow_[v];
            if (!concave_[v] || !node(v).convex) concave_[parent] = 0;
        }
        return true;
    }

    /// A head's flow at the grid of v, lowered by what the straight lines between would exceed it.
    void add_head(const HeadLaw& law, double z, std::size_t v) {
        std::array<double, K> flow;
        for (std::size_t k = 0; k < K; ++k) flow[k] = law.flow(grid_[v][k] - z, k > 0 ? flow[k - 1] : 1e-4);
        double excess = 0;
        if (!law.orifice()) {
            // Between the rows of its chart a stretch is concave; where they join the line may lie above.
            for (std::size_t k = 0; k + 1 < K; ++k) {
                constexpr int inner = 16;
                for (int i = 1; i < inner; ++i) {
                    const double t = static_cast<double>(i) / inner,
                                 D = grid_[v][k] + t * (grid_[v][k + 1] - grid_[v][k]) - z;
                    const double line = flow[k] + t * (flow[k + 1] - flow[k]);
                    excess = std::max(excess, line - law.flow(D, line));
                }
            }
            excess *= 1.5;
        }
        for (std::size_t k = 0; k < K; ++k) own_[v][k] += std::max(0.0, flow[k] - excess);
    }

    /// Telescoping compares bores; where kinds differ the same nominal size is no growth, so nothing is said.
    bool mixed_kinds() const {
        if (problem_.may_grow) return true;
        const std::string* kind = nullptr;
        for (const TreeNode& of : zone_.nodes) {
            if (of.open < 0) continue;
            const std::string& own = problem_.open[at(of.open)].choices.front().size->kind;
            if (kind != nullptr && *kind != own) return true;
            kind = &own;
        }
        return false;
    }

    // ---- labels ----

    /// q~ at H, within the grid of v.
    double flow_at(std::size_t v, const Label& label, double H) const {
        const auto& G = grid_[v];
        if (H >= G[K - 1]) return label.q[K - 1];
        if (H <= G[0]) return label.q[0];
        const double place = (H - G[0]) / (G[K - 1] - G[0]) * static_cast<double>(K - 1);
        const auto k = std::min(static_cast<std::size_t>(place), K - 2);
        if (!concave_[v]) return label.q[k];
        return label.q[k] + (place - static_cast<double>(k)) * (label.q[k + 1] - label.q[k]);
    }

    bool up() {
        labels_.resize(size());
        edges_.resize(size());
        folds_.resize(size());
        for (std::size_t v = size(); v-- > 0;) {
            if (!fold(v)) return false;
            if (v == 0) break;
            if (!lift(v)) return false;
        }
        return true;
    }

    /// The labels of v: its heads, and one label of each child's edge.
    bool fold(std::size_t v) {
        Label first;
        first.p = grid_[v][0];
        first.q = own_[v];
        Labels labels{first};
        double cheapest_rest = 0;
        for (const int child : node(v).children) cheapest_rest += costs_->with_pipe(at(child));
        for (const int child : node(v).children) {
            cheapest_rest -= costs_->with_pipe(at(child));
            Labels both;
            for (std::size_t a = 0; a < labels.size(); ++a)
                for (std::size_t b = 0; b < edges_[at(child)].size(); ++b) {
                    const Label &one = labels[a], &two = edges_[at(child)][b];
                    Label made;
                    made.cost = one.cost + two.cost;
                    made.p = std::max(one.p, two.p);
                    if (!(made.cost + cheapest_rest + costs_->outside(v, made.p) < most_)) continue;
                    made.bore = std::max(one.bore, two.bore);
                    for (std::size_t k = 0; k < K; ++k) made.q[k] = one.q[k] + two.q[k];
                    made.one = static_cast<int>(a);
                    made.two = static_cast<int>(b);
                    both.push_back(made);
                }
            thin(both);
            if (both.empty()) return false;
            folds_[v].push_back(std::move(labels));
            labels = std::move(both);
        }
        labels_[v] = std::move(labels);
        return true;
    }

    /// Up through the pipe (or device, or valve) to the parent.
    bool lift(std::size_t v) {
        const auto u = at(node(v).parent);
        Labels& made = edges_[v];
        for (const TreeOption& option : node(v).options) {
            if (!allowed(node(v), option)) continue;
            for (std::size_t i = 0; i < labels_[v].size(); ++i) {
                const Label& below = labels_[v][i];
                if (option.bore > 0 && !mixed_ && below.bore > option.bore * bore_slack) continue;
                if (below.p > node(v).held + 1e-9) continue;
                Label label;
                label.cost = below.cost + option.cost;
                const double q = flow_at(v, below, below.p);
                if (option.area > 0 && q / option.area > option.most_velocity * (1 + 2e-7)) continue;
                label.p = std::max(below.p + option.law->loss(q), grid_[u][0]);
                if (label.p > grid_[u][K - 1] + 1e-9) continue;
                double beside = 0;  // the other children of u
                for (const int sibling : node(u).children)
                    if (at(sibling) != v) beside += costs_->with_pipe(at(sibling), grid_[u][K - 1]);
                if (!(label.cost + beside + costs_->outside(u, label.p) < most_)) continue;
                label.bore = option.bore > 0 ? option.bore : node(v).hands_on ? below.bore : 0;
                if (!draw_above(v, u, below, option, label)) continue;
                label.choice = option.choice;
                label.one = static_cast<int>(i);
                made.push_back(label);
            }
        }
        thin(made);
        return !made.empty();
    }

    /// Q' on the grid of u. Below the lowest height that the box allows v, and so u, the line of the first
    /// stretch goes on, which no design of the box comes to.
    bool draw_above(std::size_t v, std::size_t u, const Label& below, const TreeOption& option,
                    Label& label) const {
        const auto& G = grid_[v];
        std::array<double, K> at_u;  // H_u at each point of v's grid
        const double top = std::min(G[K - 1], node(v).held);
        for (std::size_t k = 0; k < K; ++k) at_u[k] = G[k] + option.law->loss(below.q[k]);
        if (at_u[0] > grid_[u][K - 1] + 1e-9) return false;
        const bool steps = !concave_[u];
        for (std::size_t k = 0; k < K; ++k) {
            const double H_u = grid_[u][k];
            if (H_u >= at_u[K - 1]) {
                label.q[k] = flow_at(v, below, top);
                continue;
            }
            if (H_u <= at_u[0]) {
                label.q[k] = -1;  // set below
                continue;
            }
            const auto above = std::upper_bound(at_u.begin(), at_u.end(), H_u);
            const auto j = static_cast<std::size_t>(above - at_u.begin()) - 1;
            if (steps) {
                label.q[k] = std::min(below.q[j], flow_at(v, below, top));
                continue;
            }
            // H + d(q~(H)) = H_u between j and j + 1: both rise, d convex; by secants from either side.
            double low = G[j], high = G[j + 1], f_low = at_u[j] - H_u, f_high = at_u[j + 1] - H_u;
            for (int i = 0; i < 60 && high - low > 1e-10; ++i) {
                double H = i % 3 == 2 ? (low + high) / 2 : low - f_low * (high - low) / (f_high - f_low);
                H = std::clamp(H, low + (high - low) * 1e-3, high - (high - low) * 1e-3);
                const double t = (H - G[j]) / (G[j + 1] - G[j]);
                const double f = H + option.law->loss(below.q[j] + t * (below.q[j + 1] - below.q[j])) - H_u;
                (f > 0 ? high : low) = H;
                (f > 0 ? f_high : f_low) = f;
            }
            const double t = (low - G[j]) / (G[j + 1] - G[j]);
            label.q[k] = std::min(below.q[j] + t * (below.q[j + 1] - below.q[j]), flow_at(v, below, top));
        }
        extend_down(u, at_u[0], below.q[0], label, steps);
        return true;
    }
    void extend_down(std::size_t u, double H_first, double q_first, Label& label, bool steps) const {
        std::size_t first = 0;
        while (first < K && label.q[first] < 0) ++first;
        if (first == 0) return;
        if (first == K || steps) {  // all of u's grid lies at or below: nothing is known but the left end
            for (std::size_t k = 0; k < first; ++k) label.q[k] = 0;
            if (first == K) return;
            return;
        }
        const double H_next = grid_[u][first], q_next = label.q[first];
        const double slope = H_next > H_first + 1e-9 ? (q_next - q_first) / (H_next - H_first) : infinity;
        for (std::size_t k = 0; k < first; ++k)
            label.q[k] = slope < infinity
                             ? std::max(0.0, std::min(q_first, q_first - slope * (H_first - grid_[u][k])))
                             : 0.0;
    }

    void thin(Labels& labels) {
        bound_.labels += labels.size();
        if (!thin_labels(labels)) bound_.exact_labels = false;
    }

    // ---- the root ----

    void finish() {
        std::vector<std::size_t> standing;
        for (std::size_t i = 0; i < labels_[0].size(); ++i) {
            const Label& label = labels_[0][i];
            if (label.p <= zone_.most_height(flow_at(0, label, label.p)) + 1e-9) standing.push_back(i);
        }
        std::stable_sort(standing.begin(), standing.end(), [&](std::size_t a, std::size_t b) {
            return labels_[0][a].cost < labels_[0][b].cost;
        });
        constexpr std::size_t most_designs = 60;
        for (const std::size_t i : standing) {
            if (bound_.cost == infinity) bound_.cost = labels_[0][i].cost;
            if (bound_.designs.size() == most_designs) break;
            Design design = other_;
            read(0, i, design);
            bound_.designs.push_back(std::move(design));
        }
    }
    void read(std::size_t v, std::size_t label, Design& design) const {
        const auto& children = node(v).children;
        const Labels* labels = &labels_[v];
        for (std::size_t c = children.size(); c-- > 0;) {
            const Label& here = (*labels)[label];
            const auto child = at(children[c]);
            const Label& edge = edges_[child][at(here.two)];
            if (node(child).open >= 0) design[at(node(child).open)] = edge.choice;
            read(child, at(edge.one), design);
            labels = &folds_[v][c];
            label = at(here.one);
        }
    }

    const TrialBasis& basis_;
    const SizingProblem& problem_;
    const TreeZone& zone_;
    const TreeBox& box_;
    double most_;
    const Design& other_;
    bool mixed_ = false;
    TreeBound bound_;
    std::vector<std::array<double, K>> grid_, own_;  // by node; own_: what its heads draw
    std::vector<double> least_flow_;                 // by node: of what leads to it
    std::vector<char> concave_;                      // by node
    std::optional<TreeCosts> costs_;
    std::vector<Labels> labels_, edges_;
    std::vector<std::vector<Labels>> folds_;  // by node and child: the labels before the child's were added
};

}  // namespace

TreeBound bound_tree(const TrialBasis& basis, const TreeZone& zone, const TreeBox& box, double most,
                     const Design& other) {
    return Bounding(basis, zone, box, most, other).run();
}

}  // namespace evenhead::solver
