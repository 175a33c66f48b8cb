// The same draws with every compiler and library.
#pragma once

#include <cmath>
#include <cstdint>

namespace evenhead::tests {

/// splitmix64 (Steele, Lea & Flood 2014, from memory).
class Random {
  public:
    explicit Random(std::uint64_t seed) : state_(seed * 0x9E3779B97F4A7C15ULL + 0x1234567ULL) {}
    double uniform() { return static_cast<double>(next() >> 11) * 0x1p-53; }
    double between(double low, double high) { return low + (high - low) * uniform(); }
    double log_between(double low, double high) { return low * std::pow(high / low, uniform()); }
    int below(int count) { return static_cast<int>(uniform() * count); }
    bool chance(double p) { return uniform() < p; }

  private:
    std::uint64_t next() {
        std::uint64_t z = (state_ += 0x9E3779B97F4A7C15ULL);
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
        return z ^ (z >> 31);
    }
    std::uint64_t state_;
};

}  // namespace evenhead::tests
