// What reading one file beside the case comes to.
#pragma once

#include <string>
#include <vector>

#include "model/system.hpp"

namespace evenhead::io {

/// What a file beside the case holds, read for it. Where `errors` is not empty, nothing of it was taken.
struct FileReading {
    std::vector<std::string> files;    ///< Place::file of the issues
    std::vector<model::Issue> errors;  ///< in the order of the lines
    std::vector<model::Issue> warnings;
};

}  // namespace evenhead::io
