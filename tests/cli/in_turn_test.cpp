// Results come in order whatever the threads; what goes wrong ends everything; what waits is bounded.
#include "cli/in_turn.hpp"

#include <gtest/gtest.h>

#include <atomic>
#include <stdexcept>

namespace evenhead::cli {
namespace {

using Numbers = InTurn<std::string>;

/// Each thing's result is its number, in two pieces where `pieces`.
Numbers::Job counting(std::size_t things, int threads, bool pieces, std::string& all) {
    Numbers::Job job;
    job.threads = threads;
    job.largest_first = !pieces;
    for (std::size_t i = 0; i < things; ++i) job.sizes.push_back(i * 7919 % 101);
    job.weight = [](const std::string& text) { return text.size(); };
    job.work = [pieces](Numbers& in_turn, std::size_t i) {
        std::string piece = std::to_string(i);
        if (!pieces) return piece + "\n";
        in_turn.pass_on(i, piece);
        return std::string("\n");
    };
    job.take_piece = [&all](const std::string& piece) { all += piece; };
    job.take = [&all](std::size_t, std::string&& text) { all += text; };
    job.tick = [](std::size_t) {};
    return job;
}

std::string numbers_to(std::size_t things) {
    std::string all;
    for (std::size_t i = 0; i < things; ++i) all += std::to_string(i) + "\n";
    return all;
}

TEST(InTurnTest, ResultsComeInOrder) {
    for (const int threads : {1, 2, 8})
        for (const std::size_t things : {std::size_t{0}, std::size_t{1}, std::size_t{7}, std::size_t{2000}})
            for (const bool pieces : {false, true}) {
                std::string all;
                Numbers(counting(things, threads, pieces, all)).run();
                EXPECT_EQ(all, numbers_to(things)) << things << " on " << threads << ", " << pieces;
            }
}

TEST(InTurnTest, TheLargestOfTheWindowIsBegunFirst) {
    std::string all, begun;
    auto job = counting(5, 1, false, all);
    job.sizes = {3, 1, 9, 4, 9};
    job.work = [&begun](Numbers&, std::size_t i) {
        begun += std::to_string(i);
        return std::to_string(i) + "\n";
    };
    Numbers(job).run();
    EXPECT_EQ(begun, "24301");
    EXPECT_EQ(all, numbers_to(5));
}

// The largest comes last: were nothing held back, all would be worked on before the first is taken.
TEST(InTurnTest, WhatWaitsIsBounded) {
    for (const std::size_t weight : {std::size_t{1}, std::size_t{1} << 30U}) {
        std::string all;
        auto job = counting(1000, 1, false, all);
        for (std::size_t i = 0; i < job.sizes.size(); ++i) job.sizes[i] = i;
        std::atomic<std::size_t> worked = 0;
        std::size_t taken = 0, most = 0;
        job.weight = [weight](const std::string&) { return weight; };
        const auto work = job.work;
        job.work = [&, work](Numbers& in_turn, std::size_t i) {
            ++worked;
            return work(in_turn, i);
        };
        job.take = [&](std::size_t, std::string&& text) {
            most = std::max(most, worked - taken);
            ++taken;
            all += text;
        };
        Numbers(job).run();
        EXPECT_EQ(all, numbers_to(1000));
        EXPECT_LE(most, 34U);  // the window of one thread, and the one under way
    }
}

TEST(InTurnTest, AFailureEndsEverything) {
    for (const int threads : {1, 4}) {
        for (const bool pieces : {false, true}) {
            std::string all;
            auto job = counting(100, threads, pieces, all);
            const auto work = job.work;
            job.work = [work](Numbers& in_turn, std::size_t i) {
                if (i == 40) throw std::runtime_error("forty");
                return work(in_turn, i);
            };
            EXPECT_THROW(Numbers(job).run(), std::runtime_error);
            EXPECT_EQ(numbers_to(100).find(all), 0U) << all;

            auto other = counting(100, threads, pieces, all);
            other.take = [](std::size_t i, std::string&&) {
                if (i == 40) throw std::runtime_error("forty");
            };
            EXPECT_THROW(Numbers(other).run(), std::runtime_error);
        }
    }
}

}  // namespace
}  // namespace evenhead::cli
