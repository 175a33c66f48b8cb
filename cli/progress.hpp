// How far the work is, for somebody who waits at a terminal: one line on standard error that is gone
// afterwards.
#pragma once

#include <chrono>
#include <cstddef>
#include <string>

namespace evenhead::cli {

/// For a signal that ends the program, and safe inside its handler: takes the line away.
void erase_progress() noexcept;

class ProgressLine {
  public:
    /// Shows nothing unless `wanted`, standard error is a terminal, and the terminal can erase a line.
    ProgressLine(bool wanted, std::size_t total, std::string noun = "cases");
    ~ProgressLine() { erase(); }
    ProgressLine(const ProgressLine&) = delete;
    ProgressLine& operator=(const ProgressLine&) = delete;

    /// Words alone, of work that nobody can count.
    void say(const std::string& words) const;
    /// "12 of 258 cases"; not more often than ten times a second.
    void show(std::size_t done);
    /// The same where the total is known only now.
    void show(std::size_t done, std::size_t total) {
        total_ = total;
        show(done);
    }
    /// The same in words of one's own.
    void show(const std::string& words);
    /// Before anything else is written to the terminal.
    static void erase() { erase_progress(); }

  private:
    bool possible_;
    std::size_t total_, shown_done_ = 0;
    std::string noun_;
    std::chrono::steady_clock::time_point shown_at_{};
};

}  // namespace evenhead::cli
