#include "io/read/charts.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "io/read/sizes.hpp"
#include "model/catalogue.hpp"

namespace evenhead::io {

using model::ChartRow;
using model::Dimension;
using model::Loss;
using model::LossKind;
using model::Quantity;

namespace {

struct OrderWords {
    std::string_view breaks, mend;
};

OrderWords words(Order order) {
    switch (order) {
        case Order::rising:
            return {"does not rise above", "put the rows in order, the smallest {} first, none twice"};
        case Order::falling:
            return {"does not fall below", "{} falls from row to row"};
        case Order::never_falling:
            return {"falls below", "{} never falls from row to row"};
        case Order::never_rising:
            break;
    }
    return {"rises above", "{} never rises from row to row"};
}

bool in_order(double before, double after, Order order) {
    switch (order) {
        case Order::rising:
            return after > before;
        case Order::falling:
            return after < before;
        case Order::never_falling:
            return after >= before;
        case Order::never_rising:
            break;
    }
    return after <= before;
}

void refuse_too_small(const Fields& fields, const Column& column, const std::vector<Quantity>& numbers) {
    const auto cells = chart_cells(*fields.find(column.key));
    for (std::size_t i = 0; i < numbers.size(); ++i) {
        if (column.least == Least::zero && numbers[i].value < 0)
            fields.error(cells[i], fmt::format("{} is negative", shown(column.key, cells[i])),
                         fmt::format("{} is 0 or more", column.key));
        if (column.least == Least::above_zero && numbers[i].value <= 0)
            fields.error(cells[i], fmt::format("{} is not above zero", shown(column.key, cells[i])),
                         fmt::format("every {} is above 0", column.key));
    }
}

constexpr std::string_view ways_to_give_a_loss = "give one of cv, kv, k with bore, flow with loss, or size";

Loss not_known() {
    Loss loss;
    loss.kind = LossKind::cv;
    return loss;
}

Loss loss_chart(const Fields& fields) {
    Loss loss;
    loss.kind = LossKind::chart;
    loss.chart = read_chart(fields, {"flow", Dimension::flow}, {"loss", Dimension::pressure});
    if (loss.chart.empty()) return loss;
    if (loss.chart.size() == 1 && loss.chart[0].at.value == 0)
        fields.error(*fields.find("flow"), "the only row of the chart is at no flow",
                     "give a row with a flow above 0");
    bool dips = false, loses = false;
    double highest = 0;
    for (const ChartRow& row : loss.chart) {
        dips = dips || row.value.value < highest;
        loses = loses || !(row.value.value == 0);
        highest = std::max(highest, row.value.value);
    }
    if (dips)
        fields.warn(fields.find("loss")->place,
                    "the loss falls where the flow rises; it is read as the highest loss so far",
                    "check the chart: a loss that falls with more flow is rare");
    if (!loses)
        loss.kind =
            LossKind::lossless;  // its law is a level line: what holds for lossless elements holds for it
    return loss;
}

Loss loss_by_k(const Fields& fields) {
    Loss loss;
    loss.kind = LossKind::k;
    loss.coefficient = fields.zero_or_more("k", Dimension::none).value_or(Quantity{});
    if (const auto bore = fields.above_zero("bore", Dimension::bore))
        loss.bore = *bore;
    else
        fields.error(*fields.find("k"), "k is given without the bore it stands on", "give the bore as well");
    if (loss.coefficient.value == 0) loss.kind = LossKind::lossless;
    return loss;
}

/// By size alone: what is usual for its type.
Loss generic_loss(const Fields& fields, std::string_view type, bool lossless) {
    const std::string_view size = read_size_text(fields, "size");
    if (size.empty() || size == "?") return not_known();
    if (const auto generic = model::generic_loss(type, size)) {
        Loss loss;
        loss.kind = LossKind::chart;
        loss.chart = generic->chart;
        loss.generic = true;
        fields.reader().assume(fields.row(), "loss",
                               fmt::format("usual loss of a {} in {}", generic->size, type), generic->basis);
        return loss;
    }
    const auto sizes = model::generic_sizes(type);
    if (sizes.empty() && lossless) return {};
    fields.error(*fields.find("size"),
                 sizes.empty()
                     ? fmt::format("there is no usual loss for type {} by size alone", quoted(type))
                     : fmt::format("there is no usual loss for a {} of size {}", type, quoted(size)),
                 sizes.empty()
                     ? "give one of cv, kv, k with bore, or flow with loss"
                     : fmt::format("take a size of {}, or give one of cv, kv, k with bore, or flow with loss",
                                   fmt::join(sizes, " ")));
    return not_known();
}

}  // namespace

void check_order(const Fields& fields, std::string_view key, const std::vector<Quantity>& numbers,
                 Order order) {
    const auto cells = chart_cells(*fields.find(key));
    for (std::size_t i = 1; i < numbers.size(); ++i) {
        if (!numbers[i - 1].known() || !numbers[i].known() ||
            in_order(numbers[i - 1].value, numbers[i].value, order))
            continue;
        fields.error(
            cells[i],
            fmt::format("{} {} {} {}", key, shown(cells[i]), words(order).breaks, shown(cells[i - 1])),
            fmt::format(fmt::runtime(words(order).mend), key));
        return;
    }
}

std::vector<ChartRow> read_chart(const Fields& fields, const Column& at, const Column& value) {
    if (!fields.has(at.key) || !fields.has(value.key)) {
        fields.missing(fields.has(at.key) ? value.key : at.key,
                       fmt::format("{} and {} go together", at.key, value.key));
        return {};
    }
    const auto ats = fields.column(at.key, at.dimension);
    const auto values = fields.column(value.key, value.dimension);
    if (ats.size() != values.size()) {
        fields.error(*fields.find(value.key),
                     fmt::format("{} and {} are not of equal length ({} and {})", at.key, value.key,
                                 ats.size(), values.size()),
                     fmt::format("give one {} for each {}", value.key, at.key));
        return {};
    }
    if (ats.empty()) {
        fields.error(*fields.find(at.key), "the chart has no rows",
                     fmt::format("give at least one {} and {}", at.key, value.key));
        return {};
    }
    refuse_too_small(fields, at, ats);
    refuse_too_small(fields, value, values);
    check_order(fields, at.key, ats, Order::rising);
    std::vector<ChartRow> rows(ats.size());
    for (std::size_t i = 0; i < rows.size(); ++i) rows[i] = {ats[i], values[i]};
    return rows;
}

Loss read_loss(Fields& fields, std::string_view type, bool lossless) {
    fields.exclude_defaults_if_own({"cv", "kv", "k", "flow", "loss"});
    if (fields.has("loss") && !fields.has("flow")) {
        fields.missing("flow", "flow and loss go together");
        return not_known();
    }
    if (fields.own("bore") && !fields.has("k"))
        fields.error(*fields.own("bore"), "bore is given without k", "bore goes with k only");
    const std::size_t ways = fields.at_most_one({"cv", "kv", "k", "flow"}, ways_to_give_a_loss);
    if (ways > 1) return not_known();
    for (const auto& [key, kind] :
         {std::pair(std::string_view("cv"), LossKind::cv), std::pair(std::string_view("kv"), LossKind::kv)})
        if (const auto coefficient = fields.above_zero(key, Dimension::none)) {
            Loss loss;
            loss.kind = kind;
            loss.coefficient = *coefficient;
            return loss;
        }
    if (fields.has("k")) return loss_by_k(fields);
    if (fields.has("flow")) return loss_chart(fields);
    if (fields.has("size")) return generic_loss(fields, type, lossless);
    if (lossless) return {};
    fields.error(fields.place(), fmt::format("what the {} loses is not given", type),
                 std::string(ways_to_give_a_loss));
    return not_known();
}

std::vector<ChartRow> read_rise(Fields& fields) {
    for (const std::string_view key : {"cv", "kv", "k", "bore", "loss"})
        if (const Cell* cell = fields.own(key))
            fields.error(*cell, fmt::format("a pump has no {}", key), "a pump takes flow with rise");
    auto rows = read_chart(fields, {"flow", Dimension::flow}, {"rise", Dimension::pressure});
    if (rows.empty()) return rows;
    std::vector<Quantity> rises;
    rises.reserve(rows.size());
    for (const ChartRow& row : rows) rises.push_back(row.value);
    check_order(fields, "rise", rises, Order::never_rising);
    return rows;
}

}  // namespace evenhead::io
