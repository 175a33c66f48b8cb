// A looped part drawn without crossings: junctions as level bars, what joins them as upright columns.
//
// The bars are numbered from the first junction to the last so that every other one has a neighbour below and
// one above it (st-numbering; Even and Tarjan 1976, by the list method of Tarjan 1986). In a planar embedding
// the columns then have a face on their left and one on their right, and the faces are ordered from left to
// right: a longest way through them says where each column stands (Tamassia and Tollis 1986; Rosenstiehl and
// Tarjan 1986). All O(n), but for the planarity of parts that are not planar: those leave out a few links.
#pragma once

#include <utility>
#include <vector>

namespace evenhead::io::schematic {

/// Links between junctions; two may join the same pair.
struct LinkGraph {
    int junctions = 0;
    std::vector<std::pair<int, int>> links;
};

struct Bars {
    int first = 0, last = 0;       ///< junctions at the bottom and at the top
    std::vector<int> order;        ///< junctions from bottom to top
    std::vector<char> drawn;       ///< by link; 0: left out, since it would cross others
    std::vector<char> upward;      ///< by link: runs from its first junction up to its second
    std::vector<int> left, right;  ///< by link: faces beside it
    int faces = 0;                 ///< face 0 is outside on the left, face 1 outside on the right
};

/// `first` is the junction at the bottom; `far` is how far each junction is from it: the farthest that may
/// lie on the outside is the top. The graph must hang together without a junction whose loss would part it,
/// and have a link.
Bars find_bars(const LinkGraph& graph, int first, const std::vector<double>& far);

}  // namespace evenhead::io::schematic
