// JSON, a value at a time: a result of any length is written without being held.
#pragma once

#include <string>
#include <string_view>

#include "io/write/output.hpp"

namespace evenhead::io {

/// Puts the commas; the caller keeps to the grammar (a key before each value in an object).
class JsonWriter {
  public:
    explicit JsonWriter(Output& output) : output_(output) {}

    JsonWriter& begin_object() { return open('{'); }
    JsonWriter& end_object() { return close('}'); }
    JsonWriter& begin_array() { return open('['); }
    JsonWriter& end_array() { return close(']'); }
    JsonWriter& key(std::string_view name);
    /// NaN and infinity become null.
    JsonWriter& number(double value);
    JsonWriter& whole(long long value);
    JsonWriter& text(std::string_view value);
    JsonWriter& boolean(bool value);
    JsonWriter& null();
    /// The next value begins a line.
    JsonWriter& line();

    /// A key with its value.
    JsonWriter& number(std::string_view name, double value) { return key(name).number(value); }
    JsonWriter& text(std::string_view name, std::string_view value) { return key(name).text(value); }

  private:
    JsonWriter& open(char bracket);
    JsonWriter& close(char bracket);
    void before_value();
    void string(std::string_view text);

    Output& output_;
    bool comma_ = false;  ///< something stands before, on this level
    bool line_ = false;
};

/// A string as JSON writes it, in quotes. Bytes that are no UTF-8 become U+FFFD.
std::string json_string(std::string_view text);

}  // namespace evenhead::io
