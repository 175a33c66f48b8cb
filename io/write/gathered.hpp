// The same words about many subjects, said once.
#pragma once

#include <cstddef>
#include <string>
#include <unordered_map>
#include <utility>
#include <vector>

#include "io/write/finding_list.hpp"

namespace evenhead::io {

class Gathered {
  public:
    void add(const std::string& words, const std::string& id) {
        const auto [place, fresh] = line_of_.try_emplace(words, lines_.size());
        if (fresh) lines_.push_back({words, {}});
        lines_[place->second].second.push_back(id);
    }
    /// Words with their subjects, in the order in which the words came.
    const std::vector<std::pair<std::string, std::vector<std::string>>>& lines() const { return lines_; }
    /// `join(words, list of ids)` for each; no more than `most` ids in a list.
    template <typename Join>
    std::vector<std::string> sentences(const Join& join, std::size_t most) const {
        std::vector<std::string> sentences;
        for (const auto& [words, ids] : lines_) sentences.push_back(join(words, id_list(ids, most)));
        return sentences;
    }

  private:
    std::vector<std::pair<std::string, std::vector<std::string>>> lines_;
    std::unordered_map<std::string, std::size_t> line_of_;
};

}  // namespace evenhead::io
