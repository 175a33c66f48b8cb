#include "model/catalogue/nominal.hpp"

#include <array>
#include <charconv>
#include <string>

namespace evenhead::model::tables {
namespace {

void trim(std::string_view& text) {
    while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
    while (!text.empty() && (text.back() == ' ' || text.back() == '\t')) text.remove_suffix(1);
}

bool drop_prefix(std::string_view& text, std::string_view prefix) {
    if (!text.starts_with(prefix)) return false;
    text.remove_prefix(prefix.size());
    trim(text);
    return true;
}

bool drop_suffix(std::string_view& text, std::string_view suffix) {
    if (!text.ends_with(suffix)) return false;
    text.remove_suffix(suffix.size());
    trim(text);
    return true;
}

/// A plain decimal number without a sign; `rest` is what follows it.
std::optional<double> take_number(std::string_view& rest) {
    if (rest.empty() || rest.front() == '-') return std::nullopt;
    double value = 0;
    const auto [end, error] =
        std::from_chars(rest.data(), rest.data() + rest.size(), value, std::chars_format::fixed);
    if (error != std::errc{}) return std::nullopt;
    rest.remove_prefix(static_cast<std::size_t>(end - rest.data()));
    return value;
}

std::optional<double> plain_number(std::string_view text) {
    const auto value = take_number(text);
    return text.empty() ? value : std::nullopt;
}

}  // namespace

std::optional<double> nominal_inches(std::string_view text) {
    trim(text);
    if (!drop_suffix(text, "inch") && !drop_suffix(text, "in")) drop_suffix(text, "\"");
    auto first = take_number(text);
    if (!first || text.empty()) return first;
    double whole = 0;
    if (text.front() == '-' || text.front() == ' ') {  // 1-1/4: what follows is a fraction
        whole = *first;
        text.remove_prefix(1);
        trim(text);
        first = take_number(text);
    }
    if (!first || !drop_prefix(text, "/")) return std::nullopt;
    const auto divisor = plain_number(text);
    if (!divisor || *divisor <= 0 || *first >= *divisor) return std::nullopt;
    return whole + *first / *divisor;
}

std::optional<double> nominal_millimetres(std::string_view text) {
    trim(text);
    drop_suffix(text, "mm");
    if (!drop_prefix(text, "DN") && !drop_prefix(text, "dn")) drop_prefix(text, "d");
    return plain_number(text);
}

std::optional<double> inches_of_nominal_diameter(std::string_view text) {
    struct Pair {
        double millimetres, inches;
    };
    // ISO 6708 and ASME B36.10 name the same pipe: nominal diameter in millimetres, nominal pipe size in
    // inches.
    static constexpr std::array<Pair, 9> pairs{
        {{15, 0.5}, {20, 0.75}, {25, 1}, {32, 1.25}, {40, 1.5}, {50, 2}, {65, 2.5}, {80, 3}, {100, 4}}};
    const auto wanted = nominal_millimetres(text);
    for (const Pair& pair : pairs)
        if (wanted == pair.millimetres) return pair.inches;
    return std::nullopt;
}

}  // namespace evenhead::model::tables
