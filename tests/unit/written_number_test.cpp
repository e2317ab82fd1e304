// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/written_number.hpp"

#include "base/currency.hpp"
#include "base/head.hpp"
#include "support/catch.hpp"

#include <string>

using namespace feedwright::base;
using Mark = DecimalMark;
using Shape = MarkShape;
using Verdict = MarkVotes::Verdict;

namespace {

// The value of a number that fills the text; nullopt for others.
std::optional<double> whole(std::string_view text, Mark mark) {
    const std::string cell = plain_cell(text);
    const auto number = leading_number(cell, mark);
    if (!number || !number->rest.empty()) return std::nullopt;
    return number->value;
}

Verdict verdict(std::initializer_list<const char*> cells, bool point_is_usual = false) {
    MarkVotes votes;
    std::size_t line = 1;
    for (const char* cell : cells)
        votes.note(++line, cell);
    return votes.verdict(point_is_usual);
}

}  // namespace

TEST_CASE("numbers with a decimal point, and with a decimal comma") {
    CHECK(whole("0.28", Mark::point) == 0.28);
    CHECK(whole("0,28", Mark::comma) == 0.28);
    CHECK(whole(".08", Mark::point) == 0.08);
    CHECK(whole("12", Mark::comma) == 12.0);
    CHECK(whole("-5", Mark::point) == -5.0);
    CHECK(whole("\xE2\x88\x92"
                "5",
                Mark::point) == -5.0);
    CHECK(whole("1e-3", Mark::point) == 0.001);
    CHECK(whole("1,2E-05", Mark::comma) == 1.2e-5);
    CHECK_FALSE(whole("0,28", Mark::point));
    CHECK_FALSE(whole("0.28", Mark::comma));
    for (const char* text : {"", "-", ".", ",", "nan", "inf", "0x10", "1e999", "1e21", "1.2.3",
                             "5.", "0.30.", "(0.30)", "12.05.2024", "1,2,3", "1..2"}) {
        INFO(text);
        CHECK_FALSE(whole(text, Mark::point));
        CHECK_FALSE(whole(text, Mark::comma));
    }
}

TEST_CASE("thousands are read where their marks can be nothing else") {
    CHECK(whole("1,234.50", Mark::point) == 1234.5);
    CHECK(whole("1.234,50", Mark::comma) == 1234.5);
    CHECK(whole("1,234,567", Mark::point) == 1234567.0);
    CHECK(whole("12,34,567.5", Mark::point) == 1234567.5);
    CHECK(whole("1 234,50", Mark::comma) == 1234.5);
    CHECK(whole("1'234.50", Mark::point) == 1234.5);
    CHECK(whole("1\xC2\xA0"
                "234.5",
                Mark::point) == 1234.5);
    CHECK(whole("1\xE2\x80\xAF"
                "234 567",
                Mark::point) == std::nullopt);  // two kinds
    for (const char* text : {"1,23.5", "0,234.5", "1234,567.8", "1,2345", ",234", "12,345,67"}) {
        INFO(text);
        CHECK_FALSE(whole(text, Mark::point));
    }
}

TEST_CASE("fractions of whole numbers") {
    CHECK(whole("1/2", Mark::point) == 0.5);
    CHECK(whole("1 1/2", Mark::point) == 1.5);
    CHECK(whole("\xC2\xBD", Mark::point) == 0.5);
    CHECK(whole("2\xC2\xBC", Mark::comma) == 2.25);
    const auto pounds = leading_number("1/2 lb", Mark::point);
    REQUIRE(pounds);
    CHECK(pounds->value == 0.5);
    CHECK(pounds->rest == "lb");
    CHECK(leading_number("18/40 kg", Mark::point, false)->rest == "/40 kg");
    for (const char* text : {"1/0", "1/2/2024", "1 5/2", "1/2.5", "1,5/2"}) {
        INFO(text);
        CHECK_FALSE(whole(text, Mark::point));
    }
}

TEST_CASE("what follows a number stays") {
    CHECK(leading_number("0,28 per 22,5 kg", Mark::comma)->rest == "per 22,5 kg");
    CHECK(leading_number("25kg", Mark::point)->rest == "kg");
    CHECK(leading_number("2 500 per 50 kg", Mark::point)->value == 2500.0);
    CHECK(leading_number("2 500", Mark::point)->grouped);
    CHECK_FALSE(leading_number("2 500 g", Mark::point));
}

TEST_CASE("what the marks of a number say") {
    CHECK(mark_shape("12") == Shape::none);
    CHECK(mark_shape("0.28") == Shape::point);
    CHECK(mark_shape("0.285") == Shape::point);
    CHECK(mark_shape("12,5") == Shape::comma);
    CHECK(mark_shape("1234,567") == Shape::comma);
    CHECK(mark_shape("1,234") == Shape::maybe_comma);
    CHECK(mark_shape("12.500") == Shape::maybe_point);
    CHECK(mark_shape("1,234.5") == Shape::grouped_by_comma);
    CHECK(mark_shape("1.234.567") == Shape::grouped_by_point);
    CHECK(mark_shape("1.2.3") == Shape::none);
}

TEST_CASE("one decimal mark for a file") {
    CHECK(verdict({}) == Verdict::point);
    CHECK(verdict({"0.28", "1.234"}) == Verdict::point);
    CHECK(verdict({"0,28", "1,234"}) == Verdict::comma);
    CHECK(verdict({"1.234,5", "1.234"}) == Verdict::comma);
    CHECK(verdict({"0.28", "0,28"}) == Verdict::both);
    CHECK(verdict({"1,234"}) == Verdict::comma_either_way);
    CHECK(verdict({"1,234"}, true) == Verdict::comma_either_way);
    CHECK(verdict({"1.234"}) == Verdict::point_either_way);
    CHECK(verdict({"1.234"}, true) == Verdict::point);
    CHECK(verdict({"0.28", "1,234"}) == Verdict::comma_thousands_unsure);
    CHECK(verdict({"0.28", "1,234", "2,345.6"}) == Verdict::point);
    CHECK(verdict({"0,28", "1.234"}) == Verdict::point_thousands_unsure);
    CHECK(verdict({"18,50 per 22,5 kg"}) == Verdict::comma);
}

TEST_CASE("signs and codes of currencies") {
    const auto money = [](const char* text) {
        const WithoutCurrency found = without_currency(text);
        return found.currency + '|' + found.text + '|' + found.other;
    };
    CHECK(money("$0.30") == "$|0.30|");
    CHECK(money("\xE2\x82\xAC 0,28") == "EUR|0,28|");
    CHECK(money("0,28 \xE2\x82\xAC") == "EUR|0,28|");
    CHECK(money("USD 0.30") == "USD|0.30|");
    CHECK(money("0.30 usd/kg") == "USD|0.30   /kg|");
    CHECK(money("US$0.30") == "USD|0.30|");
    CHECK(money("$0.30 USD") == "USD|0.30|");
    CHECK(money("Rs.30") == "Rs|30|");
    CHECK(money("KSh 45") == "KES|45|");
    CHECK(money("oats") == "|oats|");
    CHECK(money("50 KGS") == "|50 KGS|");
    CHECK(money("top") == "|top|");
    CHECK(money("5$500") == "$|5  500|");
    CHECK(money("$0.30 EUR") == "$|0.30|EUR");
    CHECK(same_currency("$", "KES") == false);
    CHECK(same_currency("$", "AUD"));
    CHECK(clearer_currency("$", "AUD") == "AUD");
    CHECK(clearer_currency("AUD", "$") == "AUD");
}

TEST_CASE("a head is taken apart") {
    const auto parts = [](const char* text) {
        const Head head = take_apart(text);
        return head.words + '|' + head.currency + '|' + head.per + '|' + head.unit;
    };
    CHECK(parts("price") == "price|||");
    CHECK(parts("PRICE ($/lb)") == "price|$|lb|");
    CHECK(parts("Price [EUR/kg]") == "price|EUR|kg|");
    CHECK(parts("price per 50 kg bag") == "price||50 kg|");
    CHECK(parts("price per bag of 50kg") == "price||50 kg|");
    CHECK(parts("cost/lb") == "cost||lb|");
    CHECK(parts("price_usd_per_kg") == "price|USD|kg|");
    CHECK(parts("$ per short ton") == "|$|short ton|");
    CHECK(parts("Price per bag") == "price||bag|");
    CHECK(parts("amount (%)") == "amount|||%");
    CHECK(parts("amount, kg") == "amount|||kg");
    CHECK(parts("kg") == "|||kg");
    CHECK(parts("kg per bag") == "||bag|kg");
    CHECK(parts("Weight (lbs.)") == "weight|||lbs");
    CHECK(parts("price per 22,5 kg") == "price||22.5 kg|");
    CHECK(parts("price per 1,234 kg") == "price per 1,234|||kg");
    CHECK(plain_words(" Feed_Price\xC2\xA0") == "feed price");
}

TEST_CASE("packs") {
    CHECK(pack_of("50 kg", Mark::point) == "50 kg");
    CHECK(pack_of("50-KG bag", Mark::point) == "50 kg");
    CHECK(pack_of("bag of 22,5 kg", Mark::comma) == "22.5 kg");
    CHECK(pack_of("Lb.", Mark::point) == "lb");
    CHECK(pack_of("kg", Mark::point) == "kg");
    for (const char* text : {"", "bag", "50", "50 bushel", "kg kg", "0 kg", "-5 kg"}) {
        INFO(text);
        CHECK_FALSE(pack_of(text, Mark::point));
    }
}
