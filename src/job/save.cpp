// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/save.hpp"

#include "base/diagnostics.hpp"
#include "base/file.hpp"
#include "base/json.hpp"
#include "base/json_writer.hpp"
#include "job/meant.hpp"

#include <algorithm>
#include <utility>

namespace feedwright::job {

namespace {

using base::JsonValue;

JsonValue of(std::string text) {
    JsonValue value;
    value.kind = JsonValue::Kind::string;
    value.string = std::move(text);
    return value;
}

JsonValue of(double number) {
    JsonValue value;
    value.kind = JsonValue::Kind::number;
    value.number = number;
    return value;
}

JsonValue empty(JsonValue::Kind kind) {
    JsonValue value;
    value.kind = kind;
    return value;
}

JsonValue& member(JsonValue& object, const std::string& key) {
    const auto at = std::find(object.keys.begin(), object.keys.end(), key);
    if (at != object.keys.end()) {
        return object.items[static_cast<std::size_t>(at - object.keys.begin())];
    }
    object.keys.push_back(key);
    return object.items.emplace_back();
}

void set(JsonValue& object, const std::string& key, const std::optional<double>& number) {
    if (number) member(object, key) = of(*number);
}

void set(JsonValue& object, const std::string& key, const std::string& text) {
    if (!text.empty()) member(object, key) = of(text);
}

JsonValue& entry_of(JsonValue& ingredients, const std::string& id, const Job& job,
                    catalog::Library& library) {
    for (JsonValue& entry : ingredients.items) {
        if (meant_by(job, library, member(entry, "id").string, false).id == id) return entry;
    }
    JsonValue& entry = ingredients.items.emplace_back(empty(JsonValue::Kind::object));
    set(entry, "id", id);
    return entry;
}

bool is_changed(const Choice& choice, const ReadOptions& options, bool made_of_list, const Job& job,
                catalog::Library& library) {
    const auto names_it = [&](const auto& one) {
        return meant_by(job, library, one.ingredient, true).id == choice.id;
    };
    return made_of_list ||
           (options.prices &&
            std::any_of(options.prices->rows.begin(), options.prices->rows.end(), names_it)) ||
           std::any_of(options.with.begin(), options.with.end(), names_it) ||
           std::any_of(options.amounts.begin(), options.amounts.end(), names_it);
}

}  // namespace

std::string as_file(const Job& job, const ReadOptions& options, catalog::Library& library) {
    if (job.file == "-") {
        throw base::DataError(base::Diagnostic{"", "--save", "a job from standard input",
                                               "a job file, or --for with --prices",
                                               "Standard input can be read once only"});
    }
    const bool made_of_list = options.prices && job.file == options.prices->file;
    JsonValue root = empty(JsonValue::Kind::object);
    if (made_of_list) {
        set(root, "format", "feedwright-job/1");
    } else {
        root = base::parse_json(base::read_file(job.file), job.file)->root;
    }
    set(root, "profile", options.profile.value_or(""));
    set(root, "currency", job.currency);
    set(root, "batch_kg", options.batch_kg);
    set(root, "finished_moisture", options.finished_moisture);
    set(root, "sure_percent", options.sure_percent);
    set(root, "dilute_percent", options.dilute_percent);
    if (options.fish_per_m2) {
        set(root, "system", "pond");
        set(root, "fish_per_m2", options.fish_per_m2);
    }
    JsonValue& ingredients = member(root, "ingredients");
    ingredients.kind = JsonValue::Kind::array;
    for (const Choice& choice : job.ingredients) {
        if (!is_changed(choice, options, made_of_list, job, library)) continue;
        JsonValue& entry = entry_of(ingredients, choice.id, job, library);
        set(entry, "price", choice.price);
        set(entry, "min", choice.min);
        set(entry, "max", choice.max);
        set(entry, "stock_kg", choice.stock_kg);
    }
    base::JsonWriter json;
    base::write_value(json, root);
    return json.take();
}

}  // namespace feedwright::job
