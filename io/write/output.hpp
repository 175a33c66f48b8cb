// Where results go: standard output, or a file that is written whole or not at all.
#pragma once

#include <functional>
#include <stdexcept>
#include <string>
#include <string_view>

namespace evenhead::io {

/// The result could not be written (full disk, closed pipe, folder that cannot be written). what() is a plain
/// sentence.
struct WriteError : std::runtime_error {
    using std::runtime_error::runtime_error;
};

/// Whoever read standard output has gone (as `| head` does): nobody wants to hear of it.
struct ReaderGone : WriteError {
    using WriteError::WriteError;
};

/// For a signal that ends the program, and safe inside its handler: removes the siblings of files that are
/// not finished. True if there was one.
bool remove_unfinished_outputs() noexcept;

/// A place to write to. A file goes to a sibling first; finish() flushes it to the disk and renames it, so
/// that a file of that name is either the old one or the whole new one. Without finish() nothing is left
/// behind.
class Output {
  public:
    /// `path` empty: standard output. A path that is no ordinary file (a pipe, a terminal) is written
    /// directly. Throws WriteError where the file cannot be made.
    explicit Output(const std::string& path = {});
    /// Hands what is written on to `taker` piece by piece, the rest at finish().
    explicit Output(std::function<void(std::string_view)> taker);
    ~Output();
    Output(const Output&) = delete;
    Output& operator=(const Output&) = delete;

    /// Appends text; throws WriteError.
    void write(std::string_view text);
    /// Passes on what has been written so far; throws WriteError.
    void flush();
    /// All is written: flush, and put the file in its place. Throws WriteError; the old file then stands.
    void finish();
    /// True where the text appears on a terminal (colour makes sense there).
    bool terminal() const;

  private:
    void make_temporary(const std::string& folder);
    void forget_temporary();
    [[noreturn]] void fail(int error);

    std::function<void(std::string_view)> taker_;  ///< empty: the descriptor takes it
    std::string name_;                             ///< for messages
    std::string target_;                           ///< the file to end as; empty: written directly
    std::string temporary_;                        ///< the sibling; empty: none
    std::string buffer_;
    int descriptor_ = -1;
    bool owned_ = false;
};

}  // namespace evenhead::io
