// What `evenhead check` was asked to do; shared by the answer of one case and the list of many.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "cli/verb.hpp"
#include "io/write/result_rows.hpp"

namespace evenhead::cli {

/// Every `of`-th of the sorted cases, from the `first`-th (both from 1).
struct Shard {
    std::size_t first = 1, of = 1;
};

struct CheckCommand {
    std::vector<std::string> paths;
    std::string run;
    std::string table;   ///< empty: findings
    std::string detail;  ///< empty: all in JSON and CSV, no tables of heads and pipes in text
    std::string shard;   ///< as given: 2/4; empty: all cases
    int threads = 0;
    bool quiet = false, verbose = false;
    OutputOptions output;
};

/// `otherwise` where the word is empty.
io::Detail detail_of(const std::string& word, io::Detail otherwise);

/// What is wrong with the words of --shard; empty where they are right.
std::string wrong_shard(const std::string& words);

/// True where the answer is a line each: several cases, a folder of them, or a shard.
bool is_list(const CheckCommand& command);

/// Checks many cases, a line each in the order of their names, and a total.
Status check_many(const CheckCommand& command);

}  // namespace evenhead::cli
