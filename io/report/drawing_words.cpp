#include "io/report/drawing_words.hpp"

#include <algorithm>
#include <cmath>

#include "io/write/layout.hpp"

namespace evenhead::io {

double width_of(std::string_view text) {
    return letter_width * display_width(text);
}

std::string shortened(std::string text, int most) {
    if (display_width(text) <= most) return text;
    // Whole characters only: a byte 10xxxxxx goes with the one before.
    while (!text.empty() && display_width(text) >= most) {
        while (text.size() > 1 && (static_cast<unsigned char>(text.back()) & 0xC0U) == 0x80U) text.pop_back();
        text.pop_back();
    }
    return text + "\xE2\x80\xA6";
}

double round_step(double span, double wanted) {
    const double rough = std::max(span, 1e-9) / wanted, power = std::pow(10, std::floor(std::log10(rough)));
    for (const double factor : {1.0, 2.0, 5.0})
        if (factor * power >= rough) return factor * power;
    return 10 * power;
}

}  // namespace evenhead::io
