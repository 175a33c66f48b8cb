#include "io/read/slip_scanner.hpp"

#include <fmt/format.h>

#include "io/excerpt.hpp"
#include "io/read/bare_word.hpp"
#include "io/read/rows.hpp"

namespace evenhead::io::scanning {

void Scanner::run() {
    frames_.emplace_back();
    slips_.depth.push_back(1);
    while (at_ < text_.size() && !stopped_) step();
    if (!stopped_) close_all();
}

void Scanner::slip(std::size_t at, std::string words, std::string mend) {
    if (stopped_) return;
    const model::Place place = slips_.place(at);
    if (slips_.issues.size() < most_issues) {
        slips_.issues.push_back({place, slips_.row(place), std::move(words), std::move(mend)});
        return;
    }
    slips_.issues.push_back({place, slips_.row(place),
                             fmt::format("{} slips so far: from here on the file is not read", most_issues),
                             "mend these first"});
    stop();
}

void Scanner::too_many(std::size_t most, std::string_view what) {
    slip(at_, fmt::format("more than {} {}", most, what), "no case needs that");
    stop();
}

void Scanner::step() {
    const char c = here();
    if (c == ' ' || c == '\t' || (c == '\r' && here(1) == '\n')) {
        ++at_;
    } else if (c == '\n') {
        end_line();
    } else if (c == '#') {
        if (top().kind == '{')
            end_line();
        else
            at_ = line_end();
    } else if (const std::size_t blank = odd_blank()) {
        slip(at_, "a non-breaking blank that TOML does not take for one", "retype it as a plain blank");
        slips_.mending.replace(at_, blank, " ");
        at_ += blank;
    } else {
        if (first_word_ == nowhere) first_word_ = at_;
        switch (top().expect) {
            case Expect::key:
                return key();
            case Expect::value:
                return value();
            case Expect::separator:
                return separator();
        }
    }
}

std::size_t Scanner::odd_blank() const {
    for (const std::string_view blank : {"\u00A0", "\u202F", "\u2009", "\u2007", "\u3000", "\u200B"})
        if (text_.substr(at_, blank.size()) == blank) return blank.size();
    return 0;
}

void Scanner::next_line(std::uint16_t depth) {
    ++at_;
    ++line_;
    first_word_ = nowhere;
    slips_.depth.push_back(depth);
}

void Scanner::end_line() {
    if (top().kind != '{') {
        if (top().kind == 'd') top().expect = Expect::key;
        return next_line();
    }
    const std::size_t gap = at_;
    while (at_ < text_.size()) {
        if (here() == '\n')
            next_line();
        else if (here() == '#')
            at_ = line_end();
        else if (here() == ' ' || here() == '\t' || here() == '\r')
            ++at_;
        else
            break;
    }
    if (at_ >= text_.size()) return;
    if (top().expect != Expect::value && row_ended_before()) return close_row();
    if (!top().told)
        slip(gap,
             fmt::format("a row must stand on one line: this one is opened on line {} and goes on",
                         top().open_line),
             "join the lines, or close the row with }");
    top().told = true;
    // A new key on a new line: the line's end stands for the comma.
    const bool parts_keys = top().expect == Expect::separator && here() != ',' && here() != '}';
    slips_.mending.replace(gap, at_ - gap, parts_keys ? ", " : " ");
    if (parts_keys) top().expect = Expect::key;
}

bool Scanner::row_ended_before() const {
    if (here() == '{' || here() == ']' || here() == '[') return true;
    return at_ == slips_.lines.begin(line_) && begins_table();
}

bool Scanner::begins_table() const {
    std::size_t begin = at_;
    while (begin < text_.size() && text_[begin] == '[') ++begin;
    std::size_t end = begin;
    while (end < text_.size() && is_bare_key(text_[end])) ++end;
    const std::string_view name = text_.substr(begin, end - begin);
    if (begin > at_) {
        const bool known = is_row_table(name) || name == "limits" || name == "defaults";
        return known && end < text_.size() && (text_[end] == ']' || text_[end] == '.');
    }
    while (end < text_.size() && (text_[end] == ' ' || text_[end] == '\t')) ++end;
    if (!is_row_table(name) || end >= text_.size() || text_[end] != '=') return false;
    const std::size_t after = text_.find_first_not_of(" \t", end + 1);
    return after != nowhere && text_[after] == '[';
}

bool Scanner::is_key_line() const {
    if (at_ != first_word_) return false;
    if (here() == '[') return begins_table();
    std::size_t end = at_;
    while (end < text_.size() && (is_bare_key(text_[end]) || text_[end] == '.')) ++end;
    if (end == at_) return false;
    const std::size_t after = text_.find_first_not_of(" \t", end);
    return after != nowhere && text_[after] == '=';
}

void Scanner::close_row() {
    slip(top().open, "this row is not closed", "end it with }");
    while (top().kind == '{') {
        const Frame row = std::move(top());
        frames_.pop_back();
        const bool in_list = top().kind == '[';
        const bool goes_on = in_list && (row.comma != nowhere || here() == '{');
        if (row.comma != nowhere) slips_.mending.replace(row.comma, 1, " ");
        slips_.mending.insert(row.end, goes_on ? "}," : "}");
        top().end = row.end;
        top().expect = top().kind == 'd' ? Expect::key : goes_on ? Expect::value : Expect::separator;
        top().repeated = nowhere;
    }
}

void Scanner::leave_line() {
    at_ = line_end();
    while (frames_.size() > 1 && top().open_line == line_) frames_.pop_back();
    top().expect = Expect::separator;
    top().lenient = true;
    top().comma = top().repeated = nowhere;
}

void Scanner::spoil_line() {
    leave_line();
    if (slips_.depth.back() == frames_.size()) {
        slips_.mending.remove(slips_.lines.begin(line_), at_);
        slips_.complete = false;
    } else {
        slips_.readable = slips_.complete = false;
    }
}

void Scanner::open(char kind) {
    if (frames_.size() >= deepest) {
        return too_many(deepest - 1, "brackets inside brackets");
    }
    Frame frame;
    frame.kind = kind;
    frame.expect = kind == '{' ? Expect::key : Expect::value;
    frame.open = at_;
    frame.open_line = line_;
    frame.end = ++at_;
    frame.name = top().kind == '[' ? top().name : top().key;
    frames_.push_back(std::move(frame));
}

void Scanner::close() {
    if (top().kind == '{' && top().comma != nowhere) {
        slip(top().comma, "a comma after the last key of a row", "remove it");
        slips_.mending.replace(top().comma, 1, " ");
    }
    frames_.pop_back();
    ++at_;
    value_done();
}

void Scanner::value_done() {
    top().expect = Expect::separator;
    top().end = at_;
    top().lenient = false;
    if (top().repeated != nowhere) slips_.mending.remove(top().repeated, at_);
    top().repeated = nowhere;
}

void Scanner::close_list(std::size_t at) {
    slip(top().open, fmt::format("the list {} that opens here is not closed", excerpt(top().name)),
         "end it with ]");
    slips_.mending.insert(at, "]");
    frames_.pop_back();
}

void Scanner::close_all() {
    const std::size_t end = top().end;
    while (frames_.size() > 1 && !stopped_) {
        if (top().kind == '[') {
            close_list(end);
        } else {
            slip(top().open, "this row is not closed", "end it with }");
            if (top().comma != nowhere) slips_.mending.replace(top().comma, 1, " ");
            slips_.mending.insert(end, "}");
            frames_.pop_back();
        }
    }
}

void Scanner::separator() {
    const char c = here();
    const char kind = top().kind;
    if (kind == 'd') {
        if (close_at_curly() || (c == ',' && decimal_comma(at_ + 1))) return;
        if (at_ == string_end_ && at_ == top().end) return stray_quote();
        return void(at_ = line_end());
    }
    if (c == ',' || c == ';') {
        if (c == ';') {
            slip(at_, "a semicolon where a comma must stand", "write a comma");
            slips_.mending.replace(at_, 1, ",");
        }
        top().comma = at_++;
        top().end = at_;
        top().expect = kind == '[' ? Expect::value : Expect::key;
        top().lenient = false;
    } else if (c == (kind == '[' ? ']' : '}')) {
        close();
    } else if (c == ']' && frames_[frames_.size() - 2].kind == '[') {
        close_row();
    } else if (c == ']' || c == '}') {
        leave_line();
    } else if (kind == '[' && frames_.size() == 2 && is_key_line()) {
        close_list(top().end);
        top().expect = Expect::key;
    } else {
        missing_comma();
    }
}

void Scanner::missing_comma() {
    if (!top().lenient) {
        if (close_at_curly()) return;
        if (at_ == string_end_ && at_ == top().end) return stray_quote();
        slip(top().end,
             fmt::format("a comma is missing between {} and the next",
                         top().kind == '[' ? "one value" : "one key"),
             "put one here");
        slips_.mending.insert(top().end, ",");
    }
    top().expect = top().kind == '[' ? Expect::value : Expect::key;
}

void Scanner::stray_quote() {
    slip(at_, "a quote too many or too few: the text ended just before", "put every text between two quotes");
    spoil_line();
}

}  // namespace evenhead::io::scanning
