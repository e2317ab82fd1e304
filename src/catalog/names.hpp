// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <map>
#include <set>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright::base {
class JsonView;
}

namespace feedwright::catalog {

class NutrientDictionary;

/// What people call an ingredient in some language or place (data/names.json).
struct LocalName {
    std::string name;
    std::vector<std::string> used_in;      ///< "Swahili", "English (India)"
    std::vector<std::string> ingredients;  ///< ids; none: the library has no such ingredient
    bool ask = false;      ///< means different things in different places: never taken as it stands
    bool closest = false;  ///< the ingredient is not the same thing, but the nearest one there is
    std::string note;
    std::string source;  ///< id; empty for common knowledge
};

/// Reads feedwright-names/1, as other tables of the library are read (it needs no dictionary).
/// Problems go to the diagnostics of `root`.
std::vector<LocalName> load_names(const base::JsonView& root, const NutrientDictionary& dictionary);

/// Whether two texts are one name: case, order of words, punctuation, a plural s and words of one
/// meaning do not count.
bool same_name(std::string_view one, std::string_view other);

/// What is known by itself of one ingredient of the library.
struct NamedIngredient {
    std::string id;
    std::string name;
    std::vector<std::string> also_called;
};

/// What a word means that someone wrote for an ingredient.
struct Meaning {
    enum class Kind {
        id,       ///< an id of the library
        name,     ///< another name of one ingredient
        closest,  ///< the nearest ingredient to what the word means
        several,  ///< one of `ingredients`: which one must be asked
        absent,   ///< a known word for something that the library does not have
        unknown
    };
    Kind kind = Kind::unknown;
    std::vector<std::string> ingredients;  ///< ids; one for the first three kinds
    std::string note;                      ///< what else is known of the word
    std::vector<std::string> used_in;      ///< where it is used, of a local name
};

/// Finds the ingredient that a person means. Case, order of words, punctuation and a plural s do
/// not count, and words that mean the same (corn and maize) are the same. What is only part of a
/// name is never taken: it leads to a question.
class Names {
  public:
    Names(std::vector<NamedIngredient> ingredients, std::vector<LocalName> local);

    Meaning meaning_of(std::string_view written) const;

    /// The nearest name to a mistyped one, or "". It is of the same kind of feed: no bean is
    /// proposed for a bran.
    std::string nearest(std::string_view written) const;

  private:
    Meaning named_and_described(const std::vector<std::string>& words) const;
    Meaning asked_of_part(const std::vector<std::string>& words) const;

    std::vector<NamedIngredient> ingredients_;
    std::vector<LocalName> local_;
    std::map<std::string, std::vector<std::size_t>> by_words_;  // of names, to ingredients_
    std::map<std::string, std::size_t> local_by_words_;
    std::set<std::string> vocabulary_;  // every word of a name
};

}  // namespace feedwright::catalog
