// Edits of a text by position.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace evenhead::io {

/// Replaces stretches that do not overlap.
class TextEdits {
  public:
    void replace(std::size_t begin, std::size_t end, std::string with) {
        edits_.push_back({begin, end, std::move(with)});
    }
    bool empty() const { return edits_.empty(); }
    /// The text with all of them made.
    std::string apply(std::string_view text) const;
    /// The same for the stretch begin..end of the text: only edits inside it.
    std::string apply(std::string_view text, std::size_t begin, std::size_t end) const;

  private:
    struct Edit {
        std::size_t begin, end;
        std::string with;
    };
    std::vector<Edit> edits_;
};

}  // namespace evenhead::io
