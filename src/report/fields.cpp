// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/fields.hpp"

#include "base/number.hpp"
#include "report/sections.hpp"

#include <set>

namespace feedwright::report {

Style as_number(int places) {
    return [places](double value) { return number_cell(value, places); };
}

Style as_percent(int places) {
    return [places](double value) {
        return Cell{base::fixed(value, places) + " %", value, Tone::plain};
    };
}

Style as_price(int places) {
    return [places](double value) { return price_cell(value, places); };
}

namespace inside {

namespace {

using base::JsonWriter;

void refer(JsonWriter& json, const std::string& name) {
    json.member("$ref", "common.schema.json#/$defs/" + name);
}

// Writes the members of an object that is open and gives the names of those always there. Parts of
// which one is there may have a name in common: it is written once.
struct Listing {
    JsonWriter& json;
    std::set<std::string> names = {};
    std::vector<std::string> required = {};

    void list(const std::vector<Member>& members, bool always);
};

void open_members(JsonWriter& json, const std::vector<Member>& members) {
    Listing listing{json};
    json.member("type", "object").key("properties").begin_object();
    listing.list(members, true);
    json.end_object();
    if (!listing.required.empty()) json.member("required", listing.required);
    json.member("additionalProperties", false);
}

void describe(JsonWriter& json, const Member& member) {
    const Form& form = member.form;
    if (*member.meaning != '\0') json.member("description", member.meaning);
    if (member.shape == Member::Shape::object) return open_members(json, member.members);
    if (member.shape == Member::Shape::list) {
        json.member("type", "array").key("items").begin_object();
        open_members(json, member.members);
        json.end_object();
    } else if (form.ref != nullptr || member.type.empty()) {
        refer(json, form.ref != nullptr ? form.ref : "words");
    } else if (form.only_true) {
        json.member("const", true);
    } else {
        json.member("type", member.type).member("minimum", form.least);
        json.member("exclusiveMinimum", form.above).member("maximum", form.most);
    }
}

void Listing::list(const std::vector<Member>& members, bool always) {
    for (const Member& member : members) {
        if (member.shape == Member::Shape::part) {
            list(member.members, always && member.always);
        } else if (names.insert(member.name).second) {
            json.key(member.name).begin_object();
            describe(json, member);
            json.end_object();
            if (always && member.always) required.push_back(member.name);
        }
    }
}

}  // namespace

void write_value(JsonWriter& json, const std::string& name, const Value& value) {
    const auto write = [&](const auto& v) {
        if constexpr (!std::is_same_v<std::decay_t<decltype(v)>, std::monostate>)
            json.member(name, v);
    };
    std::visit(write, value);
}

Cell cell_of(const Shown& column, const Value& value) {
    if (const double* number = std::get_if<double>(&value))
        return column.style ? column.style(*number) : Cell{base::shortest(*number), *number};
    const std::string* text = std::get_if<std::string>(&value);
    return text != nullptr ? text_cell(*text) : Cell{};
}

void begin_result(JsonWriter& json, const std::string& name, const Run& run) {
    json.begin_object().member("format", "feedwright-" + name + "/1");
    json.member("program", run.program);
}

std::string end_result(JsonWriter& json, const Run& run) {
    json.member("inputs", run.inputs).key("settings").begin_object();
    for (const auto& [name, value] : run.settings)
        json.member(name, value);
    return json.end_object().end_object().take();
}

std::string schema(const std::string& name, const std::string& title,
                   const std::vector<Member>& members,
                   const std::vector<std::string>& when_optimal) {
    JsonWriter json;
    Listing listing{.json = json, .required = {"format", "program"}};
    json.begin_object().member("$schema", "https://json-schema.org/draft/2020-12/schema");
    json.member("$id", name + ".schema.json").member("title", title).member("type", "object");
    json.key("properties").begin_object();
    json.key("format").begin_object().member("const", "feedwright-" + name + "/1").end_object();
    json.key("program").begin_object().member("type", "string").member("minLength", 1).end_object();
    listing.list(members, true);
    json.key("inputs").begin_object();
    refer(json, "words");
    json.end_object().key("settings").begin_object().member("type", "object");
    json.key("additionalProperties").begin_object().member("type", "string").end_object();
    json.end_object().end_object();
    listing.required.insert(listing.required.end(), {"inputs", "settings"});
    json.member("required", listing.required).member("additionalProperties", false);
    if (!when_optimal.empty()) {
        json.key("if").begin_object().key("properties").begin_object();
        json.key("status").begin_object().member("const", "optimal").end_object().end_object();
        json.end_object().key("then").begin_object();
        json.member("required", when_optimal).end_object();
    }
    return json.end_object().take();
}

}  // namespace inside

}  // namespace feedwright::report
