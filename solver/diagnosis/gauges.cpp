#include "solver/diagnosis/gauges.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "model/position.hpp"
#include "solver/diagnosis/faulty_system.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::solver {
namespace {

using model::DeviceType;
using model::none;
using model::Side;

// The spreads that the case format gives readings without one: half of them is the standard deviation.
constexpr double gauge_us = 6894.757293168361, gauge_metric = 7000;  // Pa
constexpr double meter_share = 0.03;
constexpr double least_meter = 0.1 * 0.003785411784 / 60;  // m3/s

class Planner {
  public:
    Planner(const model::System& system, const model::Layout& layout) : system_(system), layout_(layout) {
        for (const model::Reading& reading : system.readings) {
            if (reading.pressure) pressures_.push_back(reading.pressure->deviation);
        }
        std::sort(pressures_.begin(), pressures_.end());
    }

    Survey plan(Index complaint, std::vector<Index>& unused) {
        if (system_.readings.empty()) throw std::invalid_argument("there is no reading to go by");
        find_situations(complaint);
        read_gauges();
        const std::vector<Index> read_zones = zones_;
        if (all_shut_ == situations_.size()) situations_.push_back({none, {}});
        const std::size_t read_situations = situations_.size();
        add_neighbours();
        read_ = gauges_.size();
        for (std::size_t i = 0; i < situations_.size(); ++i)
            offer(i, situations_[i].run != none && i < read_situations, i >= read_situations);
        std::sort(zones_.begin(), zones_.end());
        Survey survey = make_survey(system_, layout_, situations_, gauges_, read_, zones_);
        survey.read_zones = read_zones;
        leave_out_unknown(survey, unused);
        return survey;
    }

  private:
    void add_zones(const std::vector<Index>& valves) {
        for (const Index valve : valves)
            if (std::find(zones_.begin(), zones_.end(), valve) == zones_.end()) zones_.push_back(valve);
    }

    std::size_t situation_of(Index run) {
        for (std::size_t i = 0; i < situations_.size(); ++i)
            if (situations_[i].run == run) return i;
        situations_.push_back({run, run == none ? std::vector<Index>{} : system_.runs[at(run)].valves});
        add_zones(situations_.back().open);
        return situations_.size() - 1;
    }

    void find_situations(Index complaint) {
        for (const model::Reading& reading : system_.readings)
            if (complaint == none && !reading.all_shut) complaint = reading.run;
        if (complaint == none && !system_.runs.empty()) complaint = 0;
        if (complaint == none) throw std::invalid_argument("the case has no run");
        situation_of(complaint);
        for (const model::Reading& reading : system_.readings)
            situation_of(reading.all_shut ? none : reading.run);
        all_shut_ = situations_.size();
        for (std::size_t i = 0; i < situations_.size(); ++i)
            if (situations_[i].run == none) all_shut_ = i;
    }

    void read_gauges() {
        for (const model::Reading& reading : system_.readings) {
            Gauge gauge;
            gauge.situation = situation_of(reading.all_shut ? none : reading.run);
            gauge.point = reading.point;
            gauge.flow = reading.flow.has_value();
            gauge.way = reading.gauge;
            gauge.side = reading.side;
            const model::Quantity& value = gauge.flow ? *reading.flow : *reading.pressure;
            gauge.deviation = value.deviation;
            gauge.measured = value.value;
            gauges_.push_back(gauge);
        }
    }

    // Up to three runs that were not read: those before and after in the order of the case, and the one
    // farthest off.
    void add_neighbours() {
        const auto runs = static_cast<Index>(system_.runs.size());
        const Index here = situations_.front().run;
        for (const Index run : {here - 1, here + 1, here < runs / 2 ? runs - 1 : 0}) {
            if (run < 0 || run >= runs || system_.runs[at(run)].valves.empty()) continue;
            if (system_.runs[at(run)].valves.size() > 4) continue;  // many zones at once tell little of one
            if (solve_run(system_, layout_, run).failure) continue;
            situation_of(run);
        }
    }

    // What was read is offered again: read a second time, it tells whether it was wrong.
    bool offered(const Gauge& gauge) const {
        return std::any_of(gauges_.begin() + static_cast<std::ptrdiff_t>(read_), gauges_.end(),
                           [&](const Gauge& other) {
                               return other.situation == gauge.situation && other.point == gauge.point &&
                                      other.flow == gauge.flow &&
                                      (gauge.flow || (other.side == gauge.side && other.way == gauge.way));
                           });
    }

    void offer_pressure(std::size_t situation, Index point, Side side = Side::outlet) {
        Gauge gauge;
        gauge.situation = situation;
        gauge.point = point;
        gauge.side = side;
        gauge.deviation = !pressures_.empty()                      ? pressures_[pressures_.size() / 2]
                          : system_.units == model::UnitSystem::us ? gauge_us
                                                                   : gauge_metric;
        if (!offered(gauge)) gauges_.push_back(gauge);
    }
    void offer_sides(std::size_t situation, Index point) {
        offer_pressure(situation, point, Side::inlet);
        offer_pressure(situation, point, Side::outlet);
    }
    void offer_flow(std::size_t situation, Index point) {
        Gauge gauge;
        gauge.situation = situation;
        gauge.point = point;
        gauge.flow = true;  // its spread follows when the flow is known
        if (!offered(gauge)) gauges_.push_back(gauge);
    }

    void offer(std::size_t situation, bool zones, bool few) {
        const Situation& of = situations_[situation];
        for (const model::Device& device : system_.devices) {
            if (layout_.point_on_mainline[at(device.point)] == 0) continue;
            if (device.type == DeviceType::meter || device.type == DeviceType::flow_sensor)
                offer_flow(situation, device.point);
            if (few) continue;
            const bool taps = device.type == DeviceType::backflow || device.type == DeviceType::filter ||
                              device.type == DeviceType::regulator || device.type == DeviceType::pump;
            if (taps) offer_sides(situation, device.point);
            if (device.type == DeviceType::quick_coupler) offer_pressure(situation, device.point);
        }
        if (!few)
            for (const model::Supply& supply : system_.supplies) offer_pressure(situation, supply.point);
        if (of.run == none) {
            for (const Index valve : zones_)
                offer_pressure(situation, system_.valves[at(valve)].point, Side::inlet);
            return;
        }
        for (const Index valve : of.open) {
            const model::Valve& row = system_.valves[at(valve)];
            if (row.head == none) {
                if (zones)
                    offer_sides(situation, row.point);
                else
                    offer_pressure(situation, row.point, Side::inlet);
            }
            const std::vector<Index>& heads = layout_.zone_heads[at(valve)];
            for (std::size_t i = 0; i < heads.size(); ++i)
                if (!few || i == 0 || i + 1 == heads.size())
                    offer_pressure(situation, system_.heads[at(heads[i])].point);
        }
    }

    /// Drops gauges that show what cannot be known, and gives flows their spread.
    static void leave_out_unknown(Survey& survey, std::vector<Index>& unused) {
        const Healthy healthy = FaultySystem::healthy(survey, model::fault_priors());
        std::vector<Gauge> kept;
        std::size_t readings = 0;
        for (std::size_t i = 0; i < survey.gauges.size(); ++i) {
            Gauge gauge = survey.gauges[i];
            const bool read = i < survey.readings;
            const bool known =
                gauge.point != none && i < healthy.shown.size() && !std::isnan(healthy.shown[i]);
            if (!known) {
                if (read) unused.push_back(static_cast<Index>(i));
                continue;
            }
            if (gauge.flow && !read) gauge.deviation = std::max(meter_share * healthy.shown[i], least_meter);
            kept.push_back(gauge);
            readings += read ? 1 : 0;
        }
        survey.gauges = std::move(kept);
        survey.readings = readings;
    }

    const model::System& system_;
    const model::Layout& layout_;
    std::vector<double> pressures_;  // deviations of those read
    std::vector<Situation> situations_;
    std::vector<Gauge> gauges_;
    std::size_t read_ = 0;  // how many of them were read
    std::vector<Index> zones_;
    std::size_t all_shut_ = 0;
};

}  // namespace

Survey plan_survey(const model::System& system, const model::Layout& layout, Index complaint,
                   std::vector<Index>& unused) {
    return Planner(system, layout).plan(complaint, unused);
}

}  // namespace evenhead::solver
