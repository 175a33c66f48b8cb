// Pipe by kind and size, elbows at bends, and what joins its pieces.
//
// A stretch is pipe without a fitting on it: from fitting to fitting, through points where the same pipe goes
// straight on. It begins with a whole piece, so a stretch of length L in pieces of P needs ceil(L / P) - 1
// joints, at P, 2 P ... from its beginning.
#include <algorithm>
#include <cmath>

#include "model/takeoff/takeoff_parts.hpp"

namespace evenhead::model::takeoff {
namespace {

constexpr double slight = 1e-6;  // m: a stretch this much longer than a piece is taken for a piece

/// Pipe between two of its own bends.
struct Part {
    Index pipe = none;
    double length = 0;
};

double length_of(const Pipe& pipe) {
    return pipe.length.known() ? pipe.length.value : 0;
}

class Pipes {
  public:
    Pipes(const Subject& subject, const std::vector<Meeting>& meetings, Lines& lines)
        : subject_(subject), lines_(lines), next_(subject.system.pipes.size(), {{none, none}}) {
        for (const Meeting& meeting : meetings) {
            if (!goes_through(subject, meeting)) continue;
            const End &one = meeting.ends[0], &other = meeting.ends[1];
            next_[at(one.pipe)][one.at_to ? 1 : 0] = other.pipe;
            next_[at(other.pipe)][other.at_to ? 1 : 0] = one.pipe;
        }
    }

    void count() {
        const std::size_t pipes = subject_.system.pipes.size();
        for (std::size_t i = 0; i < pipes; ++i) pipe(static_cast<Index>(i));
        done_.assign(pipes, 0);
        for (std::size_t i = 0; i < pipes; ++i)
            if (done_[i] == 0) stretch(first_of(static_cast<Index>(i)));
    }

  private:
    void pipe(Index index) {
        const Pipe& pipe = subject_.pipe(index);
        const PipeFacts& facts = subject_.facts_of(index);
        TakeoffLine& line = lines_.add({TakeoffItem::pipe, pipe.size->kind, {facts.size}, {}},
                                       {true, index, length_of(pipe)});
        line.waste = subject_.rules.pipe_waste;
        line.piece = facts.rule->piece;
        line.coil = facts.rule->coil;
    }

    /// The pipe's parts in the direction of the pipe; counts the elbows between them.
    std::vector<Part> parts_of(Index index, bool count_elbows) {
        const Pipe& pipe = subject_.pipe(index);
        const std::vector<Vector> way = subject_.way(index);
        std::vector<Part> parts{{index, 0}};
        double plan = 0;
        for (std::size_t i = 1; i < way.size(); ++i) {
            const double length = distance(way[i - 1], way[i]);
            plan += length;
            parts.back().length += length;
            if (i + 1 < way.size() && elbow(index, way[i - 1], way[i], way[i + 1], count_elbows))
                parts.push_back({index, 0});
        }
        // The case's length counts; the plan only says where on it the bends are.
        for (Part& part : parts)
            part.length = plan > 0 ? part.length * length_of(pipe) / plan : length_of(pipe);
        return parts;
    }

    static double distance(const Vector& start, const Vector& end) {
        return std::hypot(end[0] - start[0], end[1] - start[1]);
    }

    bool elbow(Index index, const Vector& before, const Vector& here, const Vector& after, bool count) {
        const double back = distance(before, here), ahead = distance(here, after);
        if (!(back > 0) || !(ahead > 0)) return false;
        const Vector one{(before[0] - here[0]) / back, (before[1] - here[1]) / back};
        const Vector other{(after[0] - here[0]) / ahead, (after[1] - here[1]) / ahead};
        const double degrees = turn(one, other);
        const PipeFacts& facts = subject_.facts_of(index);
        if (degrees < facts.rule->elbows_from) return false;
        if (!count) return true;
        const long eighths = std::lround(degrees / 45);
        const auto put = [&](TakeoffItem item, long number) {
            if (number > 0)
                lines_.add({item, facts.rule->family, {facts.size}, {}},
                           {true, index, static_cast<double>(number)});
        };
        put(TakeoffItem::elbow_90, eighths / 2);
        put(TakeoffItem::elbow_45, eighths % 2);
        return true;
    }

    /// Where the stretch of this pipe begins: the pipe, and whether it is walked from its `to`.
    struct Start {
        Index pipe;
        bool backward;
    };
    Start first_of(Index index) const {
        Start start{index, false};
        for (;;) {
            const Index before = next_[at(start.pipe)][start.backward ? 1 : 0];
            if (before == none || before == index) return start;  // the end, or all round a ring
            const Pipe& pipe = subject_.pipe(start.pipe);
            const Index point = start.backward ? pipe.to : pipe.from;
            start = {before, subject_.pipe(before).from == point};
        }
    }

    void stretch(Start walk) {
        std::vector<Part> open;
        const Index first = walk.pipe;
        for (;;) {
            done_[at(walk.pipe)] = 1;
            std::vector<Part> parts = parts_of(walk.pipe, true);
            if (walk.backward) std::reverse(parts.begin(), parts.end());
            for (std::size_t i = 0; i < parts.size(); ++i) {
                open.push_back(parts[i]);
                if (i + 1 < parts.size()) close(open);
            }
            const Index next = next_[at(walk.pipe)][walk.backward ? 0 : 1];
            if (next == none || next == first || done_[at(next)] != 0) break;
            const Pipe& pipe = subject_.pipe(walk.pipe);
            const Index point = walk.backward ? pipe.from : pipe.to;
            walk = {next, subject_.pipe(next).from != point};
        }
        close(open);
    }

    void close(std::vector<Part>& parts) {
        double whole = 0;
        for (const Part& part : parts) whole += part.length;
        double start = 0;
        for (const Part& part : parts) {
            const PipeFacts& facts = subject_.facts_of(part.pipe);
            const double piece = facts.rule->piece;
            // Joints at k P that lie in this part and before the end of the stretch.
            const auto joints_before = [&](double position) {
                return std::max(0.0, std::ceil(std::min(position, whole) / piece - slight / piece) - 1);
            };
            const double end = start + part.length;
            const double joints = joints_before(end) - joints_before(start);
            start = end;
            if (!(joints > 0) || facts.rule->joined == PipeRule::Joined::bell) continue;
            const bool fused = facts.rule->joined == PipeRule::Joined::fusion;
            lines_.add({fused ? TakeoffItem::fusion_joint : TakeoffItem::coupling,
                        facts.rule->family,
                        {facts.size},
                        {}},
                       {true, part.pipe, joints});
        }
        parts.clear();
    }

    const Subject& subject_;
    Lines& lines_;
    std::vector<std::array<Index, 2>> next_;  ///< by pipe: what goes on at `from` and at `to`
    std::vector<char> done_;
};

}  // namespace

void count_pipes(const Subject& subject, const std::vector<Meeting>& meetings, Lines& lines) {
    Pipes(subject, meetings, lines).count();
}

}  // namespace evenhead::model::takeoff
