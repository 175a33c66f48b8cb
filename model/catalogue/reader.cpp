#include "model/catalogue/reader.hpp"

#include <charconv>
#include <stdexcept>

namespace evenhead::model::tables {
namespace {

constexpr std::string_view blanks = " \t\r";

std::string_view trimmed(std::string_view text) {
    const auto first = text.find_first_not_of(blanks);
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(blanks) - first + 1);
}

std::string_view take_word(std::string_view& text) {
    const std::string_view word = text.substr(0, text.find_first_of(blanks));
    text = trimmed(text.substr(word.size()));
    return word;
}

}  // namespace

void read(std::string_view text, const std::function<void(const Line&)>& take) {
    for (int number_of_line = 1; !text.empty(); ++number_of_line) {
        const auto end = text.find('\n');
        std::string_view rest = text.substr(0, end);
        text = end == std::string_view::npos ? std::string_view{} : text.substr(end + 1);
        rest = trimmed(rest.substr(0, rest.find('#')));
        if (rest.empty()) continue;
        Line line;
        line.number = number_of_line;
        line.key = take_word(rest);
        line.rest = rest;
        while (!rest.empty()) line.words.push_back(take_word(rest));
        try {
            take(line);
        } catch (const std::exception& fault) {
            throw LineFault(number_of_line, fault.what());
        }
    }
}

double number(std::string_view word) {
    double value = 0;
    const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), value);
    if (error != std::errc{} || end != word.data() + word.size())
        throw std::invalid_argument("not a number: " + std::string(word));
    return value;
}

double in_si(double value, std::string_view unit) {
    constexpr double inch = 0.0254;
    constexpr double psi = 4.4482216152605 / (inch * inch);
    if (unit == "m") return value;
    if (unit == "in") return value * inch;
    if (unit == "mm") return value / 1000;
    if (unit == "psi") return value * psi;
    if (unit == "bar") return value * 1e5;
    if (unit == "MPa") return value * 1e6;
    if (unit == "gpm") return value * 231 * inch * inch * inch / 60;
    if (unit == "degF") return (value - 32) / 1.8;
    if (unit == "degC") return value;
    throw std::invalid_argument("not a unit of the tables: " + std::string(unit));
}

}  // namespace evenhead::model::tables
