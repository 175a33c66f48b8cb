#include "solver/sizing/label_lists.hpp"

#include <algorithm>
#include <limits>

namespace evenhead::solver {
namespace {

constexpr std::size_t most_labels = 6000;  // of a node
constexpr std::size_t most_steps = 300;

bool no_more(const Label& one, const Label& other) {
    if (one.p > other.p || one.bore > other.bore) return false;
    for (std::size_t k = 0; k < K; ++k)
        if (one.q[k] > other.q[k] * (1 + 1e-12)) return false;
    return true;
}

/// Pairs of about the same p become one that is no worse than either.
void throw_together(Labels& labels, std::size_t most) {
    while (labels.size() > most) {
        std::stable_sort(labels.begin(), labels.end(), [](const Label& a, const Label& b) {
            if (a.bore != b.bore) return a.bore < b.bore;
            if (a.p != b.p) return a.p < b.p;
            return a.cost < b.cost;
        });
        Labels fewer;
        for (std::size_t i = 0; i < labels.size();) {
            if (i + 1 == labels.size() || labels[i].bore != labels[i + 1].bore) {
                fewer.push_back(labels[i++]);
                continue;
            }
            const bool first = labels[i].cost <= labels[i + 1].cost;
            Label made = first ? labels[i] : labels[i + 1];
            const Label& other = first ? labels[i + 1] : labels[i];
            made.p = std::min(made.p, other.p);
            for (std::size_t k = 0; k < K; ++k) made.q[k] = std::min(made.q[k], other.q[k]);
            fewer.push_back(made);
            i += 2;
        }
        if (fewer.size() == labels.size()) break;
        labels = std::move(fewer);
    }
}

}  // namespace

bool thin_labels(Labels& labels) {
    bool exact = true;
    const auto shorten = [&](Labels& list, std::size_t from, std::size_t to) {
        if (list.size() <= from) return;
        exact = false;
        throw_together(list, to);
    };
    shorten(labels, 20 * most_labels, 20 * most_labels);
    std::stable_sort(labels.begin(), labels.end(), [](const Label& a, const Label& b) {
        if (a.cost != b.cost) return a.cost < b.cost;
        return a.p < b.p;
    });
    Labels kept;
    for (const Label& label : labels) {
        bool needless = false;
        // Most are discarded by one of about their own cost.
        for (std::size_t i = kept.size(); i-- > 0 && !needless;) needless = no_more(kept[i], label);
        if (!needless) kept.push_back(label);
        shorten(kept, 2 * most_labels, most_labels);
    }
    shorten(kept, most_labels, most_labels);
    labels = std::move(kept);
    return exact;
}

void prune(CostSteps& steps, bool lower_is_better) {
    std::sort(steps.begin(), steps.end(), [&](const CostStep& a, const CostStep& b) {
        if (a.cost != b.cost) return a.cost < b.cost;
        return lower_is_better ? a.height < b.height : a.height > b.height;
    });
    CostSteps kept;
    for (const CostStep& step : steps)
        if (kept.empty() || (lower_is_better ? step.height < kept.back().height - 1e-12
                                             : step.height > kept.back().height + 1e-12))
            kept.push_back(step);
    while (kept.size() > most_steps) {
        CostSteps fewer;
        for (std::size_t i = 0; i < kept.size(); i += 2) {
            fewer.push_back(kept[i]);
            if (i + 1 < kept.size()) fewer.back().height = kept[i + 1].height;
        }
        kept = std::move(fewer);
    }
    steps = std::move(kept);
}

double cheapest(const CostSteps& steps, double height) {
    // Costs rise as heights fall: the first low enough is the cheapest.
    const auto found = std::partition_point(
        steps.begin(), steps.end(), [&](const CostStep& step) { return step.height > height + 1e-9; });
    return found == steps.end() ? std::numeric_limits<double>::infinity() : found->cost;
}

}  // namespace evenhead::solver
