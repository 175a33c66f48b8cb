#include "io/write/json_writer.hpp"

#include <algorithm>
#include <array>
#include <nlohmann/json.hpp>

#include "io/units.hpp"

namespace evenhead::io {

namespace {

bool plain(std::string_view text) {
    return std::all_of(text.begin(), text.end(),
                       [](char c) { return c >= 0x20 && c < 0x7F && c != '"' && c != '\\'; });
}

}  // namespace

std::string json_string(std::string_view text) {
    if (plain(text)) return '"' + std::string(text) + '"';
    return nlohmann::json(text).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

void JsonWriter::before_value() {
    if (comma_) output_.write(",");
    if (line_) output_.write("\n");
    comma_ = true;
    line_ = false;
}

void JsonWriter::string(std::string_view text) {
    if (!plain(text)) return output_.write(json_string(text));
    output_.write("\"");
    output_.write(text);
    output_.write("\"");
}

JsonWriter& JsonWriter::open(char bracket) {
    before_value();
    output_.write(std::string_view(&bracket, 1));
    comma_ = false;
    return *this;
}

JsonWriter& JsonWriter::close(char bracket) {
    if (line_) output_.write("\n");
    line_ = false;
    output_.write(std::string_view(&bracket, 1));
    comma_ = true;
    return *this;
}

JsonWriter& JsonWriter::key(std::string_view name) {
    before_value();
    string(name);
    output_.write(":");
    comma_ = false;
    return *this;
}

JsonWriter& JsonWriter::number(double value) {
    before_value();
    std::array<char, 32> room;
    output_.write(shortest(value, room));
    return *this;
}

JsonWriter& JsonWriter::whole(long long value) {
    before_value();
    output_.write(std::to_string(value));
    return *this;
}

JsonWriter& JsonWriter::text(std::string_view value) {
    before_value();
    string(value);
    return *this;
}

JsonWriter& JsonWriter::boolean(bool value) {
    before_value();
    output_.write(value ? "true" : "false");
    return *this;
}

JsonWriter& JsonWriter::null() {
    before_value();
    output_.write("null");
    return *this;
}

JsonWriter& JsonWriter::line() {
    line_ = true;
    return *this;
}

}  // namespace evenhead::io
