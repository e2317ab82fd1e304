// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/json_writer.hpp"
#include "report/results.hpp"

#include <functional>
#include <optional>
#include <string>
#include <type_traits>
#include <utility>
#include <variant>
#include <vector>

// A result is described once: a list of its fields, each with its name, what it means, and how it
// is got from the result. The JSON, the schema of data/schema and the columns of tables follow.
namespace feedwright::report {

/// What a schema says of a number or a text, beside its type.
struct Form {
    const char* ref = nullptr;  ///< in place of the type: one of the $defs of common.schema.json
    std::optional<double> least = {};
    std::optional<double> above = {};
    std::optional<double> most = {};
    bool only_true = false;
};
inline constexpr Form anything{};
inline constexpr Form from_zero{.least = 0};
inline constexpr Form above_zero{.above = 0};
inline constexpr Form share{.least = 0, .most = 100.000001};  ///< percent, with room for rounding
inline constexpr Form when_true{.only_true = true};
inline constexpr Form kebab{.ref = "kebab"};
inline constexpr Form kebabs{.ref = "kebabs"};  ///< a list of them
inline constexpr Form snake{.ref = "snake"};

/// What a field holds; nothing where an optional is empty.
using Value = std::variant<std::monostate, bool, double, std::string, std::vector<std::string>>;

/// A field as a schema sees it.
struct Member {
    enum class Shape { value, object, list, part };
    std::string name;
    const char* meaning = "";
    Form form = {};
    Shape shape = Shape::value;
    std::string type = {};  ///< of a value: number, integer, boolean, string; "" is a list of texts
    bool always = true;
    std::vector<Member> members = {};
};

template <class T>
struct Field;
template <class T>
using Fields = std::vector<Field<T>>;

/// Writes the fields of `of` into the object that is open.
template <class T>
void write_fields(base::JsonWriter& json, const Fields<T>& fields, const T& of);

/// The name of a part whose fields stand among those of the whole.
inline constexpr const char* here = "";

namespace inside {

template <class V>
struct Plain {  // V without optional, pointer or list around it
    using Type = V;
    static constexpr bool always = true;
    static constexpr bool list = false;
};
template <class V>
struct Plain<std::optional<V>> : Plain<V> {
    static constexpr bool always = false;
};
template <class V>
struct Plain<const V*> : Plain<V> {
    static constexpr bool always = false;
};
template <class V>
struct Plain<std::vector<V>> : Plain<V> {
    static constexpr bool list = true;
};
template <>
struct Plain<const char*> : Plain<std::string> {};

template <class V>
std::string type_name() {
    if constexpr (std::is_same_v<V, bool>) return "boolean";
    if constexpr (std::is_integral_v<V>) return "integer";
    return std::is_floating_point_v<V> ? "number" : "string";
}

template <class V>
Value value_of(const V& v) {
    if constexpr (std::is_same_v<V, bool> || std::is_same_v<V, std::vector<std::string>>) {
        return v;
    } else if constexpr (std::is_arithmetic_v<V>) {
        return static_cast<double>(v);
    } else {
        return std::string(v);
    }
}
template <class V>
Value value_of(const std::optional<V>& v) {
    return v ? value_of(*v) : Value{};
}

template <class U>
void write_object(base::JsonWriter& json, const Fields<U>& fields, const U& value) {
    json.begin_object();
    write_fields<U>(json, fields, value);
    json.end_object();
}

// `value` is a U, a list of them, or an optional or pointer to one of these.
template <class V, class U>
void write_members(base::JsonWriter& json, const std::string& name, const Fields<U>& fields,
                   const V& value) {
    if constexpr (std::is_same_v<V, std::vector<U>>) {
        json.key(name).begin_array();
        for (const U& item : value)
            write_object(json, fields, item);
        json.end_array();
    } else if constexpr (std::is_convertible_v<const V&, const U&>) {
        if (name.empty()) return write_fields<U>(json, fields, value);
        json.key(name);
        write_object<U>(json, fields, value);
    } else {
        if (value) write_members(json, name, fields, *value);
    }
}

std::vector<Member> members_of(const auto& fields) {
    std::vector<Member> list;
    for (const auto& field : fields)
        list.push_back(field.member);
    return list;
}

void write_value(base::JsonWriter& json, const std::string& name, const Value& value);

}  // namespace inside

/// One field of T. `get` is a member of T or a function of it; what that gives says the type, and
/// a field whose optional or pointer is empty is left out.
template <class T>
struct Field {
    /// A number, flag, text or list of texts.
    template <class Get>
    Field(std::string name, Get get, Form form = {}, const char* meaning = "")
        : member{std::move(name), meaning, form},
          value([get](const T& of) { return inside::value_of(std::invoke(get, of)); }) {
        using Plain = inside::Plain<std::decay_t<std::invoke_result_t<Get, const T&>>>;
        member.type = Plain::list ? "" : inside::type_name<typename Plain::Type>();
        member.always = Plain::always;
    }
    /// An object, or a list of them, with fields of its own.
    template <class Get, class U>
    Field(std::string name, Get get, const Fields<U>& fields, const char* meaning = "")
        : member{std::move(name), meaning},
          write([get, name = member.name, fields](base::JsonWriter& json, const T& of) {
              inside::write_members(json, name, fields, std::invoke(get, of));
          }) {
        using Plain = inside::Plain<std::decay_t<std::invoke_result_t<Get, const T&>>>;
        member.shape = member.name.empty() ? Member::Shape::part
                       : Plain::list       ? Member::Shape::list
                                           : Member::Shape::object;
        member.always = Plain::always;
        member.members = inside::members_of(fields);
    }

    Member member;
    std::function<Value(const T&)> value;                    ///< of a field without fields
    std::function<void(base::JsonWriter&, const T&)> write;  ///< of one with them
};

template <class T>
void write_fields(base::JsonWriter& json, const Fields<T>& fields, const T& of) {
    for (const Field<T>& field : fields) {
        if (field.write) {
            field.write(json, of);
        } else {
            inside::write_value(json, field.member.name, field.value(of));
        }
    }
}

/// `get`, but empty where that gives false, an empty text or an empty list.
template <class Get>
auto if_any(Get get) {
    return [get](const auto& of) {
        auto value = std::invoke(get, of);
        bool any = false;
        if constexpr (std::is_same_v<decltype(value), bool>) {
            any = value;
        } else {
            any = !value.empty();
        }
        return any ? std::optional(std::move(value)) : std::nullopt;
    };
}

/// `get`, but empty where `holds` does not.
template <class Holds, class Get>
auto when(Holds holds, Get get) {
    return [holds, get](const auto& of) {
        return static_cast<bool>(std::invoke(holds, of)) ? std::optional(std::invoke(get, of))
                                                         : std::nullopt;
    };
}

/// What `get` points to, which is always there.
template <class Get>
auto part_of(Get get) {
    return [get](const auto& of) -> decltype(auto) { return *get(of); };
}

/// Those of `fields` that are named, in their order.
template <class T>
Fields<T> only(const Fields<T>& fields, const std::vector<std::string>& names) {
    Fields<T> some;
    for (const Field<T>& field : fields) {
        for (const std::string& name : names)
            if (field.member.name == name) some.push_back(field);
    }
    return some;
}

/// How a number is shown in a table.
using Style = std::function<Cell(double)>;
Style as_number(int places);
Style as_percent(int places);  ///< "12.5 %"
Style as_price(int places = 4);

/// A column of a table: a field under a heading. Without a style it is a text.
struct Shown {
    std::string header;
    std::string field;
    Style style = {};
    std::string key = {};  ///< of CSV, where that is not the field's name
};

namespace inside {
Cell cell_of(const Shown& column, const Value& value);
}

/// A table of the fields that `columns` name, a row for each of `rows`.
template <class T>
Table table_of(std::string key, const Fields<T>& fields, const std::vector<T>& rows,
               const std::vector<Shown>& columns) {
    Table table{std::move(key), {}};
    table.rows.resize(rows.size());
    for (const Shown& column : columns) {
        table.columns.push_back({column.header, column.style ? Align::right : Align::left,
                                 column.key.empty() ? column.field : column.key});
        const Field<T> field = only(fields, {column.field}).at(0);
        for (std::size_t i = 0; i < rows.size(); ++i)
            table.rows[i].push_back(inside::cell_of(column, field.value(rows[i])));
    }
    return table;
}

/// A result as it stands in a file of its own: feedwright-NAME/1. The format, the program, the
/// files it read and its settings stand around the fields.
template <class T>
struct Format {
    std::string name;
    std::string title;
    Fields<T> fields;
    std::vector<std::string> when_optimal = {};  ///< those that are there with such a status
};

namespace inside {
void begin_result(base::JsonWriter& json, const std::string& name, const Run& run);
std::string end_result(base::JsonWriter& json, const Run& run);
std::string schema(const std::string& name, const std::string& title,
                   const std::vector<Member>& members,
                   const std::vector<std::string>& when_optimal);
}  // namespace inside

template <class T>
std::string to_json(const Format<T>& format, const T& result, const Run& run) {
    base::JsonWriter json;
    inside::begin_result(json, format.name, run);
    write_fields(json, format.fields, result);
    return inside::end_result(json, run);
}

/// A JSON Schema, 2020-12, of the format: data/schema/NAME.schema.json.
template <class T>
std::string schema_of(const Format<T>& format) {
    return inside::schema(format.name, format.title, inside::members_of(format.fields),
                          format.when_optimal);
}

}  // namespace feedwright::report
