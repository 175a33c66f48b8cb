// A case with sizes written in: the user's own text, in which nothing changes but sizes. Comments, order and
// layout stay. A row that stands for several pipes (`along`, a lateral) becomes as many rows, or a list of
// sizes, as its pipes need.
#pragma once

#include <string>
#include <vector>

#include "model/system.hpp"

namespace evenhead::io {

/// A pipe and the size it gets.
struct WrittenSize {
    model::Index pipe = model::none;
    std::string kind, nominal;
};

/// A file of the sized case: by its position among the files of the case, with its new text.
struct SizedFile {
    std::size_t file = 0;
    std::string name;  ///< as the case names it: the case file itself first, CSV files relative to it
    std::string text;
    bool changed = false;
};

struct SizedCase {
    std::vector<SizedFile> files;  ///< all of the case's, in the order of Place::file
    std::vector<model::Issue>
        errors;  ///< rows whose form has no room for their sizes; then no file is of use
};

/// Reads the files of the case at `path` again and writes the sizes into them. `system` is what they were
/// read as. Names of changed CSV files become `prefix` + name, in the case file too.
SizedCase write_sizes(const std::string& path, const model::System& system,
                      const std::vector<WrittenSize>& sizes, const std::string& prefix);

}  // namespace evenhead::io
