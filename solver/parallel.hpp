// The same work for many things, on several threads; what comes out does not depend on how many.
#pragma once

#include <atomic>
#include <cstddef>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace evenhead::solver {

/// Calls work(worker, i) for every i below count, each from one of so many threads with a worker of its own
/// (0, 1,
/// ...); what one throws is thrown here.
template <class Work>
void in_parallel(std::size_t threads, std::size_t count, const Work& work) {
    std::atomic<std::size_t> next = 0;
    std::exception_ptr thrown;
    std::mutex mutex;
    const auto run_worker = [&](std::size_t worker) {
        try {
            for (std::size_t i = next++; i < count; i = next++) work(worker, i);
        } catch (...) {
            const std::lock_guard lock(mutex);
            if (!thrown) thrown = std::current_exception();
        }
    };
    {
        std::vector<std::jthread> helpers;
        for (std::size_t worker = 1; worker < threads && worker < count; ++worker)
            helpers.emplace_back(run_worker, worker);
        run_worker(0);
    }
    if (thrown) std::rethrow_exception(thrown);
}

}  // namespace evenhead::solver
