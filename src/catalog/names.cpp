// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/names.hpp"

#include "base/json.hpp"
#include "base/text.hpp"

#include <algorithm>
#include <array>
#include <set>
#include <utility>

namespace feedwright::catalog {

namespace {

using base::JsonView;

// A question with more answers than this helps nobody.
constexpr std::size_t most_asked = 8;

// Words of one meaning in the English of the trade; the second is the one that counts here.
constexpr std::array same_words{
    std::pair{"corn", "maize"},       std::pair{"peanut", "groundnut"},
    std::pair{"soya", "soybean"},     std::pair{"soy", "soybean"},
    std::pair{"alfalfa", "lucerne"},  std::pair{"manioc", "cassava"},
    std::pair{"flaxseed", "linseed"}, std::pair{"dry", "dried"},
};

// Written as one word or as two.
constexpr std::array joined_words{
    std::pair{"fishmeal", "fish meal"},
    std::pair{"bonemeal", "bone meal"},
    std::pair{"soyabean", "soybean"},
    std::pair{"ricebran", "rice bran"},
};

// What is done to a feed that leaves it what it is.
constexpr std::array size_words{"cracked", "crushed", "ground", "kibbled", "milled"};

// Words that say what kind of feed it is: a suggestion keeps them.
const std::set<std::string>& kinds_of_feed() {
    static const std::set<std::string> kinds{
        "bran",  "cake", "flour", "hull",  "husk",   "leaf",   "meal", "oil",      "straw",
        "fresh", "root", "peel",  "grain", "larvae", "premix", "salt", "phosphate"};
    return kinds;
}

// The same word, but for a slip of the finger: one in a word of four letters, two in longer ones.
bool is_near(std::string_view word, std::string_view other) {
    const std::size_t slips = word.size() < 4 ? 0 : word.size() == 4 ? 1 : 2;
    return base::edit_distance(word, other) <= slips;
}

// The kind of feed that a mistyped word means, or the word itself.
std::string kind_meant(const std::string& word) {
    const auto& kinds = kinds_of_feed();
    const auto kind = std::find_if(kinds.begin(), kinds.end(), [&](const std::string& one) {
        return base::edit_distance(word, one) <= 1;
    });
    return kind == kinds.end() ? word : *kind;
}

// The words of a name, in order of the alphabet.
std::vector<std::string> words_of(std::string_view text) {
    std::string plain = base::lower(text);
    for (char& c : plain) {
        if (std::string_view("-_,.()/%'").find(c) != std::string_view::npos) c = ' ';
    }
    std::vector<std::string> words;
    const auto add = [&words](std::string word) {
        if (word.size() > 3 && word.back() == 's' && word[word.size() - 2] != 's') word.pop_back();
        for (const auto& [same, meant] : same_words) {
            if (word == same) word = meant;
        }
        words.push_back(std::move(word));
    };
    std::string_view rest = plain;
    for (auto word = base::take_word(rest); !word.empty(); word = base::take_word(rest)) {
        const auto joined = std::find_if(joined_words.begin(), joined_words.end(),
                                         [&](const auto& pair) { return word == pair.first; });
        if (joined == joined_words.end()) {
            add(std::string(word));
            continue;
        }
        std::string_view parts = joined->second;
        for (auto part = base::take_word(parts); !part.empty(); part = base::take_word(parts))
            add(std::string(part));
    }
    // "soya bean" and "soy bean" are one word elsewhere.
    const auto bean = std::find(words.begin(), words.end(), "bean");
    if (bean != words.end() && std::find(words.begin(), words.end(), "soybean") != words.end())
        words.erase(bean);
    std::sort(words.begin(), words.end());
    words.erase(std::unique(words.begin(), words.end()), words.end());
    return words;
}

std::string key_of(std::string_view text) {
    return base::join_words(words_of(text), ", ");
}

std::vector<std::string> without_size_words(std::vector<std::string> words) {
    std::erase_if(words, [](const std::string& word) {
        return std::any_of(size_words.begin(), size_words.end(),
                           [&](const char* one) { return word == one; });
    });
    return words;
}

bool holds_all(const std::vector<std::string>& whole, const std::vector<std::string>& part) {
    return std::includes(whole.begin(), whole.end(), part.begin(), part.end());
}

// Whether `its` are the words of an oil made of what `words` name: rice bran oil is no rice bran.
bool is_oil_of(const std::vector<std::string>& its, const std::vector<std::string>& words) {
    const auto has = [](const std::vector<std::string>& list, const char* word) {
        return std::find(list.begin(), list.end(), word) != list.end();
    };
    const bool names_kind = std::any_of(words.begin(), words.end(), [](const std::string& word) {
        return kinds_of_feed().contains(word);
    });
    const bool is_cake = has(its, "cake") || has(its, "meal");
    return names_kind && has(its, "oil") && !has(words, "oil") && !is_cake;
}

// Every name of an ingredient.
std::vector<std::string> names_of(const NamedIngredient& ingredient) {
    std::vector<std::string> names = ingredient.also_called;
    names.insert(names.begin(), {ingredient.id, ingredient.name});
    return names;
}

LocalName read_name(const JsonView& item) {
    item.allow_only({"name", "used_in", "ingredients", "ask", "closest", "note", "source"});
    LocalName one;
    if (const auto name = item.required("name")) one.name = name->as_string().value_or("");
    item.required("used_in");
    one.used_in = item.strings("used_in");
    item.required("ingredients");
    one.ingredients = item.strings("ingredients");
    one.ask = item.flag("ask").value_or(false);
    one.closest = item.flag("closest").value_or(false);
    one.note = item.string("note").value_or("");
    one.source = item.string("source").value_or("");
    if (!one.ask && one.ingredients.size() != 1) {
        item.problem_found("a name that is not asked about and does not mean one ingredient",
                           "one ingredient, or \"ask\": true");
    }
    return one;
}

}  // namespace

bool same_name(std::string_view one, std::string_view other) {
    return key_of(one) == key_of(other);
}

std::vector<LocalName> load_names(const JsonView& root, const NutrientDictionary& /*dictionary*/) {
    std::vector<LocalName> list;
    if (!root.require_format("feedwright-names/1")) return list;
    root.allow_only({"format", "note", "names"});
    std::set<std::string> seen;
    for (const JsonView& item : root.array("names")) {
        list.push_back(read_name(item));
        if (!seen.insert(key_of(list.back().name)).second)
            item.problem_found("the name " + list.back().name + " twice", "each once");
    }
    return list;
}

Names::Names(std::vector<NamedIngredient> ingredients, std::vector<LocalName> local)
    : ingredients_(std::move(ingredients)), local_(std::move(local)) {
    for (std::size_t i = 0; i < ingredients_.size(); ++i) {
        for (const std::string& name : names_of(ingredients_[i])) {
            std::vector<std::size_t>& list = by_words_[key_of(name)];
            if (list.empty() || list.back() != i) list.push_back(i);
            for (std::string& word : words_of(name))
                vocabulary_.insert(std::move(word));
        }
    }
    for (std::size_t k = 0; k < local_.size(); ++k)
        local_by_words_.emplace(key_of(local_[k].name), k);
}

Meaning Names::meaning_of(std::string_view written) const {
    using Kind = Meaning::Kind;
    for (const NamedIngredient& ingredient : ingredients_) {
        if (ingredient.id == written) return {Kind::id, {ingredient.id}, {}, {}};
    }
    const std::vector<std::string> words = words_of(written);
    if (words.empty()) return {};
    const std::string key = base::join_words(words, ", ");
    if (const auto found = local_by_words_.find(key); found != local_by_words_.end()) {
        const LocalName& name = local_[found->second];
        const Kind kind = name.ingredients.empty() ? Kind::absent
                          : name.ask               ? Kind::several
                          : name.closest           ? Kind::closest
                                                   : Kind::name;
        return {kind, name.ingredients, name.note, name.used_in};
    }
    const std::vector<std::string> whole = without_size_words(words);
    if (!whole.empty() && whole.size() < words.size() && !by_words_.contains(key)) {
        Meaning plain = meaning_of(base::join_words(whole, " "));
        if (plain.kind == Kind::id) plain.kind = Kind::name;  // other words were written
        return plain;
    }
    Meaning meaning;
    if (const auto found = by_words_.find(key); found != by_words_.end()) {
        for (const std::size_t i : found->second)
            meaning.ingredients.push_back(ingredients_[i].id);
        meaning.kind = meaning.ingredients.size() == 1 ? Kind::name : Kind::several;
        return meaning;
    }
    for (const NamedIngredient& ingredient : ingredients_) {
        const std::vector<std::string> names = names_of(ingredient);
        if (std::any_of(names.begin(), names.end(), [&](const std::string& name) {
                const std::vector<std::string> its = words_of(name);
                return holds_all(its, words) && !is_oil_of(its, words);
            })) {
            meaning.ingredients.push_back(ingredient.id);
        }
    }
    if (meaning.ingredients.empty()) meaning = named_and_described(words);
    if (meaning.kind == Kind::name) return meaning;
    if (meaning.ingredients.empty()) return asked_of_part(words);
    if (meaning.ingredients.size() > most_asked) return {};
    meaning.kind = Kind::several;
    return meaning;
}

// A name of an ingredient with words beside it that its other names have: "BSF larvae (dried)".
Meaning Names::named_and_described(const std::vector<std::string>& words) const {
    Meaning meaning;
    for (const NamedIngredient& ingredient : ingredients_) {
        bool named = false;
        std::set<std::string> all;
        for (const std::string& name : names_of(ingredient)) {
            const std::vector<std::string> its = words_of(name);
            named = named || (!its.empty() && holds_all(words, its));
            all.insert(its.begin(), its.end());
        }
        if (named && std::includes(all.begin(), all.end(), words.begin(), words.end()))
            meaning.ingredients.push_back(ingredient.id);
    }
    if (!meaning.ingredients.empty()) {
        meaning.kind =
            meaning.ingredients.size() == 1 ? Meaning::Kind::name : Meaning::Kind::several;
    }
    return meaning;
}

// A word that must be asked about, with more words beside it: "BSF larvae (dried)".
Meaning Names::asked_of_part(const std::vector<std::string>& words) const {
    const LocalName* part = nullptr;
    std::size_t most = 0;
    for (const LocalName& name : local_) {
        const std::vector<std::string> its = words_of(name.name);
        if (!name.ask || name.ingredients.size() < 2 || its.size() <= most ||
            !holds_all(words, its))
            continue;
        part = &name;
        most = its.size();
    }
    // One word of many says little.
    if (part == nullptr || 2 * most < words.size()) return {};
    return {Meaning::Kind::several, part->ingredients, part->note, part->used_in};
}

std::string Names::nearest(std::string_view written) const {
    // A kind of feed has to be there as it is: "bran" and "bean" are one letter apart.
    std::vector<std::string> words = words_of(written);
    for (std::string& word : words) {
        if (!vocabulary_.contains(word)) word = kind_meant(word);
    }
    // An id with one letter or digit that differs.
    std::vector<std::string> ids;
    for (const NamedIngredient& ingredient : ingredients_)
        ids.push_back(ingredient.id);
    if (std::string id = base::nearest(written, ids); !id.empty()) {
        const std::vector<std::string> its = words_of(id);
        if (std::all_of(words.begin(), words.end(), [&](const std::string& word) {
                return !kinds_of_feed().contains(word) ||
                       std::find(its.begin(), its.end(), word) != its.end();
            })) {
            return id;
        }
    }
    std::string best;
    std::size_t most = words.size() / 2;  // more than half of the words have to be there
    std::size_t least_else = 0;
    const auto consider = [&](const std::string& name) {
        const std::vector<std::string> its = words_of(name);
        std::size_t found = 0;
        for (const std::string& word : words) {
            const bool is_kind = kinds_of_feed().contains(word);
            const bool there = std::any_of(its.begin(), its.end(), [&](const std::string& other) {
                return is_kind ? word == other : is_near(word, other);
            });
            if (!there && is_kind) return;
            found += there ? 1U : 0U;
        }
        const std::size_t other = its.size() - std::min(found, its.size());
        if (found < most || found == 0 || (found == most && (best.empty() || other >= least_else)))
            return;
        best = name;
        most = found;
        least_else = other;
    };
    for (const NamedIngredient& ingredient : ingredients_) {
        for (const std::string& name : names_of(ingredient))
            consider(name);
    }
    for (const LocalName& local : local_)
        consider(local.name);
    return best;
}

}  // namespace feedwright::catalog
