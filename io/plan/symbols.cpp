#include "io/plan/symbols.hpp"

#include <algorithm>
#include <cmath>

namespace evenhead::io {

using model::DeviceType;

std::string_view head_shape(HeadState state) {
    switch (state) {
        case HeadState::low:
            return "M-5.5-4.2h11L0 5.8z";
        case HeadState::high:
            return "M-5.5 4.2h11L0-5.8z";
        case HeadState::within:
            return "M-4.4 0a4.4 4.4 0 1 1 8.8 0a4.4 4.4 0 1 1-8.8 0z";
        case HeadState::dry:
            return "M-4.6 0a4.6 4.6 0 1 1 9.2 0a4.6 4.6 0 1 1-9.2 0zM-5 5L5-5";
        case HeadState::off:
            return "M-3 0a3 3 0 1 1 6 0a3 3 0 1 1-6 0z";
    }
    return "";
}

std::string_view head_class(HeadState state) {
    constexpr std::array<std::string_view, 5> names{"off", "low", "within", "high", "dry"};
    return names[static_cast<std::size_t>(state)];
}

std::string_view head_words(HeadState state) {
    constexpr std::array<std::string_view, 5> words{"head, not in this run", "head, pressure too low",
                                                    "head, within its limits", "head, pressure too high",
                                                    "head without water"};
    return words[static_cast<std::size_t>(state)];
}

std::string_view suspect_shape() {
    return "M0-10.5L10.5 0L0 10.5L-10.5 0z";
}

std::string_view valve_shape() {
    return "M-7 0L-3.5-6h7L7 0L3.5 6h-7z";
}
std::string_view own_valve_shape() {
    return "M-8.5 0L-4.25-7.4h8.5L8.5 0L4.25 7.4h-8.5z";
}
std::string_view supply_shape() {
    return "M-8.5 0a8.5 8.5 0 1 1 17 0a8.5 8.5 0 1 1-17 0zM-4 0a4 4 0 1 0 8 0a4 4 0 1 0-8 0z";
}
std::string_view device_shape() {
    return "M-5.5-8h11a2.5 2.5 0 0 1 2.5 2.5v11a2.5 2.5 0 0 1-2.5 2.5h-11a2.5 2.5 0 0 1-2.5-2.5v-11a2.5 2.5 "
           "0 0 1 2.5-2.5z";
}
std::string_view closed_shape() {
    return "M-9.5-2.2v4.4h19v-4.4z";
}

namespace {

struct DeviceMark {
    std::string_view letters, words, name;
};

DeviceMark device_mark(DeviceType type) {
    switch (type) {
        case DeviceType::meter:
            return {"Me", "meter", "meter"};
        case DeviceType::backflow:
            return {"Bf", "backflow preventer", "backflow"};
        case DeviceType::filter:
            return {"Fi", "filter", "filter"};
        case DeviceType::regulator:
            return {"Re", "regulator", "regulator"};
        case DeviceType::check:
            return {"Ch", "check valve", "check"};
        case DeviceType::gate:
            return {"Ga", "gate valve", "gate"};
        case DeviceType::pump:
            return {"Pu", "pump", "pump"};
        case DeviceType::master:
            return {"Ma", "master valve", "master"};
        case DeviceType::flow_sensor:
            return {"Fs", "flow sensor", "flow-sensor"};
        case DeviceType::quick_coupler:
            return {"Qc", "quick coupler", "quick-coupler"};
        case DeviceType::other:
            break;
    }
    return {"Ot", "other device", "other"};
}

}  // namespace

std::string_view device_letters(DeviceType type) {
    return device_mark(type).letters;
}
std::string_view device_words(DeviceType type) {
    return device_mark(type).words;
}
std::string_view device_class(DeviceType type) {
    return device_mark(type).name;
}

PipeWidths::PipeWidths(const model::System& system) {
    std::vector<double> bores;
    for (const model::Pipe& pipe : system.pipes)
        if (pipe.size->bore.known()) bores.push_back(pipe.size->bore.value);
    std::sort(bores.begin(), bores.end());
    bores.erase(
        std::unique(bores.begin(), bores.end(), [](double one, double two) { return two < one * 1.02; }),
        bores.end());
    constexpr std::size_t most_classes = 4;
    const std::size_t classes = std::min(most_classes, bores.size());
    // Split where bores differ most, as a share: sizes that are alike stay together.
    std::vector<std::size_t> gaps;
    for (std::size_t i = 1; i < bores.size(); ++i) gaps.push_back(i);
    std::stable_sort(gaps.begin(), gaps.end(), [&](std::size_t one, std::size_t two) {
        return bores[one] / bores[one - 1] > bores[two] / bores[two - 1];
    });
    gaps.resize(classes == 0 ? 0 : classes - 1);
    std::sort(gaps.begin(), gaps.end());
    for (const std::size_t gap : gaps) most_.push_back(bores[gap - 1]);
    most_.push_back(bores.empty() ? std::nan("") : bores.back());
}

std::size_t PipeWidths::of(const model::Pipe& pipe) const {
    for (std::size_t i = 0; i + 1 < most_.size(); ++i)
        if (pipe.size->bore.value <= most_[i] * 1.021) return i;
    return pipe.size->bore.known() ? most_.size() - 1 : 0;
}

double PipeWidths::line(std::size_t width) {
    constexpr std::array<double, 4> lines{1.5, 2.4, 3.6, 5};
    return lines[std::min<std::size_t>(width, 3)];
}

}  // namespace evenhead::io
