// One file of a case as text: ordinary, UTF-8, with LF or CRLF; and the lines of it.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "io/read/rows.hpp"

namespace evenhead::io {

/// Reads a whole file into `document.text` and gives the text without its byte order mark. Refuses what is no
/// ordinary file (without opening it, so a named pipe cannot block), NUL bytes, UTF-16 and whatever is not
/// UTF-8. `file` is the file's own position in `document.files`, `named` where it is named (for "there is no
/// such file"). With `csv` the column of an error counts fields. Empty after an error, which is then in
/// `document.errors`.
std::optional<std::string_view> read_source(const std::filesystem::path& path, int file, model::Place named,
                                            bool csv, Document& document);

/// A file that a case names: it lies in the case's folder, or beneath it.
struct FileBeside {
    std::filesystem::path file;
    std::string fault, mend;  ///< empty where it may be read
};
/// A way up, an absolute name and a link that lead out of the folder are refused, and so is the case itself.
/// `what`: what should be named instead of it ("a CSV file").
FileBeside file_beside(const std::filesystem::path& case_path, std::string_view name, std::string_view what);

/// Characters (code points) in valid UTF-8.
int count_characters(std::string_view text);

/// Where the lines of a text begin.
class Lines {
  public:
    explicit Lines(std::string_view text);

    int count() const { return static_cast<int>(starts_.size()); }
    std::size_t begin(int line) const { return starts_[static_cast<std::size_t>(line - 1)]; }
    /// Line `line` (from 1) without its end; empty beyond the last.
    std::string_view text(int line) const;
    int line_of(std::size_t offset) const;

  private:
    std::string_view text_;
    std::vector<std::size_t> starts_;
};

}  // namespace evenhead::io
