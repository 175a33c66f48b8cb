// Style and script of the page, made by CMake from the files in io/report/page.
#pragma once

#include <string_view>

namespace evenhead::io::page {

extern const std::string_view style;
extern const std::string_view script;
extern const std::string_view script_hash;  ///< SHA-256, hexadecimal

}  // namespace evenhead::io::page
