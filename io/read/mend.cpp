#include "io/read/mend.hpp"

#include <algorithm>
#include <utility>

#include "io/read/source.hpp"

namespace evenhead::io {

namespace {

void move_past(LineColumn& place, std::string_view text) {
    place.line += static_cast<int>(std::count(text.begin(), text.end(), '\n'));
    const std::size_t last = text.rfind('\n');
    if (last == std::string_view::npos)
        place.column += count_characters(text);
    else
        place.column = 1 + count_characters(text.substr(last + 1));
}

}  // namespace

void Mending::remove(std::size_t begin, std::size_t end) {
    std::erase_if(edits_, [&](const Edit& edit) { return edit.at >= begin && edit.at + edit.length <= end; });
    replace(begin, end - begin, {});
}

std::string Mending::apply() {
    std::stable_sort(edits_.begin(), edits_.end(), [](const Edit& a, const Edit& b) {
        return std::pair(a.at, a.length > 0) < std::pair(b.at, b.length > 0);  // insertions first
    });
    std::string mended;
    mended.reserve(original_.size() + edits_.size() * 2);
    alike_.clear();
    LineColumn here, there;
    std::size_t done = 0;
    for (const Edit& edit : edits_) {
        if (edit.at < done) continue;  // inside a stretch that is gone
        const std::string_view kept = original_.substr(done, edit.at - done);
        mended += kept;
        mended += edit.with;
        move_past(here, kept);
        there = here;
        if (!alike_.empty()) there = origin(here);
        move_past(here, edit.with);
        move_past(there, original_.substr(edit.at, edit.length));
        alike_.push_back({here, there});
        done = edit.at + edit.length;
    }
    mended += original_.substr(done);
    return mended;
}

LineColumn Mending::origin(LineColumn mended) const {
    auto after = std::upper_bound(alike_.begin(), alike_.end(), mended,
                                  [](LineColumn place, const Alike& alike) { return place < alike.mended; });
    if (after == alike_.begin()) return mended;
    const Alike& alike = *std::prev(after);
    if (mended.line == alike.mended.line)
        return {alike.original.line, alike.original.column + mended.column - alike.mended.column};
    return {mended.line - alike.mended.line + alike.original.line, mended.column};
}

}  // namespace evenhead::io
