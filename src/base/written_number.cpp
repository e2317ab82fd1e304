// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/written_number.hpp"

#include "base/number.hpp"
#include "base/text.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>
#include <vector>

namespace feedwright::base {

namespace {

bool digit(char c) {
    return c >= '0' && c <= '9';
}

std::size_t digits_from(std::string_view text, std::size_t at) {
    std::size_t end = at;
    while (end < text.size() && digit(text[end]))
        ++end;
    return end - at;
}

// Digits and the marks between them. A mark is one of ".,' "; a space belongs to a number only
// where three digits follow.
struct Run {
    std::vector<std::string_view> parts;  // of digits; the first may be empty (".08")
    std::string marks;                    // one fewer
    std::size_t length = 0;
};

Run run_of(std::string_view text) {
    Run run;
    std::size_t at = digits_from(text, 0);
    run.parts.push_back(text.substr(0, at));
    while (at < text.size()) {
        const char mark = text[at];
        const std::size_t more = digits_from(text, at + 1);
        if (std::string_view(".,' ").find(mark) == std::string_view::npos || more == 0) break;
        const bool spaced = mark == ' ' || mark == '\'';
        if (spaced && (more != 3 || run.parts.back().empty())) break;
        if (mark == ' ' && run.marks.find_first_of(".,") != std::string::npos) break;
        run.marks += mark;
        run.parts.push_back(text.substr(at + 1, more));
        at += 1 + more;
    }
    run.length = run.parts.size() == 1 && run.parts[0].empty() ? 0 : at;
    return run;
}

// Whether the parts before the last `end` are thousands: one to three digits, then threes; twos in
// front of the last three, as in India, where a comma parts them.
bool in_thousands(const Run& run, std::size_t end, char mark) {
    if (run.parts[0].empty() || run.parts[0].size() > 3 || run.parts[0][0] == '0') return false;
    const auto all = [&](std::size_t digits) {
        for (std::size_t i = 1; i + 1 < end; ++i) {
            if (run.parts[i].size() != digits) return false;
        }
        return run.parts[end - 1].size() == 3;
    };
    const bool indian = mark == ',' && run.parts[0].size() <= 2 && all(2);
    return all(3) || indian;
}

bool one_kind(std::string_view marks, char mark) {
    return std::all_of(marks.begin(), marks.end(), [&](char c) { return c == mark; });
}

MarkShape shape_of(const Run& run) {
    const std::string& marks = run.marks;
    if (run.length == 0 || marks.empty()) return MarkShape::none;
    const char last = marks.back();
    if (last != '.' && last != ',') return MarkShape::none;
    const bool point = last == '.';
    const std::size_t before = marks.size();  // parts before the last
    if (before == 1) {
        const bool either = run.parts[1].size() == 3 && in_thousands(run, 2, last);
        if (either) return point ? MarkShape::maybe_point : MarkShape::maybe_comma;
        return point ? MarkShape::point : MarkShape::comma;
    }
    const std::string_view others = std::string_view(marks).substr(0, before - 1);
    if (one_kind(marks, last)) {
        if (!in_thousands(run, run.parts.size(), last)) return MarkShape::none;
        return point ? MarkShape::grouped_by_point : MarkShape::grouped_by_comma;
    }
    if (!one_kind(others, others[0]) || !in_thousands(run, before, others[0]))
        return MarkShape::none;
    if (others[0] == '.') return MarkShape::grouped_by_point;
    if (others[0] == ',') return MarkShape::grouped_by_comma;
    return point ? MarkShape::point : MarkShape::comma;
}

std::optional<double> value_of(const Run& run, DecimalMark mark, bool& grouped) {
    const char decimal = static_cast<char>(mark);
    std::string_view marks = run.marks;
    const bool has_decimals = !marks.empty() && marks.back() == decimal;
    if (has_decimals) marks.remove_suffix(1);
    grouped = !marks.empty();
    if (grouped) {
        const bool sure = marks[0] != decimal && one_kind(marks, marks[0]) &&
                          in_thousands(run, marks.size() + 1, marks[0]);
        if (!sure) return std::nullopt;
    }
    std::string text;
    for (std::size_t i = 0; i < run.parts.size(); ++i) {
        if (has_decimals && i + 1 == run.parts.size()) text += '.';
        text += run.parts[i];
    }
    return parse_finite(text);
}

bool is_per(std::string_view text) {
    return text.starts_with('/') || lower(text.substr(0, 4)) == "per ";
}

// "1/2" and "1 1/2", of whole numbers.
std::optional<WrittenNumber> fraction(std::string_view text) {
    const auto whole_at = [&](std::size_t at, std::size_t& end) {
        const std::size_t count = digits_from(text, at);
        end = at + count;
        return count == 0 || count > 6 ? std::optional<double>{}
                                       : parse_finite(text.substr(at, count));
    };
    std::size_t end = 0;
    auto top = whole_at(0, end);
    double whole = 0;
    if (top && end < text.size() && text[end] == ' ') {
        whole = *top;
        top = whole_at(end + 1, end);
    }
    if (!top || end >= text.size() || text[end] != '/') return std::nullopt;
    const auto below = whole_at(end + 1, end);
    const bool ends =
        end >= text.size() || std::string_view(".,/").find(text[end]) == std::string_view::npos;
    if (!below || *below == 0 || !ends || (whole > 0 && *top >= *below)) return std::nullopt;
    return WrittenNumber{whole + *top / *below, trim(text.substr(end)), false, true};
}

struct Letter {
    std::string_view letter;
    std::string_view plain;
};

constexpr std::array blanks{
    Letter{"\xC2\xA0", "'"},      // no-break space
    Letter{"\xE2\x80\xAF", "'"},  // narrow no-break space
    Letter{"\xE2\x80\x89", "'"},  // thin space
    Letter{"\xE2\x80\x99", "'"},  // typographic apostrophe
};

constexpr std::array written_out{
    Letter{"\xC2\xBD", "1/2"},     Letter{"\xC2\xBC", "1/4"},     Letter{"\xC2\xBE", "3/4"},
    Letter{"\xE2\x85\x93", "1/3"}, Letter{"\xE2\x85\x94", "2/3"}, Letter{"\xE2\x85\x9B", "1/8"},
    Letter{"\xE2\x85\x9C", "3/8"}, Letter{"\xE2\x85\x9D", "5/8"}, Letter{"\xE2\x85\x9E", "7/8"},
    Letter{"\xE2\x88\x92", "-"},   Letter{"\xE2\x81\x84", "/"},
};

}  // namespace

std::string plain_cell(std::string_view cell) {
    const bool ascii = std::none_of(cell.begin(), cell.end(), [](char c) {
        return static_cast<unsigned char>(c) >= 0x80 || c == '\t' || c == '\n' || c == '\r';
    });
    if (ascii) return std::string(trim(cell));
    std::string out;
    for (std::size_t i = 0; i < cell.size();) {
        const std::string_view rest = cell.substr(i);
        const auto starts = [&](const Letter& l) { return rest.starts_with(l.letter); };
        if (const auto* blank = std::find_if(blanks.begin(), blanks.end(), starts);
            blank != blanks.end()) {
            const std::string_view after = rest.substr(blank->letter.size());
            const bool parts = !out.empty() && digit(out.back()) && digits_from(after, 0) == 3;
            const bool apostrophe = blank == &blanks.back();
            if (parts) {
                out += '\'';
            } else if (apostrophe) {
                out += blank->letter;
            } else {
                out += ' ';
            }
            i += blank->letter.size();
        } else if (const auto* other = std::find_if(written_out.begin(), written_out.end(), starts);
                   other != written_out.end()) {
            if (other->plain.size() == 3 && !out.empty() && digit(out.back())) out += ' ';
            out += other->plain;
            i += other->letter.size();
        } else {
            const char c = rest[0];
            out += c == '\t' || c == '\n' || c == '\r' ? ' ' : c;
            ++i;
        }
    }
    return std::string(trim(out));
}

std::optional<WrittenNumber> leading_number(std::string_view text, DecimalMark mark,
                                            bool fractions) {
    const bool negative = text.starts_with('-');
    if (negative) text.remove_prefix(1);
    std::optional<WrittenNumber> number;
    if (fractions) number = fraction(text);
    if (!number) {
        const Run run = run_of(text);
        WrittenNumber made;
        const auto value = run.length == 0 ? std::nullopt : value_of(run, mark, made.grouped);
        if (!value) return std::nullopt;
        made.value = *value;
        std::size_t end = run.length;
        const bool exponent = end + 1 < text.size() && (text[end] == 'e' || text[end] == 'E');
        if (exponent && !made.grouped) {
            const std::size_t sign = text[end + 1] == '-' || text[end + 1] == '+' ? 1 : 0;
            const std::size_t count = digits_from(text, end + 1 + sign);
            if (count > 0) {
                std::string whole(text.substr(0, end + 1));
                std::replace(whole.begin(), whole.end(), ',', '.');
                if (sign == 1 && text[end + 1] == '-') whole += '-';
                whole += text.substr(end + 1 + sign, count);
                const auto scaled = parse_finite(whole);
                if (!scaled) return std::nullopt;
                made.value = *scaled;
                end += 1 + sign + count;
            }
        }
        made.rest = text.substr(end);
        // More digits or marks than make a number.
        if (!made.rest.empty() && std::string_view(".,'").find(made.rest[0]) != std::string::npos)
            return std::nullopt;
        made.rest = trim(made.rest);
        // "2 500 g" may be two of 500 g.
        const bool spaced = run.marks.find(' ') != std::string::npos;
        if (spaced && !made.rest.empty() && !is_per(made.rest)) return std::nullopt;
        number = made;
    }
    if (std::abs(number->value) > largest_number) return std::nullopt;
    if (negative) number->value = 0 - number->value;
    return number;
}

MarkShape mark_shape(std::string_view text) {
    const std::size_t first = text.find_first_of("0123456789.,");
    return first == std::string_view::npos ? MarkShape::none : shape_of(run_of(text.substr(first)));
}

void MarkVotes::note(std::size_t line, std::string_view cell) {
    const auto vote = [&](MarkShape shape) {
        MarkPlace& place = first_[static_cast<std::size_t>(shape)];
        if (shape == MarkShape::none || place.line > 0) return;
        place = {line, std::string(cell)};
    };
    for (std::size_t at = 0; at < cell.size();) {
        const std::size_t lead = cell[at] == '.' || cell[at] == ',' ? 1 : 0;
        const bool starts = digits_from(cell, at + lead) > 0;
        const Run run = starts ? run_of(cell.substr(at)) : Run{};
        if (run.length == 0) {
            ++at;
            continue;
        }
        const MarkShape shape = shape_of(run);
        vote(shape);
        // "1.234,5" shows both marks.
        if (shape == MarkShape::grouped_by_point && run.marks.back() == ',') vote(MarkShape::comma);
        if (shape == MarkShape::grouped_by_comma && run.marks.back() == '.') vote(MarkShape::point);
        at += run.length;
    }
}

bool MarkVotes::any() const {
    return std::any_of(std::begin(first_), std::end(first_),
                       [](const MarkPlace& place) { return place.line > 0; });
}

MarkVotes::Verdict MarkVotes::verdict(bool point_is_usual) const {
    const bool point = seen(MarkShape::point) || seen(MarkShape::grouped_by_comma);
    const bool comma = seen(MarkShape::comma) || seen(MarkShape::grouped_by_point);
    if (point && comma) return Verdict::both;
    if (point) {
        const bool unsure = seen(MarkShape::maybe_comma) && !seen(MarkShape::grouped_by_comma);
        return unsure ? Verdict::comma_thousands_unsure : Verdict::point;
    }
    if (comma) {
        const bool unsure = seen(MarkShape::maybe_point) && !seen(MarkShape::grouped_by_point);
        return unsure ? Verdict::point_thousands_unsure : Verdict::comma;
    }
    if (seen(MarkShape::maybe_comma)) return Verdict::comma_either_way;
    if (seen(MarkShape::maybe_point) && !point_is_usual) return Verdict::point_either_way;
    return Verdict::point;
}

}  // namespace feedwright::base
