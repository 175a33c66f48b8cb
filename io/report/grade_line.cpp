#include "io/report/grade_line.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>
#include <optional>

#include "model/position.hpp"
#include "solver/water.hpp"

namespace evenhead::io {
namespace {

using model::Index;
using solver::ElementKind;
using solver::WorksheetLine;

/// Follows the lines of a worksheet from point to point.
class Walk {
  public:
    Walk(const Speaker& speaker, const model::Layout& layout, GradeLine& line)
        : system_(speaker.system),
          layout_(layout),
          line_(line),
          metres_(solver::metres_per_pascal(speaker.system.temperature)) {}

    void step(const WorksheetLine& line, const WorksheetLine* before) {
        if (line.subject.kind == ElementKind::pipe) return pipe(line, before);
        pipes_.clear();
        if (line.subject.kind == ElementKind::supply && point_ == model::none) {
            point_ = system_.supplies[at(line.subject.index)].point;
            height_ = layout_.elevation[at(point_)];
        }
        std::string words =
            line.item == "static" || line.item == "regulation" ? line.item : worksheet_words(line);
        mark(line.pressure);
        if (line.change != 0)
            line_.losses.push_back(
                {along_, std::max(line_.points.back().grade, grade_before()), line.change, std::move(words)});
    }

  private:
    std::string worksheet_words(const WorksheetLine& line) const {
        if (line.item == "swing-joint") return "swing joint";
        if (line.subject.kind == ElementKind::supply) return "supply";
        const std::string name = element_name(system_, line.subject);
        return name.starts_with("the ") ? name.substr(4) : name;
    }

    double grade_before() const {
        return line_.points.size() < 2 ? line_.points.back().grade
                                       : line_.points[line_.points.size() - 2].grade;
    }

    void mark(double pressure) { line_.points.push_back({along_, height_, height_ + pressure * metres_}); }

    /// Lines of one pipe (friction, fittings, elevation) make one stretch; pipes that follow one another
    /// share a label.
    void pipe(const WorksheetLine& line, const WorksheetLine* before) {
        const bool same = before != nullptr && before->subject == line.subject;
        if (!same) {
            const model::Pipe& row = system_.pipes[at(line.subject.index)];
            point_ = row.from == point_ ? row.to : row.from;
            height_ = layout_.elevation[at(point_)];
            along_ += row.length.value;
            if (pipes_.empty()) line_.losses.push_back({0, 0, 0, ""});
            pipes_.push_back(line.subject.index);
            mark(line.pressure);
        } else {
            line_.points.back().grade = height_ + line.pressure * metres_;
        }
        GradeLoss& loss = line_.losses.back();
        if (line.item != "elevation") loss.change += line.change;
        loss.words = pipes_.size() == 1 ? "pipe " + system_.pipe_id(pipes_.front())
                                        : fmt::format("{} pipes", pipes_.size());
        // The label points to the middle of the stretch.
        const std::size_t last = line_.points.size() - 1, first = last - pipes_.size();
        const double middle = (line_.points[first].along + line_.points[last].along) / 2;
        std::size_t i = first + 1;
        while (i < last && line_.points[i].along < middle) ++i;
        const GradePoint &a = line_.points[i - 1], &b = line_.points[i];
        const double share = b.along > a.along ? (middle - a.along) / (b.along - a.along) : 0;
        loss.along = middle;
        loss.grade = a.grade + share * (b.grade - a.grade);
    }

    const model::System& system_;
    const model::Layout& layout_;
    GradeLine& line_;
    double metres_;
    double along_ = 0, height_ = 0;  // m
    Index point_ = model::none;
    std::vector<Index> pipes_;  // that follow one another
};

/// Rows of labels, filled from the right end for those on the left of their leaders, then leftwards for the
/// others; each in the lowest row that is free, so that no leader crosses a label.
struct Rows {
    Rows(int rows, double right_end)
        : ends(at(rows), 0), begins(at(rows), right_end + apart), last_right(right_end) {}

    /// In the order of rising points.
    bool put_left(std::size_t loss, double width, double point) {
        // Drops at one place: their leaders stand side by side.
        const double x = std::max(point, last_left + 3);
        std::size_t row = 0;
        while (row < ends.size() && x - width - apart < ends[row]) ++row;
        if (row == ends.size()) return false;
        ends[row] = last_left = x;
        for (std::size_t below = 0; below < row; ++below) {
            ends[below] = x;  // its leader stands there
            begins[below] = std::min(begins[below], x);
        }
        begins[row] = std::min(begins[row], x - width);
        last_right = std::min(last_right, x);
        placed.push_back({loss, x - width, x, x, point, static_cast<int>(row)});
        return true;
    }

    /// In the order of falling points.
    bool put_right(std::size_t loss, double width, double point) {
        const double x = std::min(point, last_right - 3);
        std::size_t row = 0;
        while (row < begins.size() && x + width + apart > begins[row]) ++row;
        if (row == begins.size() || x < 0) return false;
        for (std::size_t below = 0; below < row; ++below) {
            if (begins[below] <= x) return false;  // a label on the left of its leader reaches here
            begins[below] = x;
        }
        begins[row] = last_right = x;
        placed.push_back({loss, x, x + width, x, point, static_cast<int>(row)});
        return true;
    }

    static constexpr double apart = 8;  // px
    std::vector<double> ends, begins;   // of what stands on the left of its leader; of all
    double last_left = -1e9, last_right;
    std::vector<PlacedLabel> placed;
};

}  // namespace

GradeLine find_grade_line(const Speaker& speaker, const model::Layout& layout,
                          const solver::Worksheet& worksheet) {
    GradeLine line;
    Walk walk(speaker, layout, line);
    const WorksheetLine* before = nullptr;
    for (const WorksheetLine& each : worksheet.lines) {
        walk.step(each, before);
        before = &each;
    }
    const double ground = line.points.empty() ? 0 : line.points.back().ground;
    line.wanted = ground + worksheet.wanted * solver::metres_per_pascal(speaker.system.temperature);
    return line;
}

std::vector<PlacedLabel> place_labels(const GradeLine& line, const std::vector<double>& widths,
                                      const std::vector<double>& points, double right_end, int rows) {
    std::vector<std::size_t> wanted(line.losses.size());
    for (std::size_t i = 0; i < wanted.size(); ++i) wanted[i] = i;
    std::stable_sort(wanted.begin(), wanted.end(), [&](std::size_t a, std::size_t b) {
        return std::abs(line.losses[a].change) > std::abs(line.losses[b].change);
    });
    // Where a label has no room on the right of its leader, it and all farther right stand on the left.
    double turn = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < widths.size(); ++i)
        if (points[i] + widths[i] > right_end) turn = std::min(turn, points[i]);
    const auto place_all = [&](std::vector<std::size_t> losses) -> std::optional<std::vector<PlacedLabel>> {
        std::stable_sort(losses.begin(), losses.end(),
                         [&](std::size_t a, std::size_t b) { return points[a] < points[b]; });
        const auto middle = std::partition_point(losses.begin(), losses.end(),
                                                 [&](std::size_t i) { return points[i] < turn; });
        Rows free(rows, right_end);
        for (auto i = middle; i != losses.end(); ++i)
            if (!free.put_left(*i, widths[*i], points[*i])) return std::nullopt;
        for (auto i = middle; i != losses.begin(); --i)
            if (!free.put_right(*std::prev(i), widths[*std::prev(i)], points[*std::prev(i)]))
                return std::nullopt;
        return std::move(free.placed);
    };
    std::vector<std::size_t> chosen;
    std::vector<PlacedLabel> best;
    for (const std::size_t i : wanted) {
        chosen.push_back(i);
        if (auto placed = place_all(chosen))
            best = std::move(*placed);
        else
            chosen.pop_back();
    }
    return best;
}

}  // namespace evenhead::io
