// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/json.hpp"

#include "support/catch.hpp"

using namespace feedwright::base;

namespace {

JsonView view(const std::string& text, Diagnostics& problems) {
    return {parse_json(text, "f.json"), problems};
}

}  // namespace

TEST_CASE("parse_json builds the tree in the order of the text") {
    Diagnostics problems;
    const JsonView root =
        view(R"({"b": 1, "a": [true, null, "x\u00b5\n", -0.5e1, 12345678901234567890], "o": {}})",
             problems);
    CHECK(root.value().keys == std::vector<std::string>{"b", "a", "o"});
    CHECK(root.number("b") == 1.0);
    const auto items = root.array("a");
    REQUIRE(items.size() == 5);
    CHECK(items[0].as_bool() == true);
    CHECK(items[1].value().kind == JsonValue::Kind::null);
    CHECK(items[2].as_string() == "xµ\n");
    CHECK(items[3].as_number() == -5.0);
    CHECK(items[4].as_number() == 12345678901234567890.0);
    CHECK(root.required("o")->is_object());
    CHECK(problems.empty());
}

TEST_CASE("parse_json takes a byte order mark and any single value") {
    Diagnostics problems;
    CHECK(view("\xEF\xBB\xBF 12 ", problems).as_number() == 12.0);
    CHECK(view("\"x\"", problems).as_string() == "x");
    CHECK(view("-7", problems).as_number() == -7.0);
}

TEST_CASE("text that is not sound JSON is refused with line and reason") {
    const auto refused = [](const std::string& text, const char* place, const char* part) {
        INFO(text);
        try {
            parse_json(text, "f.json");
            FAIL_CHECK("accepted");
        } catch (const DataError& error) {
            REQUIRE(error.list().size() == 1);
            CHECK(error.list()[0].file == "f.json");
            CHECK(error.list()[0].place == place);
            CHECK_THAT(error.what(), Catch::Contains(part));
        }
    };
    refused("", "line 1", "an empty file");
    refused("  \n ", "line 1", "an empty file");
    refused("{\"a\": 1\n", "line 2", "end of the file");
    refused("{\"a\": \"open", "line 1", "end of the file");
    refused("{\n\"a\": NaN}", "line 2, column 6", "found NaN; expected a number");
    refused("{\n\"a\": Infinity}", "line 2, column 6", "found Infinity; expected a number");
    refused("{\n\"a\": -Infinity}", "line 2, column 6", "found -Infinity; expected a number");
    refused("{\n\n\"a\": 1e999}", "line 3", "1e999");
    refused("{\n\n\"a\": -1e999\n}", "line 3", "-1e999");
    refused("{\n\n\"a\": 1.5e20\n}", "line 3", "1.5e+20");
    refused("{\"a\": 0,52}", "line 1, column 7", "found 0,52; expected one number");
    refused("{\"a\": 1,}", "line 1, column 8", "a comma before }");
    refused("[1,\n]", "line 1, column 3", "a comma before ]");
    refused("{'a': 1}", "line 1, column 2", "a single quote");
    refused("{\"µ\": 'a'}", "line 1, column 7", "a single quote");
    refused("{\"a\": 1} // comment", "line 1, column 10", "a comment");
    refused("{\"a\": 1} # comment", "line 1, column 10", "a comment");
    refused("{\"a\": 1} {}", "line 1, column 10", "nothing after the last bracket");
    refused("{\"a\": 01}", "line 1, column 7", "found 01; expected a number such as");
    refused("{\"a\": +1}", "line 1, column 7", "found +1; expected a number such as");
    refused("{\"a\": .5}", "line 1, column 7", "found .5; expected a number such as");
    refused("{\"a\": 1 \"b\": 2}", "line 1, column 9", "found \"b\"; expected , or }");
    refused("[\"a\" 2]", "line 1, column 6", "found 2; expected , or ]");
    refused("{\"a\" 2}", "line 1, column 6", "found 2; expected : after the key");
    refused("{a: 2}", "line 1, column 2", "found a; expected a key in double quotes");
    refused("{\"a\": yes}", "line 1, column 7", "found yes; expected a value");
    refused("{\"a\": True}", "line 1, column 7", "small letters");
    refused("{\"a\": }", "line 1, column 7", "found }; expected a value");
    refused("{\"a\": \"x\ny\"}", "line 1, column 9", "the end of the line inside a text");
    refused("{\"a\": \"x\ty\"}", "line 1, column 9", "the control character \\t in a text");
    refused("{\"a\": \"\\x\"}", "line 1, column 9", "a broken \\ sequence");
    refused("{\"a\": \"\\ud800\"}", "line 1, column 14", "a broken \\ sequence");
    refused("{\n\"a\": 1,\n\"a\": 2}", "line 3", "\"a\" twice");
    refused("{\"x\": [{\"a\": 1, \"b\": 2, \"a\": 3}]}", "line 1", "\"a\" twice");
    refused("[1,\n\"caf\xE9\"]", "line 2", "UTF-8");
}

TEST_CASE("nesting is limited long before the stack is") {
    const auto nested = [](std::size_t depth) {
        return std::string(depth, '[') + std::string(depth, ']');
    };
    CHECK_NOTHROW(parse_json(nested(64), "f"));
    CHECK_THROWS_WITH(parse_json(nested(65), "f"), Catch::Contains("64 deep"));
    CHECK_THROWS_AS(parse_json(std::string(1000000, '['), "f"), DataError);
    std::string objects;
    for (int i = 0; i < 100; ++i)
        objects += "{\"a\":";
    CHECK_THROWS_WITH(parse_json(objects, "f"), Catch::Contains("64 deep"));
}

TEST_CASE("the same key in different objects is no repetition") {
    CHECK_NOTHROW(parse_json(R"([{"a": 1}, {"a": {"a": 2}}])", "f"));
}

TEST_CASE("places name the line and the pointer") {
    Diagnostics problems;
    const JsonView root =
        view("{\n  \"limits\": [\n    {\"min\":\n 120},\n {\"min\": \"x\"}\n  ]\n}", problems);
    CHECK(root.place() == "line 1");
    const auto limits = root.array("limits");
    REQUIRE(limits.size() == 2);
    CHECK(limits[0].place() == "line 3, /limits/0");
    CHECK(limits[0].required("min")->place() == "line 4, /limits/0/min");
    CHECK(limits[0].required("min")->shown() == "120");
    CHECK(limits[1].required("min")->place() == "line 5, /limits/1/min");
    CHECK(limits[1].required("min")->shown() == "\"x\"");
}

TEST_CASE("a wrong kind is a problem, an absent member is not") {
    Diagnostics problems;
    const JsonView root =
        view(R"({"n": "0,52", "s": 3, "f": 1, "a": {}, "o": [], "l": ["x", 2]})", problems);
    CHECK_FALSE(root.number("absent"));
    CHECK_FALSE(root.string("absent"));
    CHECK_FALSE(root.flag("absent"));
    CHECK(root.array("absent").empty());
    CHECK_FALSE(root.has("absent"));
    CHECK(root.has("n"));
    CHECK(problems.empty());

    CHECK_FALSE(root.number("n"));
    REQUIRE(problems.list().size() == 1);
    CHECK(problems.list()[0].text() ==
          "f.json: line 1, /n: found \"0,52\"; expected a number without quotes. "
          "Write a decimal point, not a comma.");
    CHECK_FALSE(root.string("s"));
    CHECK_FALSE(root.flag("f"));
    CHECK(root.array("a").empty());
    CHECK(root.required("o")->members().empty());
    CHECK(root.strings("l") == std::vector<std::string>{"x"});
    CHECK_FALSE(root.required("gone"));
    CHECK(problems.list().size() == 7);
    CHECK_THROWS_AS(problems.throw_if_any(), DataError);
}

TEST_CASE("members come in file order") {
    Diagnostics problems;
    const auto members = view(R"({"z": 1, "a": 2})", problems).members();
    REQUIRE(members.size() == 2);
    CHECK(members[0].first == "z");
    CHECK(members[1].second.as_number() == 2.0);
    CHECK(members[1].second.place() == "line 1, /a");
}

TEST_CASE("unknown keys come with the nearest known one") {
    Diagnostics problems;
    view(R"({"price": 1, "prize": 2})", problems).allow_only({"price", "min"});
    REQUIRE(problems.list().size() == 1);
    CHECK(problems.list()[0].text() ==
          "f.json: line 1, /prize: found the unknown key \"prize\"; expected one of price or min. "
          "Did you mean \"price\"?");
    view("[]", problems).allow_only({"price"});
    CHECK(problems.list().size() == 2);
}

TEST_CASE("the format line is checked") {
    Diagnostics problems;
    CHECK(view(R"({"format": "x/1"})", problems).require_format("x/1"));
    CHECK(problems.empty());
    CHECK_FALSE(view(R"({"format": "x/2"})", problems).require_format("x/1"));
    CHECK_FALSE(view(R"({"format": 1})", problems).require_format("x/1"));
    CHECK_FALSE(view(R"({})", problems).require_format("x/1"));
    CHECK_FALSE(view(R"([])", problems).require_format("x/1"));
    CHECK(problems.list().size() == 4);
}

TEST_CASE("number_within keeps to its range") {
    Diagnostics problems;
    const JsonView root = view(R"({"low": -1, "mid": 100, "high": 100.5})", problems);
    CHECK(root.number_within("mid", 0, 100, "percent") == 100.0);
    CHECK_FALSE(root.number_within("absent", 0, 100, "percent"));
    CHECK(problems.empty());
    CHECK_FALSE(root.number_within("low", 0, 100, "percent"));
    CHECK_FALSE(root.number_within("high", 0, 100, "percent of the mix"));
    REQUIRE(problems.list().size() == 2);
    CHECK_THAT(problems.list()[1].text(), Catch::Contains("found 100.5") &&
                                              Catch::Contains("percent of the mix from 0 to 100"));
}
