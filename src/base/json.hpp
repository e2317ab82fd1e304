// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/diagnostics.hpp"

#include <cstddef>
#include <cstdint>
#include <initializer_list>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

// JSON as the loaders see it: a small tree with the place of every value, so that a message can
// name line and pointer, and so that the parsing library's heavy header stays in one source file.
namespace feedwright::base {

/// One JSON value. Only the member that `kind` names is meaningful.
struct JsonValue {
    enum class Kind { null, boolean, number, string, array, object };
    Kind kind = Kind::null;
    bool boolean = false;
    double number = 0;
    std::string string;
    std::vector<JsonValue> items;   ///< of an array, or the values of an object
    std::vector<std::string> keys;  ///< of an object, beside `items`
    std::uint32_t offset = 0;       ///< where the value ends in the text
};

/// A parsed file: text (for line numbers), name, tree. Shared by every view into it.
struct JsonDocument {
    std::string file;
    std::string text;
    JsonValue root;
};

/// Parses one file's text. Throws DataError for text that is not JSON, not UTF-8, has a key twice
/// in one object, a number above `largest_number`, or is nested more than 64 deep.
std::shared_ptr<const JsonDocument> parse_json(std::string text, std::string file);

/// A value together with its place; the only way loaders read JSON. Problems go to `diagnostics`,
/// and the reading call returns nullopt (or an empty list), so a load gathers all of them.
class JsonView {
  public:
    JsonView(std::shared_ptr<const JsonDocument> document, Diagnostics& diagnostics);

    const JsonValue& value() const { return *value_; }
    const std::string& file() const { return document_->file; }
    std::string place() const;  ///< "line 4, /limits/0/min"
    std::string shown() const;  ///< the value as the message shows it: "lysin" or 120

    bool is_object() const { return value_->kind == JsonValue::Kind::object; }
    bool is_array() const { return value_->kind == JsonValue::Kind::array; }
    bool is_string() const { return value_->kind == JsonValue::Kind::string; }
    bool is_number() const { return value_->kind == JsonValue::Kind::number; }

    /// Records a problem at this value.
    void problem(std::string expected, std::string hint = {}) const;
    /// Records a problem with words of its own for what was found.
    void problem_found(std::string found, std::string expected, std::string hint = {}) const;

    /// Records every key that is not in `known`, with the nearest known one.
    void allow_only(std::initializer_list<std::string_view> known) const;
    void allow_only(const std::vector<std::string>& known) const;
    /// Records a missing key, wrong kind and so on; the first line of a file: "format" must be
    /// `format`.
    bool require_format(std::string_view format) const;

    bool has(std::string_view key) const;
    /// The member, if it is there.
    std::optional<JsonView> member(std::string_view key) const;
    /// The member; its absence is a problem, unless this is no object, which `allow_only` tells.
    std::optional<JsonView> required(std::string_view key) const;

    /// This value as a string, number or flag; another kind is a problem.
    std::optional<std::string> as_string() const;
    std::optional<double> as_number() const;
    std::optional<bool> as_bool() const;
    /// Elements of an array; another kind is a problem.
    std::vector<JsonView> elements() const;
    /// (key, value) pairs of an object; another kind is a problem.
    std::vector<std::pair<std::string, JsonView>> members() const;

    // The usual cases in one call: absent gives nullopt without a problem, a wrong kind is one.
    std::optional<std::string> string(std::string_view key) const;
    std::optional<double> number(std::string_view key) const;
    std::optional<bool> flag(std::string_view key) const;
    std::vector<JsonView> array(std::string_view key) const;
    std::vector<std::string> strings(std::string_view key) const;
    /// A number within [low, high]; `what` names it in the message ("percent of the mix"). A `high`
    /// of 1e9 or more is told as none.
    std::optional<double> number_within(std::string_view key, double low, double high,
                                        std::string_view what) const;
    Diagnostics& diagnostics() const { return *diagnostics_; }

  private:
    JsonView(const JsonView& parent, const JsonValue& value, std::string step);
    std::shared_ptr<const JsonDocument> document_;
    const JsonValue* value_;
    std::string pointer_;
    Diagnostics* diagnostics_;
};

}  // namespace feedwright::base
