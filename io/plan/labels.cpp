#include "io/plan/labels.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "io/plan/svg_text.hpp"

namespace evenhead::io {
namespace {

// Of a line of text, in em: above and below its baseline as browsers box it, and the distance from the mark.
constexpr double ascent = 1.05, descent = 0.33, distance = 2.5;

/// Whether a line (with its width) comes into a box: clipped to it by Liang and Barsky.
bool crosses(const Spot& from, const Spot& to, const Box& box) {
    double enter = 0, leave = 1;
    const auto clip = [&](double step, double room) {
        if (step == 0) return room >= 0;
        const double share = room / step;
        if (step < 0)
            enter = std::max(enter, share);
        else
            leave = std::min(leave, share);
        return enter <= leave;
    };
    const double dx = to.x - from.x, dy = to.y - from.y;
    return clip(-dx, from.x - box.left) && clip(dx, box.right - from.x) && clip(-dy, from.y - box.top) &&
           clip(dy, box.bottom - from.y);
}

Box widened(const Box& box, double by) {
    return {box.left - by, box.top - by, box.right + by, box.bottom + by};
}

}  // namespace

template <class Visit>
void Occupied::cells(const Box& box, const Visit& visit) const {
    const auto cell = [&](double value) { return static_cast<int>(std::floor(value / cell_)); };
    for (int column = cell(box.left); column <= cell(box.right); ++column)
        for (int row = cell(box.top); row <= cell(box.bottom); ++row) visit(column, row);
}

void Occupied::add(const Box& box) {
    cells(box, [&](int column, int row) {
        box_cells_[key(column, row)].push_back(static_cast<int>(boxes_.size()));
    });
    boxes_.push_back(box);
}

void Occupied::add_line(const Spot& from, const Spot& to, double half_width) {
    const Box around{std::min(from.x, to.x), std::min(from.y, to.y), std::max(from.x, to.x),
                     std::max(from.y, to.y)};
    const auto number = static_cast<int>(lines_.size());
    cells(widened(around, half_width), [&](int column, int row) {
        const Box cell{column * cell_, row * cell_, (column + 1) * cell_, (row + 1) * cell_};
        if (crosses(from, to, widened(cell, half_width))) line_cells_[key(column, row)].push_back(number);
    });
    lines_.push_back({from, to, half_width});
}

bool Occupied::is_free(const Box& box) const {
    bool clear = true;
    cells(box, [&](int column, int row) {
        const auto found = box_cells_.find(key(column, row));
        if (found == box_cells_.end() || !clear) return;
        for (const int other : found->second)
            if (boxes_[static_cast<std::size_t>(other)].meets(box)) clear = false;
    });
    return clear;
}

bool Occupied::free_of_lines(const Box& box) const {
    bool clear = true;
    cells(box, [&](int column, int row) {
        const auto found = line_cells_.find(key(column, row));
        if (found == line_cells_.end() || !clear) return;
        for (const int other : found->second) {
            const Line& line = lines_[static_cast<std::size_t>(other)];
            if (crosses(line.from, line.to, widened(box, line.half))) clear = false;
        }
    });
    return clear;
}

void place_labels(std::vector<Label>& labels, Occupied& occupied, const Box& page) {
    struct Candidate {
        double x, y;  ///< direction from the mark
        Label::Anchor anchor;
    };
    using enum Label::Anchor;
    constexpr double diagonal = 0.75;
    static constexpr std::array<Candidate, 8> candidates{{{1, 0, start},
                                                          {-1, 0, end},
                                                          {0, -1, middle},
                                                          {0, 1, middle},
                                                          {diagonal, -diagonal, start},
                                                          {-diagonal, -diagonal, end},
                                                          {diagonal, diagonal, start},
                                                          {-diagonal, diagonal, end}}};
    const auto place = [&](Label& label) {
        // Letters drawn small are rounded to whole pixels, and then wider.
        constexpr double rounding = 2;
        const double width = text_width(label.text, label.bold) * label.size + rounding;
        // Beside its mark; a little way off; beside it and over a pipe.
        struct Round {
            double farther;
            bool over_lines;
        };
        for (const auto& [farther, over_lines] : {Round{0, false}, Round{0.7, false}, Round{0, true}}) {
            if ((over_lines || farther > 0) && !label.over_lines) break;
            for (const Candidate& way : candidates) {
                const double far = label.half + distance + farther * label.size;
                const Spot near{label.at.x + way.x * far, label.at.y + way.y * far};
                Box box;
                box.left = way.anchor == start ? near.x
                           : way.anchor == end ? near.x - width
                                               : near.x - width / 2;
                box.right = box.left + width;
                // Above, below, or with the middle of its letters level with the mark.
                const double baseline = way.y < 0   ? near.y - descent * label.size
                                        : way.y > 0 ? near.y + ascent * label.size * 0.9
                                                    : near.y + 0.36 * label.size;
                box.top = baseline - ascent * label.size;
                box.bottom = baseline + descent * label.size;
                if (box.left < page.left || box.right > page.right || box.top < page.top ||
                    box.bottom > page.bottom || !occupied.is_free(box) ||
                    (!over_lines && !occupied.free_of_lines(box)))
                    continue;
                occupied.add(box);
                label.anchor = way.anchor;
                label.baseline = {near.x, baseline};
                return true;
            }
        }
        return false;
    };
    std::vector<Label> placed;
    for (Label& label : labels)
        if (place(label)) placed.push_back(std::move(label));
    labels = std::move(placed);
}

}  // namespace evenhead::io
