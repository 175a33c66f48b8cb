// What may be an id: printable UTF-8 without white space.
#include <fmt/format.h>

#include <algorithm>

#include "io/read/fields.hpp"

namespace evenhead::io {
namespace {

/// Code points that show nothing, or white space, beyond ASCII (Unicode general categories Cc, Cf, Zs, Zl,
/// Zp, in short).
bool blank_or_invisible(char32_t point) {
    return point <= 0x20 || (point >= 0x7f && point <= 0xa0) || point == 0xad || point == 0x1680 ||
           point == 0x180e || (point >= 0x2000 && point <= 0x200f) || (point >= 0x2028 && point <= 0x202f) ||
           (point >= 0x205f && point <= 0x206f) || point == 0x3000 || point == 0xfeff ||
           (point >= 0xfff9 && point <= 0xfffb) || (point >= 0xe0000 && point <= 0xe007f);
}

/// The next code point of valid UTF-8 (the document is checked); moves `at` behind it.
char32_t next_point(std::string_view text, std::size_t& at) {
    const auto byte = [&](std::size_t i) {
        return static_cast<unsigned char>(i < text.size() ? text[i] : 0);
    };
    const unsigned char lead = byte(at);
    const std::size_t more = lead < 0x80 ? 0 : lead < 0xe0 ? 1 : lead < 0xf0 ? 2 : 3;
    char32_t point = more == 0 ? lead : lead & (0x3fU >> more);
    for (std::size_t i = 1; i <= more; ++i) point = (point << 6) | (byte(at + i) & 0x3fU);
    at += more + 1;
    return point;
}

}  // namespace

bool is_plain_id(std::string_view text) {
    return !text.empty() && text.size() <= longest_id && text != "?" &&
           std::all_of(text.begin(), text.end(), [](char c) { return c > 0x20 && c < 0x7f; });
}

std::string id_fault(std::string_view id) {
    if (id.empty()) return "is empty";
    if (id == "?") return "is \"not known\", which cannot be an id";
    std::size_t characters = 0;
    for (std::size_t i = 0; i < id.size(); ++characters)
        if (blank_or_invisible(next_point(id, i))) return "has a blank or an invisible character in it";
    if (characters > longest_id)
        return fmt::format("has {} characters, more than {}", characters, longest_id);
    return {};
}

}  // namespace evenhead::io
