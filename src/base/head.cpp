// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/head.hpp"

#include "base/currency.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "base/units.hpp"

#include <algorithm>
#include <array>
#include <vector>

namespace feedwright::base {

namespace {

constexpr std::array containers{"bag",     "bags", "sack",   "sacks", "pack", "packs",
                                "package", "box",  "packet", "drum",  "tub"};
constexpr std::array vessels{
    "bucket", "buckets", "scoop",  "scoops",  "cup",    "cups",   "pail",    "pails",   "tin",
    "tins",   "can",     "cans",   "basin",   "basins", "bowl",   "bowls",   "mug",     "mugs",
    "jar",    "jars",    "bottle", "bottles", "spoon",  "spoons", "measure", "measures"};
// "price per bag of 50 kg", "price in USD".
constexpr std::array fillers{"of", "in", "a", "the", "one"};

template <std::size_t N>
bool is_one(std::string_view word, const std::array<const char*, N>& words) {
    return std::any_of(words.begin(), words.end(), [&](const char* w) { return word == w; });
}

bool digit(char c) {
    return c >= '0' && c <= '9';
}

bool letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

// Words parted at blanks and brackets, and where digits meet letters; "/" and "%" are words.
std::vector<std::string> words_of(std::string_view text) {
    std::vector<std::string> words;
    std::string word;
    const auto end = [&] {
        if (!word.empty()) words.push_back(lower(word));
        word.clear();
    };
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        const bool in_number = (c == '.' || c == ',') && i > 0 && digit(text[i - 1]) &&
                               i + 1 < text.size() && digit(text[i + 1]);
        if (c == '/' || c == '%') {
            end();
            words.emplace_back(1, c);
        } else if (!in_number &&
                   std::string_view(" \t\r\n_()[]{},;:-\"*=").find(c) != std::string_view::npos) {
            end();
        } else {
            const bool meets = !word.empty() && ((digit(word.back()) && letter(c)) ||
                                                 (letter(word.back()) && digit(c)));
            if (meets) end();
            word += c;
        }
    }
    end();
    return words;
}

// A unit of weight in one or two words from `at` on; how many words it took.
std::size_t unit_at(const std::vector<std::string>& words, std::size_t at, std::string& unit) {
    if (at >= words.size()) return 0;
    if (at + 1 < words.size() && kilograms_per(words[at] + ' ' + words[at + 1])) {
        unit = words[at] + ' ' + words[at + 1];
        return 2;
    }
    if (!kilograms_per(words[at])) return 0;
    unit = words[at];
    if (unit.ends_with('.')) unit.pop_back();
    return 1;
}

// A number in a head, which has no decimal mark of its own to be read by.
std::optional<double> number_of(const std::string& word, std::optional<DecimalMark> mark) {
    const MarkShape shape = mark_shape(word);
    if (!mark) {
        if (shape == MarkShape::maybe_comma || shape == MarkShape::maybe_point) return std::nullopt;
        mark = shape == MarkShape::comma ? DecimalMark::comma : DecimalMark::point;
    }
    const auto number = leading_number(word, *mark);
    if (!number || !number->rest.empty()) return std::nullopt;
    return number->value;
}

// A pack from `at` on, with the containers around it; how many words it took, 0 for none. A
// container alone is its word.
std::size_t pack_at(const std::vector<std::string>& words, std::size_t at,
                    std::optional<DecimalMark> mark, std::string& pack) {
    const std::size_t start = at;
    std::string container;
    const auto pass = [&] {
        while (at < words.size() && (is_one(words[at], containers) || is_one(words[at], fillers))) {
            if (is_one(words[at], containers)) container = words[at];
            ++at;
        }
    };
    pass();
    std::optional<double> count;
    if (at < words.size() && (digit(words[at][0]) || words[at][0] == '.')) {
        count = number_of(words[at], mark);
        if (!count || !(*count > 0)) return 0;
        ++at;
    }
    std::string unit;
    const std::size_t taken = unit_at(words, at, unit);
    if (taken == 0) {
        if (count || container.empty()) return 0;
        pack = container;
        return at - start;
    }
    at += taken;
    pass();
    pack = count ? shortest(*count) + ' ' + unit : unit;
    return at - start;
}

}  // namespace

std::optional<double> litres_of(std::string_view text, DecimalMark mark) {
    std::vector<std::string> words = words_of(plain_cell(text));
    const bool vessel = std::any_of(words.begin(), words.end(),
                                    [](const std::string& word) { return is_one(word, vessels); });
    std::erase_if(words, [&](const std::string& word) {
        return is_one(word, vessels) || (vessel && is_one(word, fillers));
    });
    double count = 1;
    if (!words.empty() && digit(words.front()[0])) {
        const auto number = number_of(words.front(), mark);
        if (!number || !(*number > 0)) return std::nullopt;
        count = *number;
        words.erase(words.begin());
    }
    if (words.size() != 1) return std::nullopt;
    const auto one = parse_volume_l("1 " + words.front());
    return one ? std::optional(count * *one) : std::nullopt;
}

bool is_vessel(std::string_view text) {
    const std::vector<std::string> words = words_of(plain_cell(text));
    return words.size() == 1 && is_one(words.front(), vessels);
}

bool is_container(std::string_view word) {
    return is_one(lower(word), containers);
}

std::string plain_words(std::string_view text) {
    std::string result;
    for (const std::string& word : words_of(plain_cell(text))) {
        if (!result.empty()) result += ' ';
        result += word;
    }
    return result;
}

std::optional<std::string> pack_of(std::string_view text, DecimalMark mark) {
    const std::string cell = plain_cell(text);
    if (cell.starts_with('-')) return std::nullopt;
    const std::vector<std::string> words = words_of(cell);
    std::string pack;
    const std::size_t taken = pack_at(words, 0, mark, pack);
    if (taken == 0 || taken != words.size() || is_container(pack)) return std::nullopt;
    return pack;
}

Head take_apart(std::string_view text) {
    Head head;
    head.written = std::string(trim(text));
    const WithoutCurrency money = without_currency(plain_cell(text));
    if (!money.other.empty()) {
        head.words = plain_words(text);
        return head;
    }
    head.currency = money.currency;
    const std::vector<std::string> words = words_of(money.text);
    std::vector<std::string> left;
    for (std::size_t i = 0; i < words.size();) {
        std::string found;
        std::size_t taken = 0;
        if (words[i] == "per" || words[i] == "/") {
            taken = pack_at(words, i + 1, std::nullopt, found);
            if (taken > 0) {
                // "price per kg per bag" is not understood.
                if (!head.per.empty()) left.push_back(words[i]);
                head.per = found;
                i += 1 + taken;
                continue;
            }
        } else if (digit(words[i][0])) {
            taken = pack_at(words, i, std::nullopt, found);  // "price 50 kg bag"
            if (taken > 0 && head.per.empty()) {
                head.per = found;
                i += taken;
                continue;
            }
        } else if (words[i] == "%" || words[i] == "percent" || words[i] == "pct" ||
                   words[i] == "percentage") {
            found = "%";
            taken = 1;
        } else {
            taken = unit_at(words, i, found);
        }
        if (taken > 0 && head.unit.empty()) {
            head.unit = found;
            i += taken;
            continue;
        }
        left.push_back(words[i++]);
    }
    for (const std::string& word : left) {
        if (word == "in") continue;
        if (!head.words.empty()) head.words += ' ';
        head.words += word;
    }
    return head;
}

}  // namespace feedwright::base
