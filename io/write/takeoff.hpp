// The take-off as text, JSON and CSV.
#pragma once

#include <string>
#include <vector>

#include "io/write/layout.hpp"
#include "io/write/output.hpp"
#include "io/write/sentences.hpp"
#include "model/takeoff/takeoff.hpp"

namespace evenhead::io {

struct TakeoffSubject {
    const Speaker& speaker;
    const model::Takeoff& takeoff;
    std::string case_path;
};

/// "Pipe", "Fittings" ...: what a part of the list is called.
std::string_view section_title(model::TakeoffSection section);
/// "reducing tee pvc 1 x 1 x 3/4", "pvc-cl200 3/4", "mainline trench, 18 in deep".
std::string takeoff_label(const Speaker& speaker, const model::TakeoffLine& line);
/// "1 x 1 x 3/4"; a bare bore as "26.6 mm bore", what is not known as "?".
std::string takeoff_sizes(const Speaker& speaker, const model::TakeoffLine& line);
/// What a line counts, in the unit shown: number, or ft or m.
double takeoff_quantity(const Speaker& speaker, const model::TakeoffLine& line, double quantity);
/// The price of one, or of a ft or m; NaN without.
double takeoff_price(const Speaker& speaker, const model::TakeoffLine& line);
/// What the line costs; NaN without a price.
double takeoff_cost(const model::TakeoffLine& line);
/// Money as it is printed: "12.40".
std::string money(double value);
/// The id of an element.
std::string takeoff_id(const Speaker& speaker, const model::TakeoffElement& element);
/// "27 x 20 ft"; nothing where a line is not sold in pieces.
std::string takeoff_order(const Speaker& speaker, const model::TakeoffLine& line);
/// What it comes to, and whose prices those are.
std::string takeoff_cost_sentence(const model::Takeoff& takeoff);
/// What has to be bought besides, in one sentence.
std::string takeoff_not_counted();
/// What decides before anybody digs.
std::string takeoff_cautions();

/// `elements`: with the points and pipes behind every count.
void write_takeoff_text(Output& output, const TakeoffSubject& subject, bool elements, const Page& page);
/// `{schema, case, units, heads, valves, pipe, trench, shared, cost, lines: [{section, item, name, family,
/// sizes, of, quantity, unit, waste, piece, ordered, price, price_from, cost, elements: [{kind, id,
/// quantity}]}], shared_trenches, assumptions, not_counted}`.
void write_takeoff_json(Output& output, const TakeoffSubject& subject,
                        const std::vector<model::Issue>& warnings);
/// A line for each line; the elements as ids with blanks between them.
void write_takeoff_csv(Output& output, const TakeoffSubject& subject);

}  // namespace evenhead::io
