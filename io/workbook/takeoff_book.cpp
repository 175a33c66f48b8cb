#include "io/workbook/takeoff_book.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "io/workbook/run_sheet_parts.hpp"

namespace evenhead::io {
namespace {

using model::Dimension;
using model::TakeoffLine;

/// Beyond this a spreadsheet serves nobody (and its sheets end at a million rows): counts are then numbers.
constexpr std::size_t most_elements = 200'000;
constexpr int heading_row = 5;
constexpr const char* line_range = "element_lines";
constexpr const char* quantity_range = "element_quantities";

/// Columns of the list.
enum : int { number, item, need, unit, waste, piece, order, sold, price, cost, source };

class TakeoffBook {
  public:
    explicit TakeoffBook(const TakeoffSubject& subject)
        : speaker_(subject.speaker),
          takeoff_(subject.takeoff),
          book_(speaker_.system.title, "Take-off"),
          list_(book_.add(book_.reserve("Take-off"))),
          counted_(elements() > 0 && elements() <= most_elements) {}

    void write(Output& output) {
        list();
        if (counted_) trace();
        notes();
        book_.write_to(output);
    }

  private:
    std::size_t elements() const {
        std::size_t all = 0;
        for (const TakeoffLine& line : takeoff_.lines) all += line.elements.size();
        return all;
    }
    std::string unit_word(const TakeoffLine& line) const {
        return line.by_length() ? std::string(speaker_.units.word(Dimension::length)) : "each";
    }
    static const char* numbers(const TakeoffLine& line) { return line.by_length() ? "0.0" : "0"; }

    void list() {
        const std::array<std::pair<int, double>, 11> widths{{{number, 5},
                                                             {item, 38},
                                                             {need, 10},
                                                             {unit, 7},
                                                             {waste, 8},
                                                             {piece, 8},
                                                             {order, 8},
                                                             {sold, 11},
                                                             {price, 10},
                                                             {cost, 12},
                                                             {source, 12}}};
        for (const auto& [column, characters] : widths) list_.width(column, column, characters);
        list_.text(0, number, speaker_.system.title.empty() ? "Sprinkler system" : speaker_.system.title,
                   Look::title);
        list_.height(0, 22);
        list_.text(1, number,
                   fmt::format("Take-off: {} on {}; {} of pipe in {} of trench",
                               io::counted(takeoff_.heads, "head"), io::counted(takeoff_.valves, "valve"),
                               speaker_.units.text(takeoff_.pipe, Dimension::length),
                               speaker_.units.text(takeoff_.trench, Dimension::length)),
                   Look::text);
        list_.text(2, number, job_and_date(speaker_.system), Look::text);
        const std::array<const char*, 11> words{"No.",   "Item",    "Need",  "Unit", "Waste\n%",  "Piece",
                                                "Order", "Sold as", "Price", "Cost", "Price from"};
        for (int column = 0; column <= source; ++column)
            list_.text(heading_row, column, words[static_cast<std::size_t>(column)],
                       column == item || column == number                     ? Look::heading_left
                       : column == unit || column == sold || column == source ? Look::heading_note
                                                                              : Look::heading);
        list_.height(heading_row, 30);
        int row = heading_row + 1;
        std::string total;
        for (int section = 0; section < model::takeoff_sections; ++section)
            part(static_cast<model::TakeoffSection>(section), row, total);
        list_.text(3, number, "Cost", Look::verdict);
        list_.formula(3, cost, total.empty() ? "0" : total, takeoff_.cost, Look::total, "0.00");
        list_.paragraph(
            row + 1, number, source,
            takeoff_cost_sentence(takeoff_) +
                " Shaded cells are inputs: change waste, piece or price, and order and cost follow.",
            Look::small);
        list_.paragraph(row + 2, number, source, takeoff_not_counted(), Look::small);
        PrintSetup setup = print_setup(speaker_.system, row + 2, source, heading_row);
        setup.landscape = true;
        list_.print(setup);
    }

    void part(model::TakeoffSection section, int& row, std::string& total) {
        const int first = row + 1;
        double sum = 0;
        int last = row;
        for (std::size_t i = 0; i < takeoff_.lines.size(); ++i) {
            const TakeoffLine& line = takeoff_.lines[i];
            if (kind_of(line.item).section != section) continue;
            write_line(++last, static_cast<int>(i) + 1, line);
            if (line.price) sum += line.cost;
        }
        if (last == row) return;
        list_.text(row, number, section_title(section), Look::section);
        for (int column = item; column <= source; ++column) list_.text(row, column, "", Look::section);
        list_.formula(row, cost, fmt::format("SUM({}:{})", cell_name(first, cost), cell_name(last, cost)),
                      sum, Look::section, "0.00");
        total += (total.empty() ? "" : "+") + cell_name(row, cost);
        row = last + 2;
    }

    void write_line(int row, int index, const TakeoffLine& line) {
        const auto cell = [&](int column) { return cell_name(row, column); };
        list_.number(row, number, index, Look::working, "0");
        list_.text(row, item, takeoff_label(speaker_, line), Look::label);
        const double quantity = takeoff_quantity(speaker_, line, line.quantity);
        if (counted_)
            list_.formula(row, need, fmt::format("SUMIF({},{},{})", line_range, cell(number), quantity_range),
                          quantity, Look::result, numbers(line));
        else
            list_.number(row, need, quantity, Look::input, numbers(line));
        list_.text(row, unit, unit_word(line), Look::note);
        const bool pieces = line.piece > 0;
        if (pieces) {
            list_.number(row, waste, line.waste * 100, Look::input, "0.0");
            list_.number(row, piece, takeoff_quantity(speaker_, line, line.piece), Look::input, "0.0");
            list_.formula(row, order,
                          fmt::format("MAX(0,ROUNDUP({}*(1+{}/100)/{}-0.000000001,0))", cell(need),
                                      cell(waste), cell(piece)),
                          line.ordered, Look::result, "0");
        } else {
            list_.blank(row, waste, piece, Look::row);
            list_.formula(row, order, cell(need), takeoff_quantity(speaker_, line, line.ordered),
                          Look::result, numbers(line));
        }
        const bool wire = kind_of(line.item).section == model::TakeoffSection::wire;
        list_.text(row, sold,
                   pieces ? (wire        ? "spools"
                             : line.coil ? "coils"
                                         : "lengths")
                          : unit_word(line),
                   Look::note);
        list_.number(row, price, takeoff_price(speaker_, line), Look::input, "0.00");
        list_.formula(row, cost,
                      pieces ? fmt::format("{}*{}*{}", cell(order), cell(piece), cell(price))
                             : fmt::format("{}*{}", cell(order), cell(price)),
                      line.price ? line.cost : 0, Look::result, "0.00");
        list_.text(row, source,
                   !line.price                                          ? "no price"
                   : line.price->source == model::PriceSource::invented ? "invented"
                                                                        : "the case",
                   Look::note);
    }

    /// The points and pipes behind every count.
    void trace() {
        Sheet sheet = book_.add(book_.reserve("Elements"));
        sheet.width(0, 0, 6);
        sheet.width(1, 1, 38);
        sheet.width(2, 2, 8);
        sheet.width(3, 3, 26);
        sheet.width(4, 4, 12);
        sheet.width(5, 5, 7);
        sheet.text(0, 0, "What every count comes from", Look::title);
        sheet.height(0, 22);
        constexpr int heading = 2;
        const std::array<const char*, 6> words{"No.", "Item", "Kind", "Id", "Quantity", "Unit"};
        for (int column = 0; column < 6; ++column)
            sheet.text(heading, column, words[static_cast<std::size_t>(column)],
                       column == 4 ? Look::heading : Look::heading_left);
        int row = heading;
        for (std::size_t i = 0; i < takeoff_.lines.size(); ++i) {
            const TakeoffLine& line = takeoff_.lines[i];
            for (const model::TakeoffElement& element : line.elements) {
                ++row;
                sheet.number(row, 0, static_cast<double>(i) + 1, Look::working, "0");
                sheet.text(row, 1, takeoff_label(speaker_, line), Look::label);
                sheet.text(row, 2, element.pipe ? "pipe" : "point", Look::note);
                sheet.text(row, 3, takeoff_id(speaker_, element), Look::label);
                const double quantity = takeoff_quantity(speaker_, line, element.quantity);
                const bool whole = element.quantity == std::round(element.quantity);
                sheet.number(row, 4, quantity, Look::input, line.by_length() ? "0.0" : whole ? "0" : "0.00");
                sheet.text(row, 5, unit_word(line), Look::note);
            }
        }
        const auto range = [&](int column) {
            return cell_name(heading + 1, column, true) + ":" + cell_name(row, column, true);
        };
        book_.define(line_range, sheet.name(), range(0));
        book_.define(quantity_range, sheet.name(), range(4));
        sheet.print(print_setup(speaker_.system, row, 5, heading));
    }

    void notes() {
        Sheet sheet = book_.add(book_.reserve("Notes"));
        sheet.width(0, 0, 24);
        sheet.width(1, 1, 76);
        sheet.text(0, 0, "Notes", Look::title);
        sheet.height(0, 22);
        int row = 2;
        const auto section = [&](const char* words) {
            sheet.text(row, 0, words, Look::section);
            sheet.text(row++, 1, "", Look::section);
        };
        const auto pair = [&](const std::string& left, const std::string& right) {
            sheet.paragraph(row, 0, 0, left, Look::wrapped);
            sheet.paragraph(row++, 1, 1, right, Look::wrapped);
        };
        section("Assumed");
        for (const model::Assumption& assumption : takeoff_.assumptions)
            pair(assumption.subject, assumption_and_reason(speaker_.units, assumption));
        ++row;
        if (!takeoff_.shared_trenches.empty()) {
            section("Shared trenches");
            constexpr std::size_t most = 500;
            const auto& all = takeoff_.shared_trenches;
            for (std::size_t i = 0; i < std::min(most, all.size()); ++i)
                pair(speaker_.system.pipe_id(all[i].pipe),
                     fmt::format("{} in the trench of {}",
                                 speaker_.units.text(all[i].length, Dimension::length),
                                 speaker_.system.pipe_id(all[i].with)));
            if (all.size() > most)
                pair("", fmt::format("and {} more: takeoff --elements lists them.", all.size() - most));
            ++row;
        }
        section("Cautions");
        sheet.paragraph(row++, 0, 1, takeoff_cautions(), Look::wrapped);
        sheet.print(print_setup(speaker_.system, row, 1));
    }

    const Speaker& speaker_;
    const model::Takeoff& takeoff_;
    Book book_;
    Sheet list_;
    const bool counted_;
};

}  // namespace

void write_takeoff_book(Output& output, const TakeoffSubject& subject) {
    TakeoffBook(subject).write(output);
}

}  // namespace evenhead::io
