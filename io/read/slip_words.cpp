// Keys and values under the scanner.
#include "io/read/slip_scanner.hpp"

#include <fmt/format.h>

#include "io/excerpt.hpp"
#include "io/read/bare_word.hpp"
#include "io/read/rows.hpp"

namespace evenhead::io::scanning {

bool Scanner::take_key(std::string& name) {
    for (std::size_t words = 0;; ++words) {
        if (words >= deepest) {
            too_many(deepest, "words in one key");
            return false;
        }
        skip_blanks();
        const std::size_t begin = at_;
        std::size_t content = at_, end = nowhere;
        if (here() == '"' || here() == '\'') {
            end = text_.find_first_of(std::string{here(), '\n'}, begin + 1);
            if (end == nowhere || text_[end] == '\n') return false;
            ++content;
            at_ = end + 1;
        } else if (curly_quote(text_.substr(at_))) {
            name += curly_text();
            content = end = at_;
        } else {
            while (is_bare_key(here())) ++at_;
            end = at_;
            if (end == begin) return false;
        }
        name += text_.substr(content, end - content);
        skip_blanks();
        if (here() != '.') return true;
        ++at_;
        name += '\x1F';
    }
}

void Scanner::key() {
    if (here() == '[' && top().kind == 'd') return heading();
    if (here() == '}' && top().kind == '{') return close();
    if (here() == ']' && top().kind == '{' && frames_[frames_.size() - 2].kind == '[') return close_row();
    const std::size_t begin = at_;
    std::string name;
    if (!take_key(name)) return stopped_ ? void() : leave_line();
    const std::string_view written = trimmed(text_.substr(begin, at_ - begin));
    if (here() == ':') {
        slip(at_, fmt::format("a colon after the key {}", excerpt(written)),
             "write = between a key and its value");
        slips_.mending.replace(at_, 1, "=");
    } else if (here() != '=') {
        if (!decimal_comma(begin)) leave_line();
        return;
    }
    ++at_;
    if (top().keys.size() >= most_keys) return too_many(most_keys, "keys in one place");
    const auto [first, is_new] = top().keys.try_emplace(std::move(name), line_);
    if (!is_new) {
        const std::string where = first->second == line_
                                      ? fmt::format("on line {}", line_)
                                      : fmt::format("on line {} and on line {}", first->second, line_);
        slip(begin, fmt::format("the key {} is given twice, {}", excerpt(written), where),
             "keep one of them");
        top().repeated = top().comma == nowhere ? begin : top().comma;
    }
    top().key = written;
    top().comma = nowhere;
    top().end = at_;
    top().expect = Expect::value;
}

bool Scanner::decimal_comma(std::size_t digits) {
    if (digits < 2 || text_[digits - 1] != ',' || !is_digit(text_[digits - 2]) || !is_digit(text_[digits]))
        return false;
    at_ = digits;
    while (is_digit(here())) ++at_;
    slip(digits - 1, "a comma inside a number",
         "write a point for the decimals and nothing between the thousands");
    slips_.mending.replace(digits - 1, 1, ".");
    top().comma = nowhere;
    value_done();
    return true;
}

void Scanner::heading() {
    const std::size_t begin = at_;
    const bool rows = here(1) == '[';
    top().keys.clear();
    at_ += rows ? 2 : 1;
    skip_blanks();
    const std::size_t word = at_;
    std::string name;
    if (!take_key(name)) return stopped_ ? void() : leave_line();
    if (here() != ']' || (rows && here(1) != ']')) return leave_line();
    at_ += rows ? 2 : 1;
    std::string_view first = text_.substr(word, text_.find_first_of(". \t]", word) - word);
    if (first.size() > 2 && (first.front() == '"' || first.front() == '\''))
        first = first.substr(1, first.size() - 2);
    slips_.headings.push_back({first, line_, rows});
    top().expect = Expect::separator;
    top().end = at_;
    if (slips_.headings.size() > most_rows) return too_many(most_rows, "headings");
    if (rows) return plain_headings_.clear();
    const auto [before, is_new] = plain_headings_.try_emplace(std::move(name), line_);
    if (is_new) return;
    slip(begin,
         fmt::format("the heading {} stands twice: on line {} and on line {}",
                     excerpt(text_.substr(begin, at_ - begin)), before->second, line_),
         "join them under one heading");
    slips_.readable = slips_.complete = false;
}

void Scanner::value() {
    if (top().kind == '[') {
        if (here() == ']') return close();
        if (here() == '}') return leave_line();
        if (frames_.size() == 2 && is_key_line()) {
            close_list(top().end);
            top().expect = Expect::key;
            return;
        }
        if (here() == ',') {
            ++at_;
            return;
        }
        top().comma = nowhere;
        if (here() == '{' ? ++top().rows > most_rows : ++top().values > most_values)
            return here() == '{' ? too_many(most_rows, "rows in one list")
                                 : too_many(most_values, "values in one list");
    }
    const char c = here();
    if (c == '[' || c == '{') return open(c);
    if (c == '"' || c == '\'') return text();
    if (curly_quote(text_.substr(at_))) {
        curly_text();
        return value_done();
    }
    if (c == ',' || c == ']' || c == '}')
        return void(top().expect = Expect::separator);  // the library says so
    bare();
}

std::string_view Scanner::curly_text() {
    const char straight = curly_quote(text_.substr(at_), '"') ? '"' : '\'';
    const std::size_t opening = curly_quote(text_.substr(at_));
    const std::size_t begin = at_, content = at_ + opening;
    std::size_t end = content, closing = 0;
    while (!is_end(end) && closing == 0) {
        closing = text_[end] == straight ? 1 : curly_quote(text_.substr(end), straight);
        if (closing == 0) ++end;
    }
    if (closing == 0)
        end = content +
              trimmed(text_.substr(content, text_.find_first_of(",]}=\r\n", content) - content)).size();
    const std::string_view words = text_.substr(content, end - content);
    tell_curly(begin, words);
    slips_.mending.replace(begin, opening, std::string(1, straight));
    slips_.mending.replace(end, closing, std::string(1, straight));
    at_ = end + closing;
    return words;
}

void Scanner::tell_curly(std::size_t at, std::string_view content) {
    if (++curly_ > most_curly) return too_many(most_curly, "texts between curly quotes");
    if (slips_.told(line_)) return;  // one slip a line is enough: they come in flocks
    slip(at, "curly quotes where straight ones must stand",
         fmt::format("write {} with straight quotes", quoted(content)));
}

void Scanner::text() {
    const char quote = here();
    if (here(1) == quote && here(2) == quote) return text_over_lines(quote);
    const std::size_t begin = at_++;
    while (!is_end(at_) && text_[at_] != quote)
        at_ += quote == '"' && text_[at_] == '\\' && !is_end(at_ + 1) ? 2 : 1;
    string_begin_ = begin;
    string_line_ = line_;
    string_end_ = at_;
    if (is_end(at_)) {
        top().end = at_;
        if (!close_at_curly()) {
            slip(begin, "the quote that opens here is not closed on its line",
                 "put a quote at the end of the text");
            spoil_line();
        }
        return;
    }
    string_end_ = ++at_;
    value_done();
}

void Scanner::text_over_lines(char quote) {
    at_ += 3;
    while (at_ < text_.size()) {
        if (here() == '\n') {
            next_line(Slips::inside_text);
        } else if (here() == quote && here(1) == quote && here(2) == quote) {
            at_ += 3;
            while (here() == quote) ++at_;
            return value_done();
        } else {
            if (quote == '"' && here() == '\\' && here(1) != '\n') ++at_;
            ++at_;
        }
    }
    at_ = text_.size();
    slip(text_.size(), "a text over several lines is never closed",
         fmt::format("end it with {0}{0}{0}", quote));
    stop();
}

bool Scanner::close_at_curly() {
    if (string_line_ != line_ || string_end_ != top().end) return false;
    for (std::size_t at = string_begin_ + 1; at < string_end_; ++at)
        if (const std::size_t length = curly_quote(text_.substr(at), text_[string_begin_])) {
            tell_curly(at, text_.substr(string_begin_ + 1, at - string_begin_ - 1));
            slips_.mending.replace(at, length, std::string(1, text_[string_begin_]));
            string_line_ = 0;
            at_ = at + length;
            value_done();
            return true;
        }
    return false;
}

void Scanner::bare() {
    std::size_t end = std::min(text_.find_first_of(",]}#\n\r", at_), text_.size());
    if (end == at_) return leave_line();
    std::string_view word = trimmed(text_.substr(at_, end - at_));
    // `1 b = 2` or `1 "b"`: a comma was forgotten, and only the first word is the value.
    if (const std::size_t blank = word.find_first_of(" \t"); blank != nowhere) {
        const std::string_view rest = trimmed(word.substr(blank));
        if (rest.find('=') != nowhere || rest.front() == '"' || rest.front() == '\'')
            word = word.substr(0, blank);
    }
    if (const BareWord judged = judge_bare_word(word); !judged.valid) {
        slip(at_, judged.text, judged.mend);
        slips_.mending.replace(at_, word.size(), judged.mended);
    }
    at_ += word.size();
    value_done();
}

}  // namespace evenhead::io::scanning
