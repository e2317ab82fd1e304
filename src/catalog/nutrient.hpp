// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace feedwright::catalog {

/// How a nutrient without a value of its own is worked out from others.
struct Derivation {
    /// `sum`, `difference` and `balance` are exact up to the data, and only a `balance` may be
    /// below zero; an `estimate` rests on published factors.
    enum class Kind { sum, difference, balance, estimate };
    Kind kind = Kind::sum;
    double constant = 0;
    std::vector<std::pair<std::string, double>> terms;  ///< nutrient id and factor, canonical units
    /// When set, and the ingredient has a digestibility coefficient for the animal, the amount is
    /// this nutrient times that coefficient; the terms are used otherwise.
    std::string digestible_of;
    std::string source;
    std::vector<std::string> animals;  ///< species or groups the terms hold for; empty: all
    bool operator==(const Derivation&) const = default;
};

/// A nutrient of the dictionary or of a job.
struct Nutrient {
    std::string id;    ///< snake_case
    std::string name;  ///< as the trade writes it: "crude protein"
    std::string unit;  ///< canonical: %, mg/kg, IU/kg, MJ/kg, mEq/kg
    std::string group;
    std::string note;
    std::optional<Derivation> derived;
    std::vector<std::string> also_called;  ///< other names and abbreviations that laboratories use
    std::vector<std::string> infoods;      ///< tagnames of the FAO/INFOODS standard, such as PROCNT
    bool operator==(const Nutrient&) const = default;
};

struct CompositionRules;

/// All nutrients known, in the dictionary's order.
class NutrientDictionary {
  public:
    /// Adds a nutrient; false when the id is there already.
    bool add(Nutrient nutrient);
    const Nutrient* find(std::string_view id) const;
    const std::vector<Nutrient>& all() const { return list_; }
    std::vector<std::string> ids() const;
    /// Ids of one group, in order.
    std::vector<std::string> in_group(std::string_view group) const;
    /// Place in the dictionary's order; past the end for an unknown id.
    std::size_t position(std::string_view id) const;

    /// What compose() knows beside an ingredient's own values; never null, empty at first.
    const CompositionRules& rules() const { return *rules_; }
    void set_rules(std::shared_ptr<const CompositionRules> rules) { rules_ = std::move(rules); }

    NutrientDictionary();

  private:
    std::shared_ptr<const CompositionRules> rules_;
    std::vector<Nutrient> list_;
    std::map<std::string, std::size_t, std::less<>> index_;
};

}  // namespace feedwright::catalog
