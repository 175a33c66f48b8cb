#include "cli/progress.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <atomic>
#include <cstdlib>
#include <string_view>
#include <utility>

namespace evenhead::cli {
namespace {

constexpr std::string_view clear_line = "\r\x1b[K";
constexpr std::chrono::milliseconds least_time{100};

std::atomic<bool> on_screen = false;
static_assert(std::atomic<bool>::is_always_lock_free);

void put(std::string_view text) noexcept {
    // Nothing is lost where even this fails.
    [[maybe_unused]] const auto count = ::write(STDERR_FILENO, text.data(), text.size());
}

bool can_erase() {
    // NOLINTNEXTLINE(concurrency-mt-unsafe): asked before any thread is started, and nobody sets it
    const char* terminal = std::getenv("TERM");
    return ::isatty(STDERR_FILENO) == 1 && terminal != nullptr && std::string_view(terminal) != "dumb";
}

}  // namespace

void erase_progress() noexcept {
    if (on_screen.exchange(false)) put(clear_line);
}

ProgressLine::ProgressLine(bool wanted, std::size_t total, std::string noun)
    : possible_(wanted && can_erase()), total_(total), noun_(std::move(noun)) {}

void ProgressLine::say(const std::string& words) const {
    if (!possible_) return;
    on_screen = true;
    put(fmt::format("{}{}", clear_line, words));
}

void ProgressLine::show(std::size_t done) {
    if (!possible_) return;
    const auto now = std::chrono::steady_clock::now();
    const bool stands = on_screen.load() && shown_done_ == done;
    if (stands || now - shown_at_ < least_time) return;
    shown_at_ = now;
    shown_done_ = done;
    on_screen = true;
    put(fmt::format("{}{} of {} {}", clear_line, done, total_, noun_));
}

void ProgressLine::show(const std::string& words) {
    if (!possible_) return;
    const auto now = std::chrono::steady_clock::now();
    if (now - shown_at_ < least_time) return;
    shown_at_ = now;
    on_screen = true;
    put(std::string(clear_line) + words);
}

}  // namespace evenhead::cli
