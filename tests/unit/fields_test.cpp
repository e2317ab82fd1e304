// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/fields.hpp"

#include "base/diagnostics.hpp"
#include "base/file.hpp"
#include "base/json.hpp"
#include "report/schemas.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <cstdlib>
#include <filesystem>
#include <set>
#include <string>
#include <vector>

// Results are described by their fields; the schemas that are shipped and docs/formats.md are held
// against that description.

namespace fs = std::filesystem;
namespace report = feedwright::report;

namespace {

struct Part {
    double kg = 0;
};

struct Whole {
    std::string name;
    std::string note;
    std::optional<double> price;
    bool odd = false;
    std::vector<Part> parts;
    std::optional<Part> best;
};

const report::Fields<Part>& part_fields() {
    static const report::Fields<Part> list{{"kg", &Part::kg, report::from_zero, "as fed"}};
    return list;
}

const report::Format<Whole>& format() {
    static const report::Format<Whole> whole{
        "whole",
        "A whole",
        {{"name", &Whole::name},
         {"note", report::if_any(&Whole::note)},
         {"price", &Whole::price},
         {"odd", report::if_any(&Whole::odd), report::when_true},
         {"half", report::when(&Whole::price, [](auto& of) { return *of.price / 2; })},
         {"parts", &Whole::parts, part_fields()},
         {"best", &Whole::best, part_fields()},
         {report::here, &Whole::best, part_fields()}}};
    return whole;
}

// The names of all properties that a schema describes, at any depth.
void gather(const feedwright::base::JsonValue& value, std::set<std::string>& names) {
    using Kind = feedwright::base::JsonValue::Kind;
    for (std::size_t i = 0; i < value.items.size(); ++i) {
        const bool properties = value.kind == Kind::object && value.keys[i] == "properties";
        if (properties) names.insert(value.items[i].keys.begin(), value.items[i].keys.end());
        gather(value.items[i], names);
    }
}

}  // namespace

TEST_CASE("fields: what is empty or false is left out") {
    const report::Run run{"feedwright", {"a.json"}, {{"scale", "1g"}}, false};
    CHECK(report::to_json(format(), {"x", "", {}, false, {}, {}}, run) ==
          "{\n"
          "  \"format\": \"feedwright-whole/1\",\n"
          "  \"program\": \"feedwright\",\n"
          "  \"name\": \"x\",\n"
          "  \"parts\": [],\n"
          "  \"inputs\": [\n    \"a.json\"\n  ],\n"
          "  \"settings\": {\n    \"scale\": \"1g\"\n  }\n"
          "}\n");
    const std::string full = report::to_json(format(), {"x", "n", 3, true, {{1.5}}, Part{2}}, run);
    for (const char* text : {"\"note\": \"n\"", "\"price\": 3,", "\"odd\": true", "\"half\": 1.5",
                             "\"best\": {\n    \"kg\": 2\n  },\n  \"kg\": 2"}) {
        CHECK_THAT(full, Catch::Contains(text));
    }
}

TEST_CASE("fields: the schema says type, meaning and what is always there") {
    const std::string schema = report::schema_of(format());
    for (const char* text :
         {"\"$id\": \"whole.schema.json\"", "\"const\": \"feedwright-whole/1\"",
          "\"odd\": {\n      \"const\": true", "\"description\": \"as fed\"", "\"minimum\": 0",
          "\"required\": [\n    \"format\",\n    \"program\",\n    \"name\",\n    \"parts\",\n"
          "    \"inputs\",\n    \"settings\"\n  ]"}) {
        CHECK_THAT(schema, Catch::Contains(text));
    }
}

// Writes them anew when FEEDWRIGHT_WRITE_SCHEMAS is set; read the difference before you commit it.
TEST_CASE("fields: the schemas in data/schema are those of the results") {
    for (const auto& [name, text] : report::schemas()) {
        const fs::path file =
            feedwright::test::source_folder() / "data/schema" / (name + ".schema.json");
        if (std::getenv("FEEDWRIGHT_WRITE_SCHEMAS") != nullptr) {
            feedwright::base::write_file(file.string(), text);
        }
        INFO(file);
        CHECK(feedwright::base::read_file(file.string()) == text);
    }
}

TEST_CASE("fields: docs/formats.md names every field of every result") {
    const std::string page = feedwright::base::read_file(
        (feedwright::test::source_folder() / "docs/formats.md").string());
    for (const auto& [name, text] : report::schemas()) {
        std::set<std::string> names;
        gather(feedwright::base::parse_json(text, name)->root, names);
        for (const std::string& field : names) {
            INFO(name << ": " << field);
            const bool told = page.find('`' + field + '`') != std::string::npos ||
                              page.find('"' + field + '"') != std::string::npos;
            CHECK(told);
        }
    }
}
