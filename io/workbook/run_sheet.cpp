#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "io/workbook/formulas_parts.hpp"
#include "io/workbook/run_sheet_parts.hpp"
#include "io/write/check_answer.hpp"
#include "io/write/finding_list.hpp"
#include "io/write/layout.hpp"
#include "io/write/worksheet.hpp"
#include "model/position.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using solver::ElementKind;
using solver::WorksheetLine;

constexpr int heading_row = 4, first_line = 5;
constexpr std::size_t most_named = 6;

class RunSheet {
  public:
    RunSheet(Sheet& sheet, const WorkbookSubject& subject, const SheetPlan& plan, const ColumnList& columns,
             const ChartList& charts)
        : sheet_(sheet),
          speaker_(subject.speaker),
          system_(speaker_.system),
          units_(speaker_.units),
          plan_(plan),
          worksheet_(plan.sheet->worksheet),
          columns_(columns),
          charts_(charts) {}

    ResultCells write() {
        for (std::size_t i = 0; i < worksheet_.lines.size(); ++i) line(i);
        results();
        heading();
        layout();
        bottom();
        print();
        return cells_;
    }

  private:
    int column(Column of) const { return columns_[of]; }
    std::string ref(int row, Column of) const { return cell_name(row, column(of)); }
    double shown(double si, Dimension dimension) const { return units_.in_unit(si, dimension); }
    std::string digits(Dimension dimension, int more = 0) const { return units_.number(0, dimension, more); }
    std::string id(ElementKind kind, model::Index index) const { return element_id(system_, {kind, index}); }

    void input(int row, Column of, double value, const std::string& numbers) {
        if (!std::isnan(value)) sheet_.number(row, column(of), value, Look::input, numbers);
    }

    void line(std::size_t i) {
        const WorksheetLine& of = worksheet_.lines[i];
        const WorksheetLine* before = i > 0 ? &worksheet_.lines[i - 1] : nullptr;
        const LineInputs& inputs = plan_.inputs[i];
        const int row = first_line + static_cast<int>(i);
        sheet_.blank(row, 1, columns_.last_printed(), Look::row);
        sheet_.text(row, 0, worksheet_label(speaker_, of, before), Look::label);
        flow(row, of.flow, before != nullptr ? before->flow : std::nan(""));
        const bool fittings = inputs.law == LineLaw::fittings;
        if (fittings)  // the bore of the pipe above
            sheet_.formula(row, column(Column::bore), ref(row - 1, Column::bore),
                           shown(inputs.bore, Dimension::bore), Look::result, digits(Dimension::bore));
        else
            input(row, Column::bore, shown(inputs.bore, Dimension::bore), digits(Dimension::bore));
        input(row, Column::length, shown(inputs.length, Dimension::length), digits(Dimension::length));
        const bool rough = inputs.law == LineLaw::darcy_weisbach;
        input(row, Column::friction, rough ? shown(inputs.friction, Dimension::roughness) : inputs.friction,
              rough ? "0.000000" : "0");
        input(row, Column::k, inputs.k, "0.00");
        input(row, Column::share, inputs.share * 100, "0.0");
        input(row, Column::coefficient, inputs.coefficient, "0.00");
        input(row, Column::set, shown(inputs.pressure, Dimension::pressure), digits(Dimension::pressure, 1));
        input(row, Column::elevation, shown(inputs.elevation, Dimension::length), digits(Dimension::length));
        if (!std::isnan(inputs.velocity))
            sheet_.formula(row, column(Column::velocity),
                           formulas_.velocity(ref(row, Column::flow), ref(row, Column::bore)),
                           shown(inputs.velocity, Dimension::velocity), Look::result,
                           digits(Dimension::velocity, 1));
        change(row, i);
        const std::string sum =
            i == 0 ? ref(row, Column::change)
                   : fmt::format("{}+{}", ref(row - 1, Column::pressure), ref(row, Column::change));
        sheet_.formula(row, column(Column::pressure), sum, shown(of.pressure, Dimension::pressure),
                       Look::result, digits(Dimension::pressure, 1));
        sheet_.text(row, column(Column::law), law_words(inputs, charts_), Look::note);
        if (!std::isnan(inputs.elevation)) elevation_row_ = row;
    }

    /// The same water as in the row above is not to be changed twice.
    void flow(int row, double flow, double above) {
        constexpr double rounding = 1e-9;
        const double value = shown(flow, Dimension::flow);
        if (std::abs(flow - above) <= rounding * std::abs(flow))
            sheet_.formula(row, column(Column::flow), ref(row - 1, Column::flow), value, Look::result,
                           digits(Dimension::flow));
        else
            input(row, Column::flow, value, digits(Dimension::flow));
    }

    void change(int row, std::size_t i) {
        const LineInputs& inputs = plan_.inputs[i];
        const WorksheetLine& of = worksheet_.lines[i];
        const double value = shown(of.change, Dimension::pressure);
        const std::string zeros = digits(Dimension::pressure, 1),
                          numbers = fmt::format("+{0};-{0};{0}", zeros);
        if (inputs.law == LineLaw::balance) {
            sheet_.number(row, column(Column::change), value, Look::balance, numbers);
            return;
        }
        std::string formula = law(row, i);
        const bool may_be_held =
            !std::isnan(inputs.pressure) && inputs.law != LineLaw::given && inputs.law != LineLaw::regulation;
        if (may_be_held)
            formula =
                fmt::format("MIN({},{}-{})", formula, ref(row, Column::set), ref(row - 1, Column::pressure));
        sheet_.formula(row, column(Column::change), formula, value, Look::result, numbers);
    }

    std::string law(int row, std::size_t i) {
        const LineInputs& inputs = plan_.inputs[i];
        const std::string flow = ref(row, Column::flow);
        switch (inputs.law) {
            case LineLaw::given:
                return ref(row, Column::set);
            case LineLaw::holds:
            case LineLaw::lossless:
            case LineLaw::balance:
                return "0";
            case LineLaw::chart:
                return chart(row, i);
            case LineLaw::hazen_williams:
                return formulas_.hazen_williams(flow, ref(row, Column::bore), ref(row, Column::length),
                                                ref(row, Column::friction));
            case LineLaw::darcy_weisbach:
                return darcy_weisbach(row, i);
            case LineLaw::fittings: {
                std::string sum;
                if (!std::isnan(inputs.share))
                    sum = fmt::format("{}*{}/100", ref(row - 1, Column::change), ref(row, Column::share));
                if (!std::isnan(inputs.k)) sum += "-" + minor(row);
                return sum;
            }
            case LineLaw::k:
                return "-" + minor(row);
            case LineLaw::elevation:
                return formulas_.elevation(ref(elevation_row_, Column::elevation),
                                           ref(row, Column::elevation));
            case LineLaw::cv:
                return formulas_.coefficient(flow, ref(row, Column::coefficient), "cv");
            case LineLaw::kv:
                return formulas_.coefficient(flow, ref(row, Column::coefficient), "kv");
            case LineLaw::regulation:
                return fmt::format("MIN(0,{}-{})", ref(row, Column::set), ref(row - 1, Column::pressure));
        }
        return "0";
    }

    std::string minor(int row) const {
        return formulas_.minor(ref(row, Column::k), ref(row, Column::velocity));
    }

    std::string chart(int row, std::size_t i) {
        const ChartTable& of = charts_[*plan_.inputs[i].chart];
        ReadingCells cells;
        cells.flow = ref(row, Column::flow);
        const auto reading = read_chart(of, shown(worksheet_.lines[i].flow, Dimension::flow));
        if (!reading) return change_formula(of, cells);
        cells.row = ref(row, Column::chart_row);
        cells.share = ref(row, Column::chart_share);
        cells.start = ref(row, Column::chart_start);
        cells.end = ref(row, Column::chart_end);
        if (of.cubic) {
            cells.slope_start = ref(row, Column::slope_start);
            cells.slope_end = ref(row, Column::slope_end);
        }
        const std::vector<std::string> formulas = reading_formulas(of, cells);
        const std::array<double, 6> values{static_cast<double>(reading->row),
                                           reading->share,
                                           reading->start,
                                           reading->end,
                                           reading->slope_start,
                                           reading->slope_end};
        for (std::size_t step = 0; step < formulas.size(); ++step) {
            const int place = column(Column::chart_row) + static_cast<int>(step);
            sheet_.formula(row, place, formulas[step], values[step], Look::working,
                           step == 0 ? "0" : "0.0000");
        }
        return change_formula(of, cells);
    }

    std::string darcy_weisbach(int row, std::size_t i) {
        const LineInputs& inputs = plan_.inputs[i];
        FrictionCells cells;
        cells.velocity = ref(row, Column::velocity);
        cells.bore = ref(row, Column::bore);
        cells.length = ref(row, Column::length);
        cells.roughness = ref(row, Column::friction);
        cells.reynolds = ref(row, Column::reynolds);
        for (std::size_t step = 0; step < cells.root.size(); ++step)
            cells.root[step] = cell_name(row, column(Column::root_0) + static_cast<int>(step));
        cells.factor = ref(row, Column::factor);
        const FrictionSteps values =
            friction_steps(system_.temperature, inputs.velocity, inputs.bore, inputs.friction);
        sheet_.formula(row, column(Column::reynolds), formulas_.reynolds(cells), values.reynolds,
                       Look::working, "0");
        for (std::size_t step = 0; step < cells.root.size(); ++step)
            sheet_.formula(row, column(Column::root_0) + static_cast<int>(step), formulas_.root(cells, step),
                           values.root[step], Look::working, "0.000000");
        sheet_.formula(row, column(Column::factor), formulas_.factor(cells), values.factor, Look::working,
                       "0.000000");
        return formulas_.darcy_weisbach(cells);
    }

    /// A line below the table; its number comes into the column where such numbers stand.
    void result(int row, const std::string& words, int last) {
        sheet_.blank(row, 1, last, Look::row);
        sheet_.text(row, 0, words, Look::label);
    }

    void results() {
        const int last = first_line + static_cast<int>(worksheet_.lines.size()) - 1;
        int row = last + 1;
        const int place = column(Column::pressure);
        const std::string numbers = digits(Dimension::pressure, 1);
        const auto pressure = [&](double si) { return shown(si, Dimension::pressure); };
        sheet_.blank(row, 0, columns_.last_printed(), Look::total);
        sheet_.text(row, 0, "Pressure at the nozzle of " + id(ElementKind::head, worksheet_.head),
                    Look::total);
        sheet_.formula(row, place, ref(last, Column::pressure), pressure(worksheet_.pressure), Look::total,
                       numbers);
        const int at_nozzle = row;
        cells_.pressure = sheet_.reference(row, place);
        const auto& set = system_.heads[at(worksheet_.head)].set;
        if (set && worksheet_.lines.back().item != "regulation") {
            result(++row, "Its body holds at most", columns_.last_printed());
            input(row, Column::set, pressure(set->value), numbers);
            sheet_.formula(at_nozzle, place,
                           fmt::format("MIN({},{})", ref(last, Column::pressure), ref(row, Column::set)),
                           pressure(worksheet_.pressure), Look::total, numbers);
        }
        if (!std::isnan(worksheet_.wanted)) {
            result(++row, "Pressure wanted", columns_.last_printed());
            input(row, Column::pressure, pressure(worksheet_.wanted), numbers);
            cells_.wanted = sheet_.reference(row, place);
            result(++row, "Margin", columns_.last_printed());
            sheet_.formula(row, place,
                           fmt::format("{}-{}", cell_name(at_nozzle, place), cell_name(row - 1, place)),
                           pressure(worksheet_.margin), Look::total, numbers);
            sheet_.warn_below_zero(row, place);
            cells_.margin = sheet_.reference(row, place);
            margin_ = cell_name(row, place);
        }
        flows(row + 2, last, cell_name(at_nozzle, place));
    }

    void flows(int row, int last, const std::string& pressure) {
        const std::string numbers = digits(Dimension::flow, 1);
        const int place = column(Column::flow);
        const double assumed = plan_.sheet->head_flow;
        const ChartTable& nozzle = charts_[plan_.nozzle];
        result(row, "Flow assumed at the nozzle", place);
        flow_at_nozzle(row, last, assumed);
        const std::string assumed_cell = cell_name(row, place);
        result(++row, fmt::format("Flow at this pressure (chart {})", nozzle.number), place);
        const double by_nozzle = shown(assumed, Dimension::flow);
        sheet_.formula(row, place, nozzle_formula(nozzle, pressure, assumed_cell), by_nozzle, Look::result,
                       numbers);
        result(++row, "Difference", place);
        sheet_.formula(row, place, fmt::format("{}-{}", cell_name(row - 1, place), assumed_cell), 0,
                       Look::result, fmt::format("+{0};-{0};{0}", numbers));
        result(++row, "Flow of the run, all heads together", place);
        sheet_.number(row, place, shown(plan_.sheet->run_flow, Dimension::flow), Look::result,
                      digits(Dimension::flow));
        cells_.flow = sheet_.reference(row, place);
        next_row_ = row + 2;
    }

    void flow_at_nozzle(int row, int last, double assumed) {
        const WorksheetLine& line = worksheet_.lines.back();
        const std::string numbers = digits(Dimension::flow, 1);
        if (line.subject.kind == ElementKind::head)
            sheet_.formula(row, column(Column::flow), ref(last, Column::flow),
                           shown(assumed, Dimension::flow), Look::result, numbers);
        else
            input(row, Column::flow, shown(assumed, Dimension::flow), numbers);
    }

    void heading() {
        const std::string head = id(ElementKind::head, worksheet_.head),
                          run = id(ElementKind::run, worksheet_.run);
        sheet_.text(0, 0, system_.title.empty() ? "Sprinkler system" : system_.title, Look::title);
        sheet_.text(1, 0, fmt::format("Pressure-loss worksheet: head {} in run {}", head, run), Look::text);
        std::string details = job_and_date(system_);
        if (!details.empty()) details += ". ";
        details += "Supply " + id(ElementKind::supply, worksheet_.lines.front().subject.index);
        std::vector<std::string> open;
        for (const model::Index valve : plan_.sheet->open) open.push_back(id(ElementKind::valve, valve));
        if (!open.empty()) details += ". Open: " + id_list(open, most_named);
        sheet_.text(2, 0, details + ".", Look::text);
        if (margin_.empty())
            sheet_.text(3, 0, "No wanted pressure is given", Look::verdict);
        else
            sheet_.words(3, 0, verdict_formula(margin_), verdict(worksheet_.margin), Look::verdict);
    }

    void bottom() {
        int row = next_row_;
        sheet_.text(row++, 0, "Shaded: an input, may be changed", Look::input);
        const bool any = std::any_of(plan_.inputs.begin(), plan_.inputs.end(),
                                     [](const LineInputs& line) { return line.law == LineLaw::balance; });
        if (any) sheet_.text(row++, 0, "Grey: from the balance, by no law", Look::balance);
        ++row;
        const int last = columns_.last_printed();
        const auto say = [&](const std::string& words) {
            sheet_.paragraph(row++, 0, last, words, Look::small);
        };
        const solver::Closure& closure = plan_.sheet->closure;
        say((plan_.sheet->note.empty() ? "" : plan_.sheet->note + " ") +
            fmt::format("The numbers come from a balance that closes to {} on every element and {} at every "
                        "point. Formulas recompute this sheet alone: other flows stay as they are until "
                        "they are changed too, or the case is balanced again.",
                        closeness(closure.pressure, Dimension::pressure),
                        closeness(closure.flow, Dimension::flow)));
        std::string words = cautions(Page{true, false, false});
        words.pop_back();
        say(words);
        next_row_ = row;
    }

    std::string closeness(double si, Dimension dimension) const {
        return fmt::format("{:.1e} {}", shown(si, dimension), units_.word(dimension));
    }

    void layout() {
        int widest = 24;
        for (std::size_t i = 0; i < worksheet_.lines.size(); ++i)
            widest = std::max(widest,
                              1 + display_width(worksheet_label(speaker_, worksheet_.lines[i],
                                                                i > 0 ? &worksheet_.lines[i - 1] : nullptr)));
        sheet_.width(0, 0, std::min(44, std::max(33, widest)));
        for (const auto& [of, place] : columns_.places()) {
            if (of == Column::way) {
                sheet_.text(heading_row, place, "On the way", Look::heading_left);
                continue;
            }
            sheet_.width(place, place, of == Column::gap ? 3 : of == Column::law ? 27 : 10);
            if (of != Column::gap)
                sheet_.text(heading_row, place, column_heading(of, speaker_),
                            of == Column::law ? Look::heading_note : Look::heading);
        }
        if (columns_.has(Column::gap))
            sheet_.text(heading_row - 1, column(Column::gap) + 1, "On the way to the results (not printed)",
                        Look::working);
        sheet_.height(0, 22);
        sheet_.height(3, 20);
        sheet_.height(heading_row, 30);
    }

    void print() {
        PrintSetup setup = print_setup(system_, next_row_, columns_.last_printed(), heading_row);
        setup.landscape = true;
        sheet_.print(setup);
    }

    Sheet& sheet_;
    const Speaker& speaker_;
    const model::System& system_;
    const ShownUnits& units_;
    const SheetPlan& plan_;
    const solver::Worksheet& worksheet_;
    const ColumnList& columns_;
    const ChartList& charts_;
    Formulas formulas_;
    ResultCells cells_;
    std::string margin_;
    int elevation_row_ = first_line, next_row_ = 0;
};

}  // namespace

ResultCells write_run_sheet(Sheet& sheet, const WorkbookSubject& subject, const SheetPlan& plan,
                            const ColumnList& columns, const ChartList& charts) {
    return RunSheet(sheet, subject, plan, columns, charts).write();
}

}  // namespace evenhead::io
