// The derivatives of a head in a list, by what a step that people would take gains.
#include <algorithm>
#include <array>
#include <cmath>

#include "model/pipe_sizes.hpp"
#include "model/position.hpp"
#include "solver/balance/balance.hpp"
#include "solver/parallel.hpp"
#include "solver/review/sensitivity.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::solver {
namespace {

using model::Dimension;
using model::LossKind;
using Table = InputSubject::Table;

constexpr double psi = 6894.757293168361, foot = 0.3048;
constexpr double tenth = 0.1;        // of a coefficient, a roughness, a bore without a larger size
constexpr double some_c = 10;        // of Hazen-Williams C: new to old, one kind to another
constexpr double negligible = 1e-3;  // Pa for a natural step

constexpr std::array<std::string_view, 14> names{"static",      "residual",  "bore", "c",   "roughness",
                                                 "length",      "elevation", "cv",   "kv",  "k",
                                                 "nozzle_flow", "set",       "loss", "rise"};

class Listing {
  public:
    Listing(const model::System& system, const Network& network, const Tangents& tangents,
            const HeadDerivatives& of)
        : system_(system), net_(network), tangents_(tangents), of_(of) {
        const bool us = system.units == model::UnitSystem::us;
        pressure_step_ = us ? psi : 10e3;
        elevation_step_ = us ? foot : 1;
        length_step_ = us ? 10 * foot : 3;
    }

    std::vector<Derivative> list() {
        std::vector<char> nozzle_runs(system_.nozzles.size(), 0);
        for (const int element : tangents_.elements()) {
            if (element < net_.first_pipe)
                supply(element);
            else if (element < net_.first_device)
                pipe(element - net_.first_pipe);
            else if (element < net_.first_valve)
                device(element - net_.first_device);
            else if (element < net_.first_head)
                valve(element - net_.first_valve);
            else
                head(element - net_.first_head, nozzle_runs);
        }
        for (std::size_t i = 0; i < nozzle_runs.size(); ++i)
            if (nozzle_runs[i] != 0) nozzle(static_cast<Index>(i));
        std::stable_sort(list_.begin(), list_.end(), [](const Derivative& one, const Derivative& other) {
            return std::abs(one.gain) > std::abs(other.gain);
        });
        return std::move(list_);
    }

  private:
    void add(InputName input, const InputSubject& subject, double now, double step, Dimension dimension,
             bool factor = false) {
        Derivative made;
        made.input = input;
        made.subject = subject;
        made.value = of_.by(input, subject);
        made.dimension = dimension;
        made.factor = factor;
        made.now = now;
        made.step = step;
        made.gain = made.value * step;
        add(made);
    }
    void add(const Derivative& made) {
        if (std::abs(made.gain) > negligible) list_.push_back(made);
    }
    void pressure(InputName input, const InputSubject& subject, double now) {
        add(input, subject, now, pressure_step_, Dimension::pressure);
    }
    void share(InputName input, const InputSubject& subject, double now,
               Dimension dimension = Dimension::none) {
        add(input, subject, now, tenth * now, dimension);
    }
    void chart(InputName input, const InputSubject& subject) {
        add(input, subject, 1, tenth, Dimension::none, true);
    }
    void elevation(Index point) {
        const auto& given = system_.points[at(point)].elevation;
        add(InputName::elevation, {Table::point, point},
            given ? given->value : net_.node_elevation[at(net_.inlet_node[at(point)])], elevation_step_,
            Dimension::length);
    }

    void supply(Index row) {
        const model::Supply& of = system_.supplies[at(row)];
        pressure(InputName::static_pressure, {Table::supply, row}, of.static_pressure.value);
        if (!of.tests.empty())
            pressure(InputName::residual, {Table::supply, row}, of.tests.front().value.value);
        elevation(of.point);
    }

    void pipe(Index row) {
        const model::Pipe& of = system_.pipes[at(row)];
        const InputSubject subject{Table::pipe, row};
        bore(row, subject);
        if (system_.friction == model::FrictionLaw::hazen_williams)
            add(InputName::c, subject, of.size->c.value, some_c, Dimension::none);
        else
            share(InputName::roughness, subject, of.size->roughness.value, Dimension::roughness);
        add(InputName::length, subject, of.length.value, length_step_, Dimension::length);
        if (of.k.value > 0) share(InputName::k, subject, of.k.value);
    }

    void bore(Index row, const InputSubject& subject) {
        const model::PipeSize& size = *system_.pipes[at(row)].size;
        Derivative made;
        made.subject = subject;
        made.value = of_.by(InputName::bore, subject);
        made.dimension = Dimension::bore;
        made.now = size.bore.value;
        if (const auto larger = model::larger_size(system_, size)) {
            made.step = larger->bore.value - made.now;
            made.size = larger->nominal;
            made.gain = of_.by_other_size(row, *larger);
        } else {
            made.step = tenth * made.now;
            model::PipeSize wider = size;
            wider.bore.value += made.step;
            made.gain = of_.by_other_size(row, wider);
        }
        add(made);
    }

    void loss(const model::Loss& of, const InputSubject& subject) {
        switch (of.kind) {
            case LossKind::lossless:
                return;
            case LossKind::cv:
                return share(InputName::cv, subject, of.coefficient.value);
            case LossKind::kv:
                return share(InputName::kv, subject, of.coefficient.value);
            case LossKind::k:
                share(InputName::k, subject, of.coefficient.value);
                return share(InputName::bore, subject, of.bore.value, Dimension::bore);
            case LossKind::chart:
                return chart(InputName::loss, subject);
        }
    }

    template <class Row>
    void set(const Row& of, const InputSubject& subject, Index point) {
        if (!of.set) return;
        pressure(InputName::set, subject, of.set->value);
        if (point != model::none) elevation(point);
    }

    void device(Index row) {
        const model::Device& of = system_.devices[at(row)];
        const InputSubject subject{Table::device, row};
        if (of.type == model::DeviceType::pump)
            chart(InputName::rise, subject);
        else
            loss(of.loss, subject);
        set(of, subject, of.point);
    }

    void valve(Index row) {
        const model::Valve& of = system_.valves[at(row)];
        loss(of.loss, {Table::valve, row});
        set(of, {Table::valve, row}, of.head == model::none ? of.point : model::none);  // else with its head
    }

    void head(Index row, std::vector<char>& nozzle_runs) {
        const model::Head& of = system_.heads[at(row)];
        loss(of.joint, {Table::head, row});
        set(of, {Table::head, row}, model::none);
        elevation(of.point);
        nozzle_runs[at(of.nozzle)] = 1;
    }

    void nozzle(Index row) {
        const InputSubject subject{Table::nozzle, row};
        const auto& rows = system_.nozzles[at(row)].rows;
        if (rows.size() > 1) return chart(InputName::nozzle_flow, subject);
        const double flow = rows.front().value.value;
        Derivative made;
        made.input = InputName::nozzle_flow;
        made.subject = subject;
        made.value = of_.by(InputName::nozzle_flow, subject) / flow;
        made.dimension = Dimension::flow;
        made.now = flow;
        made.step = tenth * flow;
        made.gain = made.value * made.step;
        add(made);
    }

    const model::System& system_;
    const Network& net_;
    const Tangents& tangents_;
    const HeadDerivatives& of_;
    double pressure_step_, elevation_step_, length_step_;
    std::vector<Derivative> list_;
};

}  // namespace

std::string_view input_name(InputName input) {
    return names[static_cast<std::size_t>(input)];
}

std::vector<Derivative> list_derivatives(const model::System& system, const Network& network,
                                         const Tangents& tangents, const HeadDerivatives& of) {
    return of.empty() ? std::vector<Derivative>{} : Listing(system, network, tangents, of).list();
}

HeadsOfRuns most_critical(std::vector<CriticalHead> all, std::size_t most) {
    const auto spare = [](const CriticalHead& of) { return std::isnan(of.margin) ? infinity : of.margin; };
    std::stable_sort(all.begin(), all.end(), [&](const CriticalHead& one, const CriticalHead& other) {
        return spare(one) < spare(other);
    });
    HeadsOfRuns found;
    found.runs_left_out = all.size() - std::min(all.size(), most);
    all.resize(all.size() - found.runs_left_out);
    for (const CriticalHead& critical : all) found.heads.push_back({critical.run, critical.head});
    std::sort(found.heads.begin(), found.heads.end(),
              [](const HeadOfRun& one, const HeadOfRun& other) { return one.run < other.run; });
    return found;
}

std::vector<HeadSensitivity> find_sensitivity(const model::System& system, const model::Layout& layout,
                                              const std::vector<HeadOfRun>& heads, int threads) {
    const Network network = build_network(system, layout);
    const Prepared prepared = prepare(network);
    std::vector<HeadSensitivity> found(heads.size());
    in_parallel(at(threads > 0 ? threads : default_threads()), heads.size(), [&](std::size_t, std::size_t i) {
        Balancer balancer(system, network, prepared);
        RunResult result;
        balancer.balance(heads[i].run, system.runs[at(heads[i].run)].valves, result);
        if (result.failure || !(result.head_flow[at(heads[i].head)] > 0)) return;
        const Tangents tangents(network, balancer.state());
        const HeadDerivatives of(system, network, tangents, heads[i].head);
        found[i] = {heads[i].run, heads[i].head, result.head_pressure[at(heads[i].head)],
                    list_derivatives(system, network, tangents, of)};
    });
    std::erase_if(found, [](const HeadSensitivity& of) { return of.run == model::none; });
    return found;
}

}  // namespace evenhead::solver
