// The known name nearest to a misspelt one, for messages that say what would be right.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace evenhead::model {

/// How many letters must be put in, left out, changed or swapped with their neighbour to make one word the
/// other (optimal string alignment), ASCII case ignored. Stops early and returns limit + 1 where it is more
/// than `limit`.
std::size_t edit_distance(std::string_view left, std::string_view right, std::size_t limit);

/// Finds the nearest of many names: offer them one by one, then ask. Names too far off to be meant are not
/// nearest.
class NearestName {
  public:
    explicit NearestName(std::string_view word);
    bool offer(
        std::string_view name);  ///< true where it is the nearest so far; the first of equally near ones is
    std::optional<std::string_view> found() const;  ///< lives as long as this

  private:
    std::string_view word_;
    std::string best_;
    std::size_t first_too_far_;  ///< a name at this distance or beyond is not better than what is there
    bool any_ = false;
};

/// The nearest of a range of things that turn into string_view, as a view of it.
template <class Names>
std::optional<std::string_view> nearest_name(std::string_view word, const Names& names) {
    NearestName nearest(word);
    std::optional<std::string_view> best;
    for (const auto& name : names)
        if (nearest.offer(name)) best = name;
    return best;
}

}  // namespace evenhead::model
