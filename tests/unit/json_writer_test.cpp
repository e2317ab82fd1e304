// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/json_writer.hpp"

#include "base/diagnostics.hpp"
#include "base/json.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <limits>

using namespace feedwright;
using namespace feedwright::base;

TEST_CASE("indented JSON") {
    JsonWriter json;
    json.begin_object();
    json.member("format", "x/1").member("n", 0.1).member("i", 3).member("yes", true);
    json.key("list").begin_array().value(1).value("two").end_array();
    json.key("empty").begin_array().end_array();
    json.key("none").begin_object().end_object();
    json.member("names", std::vector<std::string>{"a", "b"});
    json.end_object();
    CHECK(json.take() == R"({
  "format": "x/1",
  "n": 0.1,
  "i": 3,
  "yes": true,
  "list": [
    1,
    "two"
  ],
  "empty": [],
  "none": {},
  "names": [
    "a",
    "b"
  ]
}
)");
}

TEST_CASE("JSON on one line") {
    JsonWriter json(0);
    json.begin_object().member("a", 1).key("b").begin_array().begin_object().end_object().value(
        -0.0);
    json.end_array().end_object();
    CHECK(json.take() == R"({"a":1,"b":[{},0]})");
}

TEST_CASE("absent optionals leave their key out") {
    JsonWriter json(0);
    json.begin_object();
    json.member("a", std::optional<double>{}).member("b", std::optional<double>{2.5});
    json.member("c", std::optional<std::string>{}).member("d", std::optional<std::string>{"x"});
    json.end_object();
    CHECK(json.take() == R"({"b":2.5,"d":"x"})");
}

TEST_CASE("texts are escaped and read back") {
    const std::string text = "q\" b\\ nl\n tab\t cr\r \x01\x1f µ鱼 /";
    JsonWriter json(0);
    json.value(text);
    const std::string out = json.take();
    CHECK(out == "\"q\\\" b\\\\ nl\\n tab\\t cr\\r \\u0001\\u001f µ鱼 /\"");
    CHECK(parse_json(out, "f")->root.string == text);
}

TEST_CASE("a number that is not finite is an error, never null") {
    for (const double bad : {std::nan(""), std::numeric_limits<double>::infinity()}) {
        JsonWriter json;
        json.begin_array();
        CHECK_THROWS_AS(json.value(bad), Error);
    }
}

TEST_CASE("a writer can be used again after take") {
    JsonWriter json(0);
    json.begin_object().end_object();
    CHECK(json.take() == "{}");
    json.begin_object().member("a", 1).end_object();
    CHECK(json.take() == R"({"a":1})");
}
