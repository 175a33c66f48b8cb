// The parts of the benchmarks. Each adds its rows and its ratios to the report.
#pragma once

#include "bench/report.hpp"

namespace evenhead::bench {

/// One main, every valve open, at each size: cold, and with one valve shut; ours beside textbook and general.
/// At the largest size also how time grows, rows in drawing order and shuffled.
void measure_sizes(Report& report);
/// 3,500 stations of a golf course one at a time, with rules, against as many cold textbook solves.
void measure_golf(Report& report);
/// The runs of a city's parks, on one thread and on two.
void measure_city(Report& report);
/// Reading a case of the largest size from CSV tables.
void measure_reading(Report& report);
/// What no solver that evaluates every law in every step and touches its arrays can do without, as a share of
/// our time.
void measure_limit(Report& report);

}  // namespace evenhead::bench
