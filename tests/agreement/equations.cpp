#include "tests/agreement/equations.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <sstream>

namespace evenhead::agreement {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double near_height = 1e-7;  // m: answers within this count as on the edge of a state
constexpr double kept_height = 1e-6;  // m: within this an inequality is kept
constexpr double kept_flow = 1e-7;    // likewise, as a share of the flow of all heads
constexpr double leak_loss = 1e-11;   // m, of the flow of all heads

double at_rest(const Element& e) {
    return e.law.opening + e.law.above(0).value;
}

Value odd(const Curve& curve, double q) {
    const Value at = curve(std::abs(q));
    return {q < 0 ? -at.value : at.value, at.slope};
}

}  // namespace

Equations::Equations(const Bare& bare, const Answer& answer) : bare_(bare) {
    unknown_of_node_.assign(bare.elevation.size(), 0);
    double lowest = infinity;
    highest_ = -infinity;
    for (std::size_t n = 0; n < bare.elevation.size(); ++n) {
        if (!bare.reached[n]) continue;
        unknown_of_node_[n] = nodes_.size();
        nodes_.push_back(static_cast<int>(n));
        lowest = std::min(lowest, bare.elevation[n]);
    }
    double flow = 0;
    for (std::size_t i = 0; i < bare.elements.size(); ++i) {
        const Element& e = bare.elements[i];
        if (!bare.active(e)) continue;
        const auto height = [&](int node) {
            return node == outside ? e.outside_height : answer.height[static_cast<std::size_t>(node)];
        };
        if (e.kind == Kind::supply) highest_ = std::max(highest_, e.outside_height);
        if (e.kind == Kind::head) flow += e.design_flow;
        elements_.push_back(e.kind == Kind::head
                                ? head_law(e, answer.flow[i], height(e.tail) - e.outside_height)
                                : loss_law(e, answer.flow[i], height(e.tail), height(e.head)));
    }
    tie_floating_parts(answer);
    height_scale_ = std::max(1.0, highest_ - lowest);
    flow_scale_ = flow > 0 ? flow : 1e-4;
    leak_ = leak_loss / flow_scale_;

    // Columns: a height enters the laws of its elements; a flow enters its law and two balances.
    const auto law_row = [&](std::size_t i) { return static_cast<long>(nodes_.size() + i); };
    std::vector<std::vector<long>> rows(size());
    for (std::size_t i = 0; i < elements_.size(); ++i) {
        const Element& e = *elements_[i].element;
        for (const int node : {e.tail, e.head}) {
            if (node == outside) continue;
            rows[unknown(node)].push_back(law_row(i));
            rows[nodes_.size() + i].push_back(static_cast<long>(unknown(node)));
        }
        rows[nodes_.size() + i].push_back(law_row(i));
    }
    columns_.start.push_back(0);
    for (const std::vector<long>& column : rows) {
        columns_.row.insert(columns_.row.end(), column.begin(), column.end());
        columns_.start.push_back(static_cast<long>(columns_.row.size()));
    }
    columns_.value.resize(columns_.row.size());
}

Equations::Law Equations::head_law(const Element& e, double q, double D) const {
    Law law{&e, State::running};
    const double p = D - e.joint * q * q;
    law.least = -infinity;
    law.most = infinity;
    const auto full = [&](double flow, double least, double most) {
        law.state = State::full;
        law.full = flow;
        law.least = least;
        law.most = most;
    };
    if (q == 0 && D < (e.nozzle.constant() ? -near_height : 0.0)) {
        law.state = State::resting;
    } else if (e.set && p >= *e.set - 1e-10) {
        full(e.nozzle.flow(*e.set), *e.set, infinity);
    } else if (e.nozzle.constant()) {
        const double draw = e.nozzle.rows[0].second;
        if (p > near_height || q >= draw * (1 - 1e-9)) {
            full(draw, 0, infinity);
        } else {
            law.state = State::limited;
            law.full = draw;
        }
    } else {
        for (std::size_t i = 0; i + 1 < e.nozzle.rows.size(); ++i) {
            const auto& [low, low_flow] = e.nozzle.rows[i];
            const auto& [high, high_flow] = e.nozzle.rows[i + 1];
            if (low_flow == high_flow && p >= low && p <= high) full(low_flow, low, high);
        }
        if (law.state == State::running && q == 0) law.state = State::resting;
    }
    return law;
}

Equations::Law Equations::loss_law(const Element& e, double q, double inlet, double outlet) const {
    const double D = inlet - outlet, rest = at_rest(e);
    if (e.regulates()) {
        const double left = inlet - e.law.opening - e.law.above(q).value;
        if (std::abs(outlet - *e.set) <= near_height && left >= *e.set - near_height)
            return {&e, State::holding};
        return {&e, q > 0 || (std::abs(D - rest) <= near_height && outlet <= *e.set + near_height)
                        ? State::running
                        : State::resting};
    }
    if (!e.one_way && e.law.opening == 0) return {&e, State::running};
    if (q > 0 || (q == 0 && D >= rest - near_height)) return {&e, State::running};
    if (!e.one_way && (q < 0 || D <= -rest + near_height)) return {&e, State::backward};
    return {&e, State::resting};
}

// Behind elements at rest a part may stand at any height (dry heads, or a ring that its own pump drives). The
// specification takes the limit of a vanishing draw: the way in that leaves most height is the one that runs.
void Equations::tie_floating_parts(const Answer& answer) {
    std::vector<std::size_t> root(nodes_.size() + 1);  // the last one: all heights that are fixed
    std::iota(root.begin(), root.end(), std::size_t{0});
    const auto find = [&](std::size_t i) {
        while (root[i] != i) i = root[i] = root[root[i]];
        return i;
    };
    const auto name = [&](int node) { return node == outside ? nodes_.size() : unknown(node); };
    const auto tied = [&](int node) { return find(name(node)) == find(nodes_.size()); };
    for (const Law& law : elements_) {
        if (law.state == State::resting || law.state == State::full || law.state == State::holding) continue;
        root[find(name(law.element->tail))] = find(name(law.element->head));
    }
    const auto height = [&](int node) { return answer.height[static_cast<std::size_t>(node)]; };
    // What a regulator holds stands only where water stands before it.
    const auto tie_behind_regulators = [&] {
        for (bool more = true; more;) {
            more = false;
            for (const Law& law : elements_) {
                if (law.state != State::holding || !tied(law.element->tail) || tied(law.element->head))
                    continue;
                root[find(unknown(law.element->head))] = find(nodes_.size());
                more = true;
            }
        }
    };
    for (;;) {
        tie_behind_regulators();
        Law* best = nullptr;
        bool forward = true;
        double most = -infinity;
        const auto offer = [&](Law& law, int from, int to) {
            if (tied(to) || !tied(from)) return;
            const double left = height(from) - at_rest(*law.element) - height(to);
            if (left <= most) return;
            most = left;
            best = &law;
            forward = to == law.element->head;
        };
        for (Law& law : elements_) {
            const Element& e = *law.element;
            if (law.state != State::resting || e.tail == outside || e.head == outside) continue;
            offer(law, e.tail, e.head);
            if (!e.one_way) offer(law, e.head, e.tail);
        }
        if (best == nullptr) return;
        const Element& e = *best->element;
        best->state = !forward                                                ? State::backward
                      : e.regulates() && height(e.tail) - at_rest(e) > *e.set ? State::holding
                                                                              : State::running;
        root[find(unknown(forward ? e.head : e.tail))] = find(nodes_.size());
    }
}

Equations::Point Equations::point(std::size_t i, const double* x) const {
    const Element& e = *elements_[i].element;
    return {e.tail == outside ? e.outside_height : x[unknown(e.tail)],
            e.head == outside ? e.outside_height : x[unknown(e.head)], x[nodes_.size() + i]};
}

Equations::Row Equations::head_row(const Law& law, const Point& at) const {
    const Element& e = *law.element;
    const double q = at.flow, p = at.inlet - at.outlet - e.joint * std::abs(q) * q;
    const double p_by_q = -2 * e.joint * std::abs(q);
    if (law.state == State::limited) return {p, 1, 0, p_by_q};
    const double a = std::abs(q);
    const NozzleLaw::Pressures at_nozzle = a > 0 ? e.nozzle.pressures(a) : NozzleLaw::Pressures{0, 0, 0};
    const double needed = q < 0 ? -at_nozzle.least : at_nozzle.least;
    return {p - needed - leak_ * q, 1, 0, p_by_q - at_nozzle.slope - leak_};
}

Equations::Row Equations::row(const Law& law, const Point& at) const {
    const Element& e = *law.element;
    // A flow that is given is as much an equation in heights as the others: by the scales of both.
    const double as_height = height_scale_ / flow_scale_;
    if (law.state == State::resting) return {at.flow * as_height, 0, 0, as_height};
    if (law.state == State::full) return {(at.flow - law.full) * as_height, 0, 0, as_height};
    if (law.state == State::holding) return {at.outlet - *e.set, 0, 1, 0};
    if (e.kind == Kind::head) return head_row(law, at);
    // One-way laws end at no flow; on the way there the iteration may see their mirror image.
    Value lost = odd(e.law.above, at.flow);
    if (e.one_way && at.flow < 0) {
        const Value start = e.law.above(0), mirrored = e.law.above(-at.flow);
        lost = {2 * start.value - mirrored.value, mirrored.slope};
    }
    const double opening = law.state == State::backward ? -e.law.opening : e.law.opening;
    return {at.inlet - at.outlet - opening - lost.value - leak_ * at.flow, 1, -1, -lost.slope - leak_};
}

std::vector<double> Equations::unknown_scale() const {
    std::vector<double> scale(size(), flow_scale_);
    std::fill_n(scale.begin(), nodes_.size(), height_scale_);
    return scale;
}

std::vector<double> Equations::equation_scale() const {
    std::vector<double> scale(size(), height_scale_);
    std::fill_n(scale.begin(), nodes_.size(), flow_scale_);
    return scale;
}

void Equations::residual(const double* x, double* f) const {
    std::fill_n(f, nodes_.size(), 0.0);
    for (std::size_t i = 0; i < elements_.size(); ++i) {
        const Element& e = *elements_[i].element;
        const Point at = point(i, x);
        if (e.tail != outside) f[unknown(e.tail)] -= at.flow;
        if (e.head != outside) f[unknown(e.head)] += at.flow;
        f[nodes_.size() + i] = row(elements_[i], at).value;
    }
}

void Equations::jacobian(const double* x, std::vector<double>& values) const {
    values.assign(columns_.row.size(), 0.0);
    // The same order as the pattern: by element, into the columns of its nodes and its own.
    std::vector<long> next(columns_.start.begin(), columns_.start.end() - 1);
    const auto put = [&](std::size_t column, double value) {
        values[static_cast<std::size_t>(next[column]++)] = value;
    };
    for (std::size_t i = 0; i < elements_.size(); ++i) {
        const Element& e = *elements_[i].element;
        const Row at = row(elements_[i], point(i, x));
        const std::size_t own = nodes_.size() + i;
        if (e.tail != outside) {
            put(unknown(e.tail), at.by_inlet);
            put(own, -1);
        }
        if (e.head != outside) {
            put(unknown(e.head), at.by_outlet);
            put(own, 1);
        }
        put(own, at.by_flow);
    }
}

std::vector<double> Equations::cold_start() const {
    std::vector<double> x(size(), 0.0);
    std::fill_n(x.begin(), nodes_.size(), highest_);
    std::vector<std::vector<std::size_t>> at_node(nodes_.size());
    std::vector<std::size_t> visit;  // nodes in the order in which water comes to them
    std::vector<std::size_t> parent(nodes_.size(), elements_.size());
    std::vector<char> seen(nodes_.size(), 0);
    std::vector<double> passing(nodes_.size(), 0.0);
    const auto arrive = [&](int node, std::size_t by) {
        const std::size_t n = unknown(node);
        if (seen[n]) return;
        seen[n] = 1;
        parent[n] = by;
        visit.push_back(n);
    };
    for (std::size_t i = 0; i < elements_.size(); ++i) {
        const Element& e = *elements_[i].element;
        if (e.kind == Kind::supply) arrive(e.head, i);
        if (e.kind == Kind::head) {
            x[nodes_.size() + i] = e.design_flow;
            passing[unknown(e.tail)] += e.design_flow;
        }
        if (e.tail == outside || e.head == outside) continue;
        at_node[unknown(e.tail)].push_back(i);
        if (!e.one_way) at_node[unknown(e.head)].push_back(i);
    }
    for (std::size_t next = 0; next < visit.size(); ++next) {
        for (const std::size_t i : at_node[visit[next]]) {
            const Element& e = *elements_[i].element;
            arrive(unknown(e.tail) == visit[next] ? e.head : e.tail, i);
        }
    }
    for (std::size_t v = visit.size(); v-- > 0;) {
        const std::size_t i = parent[visit[v]];
        const Element& e = *elements_[i].element;
        const bool forward = unknown(e.head) == visit[v];
        x[nodes_.size() + i] = forward ? passing[visit[v]] : -passing[visit[v]];
        const int above = forward ? e.tail : e.head;
        if (above != outside) passing[unknown(above)] += passing[visit[v]];
    }
    return x;
}

std::vector<double> Equations::from_answer(const Answer& answer) const {
    std::vector<double> x(size());
    for (std::size_t n = 0; n < nodes_.size(); ++n) x[n] = answer.height[static_cast<std::size_t>(nodes_[n])];
    for (std::size_t i = 0; i < elements_.size(); ++i)
        x[nodes_.size() + i] =
            answer.flow[static_cast<std::size_t>(elements_[i].element - bare_.elements.data())];
    return x;
}

std::vector<double> Equations::nozzle_pressures(const std::vector<double>& x) const {
    std::vector<double> pressures;
    for (const Element& e : bare_.elements) {
        if (e.kind == Kind::head) pressures.push_back(std::numeric_limits<double>::quiet_NaN());
    }
    for (std::size_t i = 0; i < elements_.size(); ++i) {
        const Element& e = *elements_[i].element;
        if (e.kind != Kind::head) continue;
        const Point at = point(i, x.data());
        const double p = at.inlet - at.outlet - e.joint * at.flow * at.flow;
        pressures[static_cast<std::size_t>(e.index)] = e.set ? std::min(p, *e.set) : p;
    }
    return pressures;
}

std::string Equations::broken_state(const Law& law, const Point& at) const {
    const Element& e = *law.element;
    const double D = at.inlet - at.outlet, no_flow = kept_flow * flow_scale_;
    // A flow that the law hardly notices may have the wrong sign: in a ring of still water.
    const auto against = [&](double q) {
        return q < -no_flow &&
               (e.kind == Kind::head || std::abs(e.law.above(-q).value - e.law.above(0).value) > kept_height);
    };
    const auto kept = [](double less, double more) { return less <= more + kept_height; };
    if (law.state == State::running && (e.one_way || e.law.opening > 0) && against(at.flow))
        return "runs backwards";
    if (law.state == State::backward && against(-at.flow)) return "does not run backwards";
    if (e.kind == Kind::head) {
        const double p = D - e.joint * at.flow * at.flow;
        if (law.state == State::resting) return kept(D, 0) ? "" : "is dry under pressure";
        if (law.state == State::limited)
            return at.flow >= -no_flow && at.flow <= law.full + no_flow ? "" : "draws more than it may";
        if (law.state == State::full)
            return kept(law.least, p) && kept(p, law.most) ? "" : "is not at the pressure of its flow";
        return !e.set || kept(p, *e.set) ? "" : "does not regulate";
    }
    if (e.regulates()) {
        const double lost = at_rest(e) + (e.law.above(std::max(at.flow, 0.0)).value - e.law.above(0).value);
        if (law.state == State::running)
            return kept(at.outlet, *e.set) ? "" : "lets more than its set through";
        if (law.state == State::holding)
            return !against(at.flow) && kept(*e.set, at.inlet - lost) ? "" : "cannot hold its set";
        return kept(std::min(at.inlet - at_rest(e), *e.set), at.outlet) ? "" : "is shut and should not be";
    }
    if (law.state != State::resting) return "";
    return kept(D, at_rest(e)) && (e.one_way || kept(-D, at_rest(e))) ? "" : "is shut and should not be";
}

std::string Equations::broken_states(const std::vector<double>& x) const {
    std::ostringstream text;
    for (std::size_t i = 0; i < elements_.size(); ++i) {
        const std::string broken = broken_state(elements_[i], point(i, x.data()));
        if (!broken.empty())
            text << word(elements_[i].element->kind) << " " << elements_[i].element->index << " " << broken
                 << ". ";
    }
    return text.str();
}

}  // namespace evenhead::agreement
