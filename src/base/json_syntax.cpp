// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/json_syntax.hpp"

#include "base/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <utility>

namespace feedwright::base {

namespace {

constexpr std::string_view space = " \t\r\n";

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

bool is_word(char c) {
    return is_digit(c) || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '.' ||
           c == '+' || c == '-' || c == '_' || static_cast<unsigned char>(c) >= 0x80;
}

// The slips that are seen again and again; each looks at the text around the place.
class Explainer {
  public:
    Explainer(const std::string& file, std::string_view text, std::size_t at,
              std::string_view reason)
        : file_(file), text_(text), at_(at), reason_(reason) {}

    Diagnostic explain() {
        if (at_ >= text_.size()) return ended();
        begin_ = end_ = at_;
        while (begin_ > 0 && is_word(text_[begin_ - 1]) && is_word(text_[at_]))
            --begin_;
        while (end_ < text_.size() && is_word(text_[end_]))
            ++end_;
        if (says("invalid string")) return broken_text();
        if (begin_ < end_) return stray_word();
        return stray_sign();
    }

  private:
    bool says(std::string_view part) const { return reason_.find(part) != std::string_view::npos; }

    Diagnostic at(std::size_t offset, std::string found, std::string expected,
                  std::string hint = {}) const {
        const std::size_t line_start = text_.substr(0, offset).rfind('\n') + 1;
        const std::size_t column = display_width(text_.substr(line_start, offset - line_start)) + 1;
        return {file_, fmt::format("{}, column {}", line_of(text_, offset), column),
                std::move(found), std::move(expected), std::move(hint)};
    }

    Diagnostic ended() const {
        if (trim(text_).empty()) {
            return {file_, "line 1", "an empty file", "JSON that begins with {", ""};
        }
        return {file_, line_of(text_, text_.size()), "the end of the file",
                "more JSON: a bracket or quote is still open", "The file may have been cut off"};
    }

    Diagnostic broken_text() const {
        if (text_[at_] == '\n' || text_[at_] == '\r') {
            return at(at_, "the end of the line inside a text", "\" at the end of the text");
        }
        if (says("control character")) {
            return at(at_,
                      fmt::format("the control character {} in a text",
                                  printable(text_.substr(at_, 1), 8)),
                      "a visible character", "Write a tab as \\t and a new line as \\n");
        }
        return at(at_, "a broken \\ sequence in a text",
                  "\\\" \\\\ \\/ \\b \\f \\n \\r \\t or \\u and four digits");
    }

    Diagnostic stray_word() const {
        const std::string word(text_.substr(begin_, end_ - begin_));
        const std::string small =
            lower(word.substr(std::min(word.find_first_not_of("+-"), word.size())));
        if (small == "nan" || small == "inf" || small == "infinity") {
            return at(begin_, word, "a number",
                      "Leave out a value that is not known, or a limit that is none");
        }
        if (small == "true" || small == "false" || small == "null" || small == "none") {
            return at(begin_, word, "true, false or a value", "JSON writes these in small letters");
        }
        if (begin_ >= 2 && text_[begin_ - 1] == ',' && is_digit(text_[begin_ - 2]) &&
            is_digit(word[0])) {
            std::size_t first = begin_ - 1;
            while (first > 0 && is_word(text_[first - 1]))
                --first;
            return at(first, std::string(text_.substr(first, end_ - first)), "one number",
                      "Write a decimal point, not a comma");
        }
        const bool zero_first = word.size() > 1 && word[0] == '0' && is_digit(word[1]);
        if (zero_first || word[0] == '.' || word[0] == '+' || word[0] == '-') {
            return at(begin_, word, "a number such as 0.5 or -12");
        }
        return at(begin_, word,
                  expected().value_or("a value: a number, or a text in double quotes"));
    }

    Diagnostic stray_sign() const {
        const char sign = text_[at_];
        if (sign == '/' || sign == '#') {
            return at(at_, "a comment", "JSON, which has no comments",
                      "Put the remark into a \"note\"");
        }
        if (sign == '\'') return at(at_, "a single quote", "double quotes");
        const std::size_t before = text_.substr(0, at_).find_last_not_of(space);
        if ((sign == '}' || sign == ']') && before != std::string_view::npos &&
            text_[before] == ',') {
            return at(before, fmt::format("a comma before {}", sign), "none after the last entry");
        }
        std::size_t length = 1;
        if (sign == '"') length = std::min(text_.find('"', at_ + 1), text_.size() - 1) + 1 - at_;
        return at(at_, std::string(text_.substr(at_, length)), expected().value_or("a value"));
    }

    // What the parser says it waited for.
    std::optional<std::string> expected() const {
        if (says("; expected end of input")) return "nothing after the last bracket";
        if (says("; expected string literal")) return "a key in double quotes";
        if (says("; expected ':'")) return ": after the key";
        if (says("; expected '}'")) return ", or }";
        if (says("; expected ']'")) return ", or ]";
        return std::nullopt;
    }

    const std::string& file_;
    std::string_view text_;
    std::size_t at_;
    std::string_view reason_;
    std::size_t begin_ = 0;  // the word around the place, if there is one
    std::size_t end_ = 0;
};

}  // namespace

std::string line_of(std::string_view text, std::size_t offset) {
    const auto end = text.begin() + static_cast<long>(std::min(offset, text.size()));
    return fmt::format("line {}", 1 + std::count(text.begin(), end, '\n'));
}

Diagnostic explain_syntax(const std::string& file, std::string_view text, std::size_t reached,
                          std::string_view reason) {
    const auto says = [&](std::string_view part) {
        return reason.find(part) != std::string_view::npos;
    };
    std::size_t at = reached - (reached > 0 ? 1 : 0);
    // The parser has read past the end, or one byte past a number, before it knows.
    if (says("unexpected end of input") || says("missing closing quote")) at = text.size();
    if (says("unexpected number literal") && at > 0) --at;
    if (says("unexpected string literal")) {
        // It stands behind the text; back to its opening quote.
        while (at > 0 && (text[at - 1] != '"' || (at > 1 && text[at - 2] == '\\')))
            --at;
        if (at > 0) --at;
    }
    return Explainer(file, text, at, reason).explain();
}

}  // namespace feedwright::base
