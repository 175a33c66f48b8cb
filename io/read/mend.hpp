// A text with its slips mended, so that one reading finds all that is wrong; and the way back to the places
// in the file.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace evenhead::io {

struct LineColumn {
    int line = 1, column = 1;  ///< from 1; columns in characters
    // NOLINTNEXTLINE(modernize-use-nullptr): clang-tidy 14 takes the 0 within a defaulted <=> for a pointer
    auto operator<=>(const LineColumn&) const = default;
};

/// Changes to a text, kept apart from it until the mended text is wanted.
class Mending {
  public:
    explicit Mending(std::string_view original) : original_(original) {}

    bool empty() const { return edits_.empty(); }
    void replace(std::size_t at, std::size_t length, std::string with) {
        edits_.push_back({at, length, std::move(with)});
    }
    void insert(std::size_t at, std::string with) { replace(at, 0, std::move(with)); }
    /// Drops a stretch together with every change inside it.
    void remove(std::size_t begin, std::size_t end);

    /// The mended text. Afterwards `origin` tells where a place of it stands in the original.
    std::string apply();
    LineColumn origin(LineColumn mended) const;

  private:
    struct Edit {
        std::size_t at, length;
        std::string with;
    };
    /// After an edit both texts run alike again: from `mended` on here, from `original` on there.
    struct Alike {
        LineColumn mended, original;
    };
    std::string_view original_;
    std::vector<Edit> edits_;
    std::vector<Alike> alike_;
};

}  // namespace evenhead::io
