// What the fuzz targets hold answers against.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "model/system.hpp"
#include "solver/balance/result.hpp"

namespace evenhead::fuzz {

/// Says what was promised and not kept, and aborts: that is how a fuzzer learns of a find.
void require(bool kept, std::string_view promise, std::string_view more = {});

/// Every issue has its place, its row or file, what is wrong and the mend, and prints as clean text.
void require_sound(const std::vector<model::Issue>& issues, const std::vector<std::string>& files,
                   const std::string& case_path);

/// Either a reason in words, or numbers that close and are numbers wherever a supply reaches.
void require_sound(const model::System& system, const solver::RunResult& result);

}  // namespace evenhead::fuzz
