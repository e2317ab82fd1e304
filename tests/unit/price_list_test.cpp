// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/price_list.hpp"

#include "base/units.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <map>
#include <string>

using namespace feedwright;
using Prices = std::map<std::string, double>;

namespace {

job::PriceList list_of(const std::string& text) {
    const test::TempFolder folder;
    auto list = job::read_price_list(folder.write("prices.csv", text));
    list.problems.throw_if_any();
    return list;
}

Prices prices_of(const job::PriceList& list) {
    Prices prices;
    for (const job::PricedIngredient& row : list.rows)
        prices[row.ingredient] = row.price;
    return prices;
}

job::PriceList shown(const std::string& name) {
    auto list = job::read_price_list((test::source_folder() / "tests/tables" / name).string());
    list.problems.throw_if_any();
    return list;
}

double per(const char* text) {
    return *base::parse_price_per_kg(text);
}

}  // namespace

TEST_CASE("price lists as spreadsheets write them") {
    CHECK(prices_of(shown("decimal-comma.csv")) == Prices{{"maize", 0.3}});
    CHECK(prices_of(shown("semicolons.csv")) == Prices{{"maize", 0.3}});
    CHECK(shown("column-maximum.csv").rows.at(0).max == 10.0);
    const auto dollars = shown("currency.csv");
    CHECK(prices_of(dollars) == Prices{{"maize", 0.3}, {"soybean-meal-44", 0.5}});
    CHECK(dollars.reading.currency == "$");
}

TEST_CASE("a grower's list with a byte order mark, semicolons, euros and empty rows") {
    const auto list = shown("grower-euros.csv");
    CHECK(prices_of(list) == Prices{{"Wheat bran", 0.28},
                                    {"Soybean meal", 0.6},
                                    {"Rice bran", 0.25},
                                    {"Dried duckweed", 0.3},
                                    {"Black soldier fly larvae", 1.2},
                                    {"Maize", 0.32},
                                    {"Fish meal", 1.8},
                                    {"Vitamin premix", 3.5},
                                    {"Eggshell", 0.05}});
    CHECK(list.reading.currency == "EUR");
    CHECK(list.reading.mark == base::DecimalMark::comma);
    CHECK(list.reading.separator == ';');
    CHECK(list.reading.aside.empty());
    CHECK(list.reading.rows == 9);
}

TEST_CASE("a grower's list in dollars per pound") {
    const auto list = shown("grower-pounds.csv");
    REQUIRE(list.rows.size() == 9);
    CHECK(list.rows[0].price == per("0.13 per lb"));
    CHECK(list.rows[1].price == per("0.28 per lb"));
    CHECK(list.rows[8].ingredient == "Limestone");
    CHECK(list.rows[8].price == per("0.08 per lb"));
    CHECK(list.reading.per == "lb");
    CHECK(list.reading.currency == "$");
}

TEST_CASE("units of prices in heads, cells and columns") {
    const auto price = [](const std::string& text) { return list_of(text).rows.at(0).price; };
    CHECK(price("ingredient,price per 50 kg bag\nmaize,16\n") == per("16 per 50 kg"));
    CHECK(price("ingredient,USD/t\nmaize,320\n") == per("320 per t"));
    CHECK(price("ingredient,price (kg)\nmaize,0.3\n") == 0.3);
    CHECK(price("ingredient,price,unit\nmaize,16,50 kg bag\n") == per("16 per 50 kg"));
    CHECK(price("ingredient,price,unit\nmaize,16,per 50kg\n") == per("16 per 50 kg"));
    CHECK(price("ingredient,price,unit\nmaize,0.3,KG\n") == 0.3);
    CHECK(price("ingredient,price per bag,bag (kg)\nmaize,16,50\n") == per("16 per 50 kg"));
    CHECK(price("ingredient,price per bag,bag size\nmaize,16,50 lb\n") == per("16 per 50 lb"));
    CHECK(price("ingredient;price;unit\nmaize;16,5;22,5 kg\n") == per("16.5 per 22.5 kg"));
    CHECK(price("ingredient,price\nmaize,1 1/2\n") == 1.5);
    CHECK(price("ingredient,price\nmaize,1/2 per lb\n") == per("0.5 per lb"));
    CHECK(price("ingredient,price\nmaize,18/40 kg\n") == per("18 per 40 kg"));
    CHECK(price("ingredient,price\nmaize,\"KSh 1,250.00 per 50 kg\"\n") == per("1250 per 50 kg"));
    CHECK(price("ingredient,price,stock (kg)\nmaize,0.3,500\n") == 0.3);
    CHECK(price("ingredient,price,remarks\nmaize,0.3,per kg\n") == 0.3);
    CHECK(price("ingredient,price per kg,bag (kg)\nmaize,0.3,50\n") == 0.3);
}

TEST_CASE("what a price is for is asked where it is not certain") {
    const auto says = [](const std::string& text) -> std::string {
        try {
            list_of(text);
        } catch (const base::DataError& error) {
            return error.what();
        }
        return {};
    };
    const std::string certain = "expected prices whose unit is certain";
    CHECK(says("ingredient,price,bag (kg)\nmaize,16,50\n").find(certain) != std::string::npos);
    CHECK(says("ingredient,price,note\nmaize,16,\"bag, 50 kg\"\n").find(certain) !=
          std::string::npos);
    CHECK(says("ingredient,price,,stock\nmaize,16,lb,3\n").find(certain) != std::string::npos);
    CHECK(says("ingredient,price,weight\nmaize,16,50\n").find(certain) != std::string::npos);
    CHECK(says("ingredient,price,unit\nmaize,16,bag\n").find("unknown weight") !=
          std::string::npos);
    CHECK(says("ingredient,price,unit\nmaize,16,each\n").find("found \"each\"") !=
          std::string::npos);
}
