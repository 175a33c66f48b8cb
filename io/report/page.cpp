#include "io/report/page.hpp"

#include <algorithm>
#include <charconv>

#include "io/report/sections.hpp"

namespace evenhead::io {

std::string_view page_style() {
    return page::style;
}

std::string_view page_script() {
    return page::script;
}

std::string page_script_hash() {
    // Hexadecimal to base64 (RFC 4648): three bytes are four characters.
    constexpr std::string_view digits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    const std::string_view hex = page::script_hash;
    std::string text;
    for (std::size_t i = 0; i < hex.size(); i += 6) {
        const std::size_t bytes = std::min<std::size_t>(3, (hex.size() - i) / 2);
        unsigned word = 0;
        std::from_chars(hex.data() + i, hex.data() + i + 2 * bytes, word, 16);
        word <<= 8 * (3 - bytes);
        for (std::size_t part = 0; part < 4; ++part)
            text += part <= bytes ? digits[(word >> (18 - 6 * part)) & 63U] : '=';
    }
    return text;
}

}  // namespace evenhead::io
