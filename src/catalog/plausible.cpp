// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/plausible.hpp"

#include "base/number.hpp"
#include "base/text.hpp"
#include "base/units.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string_view>
#include <utility>

namespace feedwright::catalog {

namespace {

using Kind = ImpossibleValue::Kind;

// Part and whole are two determinations, and tables round them to two figures: 5 % is what those
// may differ by.
constexpr double between_methods = 1.05;

// Detergent fibres are whole analyses of their own, and pectin stays behind in ADF that NDF has
// washed out.
constexpr double between_fibres = 1.10;

// A figure of 100 % converted from another basis is off in the last digits.
constexpr double rounding = 1.005;

// Protein is nitrogen x 6.25 where the true factor is lower, and the parts are analysed one by one:
// whole carp, at 20.5 % protein of 23.7 % dry matter, comes to 5 % over. Dry feeds are over by at
// most 3 points.
constexpr double most_points_over = 3;
constexpr double most_share_over = 0.10;

// Amino acids set free have taken up one water each; see the header.
constexpr double weight_of_free = 1.16;

constexpr double most_energy = 40;  // MJ/kg; fat, the richest, holds 39.5

// Mass percent of nitrogen, from the formula: atoms x 14.007 / molar mass.
struct AminoAcid {
    std::string_view id;
    int nitrogens;
    double molar_mass;
    double nitrogen() const { return nitrogens * 14.007 / molar_mass; }
};
constexpr std::array amino_acids{
    AminoAcid{"arginine", 4, 174.20},       AminoAcid{"histidine", 3, 155.16},
    AminoAcid{"isoleucine", 1, 131.17},     AminoAcid{"leucine", 1, 131.17},
    AminoAcid{"lysine", 2, 146.19},         AminoAcid{"methionine", 1, 149.21},
    AminoAcid{"cystine", 2, 240.30},        AminoAcid{"phenylalanine", 1, 165.19},
    AminoAcid{"tyrosine", 1, 181.19},       AminoAcid{"threonine", 1, 119.12},
    AminoAcid{"tryptophan", 2, 204.23},     AminoAcid{"valine", 1, 117.15},
    AminoAcid{"glycine", 1, 75.07},         AminoAcid{"serine", 1, 105.09},
    AminoAcid{"alanine", 1, 89.09},         AminoAcid{"aspartic_acid", 1, 133.10},
    AminoAcid{"glutamic_acid", 1, 147.13},  AminoAcid{"proline", 1, 115.13},
    AminoAcid{"hydroxyproline", 1, 131.13}, AminoAcid{"taurine", 1, 125.15}};

// Nitrogen of an amino acid as a share of its weight; 0 for one that is not known here.
double nitrogen_of(std::string_view id) {
    const auto at = std::find_if(amino_acids.begin(), amino_acids.end(),
                                 [&](const AminoAcid& acid) { return acid.id == id; });
    return at == amino_acids.end() ? 0 : at->nitrogen();
}

struct Part {
    std::string_view part;
    std::string_view whole;
    double slack = between_methods;
};
// Beside what the dictionary says is digestible of something.
constexpr std::array parts_of_wholes{Part{"available_phosphorus", "phosphorus"},
                                     Part{"phytate_phosphorus", "phosphorus"},
                                     Part{"sttd_phosphorus", "phosphorus"},
                                     Part{"digestible_energy", "gross_energy"},
                                     Part{"metabolisable_energy", "gross_energy"},
                                     Part{"digestible_protein", "crude_protein"},
                                     Part{"digestible_lipid", "crude_lipid"},
                                     Part{"cholesterol", "crude_lipid"},
                                     Part{"phospholipid", "crude_lipid"},
                                     Part{"lignin", "adf", between_fibres},
                                     Part{"adf", "ndf", between_fibres}};

std::string say(double amount) {
    return base::compact(amount, 4);
}

bool is_energy(const Nutrient& nutrient) {
    return base::convert(1, nutrient.unit, "MJ/kg").has_value();
}

// What an energy was meant to be, and how it is written so.
struct Reading {
    std::string hint;
    std::string written;
};

Reading likely_reading(double amount) {
    const auto read_as = [](const char* meant, double value, const char* unit) {
        const std::string written = fmt::format("{} {}", base::shortest(value), unit);
        const double megajoules = base::convert(value, unit, "MJ/kg").value_or(0);
        return Reading{fmt::format("This looks like {}: {} is {} MJ/kg", meant, written,
                                   base::significant(megajoules, 3)),
                       written};
    };
    // Feeds hold 4 to 40 MJ/kg dry, and a tenth of that fresh; tables of foods are per 100 g.
    constexpr double most_kcal = 9560;
    constexpr double most_kj = 40000;
    if (amount < 1000) return read_as("kcal per 100 g", 10 * amount, "kcal/kg");
    if (amount <= most_kcal) return read_as("kcal", amount, "kcal/kg");
    if (amount <= most_kj) return read_as("kJ", amount, "kJ/kg");
    return {};
}

std::string expected_energy(const Nutrient& nutrient) {
    return fmt::format(
        "at most {} {}, which is more than pure fat holds",
        base::compact(base::convert(most_energy, "MJ/kg", nutrient.unit).value_or(0), 4),
        nutrient.unit);
}

bool is_too_much_energy(const Nutrient& nutrient, double amount) {
    const auto megajoules = base::convert(amount, nutrient.unit, "MJ/kg");
    return megajoules && *megajoules > most_energy;
}

class Judge {
  public:
    Judge(const Ingredient& ingredient, const NutrientDictionary& dictionary,
          std::vector<ImpossibleValue>& found)
        : ingredient_(ingredient), dictionary_(dictionary), found_(found) {}

    void judge(const Animal& animal) {
        composition_ = compose(ingredient_, dictionary_, animal);
        // What has more of one nutrient than there can be says nothing further about the others.
        bool wrong = false;
        for (const Nutrient& nutrient : dictionary_.all())
            wrong = !is_possible(nutrient) || wrong;
        if (wrong) return;
        judge_parts();
        judge_amino_acids();
        judge_sums();
        judge_fatty_acids();
        for (const Part& rule : parts_of_wholes)
            judge_part(rule);
        for (const Nutrient& nutrient : dictionary_.all()) {
            if (nutrient.derived && !nutrient.derived->digestible_of.empty())
                judge_part({nutrient.id, nutrient.derived->digestible_of});
        }
    }

  private:
    // Of the file, or scaled from the ingredient that this one extends.
    std::optional<double> stated(std::string_view id) const {
        const Amount* amount = composition_.find(id);
        if (amount == nullptr) return std::nullopt;
        const Origin origin = amount->origin;
        const bool given =
            origin == Origin::stated || origin == Origin::zero || origin == Origin::scaled;
        return given ? std::optional(amount->value) : std::nullopt;
    }

    // The same, or a sum or difference of what is stated.
    std::optional<double> known(std::string_view id) const {
        const Amount* amount = composition_.find(id);
        if (amount != nullptr && amount->origin == Origin::derived) return amount->value;
        return stated(id);
    }

    std::string name(std::string_view id) const {
        const Nutrient* nutrient = dictionary_.find(id);
        return nutrient == nullptr ? std::string(id) : nutrient->name;
    }

    std::string with_unit(std::string_view id, double amount) const {
        const Nutrient* nutrient = dictionary_.find(id);
        return say(amount) + ' ' + (nutrient == nullptr ? "%" : nutrient->unit) + ' ' + name(id);
    }

    void add(Kind kind, std::string_view nutrient, std::string found, std::string expected,
             std::string hint = {}) {
        const bool told = std::any_of(found_.begin(), found_.end(), [&](const auto& other) {
            return other.kind == kind && other.nutrient == nutrient &&
                   (!other.nutrient.empty() || other.problem.found == found);
        });
        if (told) return;
        found_.push_back({kind,
                          std::string(nutrient),
                          {ingredient_.file, ingredient_.id, std::move(found), std::move(expected),
                           std::move(hint)}});
    }

    // The energy as the user wrote it, on whatever basis, for messages.
    double as_written(const Nutrient& energy, double otherwise) const {
        const auto at = std::find_if(
            ingredient_.stated.begin(), ingredient_.stated.end(), [&](const StatedValue& value) {
                return value.nutrient == energy.id && is_too_much_energy(energy, value.amount);
            });
        return at == ingredient_.stated.end() ? otherwise : at->amount;
    }

    bool is_possible(const Nutrient& nutrient) {
        const auto amount = stated(nutrient.id);
        if (!amount) return true;
        const std::string found = with_unit(nutrient.id, *amount);
        if (*amount < 0) {
            add(Kind::negative, nutrient.id, found, "zero or more");
            return false;
        }
        if (is_energy(nutrient)) {
            if (!is_too_much_energy(nutrient, *amount)) return true;
            const double written = as_written(nutrient, *amount);
            const Reading reading = likely_reading(written);
            add(Kind::energy, nutrient.id,
                fmt::format("{} {} {}", base::shortest(written), nutrient.unit, nutrient.name),
                expected_energy(nutrient),
                reading.hint.empty()
                    ? ""
                    : fmt::format("{}. Write \"{}\"", reading.hint, reading.written));
            return false;
        }
        const auto percent = base::convert(*amount, nutrient.unit, "%");
        if (!percent || *percent <= 100 * rounding) return true;
        const bool of_nitrogen =
            nutrient.id == "crude_protein" || nutrient.id == "digestible_protein";
        if (of_nitrogen && is_nitrogen_compound()) return true;
        add(Kind::above_all, nutrient.id, found, "at most 100 %",
            of_nitrogen
                ? "Only free amino acids and urea hold more nitrogen x 6.25 than they weigh: "
                  "such a one says \"category\": \"amino-acid\""
                : "Is it in another unit? It can be written with its unit, as \"12 g/kg\"");
        return false;
    }

    // ---- amino acids

    struct AminoAcids {
        double weight = 0;
        double as_protein = 0;  // nitrogen x 6.25
        std::string most;       // the one there is most of
        double most_amount = 0;
        int count = 0;
    };

    AminoAcids add_amino_acids() const {
        constexpr double nitrogen_factor = 6.25;
        AminoAcids sum;
        const auto count = [&](const std::string& id, double amount, double nitrogen) {
            sum.weight += amount;
            sum.as_protein += amount * nitrogen * nitrogen_factor;
            sum.count += amount > 0 ? 1 : 0;
            if (amount > sum.most_amount) {
                sum.most = id;
                sum.most_amount = amount;
            }
        };
        for (const Nutrient& nutrient : dictionary_.all()) {
            if (nutrient.group != "amino_acid") continue;
            if (!nutrient.derived) {
                if (const auto amount = stated(nutrient.id))
                    count(nutrient.id, *amount, nitrogen_of(nutrient.id));
                continue;
            }
            // A sum such as methionine + cystine counts by what it has beyond the parts that are
            // known alone.
            const auto whole = stated(nutrient.id);
            if (!whole) continue;
            double beyond = *whole;
            double nitrogen = 1;
            for (const auto& [term, factor] : nutrient.derived->terms) {
                beyond -= stated(term).value_or(0);
                nitrogen = std::min(nitrogen, nitrogen_of(term));
            }
            if (beyond > 0) count(nutrient.id, beyond, nitrogen);
        }
        return sum;
    }

    // The crude protein of a free amino acid is its nitrogen, and nothing else; proteins have many.
    static bool are_free(const AminoAcids& sum, double protein) {
        constexpr double all = 0.9;
        constexpr int most_in_one_product = 2;
        return sum.count <= most_in_one_product && sum.as_protein >= all * protein &&
               sum.as_protein <= protein * between_methods && sum.count > 0;
    }

    bool is_nitrogen_compound() const {
        if (ingredient_.category == "amino-acid" || ingredient_.category == "mineral") return true;
        return are_free(add_amino_acids(), known("crude_protein").value_or(0));
    }

    void judge_amino_acids() {
        const AminoAcids sum = add_amino_acids();
        const auto protein = known("crude_protein");
        if (!protein || sum.count == 0) return;
        const std::string in = fmt::format(" in {} % crude protein", say(*protein));
        const std::string hint =
            "Figures in g per 16 g N are percent of the protein: multiply them by the protein and "
            "divide by 100";
        const bool free = ingredient_.category == "amino-acid" || are_free(sum, *protein);
        if (!free && sum.most_amount > *protein * between_methods) {
            add(Kind::amino_acids, sum.most, with_unit(sum.most, sum.most_amount) + in,
                "no more than the protein", hint);
        } else if (!free && sum.weight > weight_of_free * *protein) {
            add(Kind::amino_acids, "",
                fmt::format("amino acids that add to {} %", say(sum.weight)) + in,
                "no more than the protein", hint);
        } else if (sum.as_protein > *protein * between_methods) {
            const std::string one = sum.count == 1 ? sum.most : "";
            add(Kind::amino_acids, one,
                fmt::format("{} whose nitrogen x 6.25 is {} %",
                            one.empty() ? "amino acids" : with_unit(one, sum.most_amount),
                            say(sum.as_protein)) +
                    in,
                "no more than the protein", hint);
        }
    }

    // ---- parts and wholes

    void judge_parts() {
        if (is_nitrogen_compound()) return;  // nitrogen x 6.25 is no weight there
        struct Named {
            const char* id;
            const char* word;
        };
        std::vector<std::string> words;
        double parts = 0;
        for (const Named& part : {Named{"crude_protein", "protein"}, Named{"crude_lipid", "lipid"},
                                  Named{"crude_fibre", "fibre"}, Named{"ash", "ash"},
                                  Named{"starch", "starch"}, Named{"sugars", "sugars"}}) {
            const auto amount = stated(part.id);
            if (!amount || !(*amount > 0)) continue;
            words.emplace_back(part.word);
            parts += *amount;
        }
        if (!stated("ash")) {
            double minerals = 0;
            for (const char* id :
                 {"calcium", "phosphorus", "sodium", "potassium", "magnesium", "chloride"}) {
                minerals += stated(id).value_or(0);
            }
            if (minerals > 0) words.emplace_back("minerals");
            parts += minerals;
        }
        const auto dry_matter = known("dry_matter");
        const double whole = dry_matter.value_or(100);
        if (parts <= whole + std::min(most_points_over, most_share_over * whole)) return;
        const std::string names = base::join_words(words, " and ");
        add(Kind::parts, "",
            fmt::format("{} that {} to {} % as fed{}", names, words.size() == 1 ? "adds" : "add",
                        say(parts),
                        dry_matter ? fmt::format(", in {} % dry matter", say(whole)) : ""),
            dry_matter ? "no more than the dry matter" : "no more than 100 %",
            "Amounts on dry matter say \"basis\": \"dry_matter\"");
    }

    void judge_part(const Part& rule) {
        const auto part = stated(rule.part);
        const auto whole = stated(rule.whole);
        if (!part || !whole || *part <= *whole * rule.slack) return;
        add(Kind::part_of_whole, rule.part,
            with_unit(rule.part, *part) + " in " + with_unit(rule.whole, *whole),
            fmt::format("no more than the {}", name(rule.whole)), scaled_hint(rule.whole));
    }

    // A sum that is stated holds at least the parts that are stated beside it.
    void judge_sums() {
        for (const Nutrient& nutrient : dictionary_.all()) {
            if (!nutrient.derived || nutrient.derived->kind != Derivation::Kind::sum ||
                !nutrient.derived->digestible_of.empty())
                continue;
            const auto whole = stated(nutrient.id);
            if (!whole) continue;
            double parts = 0;
            std::vector<std::string> words;
            std::string_view last;
            for (const auto& [term, factor] : nutrient.derived->terms) {
                const auto part = stated(term);
                if (!part || !(*part > 0) || factor != 1) continue;
                parts += *part;
                words.push_back(name(term));
                last = term;
            }
            if (words.empty() || parts <= *whole * between_methods) continue;
            const std::string in = " in " + with_unit(nutrient.id, *whole);
            add(Kind::part_of_whole, words.size() == 1 ? last : std::string_view(nutrient.id),
                words.size() == 1
                    ? with_unit(last, parts) + in
                    : fmt::format("{} that add to {} {}", base::join_words(words, " and "),
                                  say(parts), nutrient.unit) +
                          in,
                fmt::format("no more than the {}", nutrient.name), scaled_hint(nutrient.id));
        }
    }

    void judge_fatty_acids() {
        const auto lipid = stated("crude_lipid");
        if (!lipid) return;
        const double most = *lipid * between_methods;
        const std::string in = " in " + with_unit("crude_lipid", *lipid);
        const std::string expected = "no more than the lipid";
        const std::string hint =
            "Figures in percent of the fatty acids are to be multiplied by the lipid and divided "
            "by "
            "100";
        const auto own_hint = [&] {
            const std::string scaled = scaled_hint("crude_lipid");
            return scaled.empty() ? hint : scaled;
        };
        bool told = false;
        for (const Nutrient& nutrient : dictionary_.all()) {
            if (nutrient.group != "fatty_acid") continue;
            const auto amount = stated(nutrient.id);
            if (!amount || *amount <= most) continue;
            add(Kind::part_of_whole, nutrient.id, with_unit(nutrient.id, *amount) + in, expected,
                own_hint());
            told = true;
        }
        if (told) return;
        const auto amount = [&](std::string_view id) { return stated(id).value_or(0); };
        const double long_n3 = std::max(amount("epa_dha"), amount("epa") + amount("dha"));
        const double n3 = std::max(amount("n3_fatty_acids"), amount("linolenic_18_3n3") + long_n3);
        const double n6 = std::max(amount("n6_fatty_acids"),
                                   amount("linoleic_18_2n6") + amount("arachidonic_20_4n6"));
        const double all = std::max(
            n3 + n6, amount("linoleic_plus_linolenic") + long_n3 + amount("arachidonic_20_4n6"));
        if (all <= most) return;
        add(Kind::part_of_whole, "", fmt::format("fatty acids that add to {} %", say(all)) + in,
            expected, own_hint());
    }

    // The user gave one of the two, and the other came along with what is extended.
    std::string scaled_hint(std::string_view whole) const {
        if (ingredient_.kin.empty()) return "";
        return fmt::format("What is not stated is taken from {}: state both, the part and the {}",
                           ingredient_.kin.front(), name(whole));
    }

    const Ingredient& ingredient_;
    const NutrientDictionary& dictionary_;
    std::vector<ImpossibleValue>& found_;
    Composition composition_;
};

}  // namespace

std::vector<ImpossibleValue> impossible_values(const Ingredient& ingredient,
                                               const NutrientDictionary& dictionary) {
    std::vector<ImpossibleValue> found;
    Judge judge(ingredient, dictionary, found);
    judge.judge({});
    std::vector<std::string> words;
    for (const StatedValue& value : ingredient.stated)
        words.insert(words.end(), value.animals.begin(), value.animals.end());
    std::sort(words.begin(), words.end());
    words.erase(std::unique(words.begin(), words.end()), words.end());
    for (const std::string& word : words) {
        // It names a species or a group; what holds for it is the same either way.
        Animal animal;
        animal.species = word;
        animal.group = word;
        judge.judge(animal);
    }
    return found;
}

std::optional<base::Diagnostic> impossible_limit(const Nutrient& nutrient, double amount,
                                                 Basis basis) {
    if (basis == Basis::of_protein) return std::nullopt;  // g per 100 g, and free ones weigh more
    if (is_energy(nutrient)) {
        if (!is_too_much_energy(nutrient, amount)) return std::nullopt;
        return base::Diagnostic{"", "", fmt::format("{} {}", base::shortest(amount), nutrient.unit),
                                expected_energy(nutrient), likely_reading(amount).hint};
    }
    const auto percent = base::convert(amount, nutrient.unit, "%");
    if (!percent || *percent <= 100) return std::nullopt;
    return base::Diagnostic{"", "", fmt::format("{} {}", base::shortest(amount), nutrient.unit),
                            "at most 100 %", ""};
}

std::optional<base::Diagnostic> limits_at_odds(const Nutrient& amino_acid, double floor,
                                               double most_protein) {
    if (amino_acid.group != "amino_acid" || floor <= most_protein * between_methods)
        return std::nullopt;
    return base::Diagnostic{
        "", "",
        fmt::format("at least {} % {} and at most {} % crude protein", base::shortest(floor),
                    amino_acid.name, base::shortest(most_protein)),
        "no more of an amino acid than of the protein",
        "A limit in g per 16 g N says \"basis\": \"of_protein\""};
}

}  // namespace feedwright::catalog
