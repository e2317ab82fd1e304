// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/json.hpp"

#include "base/json_syntax.hpp"
#include "base/number.hpp"
#include "base/text.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::base {

namespace {

constexpr std::size_t deepest = 64;
constexpr double endless = 1e9;  // an upper end that stands for none

// Hands the text to the parser a byte at a time and remembers how far it has come: the library does
// not tell where a value stands.
class TrackedText {
  public:
    using iterator_category = std::input_iterator_tag;
    using value_type = char;
    using difference_type = std::ptrdiff_t;
    using pointer = const char*;
    using reference = const char&;

    TrackedText(const char* at, const char** reached) : at_(at), reached_(reached) {}
    reference operator*() const { return *at_; }
    TrackedText& operator++() {
        *reached_ = ++at_;
        return *this;
    }
    bool operator==(const TrackedText& other) const { return at_ == other.at_; }
    bool operator!=(const TrackedText& other) const { return at_ != other.at_; }

  private:
    const char* at_;
    const char** reached_;
};

// Builds the tree from the parser's events; stops at the first thing that is wrong.
class Builder final : public nlohmann::json::json_sax_t {
  public:
    Builder(JsonDocument& document, const char* const* reached)
        : document_(document), reached_(reached) {}

    bool null() override { return add({}); }
    bool boolean(bool flag) override {
        JsonValue value;
        value.kind = JsonValue::Kind::boolean;
        value.boolean = flag;
        return add(std::move(value));
    }
    bool number_integer(number_integer_t n) override { return number(static_cast<double>(n)); }
    bool number_unsigned(number_unsigned_t n) override { return number(static_cast<double>(n)); }
    bool number_float(number_float_t n, const string_t&) override { return number(n); }
    bool string(string_t& text) override {
        JsonValue value;
        value.kind = JsonValue::Kind::string;
        value.string = std::move(text);
        return add(std::move(value));
    }
    bool binary(binary_t&) override { return false; }
    bool start_object(std::size_t) override { return open(JsonValue::Kind::object); }
    bool start_array(std::size_t) override { return open(JsonValue::Kind::array); }
    bool end_object() override { return close(); }
    bool end_array() override { return close(); }
    bool key(string_t& name) override {
        JsonValue& object = *open_.back();
        if (std::find(object.keys.begin(), object.keys.end(), name) != object.keys.end()) {
            return refuse(fmt::format("the key \"{}\" twice in one object", name), "each key once",
                          "Remove one of the two");
        }
        object.keys.push_back(std::move(name));
        return true;
    }
    bool parse_error(std::size_t, const std::string& token,
                     const nlohmann::detail::exception& error) override {
        constexpr int number_out_of_range = 406;
        if (error.id == number_out_of_range) return refuse_number(token);
        problem = explain_syntax(document_.file, document_.text, offset(), error.what());
        return false;
    }

    std::optional<Diagnostic> problem;

  private:
    std::uint32_t offset() const {
        return static_cast<std::uint32_t>(*reached_ - document_.text.data());
    }
    bool refuse(std::string found, std::string expected, std::string hint = {}) {
        problem = Diagnostic{document_.file, line_of(document_.text, offset() - (offset() > 0)),
                             std::move(found), std::move(expected), std::move(hint)};
        return false;
    }
    bool refuse_number(const std::string& token) {
        return refuse(fmt::format("the number {}", token),
                      fmt::format("one between -{0} and {0}", shortest(largest_number)),
                      "Correct the exponent");
    }
    bool number(double n) {
        if (std::abs(n) > largest_number) return refuse_number(shortest(n));
        JsonValue value;
        value.kind = JsonValue::Kind::number;
        value.number = n;
        return add(std::move(value));
    }
    JsonValue& place(JsonValue value) {
        // The parser reads one byte past a number before it knows that the number has ended.
        const bool past = value.kind == JsonValue::Kind::number;
        value.offset = offset() - (past && offset() > 0 ? 1 : 0);
        if (open_.empty()) {
            document_.root = std::move(value);
            return document_.root;
        }
        return open_.back()->items.emplace_back(std::move(value));
    }
    bool add(JsonValue value) {
        place(std::move(value));
        return true;
    }
    bool open(JsonValue::Kind kind) {
        if (open_.size() >= deepest) {
            return refuse(fmt::format("brackets nested more than {} deep", deepest),
                          "a flatter file");
        }
        JsonValue value;
        value.kind = kind;
        // Pointers into a parent's items stay good: a parent grows only when no child is open.
        open_.push_back(&place(std::move(value)));
        return true;
    }
    bool close() {
        open_.pop_back();
        return true;
    }

    JsonDocument& document_;
    const char* const* reached_;
    std::vector<JsonValue*> open_;
};

std::string_view kind_name(JsonValue::Kind kind) {
    switch (kind) {
        case JsonValue::Kind::null:
            return "null";
        case JsonValue::Kind::boolean:
            return "true or false";
        case JsonValue::Kind::number:
            return "a number";
        case JsonValue::Kind::string:
            return "a text";
        case JsonValue::Kind::array:
            return "a list";
        case JsonValue::Kind::object:
            return "an object";
    }
    return "";
}

// A price list or the like where JSON belongs: its first line would be told to be bad JSON.
void refuse_table(const std::string& text, const std::string& file) {
    const std::string name = lower(file);
    const std::size_t first = text.find_first_not_of(" \t\r\n\xEF\xBB\xBF");
    const bool is_json = first != std::string::npos && (text[first] == '{' || text[first] == '[');
    if (is_json || !(name.ends_with(".csv") || name.ends_with(".tsv"))) return;
    throw DataError(
        Diagnostic{file, "line 1", "a table", "JSON",
                   "Jobs, plans, ventures and seasons are JSON files; \"feedwright new\" "
                   "writes a first one"});
}

}  // namespace

std::shared_ptr<const JsonDocument> parse_json(std::string text, std::string file) {
    refuse_table(text, file);
    auto document = std::make_shared<JsonDocument>();
    document->file = std::move(file);
    document->text = std::move(text);
    if (document->text.starts_with("\xEF\xBB\xBF")) document->text.erase(0, 3);
    if (const std::size_t good = utf8_length(document->text); good < document->text.size()) {
        throw DataError(Diagnostic{document->file, line_of(document->text, good),
                                   "bytes that are not UTF-8", "UTF-8 text",
                                   "Save the file as UTF-8"});
    }
    const char* reached = document->text.data();
    const char* end = document->text.data() + document->text.size();
    Builder builder(*document, &reached);
    const bool good = nlohmann::json::sax_parse(TrackedText(document->text.data(), &reached),
                                                TrackedText(end, &reached), &builder);
    if (!good) throw DataError(*builder.problem);
    return document;
}

JsonView::JsonView(std::shared_ptr<const JsonDocument> document, Diagnostics& diagnostics)
    : document_(std::move(document)), value_(&document_->root), diagnostics_(&diagnostics) {}

JsonView::JsonView(const JsonView& parent, const JsonValue& value, std::string step)
    : document_(parent.document_),
      value_(&value),
      pointer_(parent.pointer_ + '/' + std::move(step)),
      diagnostics_(parent.diagnostics_) {}

std::string JsonView::place() const {
    const std::string line = line_of(document_->text, value_->offset);
    return pointer_.empty() ? line : line + ", " + pointer_;
}

std::string JsonView::shown() const {
    switch (value_->kind) {
        case JsonValue::Kind::number:
            return shortest(value_->number);
        case JsonValue::Kind::string:
            return '"' + value_->string + '"';
        case JsonValue::Kind::boolean:
            return value_->boolean ? "true" : "false";
        default:
            return std::string(kind_name(value_->kind));
    }
}

void JsonView::problem(std::string expected, std::string hint) const {
    problem_found(shown(), std::move(expected), std::move(hint));
}

void JsonView::problem_found(std::string found, std::string expected, std::string hint) const {
    diagnostics_->add(
        Diagnostic{file(), place(), std::move(found), std::move(expected), std::move(hint)});
}

void JsonView::allow_only(std::initializer_list<std::string_view> known) const {
    allow_only(std::vector<std::string>(known.begin(), known.end()));
}

void JsonView::allow_only(const std::vector<std::string>& known) const {
    if (!is_object()) {
        problem("an object { … }");
        return;
    }
    for (std::size_t i = 0; i < value_->keys.size(); ++i) {
        const std::string& key = value_->keys[i];
        if (std::find(known.begin(), known.end(), key) != known.end()) continue;
        JsonView(*this, value_->items[i], key)
            .problem_found(fmt::format("the unknown key \"{}\"", key),
                           "one of " + join_words(known, " or "), did_you_mean(key, known));
    }
}

bool JsonView::require_format(std::string_view format) const {
    if (!is_object()) {
        problem(fmt::format("an object with \"format\": \"{}\"", format));
        return false;
    }
    const auto found = required("format");
    if (!found) return false;
    const auto text = found->as_string();
    if (!text) return false;
    if (*text != format) {
        const std::string_view kind = format.substr(0, format.find('/') + 1);
        found->problem(fmt::format("\"{}\"", format),
                       text->starts_with(kind) ? "It is for another version of the program"
                       : text->starts_with("feedwright-") ? "It is a file of another kind"
                                                          : "");
        return false;
    }
    return true;
}

bool JsonView::has(std::string_view key) const {
    return std::find(value_->keys.begin(), value_->keys.end(), key) != value_->keys.end();
}

std::optional<JsonView> JsonView::member(std::string_view key) const {
    const auto at = std::find(value_->keys.begin(), value_->keys.end(), key);
    if (at == value_->keys.end()) return std::nullopt;
    const auto index = static_cast<std::size_t>(at - value_->keys.begin());
    return JsonView(*this, value_->items[index], std::string(key));
}

std::optional<JsonView> JsonView::required(std::string_view key) const {
    auto found = member(key);
    if (!found && is_object()) problem_found(fmt::format("no \"{}\"", key), "this key here");
    return found;
}

std::optional<std::string> JsonView::as_string() const {
    if (is_string()) return value_->string;
    problem("a text in quotes");
    return std::nullopt;
}

std::optional<double> JsonView::as_number() const {
    if (is_number()) return value_->number;
    const bool comma = is_string() && value_->string.find(',') != std::string::npos;
    problem("a number without quotes", comma ? "Write a decimal point, not a comma" : "");
    return std::nullopt;
}

std::optional<bool> JsonView::as_bool() const {
    if (value_->kind == JsonValue::Kind::boolean) return value_->boolean;
    problem("true or false");
    return std::nullopt;
}

std::vector<JsonView> JsonView::elements() const {
    std::vector<JsonView> list;
    if (!is_array()) {
        problem("a list [ … ]");
        return list;
    }
    for (std::size_t i = 0; i < value_->items.size(); ++i) {
        list.push_back(JsonView(*this, value_->items[i], std::to_string(i)));
    }
    return list;
}

std::vector<std::pair<std::string, JsonView>> JsonView::members() const {
    std::vector<std::pair<std::string, JsonView>> list;
    if (!is_object()) {
        problem("an object { … }");
        return list;
    }
    for (std::size_t i = 0; i < value_->items.size(); ++i) {
        list.emplace_back(value_->keys[i], JsonView(*this, value_->items[i], value_->keys[i]));
    }
    return list;
}

std::optional<std::string> JsonView::string(std::string_view key) const {
    const auto found = member(key);
    return found ? found->as_string() : std::nullopt;
}

std::optional<double> JsonView::number(std::string_view key) const {
    const auto found = member(key);
    return found ? found->as_number() : std::nullopt;
}

std::optional<bool> JsonView::flag(std::string_view key) const {
    const auto found = member(key);
    return found ? found->as_bool() : std::nullopt;
}

std::vector<JsonView> JsonView::array(std::string_view key) const {
    const auto found = member(key);
    return found ? found->elements() : std::vector<JsonView>{};
}

std::vector<std::string> JsonView::strings(std::string_view key) const {
    std::vector<std::string> list;
    for (const JsonView& element : array(key)) {
        if (auto text = element.as_string()) list.push_back(std::move(*text));
    }
    return list;
}

std::optional<double> JsonView::number_within(std::string_view key, double low, double high,
                                              std::string_view what) const {
    const auto found = member(key);
    if (!found) return std::nullopt;
    const auto value = found->as_number();
    if (!value) return std::nullopt;
    if (*value < low || *value > high) {
        found->problem(high >= endless
                           ? fmt::format("{} of {} or more", what, shortest(low))
                           : fmt::format("{} from {} to {}", what, shortest(low), shortest(high)));
        return std::nullopt;
    }
    return value;
}

}  // namespace feedwright::base
