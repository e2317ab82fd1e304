// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/cap.hpp"
#include "catalog/ingredient.hpp"
#include "catalog/library_files.hpp"
#include "catalog/names.hpp"
#include "catalog/nutrient.hpp"
#include "catalog/profile.hpp"
#include "catalog/rules.hpp"
#include "catalog/source.hpp"
#include "catalog/water.hpp"

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace feedwright::catalog {

/// The library, read piece by piece: the dictionary and the rules of composition at once, an
/// ingredient, profile, source or caution when it is first asked for. So a job of five ingredients
/// reads five of their files however large the library is. Files of the user's own
/// (feedwright-library/1) lie over it, a later one over an earlier one: what they define replaces
/// what has the same id. Every call may throw DataError (a bad file) or IoError.
class Library {
  public:
    /// Reads nutrients.json and all of the user's files.
    explicit Library(LibraryFilesPtr files, const std::vector<std::string>& own_files = {});
    /// The same, of a folder on disk.
    explicit Library(std::string folder, const std::vector<std::string>& own_files = {})
        : Library(files_in(std::move(folder)), own_files) {}

    const NutrientDictionary& dictionary() const { return dictionary_; }

    /// The ingredient, or nullptr when there is none of that id.
    const Ingredient* ingredient(std::string_view id);
    std::vector<std::string> ingredient_ids() const;

    /// The names that people use for ingredients in some language or place.
    const std::vector<LocalName>& local_names();
    /// The ingredient that a person means by a word; see Names. Reads all ingredients, unless the
    /// word is an id.
    Meaning meaning_of(std::string_view written);
    /// The nearest name of an ingredient to a mistyped one, or "".
    std::string nearest_name(std::string_view written);

    /// The profile of a species, or nullptr.
    const Profile* profile(std::string_view species);
    std::vector<std::string> species() const;
    /// "species/stage" of every stage of every profile. Reads all profiles.
    std::vector<std::string> profile_ids();

    const Source* source(std::string_view id);
    const std::vector<Source>& sources();
    const std::vector<Caution>& cautions();

    const CapTable& caps();
    const std::vector<SafeMaximum>& safe_maxima() const { return safe_maxima_; }
    const std::vector<Tolerance>& tolerances();
    const std::vector<Pond>& ponds();
    const std::vector<Variation>& variation();
    const WaterRules& water();
    const std::vector<BulkDensity>& bulk_densities();

    /// What an ingredient of a category may well hold of a nutrient, percent of the dry matter
    /// where the nutrient is a share of it: the value that nine of ten ingredients of the category
    /// with a stated one do not exceed. nullopt when fewer than three have one. `dry_matter` is the
    /// ingredient's own, percent.
    std::optional<double> high_of(const std::string& category, const std::string& nutrient,
                                  double dry_matter);

    /// The user's files, as named.
    const std::vector<std::string>& own_files() const { return own_files_; }
    const LibraryFilesPtr& files() const { return files_; }

  private:
    void lay_over(const std::string& file);
    void load_rules();
    /// What `load` makes of a file of the library; its default where there is no such file.
    template <class T>
    T load_if_there(const std::string& name,
                    T (*load)(const base::JsonView&, const NutrientDictionary&));
    template <class T>
    using Known = std::map<std::string, std::unique_ptr<T>, std::less<>>;
    template <class T>
    using LoadOne = std::optional<T> (*)(const base::JsonView&, const NutrientDictionary&);
    /// The entry of that id, read from its file in `folder` when it is first asked for; nullptr
    /// when there is none. Member `key` of the file must be the id.
    template <class T>
    const T* find(Known<T>& known, std::string_view id, const std::string& folder,
                  std::string_view key, LoadOne<T> load);

    const Names& names();

    LibraryFilesPtr files_;
    NutrientDictionary dictionary_;
    Known<Ingredient> ingredients_;
    Known<Profile> profiles_;
    std::optional<std::vector<Source>> sources_;
    std::optional<std::vector<Caution>> cautions_;
    std::optional<CapTable> caps_;
    std::vector<SafeMaximum> safe_maxima_;
    std::optional<std::vector<Tolerance>> tolerances_;
    std::optional<std::vector<Pond>> ponds_;
    std::optional<WaterRules> water_;
    std::optional<std::vector<Variation>> variation_;
    std::optional<std::vector<BulkDensity>> bulk_densities_;
    std::optional<std::vector<LocalName>> local_names_;
    std::optional<Names> names_;
    std::vector<Cap> own_caps_;
    std::vector<std::string> own_files_;
    std::vector<std::string> own_ingredients_;  // ids
    std::vector<std::string> own_profiles_;
    std::vector<Source> own_sources_;
};

}  // namespace feedwright::catalog
