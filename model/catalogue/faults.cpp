#include "model/faults.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <stdexcept>

#include "model/catalogue/reader.hpp"
#include "model/catalogue/tables.hpp"

namespace evenhead::model {
namespace {

constexpr std::array<std::string_view, fault_kinds> names{
    "blockage",   "narrow-run",    "leak",           "clogged-nozzle", "larger-nozzle", "missing-nozzle",
    "low-supply", "regulator-low", "second-zone-on", "extra-heads",    "higher-ground", "gauge-off"};

template <std::size_t n>
std::size_t one_of(std::string_view word, const std::array<std::string_view, n>& words) {
    const auto found = std::find(words.begin(), words.end(), word);
    if (found == words.end()) throw std::invalid_argument("nobody knows the word " + std::string(word));
    return static_cast<std::size_t>(found - words.begin());
}

double weight(std::string_view word) {
    const double value = tables::number(word);
    if (!(value >= 0) || !std::isfinite(value)) throw std::invalid_argument("a weight is 0 or more");
    return value;
}

void read_severities(const std::vector<std::string_view>& words, FaultPrior& prior) {
    constexpr std::array<std::string_view, 4> evens{"itself", "log", "open", "signs"};
    constexpr std::array<std::string_view, 3> bases{"of-flow", "of-static", "of-set"};
    const std::string_view unit = words[4];
    const auto base = std::find(bases.begin(), bases.end(), unit);
    prior.base = base == bases.end() ? FaultPrior::Base::itself
                                     : static_cast<FaultPrior::Base>(base - bases.begin() + 1);
    const auto si = [&](std::string_view word) {
        const double value = tables::number(word);
        if (prior.base != FaultPrior::Base::itself || unit == "%") return value / 100;
        if (unit == "heads") return value;
        if (unit == "ft") return value * 0.3048;
        return tables::in_si(value, unit);
    };
    prior.low = si(words[2]);
    prior.high = si(words[3]);
    prior.even = static_cast<FaultPrior::Even>(one_of(words[5], evens));
    if (!(prior.low <= prior.high)) throw std::invalid_argument("low is above high");
    if (prior.even == FaultPrior::Even::log && !(prior.low > 0))
        throw std::invalid_argument("evenly in the logarithm, low must be above 0");
    if (prior.even == FaultPrior::Even::open && !(prior.low >= 0 && prior.high < 1))
        throw std::invalid_argument("of what is left open, low is 0 or more and high below 100 %");
}

void take(const tables::Line& line, FaultPriors& priors) {
    const auto& words = line.words;
    if (line.key == "fault" && (words.size() == 2 || words.size() == 6)) {
        const auto kind = static_cast<FaultKind>(one_of(words[0], names));
        FaultPrior& prior = priors.kinds[static_cast<std::size_t>(kind)];
        prior.weight = weight(words[1]);
        if (words.size() == 6) read_severities(words, prior);
    } else if (line.key == "answer" && words.size() == 2) {
        double* const answers[] = {&priors.as_drawn, &priors.two_faults, &priors.unexplained};
        constexpr std::array<std::string_view, 3> answer_names{"as-drawn", "two-faults", "unexplained"};
        *answers[one_of(words[0], answer_names)] = weight(words[1]);
    } else if (line.key == "bad-reading" && words.size() == 2) {
        priors.bad_reading = weight(words[0]);
        priors.bad_reading_spread = tables::number(words[1]);
        if (!(priors.bad_reading < 0.2) || !(priors.bad_reading_spread >= 1))
            throw std::invalid_argument(
                "a bad reading occurs less than 20 times in 100 and strays by 1 or more");
    } else {
        throw std::invalid_argument(
            "a line is: fault KIND WEIGHT LOW HIGH UNIT EVENLY-IN, answer NAME WEIGHT, or bad-reading CHANCE "
            "SPREAD");
    }
}

}  // namespace

std::string_view fault_name(FaultKind kind) {
    return names[static_cast<std::size_t>(kind)];
}

double FaultPrior::severity(double rank) const {
    switch (even) {
        case Even::itself:
            return low + rank * (high - low);
        case Even::log:
            return low * std::pow(high / low, rank);
        case Even::open:
            return 1 - (1 - low) * std::pow((1 - high) / (1 - low), rank);
        case Even::signs:
            return rank < 0.5 ? -high + 2 * rank * (high - low) : low + (2 * rank - 1) * (high - low);
    }
    return low;
}

FaultPriors read_fault_priors(std::string_view text) {
    FaultPriors priors = fault_priors();
    tables::read(text, [&](const tables::Line& line) { take(line, priors); });
    return priors;
}

const FaultPriors& fault_priors() {
    static const FaultPriors priors = [] {
        FaultPriors read;
        tables::read(tables::faults, [&](const tables::Line& line) { take(line, read); });
        return read;
    }();
    return priors;
}

}  // namespace evenhead::model
