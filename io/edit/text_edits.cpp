#include "io/edit/text_edits.hpp"

#include <algorithm>

namespace evenhead::io {

std::string TextEdits::apply(std::string_view text) const {
    return apply(text, 0, text.size());
}

std::string TextEdits::apply(std::string_view text, std::size_t begin, std::size_t end) const {
    std::vector<const Edit*> sorted;
    for (const Edit& edit : edits_)
        if (edit.begin >= begin && edit.end <= end) sorted.push_back(&edit);
    std::stable_sort(sorted.begin(), sorted.end(),
                     [](const Edit* one, const Edit* other) { return one->begin < other->begin; });
    std::string made;
    std::size_t from = begin;
    for (const Edit* edit : sorted) {
        made += text.substr(from, edit->begin - from);
        made += edit->with;
        from = edit->end;
    }
    made += text.substr(from, end - from);
    return made;
}

}  // namespace evenhead::io
