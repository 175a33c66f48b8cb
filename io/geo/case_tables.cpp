// What a case says beside its points and pipes: limits, conditions, what was read and seen, prices, watering.
#include <fmt/format.h>

#include "io/geo/case_cells.hpp"
#include "io/units.hpp"
#include "io/week.hpp"
#include "model/position.hpp"
#include "model/rule_sets.hpp"
#include "model/takeoff/takeoff.hpp"
#include "solver/rules/rules.hpp"

namespace evenhead::io {

using model::Change;
using model::Dimension;
using model::Index;

std::string CaseCells::with_unit(double si, Dimension dimension) const {
    const std::string_view unit = unit_word(dimension, system_.units);
    return shortest(tidy_number(to_units(si, dimension, system_.units))) + (unit.empty() ? "" : " ") +
           std::string(unit);
}

void CaseCells::limits() {
    json_.key("limits").begin_object();
    if (model::find_rule_set(system_.rule_set) != nullptr) json_.text("use", system_.rule_set);
    constexpr std::array<std::string_view, 5> materials{"", "pvc", "polyethylene", "copper", "steel"};
    for (const auto& [name, limit] : system_.limits) {
        const solver::RuleInfo* rule = solver::find_rule(name);
        if (rule == nullptr || !limit.source.empty()) continue;  // the set has it
        bool by_material = false;
        for (const auto& of : limit.by_material) by_material = by_material || of.has_value();
        if (limit.off || limit.fail) {
            json_.text(name, limit.off ? "off" : "fail");
        } else if (by_material) {
            json_.key(name).begin_object();
            for (std::size_t m = 1; m < materials.size(); ++m)
                if (limit.by_material[m])
                    json_.text(materials[m], with_unit(limit.by_material[m]->value, rule->limit));
            json_.end_object();
        } else if (limit.value) {
            json_.text(name, with_unit(limit.value->value, rule->limit));
        }
    }
    json_.end_object();
}

void CaseCells::change(std::string_view key, const std::optional<Change>& change, Dimension dimension) {
    if (!change) return;
    switch (change->how) {
        case Change::How::add:
            json_.text(key, (change->value < 0 ? "" : "+") + with_unit(change->value, dimension));
            return;
        case Change::How::times:
            json_.text(key, with_unit(change->value, Dimension::share));
            return;
        case Change::How::to:
            json_.number(key, tidy_number(change->value));
    }
}

void CaseCells::condition(const model::Condition& condition) {
    json_.text("id", condition.id);
    change("supply", condition.supply, Dimension::pressure);
    change("nozzle", condition.nozzle, Dimension::none);
    change("c", condition.c, Dimension::none);
    if (condition.temperature) quantity("temperature", {*condition.temperature, 0}, Dimension::temperature);
    const auto device = [&](Index row) { json_.text(system_.point_id(system_.devices[at(row)].point)); };
    if (!condition.closed_devices.empty() || !condition.closed_pipes.empty()) {
        json_.key("closed").begin_array();
        for (const Index row : condition.closed_devices) device(row);
        for (const Index pipe : condition.closed_pipes) json_.text(system_.pipe_id(pipe));
        json_.end_array();
    }
    if (!condition.pumps_off.empty()) {
        json_.key("pumps_off").begin_array();
        for (const Index row : condition.pumps_off) device(row);
        json_.end_array();
    }
    if (condition.c_by_kind.empty()) return;
    json_.key("c_by_kind").begin_object();
    for (const auto& [kind, c] : condition.c_by_kind) json_.number(kind, c);
    json_.end_object();
}

void CaseCells::reading(const model::Reading& reading) {
    json_.text("run", reading.all_shut ? "none" : system_.runs[at(reading.run)].id);
    json_.text("at", system_.point_id(reading.point));
    optional("pressure", reading.pressure, Dimension::pressure);
    optional("flow", reading.flow, Dimension::flow);
    if (reading.gauge == model::Gauge::riser) json_.text("gauge", "riser");
    if (reading.side == model::Side::inlet) json_.text("side", "inlet");
}

void CaseCells::seen(const model::Seen& seen) {
    json_.text("what", seen.what);
    if (seen.point != model::none)
        json_.text("at", system_.point_id(seen.point));
    else if (seen.pipe != model::none)
        json_.text("at", system_.pipe_id(seen.pipe));
    else if (seen.valve != model::none)
        json_.text("at", system_.point_id(system_.valves[at(seen.valve)].point));
    if (!seen.value.empty()) json_.text("value", seen.value);
}

void CaseCells::price(const model::Price& price) {
    Dimension dimension = Dimension::price;
    if (!price.item.empty()) {
        json_.text("item", price.item);
        const auto item = model::find_item(price.item);
        if (item && !model::kind_of(*item).by_length) dimension = Dimension::none;
    }
    if (!price.size.empty()) json_.text("size", price.size);
    quantity("price", price.price, dimension);
}

void CaseCells::days(model::Days days) {
    json_.key("days").begin_array();
    for (std::size_t day = 0; day < weekday_words.size(); ++day)
        if ((days >> day & 1U) != 0) json_.text(weekday_words[day]);
    json_.end_array();
}

void CaseCells::watering(const model::Watering& watering) {
    json_.text("valve", system_.point_id(system_.valves[at(watering.valve)].point));
    // Depths of water are in inches or millimetres, as bores are.
    if (watering.eto) {
        optional("eto", watering.eto, Dimension::bore);
        optional("coefficient", watering.coefficient, Dimension::none);
    } else {
        quantity("need", {watering.need, 0}, Dimension::bore);
    }
    optional("rate", watering.rate, Dimension::rate);
    if (watering.du_lq) json_.text("du_lq", with_unit(watering.du_lq->value, Dimension::share));
    optional("intake", watering.intake, Dimension::rate);
    optional("storage", watering.storage, Dimension::bore);
    if (watering.days != 0)
        days(watering.days);
    else if (watering.times > 0)
        json_.key("days").whole(watering.times);
    if (!watering.group.empty()) json_.text("group", watering.group);
}

void CaseCells::window(const model::Window& window) {
    const int to = window.from + window.length;
    json_.key("window").begin_object().text("from", clock_words(window.from));
    json_.text("to", to == 1440 ? "24:00" : clock_words(to));
    if (window.days != model::every_day) days(window.days);
    json_.end_object();
}

void CaseCells::top_and_tables(const std::string& title, const model::WateringPlan& plan) {
    const auto rows = [&](std::string_view key, std::size_t count, const auto& write) {
        if (count == 0) return;
        json_.line().key(key).begin_array();
        for (std::size_t i = 0; i < count; ++i) {
            json_.line().begin_object();
            write(i);
            json_.end_object();
        }
        json_.end_array();
    };
    json_.text("title", title);
    if (!system_.job.empty()) json_.text("job", system_.job);
    if (!system_.date.empty()) json_.text("date", system_.date);
    json_.text("units", system_.units == model::UnitSystem::us ? "us" : "metric");
    if (!system_.show.empty()) {
        json_.key("show").begin_array();
        for (const std::string& unit : system_.show) json_.text(unit);
        json_.end_array();
    }
    json_.text("friction",
               system_.friction == model::FrictionLaw::darcy_weisbach ? "darcy-weisbach" : "hazen-williams");
    quantity("temperature", {system_.temperature, 0}, Dimension::temperature);
    optional("ground", system_.ground, Dimension::length);
    json_.key("origin").begin_array().number((*system_.origin)[0]).number((*system_.origin)[1]);
    json_.end_array();
    rows("nozzles", system_.nozzles.size(), [&](std::size_t i) { nozzle(system_.nozzles[i]); });
    rows("kinds", system_.kinds.size(), [&](std::size_t i) { kind(system_.kinds[i].size); });
    std::vector<const model::Run*> given;
    for (const model::Run& run : system_.runs)
        if (run.given) given.push_back(&run);
    rows("runs", given.size(), [&](std::size_t i) {
        json_.text("id", given[i]->id).key("valves").begin_array();
        for (const Index valve : given[i]->valves)
            json_.text(system_.point_id(system_.valves[at(valve)].point));
        json_.end_array();
    });
    rows("conditions", system_.conditions.size(), [&](std::size_t i) { condition(system_.conditions[i]); });
    rows("readings", system_.readings.size(), [&](std::size_t i) { reading(system_.readings[i]); });
    rows("seen", system_.seen.size(), [&](std::size_t i) { seen(system_.seen[i]); });
    rows("prices", system_.prices.size(), [&](std::size_t i) { price(system_.prices[i]); });
    rows("watering", plan.rows.size(), [&](std::size_t i) { watering(plan.rows[i]); });
    json_.line();
    if (plan.window) window(*plan.window);
    limits();
}

}  // namespace evenhead::io
