// The take-off as JSON and CSV.
#include <fmt/format.h>

#include <cmath>

#include "io/write/common_json.hpp"
#include "io/write/row_sinks.hpp"
#include "io/write/takeoff.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::TakeoffLine;

std::string section_name(const TakeoffLine& line) {
    std::string name(section_title(kind_of(line.item).section));
    name.front() = static_cast<char>(name.front() - 'A' + 'a');
    return name;
}

std::string unit_of(const Speaker& speaker, const TakeoffLine& line) {
    return line.by_length() ? std::string(speaker.units.word(Dimension::length)) : "each";
}

std::string_view source_of(const TakeoffLine& line) {
    if (!line.price) return "";
    return line.price->source == model::PriceSource::invented ? "invented" : "case";
}

/// What JSON and CSV have in common, in the order of the columns.
void line_row(RowSink& row, const Speaker& speaker, const TakeoffLine& line) {
    row.text("section", section_name(line));
    row.text("item", kind_of(line.item).name);
    row.text("name", takeoff_label(speaker, line));
    row.text("family", line.family);
    row.text("size", takeoff_sizes(speaker, line));
    row.text("of", line.of);
    row.number("quantity", takeoff_quantity(speaker, line, line.quantity));
    row.text("unit", unit_of(speaker, line));
    row.number("waste", line.waste * 100);
    row.number("piece", line.piece > 0 ? takeoff_quantity(speaker, line, line.piece) : std::nan(""));
    row.number("ordered", line.piece > 0 ? line.ordered : takeoff_quantity(speaker, line, line.ordered));
    row.number("price", takeoff_price(speaker, line));
    row.text("price_from", source_of(line));
    row.number("cost", takeoff_cost(line));
}

constexpr std::string_view columns =
    "section,item,name,family,size,of,quantity,unit,waste,piece,ordered,price,price_from,cost,elements\n";

class TakeoffJson {
  public:
    TakeoffJson(Output& output, const TakeoffSubject& subject)
        : output_(output), json_(output), row_(json_), subject_(subject), speaker_(subject.speaker) {}

    void write(const std::vector<model::Issue>& warnings) {
        const model::Takeoff& takeoff = subject_.takeoff;
        json_.begin_object().key("schema").whole(1);
        json_.text("case", case_title(speaker_.system, subject_.case_path));
        json_.key("units").begin_object();
        json_.text("length", speaker_.units.word(Dimension::length));
        json_.text("bore", speaker_.units.word(Dimension::bore));
        json_.text("pressure", speaker_.units.word(Dimension::pressure)).end_object().line();
        json_.key("heads").whole(static_cast<long long>(takeoff.heads));
        json_.key("valves").whole(static_cast<long long>(takeoff.valves));
        json_.number("pipe", length(takeoff.pipe)).number("trench", length(takeoff.trench));
        json_.number("shared", length(takeoff.shared));
        json_.number("cost", takeoff.priced > 0 ? takeoff.cost : std::nan(""));
        json_.key("without_price").whole(static_cast<long long>(takeoff.lines.size() - takeoff.priced));
        json_.key("invented_prices").whole(static_cast<long long>(takeoff.invented));
        json_.line().key("lines").begin_array();
        for (const TakeoffLine& line : takeoff.lines) this->line(line);
        json_.end_array().line();
        shared();
        wire();
        assumptions();
        json_.text("not_counted", takeoff_not_counted());
        json_.line().key("warnings").begin_array();
        for (const model::Issue& issue : warnings) {
            json_.line().begin_object();
            json_.text("text", issue.mend.empty() ? issue.text : issue.text + "; " + issue.mend);
            json_.text("row", issue.row).end_object();
        }
        json_.end_array().end_object();
        output_.write("\n");
    }

  private:
    double length(double metres) const { return speaker_.units.in_unit(metres, Dimension::length); }

    void line(const TakeoffLine& line) {
        json_.line().begin_object();
        line_row(row_, speaker_, line);
        if (!std::isnan(line.amount)) {
            const bool depth = kind_of(line.item).section == model::TakeoffSection::trench;
            json_.number(depth ? "depth" : "held",
                         speaker_.units.in_unit(line.amount, depth ? Dimension::bore : Dimension::pressure));
        }
        json_.key("elements").begin_array();
        for (const model::TakeoffElement& element : line.elements) {
            json_.begin_object().text("kind", element.pipe ? "pipe" : "point");
            json_.text("id", takeoff_id(speaker_, element));
            json_.number("quantity", takeoff_quantity(speaker_, line, element.quantity)).end_object();
        }
        json_.end_array().end_object();
    }

    void shared() {
        json_.key("shared_trenches").begin_array();
        for (const model::SharedTrench& trench : subject_.takeoff.shared_trenches) {
            json_.line().begin_object();
            json_.text("pipe", speaker_.system.pipe_id(trench.pipe));
            json_.text("with", speaker_.system.pipe_id(trench.with));
            json_.number("length", length(trench.length)).end_object();
        }
        json_.end_array().line();
    }

    void wire() {
        json_.key("controller");
        const auto& controllers = subject_.takeoff.controllers;
        if (controllers.empty())
            json_.null();
        else
            this->controller(controllers.front());
        json_.line().key("controllers").begin_array();
        for (const model::TakeoffController& each : controllers) this->controller(each);
        json_.end_array().line();
    }

    void controller(const model::TakeoffController& controller) {
        constexpr std::string_view hows[] = {"asked", "case", "supply", ""};
        json_.begin_object().text("from", hows[static_cast<std::size_t>(controller.how)]);
        const auto id = [&](model::Index point) {
            return point == model::none ? std::string() : speaker_.system.point_id(point);
        };
        json_.text("at", id(controller.point)).text("joins", id(controller.joins));
        json_.number("lead", length(controller.lead)).end_object();
    }

    void assumptions() {
        json_.key("assumptions").begin_array();
        assumptions_json(json_, speaker_.units, subject_.takeoff.assumptions);
        json_.end_array().line();
    }

    Output& output_;
    JsonWriter json_;
    JsonRow row_;
    const TakeoffSubject& subject_;
    const Speaker& speaker_;
};

}  // namespace

void write_takeoff_json(Output& output, const TakeoffSubject& subject,
                        const std::vector<model::Issue>& warnings) {
    TakeoffJson(output, subject).write(warnings);
}

void write_takeoff_csv(Output& output, const TakeoffSubject& subject) {
    output.write(columns);
    CsvRow row(output);
    for (const TakeoffLine& line : subject.takeoff.lines) {
        line_row(row, subject.speaker, line);
        std::vector<std::string> ids;
        for (const model::TakeoffElement& element : line.elements)
            ids.push_back(takeoff_id(subject.speaker, element));
        row.ids("elements", ids);
        row.end();
    }
}

}  // namespace evenhead::io
