#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "io/report/sections.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::ElementKind;

/// Positions 0 .. count - 1: as in the case where all are seen at once, else the worst first.
template <class Worse>
std::vector<std::size_t> ordered(std::size_t count, const Worse& worse) {
    std::vector<std::size_t> order(count);
    std::iota(order.begin(), order.end(), std::size_t{0});
    if (count > rows_shown) std::stable_sort(order.begin(), order.end(), worse);
    return order;
}

std::string caption_words(std::size_t count, std::string_view of_each) {
    return fmt::format("{} in all, {}{}", count,
                       count > rows_shown ? "the worst first" : "in the order of the case", of_each);
}

/// NaN is known least: last.
bool less_known(double one, double other) {
    return std::isnan(other) ? !std::isnan(one) : one < other;
}

class Tables {
  public:
    explicit Tables(const ReportParts& parts)
        : html_(parts.html),
          facts_(parts.facts),
          system_(parts.facts.subject.system),
          units_(parts.facts.speaker.units) {}

    void runs() {
        const auto order = ordered(facts_.runs.size(), [&](std::size_t a, std::size_t b) {
            const RunFacts &one = facts_.runs[a], &other = facts_.runs[b];
            if (one.solved != other.solved) return !one.solved;
            if (one.outside != other.outside) return one.outside;
            return less_known(one.margin, other.margin);
        });
        begin("runs", "Runs", "", order.size(),
              {{"Run"},
               {"Verdict"},
               number("Flow", Dimension::flow),
               number("Lowest", Dimension::pressure),
               {"at head"},
               number("Highest", Dimension::pressure),
               {"at head"},
               number("Spread", Dimension::share),
               number("Fastest water", Dimension::velocity),
               {"in pipe"},
               {"Critical head"},
               number("gets", Dimension::pressure),
               number("margin", Dimension::pressure),
               number("Largest surge", Dimension::pressure)},
              [&](HtmlRow& row, std::size_t i) {
                  const RunFacts& run = facts_.runs[order[i]];
                  const char* verdict = !run.solved   ? "not solved"
                                        : run.dry     ? "no water"
                                        : run.outside ? "outside"
                                                      : "within";
                  row.begin(fmt::format("row-run-{}", run.run)).head(run_id(facts_, run.run)).cell(verdict);
                  value(row, run.flow, Dimension::flow);
                  value(row, run.lowest, Dimension::pressure);
                  row.cell(id(ElementKind::head, run.lowest_head));
                  value(row, run.highest, Dimension::pressure);
                  row.cell(id(ElementKind::head, run.highest_head));
                  value(row, run.spread, Dimension::share);
                  value(row, run.velocity, Dimension::velocity);
                  row.cell(id(ElementKind::pipe, run.fastest_pipe))
                      .cell(id(ElementKind::head, run.critical_head));
                  value(row, run.critical, Dimension::pressure);
                  value(row, run.margin, Dimension::pressure, run.margin < 0);
                  value(row, run.surge, Dimension::pressure);
                  row.end();
              });
    }

    void heads() {
        const auto order = ordered(facts_.heads.size(), [&](std::size_t a, std::size_t b) {
            return less_known(facts_.heads[a].margin, facts_.heads[b].margin);
        });
        begin("heads", "Heads", "; each in its worst run", order.size(),
              {{"Head"},
               {"State"},
               {"Nozzle"},
               {"Run"},
               number("Pressure", Dimension::pressure),
               number("at least", Dimension::pressure),
               number("at most", Dimension::pressure),
               number("Margin", Dimension::pressure),
               number("Flow", Dimension::flow),
               number("Throw", Dimension::length),
               number("Elevation", Dimension::length)},
              [&](HtmlRow& row, std::size_t i) {
                  const std::size_t h = order[i];
                  const HeadFacts& head = facts_.heads[h];
                  const Index nozzle = system_.heads[h].nozzle;
                  const bool over = head.mark.state != HeadState::within && head.mark.state != HeadState::off;
                  row.begin(fmt::format("row-head-{}", h))
                      .head(id(ElementKind::head, static_cast<Index>(h)))
                      .cell(state_word(head.mark.state))
                      .cell(nozzle == model::none ? "-" : system_.nozzles[at(nozzle)].id)
                      .cell(run_id(facts_, head.mark.run));
                  value(row, head.mark.pressure, Dimension::pressure, over);
                  value(row, head.needs, Dimension::pressure);
                  value(row, head.bears, Dimension::pressure);
                  value(row, head.margin, Dimension::pressure, over);
                  value(row, head.mark.state == HeadState::off ? not_known : head.mark.flow, Dimension::flow);
                  value(row, head.mark.radius, Dimension::length);
                  elevation(row, system_.heads[h].point);
                  row.end();
              });
    }

    void pipes() {
        const auto order = ordered(facts_.pipes.size(), [&](std::size_t a, std::size_t b) {
            const PipeFacts &one = facts_.pipes[a], &other = facts_.pipes[b];
            return one.over != other.over ? one.over : one.velocity > other.velocity;
        });
        begin("pipes", "Pipes", "; each in the run of its fastest water", order.size(),
              {{"Pipe"},
               {"State"},
               {"Size"},
               number("Bore", Dimension::bore),
               number("Length", Dimension::length),
               {"Run"},
               number("Flow", Dimension::flow),
               number("Velocity", Dimension::velocity),
               number("Loss", Dimension::pressure),
               number("Largest surge", Dimension::pressure)},
              [&](HtmlRow& row, std::size_t i) {
                  const std::size_t p = order[i];
                  const PipeFacts& pipe = facts_.pipes[p];
                  const model::Pipe& of = system_.pipes[p];
                  const std::string size =
                      of.size->kind.empty() ? "bore given" : of.size->kind + " " + of.size->nominal;
                  row.begin(fmt::format("row-pipe-{}", p))
                      .head(system_.pipe_id(of))
                      .cell(of.closed       ? "closed"
                            : pipe.over     ? "over a limit"
                            : pipe.flow > 0 ? "within"
                                            : "no flow",
                            pipe.over)
                      .cell(size);
                  value(row, of.size->bore.value, Dimension::bore);
                  value(row, of.length.value, Dimension::length);
                  row.cell(run_id(facts_, pipe.run));
                  value(row, pipe.flow, Dimension::flow);
                  value(row, pipe.velocity, Dimension::velocity);
                  row.number(units_.number(pipe.loss, Dimension::pressure, 1));
                  value(row, pipe.surge, Dimension::pressure);
                  row.end();
              });
    }

    void devices() {
        const std::size_t devices = facts_.devices.size();
        const auto of = [&](std::size_t i) -> const PassedFacts& {
            return i < devices ? facts_.devices[i] : facts_.valves[i - devices];
        };
        const auto order = ordered(devices + facts_.valves.size(), [&](std::size_t a, std::size_t b) {
            return of(a).over != of(b).over ? of(a).over : of(a).flow > of(b).flow;
        });
        begin(
            "devices", "Devices and valves", "; each in the run of its largest flow", order.size(),
            {{"Device or valve"},
             {"Kind"},
             {"State"},
             {"Run"},
             number("Flow", Dimension::flow),
             number("Inlet", Dimension::pressure),
             number("Outlet", Dimension::pressure),
             number("Loss", Dimension::pressure),
             number("Holds", Dimension::pressure),
             number("Elevation", Dimension::length)},
            [&](HtmlRow& row, std::size_t i) {
                const std::size_t n = order[i];
                const bool device = n < devices;
                const auto position = static_cast<Index>(device ? n : n - devices);
                const solver::ElementRef element{device ? ElementKind::device : ElementKind::valve, position};
                const auto& set =
                    device ? system_.devices[at(position)].set : system_.valves[at(position)].set;
                const bool closed = device && system_.devices[at(position)].closed;
                const PassedFacts& passed = of(n);
                row.begin(fmt::format("row-{}-{}", device ? "device" : "valve", position))
                    .head(element_id(system_, element))
                    .cell(element_noun(system_, element))
                    .cell(closed               ? "closed"
                          : passed.over        ? "over a limit"
                          : !(passed.flow > 0) ? "no flow"
                          : passed.holding     ? "holds its outlet"
                                               : "within",
                          passed.over)
                    .cell(run_id(facts_, passed.run));
                value(row, passed.flow, Dimension::flow);
                value(row, passed.inlet, Dimension::pressure);
                value(row, passed.outlet, Dimension::pressure);
                value(row, passed.inlet - passed.outlet, Dimension::pressure);
                value(row, set ? set->value : not_known, Dimension::pressure);
                elevation(row,
                          device ? system_.devices[at(position)].point : system_.valves[at(position)].point);
                row.end();
            });
    }

  private:
    HtmlColumn number(const char* title, Dimension dimension) const {
        return {title, std::string(units_.word(dimension)), true};
    }
    void begin(std::string_view name, std::string_view title, std::string_view of_each, std::size_t rows,
               std::vector<HtmlColumn> columns, const std::function<void(HtmlRow&, std::size_t)>& row) {
        html_.raw(fmt::format("<h3 id=\"{}-title\">{}</h3>\n", name, title));
        const std::string id = std::string(name) + "-table";
        write_table(html_, {id, caption_words(rows, of_each), std::move(columns)}, rows, row);
    }
    void value(HtmlRow& row, double si, Dimension dimension, bool over = false) const {
        row.number(std::isfinite(si) ? units_.number(si, dimension) : "-", over);
    }
    void elevation(HtmlRow& row, Index point) const {
        const auto& known = facts_.subject.layout.elevation;
        value(row, known.empty() ? not_known : known[at(point)], Dimension::length);
    }
    std::string id(ElementKind kind, Index index) const {
        return index == model::none ? "-" : element_id(system_, {kind, index});
    }

    Html& html_;
    const ReportFacts& facts_;
    const model::System& system_;
    const ShownUnits& units_;
};

}  // namespace

void write_tables(const ReportParts& parts) {
    parts.html.raw(
        "<section id=\"tables\" aria-labelledby=\"tables-title\">\n<h2 id=\"tables-title\">Tables</h2>\n");
    Tables tables(parts);
    tables.runs();
    tables.heads();
    tables.pipes();
    tables.devices();
    parts.html.raw("</section>\n");
}

}  // namespace evenhead::io
