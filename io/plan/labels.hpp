// Labels that cover neither each other nor a mark: each goes to the first of a few places around its mark
// that is free, the important ones first; what finds no place is left out.
#pragma once

#include <string>
#include <unordered_map>
#include <vector>

#include "io/plan/placement.hpp"

namespace evenhead::io {

struct Box {
    double left = 0, top = 0, right = 0, bottom = 0;
    bool meets(const Box& other) const {
        return left < other.right && other.left < right && top < other.bottom && other.top < bottom;
    }
};

/// What stands on the sheet: boxes that nothing may cover, and lines that labels avoid where they can.
class Occupied {
  public:
    /// `cell`: px; about the size of a label.
    explicit Occupied(double cell) : cell_(cell) {}
    void add(const Box& box);
    void add_line(const Spot& from, const Spot& to, double half_width);
    bool is_free(const Box& box) const;
    bool free_of_lines(const Box& box) const;

  private:
    struct Line {
        Spot from, to;
        double half;
    };
    template <class Visit>
    void cells(const Box& box, const Visit& visit) const;
    static long long key(int column, int row) {
        return (static_cast<long long>(column) << 32) ^ (row & 0xffffffffLL);
    }

    double cell_;
    std::vector<Box> boxes_;
    std::vector<Line> lines_;
    std::unordered_map<long long, std::vector<int>> box_cells_, line_cells_;
};

struct Label {
    std::string text;
    Spot at;           ///< px, centre of the mark, y down
    double half = 0;   ///< px, of the mark
    double size = 11;  ///< px, of the letters
    bool bold = false;
    bool over_lines = false;  ///< rather on a pipe than not at all
    std::string style;        ///< class
    Spot baseline;            ///< where it goes, once placed
    enum class Anchor : char { start, middle, end } anchor = Anchor::start;
};

/// Places what fits, in order, within `page`; the others are taken out.
void place_labels(std::vector<Label>& labels, Occupied& occupied, const Box& page);

}  // namespace evenhead::io
