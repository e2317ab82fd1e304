// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/extension.hpp"

#include "base/diagnostics.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::catalog {

namespace {

// Dry matter and crude protein as fed, percent, which other values are shares of.
struct Frame {
    std::optional<double> dry_matter;
    std::optional<double> protein;

    std::optional<double> as_fed(double amount, Basis basis) const {
        switch (basis) {
            case Basis::as_fed:
                return amount;
            case Basis::dry_matter:
                if (dry_matter) return amount * *dry_matter / 100;
                return std::nullopt;
            case Basis::of_protein:
                break;
        }
        if (protein) return amount * *protein / 100;
        return std::nullopt;
    }
};

const StatedValue* general_value(const Ingredient& ingredient, std::string_view nutrient) {
    const auto at = std::find_if(ingredient.stated.begin(), ingredient.stated.end(),
                                 [&](const StatedValue& value) {
                                     return value.nutrient == nutrient && value.animals.empty();
                                 });
    return at == ingredient.stated.end() ? nullptr : &*at;
}

Frame frame_of(const Ingredient& ingredient) {
    Frame frame;
    if (const StatedValue* value = general_value(ingredient, "dry_matter")) {
        frame.dry_matter = value->amount;
    }
    if (const StatedValue* value = general_value(ingredient, "crude_protein")) {
        frame.protein = frame.as_fed(value->amount, value->basis);
    }
    return frame;
}

bool differ(double a, double b) {
    return std::abs(a - b) > 1e-12 * std::max(std::abs(a), std::abs(b));
}

class Extension {
  public:
    Extension(const Ingredient& base, Ingredient own, Scale scale,
              const NutrientDictionary& dictionary)
        : base_(base), result_(std::move(own)), scale_(scale), dictionary_(dictionary) {}

    Ingredient make() {
        const Ingredient own = result_;
        set_frames();
        for (const StatedValue& value : base_.stated) {
            if (!replaced(own, value) && !is_stale(own, value.nutrient)) take_over(value);
        }
        take_over_the_rest();
        return std::move(result_);
    }

  private:
    void set_frames() {
        before_ = frame_of(base_);
        after_ = frame_of(result_);
        const bool own_dry_matter = after_.dry_matter.has_value();
        if (!own_dry_matter) after_.dry_matter = before_.dry_matter;
        // Its own protein may be given on dry matter, and the dry matter be that of the other.
        if (const StatedValue* protein = general_value(result_, "crude_protein")) {
            after_.protein = after_.as_fed(protein->amount, protein->basis);
        }
        switch (scale_) {
            case Scale::none:
                break;
            case Scale::dry_matter:
                if (!own_dry_matter) break;
                if (!before_.dry_matter || !(*before_.dry_matter > 0)) {
                    throw Error(fmt::format("{} has no dry matter to scale by", base_.id));
                }
                factor_ = *after_.dry_matter / *before_.dry_matter;
                break;
            case Scale::crude_protein:
                if (!after_.protein) throw Error("no crude protein of its own to scale by");
                if (!before_.protein || !(*before_.protein > 0)) {
                    throw Error(fmt::format("{} has no crude protein to scale by", base_.id));
                }
                factor_ = *after_.protein / *before_.protein;
                break;
        }
        if (!after_.protein && before_.protein) after_.protein = *before_.protein * factor_;
    }

    static bool replaced(const Ingredient& own, const StatedValue& value) {
        return std::any_of(own.stated.begin(), own.stated.end(), [&](const StatedValue& mine) {
            return mine.nutrient == value.nutrient &&
                   (mine.animals.empty() || mine.animals == value.animals);
        });
    }

    // A sum or difference of the other is wrong once one of its terms has changed.
    bool is_stale(const Ingredient& own, const std::string& id) const {
        const Nutrient* nutrient = dictionary_.find(id);
        if (nutrient == nullptr || !nutrient->derived) return false;
        const Derivation& rule = *nutrient->derived;
        if (rule.kind == Derivation::Kind::estimate) return false;
        return std::any_of(rule.terms.begin(), rule.terms.end(), [&](const auto& term) {
            return general_value(own, term.first) != nullptr;
        });
    }

    double factor_for(const std::string& id) const {
        if (id == "dry_matter") return 1;
        const Nutrient* nutrient = dictionary_.find(id);
        const bool amino_acid = nutrient != nullptr && nutrient->group == "amino_acid";
        if (amino_acid && before_.protein && *before_.protein > 0 && after_.protein) {
            return *after_.protein / *before_.protein;
        }
        return factor_;
    }

    void take_over(StatedValue value) {
        const auto before = before_.as_fed(value.amount, value.basis);
        if (!before) return;  // the other could not convert it either
        const double wanted = *before * factor_for(value.nutrient);
        const auto unchanged = after_.as_fed(value.amount, value.basis);
        // It stays as its source gives it where that comes to the same.
        if (!unchanged || differ(*unchanged, wanted)) {
            const auto convert = [&](std::optional<double>& number) {
                if (!number) return;
                number =
                    before_.as_fed(*number, value.basis).value_or(0) * factor_for(value.nutrient);
            };
            convert(value.sd);
            convert(value.min);
            convert(value.max);
            value.amount = wanted;
            value.basis = Basis::as_fed;
        }
        if (differ(*before, wanted)) {
            value.scaled = true;
            value.sd.reset();  // of the other's samples
            value.n.reset();
            value.min.reset();
            value.max.reset();
            value.spread = Spread::unstated;
        }
        result_.stated.push_back(std::move(value));
    }

    void take_over_the_rest() {
        if (result_.name.empty()) result_.name = result_.id == base_.id ? base_.name : result_.id;
        if (result_.category.empty()) result_.category = base_.category;
        if (result_.role.empty()) result_.role = base_.role;
        if (result_.note.empty()) result_.note = base_.note;
        if (result_.processing.empty()) result_.processing = base_.processing;
        if (result_.zeros_source.empty()) result_.zeros_source = base_.zeros_source;
        for (const std::string& id : base_.zeros) {
            if (std::find(result_.zeros.begin(), result_.zeros.end(), id) == result_.zeros.end()) {
                result_.zeros.push_back(id);
            }
        }
        for (const Digestibility& item : base_.digestibility) {
            const bool own = std::any_of(result_.digestibility.begin(), result_.digestibility.end(),
                                         [&](const Digestibility& mine) {
                                             return mine.nutrient == item.nutrient &&
                                                    mine.animals == item.animals;
                                         });
            if (!own) result_.digestibility.push_back(item);
        }
        result_.kin = {base_.id};
        result_.kin.insert(result_.kin.end(), base_.kin.begin(), base_.kin.end());
    }

    const Ingredient& base_;
    Ingredient result_;
    Scale scale_;
    const NutrientDictionary& dictionary_;
    Frame before_;
    Frame after_;
    double factor_ = 1;
};

}  // namespace

std::string_view to_string(Scale scale) {
    switch (scale) {
        case Scale::none:
            return "none";
        case Scale::dry_matter:
            return "dry_matter";
        case Scale::crude_protein:
            return "crude_protein";
    }
    return "";
}

std::optional<Scale> scale_from(std::string_view text) {
    for (const Scale scale : {Scale::none, Scale::dry_matter, Scale::crude_protein}) {
        if (text == to_string(scale)) return scale;
    }
    return std::nullopt;
}

Ingredient extended(const Ingredient& base, Ingredient own, Scale scale,
                    const NutrientDictionary& dictionary) {
    return Extension(base, std::move(own), scale, dictionary).make();
}

}  // namespace feedwright::catalog
