// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/result_as_recipe.hpp"

#include "base/json_writer.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <utility>
#include <vector>

namespace feedwright::job {

namespace {

using base::JsonValue;

// Members of a job that hold whatever the amounts are.
constexpr std::array kept{"species",        "total",        "system",    "fish_per_m2",
                          "dilute_percent", "limits",       "groups",    "ratios",
                          "proportions",    "replacements", "nutrients", "finished_moisture",
                          "sure_percent"};

// What an ingredient of a job is asked, beside what it is.
constexpr std::array asked_of_it{"price", "min", "max", "min_if_used", "stock_kg", "amount"};

const JsonValue* find(const JsonValue& object, std::string_view key) {
    for (std::size_t i = 0; i < object.keys.size(); ++i) {
        if (object.keys[i] == key) return &object.items[i];
    }
    return nullptr;
}

void put(JsonValue& object, std::string key, JsonValue value) {
    object.keys.push_back(std::move(key));
    object.items.push_back(std::move(value));
}

JsonValue text(std::string words) {
    JsonValue value;
    value.kind = JsonValue::Kind::string;
    value.string = std::move(words);
    return value;
}

JsonValue empty(JsonValue::Kind kind) {
    JsonValue value;
    value.kind = kind;
    return value;
}

bool has_text(const JsonValue* value, std::string_view words) {
    return value != nullptr && value->kind == JsonValue::Kind::string && value->string == words;
}

const JsonValue* own_ingredient(const JsonValue* asked, const JsonValue& id) {
    const JsonValue* list = asked == nullptr ? nullptr : find(*asked, "ingredients");
    if (list == nullptr) return nullptr;
    for (const JsonValue& item : list->items) {
        if (has_text(find(item, "id"), id.string)) return &item;
    }
    return nullptr;
}

// An ingredient of a mix as one of a job or recipe.
JsonValue ingredient_of(const JsonValue& item, const JsonValue* asked, bool recipe) {
    JsonValue ingredient = empty(JsonValue::Kind::object);
    ingredient.offset = item.offset;
    const JsonValue* id = find(item, "id");
    if (id == nullptr) return item;
    if (const JsonValue* own = own_ingredient(asked, *id)) {
        ingredient = *own;
    } else {
        put(ingredient, "id", *id);
    }
    if (const JsonValue* price = find(item, "price")) put(ingredient, "price", *price);
    if (!recipe) return ingredient;
    for (const char* amount : {"amount_kg", "grams", "percent"}) {
        if (const JsonValue* parts = find(item, amount)) {
            put(ingredient, "amount", *parts);
            break;
        }
    }
    return ingredient;
}

// Limits on several ingredients, of those that are in the mix.
JsonValue of_mix(std::string_view key, JsonValue list, const JsonValue& mix) {
    const auto there = [&](const std::string& id) {
        return std::any_of(mix.items.begin(), mix.items.end(),
                           [&](const JsonValue& item) { return has_text(find(item, "id"), id); });
    };
    const auto names_it = [&](const JsonValue& item, std::string_view member) {
        const JsonValue* id = find(item, member);
        return id != nullptr && there(id->string);
    };
    if (key == "groups") {
        for (JsonValue& group : list.items) {
            for (std::size_t i = 0; i < group.keys.size(); ++i) {
                if (group.keys[i] != "ingredients") continue;
                std::erase_if(group.items[i].items,
                              [&](const JsonValue& id) { return !there(id.string); });
            }
        }
        std::erase_if(list.items, [](const JsonValue& group) {
            const JsonValue* members = find(group, "ingredients");
            return members == nullptr || members->items.empty();
        });
    } else if (key == "replacements") {
        std::erase_if(list.items, [&](const JsonValue& item) {
            return !names_it(item, "ingredient") || !names_it(item, "of");
        });
    } else if (key == "proportions") {
        std::erase_if(list.items, [&](const JsonValue& item) {
            const JsonValue* parts = find(item, "parts");
            return parts == nullptr || !std::all_of(parts->keys.begin(), parts->keys.end(), there);
        });
    }
    return list;
}

// A list in an order of its own, so that the order in a file changes no byte of a result.
void sort_items(JsonValue& list) {
    if (list.kind != JsonValue::Kind::array) return;
    std::vector<std::pair<std::string, JsonValue>> items;
    for (JsonValue& item : list.items) {
        // The ingredients of a group have no order either.
        for (JsonValue& part : item.items)
            sort_items(part);
        base::JsonWriter json;
        base::write_value(json, item);
        items.emplace_back(json.take(), std::move(item));
    }
    std::stable_sort(items.begin(), items.end(),
                     [](const auto& a, const auto& b) { return a.first < b.first; });
    for (std::size_t i = 0; i < items.size(); ++i)
        list.items[i] = std::move(items[i].second);
}

}  // namespace

std::shared_ptr<const base::JsonDocument> read_as_asked(
    std::shared_ptr<const base::JsonDocument> document, bool recipe) {
    const JsonValue& result = document->root;
    const JsonValue* format = find(result, "format");
    const bool is_mix = has_text(format, "feedwright-mix/1");
    if (!is_mix && !has_text(format, "feedwright-weighing/1") &&
        !has_text(format, "feedwright-sheet/1")) {
        return document;
    }
    const JsonValue* mix = find(result, "mix");
    if (mix == nullptr || mix->items.empty()) {
        throw base::DataError(base::Diagnostic{document->file, "/mix", "a result without a mix",
                                               "one with a mix, to be read as a recipe", ""});
    }
    JsonValue root = empty(JsonValue::Kind::object);
    put(root, "format", text(recipe ? "feedwright-recipe/1" : "feedwright-job/1"));
    for (const char* key : {"title", "profile", "currency"}) {
        if (const JsonValue* value = find(result, key)) put(root, key, *value);
    }
    const JsonValue* asked = find(result, "asked");
    for (const char* key : kept) {
        const JsonValue* value = asked == nullptr ? nullptr : find(*asked, key);
        if (value != nullptr) put(root, key, of_mix(key, *value, *mix));
    }
    JsonValue ingredients = empty(JsonValue::Kind::array);
    for (const JsonValue& item : mix->items)
        ingredients.items.push_back(ingredient_of(item, asked, recipe));
    put(root, "ingredients", std::move(ingredients));
    auto read = std::make_shared<base::JsonDocument>(*document);
    read->root = std::move(root);
    return read;
}

std::string mix_table_of(const std::string& text) {
    constexpr std::string_view head = "# mix\n";
    const std::size_t begin = text.find(head);
    if (begin == std::string::npos || (begin > 0 && text[begin - 1] != '\n')) return text;
    const std::size_t end = text.find("\n\n", begin);
    // Lines before it become empty, so that those of the table keep their numbers.
    std::string table(static_cast<std::size_t>(std::count(
                          text.begin(), text.begin() + static_cast<std::ptrdiff_t>(begin), '\n')),
                      '\n');
    return table + text.substr(begin, end == std::string::npos ? end : end - begin + 1);
}

base::JsonValue asked_in(const JsonValue& root, const std::string& file) {
    JsonValue asked = empty(JsonValue::Kind::object);
    for (const char* key : kept) {
        const JsonValue* value = find(root, key);
        if (value == nullptr) continue;
        put(asked, key, *value);
        sort_items(asked.items.back());
    }
    JsonValue own = empty(JsonValue::Kind::array);
    if (const JsonValue* list = find(root, "ingredients")) {
        for (const JsonValue& item : list->items) {
            JsonValue one = empty(JsonValue::Kind::object);
            one.offset = item.offset;
            for (std::size_t i = 0; i < item.keys.size(); ++i) {
                const std::string& key = item.keys[i];
                if (std::find(asked_of_it.begin(), asked_of_it.end(), key) != asked_of_it.end())
                    continue;
                put(one, key, item.items[i]);
                if (key != "recipe") continue;
                namespace fs = std::filesystem;
                one.items.back().string =
                    fs::absolute(fs::path(file).parent_path() / item.items[i].string)
                        .lexically_normal()
                        .string();
            }
            // A name alone changes nothing of a library ingredient, but is the user's own.
            if (one.keys.size() > 1) own.items.push_back(std::move(one));
        }
    }
    sort_items(own);
    if (!own.items.empty()) put(asked, "ingredients", std::move(own));
    return asked;
}

void keep_moisture(Job& job) {
    job.asked.kind = JsonValue::Kind::object;
    if (!job.finished_moisture) return;
    JsonValue moisture = empty(JsonValue::Kind::number);
    moisture.number = *job.finished_moisture;
    for (std::size_t i = 0; i < job.asked.keys.size(); ++i) {
        if (job.asked.keys[i] != "finished_moisture") continue;
        job.asked.items[i] = std::move(moisture);
        return;
    }
    put(job.asked, "finished_moisture", std::move(moisture));
}

}  // namespace feedwright::job
