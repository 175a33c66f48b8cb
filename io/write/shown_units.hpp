// The units of printed text: the case's own, or those that its `show` names, and how many digits of each make
// sense.
#pragma once

#include <map>
#include <string>
#include <string_view>

#include "model/quantity.hpp"
#include "model/system.hpp"

namespace evenhead::io {

class ShownUnits {
  public:
    /// The units of the case, with `show` ("bar", "m3/h") put in their place.
    static ShownUnits of_text(const model::System& system);
    /// The units of the case alone (JSON, CSV and the sentences in them).
    static ShownUnits of_case(model::UnitSystem system);

    /// "psi", "gpm", "%" ...; "" for pure numbers.
    std::string_view word(model::Dimension dimension) const;
    /// SI -> the unit shown.
    double in_unit(double si, model::Dimension dimension) const;
    /// Rounded for reading, without its unit: "36.2". `more` adds decimals. NaN: "-".
    std::string number(double si, model::Dimension dimension, int more = 0) const;
    /// Rounded for reading, with its unit: "36.2 psi". NaN: "not known".
    std::string text(double si, model::Dimension dimension, int more = 0) const;
    /// A limit as somebody wrote it: up to five significant digits, no trailing zeros: "5 ft/s".
    std::string limit(double si, model::Dimension dimension) const;
    /// `text` of a value beside a limit: with more decimals where both would read the same.
    std::string beside(double si, double limit, model::Dimension dimension) const;

  private:
    model::UnitSystem units_ = model::UnitSystem::us;
    std::map<model::Dimension, std::string> shown_;
};

}  // namespace evenhead::io
