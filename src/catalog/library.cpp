// SPDX-License-Identifier: GPL-3.0-or-later
#include "feedwright/catalog/library.hpp"

#include <algorithm>
#include <filesystem>
#include <system_error>
#include <utility>

#include "catalog/loading.hpp"
#include "feedwright/base/file.hpp"

namespace feedwright::catalog {

namespace {

namespace fs = std::filesystem;

// Ids become file names, so nothing but an id may reach the disk.
bool is_file_id(std::string_view id) {
    return !id.empty() && std::all_of(id.begin(), id.end(), [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
    });
}

}  // namespace

Library::Library(std::string directory) : directory_(std::move(directory)) {
    base::Diagnostics diagnostics;
    const auto document = base::parse_json(read("nutrients.json"), directory_ + "/nutrients.json");
    dictionary_ = load_nutrients(base::JsonView(document, diagnostics));
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
    std::error_code error;
    if (!fs::exists(directory_ + '/' + name, error)) return nullptr;
    base::Diagnostics diagnostics;
    const auto document = base::parse_json(read(name), directory_ + '/' + name);
    const base::JsonView root(document, diagnostics);
    auto ingredient = load_ingredient(root, dictionary_);
    if (ingredient && ingredient->id != id) {
        root.problem_found("the id \"" + ingredient->id + '"', "the id of the file's name");
    }
    diagnostics.throw_if_any();
    return ingredients_
        .emplace(std::string(id), std::make_unique<Ingredient>(std::move(*ingredient)))
        .first->second.get();
}

std::vector<std::string> Library::ingredient_ids() const { return names_in("ingredients"); }

const Profile* Library::profile(std::string_view species) {
    if (const auto at = profiles_.find(species); at != profiles_.end()) return at->second.get();
    if (!is_file_id(species)) return nullptr;
    const std::string name = "profiles/" + std::string(species) + ".json";
    std::error_code error;
    if (!fs::exists(directory_ + '/' + name, error)) return nullptr;
    base::Diagnostics diagnostics;
    const auto document = base::parse_json(read(name), directory_ + '/' + name);
    const base::JsonView root(document, diagnostics);
    auto profile = load_profile(root, dictionary_);
    if (profile && profile->species != species) {
        root.problem_found("the species \"" + profile->species + '"', "that of the file's name");
    }
    diagnostics.throw_if_any();
    return profiles_.emplace(std::string(species), std::make_unique<Profile>(std::move(*profile)))
        .first->second.get();
}

std::vector<std::string> Library::species() const { return names_in("profiles"); }

std::vector<std::string> Library::profile_ids() {
    std::vector<std::string> ids;
    for (const std::string& name : species()) {
        for (const Stage& stage : profile(name)->stages) ids.push_back(name + '/' + stage.id);
    }
    return ids;
}

const std::vector<Source>& Library::sources() {
    if (!sources_) {
        base::Diagnostics diagnostics;
        const auto document = base::parse_json(read("sources.json"), directory_ + "/sources.json");
        sources_ = load_sources(base::JsonView(document, diagnostics));
        diagnostics.throw_if_any();
    }
    return *sources_;
}

const Source* Library::source(std::string_view id) {
    const auto& all = sources();
    const auto at = std::find_if(all.begin(), all.end(),
                                 [&](const Source& source) { return source.id == id; });
    return at == all.end() ? nullptr : &*at;
}

const std::vector<Caution>& Library::cautions() {
    if (!cautions_) {
        std::error_code error;
        cautions_.emplace();
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

}  // namespace feedwright::catalog
