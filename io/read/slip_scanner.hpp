// The scanner behind find_slips; nobody else needs it.
#pragma once

#include <algorithm>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "io/read/slips.hpp"

// The scanner walks once through the text with a stack of open brackets. It knows where a key, a value or a
// separator must come next, and judges only what it is sure of; everything else it leaves to the TOML library
// and goes on at the next line. Each slip is mended on the spot, so that the library can read on behind it.
namespace evenhead::io::scanning {

inline constexpr std::size_t nowhere = std::string_view::npos;
inline constexpr std::size_t deepest = 64;  // open brackets, and words of a dotted key
inline constexpr std::size_t most_issues = 200;
inline constexpr std::size_t most_curly = 10'000;  // curly quotes mended without a word
// More of these no case has; a file that has would only take memory.
inline constexpr std::size_t most_rows = 1'000'000;  // of a table
inline constexpr std::size_t most_values = 100'000;  // of a list, rows apart
inline constexpr std::size_t most_keys = 1000;       // of a row, and at the top

enum class Expect { key, value, separator };

/// One open bracket, or the document itself.
struct Frame {
    char kind = 'd';  // d, [ or {
    Expect expect = Expect::key;
    std::size_t open = 0;
    int open_line = 1;
    std::size_t end = 0;                        // where its last key, value or separator ended
    std::size_t comma = nowhere;                // its last separator, as long as nothing follows
    std::string_view name, key;                 // the key it belongs to; the last key in it
    std::size_t repeated = nowhere;             // where a repeated key begins that has to go
    bool told = false;                          // that it runs over two lines
    bool lenient = false;                       // something before here could not be judged
    std::unordered_map<std::string, int> keys;  // line of each
    std::size_t rows = 0, values = 0;           // of a list, so far
};

inline bool is_bare_key(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-';
}
inline bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

class Scanner {
  public:
    Scanner(std::string_view text, Slips& slips) : text_(text), slips_(slips) {}

    void run();

  private:
    std::string_view text_;
    Slips& slips_;
    std::size_t at_ = 0;
    int line_ = 1;
    std::vector<Frame> frames_;
    std::unordered_map<std::string, int> plain_headings_;
    std::size_t string_begin_ = nowhere, string_end_ = nowhere;  // the last text on one line
    int string_line_ = 0;
    std::size_t first_word_ = nowhere;  // of the line
    bool stopped_ = false;
    std::size_t curly_ = 0;  // mended so far

    Frame& top() { return frames_.back(); }
    char here(std::size_t ahead = 0) const { return at_ + ahead < text_.size() ? text_[at_ + ahead] : '\n'; }
    bool is_end(std::size_t at) const { return at >= text_.size() || text_[at] == '\n'; }
    std::size_t line_end() const { return std::min(text_.find('\n', at_), text_.size()); }
    void skip_blanks() {
        while (here() == ' ' || here() == '\t') ++at_;
    }

    void slip(std::size_t at, std::string words, std::string mend);
    void stop() {
        stopped_ = true;
        slips_.readable = slips_.complete = false;
    }

    /// Says that there are more than `most` of something, and reads no further.
    void too_many(std::size_t most, std::string_view what);

    void step();

    std::size_t odd_blank() const;

    void next_line(std::uint16_t depth);
    void next_line() { next_line(static_cast<std::uint16_t>(frames_.size())); }
    void end_line();
    /// Inside a row, at the first word of a line: does this line show that a } was forgotten?
    bool row_ended_before() const;
    /// `heads = [` or a heading such as [[heads]].
    bool begins_table() const;
    /// At the first word of a line: does a new key or heading begin here?
    bool is_key_line() const;
    void close_row();
    /// Something that only the TOML library can judge: on with the next line.
    void leave_line();
    /// Nothing can be made of this line; what stands on the others can still be read.
    void spoil_line();

    void open(char kind);
    void close();
    void value_done();
    void close_list(std::size_t at);
    void close_all();

    /// A plain or dotted key; its words joined by a separator that no key can hold. False where it is none.
    bool take_key(std::string& name);
    void key();
    /// 3,5 for 3.5, with `digits` behind the comma.
    bool decimal_comma(std::size_t digits);
    void heading();

    void value();
    /// At a curly quote: mends it and the one that closes the text (adding it where it is missing); gives the
    /// text between.
    std::string_view curly_text();
    void tell_curly(std::size_t at, std::string_view content);
    void text();
    void text_over_lines(char quote);
    /// After a text that ran too far: was it meant to end at a curly quote?
    bool close_at_curly();
    void bare();

    void separator();
    void missing_comma();
    void stray_quote();
};

}  // namespace evenhead::io::scanning
