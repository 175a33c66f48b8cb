// One file of a case: its text, and what shall stand there instead.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "io/edit/file_text.hpp"
#include "io/read/source.hpp"

namespace evenhead::io {

class Patch {
  public:
    /// Reads the file, the one at position `file` of the document's. Throws RewriteError where it cannot be
    /// read.
    Patch(const std::filesystem::path& path, int file, bool csv, const Document& document);
    Patch(const Patch&) = delete;
    Patch& operator=(const Patch&) = delete;

    std::string_view text() const { return text_; }
    const Lines& lines() const { return *lines_; }
    bool changed() const { return !changes_.empty(); }

    void replace(Span span, std::string words) { changes_.push_back({span, std::move(words)}); }
    std::size_t count() const { return changes_.size(); }
    /// The stretch with the changes made that came after the first `count`; these are then forgotten.
    std::string take(Span span, std::size_t count);
    /// All changes made. Two at one place follow each other in the order they were asked for. Throws
    /// std::logic_error where they are of one cell.
    std::string result() const;

  private:
    using Changes = std::vector<std::pair<Span, std::string>>;
    std::string made(Span span, Changes changes) const;

    std::string mark_;  // the byte order mark, where the file has one
    std::string text_;
    std::optional<Lines> lines_;
    Changes changes_;
};

}  // namespace evenhead::io
