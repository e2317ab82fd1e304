// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/label.hpp"
#include "catalog/nutrient.hpp"

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

namespace feedwright::catalog {

/// What an amount is a share of; see docs/formats.md, "Units and bases".
enum class Basis { as_fed, dry_matter, of_protein };

std::string_view to_string(Basis basis);
std::optional<Basis> basis_from(std::string_view text);

/// The animal a composition or a limit is for. `group` is fish, crustacean, poultry, pig, rabbit or
/// ruminant, `feeds_as` the class within it that tolerates the same feeds (fish-omnivore, layer,
/// ...), `stage` the id of the life stage; all empty when no profile is named.
struct Animal {
    std::string species;
    std::string group;
    std::string feeds_as{};
    std::string stage{};
};

/// How closely something that holds for `animals` (species, classes, groups, or "all") is meant for
/// the animal: 4 its species, 3 its class, 2 its group, 1 any animal (an empty list too), 0 another
/// one.
int closeness(const std::vector<std::string>& animals, const Animal& animal);

/// The same with life stages: 0 when `stages` names others than the animal's; and of two equally
/// close, the one that names the stage is the closer.
int closeness(const std::vector<std::string>& animals, const std::vector<std::string>& stages,
              const Animal& animal);

/// What the samples behind a spread are. Only lots and regions tell how the next delivery may
/// differ; replicates are the laboratory's repeats on one lot and tell nothing of it. `samples` are
/// different ones, gathered in a way that the source does not state; `assumed` was not measured.
enum class Spread { unstated, lots, regions, replicates, samples, assumed };

/// The word in a file; empty for `unstated`.
std::string_view to_string(Spread spread);
std::optional<Spread> spread_from(std::string_view text);

/// A value as its source gives it, in the nutrient's canonical unit (of_protein: g per 100 g
/// protein).
struct StatedValue {
    std::string nutrient;
    double amount = 0;
    Basis basis = Basis::as_fed;
    std::string source;
    std::optional<double> sd;  ///< same unit and basis as `amount`
    std::optional<double> n;   ///< samples behind it
    std::string note;
    std::vector<std::string> animals;  ///< species or groups it holds for; empty: all
    bool scaled = false;  ///< worked out from the value of the ingredient that this one extends
    std::optional<double> min{};  ///< the lowest and the highest of the samples, as `amount`
    std::optional<double> max{};
    Spread spread = Spread::unstated;
    bool operator==(const StatedValue&) const = default;
};

/// A digestibility coefficient: percent of a nutrient that the animals digest.
struct Digestibility {
    std::string nutrient;
    double percent = 0;
    std::vector<std::string> animals;
    std::string source;
    std::string note;
    bool operator==(const Digestibility&) const = default;
};

/// An ingredient as its file gives it.
struct Ingredient {
    std::string id;
    std::string name;
    std::string category;
    std::string role;  ///< premix, vitamin_c, binder, carrier or empty
    std::string note;
    std::vector<std::string> also_called;
    std::vector<std::string> processing;
    std::vector<StatedValue> stated;
    std::vector<std::string> zeros;  ///< nutrients it truly has none of
    std::string zeros_source;
    std::vector<Digestibility> digestibility;
    std::optional<double>
        rate_percent;  ///< of a premix: the share of the feed that its label asks for
    std::vector<std::string> made_for;  ///< of a premix: the animals, as in closeness()
    std::vector<std::string> made_for_stages;
    /// Ids of the ingredients that this one extends, nearest first: caps and cautions on those hold
    /// for it too.
    std::vector<std::string> kin;
    std::optional<Label> label{};  ///< of a bought feed; what it states is in `stated` too
    std::string file;
    bool operator==(const Ingredient&) const = default;
};

/// True when `id` is the ingredient's own or that of one it extends.
bool is_or_extends(std::string_view own_id, const std::vector<std::string>& kin,
                   std::string_view id);

/// Where an amount comes from. `scaled`: from the value of another ingredient, which this one
/// extends. `assumed`: the high value of its kind, because it has none of its own.
enum class Origin { stated, zero, derived, scaled, estimated, assumed };

/// 0 for stated amounts and true zeros, 1 derived, 2 scaled, 3 estimated, 4 assumed. What is worked
/// out from several amounts is as unsure as the least sure of them.
int unsureness(Origin origin);

std::string_view to_string(Origin origin);

/// An amount as fed, in the nutrient's canonical unit.
struct Amount {
    double value = 0;
    Origin origin = Origin::stated;
    std::string source;
    /// Of what is worked out: the nutrients it is a sum of, each times a number, but for a
    /// constant.
    std::vector<std::pair<std::string, double>> parts{};
};

/// Amounts as fed of one ingredient for one animal. A nutrient that is not there is unknown, not
/// zero.
class Composition {
  public:
    const Amount* find(std::string_view nutrient) const;
    void set(std::string nutrient, Amount amount);
    /// Ids of the nutrients that are known, sorted.
    std::vector<std::string> nutrients() const;

  private:
    struct Hash {
        using is_transparent = void;
        std::size_t operator()(std::string_view text) const {
            return std::hash<std::string_view>{}(text);
        }
    };
    // Looked up some thousand times a run, and never walked through in its own order.
    std::unordered_map<std::string, Amount, Hash, std::equal_to<>> amounts_;
};

/// Converts every stated value to as fed, adds zeros, derived amounts, and what the dictionary's
/// rules know of the ingredient or its kind: contents of undesirable substances, and estimates. A
/// value on dry matter or of protein whose dry matter or protein is missing cannot be converted and
/// is left out (loading refuses such a file).
Composition compose(const Ingredient& ingredient, const NutrientDictionary& dictionary,
                    const Animal& animal);

}  // namespace feedwright::catalog
