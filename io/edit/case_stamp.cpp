#include "io/edit/case_stamp.hpp"

#include <array>
#include <fstream>

namespace evenhead::io {
namespace {

/// FNV-1a of 64 bits (Fowler, Noll and Vo; in the public domain); of no file 0.
std::uint64_t number_of(const std::filesystem::path& path) {
    std::ifstream in(path, std::ios::binary);
    if (!in) return 0;
    std::uint64_t number = 14695981039346656037U;
    std::array<char, 1 << 16> bytes;
    while (in) {
        in.read(bytes.data(), bytes.size());
        for (std::streamsize i = 0; i < in.gcount(); ++i) {
            number ^= static_cast<unsigned char>(bytes[static_cast<std::size_t>(i)]);
            number *= 1099511628211U;
        }
    }
    return number;
}

}  // namespace

CaseStamp::CaseStamp(const std::string& path, const std::vector<std::string>& files) {
    const std::filesystem::path folder = std::filesystem::path(path).parent_path();
    for (std::size_t i = 0; i < files.size(); ++i) {
        const std::filesystem::path file = i == 0 ? std::filesystem::path(path) : folder / files[i];
        files_.emplace_back(file, number_of(file));
    }
}

std::filesystem::path CaseStamp::changed() const {
    for (const auto& [path, number] : files_)
        if (number_of(path) != number) return path;
    return {};
}

}  // namespace evenhead::io
