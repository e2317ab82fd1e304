// SPDX-License-Identifier: GPL-3.0-or-later
// What people write for an ingredient, and which ingredient they mean.
#include "catalog/names.hpp"

#include "catalog/library.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <set>
#include <string>
#include <vector>

using namespace feedwright;
using catalog::LocalName;
using catalog::Meaning;
using catalog::Names;
using Kind = Meaning::Kind;

namespace {

const Names& small() {
    static const Names names(
        {{"maize", "maize grain", {"corn grain"}},
         {"rice-bean", "rice bean, seed", {}},
         {"rice-bran-full-fat", "rice bran, full-fat", {}},
         {"rice-bran-defatted", "rice bran, defatted", {}},
         {"duckweed-dried", "duckweed, dried", {"lemna meal"}},
         {"soybean-meal-44", "soybean meal, solvent-extracted, 44 % protein", {"soya bean meal"}},
         {"fish-meal-65", "fish meal, about 65 % protein", {}},
         {"sweet-potato-meal", "sweet potato meal", {}},
         {"sardine-dried", "sardine, dried", {}}},
        {{"makka", {"Hindi"}, {"maize"}, false, false, "", ""},
         {"kura", {"Bengali"}, {"rice-bran-full-fat"}, true, false, "often with husk", ""},
         {"omena", {"Dholuo (Kenya)"}, {"sardine-dried"}, false, true, "silver cyprinid", ""},
         {"okara", {"Japanese"}, {}, true, false, "wet soymilk residue", ""}});
    return names;
}

std::string one(std::string_view written, Kind kind) {
    const Meaning meaning = small().meaning_of(written);
    CHECK(meaning.kind == kind);
    return meaning.ingredients.size() == 1 ? meaning.ingredients[0] : "";
}

}  // namespace

TEST_CASE("an ingredient is found by its id and by its names, however they are written") {
    CHECK(one("maize", Kind::id) == "maize");
    CHECK(one("Corn", Kind::name) == "maize");
    CHECK(one("maize grains", Kind::name) == "maize");
    CHECK(one("Dried Duckweed", Kind::name) == "duckweed-dried");
    CHECK(one("duckweed_dried", Kind::name) == "duckweed-dried");
    CHECK(one("Soya bean meal", Kind::name) == "soybean-meal-44");
    CHECK(one("soybean meal", Kind::name) == "soybean-meal-44");
    CHECK(one("Fishmeal 65", Kind::name) == "fish-meal-65");
    CHECK(one("MAKKA", Kind::name) == "maize");
}

TEST_CASE("what a word means is said where it is not plain") {
    const Meaning omena = small().meaning_of("omena");
    CHECK(omena.kind == Kind::closest);
    CHECK(omena.ingredients == std::vector<std::string>{"sardine-dried"});
    CHECK(omena.note == "silver cyprinid");
    const Meaning kura = small().meaning_of("Kura");
    CHECK(kura.kind == Kind::several);
    CHECK(kura.used_in == std::vector<std::string>{"Bengali"});
    CHECK(small().meaning_of("okara").kind == Kind::absent);
    const Meaning bran = small().meaning_of("rice bran");
    CHECK(bran.kind == Kind::several);
    CHECK(bran.ingredients == std::vector<std::string>{"rice-bran-full-fat", "rice-bran-defatted"});
}

TEST_CASE("a part of a name is asked about and never taken") {
    // Sweet potato is another plant than potato.
    const Meaning potato = small().meaning_of("potato meal");
    CHECK(potato.kind == Kind::several);
    CHECK(potato.ingredients == std::vector<std::string>{"sweet-potato-meal"});
}

TEST_CASE("what is ground or cracked is the same feed") {
    CHECK(one("cracked corn", Kind::name) == "maize");
    CHECK(one("Maize (ground)", Kind::name) == "maize");
    CHECK(one("cracked", Kind::unknown) == "");
}

TEST_CASE(
    "a name with a word of another name of the same ingredient beside it is that ingredient") {
    const Names names({{"fly-full-fat", "fly larvae, dried, full-fat", {"BSF larvae"}},
                       {"fly-fresh", "fly larvae, fresh", {"BSF larvae, fresh"}}},
                      {});
    const Meaning dried = names.meaning_of("BSF larvae (dried)");
    CHECK(dried.kind == Kind::name);
    CHECK(dried.ingredients == std::vector<std::string>{"fly-full-fat"});
    CHECK(names.meaning_of("BSF larvae (rotten)").kind == Kind::unknown);
}

TEST_CASE("a word to be asked about is asked with more words beside it") {
    const Names names(
        {{"larvae-fresh", "fly larvae, fresh", {}}, {"larvae-meal", "fly larvae, full-fat", {}}},
        {{"BSF larvae", {"English"}, {"larvae-fresh", "larvae-meal"}, true, false, "", ""}});
    CHECK(names.meaning_of("BSF larvae (dried)").kind == Kind::several);
    CHECK(names.meaning_of("BSF larvae of my friend in town").kind == Kind::unknown);
}

TEST_CASE("two texts are one name whatever their case and order") {
    CHECK(catalog::same_name("Wheat Bran", "bran, wheat"));
    CHECK(catalog::same_name("Corn", "maize"));
    CHECK_FALSE(catalog::same_name("rice bran", "rice bean"));
}

TEST_CASE("a suggestion is of the same kind of feed") {
    CHECK(small().nearest("rice brann") == "rice-bran-defatted");
    CHECK(small().nearest("ryce bran") == "rice-bran-defatted");
    CHECK(small().nearest("duckwed, dried") == "duckweed-dried");
    CHECK(small().nearest("rice beans") == "rice-bean");
    CHECK(small().nearest("zzz") == "");
    CHECK(small().meaning_of("zzz").kind == Kind::unknown);
    CHECK(small().meaning_of("").kind == Kind::unknown);
    CHECK(small().meaning_of(" , ").kind == Kind::unknown);
}

TEST_CASE("the library's names mean what it has") {
    catalog::Library library((test::source_folder() / "data").string());
    const std::vector<std::string> ids = library.ingredient_ids();
    const std::set<std::string> known(ids.begin(), ids.end());
    std::size_t asked = 0;
    for (const LocalName& name : library.local_names()) {
        INFO(name.name);
        for (const std::string& id : name.ingredients)
            CHECK(known.contains(id));
        CHECK_FALSE(name.used_in.empty());
        if (!name.source.empty()) CHECK(library.source(name.source) != nullptr);
        asked += name.ask ? 1U : 0U;
    }
    CHECK(library.local_names().size() > 350);
    CHECK(asked > 100);
}

TEST_CASE("what growers write is understood or asked about") {
    catalog::Library library((test::source_folder() / "data").string());
    const auto meaning = [&](std::string_view written) { return library.meaning_of(written); };
    CHECK(meaning("corn").ingredients == std::vector<std::string>{"maize"});
    CHECK(meaning("corn").kind == Kind::name);
    CHECK(meaning("dried duckweed").ingredients == std::vector<std::string>{"duckweed-dried"});
    CHECK(meaning("mustard oil cake").ingredients ==
          std::vector<std::string>{"mustard-cake-expeller"});
    CHECK(meaning("DCP").kind == Kind::several);
    CHECK(meaning("DCP").ingredients.size() == 2);
    CHECK(meaning("rice bran").kind == Kind::several);
    for (const std::string& id : meaning("rice bran").ingredients)
        CHECK(id != "rice-bran-oil");
    CHECK(meaning("fish meal").kind == Kind::several);
    CHECK(meaning("concentrate").kind == Kind::absent);
}
