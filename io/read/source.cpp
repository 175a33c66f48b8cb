#include "io/read/source.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>
#include <cstring>
#include <fstream>
#include <system_error>

#include "io/excerpt.hpp"

namespace evenhead::io {

namespace fs = std::filesystem;

namespace {

constexpr std::uintmax_t largest_file = std::uintmax_t{1} << 26;  // bytes; a million rows fit

/// Length of the UTF-8 sequence at the front of `text`; 0 where there is none (overlong forms and surrogates
/// included).
std::size_t sequence_length(std::string_view text) {
    const auto byte = [&](std::size_t i) {
        return i < text.size() ? static_cast<unsigned char>(text[i]) : 0U;
    };
    const auto follows = [&](std::size_t i) { return (byte(i) & 0xC0U) == 0x80U; };
    const unsigned first = byte(0);
    if (first < 0x80) return 1;
    if (first >= 0xC2 && first <= 0xDF) return follows(1) ? 2 : 0;
    if (first >= 0xE0 && first <= 0xEF) {
        if ((first == 0xE0 && byte(1) < 0xA0) || (first == 0xED && byte(1) > 0x9F)) return 0;
        return follows(1) && follows(2) ? 3 : 0;
    }
    if (first >= 0xF0 && first <= 0xF4) {
        if ((first == 0xF0 && byte(1) < 0x90) || (first == 0xF4 && byte(1) > 0x8F)) return 0;
        return follows(1) && follows(2) && follows(3) ? 4 : 0;
    }
    return 0;
}

/// Offset of the first NUL or byte that is not UTF-8; text.size() if there is none.
std::size_t first_bad_byte(std::string_view text) {
    std::size_t at = 0;
    while (at < text.size()) {
        // Eight plain bytes at a time; a word with a zero byte or a high bit is looked at byte by byte.
        std::uint64_t word = 0;
        if (at + sizeof word <= text.size()) {
            std::memcpy(&word, text.data() + at, sizeof word);
            const std::uint64_t high = 0x8080808080808080U, ones = 0x0101010101010101U;
            if ((word & high) == 0 && ((word - ones) & ~word & high) == 0) {
                at += sizeof word;
                continue;
            }
        }
        if (text[at] == '\0') return at;
        const std::size_t length = sequence_length(text.substr(at));
        if (length == 0) return at;
        at += length;
    }
    return at;
}

std::string describe(fs::file_type type) {
    switch (type) {
        case fs::file_type::directory:
            return "is a folder, not a file";
        case fs::file_type::fifo:
            return "is a named pipe, not an ordinary file";
        case fs::file_type::socket:
            return "is a socket, not an ordinary file";
        default:
            return "is a device, not an ordinary file";
    }
}

bool read_bytes(const fs::path& path, std::string& bytes) {
    std::ifstream stream(path, std::ios::binary);
    if (!stream) return false;
    std::vector<char> block(1 << 16);
    while (stream.read(block.data(), static_cast<std::streamsize>(block.size())) || stream.gcount() > 0) {
        bytes.append(block.data(), static_cast<std::size_t>(stream.gcount()));
        if (bytes.size() > largest_file) return true;  // it grows while it is read: the caller sees the size
    }
    return stream.eof();
}

}  // namespace

int count_characters(std::string_view text) {
    return static_cast<int>(std::count_if(
        text.begin(), text.end(), [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

Lines::Lines(std::string_view text) : text_(text) {
    starts_.push_back(0);
    for (std::size_t at = text.find('\n'); at != std::string_view::npos; at = text.find('\n', at + 1))
        starts_.push_back(at + 1);
}

std::string_view Lines::text(int line) const {
    if (line < 1 || line > count()) return {};
    const std::size_t end = line < count() ? begin(line + 1) - 1 : text_.size();
    std::string_view words = text_.substr(begin(line), end - begin(line));
    if (!words.empty() && words.back() == '\r') words.remove_suffix(1);
    return words;
}

int Lines::line_of(std::size_t offset) const {
    return static_cast<int>(std::upper_bound(starts_.begin(), starts_.end(), offset) - starts_.begin());
}

std::optional<std::string_view> read_source(const fs::path& path, int file, model::Place named, bool csv,
                                            Document& document) {
    const std::string name = io::quoted(std::string_view(document.files[static_cast<std::size_t>(file)]));
    const auto refuse = [&](model::Place place, std::string text, std::string mend) {
        document.errors.push_back({place, {}, std::move(text), std::move(mend)});
        document.complete = false;
        return std::nullopt;
    };
    std::error_code failed;
    const fs::file_status status = fs::status(path, failed);
    if (status.type() == fs::file_type::not_found)
        return refuse(named, "there is no file " + name, "correct the name, or put the file there");
    if (failed || !fs::status_known(status))
        return refuse(named, name + " cannot be read: " + failed.message(),
                      "check the name and who may read it");
    if (!fs::is_regular_file(status))
        return refuse(named, name + " " + describe(status.type()), "name a text file");
    const auto refuse_size = [&] {
        return refuse(named, name + " is larger than 64 MiB", "no case needs that: name a case file");
    };
    const std::uintmax_t size = fs::file_size(path, failed);
    if (!failed && size > largest_file) return refuse_size();
    std::string& bytes = document.text.emplace_back();
    if (!failed) bytes.reserve(static_cast<std::size_t>(size) + 1);
    if (!read_bytes(path, bytes))
        return refuse(named, name + " cannot be read",
                      "check that the file is whole and that you may read it");
    if (bytes.size() > largest_file) return refuse_size();

    std::string_view text = bytes;
    if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF"))
        return refuse({file, 1, 1}, name + " is saved as UTF-16", "save it as UTF-8");
    if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
    if (const std::size_t bad = first_bad_byte(text); bad < text.size()) {
        const std::string_view before = text.substr(0, bad);
        const std::size_t start = before.rfind('\n') + 1;  // npos + 1 == 0: the first line
        model::Place place{file, static_cast<int>(std::count(before.begin(), before.end(), '\n')) + 1, 0};
        const std::string_view line = before.substr(start);
        place.column =
            1 + (csv ? static_cast<int>(std::count(line.begin(), line.end(), ',')) : count_characters(line));
        if (text[bad] == '\0')
            return refuse(place, name + " holds a NUL byte: it is no text, or saved as UTF-16",
                          "save it as UTF-8 text");
        return refuse(place, name + " is not UTF-8 from here on (another encoding, such as Windows-1252)",
                      "save it as UTF-8");
    }
    return text;
}

FileBeside file_beside(const std::filesystem::path& case_path, std::string_view name, std::string_view what) {
    namespace fs = std::filesystem;
    const std::string shown = io::quoted(name);
    std::error_code failed;
    const fs::path folder =
        fs::canonical(case_path.has_parent_path() ? case_path.parent_path() : fs::path("."), failed);
    const fs::path file = failed ? fs::path() : fs::weakly_canonical(folder / name, failed);
    if (failed)
        return {{}, fmt::format("{} cannot be found: {}", shown, failed.message()), "correct the name"};
    // A way up, an absolute name and a link all show in the resolved path.
    if (std::mismatch(folder.begin(), folder.end(), file.begin(), file.end()).first != folder.end())
        return {
            {}, fmt::format("{} lies outside the folder of the case", shown), "put the file beside the case"};
    if (file == fs::weakly_canonical(case_path, failed))
        return {{}, fmt::format("{} is the case itself", shown), fmt::format("name {}", what)};
    return {file, "", ""};
}

}  // namespace evenhead::io
