// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.hpp"

#include "support/catch.hpp"

using namespace feedwright::base;

TEST_CASE("trim and lower") {
    CHECK(trim("  a b\t\r\n") == "a b");
    CHECK(trim(" \t ").empty());
    CHECK(trim("").empty());
    CHECK(lower("Fish-Meal 60Ä") == "fish-meal 60Ä");
}

TEST_CASE("edit_distance counts single edits and swaps") {
    CHECK(edit_distance("", "") == 0);
    CHECK(edit_distance("", "abc") == 3);
    CHECK(edit_distance("abc", "") == 3);
    CHECK(edit_distance("lysine", "lysine") == 0);
    CHECK(edit_distance("lysin", "lysine") == 1);
    CHECK(edit_distance("lyisne", "lysine") == 1);
    CHECK(edit_distance("kitten", "sitting") == 3);
    CHECK(edit_distance("ab", "ba") == 1);
    CHECK(edit_distance("ca", "abc") == 3);  // one edit per place: not 2
}

TEST_CASE("nearest finds what was meant and keeps silent otherwise") {
    const std::vector<std::string> words{"crude_protein", "crude_lipid", "lysine", "ash"};
    CHECK(nearest("crude_protien", words) == "crude_protein");
    CHECK(nearest("Lysine", words) == "lysine");
    CHECK(nearest("protein", words) == "crude_protein");
    CHECK(nearest("xyzzyxyzzy", words).empty());
    CHECK(nearest("min", {"sulfur amino acids", "zinc"}).empty());
    CHECK(nearest("ahs", {"zinc", "ash"}) == "ash");
    CHECK(nearest("soy", {"soybean-meal-44"}) == "soybean-meal-44");
    CHECK(nearest("meal", {"fish-meal-63"}) == "fish-meal-63");
    CHECK(nearest("lysine", {}).empty());
    CHECK(did_you_mean("lysin", words) == "Did you mean \"lysine\"?");
    CHECK(did_you_mean("xyzzyxyzzy", words).empty());
}

TEST_CASE("join_words") {
    CHECK(join_words({}).empty());
    CHECK(join_words({"a"}) == "a");
    CHECK(join_words({"a", "b"}) == "a and b");
    CHECK(join_words({"a", "b", "c"}, " or ") == "a, b or c");
}

TEST_CASE("display_width counts characters, not bytes") {
    CHECK(display_width("") == 0);
    CHECK(display_width("abc") == 3);
    CHECK(display_width("µg/kg") == 5);
    CHECK(display_width("a – b") == 5);
}

TEST_CASE("wrap breaks at spaces") {
    CHECK(wrap("", 10) == std::vector<std::string>{""});
    CHECK(wrap("one two three", 7) == std::vector<std::string>{"one two", "three"});
    CHECK(wrap("abcdefghij k", 4) == std::vector<std::string>{"abcdefghij", "k"});
    CHECK(wrap("  a   b  ", 10) == std::vector<std::string>{"a b"});
    CHECK(wrap("µµ µµ", 5) == std::vector<std::string>{"µµ µµ"});
}

TEST_CASE("is_utf8 knows the bounds of the encoding") {
    CHECK(is_utf8(""));
    CHECK(is_utf8("plain"));
    CHECK(is_utf8("µ – 鱼 🐟"));
    CHECK(is_utf8("\xF4\x8F\xBF\xBF"));        // U+10FFFF
    CHECK_FALSE(is_utf8("\xF4\x90\x80\x80"));  // above it
    CHECK_FALSE(is_utf8("\xC0\xAF"));          // overlong
    CHECK_FALSE(is_utf8("\xE0\x80\xAF"));
    CHECK_FALSE(is_utf8("\xF0\x80\x80\xAF"));
    CHECK_FALSE(is_utf8("\xED\xA0\x80"));  // surrogate
    CHECK_FALSE(is_utf8("\x80"));          // continuation without a start
    CHECK_FALSE(is_utf8("\xC2"));          // cut short
    CHECK_FALSE(is_utf8("\xE2\x82"));
    CHECK_FALSE(is_utf8("\xE2\x82z"));
    CHECK_FALSE(is_utf8("\xFF"));
    CHECK_FALSE(is_utf8("caf\xE9"));  // Latin-1
}

TEST_CASE("the place of the first byte that is not UTF-8 is found") {
    CHECK(utf8_length("") == 0);
    CHECK(utf8_length("aµ") == 3);
    CHECK(utf8_length("a\xE9z") == 1);
    CHECK(utf8_length("\xC2") == 0);
}

TEST_CASE("printable text shows control characters and shortens between letters") {
    CHECK(printable("a\tb\r\n\x7f\x01µ", 100) == "a\\tb\\r\\n\\x7f\\x01µ");
    CHECK(printable("0123456789abcdef", 8) == "0123 … ef");
    CHECK(printable("µµµµµµµµ", 7) == "µ … ");
    CHECK(is_utf8(printable("µµµµµµµµµµ", 9)));
    CHECK(printable("12345678", 8) == "12345678");
    // Between words, where there are words.
    CHECK(printable("crude protein, lysine, tyrosine and threonine", 32) ==
          "crude protein, … threonine");
}
