// Names of sheets: what a workbook allows, and no two that it takes for the same.
#pragma once

#include <set>
#include <string>
#include <string_view>

namespace evenhead::io {

class SheetNames {
  public:
    /// A name for `wanted` that is legal (1 to 31 UTF-16 units, none of []:*?/\, no apostrophe at either end,
    /// not "History") and not yet given out, whatever the case of its letters.
    std::string give(std::string_view wanted);

  private:
    std::set<std::string> given_;
};

/// The name as a formula writes it: 'John''s garden'.
std::string quoted_sheet(std::string_view name);

}  // namespace evenhead::io
