#include "model/pipe_sizes.hpp"

#include <algorithm>

#include "model/catalogue.hpp"

namespace evenhead::model {

std::vector<PipeSize> sizes_of(const System& system, const std::string& kind) {
    std::vector<PipeSize> sizes;
    for (const CustomSize& own : system.kinds)
        if (own.size.kind == kind && own.size.bore.known()) sizes.push_back(own.size);
    if (const PipeKind* listed = sizes.empty() ? find_kind(kind) : nullptr) sizes = listed->sizes;
    std::stable_sort(sizes.begin(), sizes.end(), [](const PipeSize& one, const PipeSize& other) {
        return one.bore.value < other.bore.value;
    });
    return sizes;
}

std::optional<PipeSize> usual_size(const System& system, const PipeSize& size) {
    if (size.kind.empty()) return std::nullopt;
    for (PipeSize& usual : sizes_of(system, size.kind))
        if (usual.nominal == size.nominal) return std::move(usual);
    return std::nullopt;
}

void take_own_words(const PipeSize& given, const PipeSize& usual, PipeSize& size) {
    const auto differs = [](const Quantity& one, const Quantity& other) {
        return one.known() && (!other.known() || one.value != other.value);
    };
    if (differs(given.c, usual.c)) size.c = given.c;
    if (differs(given.roughness, usual.roughness)) size.roughness = given.roughness;
    if (given.rating && (!usual.rating || given.rating->value != usual.rating->value))
        size.rating = given.rating;
}

std::optional<PipeSize> larger_size(const System& system, const PipeSize& size) {
    if (size.kind.empty()) return std::nullopt;
    const std::vector<PipeSize> sizes = sizes_of(system, size.kind);
    const auto next = std::find_if(sizes.begin(), sizes.end(), [&](const PipeSize& other) {
        return other.bore.value > size.bore.value * (1 + 1e-9);
    });
    if (next == sizes.end()) return std::nullopt;
    const auto usual = std::find_if(sizes.begin(), sizes.end(),
                                    [&](const PipeSize& other) { return other.nominal == size.nominal; });
    PipeSize larger = *next;
    take_own_words(size, usual == sizes.end() ? sizes.front() : *usual, larger);
    return larger;
}

}  // namespace evenhead::model
