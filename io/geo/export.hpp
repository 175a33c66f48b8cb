// `evenhead export`: the system with its results as GeoJSON (RFC 7946).
#pragma once

#include <map>
#include <string>
#include <vector>

#include "io/geo/plane.hpp"
#include "io/write/output.hpp"
#include "io/write/sentences.hpp"
#include "model/graph.hpp"
#include "model/watering.hpp"
#include "solver/runs/runs.hpp"

namespace evenhead::io {

/// Why a system cannot be put on the map; empty where it can: no origin, or points too far from it. `mend`
/// follows.
struct MapFault {
    std::string text, mend;
};
MapFault map_fault(const model::System& system);

/// Gathers the runs one by one, then writes a FeatureCollection: supplies, devices, valves, heads, plain
/// points, pipes, areas. The properties of a feature are id, type, the keys of its row in the case and, each
/// with result_ before it, what the runs make of it. What has no coordinates has no geometry. What is no
/// place (units, nozzles, runs, limits, readings ...) stands in the member `case`. Numbers are in the units
/// of the case.
class GeoWriter {
  public:
    /// The system must have an origin.
    GeoWriter(Output& output, const Speaker& speaker, const model::Layout& layout,
              const model::WateringPlan& watering, std::string case_path);

    void add(const solver::RunResult& result, const solver::RunFindings& findings);
    void finish(const solver::CheckSummary& summary);

    std::size_t features() const { return features_; }
    /// What of the case does not go along, in words; mostly nothing.
    std::vector<std::string> not_carried() const;
    std::size_t without_place() const { return without_place_; }
    /// False for very many runs of a large system: then points, pipes, devices and supplies have the run
    /// that decides only (least pressure, most flow), heads and valves still every one.
    bool every_run() const { return every_run_; }

  private:
    struct Row {
        model::Index run;
        double values[3];
    };
    using Rows = std::vector<std::vector<Row>>;
    struct Found {
        std::vector<std::string> words;
        std::size_t more = 0;  ///< not kept
    };
    class Features;
    /// A rule that fails there; `run` none: in none or all.
    void note(const solver::Finding& finding, model::Index run);

    Output& output_;
    const Speaker& speaker_;
    const model::Layout& layout_;
    const model::WateringPlan& watering_;
    const std::string case_path_;
    TangentPlane plane_;
    const bool every_run_;
    Rows heads_, valves_, devices_, pipes_, supplies_, points_;
    std::map<std::pair<int, model::Index>, Found> findings_;  ///< by element
    std::vector<model::Index> failed_;
    std::size_t features_ = 0, without_place_ = 0;
};

}  // namespace evenhead::io
