// Sizes as edits of a case: of its rows nothing changes but sizes. A row that stands for several pipes
// (`along`, a lateral) becomes as many rows, or a list of sizes, as its pipes need.
#pragma once

#include <string>
#include <vector>

#include "io/edit/rewrite_case.hpp"

namespace evenhead::io {

/// A pipe and the size it gets.
struct WrittenSize {
    model::Index pipe = model::none;
    std::string kind, nominal;
};

/// The case at `path` with these sizes, to be written as `target` (see rewrite_case, also for what it
/// throws). `system` is what it was read as when `stamp` was taken.
RewrittenCase write_sizes(const std::string& path, const std::string& target, const model::System& system,
                          const std::vector<WrittenSize>& sizes, const CaseStamp* stamp = nullptr);

}  // namespace evenhead::io
