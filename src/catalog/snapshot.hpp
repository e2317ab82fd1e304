// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/cap.hpp"
#include "catalog/ingredient.hpp"
#include "catalog/nutrient.hpp"
#include "catalog/profile.hpp"
#include "catalog/rules.hpp"
#include "catalog/source.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace feedwright::catalog {

class Library;

/// A library folder's files as the loader left them, in one block of bytes that the build puts into
/// the program: reading an ingredient from it takes a tenth of the time that its JSON does. The
/// files stay what counts. Each entry remembers its file's size and time of change, and `load`
/// refuses one whose file is no longer that. The layout belongs to the build that made it, and is
/// never read from disk.
class Snapshot {
  public:
    /// Holds nothing; every load is refused.
    Snapshot() = default;
    /// `bytes` from pack(); they must outlive the snapshot.
    explicit Snapshot(std::string_view bytes) : bytes_(bytes) {}

    /// Reads what file `name` ("ingredients/maize.json") of folder `directory` holds. False when it
    /// is not packed, or the file has changed since.
    bool load(const std::string& directory, const std::string& name, Ingredient& into) const;
    bool load(const std::string& directory, const std::string& name, Profile& into) const;
    bool load(const std::string& directory, const std::string& name,
              std::vector<Nutrient>& into) const;
    bool load(const std::string& directory, const std::string& name,
              std::vector<Caution>& into) const;
    bool load(const std::string& directory, const std::string& name, CapTable& into) const;
    bool load(const std::string& directory, const std::string& name,
              std::vector<Estimate>& into) const;
    bool load(const std::string& directory, const std::string& name, Undesirables& into) const;

  private:
    std::string_view bytes_;
};

/// Packs a library folder's dictionary, ingredients, profiles, cautions and the larger tables of
/// rules. Throws as Library does.
std::string pack(Library& library);

}  // namespace feedwright::catalog
