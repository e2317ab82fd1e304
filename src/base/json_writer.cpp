// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/json_writer.hpp"

#include "base/json.hpp"
#include "base/number.hpp"

#include <fmt/format.h>

#include <utility>

namespace feedwright::base {

void JsonWriter::new_line() {
    if (indent_ == 0) return;
    out_ += '\n';
    out_.append(static_cast<std::size_t>(indent_ * depth_), ' ');
}

void JsonWriter::before_value() {
    if (after_key_) {
        after_key_ = false;
        return;
    }
    if (!first_) out_ += ',';
    if (depth_ > 0) new_line();
    first_ = false;
}

JsonWriter& JsonWriter::begin_object() {
    before_value();
    out_ += '{';
    ++depth_;
    first_ = true;
    return *this;
}

JsonWriter& JsonWriter::end_object() {
    --depth_;
    if (!first_) new_line();
    out_ += '}';
    first_ = false;
    return *this;
}

JsonWriter& JsonWriter::begin_array() {
    before_value();
    out_ += '[';
    ++depth_;
    first_ = true;
    return *this;
}

JsonWriter& JsonWriter::end_array() {
    --depth_;
    if (!first_) new_line();
    out_ += ']';
    first_ = false;
    return *this;
}

JsonWriter& JsonWriter::key(std::string_view name) {
    value(name);
    out_ += indent_ == 0 ? ":" : ": ";
    after_key_ = true;
    return *this;
}

JsonWriter& JsonWriter::value(std::string_view text) {
    before_value();
    out_ += '"';
    for (const char c : text) {
        switch (c) {
            case '"':
                out_ += "\\\"";
                break;
            case '\\':
                out_ += "\\\\";
                break;
            case '\n':
                out_ += "\\n";
                break;
            case '\t':
                out_ += "\\t";
                break;
            case '\r':
                out_ += "\\r";
                break;
            default:
                if (static_cast<unsigned char>(c) < 0x20) {
                    out_ += fmt::format("\\u{:04x}", static_cast<unsigned>(c));
                } else {
                    out_ += c;
                }
        }
    }
    out_ += '"';
    return *this;
}

JsonWriter& JsonWriter::value(double number) {
    before_value();
    out_ += shortest(number);
    return *this;
}

JsonWriter& JsonWriter::value(int number) {
    before_value();
    out_ += std::to_string(number);
    return *this;
}

JsonWriter& JsonWriter::value(bool flag) {
    before_value();
    out_ += flag ? "true" : "false";
    return *this;
}

JsonWriter& JsonWriter::member(std::string_view name, const std::vector<std::string>& list) {
    key(name);
    begin_array();
    for (const std::string& item : list)
        value(item);
    return end_array();
}

std::string JsonWriter::take() {
    if (indent_ > 0) out_ += '\n';
    first_ = true;
    return std::exchange(out_, {});
}

void write_value(JsonWriter& json, const JsonValue& value) {
    switch (value.kind) {
        case JsonValue::Kind::boolean:
            json.value(value.boolean);
            return;
        case JsonValue::Kind::number:
            json.value(value.number);
            return;
        case JsonValue::Kind::array:
            json.begin_array();
            for (const JsonValue& item : value.items)
                write_value(json, item);
            json.end_array();
            return;
        case JsonValue::Kind::object:
            json.begin_object();
            for (std::size_t i = 0; i < value.items.size(); ++i) {
                json.key(value.keys[i]);
                write_value(json, value.items[i]);
            }
            json.end_object();
            return;
        case JsonValue::Kind::string:
        case JsonValue::Kind::null:  // the readers refuse null
            json.value(value.string);
            return;
    }
}

}  // namespace feedwright::base
