#include "solver/balance/trees/tree_solver.hpp"

#include <algorithm>
#include <cmath>

#include "model/position.hpp"

namespace evenhead::solver {
namespace {

constexpr double tight = 1e-9;  // m: mismatch to stop at
constexpr int most_solves = 12;
constexpr int patience = 4;             // solves after which every step must bring it nearer
constexpr double nothing = 1e-2;        // share
constexpr double far = 1e-3;            // m: a mismatch from which tangents still lead well past the laws
constexpr double first_precision = 10;  // m: of the heads at their nominal flows

}  // namespace

TreeSolver::TreeSolver(const Network& network, const Structure& structure, const Parameters& parameters)
    : net_(network),
      structure_(structure),
      set_(parameters),
      selection_(network, structure, parameters),
      core_(network, structure, parameters),
      state_(network, structure, selection_),
      link_of_(structure.places(), -1),
      tap_of_core_(structure.core_node.size(), -1) {}

bool TreeSolver::solve(const std::vector<Index>& open_valves, std::vector<Step>* steps) {
    solves_ = 0;
    steps_ = steps;
    if (structure_.core_varies) return false;
    state_.forget();
    selection_.open(open_valves);
    gather();
    if (!iterate()) return false;
    close();
    return write();
}

// The arrays of the run, from those of the system.
void TreeSolver::gather() {
    const std::vector<int>& places = selection_.flowing();
    const std::size_t count = places.size();
    for (auto* column : {&r_, &m_, &drop_, &slope_, &e_}) column->assign(padded(count), 0.0);
    flow_.assign(padded(count), 1.0);
    for (auto* column : {&A_, &B_, &height_}) column->assign(count, 0.0);
    up_.resize(count);
    head_.assign(count, -1);
    held_.assign(count, -1);
    others_.clear();
    other_heads_.clear();
    for (const int core : taps_.core) tap_of_core_[at(core)] = -1;
    taps_.core.clear();

    make_room_for_heads(places);
    for (std::size_t link = 0; link < count; ++link) link_of_[at(places[link])] = static_cast<int>(link);
    for (std::size_t link = 0; link < count; ++link) {
        const std::size_t place = at(places[link]);
        const int parent = structure_.parent[place];
        if (parent >= 0) {
            up_[link] = link_of_[at(parent)];
        } else {
            int& tap = tap_of_core_[at(~parent)];
            if (tap < 0) {
                tap = static_cast<int>(taps_.core.size());
                taps_.core.push_back(~parent);
            }
            up_[link] = ~tap;
        }
        flow_[link] = selection_.draw()[place];
        if (std::isnan(set_.r[place])) {
            const Element& element = net_.elements[at(structure_.element[place])];
            if (element.regulates()) held_[link] = static_cast<int>(others_.size());
            others_.push_back({link, &element, structure_.uphill[place] != 0, element.regulates()});
        } else {
            r_[link] = set_.r[place];
            m_[link] = set_.m[place];
        }
        if (structure_.head[place] < 0) continue;
        add_head(link, place);
    }
    taps_.A.assign(taps_.count(), 0.0);
    taps_.B.assign(taps_.count(), 0.0);
    taps_.height.assign(taps_.count(), 0.0);
    taps_.draw.assign(taps_.count(), 0.0);
    core_.tap(taps_, selection_.total_draw(), level_share / std::max(selection_.total_draw(), 1e-5));
}

// Orifices first, then charts, each as many as there are.
void TreeSolver::make_room_for_heads(const std::vector<int>& places) {
    std::size_t charts = 0;
    orifices_ = 0;
    for (const int place : places) {
        if (structure_.head[at(place)] < 0) continue;
        ++(std::isnan(set_.orifice[at(place)]) ? charts : orifices_);
    }
    first_stretch_ = padded(orifices_);
    for (auto* column : {&head_D_, &head_flow_, &head_A_, &head_B_})
        column->assign(first_stretch_ + padded(charts), 1.0);
    head_z_.assign(first_stretch_ + padded(charts), 0.0);
    orifice_a_.assign(first_stretch_, 1.0);
    stretches_.law.clear();
    for (auto* column : {&stretches_.n, &stretches_.c, &stretches_.m}) column->assign(padded(charts), 0.0);
    for (auto* column : {&stretches_.low, &stretches_.high}) column->assign(charts, 0.0);
    std::fill(stretches_.n.begin(), stretches_.n.end(), 1.0);
    orifices_ = 0;
}

void TreeSolver::add_head(std::size_t link, std::size_t place) {
    const double a = set_.orifice[place], z = set_.elevation[place], h = set_.nominal[place];
    const HeadLaw& law = *net_.head_laws[at(structure_.head[place] - net_.first_head)];
    std::size_t head = orifices_;
    if (!std::isnan(a)) {
        orifice_a_[orifices_++] = a;
    } else if (!law.set() && std::isfinite(law.nozzle().stretch(h).n)) {
        head = first_stretch_ + stretches_.law.size();
        stretches_.law.push_back(&law);
        set_stretch(stretches_.law.size() - 1, h);
    } else {
        other_heads_.push_back({link, &law, z, law.loss(h), h, 0, 0});
        return;
    }
    head_[link] = static_cast<int>(head);
    head_z_[head] = z;
    head_flow_[head] = h;
}

void TreeSolver::set_stretch(std::size_t stretch, double flow) {
    const HeadLaw& law = *stretches_.law[stretch];
    const NozzleCurve::Stretch of = law.nozzle().stretch(flow);
    stretches_.n[stretch] = of.n;  // a level stretch: infinite, and the iteration ends
    stretches_.c[stretch] = of.c;
    stretches_.m[stretch] = law.joint_resistance();
    stretches_.low[stretch] = of.low;
    stretches_.high[stretch] = of.high;
}

HeadArrays TreeSolver::orifices() {
    return {orifices_, head_z_.data(), head_D_.data(), head_flow_.data(), head_A_.data(), head_B_.data()};
}

HeadArrays TreeSolver::stretches() {
    const std::size_t first = first_stretch_;
    return {stretches_.law.size(),     head_z_.data() + first, head_D_.data() + first,
            head_flow_.data() + first, head_A_.data() + first, head_B_.data() + first};
}

bool TreeSolver::iterate() {
    if (!(selection_.total_draw() > 0) || core_.sources() == 0) return false;
    for (std::size_t link = 0; link < up_.size(); ++link) {
        if (up_[link] < 0) taps_.B[at(~up_[link])] += flow_[link];
    }
    core_.start(taps_);
    if (core_.needs_solving()) ++solves_;
    bool first = true;  // step: nothing to compare with yet
    bool steady = false;
    double last = infinity;
    for (;;) {
        const double of_trees = linearise_trees();
        const double worst = std::max(of_trees, core_.linearise());
        if (steps_ != nullptr && !first) note_step(worst);
        if (!first && steady && worst <= tight) return true;
        const bool nears = steady && worst < 0.5 * last;
        if ((solves_ >= patience && !nears) || solves_ >= most_solves) return false;
        // Errors shrink with their squares: e'' = (e / e_before^2) e^2. Where that is nothing beside what is
        // wanted, the closure will tell as much as another look at the laws.
        const bool last_one =
            std::isfinite(last) && worst * (worst / last) * (worst / last) < nothing * tight;
        sweep_up();
        solve_core(first ? first_precision : of_trees);
        for (const double height : taps_.height) {
            if (!std::isfinite(height)) return false;
        }
        if (!first) last = worst;
        first = false;
        sweep_down();
        steady = move_heads();
        if (steady && worst > far) sum_settled_heads();
        steady = settle_regulators() && steady;
        if (last_one && steady) return true;
    }
}

// The core has kinks of its own (a loop where hardly anything flows). It takes further steps, which cost
// little, with the trees on their tangents, until it is as exact as these will be after their step.
void TreeSolver::solve_core(double of_trees) {
    constexpr double share = 1e-4;
    constexpr int most = 4;
    for (int step = 0;; ++step) {
        core_.step(taps_);
        ++solves_;
        if (step == most || !core_.needs_solving()) return;
        if (core_.linearise() <= std::max(0.1 * tight, share * of_trees)) return;
    }
}

double TreeSolver::linearise_trees() {
    double worst = linearise_links(
        {up_.size(), r_.data(), m_.data(), flow_.data(), drop_.data(), slope_.data(), e_.data()}, nullptr);
    worst = std::max(worst, linearise_orifices(orifices(), orifice_a_.data()));
    worst = std::max(worst, linearise_stretches(stretches(), stretches_.n.data(), stretches_.c.data(),
                                                stretches_.m.data()));
    return std::max(worst, linearise_others());
}

double TreeSolver::linearise_others() {
    double worst = 0;
    for (const OtherLink& other : others_) {
        if (other.holding) continue;
        const double q = flow_[other.link];
        const Law& law = *other.element->law;
        const double loss = other.uphill ? -law.loss(-q) : law.loss(q);
        slope_[other.link] = law.slope(other.uphill ? -q : q);
        e_[other.link] = slope_[other.link] * q - loss;
        worst = std::max(worst, std::abs(loss - drop_[other.link]));
    }
    for (OtherHead& head : other_heads_) {
        const auto [q, conductance] = head.law->tangent(head.D, head.flow);
        const double off = std::abs(q - head.flow);
        if (off > 1e-12 * q) worst = std::max(worst, conductance > 0 ? off / conductance : infinity);
        head.A = conductance;
        head.B = q - conductance * (head.D + head.z);
    }
    return worst;
}

void TreeSolver::sweep_up() {
    for (const OtherHead& head : other_heads_) {
        A_[head.link] += head.A;
        B_[head.link] += head.B;
    }
    std::fill(taps_.A.begin(), taps_.A.end(), 0.0);
    std::fill(taps_.B.begin(), taps_.B.end(), 0.0);
    for (std::size_t link = 0; link < up_.size(); ++link) {
        double A = A_[link], B = B_[link];
        if (head_[link] >= 0) {
            A += head_A_[at(head_[link])];
            B += head_B_[at(head_[link])];
        }
        if (held_[link] >= 0 && others_[at(held_[link])].holding) {
            B += A * (others_[at(held_[link])].element->held_height - set_.datum);
            A = 0;
        } else {
            const double w = 1 / (1 + A * slope_[link]);
            B = (A * e_[link] + B) * w;
            A *= w;
        }
        A_[link] = A;
        B_[link] = B;
        const int up = up_[link];
        (up >= 0 ? A_[at(up)] : taps_.A[at(~up)]) += A;
        (up >= 0 ? B_[at(up)] : taps_.B[at(~up)]) += B;
    }
}

void TreeSolver::sweep_down() {
    for (std::size_t link = up_.size(); link-- > 0;) {
        const int up = up_[link];
        const double above = up >= 0 ? height_[at(up)] : taps_.height[at(~up)];
        const double q = A_[link] * above + B_[link];
        A_[link] = B_[link] = 0;
        flow_[link] = q;
        if (held_[link] >= 0 && others_[at(held_[link])].holding) {
            height_[link] = others_[at(held_[link])].element->held_height - set_.datum;
            drop_[link] = above - height_[link];
        } else {
            drop_[link] = slope_[link] * q - e_[link];
            height_[link] = above - drop_[link];
        }
        if (head_[link] >= 0) head_D_[at(head_[link])] = height_[link] - head_z_[at(head_[link])];
    }
}

// False where a head was held back from falling too far.
bool TreeSolver::move_heads() {
    const double least = std::min(move_along_tangents(orifices()), move_along_tangents(stretches()));
    bool steady = least >= 0;
    for (std::size_t s = 0; s < stretches_.law.size(); ++s) {
        const double flow = head_flow_[first_stretch_ + s];
        if (flow < stretches_.low[s] || flow > stretches_.high[s]) set_stretch(s, flow);
    }
    for (OtherHead& head : other_heads_) {
        head.flow = head.A * height_[head.link] + head.B;
        head.D = height_[head.link] - head.z;
        if (head.D <= 0) steady = false;
    }
    return steady;
}

// For those who want to watch: where the largest mismatch lies, found again.
void TreeSolver::note_step(double mismatch) {
    Step step;
    step.number = solves_;
    step.mismatch = mismatch / net_.metres_per_pascal;
    double worst = -1;
    const auto note = [&](double off, int element) {
        if (off <= worst || element < 0) return;
        worst = off;
        step.where = net_.elements[at(element)].ref;
    };
    const std::vector<int>& places = selection_.flowing();
    for (std::size_t link = 0; link < up_.size(); ++link) {
        const std::size_t place = at(places[link]);
        if (slope_[link] > 0)
            note(std::abs(slope_[link] * flow_[link] - e_[link] - drop_[link]), structure_.element[place]);
        if (head_[link] < 0) continue;
        const std::size_t head = at(head_[link]);
        const double h = head_flow_[head];  // on the tangent through the law's point, D = (h - B) / A - z
        note(std::abs((h - head_B_[head]) / head_A_[head] - head_z_[head] - head_D_[head]),
             structure_.head[place]);
    }
    core_.note_mismatch(note);
    steps_->push_back(step);
}

// Regulators take the state that their ends ask for; false where one changed.
bool TreeSolver::settle_regulators() {
    bool steady = true;
    for (OtherLink& other : others_) {
        if (!other.element->regulates()) continue;
        const double held = other.element->held_height - set_.datum;
        const double above = height_[other.link] + drop_[other.link];
        const double lost = other.element->law->loss(std::max(flow_[other.link], 0.0));
        const bool holding =
            other.holding ? above - lost >= held - tight : height_[other.link] > held + tight;
        steady = steady && holding == other.holding;
        other.holding = holding;
    }
    return steady;
}

// Most of the height is lost in nozzles: flows that are on their laws at the new heights are nearer to the
// end than those on tangents.
void TreeSolver::sum_settled_heads() {
    settle_orifices(orifices(), orifice_a_.data());
    settle_stretches(stretches(), stretches_.n.data(), stretches_.c.data(), stretches_.m.data());
    sum_flows();
}

// Flows of the links from those of the heads.
void TreeSolver::sum_flows() {
    std::fill_n(flow_.begin(), up_.size(), 0.0);
    std::fill(taps_.draw.begin(), taps_.draw.end(), 0.0);
    for (const OtherHead& head : other_heads_) flow_[head.link] += head.flow;
    for (std::size_t link = 0; link < up_.size(); ++link) {
        if (head_[link] >= 0) flow_[link] += head_flow_[at(head_[link])];
        const int up = up_[link];
        (up >= 0 ? flow_[at(up)] : taps_.draw[at(~up)]) += flow_[link];
    }
}

// Flows that balance to the last digit.
void TreeSolver::close() {
    sum_flows();
    core_.close(taps_);
}

bool TreeSolver::write() {
    state_.take_in();
    State& state = state_.state;
    const bool one_way = core_.write(state);
    const std::vector<int>& places = selection_.flowing();
    for (std::size_t link = 0; link < places.size(); ++link) {
        const std::size_t place = at(places[link]);
        const int element = structure_.element[place], head = structure_.head[place];
        if (element >= 0) {
            state.flow[at(element)] = structure_.uphill[place] ? -flow_[link] : flow_[link];
            state.height[at(structure_.node[place])] = height_[link] + set_.datum;
        }
        if (head >= 0 && head_[link] >= 0) state.flow[at(head)] = head_flow_[at(head_[link])];
    }
    for (const OtherHead& head : other_heads_)
        state.flow[at(structure_.head[at(places[head.link])])] = head.flow;
    state_.rest();
    return one_way;
}

}  // namespace evenhead::solver
