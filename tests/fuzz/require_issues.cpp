#include "io/write/issues.hpp"
#include "tests/fuzz/require.hpp"

namespace evenhead::fuzz {
namespace {

// Printable UTF-8 and line breaks, so that no file can send commands to a terminal through a message.
// Overlong forms do not matter here: the reader refuses them.
bool clean(std::string_view text) {
    int continuing = 0;
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if ((byte & 0xC0U) == 0x80U) {
            if (continuing-- == 0) return false;
            continue;
        }
        if (continuing != 0 || (byte < 0x20 && c != '\n') || byte == 0x7F) return false;
        continuing = byte < 0x80 ? 0 : byte < 0xE0 ? 1 : byte < 0xF0 ? 2 : 3;
    }
    return continuing == 0;
}

}  // namespace

void require_sound(const std::vector<model::Issue>& issues, const std::vector<std::string>& files,
                   const std::string& case_path) {
    io::IssuePrinter printer(files, case_path);
    std::size_t printed = 0;
    for (const model::Issue& issue : issues) {
        const bool in_files =
            issue.place.file >= 0 && static_cast<std::size_t>(issue.place.file) < files.size();
        require(in_files && issue.place.line >= 0 && issue.place.column >= 0, "an issue has a place",
                issue.text);
        require(!issue.text.empty(), "an issue says what is wrong");
        require(!issue.mend.empty(), "an issue says the mend", issue.text);
        require(clean(io::issue_sentence(issue, files)), "a sentence is clean text");
        if (++printed > 50) continue;  // each reads the line again
        require(clean(printer.text(issue, "error")), "a message is clean text", issue.text);
    }
}

}  // namespace evenhead::fuzz
