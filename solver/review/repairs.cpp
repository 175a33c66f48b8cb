// Repairs: single changes that might mend a head, each tried by solving its run again: every pipe on the
// water's way one size up in its kind, each other nozzle of the case, valve and devices on the way one usual
// size up.
#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "model/catalogue.hpp"
#include "model/pipe_sizes.hpp"
#include "model/position.hpp"
#include "solver/parallel.hpp"
#include "solver/review/review.hpp"
#include "solver/review/trial.hpp"
#include "solver/rules/rule.hpp"
#include "solver/worksheet/worksheet.hpp"

namespace evenhead::solver {
namespace {

constexpr double least_gain = 10;  // Pa: less is nothing

std::string size_words(const model::PipeSize& size) {
    return size.kind + " " + size.nominal;
}

std::string_view device_word(model::DeviceType type) {
    constexpr std::array<std::string_view, 11> words{"meter",       "backflow",      "filter", "regulator",
                                                     "check",       "gate",          "pump",   "master",
                                                     "flow-sensor", "quick-coupler", "other"};
    return words[static_cast<std::size_t>(type)];
}

/// What is tried: the change as it will be told, and the system with it made.
struct Attempt {
    Repair repair;
    std::optional<model::PipeSize> size;     // of a pipe
    Index nozzle = model::none;              // of a head
    std::vector<model::GenericLoss> losses;  // of a valve or device: usual ones, smallest first
};

class Attempts {
  public:
    Attempts(const model::System& system, const Worksheet& way, const DecidingHead& head)
        : system_(system), way_(way), head_(head) {}

    std::vector<Attempt> all() {
        for (const WorksheetLine& line : way_.lines) {
            if (line.subject.index == model::none) continue;
            if (line.item == "pipe") add_pipe(line.subject);
            if (line.subject.kind == ElementKind::valve && line.item == "valve") add_valve(line.subject);
            if (line.subject.kind == ElementKind::device && line.item != "regulation")
                add_device(line.subject);
        }
        add_nozzles();
        return std::move(attempts_);
    }

  private:
    Attempt& begin(Repair::Kind kind, ElementRef subject, std::string from, std::string to) {
        Attempt attempt;
        attempt.repair = {
            head_.run, head_.head, head_.condition, kind, subject, std::move(from), std::move(to), 0, false};
        attempts_.push_back(std::move(attempt));
        return attempts_.back();
    }
    void add_pipe(const ElementRef& pipe) {
        const model::PipeSize& size = *system_.pipes[at(pipe.index)].size;
        if (auto larger = model::larger_size(system_, size)) {
            const std::string to = size_words(*larger);
            begin(Repair::Kind::pipe, pipe, size_words(size), to).size = std::move(larger);
        }
    }
    void add_losses(Repair::Kind kind, ElementRef subject, std::string_view type, const std::string& size) {
        std::vector<model::GenericLoss> larger;
        bool above = size.empty();  // of no size: any that takes less
        for (const std::string& usual : model::generic_sizes(type)) {
            auto loss = model::generic_loss(type, usual);
            if (above && loss) larger.push_back(std::move(*loss));
            const auto own = model::generic_loss(type, size);
            if (own && own->size == usual) above = true;
        }
        if (larger.empty()) return;
        if (!size.empty()) larger.resize(1);
        begin(kind, subject, size.empty() ? "as given" : size, "").losses = std::move(larger);
    }
    void add_valve(const ElementRef& valve) {
        add_losses(Repair::Kind::valve, valve, "valve", system_.valves[at(valve.index)].size);
    }
    void add_device(const ElementRef& device) {
        const model::Device& row = system_.devices[at(device.index)];
        if (row.type == model::DeviceType::pump || row.size.empty()) return;
        add_losses(Repair::Kind::device, device, device_word(row.type), row.size);
    }
    void add_nozzles() {
        const Index own = system_.heads[at(head_.head)].nozzle;
        if (own == model::none) return;
        for (std::size_t nozzle = 0; nozzle < std::min(most_nozzles, system_.nozzles.size()); ++nozzle)
            if (static_cast<Index>(nozzle) != own)
                begin(Repair::Kind::nozzle, {ElementKind::head, head_.head}, system_.nozzles[at(own)].id,
                      system_.nozzles[nozzle].id)
                    .nozzle = static_cast<Index>(nozzle);
    }

    const model::System& system_;
    const Worksheet& way_;
    const DecidingHead& head_;
    std::vector<Attempt> attempts_;
};

model::Loss& loss_of(model::System& system, const ElementRef& subject) {
    return subject.kind == ElementKind::valve ? system.valves[at(subject.index)].loss
                                              : system.devices[at(subject.index)].loss;
}

/// `changed` is a copy of the system, changed and put back: a copy for each attempt would take longer than
/// its balance. `before`: the head's pressure without the change.
class Tries {
  public:
    Tries(model::System system, const model::Layout& layout) : layout_(layout), changed_(std::move(system)) {}

    /// Empty where nothing is gained.
    std::optional<Repair> try_it(Attempt attempt, double before) {
        Repair& repair = attempt.repair;
        if (repair.kind == Repair::Kind::pipe) {
            model::PipeSize& size = changed_.pipes[at(repair.subject.index)].size.edit();
            const model::PipeSize given = size;
            size = *attempt.size;
            measure(repair, before);
            changed_.pipes[at(repair.subject.index)].size.edit() = given;
        } else if (repair.kind == Repair::Kind::nozzle) {
            Index& nozzle = changed_.heads[at(repair.subject.index)].nozzle;
            const Index given = nozzle;
            nozzle = attempt.nozzle;
            measure(repair, before);
            nozzle = given;
        } else {
            model::Loss& loss = loss_of(changed_, repair.subject);
            const model::Loss given = loss;
            for (const model::GenericLoss& usual : attempt.losses) {
                loss = {model::LossKind::chart, {}, {}, usual.chart, true};
                repair.to = "usual " + usual.size;
                measure(repair, before);
                if (repair.gain > least_gain) break;
            }
            loss = given;
        }
        return repair.gain > least_gain ? std::optional(repair) : std::nullopt;
    }

  private:
    void measure(Repair& repair, double before) {
        repair.gain = 0;
        ReviewTrial trial(changed_, layout_);
        const RunResult& result = trial.balance(repair.run);
        if (result.failure) return;
        const double pressure = result.head_pressure[at(repair.head)];
        if (std::isnan(pressure)) return;
        repair.gain = pressure - before;
        const auto wanted = wanted_pressure(changed_, repair.head);
        repair.mends = wanted && !outside(pressure, *wanted, false, model::Dimension::pressure);
    }

    const model::Layout& layout_;
    model::System changed_;
};

struct Job {
    Attempt attempt;
    std::size_t condition;
    double before;  // Pa
};

std::vector<DecidingHead> heads_to_mend(const RulesReview& rules) {
    std::vector<DecidingHead> heads;
    for (const DecidingHead& head : rules.heads) {
        if (heads.size() == most_repaired || (!head.fails && !heads.empty())) break;
        if (!std::isnan(head.severity)) heads.push_back(head);
    }
    return heads;
}

}  // namespace

RepairReview review_repairs(const model::System& system, const model::Layout& layout,
                            const RulesReview& rules, int threads) {
    RepairReview review;
    const std::vector<DecidingHead> heads = heads_to_mend(rules);
    for (const DecidingHead& head : rules.heads) review.left_out += head.fails ? 1 : 0;
    review.nozzles_left_out = system.nozzles.size() - std::min(most_nozzles, system.nozzles.size());

    std::vector<std::optional<model::System>> under(rules.conditions.size());
    std::vector<Job> jobs;
    for (const DecidingHead& head : heads) {
        auto& conditioned = under[head.condition];
        if (!conditioned)
            conditioned = model::under_condition(system, rules.conditions[head.condition].change);
        ReviewTrial trial(*conditioned, layout);
        const RunResult& result = trial.balance(head.run);
        if (result.failure || !(result.head_flow[at(head.head)] > 0)) continue;
        const Worksheet way = make_worksheet(*conditioned, layout, result, head.head);
        std::vector<Attempt> attempts = Attempts(*conditioned, way, head).all();
        if (head.fails && !attempts.empty()) --review.left_out;
        for (Attempt& attempt : attempts) jobs.push_back({std::move(attempt), head.condition, way.pressure});
    }

    std::vector<std::optional<Repair>> tried(jobs.size());
    struct Worker {
        std::size_t condition;
        Tries tries;
    };
    std::vector<std::optional<Worker>> workers(at(threads));
    in_parallel(at(threads), jobs.size(), [&](std::size_t w, std::size_t i) {
        auto& worker = workers[w];
        if (!worker || worker->condition != jobs[i].condition)
            worker.emplace(Worker{jobs[i].condition, Tries(*under[jobs[i].condition], layout)});
        tried[i] = worker->tries.try_it(jobs[i].attempt, jobs[i].before);
    });
    // Jobs stand by head already: of each the largest gain first.
    for (std::size_t first = 0; first < jobs.size();) {
        std::size_t last = first;
        const auto begin = review.rows.size();
        const Repair& of = jobs[first].attempt.repair;
        for (; last < jobs.size() && jobs[last].attempt.repair.head == of.head &&
               jobs[last].attempt.repair.run == of.run;
             ++last)
            if (tried[last]) review.rows.push_back(*tried[last]);
        std::stable_sort(
            review.rows.begin() + static_cast<std::ptrdiff_t>(begin), review.rows.end(),
            [](const Repair& one, const Repair& other) { return clearly_above(one.gain, other.gain); });
        first = last;
    }
    return review;
}

}  // namespace evenhead::solver
