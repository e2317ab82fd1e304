// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright::base {

/// Writes JSON text in the order given, so that the same result gives the same bytes. A number is
/// written in its shortest exact form; one that is not finite throws Error rather than become null.
class JsonWriter {
  public:
    /// indent 0 writes everything on one line (JSON Lines).
    explicit JsonWriter(int indent = 2) : indent_(indent) {}

    JsonWriter& begin_object();
    JsonWriter& end_object();
    JsonWriter& begin_array();
    JsonWriter& end_array();
    JsonWriter& key(std::string_view name);
    JsonWriter& value(std::string_view text);
    JsonWriter& value(const char* text) { return value(std::string_view(text)); }
    JsonWriter& value(double number);
    JsonWriter& value(int number);
    JsonWriter& value(bool flag);

    /// key and value; a key whose optional is empty is left out.
    template <class T>
    JsonWriter& member(std::string_view name, const T& v) {
        key(name);
        return value(v);
    }
    template <class T>
    JsonWriter& member(std::string_view name, const std::optional<T>& v) {
        if (v) member(name, *v);
        return *this;
    }
    JsonWriter& member(std::string_view name, const std::vector<std::string>& list);

    /// The text so far; complete once every begin has its end. Ends with a newline when indented.
    std::string take();

  private:
    void before_value();
    void new_line();
    std::string out_;
    int indent_;
    int depth_ = 0;
    bool first_ = true;
    bool after_key_ = false;
};

struct JsonValue;
/// Writes a value that was read, with its members in their order.
void write_value(JsonWriter& json, const JsonValue& value);

}  // namespace feedwright::base
