// Fittings, from what meets at each point.
//
// Two ends: nothing where the same pipe goes on; else a reducer, a transition between families, or a coupling
// where only the kind changes. Three: a tee, whose run is the straightest pair of ends (without coordinates
// the two largest), with all its sizes where they are not one. Four: a cross, or two tees where both branches
// leave on one side. More: a tee for each end beyond two. One: a cap at a plain point, an elbow with outlet
// below a head, a connection at a supply, an adapter to the thread of a valve or device.
//
// Turns: with t the angle by which the way turns, round(t / 45) eighths are made of elbows of 90 and 45
// degrees, in the smaller of the two pipes; below `elbows_from` the pipe is sprung. The branch of a tee
// leaves square, so its t is how far it is from square.
#include <algorithm>
#include <cmath>

#include "model/takeoff/takeoff_parts.hpp"

namespace evenhead::model::takeoff {
namespace {

/// One opening of a fitting: a pipe, or a stub to what stands at the point.
struct Port {
    const PipeFacts* facts = nullptr;
    std::optional<Vector> away;
};

bool wider(const Port& one, const Port& other) {
    return larger(one.facts->size, other.facts->size);
}

bool same_size(const TakeoffSize& one, const TakeoffSize& other) {
    if (one.nominal != other.nominal || one.metric != other.metric) return false;
    return !one.nominal.empty() || one.diameter == other.diameter ||
           (std::isnan(one.diameter) && std::isnan(other.diameter));
}

/// Sizes of a fitting in the order given; one where all are the same.
std::vector<TakeoffSize> sizes_of(std::vector<TakeoffSize> all) {
    const bool same = std::all_of(all.begin(), all.end(),
                                  [&](const TakeoffSize& size) { return same_size(size, all.front()); });
    if (same) all.resize(1);
    return all;
}

class Fittings {
  public:
    Fittings(const Subject& subject, Lines& lines) : subject_(subject), lines_(lines) {}

    void at_point(const Meeting& meeting) {
        element_ = {false, meeting.point, 1};
        std::vector<Port> ports;
        for (const End& end : meeting.ends) ports.push_back({&subject_.facts_of(end.pipe), end.away});
        std::stable_sort(ports.begin(), ports.end(), wider);
        switch (subject_.point(meeting.point).kind) {
            case PointKind::plain:
                if (!goes_through(subject_, meeting)) meet(std::move(ports));
                break;
            case PointKind::supply:
                at_supply(std::move(ports));
                break;
            case PointKind::head:
                at_head(meeting, std::move(ports));
                break;
            case PointKind::valve:
                at_thread(std::move(ports), size_of_valve(subject_, subject_.point(meeting.point).row));
                break;
            case PointKind::device:
                at_thread(std::move(ports), size_of_device(subject_, subject_.point(meeting.point).row));
                break;
        }
    }

  private:
    void put(TakeoffItem item, const std::string& family, std::vector<TakeoffSize> sizes,
             double quantity = 1) {
        TakeoffElement element = element_;
        element.quantity = quantity;
        lines_.add({item, family, std::move(sizes), {}}, element);
    }

    /// True where there are any.
    bool elbows(const Port& port, double degrees) {
        const PipeRule& rule = *port.facts->rule;
        if (degrees < rule.elbows_from) return false;
        const long eighths = std::lround(degrees / 45), square = eighths / 2, slant = eighths % 2;
        if (square > 0)
            put(TakeoffItem::elbow_90, rule.family, {port.facts->size}, static_cast<double>(square));
        if (slant > 0) put(TakeoffItem::elbow_45, rule.family, {port.facts->size});
        return true;
    }

    bool turn_between(const Port& wide, const Port& narrow) {
        return wide.away && narrow.away && elbows(narrow, turn(*wide.away, *narrow.away));
    }

    /// The size of the opening for this pipe in a fitting of the widest port's family; what is of another
    /// family needs a transition there.
    TakeoffSize opening(const Port& widest, const Port& port) {
        const std::string &family = widest.facts->rule->family, &own = port.facts->rule->family;
        if (family == own) return port.facts->size;
        TakeoffSize open =
            widest.facts->size.metric == port.facts->size.metric ? port.facts->size : widest.facts->size;
        put(TakeoffItem::transition, family + " to " + own, sizes_of({open, port.facts->size}));
        return open;
    }

    /// `ports` with the widest first.
    void meet(std::vector<Port> ports) {
        const std::string& family = ports.front().facts->rule->family;
        if (ports.size() == 1) return put(TakeoffItem::cap, family, {ports.front().facts->size});
        if (ports.size() == 2) return two(ports[0], ports[1]);
        if (ports.size() == 3) return tee(std::move(ports));
        if (ports.size() == 4) return cross(std::move(ports));
        const TakeoffSize widest = ports.front().facts->size;
        for (std::size_t i = 2; i < ports.size(); ++i)
            put_tee(family, {widest, widest, opening(ports.front(), ports[i])});
        two(ports[0], ports[1]);
    }

    void two(const Port& wide, const Port& narrow) {
        const PipeRule &rule = *wide.facts->rule, &other = *narrow.facts->rule;
        if (rule.family != other.family)
            put(TakeoffItem::transition, rule.family + " to " + other.family,
                sizes_of({wide.facts->size, narrow.facts->size}));
        else if (!same_size(wide.facts->size, narrow.facts->size))
            put(TakeoffItem::reducer, rule.family, {wide.facts->size, narrow.facts->size});
        const bool same = rule.family == other.family && same_size(wide.facts->size, narrow.facts->size);
        if (!turn_between(wide, narrow) && same)
            put(rule.joined == PipeRule::Joined::fusion ? TakeoffItem::fusion_joint : TakeoffItem::coupling,
                rule.family, {wide.facts->size});
    }

    static bool all_known(const std::vector<Port>& ports) {
        return std::all_of(ports.begin(), ports.end(),
                           [](const Port& port) { return port.away.has_value(); });
    }

    /// Moves the pair that goes the straightest to the front, the wider of it first.
    static void straightest_first(std::vector<Port>& ports) {
        if (!all_known(ports)) return;  // the two widest
        constexpr double alike = 1;     // degrees: then the wider pair, which comes first
        std::size_t first = 0, second = 1;
        double least = 1000;
        for (std::size_t i = 0; i < ports.size(); ++i)
            for (std::size_t j = i + 1; j < ports.size(); ++j) {
                const double degrees = turn(*ports[i].away, *ports[j].away);
                if (degrees > least - alike) continue;
                least = degrees;
                first = i;
                second = j;
            }
        std::rotate(ports.begin(), ports.begin() + static_cast<std::ptrdiff_t>(first),
                    ports.begin() + static_cast<std::ptrdiff_t>(first) + 1);
        std::rotate(ports.begin() + 1, ports.begin() + static_cast<std::ptrdiff_t>(second),
                    ports.begin() + static_cast<std::ptrdiff_t>(second) + 1);
    }

    std::vector<TakeoffSize> openings(const Port& widest, const std::vector<Port>& ports) {
        std::vector<TakeoffSize> sizes;
        sizes.reserve(ports.size());
        for (const Port& port : ports) sizes.push_back(opening(widest, port));
        return sizes;
    }

    void put_tee(const std::string& family, std::vector<TakeoffSize> sizes) {
        sizes = sizes_of(std::move(sizes));
        put(sizes.size() == 1 ? TakeoffItem::tee : TakeoffItem::reducing_tee, family, sizes);
    }

    /// What a branch turns beside the square outlet of a tee in this run.
    void turn_of_branch(const Port& one, const Port& other, const Port& branch) {
        const Vector run{(*one.away)[0] - (*other.away)[0], (*one.away)[1] - (*other.away)[1]};
        const double length = std::hypot(run[0], run[1]);
        if (!(length > 0)) return;
        const Vector axis{run[0] / length, run[1] / length};
        elbows(branch, std::abs(90 - turn(axis, *branch.away)));
    }

    void tee(std::vector<Port> ports) {
        const Port widest = ports.front();
        straightest_first(ports);
        put_tee(widest.facts->rule->family, openings(widest, ports));
        if (!all_known(ports)) return;  // then nothing says which of them is the branch
        turn_between(ports[0], ports[1]);
        turn_of_branch(ports[0], ports[1], ports[2]);
    }

    void cross(std::vector<Port> ports) {
        const Port widest = ports.front();
        straightest_first(ports);
        const std::string& family = widest.facts->rule->family;
        std::vector<TakeoffSize> sizes = openings(widest, ports);
        constexpr double opposite = 45;  // degrees: branches that turn more are not
        if (!all_known(ports) || turn(*ports[2].away, *ports[3].away) < opposite) {
            sizes = sizes_of(std::move(sizes));
            put(sizes.size() == 1 ? TakeoffItem::cross : TakeoffItem::reducing_cross, family, sizes);
            if (!all_known(ports)) return;
            turn_between(ports[0], ports[1]);
            turn_between(ports[2], ports[3]);
            return;
        }
        // Two branches on the same side: a tee for each, the first where the run is still as wide as it
        // comes.
        put_tee(family, {sizes[0], sizes[0], sizes[2]});
        put_tee(family, {sizes[0], sizes[1], sizes[3]});
        turn_between(ports[0], ports[1]);
        for (const Port& branch : {ports[2], ports[3]}) turn_of_branch(ports[0], ports[1], branch);
    }

    /// Joins several pipes to one stub as wide as the widest.
    void gather(std::vector<Port> ports) {
        if (ports.size() < 2) return;
        ports.insert(ports.begin(), {ports.front().facts, std::nullopt});
        meet(std::move(ports));
    }

    void at_supply(std::vector<Port> ports) {
        const PipeFacts& widest = *ports.front().facts;
        gather(std::move(ports));
        put(TakeoffItem::connection, widest.rule->family, {widest.size});
    }

    void at_thread(std::vector<Port> ports, const TakeoffSize& thread) {
        const PipeFacts& widest = *ports.front().facts;
        gather(std::move(ports));
        if (widest.rule->joined != PipeRule::Joined::threaded)
            put(TakeoffItem::thread_adapter, widest.rule->family, sizes_of({widest.size, thread}));
        else if (!same_size(widest.size, thread))
            put(TakeoffItem::reducer, widest.rule->family, {widest.size, thread});
    }

    void at_head(const Meeting& meeting, std::vector<Port> ports) {
        const TakeoffSize inlet =
            inlet_of(subject_, subject_.system.heads[at(subject_.point(meeting.point).row)]);
        const Port narrowest = ports.back();
        const std::string& family = narrowest.facts->rule->family;
        if (ports.size() == 1) return put(TakeoffItem::head_elbow, family, {narrowest.facts->size, inlet});
        if (ports.size() == 2 && ports.front().facts->rule->family == family) {
            std::vector<TakeoffSize> sizes = sizes_of({ports.front().facts->size, narrowest.facts->size});
            sizes.push_back(inlet);
            put(TakeoffItem::head_tee, family, std::move(sizes));
            turn_between(ports.front(), narrowest);
            return;
        }
        // Beside what joins the pipes, in the smallest of them.
        meet(std::move(ports));
        put(TakeoffItem::head_tee, family, {narrowest.facts->size, inlet});
    }

    const Subject& subject_;
    Lines& lines_;
    TakeoffElement element_;
};

}  // namespace

void count_fittings(const Subject& subject, const std::vector<Meeting>& meetings, Lines& lines) {
    Fittings fittings(subject, lines);
    for (const Meeting& meeting : meetings) fittings.at_point(meeting);
}

}  // namespace evenhead::model::takeoff
