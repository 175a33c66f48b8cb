#include "io/edit/patch.hpp"

#include <algorithm>
#include <iterator>
#include <stdexcept>

#include "io/edit/rewrite_case.hpp"

namespace evenhead::io {

Patch::Patch(const std::filesystem::path& path, int file, bool csv, const Document& document) {
    Document own;
    own.files = document.files;
    const auto read = read_source(path, file, {}, csv, own);
    if (!read) throw RewriteError(own.errors.front().text + ": " + own.errors.front().mend);
    const std::string& bytes = own.text.back();
    mark_ = bytes.substr(0, bytes.size() - read->size());
    text_ = *read;
    lines_.emplace(text_);
}

std::string Patch::take(Span span, std::size_t count) {
    const auto first = changes_.begin() + static_cast<std::ptrdiff_t>(count);
    Changes taken(std::make_move_iterator(first), std::make_move_iterator(changes_.end()));
    changes_.erase(first, changes_.end());
    return made(span, std::move(taken));
}

std::string Patch::result() const {
    return mark_ + made({0, text_.size()}, changes_);
}

std::string Patch::made(Span span, Changes changes) const {
    std::stable_sort(changes.begin(), changes.end(),
                     [](const auto& a, const auto& b) { return a.first.begin < b.first.begin; });
    std::string whole;
    std::size_t done = span.begin;
    for (const auto& [at, words] : changes) {
        if (at.begin < done) throw std::logic_error("two edits of one cell");
        whole += std::string_view(text_).substr(done, at.begin - done);
        whole += words;
        done = at.end;
    }
    return whole + text_.substr(done, span.end - done);
}

}  // namespace evenhead::io
