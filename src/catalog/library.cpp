// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/library.hpp"

#include "base/file.hpp"
#include "catalog/loading.hpp"
#include "catalog/rule_loading.hpp"

#include <algorithm>
#include <filesystem>
#include <set>
#include <system_error>
#include <utility>

namespace feedwright::catalog {

namespace {

namespace fs = std::filesystem;

// Ids become file names, so nothing but an id may reach the disk.
bool is_file_id(std::string_view id) {
    return !id.empty() && std::all_of(id.begin(), id.end(), [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
    });
}

void add_names(std::vector<std::string>& names, const std::vector<std::string>& more) {
    names.insert(names.end(), more.begin(), more.end());
    std::sort(names.begin(), names.end());
    names.erase(std::unique(names.begin(), names.end()), names.end());
}

}  // namespace

template <class T>
bool Library::take_carried(const std::string& name, T& into) {
    if (!carried_.load(directory_, name, into)) return false;
    files_read_.push_back(name);
    return true;
}

Library::Library(std::string directory, const std::vector<std::string>& own_files, Snapshot carried)
    : directory_(std::move(directory)), carried_(carried) {
    std::vector<Nutrient> nutrients;
    if (take_carried("nutrients.json", nutrients)) {
        for (Nutrient& nutrient : nutrients)
            dictionary_.add(std::move(nutrient));
    } else {
        base::Diagnostics diagnostics;
        const auto document =
            base::parse_json(read("nutrients.json"), directory_ + "/nutrients.json");
        dictionary_ = load_nutrients(base::JsonView(document, diagnostics));
        diagnostics.throw_if_any();
    }
    load_rules();
    for (const std::string& file : own_files)
        lay_over(file);
}

template <class T>
T Library::load_if_there(const std::string& name,
                         T (*load)(const base::JsonView&, const NutrientDictionary&)) {
    std::error_code error;
    if (!fs::exists(directory_ + '/' + name, error)) return {};
    base::Diagnostics diagnostics;
    const auto document = base::parse_json(read(name), directory_ + '/' + name);
    T made = load(base::JsonView(document, diagnostics), dictionary_);
    diagnostics.throw_if_any();
    return made;
}

template <class T>
T Library::take_or_load(const std::string& name,
                        T (*load)(const base::JsonView&, const NutrientDictionary&)) {
    T carried;
    return take_carried(name, carried) ? carried : load_if_there(name, load);
}

void Library::load_rules() {
    auto rules = std::make_shared<CompositionRules>();
    rules->estimates = take_or_load("estimates.json", load_estimates);
    Undesirables undesirables = take_or_load("undesirable.json", load_undesirables);
    rules->contents = std::move(undesirables.contents);
    safe_maxima_ = std::move(undesirables.maxima);
    dictionary_.set_rules(std::move(rules));
}

void Library::lay_over(const std::string& file) {
    base::Diagnostics diagnostics;
    const auto document = base::parse_json(base::read_file(file), file);
    const base::JsonView root(document, diagnostics);
    own_files_.push_back(file);
    if (root.require_format("feedwright-library/1")) {
        root.allow_only({"format", "title", "note", "ingredients", "profiles", "caps", "sources"});
        const IngredientLookup lookup{[this](std::string_view id) { return ingredient(id); },
                                      [this] { return ingredient_ids(); }};
        std::set<std::string> seen;
        const auto once = [&](const base::JsonView& item, const std::string& id) {
            if (seen.insert(id).second) return true;
            item.problem_found("the id \"" + id + "\" again", "each id once in a file");
            return false;
        };
        for (const base::JsonView& item : root.array("ingredients")) {
            auto own = read_library_ingredient(item, dictionary_, lookup);
            if (!own || !once(item, own->id)) continue;
            own->file = file;
            own_ingredients_.push_back(own->id);
            const std::string id = own->id;
            ingredients_[id] = std::make_unique<Ingredient>(std::move(*own));
        }
        for (const base::JsonView& item : root.array("profiles")) {
            auto own = read_library_profile(item, dictionary_);
            if (!own || !once(item, own->species)) continue;
            own->file = file;
            own_profiles_.push_back(own->species);
            const std::string species = own->species;
            profiles_[species] = std::make_unique<Profile>(std::move(*own));
        }
        for (Cap& cap : read_caps(root))
            own_caps_.push_back(std::move(cap));
        for (Source& source : read_sources(root))
            own_sources_.push_back(std::move(source));
    }
    diagnostics.throw_if_any();
}

std::string Library::read(const std::string& name) {
    std::string text = base::read_file(directory_ + '/' + name);
    files_read_.push_back(name);
    return text;
}

std::vector<std::string> Library::names_in(const std::string& folder) const {
    std::vector<std::string> names;
    std::error_code error;
    for (const auto& entry : fs::directory_iterator(directory_ + '/' + folder, error)) {
        if (entry.path().extension() == ".json") names.push_back(entry.path().stem().string());
    }
    if (error) throw IoError(directory_ + '/' + folder + ": cannot list: " + error.message());
    std::sort(names.begin(), names.end());
    return names;
}

const Ingredient* Library::ingredient(std::string_view id) {
    if (const auto at = ingredients_.find(id); at != ingredients_.end()) return at->second.get();
    if (!is_file_id(id)) return nullptr;
    const std::string name = "ingredients/" + std::string(id) + ".json";
    auto carried = std::make_unique<Ingredient>();
    if (take_carried(name, *carried)) {
        return ingredients_.emplace(std::string(id), std::move(carried)).first->second.get();
    }
    std::error_code error;
    if (!fs::exists(directory_ + '/' + name, error)) return nullptr;
    base::Diagnostics diagnostics;
    const auto document = base::parse_json(read(name), directory_ + '/' + name);
    const base::JsonView root(document, diagnostics);
    auto ingredient = load_ingredient(root, dictionary_);
    if (ingredient && ingredient->id != id) {
        root.member("id")->problem('"' + std::string(id) + "\", as the file is named");
    }
    diagnostics.throw_if_any();
    return ingredients_
        .emplace(std::string(id), std::make_unique<Ingredient>(std::move(*ingredient)))
        .first->second.get();
}

std::vector<std::string> Library::ingredient_ids() const {
    std::vector<std::string> ids = names_in("ingredients");
    add_names(ids, own_ingredients_);
    return ids;
}

const Profile* Library::profile(std::string_view species) {
    if (const auto at = profiles_.find(species); at != profiles_.end()) return at->second.get();
    if (!is_file_id(species)) return nullptr;
    const std::string name = "profiles/" + std::string(species) + ".json";
    auto carried = std::make_unique<Profile>();
    if (take_carried(name, *carried)) {
        return profiles_.emplace(std::string(species), std::move(carried)).first->second.get();
    }
    std::error_code error;
    if (!fs::exists(directory_ + '/' + name, error)) return nullptr;
    base::Diagnostics diagnostics;
    const auto document = base::parse_json(read(name), directory_ + '/' + name);
    const base::JsonView root(document, diagnostics);
    auto profile = load_profile(root, dictionary_);
    if (profile && profile->species != species) {
        root.member("species")->problem('"' + std::string(species) + "\", as the file is named");
    }
    diagnostics.throw_if_any();
    return profiles_.emplace(std::string(species), std::make_unique<Profile>(std::move(*profile)))
        .first->second.get();
}

std::vector<std::string> Library::species() const {
    std::vector<std::string> ids = names_in("profiles");
    add_names(ids, own_profiles_);
    return ids;
}

std::vector<std::string> Library::profile_ids() {
    std::vector<std::string> ids;
    for (const std::string& name : species()) {
        for (const Stage& stage : profile(name)->stages)
            ids.push_back(name + '/' + stage.id);
    }
    return ids;
}

const std::vector<Source>& Library::sources() {
    if (!sources_) {
        base::Diagnostics diagnostics;
        const auto document = base::parse_json(read("sources.json"), directory_ + "/sources.json");
        sources_ = load_sources(base::JsonView(document, diagnostics));
        diagnostics.throw_if_any();
        sources_->insert(sources_->begin(), own_sources_.begin(), own_sources_.end());
    }
    return *sources_;
}

const Source* Library::source(std::string_view id) {
    const auto& all = sources();
    const auto at =
        std::find_if(all.begin(), all.end(), [&](const Source& source) { return source.id == id; });
    return at == all.end() ? nullptr : &*at;
}

const std::vector<Caution>& Library::cautions() {
    if (!cautions_) {
        std::error_code error;
        cautions_.emplace();
        if (take_carried("cautions.json", *cautions_)) return *cautions_;
        if (fs::exists(directory_ + "/cautions.json", error)) {
            base::Diagnostics diagnostics;
            const auto document =
                base::parse_json(read("cautions.json"), directory_ + "/cautions.json");
            cautions_ = load_cautions(base::JsonView(document, diagnostics));
            diagnostics.throw_if_any();
        }
    }
    return *cautions_;
}

const CapTable& Library::caps() {
    if (!caps_) {
        caps_ = take_or_load("caps.json", load_caps);
        caps_->caps.insert(caps_->caps.end(), own_caps_.begin(), own_caps_.end());
    }
    return *caps_;
}

const std::vector<Tolerance>& Library::tolerances() {
    if (!tolerances_) tolerances_ = load_if_there("tolerances.json", load_tolerances);
    return *tolerances_;
}

const std::vector<Pond>& Library::ponds() {
    if (!ponds_) ponds_ = load_if_there("ponds.json", load_ponds);
    return *ponds_;
}

const std::vector<Variation>& Library::variation() {
    if (!variation_) variation_ = load_if_there("variation.json", load_variation);
    return *variation_;
}

std::optional<double> Library::high_of(const std::string& category, const std::string& nutrient,
                                       double dry_matter) {
    std::vector<double> known;  // per percent of dry matter
    for (const std::string& id : ingredient_ids()) {
        const Ingredient& one = *ingredient(id);
        if (one.category != category) continue;
        const auto stated = [&](std::string_view wanted) {
            return std::find_if(
                one.stated.begin(), one.stated.end(), [&](const StatedValue& value) {
                    return value.nutrient == wanted && value.basis != Basis::of_protein;
                });
        };
        const auto value = stated(nutrient);
        const auto dry = stated("dry_matter");
        if (value == one.stated.end() || dry == one.stated.end() || !(dry->amount > 0)) continue;
        known.push_back(value->amount / (value->basis == Basis::dry_matter ? 100 : dry->amount));
    }
    constexpr std::size_t least = 3;
    if (known.size() < least) return std::nullopt;
    std::sort(known.begin(), known.end());
    constexpr double share = 0.9;
    const auto at = static_cast<std::size_t>(share * static_cast<double>(known.size() - 1) + 0.5);
    return known[at] * dry_matter;
}

}  // namespace feedwright::catalog
