// Colours for depths of water, in steps that look alike: one hue in OKLab, evenly spaced in lightness (B.
// Ottosson, A perceptual color space for image processing, 2020). On white the most water is darkest, on a
// dark page lightest.
#pragma once

#include <array>
#include <string>

namespace evenhead::io {

inline constexpr int water_colours = 17;

/// sRGB, 0 to 255, of the k-th of them: 0 the least water.
std::array<int, 3> water_colour(int k, bool dark_page);
/// Rules that colour `.w0` to `.w16`, for either page.
std::string water_colour_style();

}  // namespace evenhead::io
