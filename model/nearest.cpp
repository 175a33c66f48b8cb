#include "model/nearest.hpp"

#include <algorithm>
#include <array>

namespace evenhead::model {
namespace {

/// Longer words are compared by their first letters only: ids have at most 64 characters.
constexpr std::size_t longest = 64;

char small(char letter) {
    return letter >= 'A' && letter <= 'Z' ? static_cast<char>(letter - 'A' + 'a') : letter;
}

}  // namespace

std::size_t edit_distance(std::string_view left, std::string_view right, std::size_t limit) {
    left = left.substr(0, longest);
    right = right.substr(0, longest);
    const std::size_t apart =
        left.size() > right.size() ? left.size() - right.size() : right.size() - left.size();
    if (apart > limit) return limit + 1;

    // Row i holds the distances of the first i letters of `left` to every beginning of `right`; a swap looks
    // two back.
    std::array<std::array<std::size_t, longest + 1>, 3> rows{};
    for (std::size_t j = 0; j <= right.size(); ++j) rows[0][j] = j;
    for (std::size_t i = 1; i <= left.size(); ++i) {
        auto& row = rows[i % 3];
        const auto& above = rows[(i + 2) % 3];
        const auto& two_above = rows[(i + 1) % 3];
        row[0] = i;
        std::size_t least = i;
        for (std::size_t j = 1; j <= right.size(); ++j) {
            const bool same = small(left[i - 1]) == small(right[j - 1]);
            row[j] = std::min({above[j] + 1, row[j - 1] + 1, above[j - 1] + (same ? 0 : 1)});
            if (i > 1 && j > 1 && small(left[i - 1]) == small(right[j - 2]) &&
                small(left[i - 2]) == small(right[j - 1]))
                row[j] = std::min(row[j], two_above[j - 2] + 1);
            least = std::min(least, row[j]);
        }
        if (least > limit + 1)
            return limit + 1;  // the row above, which a swap may reach, is over the limit too
    }
    return std::min(rows[left.size() % 3][right.size()], limit + 1);
}

NearestName::NearestName(std::string_view word) : word_(word), first_too_far_(2 + word.size() / 4) {}

bool NearestName::offer(std::string_view name) {
    if (first_too_far_ == 0) return false;
    const std::size_t distance = edit_distance(word_, name, first_too_far_ - 1);
    // A word of which every letter must be changed is another word, however short.
    if (distance >= first_too_far_ || distance >= std::max(word_.size(), name.size())) return false;
    best_ = name;
    any_ = true;
    first_too_far_ = distance;
    return true;
}

std::optional<std::string_view> NearestName::found() const {
    return any_ ? std::optional<std::string_view>(best_) : std::nullopt;
}

}  // namespace evenhead::model
