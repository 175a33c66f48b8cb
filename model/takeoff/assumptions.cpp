// What a take-off takes for granted, line by line, with what changes it.
#include <algorithm>
#include <cmath>
#include <set>

#include "model/takeoff/takeoff_parts.hpp"

namespace evenhead::model::takeoff {
namespace {

class Words {
  public:
    Words(const Subject& subject, Takeoff& result) : subject_(subject), result_(result) {}

    void say() {
        pipes();
        fittings();
        control();
        heads();
        wire();
        trenches();
        prices();
    }

  private:
    void number(const std::string& about, const std::string& what, double value, Dimension dimension,
                const std::string& why) {
        result_.assumptions.push_back({about, what, value, dimension, "", why});
    }
    void words(const std::string& about, const std::string& what, const std::string& value,
               const std::string& why) {
        result_.assumptions.push_back({about, what, std::nan(""), Dimension::none, value, why});
    }
    bool has(TakeoffItem item) const {
        return std::any_of(result_.lines.begin(), result_.lines.end(),
                           [&](const TakeoffLine& line) { return line.item == item; });
    }

    void pipes() {
        if (subject_.system.pipes.empty()) return;
        std::set<std::pair<std::string, double>> said;
        for (const PipeFacts* facts : subject_.pipes) {
            const PipeRule& rule = *facts->rule;
            if (!said.insert({rule.family, rule.piece}).second) continue;
            const char* joined = rule.joined == PipeRule::Joined::bell       ? ", belled"
                                 : rule.joined == PipeRule::Joined::fusion   ? ", joined by fusion"
                                 : rule.joined == PipeRule::Joined::threaded ? ", threaded, with couplings"
                                                                             : ", joined by couplings";
            number(rule.family + " pipe", rule.coil ? "coils of" : "lengths of", rule.piece,
                   Dimension::length,
                   std::string("usual") + joined +
                       (rule.joined == PipeRule::Joined::coupling && rule.family == "pvc"
                            ? "; --belled counts none"
                            : ""));
        }
        number("pipe", "waste", subject_.rules.pipe_waste, Dimension::share,
               "usual, for offcuts and risers; --waste changes it");
        if (result_.pipes_with_allowance > 0)
            words("pipe", "fittings", "the case's allowance for fittings is not bought",
                  "it stands for lost pressure, not for pipe");
        if (!result_.unknown_lengths.empty())
            words("pipe", "lengths",
                  "not known for " + std::to_string(result_.unknown_lengths.size()) + " of " +
                      std::to_string(subject_.system.pipes.size()),
                  "the case says \"?\"; nothing is counted for them");
        if (!result_.unknown_sizes.empty())
            words("pipe", "sizes",
                  "not known for " + std::to_string(result_.unknown_sizes.size()) + " of " +
                      std::to_string(subject_.system.pipes.size()),
                  "the case says \"?\"; their fittings and prices are open");
    }

    /// A price list may be longer than the need, but one of these may be misspelt.
    void prices() {
        if (result_.unused_prices.empty()) return;
        constexpr std::size_t most = 3;
        std::string list;
        for (std::size_t i = 0; i < std::min(most, result_.unused_prices.size()); ++i) {
            const Price& price = subject_.system.prices[at(result_.unused_prices[i])];
            list += (i > 0 ? ", " : "") + price.item + " " + price.size;
        }
        if (result_.unused_prices.size() > most)
            list += " and " + std::to_string(result_.unused_prices.size() - most) + " more";
        words("prices", "not used", list, "nothing of that name and size is in the list");
    }

    void fittings() {
        if (subject_.system.pipes.empty()) return;
        words("fittings", "elbows", "of 45 and 90 degrees, in the smaller pipe of a turn",
              "usual; smaller turns are sprung, and coils bend further than lengths");
        if (result_.pipes_without_place > 0)
            words("fittings", "turns",
                  "none in " + std::to_string(result_.pipes_without_place) +
                      (result_.pipes_without_place == 1 ? " pipe" : " pipes"),
                  "without coordinates of both ends nothing shows where they turn");
        if (has(TakeoffItem::thread_adapter))
            words("fittings", "adapters", "at each pipe side of a valve or device",
                  "usual: their ends are threaded");
    }

    void control() {
        const auto unsized =
            std::count_if(subject_.system.valves.begin(), subject_.system.valves.end(),
                          [](const Valve& valve) { return valve.head == none && valve.size.empty(); });
        if (unsized > 0)
            words("zone valves", "size", "of the pipe before it, for " + std::to_string(unsized),
                  "no size is given");
        if (has(TakeoffItem::large_valve_box))
            number("large valve boxes", "within", subject_.rules.box_reach.in(subject_.system.units),
                   Dimension::length,
                   "up to " + std::to_string(subject_.rules.box_valves) + " valves share a box");
    }

    void heads() {
        if (subject_.system.heads.empty()) return;
        words("heads", "thread", "by the nozzle's flow at its design pressure", "usual");
        if (has(TakeoffItem::swing_joint))
            words("swing joints", "where", "a head has cv or kv", "that is the loss of joint and body");
        if (has(TakeoffItem::riser))
            words("risers", "where", "a head has no cv or kv", "no swing joint is given");
        if (has(TakeoffItem::valve_in_head))
            words("valves in heads", "boxes", "none", "the body holds its valve");
    }

    void wire() {
        if (!has(TakeoffItem::valve_wire) && !has(TakeoffItem::sensor_cable)) return;
        for (const TakeoffController& controller : result_.controllers) {
            if (controller.how == TakeoffController::How::supply)
                words("wire", "from", "supply " + subject_.system.point_id(controller.point),
                      "no controller is given; --controller places it, or a point called controller");
            if (controller.lead > 0)
                number("wire", "controller to mainline", controller.lead, Dimension::length,
                       "straight to " + subject_.system.point_id(controller.joins) +
                           ", the nearest point of the mainline; no trench is counted for it");
        }
        if (result_.controllers.size() > 1)
            words("wire", "controller", "the nearest along the mainline",
                  std::to_string(result_.controllers.size()) + " controllers are given");
        words("wire", "way", "along the mainline, one wire a valve and one common to all",
              "every valve is electric, 24 V");
        number("wire", "slack at either end", subject_.rules.wire_slack.in(subject_.system.units),
               Dimension::length, "usual");
        number("wire", "waste", subject_.rules.wire_waste, Dimension::share, "usual");
        for (const Index point : result_.unrouted)
            words(subject_.system.point_id(point), "wire", "slack only",
                  "no mainline leads there from where the wires begin");
    }

    void trenches() {
        if (subject_.system.pipes.empty()) return;
        const UnitSystem units = subject_.system.units;
        number("trench", "shared within", subject_.rules.trench_width.in(units), Dimension::length,
               "pipes that run the same way lie in one trench; --trench-width changes it");
        number("mainline", "depth of trench", subject_.rules.mainline_depth.in(units), Dimension::bore,
               "usual; local code and frost decide");
        number("laterals", "depth of trench", subject_.rules.lateral_depth.in(units), Dimension::bore,
               "usual; local code and frost decide");
    }

    const Subject& subject_;
    Takeoff& result_;
};

}  // namespace

void say_assumptions(const Subject& subject, Takeoff& result) {
    Words(subject, result).say();
}

}  // namespace evenhead::model::takeoff
