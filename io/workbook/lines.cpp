#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "io/workbook/lines_parts.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::LossKind;
using solver::ElementKind;

class Reader {
  public:
    Reader(const Speaker& speaker, const solver::WorksheetLine& line, ChartList& charts)
        : system_(speaker.system), line_(line), charts_(charts) {}

    LineInputs read() {
        const std::string& item = line_.item;
        const std::size_t row = at(line_.subject.index);
        if (item == "static" || item == "supply")
            supply(system_.supplies[row], item == "static");
        else if (item == "pipe" || item == "fittings")
            pipe(system_.pipes[row], item == "pipe");
        else if (item == "elevation")
            elevation();
        else if (item == "regulation")
            regulation();
        else if (item == "swing-joint")
            loss(system_.heads[row].joint);
        else if (line_.subject.kind == ElementKind::valve)
            passage(system_.valves[row].loss, system_.valves[row].set);
        else
            device(system_.devices[row]);
        // A law closes to a hundred-millionth of a psi or so; where it does not give the change at all, as
        // behind a thing that holds the water at rest, the number of the balance stands.
        constexpr double closeness = 0.02;  // Pa
        if (!(std::abs(line_.by_law - line_.change) <= closeness + 1e-8 * std::abs(line_.change))) {
            inputs_ = {};
            inputs_.bore = line_.bore;
            inputs_.length = line_.length;
            inputs_.velocity = line_.velocity;
            if (item == "elevation") inputs_.elevation = line_.elevation;
        }
        return inputs_;
    }

  private:
    std::string owner() const { return element_name(system_, line_.subject); }

    void supply(const model::Supply& supply, bool at_rest) {
        if (at_rest) {
            inputs_.law = LineLaw::given;
            inputs_.pressure = line_.change;
            inputs_.elevation = line_.elevation;
        } else if (supply.tests.empty()) {
            inputs_.law = LineLaw::holds;
        } else {
            inputs_.law = LineLaw::chart;
            inputs_.chart = charts_.tests(owner(), supply.static_pressure.value, supply.tests);
        }
    }

    void pipe(const model::Pipe& pipe, bool friction) {
        inputs_.bore = line_.bore;
        inputs_.velocity = line_.velocity;
        if (!friction) {
            inputs_.law = LineLaw::fittings;
            if (pipe.k.value > 0) inputs_.k = pipe.k.value;
            if (pipe.fittings > 0) inputs_.share = pipe.fittings;
            return;
        }
        inputs_.length = line_.length;
        const bool hazen_williams = system_.friction == model::FrictionLaw::hazen_williams;
        inputs_.law = hazen_williams ? LineLaw::hazen_williams : LineLaw::darcy_weisbach;
        inputs_.friction = (hazen_williams ? pipe.size->c : pipe.size->roughness).value;
    }

    void elevation() {
        inputs_.law = LineLaw::elevation;
        inputs_.elevation = line_.elevation;
    }

    void regulation() {
        inputs_.law = LineLaw::regulation;
        const std::size_t row = at(line_.subject.index);
        if (line_.subject.kind == ElementKind::head)
            inputs_.pressure = system_.heads[row].set->value;
        else
            inputs_.pressure = held(line_.subject.kind == ElementKind::valve ? system_.valves[row].set
                                                                             : system_.devices[row].set);
    }

    /// NaN where nothing is held.
    static double held(const model::OptionalQuantity& set) { return set ? set->value : LineInputs::absent; }

    void device(const model::Device& device) {
        if (device.type != model::DeviceType::pump) {
            passage(device.loss, device.set);
            return;
        }
        inputs_.law = LineLaw::chart;
        inputs_.chart = charts_.rise(owner(), device.rise);
        inputs_.pressure = held(device.set);
    }

    /// Where it holds its outlet, a line of its own says so; else the line itself must not pass what is set.
    void passage(const model::Loss& of, const model::OptionalQuantity& set) {
        loss(of);
        inputs_.pressure = held(set);
    }

    void loss(const model::Loss& loss) {
        switch (loss.kind) {
            case LossKind::lossless:
                inputs_.law = LineLaw::lossless;
                break;
            case LossKind::cv:
            case LossKind::kv:
                inputs_.law = loss.kind == LossKind::cv ? LineLaw::cv : LineLaw::kv;
                inputs_.coefficient = loss.coefficient.value;
                break;
            case LossKind::k:
                inputs_.law = LineLaw::k;
                inputs_.k = loss.coefficient.value;
                inputs_.bore = loss.bore.value;
                inputs_.velocity = line_.flow / (std::numbers::pi / 4 * loss.bore.value * loss.bore.value);
                break;
            case LossKind::chart:
                inputs_.law = LineLaw::chart;
                inputs_.chart = charts_.loss(owner(), loss.chart);
                break;
        }
    }

    const model::System& system_;
    const solver::WorksheetLine& line_;
    ChartList& charts_;
    LineInputs inputs_;
};

std::string words_of_law(const LineInputs& inputs, const ChartList& charts) {
    switch (inputs.law) {
        case LineLaw::given:
            return "pressure at no flow";
        case LineLaw::holds:
            return "holds at any flow";
        case LineLaw::chart:
            return fmt::format("chart {}", charts[*inputs.chart].number);
        case LineLaw::hazen_williams:
            return "Hazen-Williams";
        case LineLaw::darcy_weisbach:
            return "Darcy-Weisbach";
        case LineLaw::fittings:
            return std::isnan(inputs.k)       ? "share of the friction"
                   : std::isnan(inputs.share) ? "k V²/2g"
                                              : "share of the friction, k V²/2g";
        case LineLaw::elevation:
            return "height of water";
        case LineLaw::lossless:
            return "loses nothing";
        case LineLaw::cv:
            return "(flow/cv)²";
        case LineLaw::kv:
            return "(flow/kv)²";
        case LineLaw::k:
            return "k V²/2g";
        case LineLaw::regulation:
            return "holds its pressure";
        case LineLaw::balance:
            break;
    }
    return "no law: from the balance";
}

}  // namespace

LineInputs line_inputs(const Speaker& speaker, const solver::WorksheetLine& line, ChartList& charts) {
    return Reader(speaker, line, charts).read();
}

std::string law_words(const LineInputs& inputs, const ChartList& charts) {
    std::string words = words_of_law(inputs, charts);
    if (!std::isnan(inputs.pressure) && inputs.law != LineLaw::given && inputs.law != LineLaw::regulation)
        words += ", at most set";
    return words;
}

}  // namespace evenhead::io
