#include "io/read/bare_word.hpp"

#include <toml++/toml.h>
#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "io/excerpt.hpp"
#include "io/units.hpp"

namespace evenhead::io {

namespace {

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

/// The everyday number, without asking the library: most values of a case are one.
bool is_plain_decimal(std::string_view word) {
    if (!word.empty() && (word.front() == '-' || word.front() == '+')) word.remove_prefix(1);
    const auto whole =
        static_cast<std::size_t>(std::find_if_not(word.begin(), word.end(), is_digit) - word.begin());
    if (whole == 0 || whole > 15 || (whole > 1 && word.front() == '0')) return false;
    if (whole == word.size()) return true;
    const std::string_view decimals = word.substr(whole + 1);
    return word[whole] == '.' && !decimals.empty() && std::all_of(decimals.begin(), decimals.end(), is_digit);
}

bool is_toml_value(std::string_view word) {
    if (is_plain_decimal(word) || word == "true" || word == "false") return true;
    constexpr std::size_t longest = 200;  // no number or date is longer
    if (word.size() > longest) return false;
    try {
        return !toml::parse("value = " + std::string(word)).empty();
    } catch (const toml::parse_error&) {
        return false;
    }
}

std::string without_quotes(std::string_view word) {
    std::string clean;
    while (!word.empty()) {
        const std::size_t curly = curly_quote(word);
        if (curly == 0 && word.front() != '"' && word.front() != '\'' && word.front() != '\\')
            clean += word.front();
        word.remove_prefix(std::max<std::size_t>(curly, 1));
    }
    return std::string(trimmed(clean));
}

}  // namespace

std::size_t curly_quote(std::string_view text, char straight) {
    constexpr std::array<std::string_view, 6> doubles = {"“", "”", "„", "‟", "«", "»"};
    constexpr std::array<std::string_view, 4> singles = {"‘", "’", "‚", "‛"};
    const auto length = [&](const auto& quotes) -> std::size_t {
        for (const std::string_view quote : quotes)
            if (text.starts_with(quote)) return quote.size();
        return 0;
    };
    return straight == '"' ? length(doubles) : length(singles);
}

std::size_t curly_quote(std::string_view text) {
    return std::max(curly_quote(text, '"'), curly_quote(text, '\''));
}

BareWord judge_bare_word(std::string_view word) {
    if (is_toml_value(word)) return {};
    std::string lower(word.substr(0, 8));
    for (char& c : lower)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    for (const auto& [written, meant] :
         {std::pair{"yes", "true"}, {"true", "true"}, {"no", "false"}, {"false", "false"}})
        if (lower == written)
            return {false, quoted(word) + " is not how a case says yes or no", std::string("write ") + meant,
                    meant};

    double number = 0;
    const std::string_view unsigned_word = word.starts_with('+') ? word.substr(1) : word;
    const auto [end, error] =
        std::from_chars(unsigned_word.data(), unsigned_word.data() + unsigned_word.size(), number);
    if (error != std::errc::invalid_argument && end == unsigned_word.data() + unsigned_word.size()) {
        if (error == std::errc::result_out_of_range || !within_reach(number))
            return {false, excerpt(word) + " is too large or too small for a number",
                    "write a number, or \"?\" for not known", "\"?\""};
        const std::string right = shortest(number);
        return {false, quoted(word) + " is not a number as TOML writes it", "write " + right, right};
    }
    const std::string right = "\"" + without_quotes(word) + "\"";
    const bool size = word.find('/') != std::string_view::npos &&
                      word.find_first_not_of("0123456789-/ ") == std::string_view::npos;
    return {false, excerpt(word) + (size ? " is a size or fraction and needs quotes" : " needs quotes"),
            "write " + excerpt(right), right};
}

}  // namespace evenhead::io
