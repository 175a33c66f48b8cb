// Work on many things at once, taken in their order: the answer does not depend on the number of threads.
//
// Only the things of a window that begins with the one whose turn it is are worked on, and only that one
// where much waits already: so what waits does not grow with their number.
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstddef>
#include <cstdint>
#include <exception>
#include <functional>
#include <map>
#include <mutex>
#include <string>
#include <thread>
#include <utility>
#include <vector>

namespace evenhead::cli {

template <class Result>
class InTurn {
  public:
    struct Job {
        std::vector<std::uintmax_t> sizes;  ///< one for each thing; only their order matters
        int threads = 1;
        bool largest_first = true;  ///< within the window; false: in order, and pass_on() may be called
        std::function<std::size_t(const Result&)> weight;  ///< bytes that a result takes while it waits
        /// Called from any thread; what it throws ends everything.
        std::function<Result(InTurn&, std::size_t)> work;
        /// The following are called from the thread that calls run().
        std::function<void(std::size_t, Result&&)> take;  ///< in order
        std::function<void(const std::string&)> take_piece;
        std::function<void(std::size_t done)> tick;  ///< some times a second
    };

    explicit InTurn(Job job) : job_(std::move(job)), begun_(job_.sizes.size(), false) {}

    /// Ends when all is taken. Throws what the functions throw, after the work that is under way.
    void run();

    /// For a result too long to be kept: waits for the turn of `position`, and hands on its next piece.
    void pass_on(std::size_t position, std::string& piece);

  private:
    /// Somebody gave up, so nobody wants the rest.
    struct Stopped {};
    static constexpr std::size_t window_per_thread = 32;
    static constexpr std::size_t most_waiting = std::size_t{64} << 20U;  // bytes
    static constexpr std::chrono::milliseconds tick_time{100};

    void work();
    void stop(std::exception_ptr why);
    std::size_t next_to_begin() const;

    Job job_;
    std::mutex mutex_;
    std::condition_variable changed_;
    std::vector<bool> begun_;
    std::size_t turn_ = 0, begun_count_ = 0, done_ = 0, waiting_ = 0;
    std::map<std::size_t, Result> ready_;
    std::string piece_;  // of the one whose turn it is
    bool stopped_ = false;
    std::exception_ptr thrown_;
};

/// The number of things where none may be begun now.
template <class Result>
std::size_t InTurn<Result>::next_to_begin() const {
    const std::size_t count = begun_.size();
    const std::size_t window =
        waiting_ > most_waiting ? 1 : static_cast<std::size_t>(job_.threads) * window_per_thread;
    std::size_t next = count;
    for (std::size_t i = turn_; i < count && i - turn_ < window; ++i) {
        if (begun_[i]) continue;
        if (!job_.largest_first) return i;
        if (next == count || job_.sizes[i] > job_.sizes[next]) next = i;
    }
    return next;
}

template <class Result>
void InTurn<Result>::stop(std::exception_ptr why) {
    {
        const std::lock_guard lock(mutex_);
        stopped_ = true;
        if (!thrown_) thrown_ = std::move(why);
    }
    changed_.notify_all();
}

template <class Result>
void InTurn<Result>::work() {
    try {
        const std::size_t count = begun_.size();
        for (;;) {
            std::size_t position = count;
            {
                std::unique_lock lock(mutex_);
                changed_.wait(lock, [&] {
                    return stopped_ || begun_count_ == count || (position = next_to_begin()) != count;
                });
                if (stopped_ || begun_count_ == count) return;
                begun_[position] = true;
                ++begun_count_;
            }
            Result result = job_.work(*this, position);
            {
                const std::lock_guard lock(mutex_);
                waiting_ += job_.weight(result);
                ready_.emplace(position, std::move(result));
                ++done_;
            }
            changed_.notify_all();
        }
    } catch (const Stopped&) {
    } catch (...) {
        stop(std::current_exception());
    }
}

template <class Result>
void InTurn<Result>::pass_on(std::size_t position, std::string& piece) {
    {
        std::unique_lock lock(mutex_);
        changed_.wait(lock, [&] { return stopped_ || (turn_ == position && piece_.empty()); });
        if (stopped_) throw Stopped();
        piece_.swap(piece);
    }
    changed_.notify_all();
}

template <class Result>
void InTurn<Result>::run() {
    const std::size_t count = begun_.size();
    std::vector<std::jthread> workers;
    // Whatever ends this function, the workers stop first, and are then waited for.
    struct AtEnd {
        InTurn& all;
        ~AtEnd() { all.stop(nullptr); }
    } const at_end{*this};
    for (std::size_t t = 0; t < static_cast<std::size_t>(job_.threads) && t < count; ++t)
        workers.emplace_back([this] { work(); });
    while (turn_ < count) {
        std::unique_lock lock(mutex_);
        changed_.wait_for(lock, tick_time,
                          [&] { return stopped_ || !piece_.empty() || ready_.contains(turn_); });
        if (thrown_) std::rethrow_exception(thrown_);
        const std::size_t done = done_;
        if (!piece_.empty()) {
            const std::string piece = std::exchange(piece_, {});
            lock.unlock();
            changed_.notify_all();
            job_.take_piece(piece);
        } else if (auto ready = ready_.extract(turn_); !ready.empty()) {
            const std::size_t position = turn_++;
            waiting_ -= job_.weight(ready.mapped());
            lock.unlock();
            changed_.notify_all();
            job_.take(position, std::move(ready.mapped()));
        } else {
            lock.unlock();
        }
        job_.tick(done);
    }
}

}  // namespace evenhead::cli
