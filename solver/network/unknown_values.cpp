// What the case leaves as "?" and the balance cannot do without.
#include "solver/network/network.hpp"

namespace evenhead::solver {
namespace {

using model::Quantity;

class Search {
  public:
    explicit Search(const model::System& system) : system_(system) {}

    std::vector<model::Issue> run() {
        if (system_.ground)
            need(*system_.ground, {0, 1, 1}, "ground", "the elevation of points that give none");
        for (const model::Point& point : system_.points) {
            if (point.elevation) need(*point.elevation, point.place, point.id, "its elevation");
        }
        for (const model::Supply& supply : system_.supplies) {
            const model::Point& point = at(supply.point);
            need(supply.static_pressure, point.place, point.id, "its static pressure");
            chart(supply.tests, point.place, point.id, "its flow test");
        }
        for (const model::Device& device : system_.devices) {
            const model::Point& point = at(device.point);
            if (device.type == model::DeviceType::pump) {
                chart(device.rise, point.place, point.id, "its curve");
            } else {
                loss(device.loss, point.place, point.id);
            }
            if (device.set) need(*device.set, point.place, point.id, "its set pressure");
        }
        for (const model::Valve& valve : system_.valves) {
            const std::string& id = at(valve.point).id;
            loss(valve.loss, valve.place, id);
            if (valve.set) need(*valve.set, valve.place, id, "its set pressure");
        }
        for (const model::Nozzle& nozzle : system_.nozzles)
            chart(nozzle.rows, nozzle.place, nozzle.id, "its pressure and flow");
        for (const model::Head& head : system_.heads) {
            const model::Point& point = at(head.point);
            if (head.nozzle == model::none) miss(point.place, point.id, "its nozzle");
            loss(head.joint, point.place, point.id);
            if (head.set) need(*head.set, point.place, point.id, "its set pressure");
        }
        const bool hazen_williams = system_.friction == model::FrictionLaw::hazen_williams;
        for (const model::Pipe& pipe : system_.pipes) {
            if (pipe.size->given_unknown || !pipe.size->bore.known()) {
                miss(pipe.place, system_.pipe_id(pipe), "its size");
                continue;
            }
            const Quantity& friction = hazen_williams ? pipe.size->c : pipe.size->roughness;
            if (pipe.length.known() && pipe.k.known() && friction.known()) continue;
            const std::string id = system_.pipe_id(pipe);
            need(pipe.length, pipe.place, id, "its length");
            need(pipe.k, pipe.place, id, "its k");
            need(friction, pipe.place, id, hazen_williams ? "its C" : "its roughness");
        }
        return std::move(missing_);
    }

  private:
    const model::Point& at(Index point) const { return system_.points[static_cast<std::size_t>(point)]; }

    void miss(const model::Place& place, const std::string& row, const std::string& what) {
        missing_.push_back({place, row,
                            what + " is not known (\"?\"), and pressures cannot be balanced without it",
                            "give a value, an uncertain one with its spread, such as \"1.8 gpm +- 10 %\""});
    }
    void need(const Quantity& quantity, const model::Place& place, const std::string& row,
              const std::string& what) {
        if (!quantity.known()) miss(place, row, what);
    }
    void chart(const std::vector<model::ChartRow>& rows, const model::Place& place, const std::string& row,
               const std::string& what) {
        for (const model::ChartRow& of : rows) {
            if (of.at.known() && of.value.known()) continue;
            miss(place, row, what);
            return;
        }
    }
    void loss(const model::Loss& of, const model::Place& place, const std::string& row) {
        if (of.kind == model::LossKind::chart) return chart(of.chart, place, row, "its loss");
        if (of.kind == model::LossKind::lossless) return;
        need(of.coefficient, place, row, "its loss coefficient");
        if (of.kind == model::LossKind::k) need(of.bore, place, row, "the bore of its k");
    }

    const model::System& system_;
    std::vector<model::Issue> missing_;
};

}  // namespace

std::vector<model::Issue> unknown_values(const model::System& system) {
    return Search(system).run();
}

}  // namespace evenhead::solver
