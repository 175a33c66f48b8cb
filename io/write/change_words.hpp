// Changes between two cases in words.
#pragma once

#include <string>
#include <string_view>

#include "io/write/sentences.hpp"
#include "solver/comparison/comparison.hpp"

namespace evenhead::io {

class ChangeWords {
  public:
    /// Units are those of `drawn`.
    ChangeWords(const Speaker& drawn, const Speaker& built) : drawn_(drawn), built_(built) {}

    /// `added`, `dropped` ...
    static std::string_view kind(const solver::Change& change);
    /// `pipe`, `head` ...; of a point that has a row, that row's; `case` for the whole.
    std::string_view table(const solver::Change& change) const;
    /// What of its row differs: "static pressure", "length".
    static std::string_view key(const solver::Change& change);
    /// The id: "L4"; "case" for the whole.
    std::string id(const solver::Change& change) const;
    /// What it is and its id: "pipe T1-lawn".
    std::string name(const solver::Change& change) const;
    /// One side of it: "pvc-cl200 1", "62 psi", "50 psi at 18 gpm"; empty: nothing is there.
    std::string value(const solver::Change& change, const solver::ChangeValue& of) const;
    /// Both: "its length from 20 ft to 40 ft".
    std::string from_to(const solver::Change& change) const;

  private:
    const Speaker &drawn_, &built_;
};

}  // namespace evenhead::io
