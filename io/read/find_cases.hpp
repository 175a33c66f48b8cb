// The cases that a command line names, one by one or by the folder they lie in.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace evenhead::io {

/// One of many cases.
struct FoundCase {
    std::string path;         ///< as it would be typed; its name among the others
    std::uintmax_t size = 0;  ///< bytes, roughly: tables count where they lie beside a case.toml
    std::string problem;      ///< `path` is a folder that cannot be looked into: why
};

struct FoundCases {
    std::vector<FoundCase> cases;  ///< in the order of the bytes of their paths, each file once
    std::string refused;  ///< what is wrong with the list as a whole and what would be right; else empty
};

/// True for what stands for the cases beneath it: a folder, unless it is called like a case (.toml).
bool is_folder_of_cases(const std::string& path);

/// The files named, and for each folder named every file beneath it whose name ends in .toml. Left out
/// beneath a folder: what begins with a dot, and files that hold readings only. Links are followed, but what
/// they lead to is taken once. A case that is named twice, and a folder without any, are refused.
FoundCases find_cases(const std::vector<std::string>& named);

}  // namespace evenhead::io
