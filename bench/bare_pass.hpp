// The least that any reader of the tables must do: a measure for io::read_case.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace evenhead::bench {

/// What a bare pass met; printed, so that no part of the work can be left out.
struct BareCount {
    std::size_t bytes = 0, lines = 0, fields = 0;
    std::size_t points = 0;  ///< different ids of points, whether a row defines them or a pipe names them
    std::size_t pipes = 0;   ///< different ids of pipes, where the tables give any
};

/// Reads these CSV tables, splits them at line ends and commas, and puts the text of every field under `id`,
/// `from` or `to` into a set of ids (the `id` of a table that also has `from` is a pipe's, and goes into a
/// set of its own). No number is read, nothing is checked, linked or kept, so it knows nothing of a system
/// but how many names it has. On one thread. Throws std::runtime_error where a file cannot be read.
BareCount bare_pass(const std::vector<std::string>& tables);

}  // namespace evenhead::bench
