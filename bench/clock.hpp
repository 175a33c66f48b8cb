// What time a piece of work takes: by the clock on the wall, and of the processor (all threads of this
// process), which says more where others use the machine.
#pragma once

#include <chrono>
#include <ctime>

namespace evenhead::bench {

struct Seconds {
    double wall = 0, processor = 0;
    Seconds& operator+=(const Seconds& more) {
        wall += more.wall;
        processor += more.processor;
        return *this;
    }
};

class Stopwatch {
  public:
    Seconds passed() const {
        return {std::chrono::duration<double>(std::chrono::steady_clock::now() - wall_).count(),
                processor_now() - processor_};
    }

  private:
    static double processor_now() {
        timespec now{};
        clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
        return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
    }
    std::chrono::steady_clock::time_point wall_ = std::chrono::steady_clock::now();
    double processor_ = processor_now();
};

}  // namespace evenhead::bench
