// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/library.hpp"

#include "base/file.hpp"
#include "catalog/loading.hpp"
#include "catalog/rule_loading.hpp"

#include <algorithm>
#include <cmath>
#include <set>
#include <utility>

namespace feedwright::catalog {

namespace {

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

Library::Library(LibraryFilesPtr files, const std::vector<std::string>& own_files)
    : files_(std::move(files)), dictionary_(load_file(*files_, "nutrients.json", load_nutrients)) {
    load_rules();
    for (const std::string& file : own_files)
        lay_over(file);
}

template <class T>
T Library::load_if_there(const std::string& name,
                         T (*load)(const base::JsonView&, const NutrientDictionary&)) {
    if (!files_->has(name)) return {};
    return load_file(*files_, name,
                     [&](const base::JsonView& root) { return load(root, dictionary_); });
}

void Library::load_rules() {
    auto rules = std::make_shared<CompositionRules>();
    rules->estimates = load_if_there("estimates.json", load_estimates);
    Undesirables undesirables = load_if_there("undesirable.json", load_undesirables);
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

template <class T>
const T* Library::find(Known<T>& known, std::string_view id, const std::string& folder,
                       std::string_view key, LoadOne<T> load) {
    if (const auto at = known.find(id); at != known.end()) return at->second.get();
    if (!is_file_id(id)) return nullptr;
    const std::string name = folder + '/' + std::string(id) + ".json";
    if (!files_->has(name)) return nullptr;
    auto read = load_file(*files_, name, [&](const base::JsonView& root) {
        const auto own = root.member(key);
        if (own && own->is_string() && own->value().string != id) {
            own->problem('"' + std::string(id) + "\", as the file is named");
        }
        return load(root, dictionary_);
    });
    return known.emplace(id, std::make_unique<T>(std::move(*read))).first->second.get();
}

const Ingredient* Library::ingredient(std::string_view id) {
    return find(ingredients_, id, "ingredients", "id", load_ingredient);
}

const Profile* Library::profile(std::string_view species) {
    return find(profiles_, species, "profiles", "species", load_profile);
}

std::vector<std::string> Library::ingredient_ids() const {
    std::vector<std::string> ids = files_->names_in("ingredients");
    add_names(ids, own_ingredients_);
    return ids;
}

std::vector<std::string> Library::species() const {
    std::vector<std::string> ids = files_->names_in("profiles");
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
        sources_ = load_file(*files_, "sources.json", load_sources);
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
    if (!cautions_) cautions_ = load_if_there("cautions.json", load_cautions);
    return *cautions_;
}

const CapTable& Library::caps() {
    if (!caps_) {
        caps_ = load_if_there("caps.json", load_caps);
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

const WaterRules& Library::water() {
    if (!water_) water_ = load_if_there("water.json", load_water);
    return *water_;
}

const std::vector<Variation>& Library::variation() {
    if (!variation_) variation_ = load_if_there("variation.json", load_variation);
    return *variation_;
}

const std::vector<BulkDensity>& Library::bulk_densities() {
    if (!bulk_densities_)
        bulk_densities_ = load_if_there("bulk-densities.json", load_bulk_densities);
    return *bulk_densities_;
}

const std::vector<LocalName>& Library::local_names() {
    if (!local_names_) {
        local_names_ = load_if_there("names.json", load_names);
    }
    return *local_names_;
}

const Names& Library::names() {
    if (!names_) {
        std::vector<NamedIngredient> all;
        for (const std::string& id : ingredient_ids()) {
            const Ingredient& one = *ingredient(id);
            all.push_back({id, one.name, one.also_called});
        }
        names_.emplace(std::move(all), local_names());
    }
    return *names_;
}

Meaning Library::meaning_of(std::string_view written) {
    if (ingredient(written) != nullptr) return {Meaning::Kind::id, {std::string(written)}, {}, {}};
    return names().meaning_of(written);
}

std::string Library::nearest_name(std::string_view written) {
    return names().nearest(written);
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
    const auto at =
        static_cast<std::size_t>(std::lround(share * static_cast<double>(known.size() - 1)));
    return known[at] * dry_matter;
}

}  // namespace feedwright::catalog
