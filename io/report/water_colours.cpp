#include "io/report/water_colours.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace evenhead::io {
namespace {

constexpr double hue = 242;  // degrees: of water
// Lightness from the least water to the most; at either end there is room for less chroma.
constexpr double light_page[2] = {0.965, 0.40}, dark_page_range[2] = {0.27, 0.88};

double gamma_encoded(double linear) {
    const double inside = std::clamp(linear, 0.0, 1.0);
    return inside <= 0.0031308 ? 12.92 * inside : 1.055 * std::pow(inside, 1 / 2.4) - 0.055;
}

}  // namespace

std::array<int, 3> water_colour(int k, bool dark_page) {
    const auto& range = dark_page ? dark_page_range : light_page;
    const double L = range[0] + (range[1] - range[0]) * k / (water_colours - 1);
    const double chroma = 0.115 * std::min({1.0, (0.99 - L) / 0.3, L / 0.45});
    const double a = chroma * std::cos(hue / 180 * std::numbers::pi);
    const double b = chroma * std::sin(hue / 180 * std::numbers::pi);
    const auto cube = [](double value) { return value * value * value; };
    const double l = cube(L + 0.3963377774 * a + 0.2158037573 * b);
    const double m = cube(L - 0.1055613458 * a - 0.0638541728 * b);
    const double s = cube(L - 0.0894841775 * a - 1.2914855480 * b);
    const double linear[3] = {4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s,
                              -1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s,
                              -0.0041960863 * l - 0.7034186147 * m + 1.7076147010 * s};
    std::array<int, 3> colour{};
    for (std::size_t i = 0; i < 3; ++i)
        colour[i] = static_cast<int>(std::lround(255 * gamma_encoded(linear[i])));
    return colour;
}

std::string water_colour_style() {
    std::string style;
    for (const bool dark : {false, true}) {
        if (dark) style += "@media screen and (prefers-color-scheme: dark) {\n";
        for (int k = 0; k < water_colours; ++k) {
            const auto [red, green, blue] = water_colour(k, dark);
            style += fmt::format(
                ".water .w{0} {{ background: #{1:02x}{2:02x}{3:02x}; fill: #{1:02x}{2:02x}{3:02x} }}\n", k,
                red, green, blue);
        }
        if (dark) style += "}\n";
    }
    return style;
}

}  // namespace evenhead::io
