// Which columns a workbook has, and what its sheets need to be planned.
#include <cmath>

#include "io/workbook/run_sheet_parts.hpp"
#include "model/position.hpp"

namespace evenhead::io {

ColumnList::ColumnList(const std::vector<SheetPlan>& plans, const ChartList& charts) {
    for (const Column always : {Column::way, Column::flow, Column::change, Column::pressure, Column::law})
        places_[always] = 0;
    const auto where_known = [&](double value, Column column) {
        if (!std::isnan(value)) places_[column] = 0;
    };
    for (const SheetPlan& plan : plans)
        for (const LineInputs& line : plan.inputs) {
            where_known(line.bore, Column::bore);
            where_known(line.length, Column::length);
            where_known(line.friction, Column::friction);
            where_known(line.k, Column::k);
            where_known(line.share, Column::share);
            where_known(line.coefficient, Column::coefficient);
            where_known(line.pressure, Column::set);
            where_known(line.elevation, Column::elevation);
            where_known(line.velocity, Column::velocity);
            if (line.law == LineLaw::darcy_weisbach)
                for (const Column column : {Column::reynolds, Column::root_0, Column::root_1, Column::root_2,
                                            Column::root_3, Column::factor})
                    places_[column] = 0;
            if (!line.chart || !read_chart(charts[*line.chart], 0)) continue;
            for (const Column column :
                 {Column::chart_row, Column::chart_share, Column::chart_start, Column::chart_end})
                places_[column] = 0;
            if (charts[*line.chart].cubic)
                for (const Column column : {Column::slope_start, Column::slope_end}) places_[column] = 0;
        }
    if (places_.rbegin()->first != Column::law) places_[Column::gap] = 0;
    int next = 0;
    for (auto& [column, place] : places_) place = next++;
}

SheetPlan plan_sheet(const Speaker& speaker, const WorkbookSheet& sheet, ChartList& charts) {
    SheetPlan plan;
    plan.sheet = &sheet;
    const std::vector<solver::WorksheetLine>& lines = sheet.worksheet.lines;
    for (std::size_t i = 0; i < lines.size(); ++i) {
        plan.inputs.push_back(line_inputs(speaker, lines[i], charts));
        const bool held_below = i + 1 < lines.size() && lines[i + 1].item == "regulation" &&
                                lines[i + 1].subject == lines[i].subject;
        if (held_below && plan.inputs.back().law != LineLaw::given)
            plan.inputs.back().pressure = LineInputs::absent;
    }
    const model::Head& head = speaker.system.heads[at(sheet.worksheet.head)];
    const model::Nozzle& nozzle = speaker.system.nozzles[at(head.nozzle)];
    plan.nozzle = charts.nozzle("nozzle " + nozzle.id, nozzle.exponent, nozzle.rows);
    return plan;
}

std::string job_and_date(const model::System& system) {
    std::string text = system.job.empty() ? "" : "Job " + system.job;
    if (!system.date.empty()) text += (text.empty() ? "" : ", ") + system.date;
    return text;
}

bool uses_letter_paper(const model::System& system) {
    return system.units == model::UnitSystem::us;
}

PrintSetup print_setup(const model::System& system, int last_row, int last_column, int heading_row) {
    PrintSetup setup;
    setup.letter = uses_letter_paper(system);
    setup.last_row = last_row;
    setup.last_column = last_column;
    setup.heading_row = heading_row;
    setup.left = system.title;
    setup.right = job_and_date(system);
    return setup;
}

}  // namespace evenhead::io
