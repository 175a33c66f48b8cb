// Heights and flows from run to run: what the mainline is stands, what a run opens is taken in and forgotten.
#pragma once

#include <vector>

#include "solver/balance/state.hpp"
#include "solver/balance/trees/selection.hpp"

namespace evenhead::solver {

class TreeState {
  public:
    /// `selection` is asked each time for what the present run opens and lets flow.
    TreeState(const Network& network, const Structure& structure, const Selection& selection);

    /// Before the selection of the next run.
    void forget();
    /// Marks what the run opens, and lists what it concerns.
    void take_in();
    /// Heights of what stands still, from those of what flows.
    void rest();

    State state;

  private:
    struct Still {               // where nothing flows
        int place, node, above;  // nodes of the network
        double drop, held;       // m
    };
    void note_still(int place, std::vector<Still>& still) const;
    void rest(const std::vector<Still>& still);
    void activate(int place);
    Spans elements_reached() const;
    void list_always();
    void list_opened();

    const Network& net_;
    const Structure& structure_;
    const Selection& selection_;
    Spans always_nodes_, always_elements_;
    std::vector<Still> still_always_, still_opened_;  // the latter of this run
    std::vector<char> listed_;                        // by element: in state.elements
};

}  // namespace evenhead::solver
