// Whether a case still is what it was when it was read.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <utility>
#include <vector>

namespace evenhead::io {

/// What the files of a case hold at one time, told by a number for each.
class CaseStamp {
  public:
    /// `files` as CaseReading has them: the case first, the others named from its folder.
    CaseStamp(const std::string& path, const std::vector<std::string>& files);

    /// The first file that holds something else by now, or is gone; empty: none.
    std::filesystem::path changed() const;

  private:
    std::vector<std::pair<std::filesystem::path, std::uint64_t>> files_;
};

}  // namespace evenhead::io
