// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/job.hpp"

#include "base/csv.hpp"
#include "base/file.hpp"
#include "base/json.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "base/units.hpp"
#include "catalog/extension.hpp"
#include "catalog/loading.hpp"
#include "catalog/plausible.hpp"
#include "job/price_sense.hpp"
#include "job/profile_limits.hpp"
#include "job/table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <map>
#include <set>
#include <tuple>
#include <utility>

namespace feedwright::job {

namespace {

using base::JsonView;
using catalog::Basis;

constexpr double unlimited = std::numeric_limits<double>::max();

std::vector<std::string> choice_ids(const Job& job) {
    std::vector<std::string> ids;
    for (const Choice& choice : job.ingredients)
        ids.push_back(choice.id);
    return ids;
}

// Reads jobs and recipes; both are one format but for `amount`.
class Reader {
  public:
    Reader(catalog::Library& library, const ReadOptions& options, bool recipe)
        : library_(library), options_(options), recipe_(recipe) {
        job_.dictionary = library.dictionary();
        job_.caps_in_use = options.caps;
        job_.enforce = options.enforce;
        job_.fish_per_m2 = options.fish_per_m2;
    }

    Job read_json(const std::string& file, const std::shared_ptr<const base::JsonDocument>& text) {
        job_.file = file;
        job_.inputs.push_back(file);
        const JsonView root(text, diagnostics_);
        if (!root.require_format(recipe_ ? "feedwright-recipe/1" : "feedwright-job/1")) {
            diagnostics_.throw_if_any();
        }
        read_settings(root);
        const auto own_nutrients = root.array("nutrients");
        for (const JsonView& item : own_nutrients)
            read_own_nutrient(item);
        for (const JsonView& item : own_nutrients)
            catalog::require_terms(item, job_.dictionary);
        set_profile(root);
        for (const JsonView& item : root.array("ingredients"))
            read_ingredient(item);
        add_extras();
        if (job_.ingredients.empty() && diagnostics_.empty()) {
            root.problem_found("no ingredients", "at least one in \"ingredients\"");
        }
        sort_ingredients();
        for (const JsonView& item : root.array("limits"))
            read_limit(item);
        for (const JsonView& item : root.array("groups"))
            read_group(item);
        for (const JsonView& item : root.array("ratios"))
            read_ratio(item);
        for (const JsonView& item : root.array("replacements"))
            read_replacement(item);
        return finish();
    }

    Job from_prices() {
        job_.file = options_.prices->file;
        set_moisture();
        set_profile_id(*options_.profile,
                       [&](std::string found, std::string expected, std::string hint) {
                           diagnostics_.add({"command line", "--for", std::move(found),
                                             std::move(expected), std::move(hint)});
                       });
        for (const PricedIngredient& row : options_.prices->rows) {
            add_library_choice(row.ingredient, options_.prices->file,
                               row.place + ", column ingredient");
        }
        add_extras();
        sort_ingredients();
        return finish();
    }

    Job read_recipe_csv(const std::string& file) {
        job_.file = file;
        set_moisture();
        job_.inputs.push_back(file);
        if (options_.profile) {
            set_profile_id(*options_.profile,
                           [&](std::string found, std::string expected, std::string hint) {
                               diagnostics_.add({"command line", "--for", std::move(found),
                                                 std::move(expected), std::move(hint)});
                           });
        }
        base::CsvTable table = base::parse_csv(base::read_file(file), file);
        for (std::string& name : table.header) {
            if (base::lower(name) != "percent") continue;
            name = "amount";
            bare_ = AmountsIn::percent;
        }
        const Columns columns(table, {"ingredient", "amount"}, {"price", "note"}, diagnostics_);
        for (const base::CsvRow& row : table.rows) {
            const Cells cells(columns, row, diagnostics_);
            const std::string id = cells.text("ingredient");
            Choice* choice =
                add_library_choice(id, file, fmt::format("line {}, column ingredient", row.line));
            const auto amount = read_amount(cells);
            if (cells.text("amount").empty())
                cells.problem("amount", "an empty cell", "parts, zero or more");
            if (amount && *amount < 0) {
                cells.problem("amount", base::shortest(*amount), "parts, zero or more");
            }
            std::optional<double> price;
            if (const std::string text = cells.text("price"); !text.empty()) {
                price = base::parse_price_per_kg(text);
                if (!price) cells.problem("price", '"' + text + '"', price_form, price_hint(text));
            }
            if (choice != nullptr) {
                choice->amount = amount;
                choice->price = price;
            }
        }
        if (table.rows.empty()) {
            diagnostics_.add({file, fmt::format("line {}", table.header_line), "no ingredients",
                              "at least one line below the header", ""});
        }
        sort_ingredients();
        return finish();
    }

  private:
    using Complain = const std::function<void(std::string, std::string, std::string)>&;

    void read_settings(const JsonView& root) {
        root.allow_only({"format", "title", "profile", "currency", "batch_kg", "finished_moisture",
                         "total", "ingredients", "limits", "groups", "ratios", "replacements",
                         "nutrients", "note", "species", "system", "fish_per_m2"});
        job_.title = root.string("title").value_or("");
        job_.currency = root.string("currency").value_or("");
        if (const auto batch = root.member("batch_kg")) {
            if (batch->is_string()) {
                job_.batch_kg = base::parse_mass_kg(batch->value().string);
            } else if (batch->is_number() && batch->value().number >= base::least_mass_kg) {
                job_.batch_kg = batch->value().number;
            }
            if (!job_.batch_kg) batch->problem("a weight above zero, in kg or as \"50 lb\"");
        }
        if (const auto moisture = root.member("finished_moisture")) {
            if (const auto percent = moisture->as_number()) {
                if (*percent < 0 || *percent > 99) {
                    moisture->problem("percent of water in the finished feed, from 0 to 99");
                } else {
                    job_.finished_moisture = *percent;
                }
            }
        }
        set_moisture();
        read_system(root);
        if (const auto total = root.member("total")) {
            const auto word = total->as_string();
            if (word && *word != "free") total->problem("\"free\", or no \"total\" at all");
            job_.free_total = true;
            if (job_.finished_moisture) {
                total->problem_found("a free total and a finished moisture", "one of the two",
                                     "A finished moisture is a share of one kg of feed");
            }
        }
    }

    void read_system(const JsonView& root) {
        const auto system = root.member("system");
        const auto density = root.number_within("fish_per_m2", 0, 1000, "animals per m2 of pond");
        if (!system) {
            if (density)
                root.member("fish_per_m2")
                    ->problem_found("a density and no \"system\"",
                                    "\"system\": \"pond\" beside it");
            return;
        }
        const auto word = system->as_string();
        if (word && *word != "pond") system->problem("\"pond\", or no \"system\" at all");
        if (!job_.fish_per_m2) job_.fish_per_m2 = density.value_or(0);
    }

    void set_moisture() {
        if (options_.finished_moisture) job_.finished_moisture = options_.finished_moisture;
    }

    void read_own_nutrient(const JsonView& item) {
        auto nutrient = catalog::read_nutrient(item);
        if (!nutrient) return;
        const bool per_kg = nutrient->unit.size() > 3 && nutrient->unit.ends_with("/kg");
        if (!base::is_known_unit(nutrient->unit) && !per_kg) {
            item.member("unit")->problem(
                "a unit such as %, g/kg or IU/kg, or any that ends in /kg");
        }
        if (!job_.dictionary.add(*nutrient)) {
            item.problem_found(
                fmt::format("the nutrient \"{}\", which is there already", nutrient->id),
                "an id of its own");
        }
    }

    void set_profile(const JsonView& root) {
        const auto view = root.member("profile");
        const auto named = view ? view->as_string() : std::nullopt;
        if (options_.profile) {
            set_profile_id(*options_.profile,
                           [&](std::string found, std::string expected, std::string hint) {
                               diagnostics_.add({"command line", "--for", std::move(found),
                                                 std::move(expected), std::move(hint)});
                           });
        } else if (const auto species = root.member("species")) {
            if (named) {
                species->problem_found("a species beside a profile", "one of the two",
                                       "The profile names its species");
            } else {
                set_species(*species);
            }
        } else if (named) {
            set_profile_id(*named, [&](std::string found, std::string expected, std::string hint) {
                view->problem_found(std::move(found), std::move(expected), std::move(hint));
            });
        }
    }

    // The animal without its needs: for digestibility and energy values that differ by species.
    void set_species(const JsonView& view) {
        const auto id = view.as_string();
        if (!id) return;
        const catalog::Profile* profile = library_.profile(*id);
        if (profile == nullptr) {
            view.problem("a species of the library", base::did_you_mean(*id, library_.species()));
            return;
        }
        job_.animal = {profile->species, profile->group, profile->feeds_as, ""};
    }

    void set_profile_id(const std::string& id, Complain complain) {
        const std::size_t slash = id.find('/');
        const std::string species = id.substr(0, slash);
        if (id.ends_with(".csv") || id.ends_with(".json")) {
            complain(fmt::format("\"{}\", which looks like the name of a file", id),
                     "a species/stage such as nile-tilapia/grow-out",
                     id.ends_with(".csv")
                         ? "Price lists go behind --prices"
                         : "Profiles of your own go behind --library, and are named here");
            return;
        }
        profile_ = library_.profile(species);
        if (profile_ == nullptr) {
            complain_of_species(id, species, complain);
            return;
        }
        const std::string stage = slash == std::string::npos ? std::string{} : id.substr(slash + 1);
        stage_ = profile_->stage(stage);
        if (stage_ == nullptr) {
            std::vector<std::string> stages;
            for (const auto& s : profile_->stages)
                stages.push_back(species + '/' + s.id);
            complain(fmt::format("\"{}\", which names no stage of {}", id, profile_->name),
                     "one of " + base::join_words(stages, " or "),
                     stage.empty() ? "" : base::did_you_mean(id, stages));
            return;
        }
        job_.profile = ProfileInUse{species + '/' + stage, profile_->name, stage_->name,
                                    stage_->note, profile_->lacks};
        job_.animal = {profile_->species, profile_->group, profile_->feeds_as, stage};
        job_.stage = stage;
    }

    // Lists the stages of what was meant: every species whose id has the word, else the nearest.
    void complain_of_species(const std::string& id, const std::string& species, Complain complain) {
        std::vector<std::string> meant;
        for (const std::string& known : library_.species()) {
            if (species.size() > 2 && known.find(species) != std::string::npos)
                meant.push_back(known);
        }
        const std::string near = base::nearest(species, library_.species());
        if (meant.empty() && !near.empty()) meant.push_back(near);
        std::vector<std::string> stages;
        for (const std::string& known : meant) {
            for (const auto& stage : library_.profile(known)->stages) {
                stages.push_back(known + '/' + stage.id);
            }
        }
        const std::string same_stage = near + id.substr(species.size());
        const bool exists = std::find(stages.begin(), stages.end(), same_stage) != stages.end();
        complain(fmt::format("the unknown profile \"{}\"", id),
                 stages.empty() ? "a species/stage such as nile-tilapia/grow-out"
                                : "one of " + base::join_words(stages, " or "),
                 exists           ? "Did you mean \"" + same_stage + "\"?"
                 : stages.empty() ? "\"feedwright list profiles\" lists all"
                                  : "");
    }

    Choice* add(Choice choice, const std::string& file, const std::string& place) {
        if (job_.find(choice.id) != nullptr) {
            diagnostics_.add({file, place, fmt::format("the ingredient \"{}\" again", choice.id),
                              "each ingredient once", ""});
            return nullptr;
        }
        job_.ingredients.push_back(std::move(choice));
        return &job_.ingredients.back();
    }

    static void describe(Choice& choice, const catalog::Ingredient& ingredient) {
        choice.name = ingredient.name;
        choice.category = ingredient.category;
        choice.role = ingredient.role;
        choice.processing = ingredient.processing;
        choice.kin = ingredient.kin;
    }

    Choice* add_library_choice(const std::string& id, const std::string& file,
                               const std::string& place) {
        const catalog::Ingredient* ingredient = library_.ingredient(id);
        if (ingredient == nullptr) {
            diagnostics_.add({file, place, fmt::format("the unknown ingredient \"{}\"", id),
                              "an ingredient of the library",
                              ingredient_hint(id, library_.ingredient_ids())});
            return nullptr;
        }
        Choice choice;
        choice.id = id;
        describe(choice, *ingredient);
        choice.composition = composition_of(*ingredient);
        return add(std::move(choice), file, place);
    }

    void add_extras() {
        for (const Extra& extra : options_.with) {
            const std::string place = "--with " + extra.ingredient;
            if (job_.find(extra.ingredient) == nullptr) {
                add_library_choice(extra.ingredient, "command line", place);
                continue;
            }
            diagnostics_.add({"command line", place,
                              fmt::format("the ingredient \"{}\" again", extra.ingredient),
                              "each ingredient once",
                              fmt::format("To try another price: --set {}.price={}",
                                          extra.ingredient, base::shortest(extra.price))});
        }
    }

    // As composed, but for what the options state anew.
    catalog::Composition composition_of(const catalog::Ingredient& ingredient) {
        std::optional<catalog::Ingredient> changed;
        for (const Restated& restated : options_.restated) {
            if (restated.ingredient != ingredient.id) continue;
            catalog::Ingredient own;
            own.id = ingredient.id;
            catalog::StatedValue value;
            value.nutrient = restated.nutrient;
            value.amount = restated.amount;
            value.source = "job";
            own.stated.push_back(std::move(value));
            changed = catalog::extended(changed ? *changed : ingredient, std::move(own),
                                        catalog::Scale::none, job_.dictionary);
        }
        if (changed) require_possible_as_restated(ingredient, *changed);
        return compose(changed ? *changed : ingredient, job_.dictionary, job_.animal);
    }

    // What was so before the change is not what the change did.
    void require_possible_as_restated(const catalog::Ingredient& before,
                                      const catalog::Ingredient& after) {
        const auto known = catalog::impossible_values(before, job_.dictionary);
        for (catalog::ImpossibleValue& impossible :
             catalog::impossible_values(after, job_.dictionary)) {
            const auto is_same = [&](const catalog::ImpossibleValue& other) {
                return other.problem.found == impossible.problem.found;
            };
            if (std::any_of(known.begin(), known.end(), is_same)) continue;
            const Restated* at_fault = nullptr;
            for (const Restated& restated : options_.restated) {
                if (restated.ingredient != before.id) continue;
                if (at_fault == nullptr || restated.nutrient == impossible.nutrient)
                    at_fault = &restated;
            }
            const catalog::Nutrient* nutrient = job_.dictionary.find(at_fault->nutrient);
            const bool told = nutrient != nullptr && nutrient->unit == "%" &&
                              at_fault->amount > catalog::most_percent(*nutrient);
            if (told) continue;  // by check_restated
            impossible.problem.file = "command line";
            impossible.problem.place =
                "--weaken " + at_fault->ingredient + '.' + at_fault->nutrient;
            diagnostics_.add(std::move(impossible.problem));
        }
    }

    void check_restated() {
        for (const Restated& restated : options_.restated) {
            const std::string place = "--weaken " + restated.ingredient + '.' + restated.nutrient;
            if (job_.find(restated.ingredient) == nullptr) {
                diagnostics_.add(
                    {"command line", place,
                     fmt::format("\"{}\", which is no ingredient of the job", restated.ingredient),
                     "an ingredient of the job",
                     base::did_you_mean(restated.ingredient, choice_ids(job_))});
            }
            const catalog::Nutrient* nutrient = job_.dictionary.find(restated.nutrient);
            if (nutrient != nullptr && nutrient->unit == "%" &&
                restated.amount > catalog::most_percent(*nutrient)) {
                diagnostics_.add(
                    {"command line", place, base::shortest(restated.amount),
                     fmt::format("at most {} %", base::shortest(catalog::most_percent(*nutrient))),
                     ""});
            }
            if (nutrient == nullptr) {
                diagnostics_.add({"command line", place,
                                  fmt::format("the unknown nutrient \"{}\"", restated.nutrient),
                                  "the id of a nutrient",
                                  base::did_you_mean(restated.nutrient, job_.dictionary.ids())});
            }
        }
    }

    void read_ingredient(const JsonView& item) {
        item.allow_only({"id", "name", "price", "min", "max", "min_if_used", "stock_kg", "amount",
                         "dry_matter", "basis", "nutrients", "category", "note", "extend",
                         "scale"});
        const auto id = item.required("id");
        const auto text = id ? id->as_string() : std::nullopt;
        if (!text) return;
        Choice* choice = nullptr;
        if (item.has("nutrients") || item.has("dry_matter") || item.has("extend")) {
            choice = add_inline(item, *id, *text);
        } else {
            choice = add_library_choice(*text, item.file(), id->place());
        }
        Choice unusable;  // what else is wrong with it is told all the same
        if (choice == nullptr) choice = &unusable;
        if (const auto name = item.string("name")) choice->name = *name;
        read_price(item, *choice);
        read_shares(item, *choice);
    }

    Choice* add_inline(const JsonView& item, const JsonView& id_view, const std::string& id) {
        catalog::require_id(id_view, id, '-');
        catalog::Ingredient own;
        own.id = id;
        own.name = item.string("name").value_or(item.has("extend") ? "" : id);
        own.category = item.string("category").value_or("");
        const Basis basis = catalog::read_basis(item);
        if (const auto dry_matter = item.member("dry_matter")) {
            own_value(*dry_matter, "dry_matter", Basis::as_fed, own);
        }
        if (const auto nutrients = item.member("nutrients")) {
            for (const auto& [nutrient, value] : nutrients->members()) {
                if (nutrient == "dry_matter" && item.has("dry_matter")) {
                    value.problem_found("dry_matter twice", "it once");
                    continue;
                }
                own_value(value, nutrient, nutrient == "dry_matter" ? Basis::as_fed : basis, own);
            }
        }
        const catalog::IngredientLookup lookup{
            [this](std::string_view other) { return library_.ingredient(other); },
            [this] { return library_.ingredient_ids(); }};
        own = catalog::extend_as_asked(item, std::move(own), job_.dictionary, lookup);
        Choice choice;
        choice.id = id;
        describe(choice, own);
        if (basis != Basis::as_fed) {
            const auto states = [&](std::string_view nutrient) {
                return std::any_of(own.stated.begin(), own.stated.end(),
                                   [&](const auto& value) { return value.nutrient == nutrient; });
            };
            if (basis == Basis::dry_matter && !states("dry_matter")) {
                item.problem_found("amounts on dry matter and no \"dry_matter\"",
                                   "the dry matter in percent");
            }
            if (basis == Basis::of_protein) {
                item.member("basis")->problem("as_fed or dry_matter");
            }
        }
        catalog::require_possible(item, own, job_.dictionary);
        choice.composition = composition_of(own);
        return add(std::move(choice), item.file(), id_view.place());
    }

    void own_value(const JsonView& view, const std::string& nutrient, Basis basis,
                   catalog::Ingredient& own) {
        const catalog::Nutrient* known = catalog::find_nutrient(view, nutrient, job_.dictionary);
        if (known == nullptr) return;
        if (const auto amount = catalog::read_amount(view, *known, basis)) {
            own.stated.push_back({nutrient, *amount, basis, "job", {}, {}, "", {}, false});
        }
    }

    void read_price(const JsonView& item, Choice& choice) {
        const auto view = item.member("price");
        if (!view) return;
        if (view->is_string()) {
            choice.price = base::parse_price_per_kg(view->value().string);
            if (!choice.price) view->problem(price_form, price_hint(view->value().string));
        } else if (view->is_number() && view->value().number >= 0) {
            choice.price = view->value().number;
        } else {
            view->problem(price_form);
        }
    }

    void read_shares(const JsonView& item, Choice& choice) {
        const double most = job_.free_total ? unlimited : 100;
        const auto share = [&](std::string_view key) -> std::optional<double> {
            const auto view = item.member(key);
            if (!view) return std::nullopt;
            const auto value = view->as_number();
            if (value && (*value < 0 || *value > most)) {
                view->problem(job_.free_total ? "kg, zero or more"
                                              : "percent of the mix, from 0 to 100");
                return std::nullopt;
            }
            return value;
        };
        choice.min = share("min");
        choice.max = share("max");
        choice.min_if_used = share("min_if_used");
        catalog::require_order(item, choice.min, choice.max);
        if (choice.min_if_used && choice.max && *choice.min_if_used > *choice.max) {
            item.member("min_if_used")->problem("at most the max of this ingredient");
        }
        if (const auto stock = item.member("stock_kg")) {
            const auto kg = stock->as_number();
            if (kg && *kg < 0) {
                stock->problem("kg, zero or more");
            } else {
                choice.stock_kg = kg;
            }
        }
        const auto amount = item.member("amount");
        if (amount && !recipe_) {
            amount->problem_found("an amount in a job", "no amount",
                                  "A recipe has amounts: use \"format\": \"feedwright-recipe/1\" "
                                  "and the command check");
        } else if (amount) {
            const auto parts = amount->as_number();
            if (parts && *parts < 0) {
                amount->problem("parts, zero or more");
            } else {
                choice.amount = parts;
            }
        } else if (recipe_) {
            item.problem_found("no \"amount\"", "the parts of this ingredient");
        }
    }

    void sort_ingredients() {
        std::sort(job_.ingredients.begin(), job_.ingredients.end(),
                  [](const Choice& a, const Choice& b) { return a.id < b.id; });
    }

    void read_limit(const JsonView& item) {
        item.allow_only({"nutrient", "min", "max", "basis", "note", "source"});
        const auto id = item.required("nutrient");
        const catalog::Nutrient* nutrient =
            id ? catalog::read_nutrient_id(*id, job_.dictionary) : nullptr;
        if (nutrient == nullptr) return;
        NutrientLimit limit;
        limit.nutrient = nutrient->id;
        limit.basis = catalog::read_basis(item);
        limit.source = item.string("source").value_or("job");
        limit.note = item.string("note").value_or("");
        if (job_.free_total && limit.basis == Basis::as_fed) {
            limit.is_amount = true;
            limit.min = item.number_within("min", 0, unlimited, "an amount");
            limit.max = item.number_within("max", 0, unlimited, "an amount");
        } else {
            limit.min = catalog::read_limit(item, "min", *nutrient, limit.basis);
            limit.max = catalog::read_limit(item, "max", *nutrient, limit.basis);
        }
        if (!item.has("min") && !item.has("max")) {
            item.problem_found("neither \"min\" nor \"max\"", "at least one of them");
        }
        catalog::require_order(item, limit.min, limit.max);
        for (const NutrientLimit& other : job_.limits) {
            require_reachable(item, limit, other);
            require_reachable(item, other, limit);
            if (other.nutrient == limit.nutrient && other.basis == limit.basis) {
                item.problem_found(fmt::format("a second limit on {}", nutrient->name),
                                   "one limit for each nutrient and basis",
                                   "Put min and max in one entry");
            }
        }
        job_.limits.push_back(std::move(limit));
    }

    // A floor on an amino acid above the ceiling on protein.
    void require_reachable(const JsonView& item, const NutrientLimit& amino_acid,
                           const NutrientLimit& protein) {
        if (protein.nutrient != "crude_protein" || !protein.max || !amino_acid.min ||
            protein.basis != amino_acid.basis || protein.is_amount != amino_acid.is_amount) {
            return;
        }
        const auto problem = catalog::limits_at_odds(*job_.dictionary.find(amino_acid.nutrient),
                                                     *amino_acid.min, *protein.max);
        if (problem) item.problem_found(problem->found, problem->expected, problem->hint);
    }

    void require_choice(const JsonView& view, const std::string& id) {
        if (job_.find(id) == nullptr) {
            view.problem_found(fmt::format("\"{}\", which is no ingredient of the job", id),
                               "an id from \"ingredients\"",
                               base::did_you_mean(id, choice_ids(job_)));
        }
    }

    void read_group(const JsonView& item) {
        item.allow_only({"name", "ingredients", "min", "max", "note"});
        GroupLimit group;
        const auto name = item.required("name");
        if (name) group.name = name->as_string().value_or("");
        std::set<std::string> seen;
        for (const JsonView& member : item.array("ingredients")) {
            const auto id = member.as_string();
            if (!id) continue;
            require_choice(member, *id);
            if (!seen.insert(*id).second) member.problem_found('"' + *id + "\" again", "each once");
            group.ingredients.push_back(*id);
        }
        if (group.ingredients.empty() && item.has("ingredients")) {
            item.problem_found("a group without ingredients", "at least one");
        }
        item.required("ingredients");
        const double most = job_.free_total ? unlimited : 100;
        group.min = item.number_within("min", 0, most, "percent of the mix");
        group.max = item.number_within("max", 0, most, "percent of the mix");
        if (!item.has("min") && !item.has("max")) {
            item.problem_found("neither \"min\" nor \"max\"", "at least one of them");
        }
        catalog::require_order(item, group.min, group.max);
        for (const GroupLimit& other : job_.groups) {
            if (other.name == group.name) {
                item.problem_found(fmt::format("a second group \"{}\"", group.name),
                                   "a name of its own");
            }
        }
        job_.groups.push_back(std::move(group));
    }

    void read_ratio(const JsonView& item) {
        item.allow_only({"of", "to", "min", "max", "note", "source"});
        RatioLimit ratio;
        const auto read_id = [&](std::string_view key) {
            const auto view = item.required(key);
            const catalog::Nutrient* nutrient =
                view ? catalog::read_nutrient_id(*view, job_.dictionary) : nullptr;
            return nutrient == nullptr ? std::string{} : nutrient->id;
        };
        ratio.of = read_id("of");
        ratio.to = read_id("to");
        if (ratio.of == ratio.to && !ratio.of.empty()) {
            item.member("to")->problem("another nutrient than \"of\"");
        }
        ratio.min = item.number_within("min", 0, unlimited, "a ratio");
        ratio.max = item.number_within("max", 0, unlimited, "a ratio");
        ratio.source = item.string("source").value_or("job");
        if (!item.has("min") && !item.has("max")) {
            item.problem_found("neither \"min\" nor \"max\"", "at least one of them");
        }
        catalog::require_order(item, ratio.min, ratio.max);
        for (const RatioLimit& other : job_.ratios) {
            if (other.of == ratio.of && other.to == ratio.to) {
                item.problem_found(fmt::format("a second ratio {} : {}", ratio.of, ratio.to),
                                   "one for each pair");
            }
        }
        if (!ratio.of.empty() && !ratio.to.empty()) job_.ratios.push_back(std::move(ratio));
    }

    void read_replacement(const JsonView& item) {
        item.allow_only({"ingredient", "of", "max", "note", "source"});
        ReplacementLimit replacement;
        if (const auto view = item.required("ingredient")) {
            replacement.ingredient = view->as_string().value_or("");
            require_choice(*view, replacement.ingredient);
        }
        if (const auto view = item.required("of")) {
            const std::string reference = view->as_string().value_or("");
            require_choice(*view, reference);
            replacement.references = {reference};
            if (reference == replacement.ingredient) {
                view->problem("another ingredient than the one that replaces it");
            }
        }
        item.required("max");
        replacement.max = item.number_within("max", 0, 100, "percent of the protein").value_or(0);
        replacement.source = item.string("source").value_or("job");
        replacement.note = item.string("note").value_or("");
        job_.replacements.push_back(std::move(replacement));
    }

    void add_candidates() {
        for (const Candidate& candidate : options_.candidates) {
            if (job_.find(candidate.ingredient) != nullptr) continue;
            Choice* choice =
                add_library_choice(candidate.ingredient, candidate.file, candidate.place);
            if (choice == nullptr) continue;
            choice->price = candidate.price;
            choice->max = candidate.max;
            if (recipe_) choice->amount = 0;
        }
        sort_ingredients();
    }

    void apply_prices() {
        if (!options_.prices) return;
        job_.inputs.push_back(options_.prices->file);
        for (const PricedIngredient& row : options_.prices->rows) {
            const auto at =
                std::find_if(job_.ingredients.begin(), job_.ingredients.end(),
                             [&](const Choice& choice) { return choice.id == row.ingredient; });
            if (at == job_.ingredients.end()) {
                if (library_.ingredient(row.ingredient) != nullptr) continue;
                std::vector<std::string> ids = choice_ids(job_);
                const auto more = library_.ingredient_ids();
                ids.insert(ids.end(), more.begin(), more.end());
                diagnostics_.add({options_.prices->file, row.place + ", column ingredient",
                                  fmt::format("the unknown ingredient \"{}\"", row.ingredient),
                                  "an ingredient of the job or the library",
                                  ingredient_hint(row.ingredient, ids)});
                continue;
            }
            at->price = row.price;
            if (row.min) at->min = row.min;
            if (row.max) at->max = row.max;
            if (at->min && at->max && *at->min > *at->max) {
                diagnostics_.add({options_.prices->file, row.place,
                                  fmt::format("limits that leave {} no room", at->id),
                                  "min at most max", ""});
            }
        }
    }

    Job finish() {
        diagnostics_.throw_if_any();
        // The order of a file means nothing: of two limits on a nutrient the one as fed comes
        // first.
        std::sort(job_.limits.begin(), job_.limits.end(), [](const auto& one, const auto& other) {
            return std::tie(one.nutrient, one.basis) < std::tie(other.nutrient, other.basis);
        });
        const auto& own_files = library_.own_files();
        job_.inputs.insert(job_.inputs.end(), own_files.begin(), own_files.end());
        add_candidates();
        apply_prices();
        for (const Extra& extra : options_.with) {
            for (Choice& choice : job_.ingredients) {
                if (choice.id == extra.ingredient) choice.price = extra.price;
            }
        }
        check_restated();
        tell_of_prices(job_);
        if (options_.batch_kg) job_.batch_kg = options_.batch_kg;
        job_.at_most = options_.at_most;
        set_pond();
        if (stage_ != nullptr) add_profile(job_, *profile_, *stage_, library_);
        if (recipe_) job_.tolerances = library_.tolerances();
        if (recipe_) {
            tell_of_total();
            const bool any = std::any_of(job_.ingredients.begin(), job_.ingredients.end(),
                                         [](const Choice& c) { return c.amount.value_or(0) > 0; });
            if (!any && diagnostics_.empty()) {
                diagnostics_.add({job_.file, "", "amounts that are all zero",
                                  "at least one amount above zero", ""});
            }
        }
        diagnostics_.throw_if_any();
        return std::move(job_);
    }

    // Of the ponds known for the animal, the one that just holds so many.
    void set_pond() {
        if (!job_.fish_per_m2) return;
        int best = 0;
        for (const catalog::Pond& pond : library_.ponds()) {
            const int close = catalog::closeness(pond.animals, job_.animal);
            if (close == 0 || pond.fish_per_m2_up_to < *job_.fish_per_m2) continue;
            const bool smaller =
                job_.pond && close == best && pond.fish_per_m2_up_to < job_.pond->fish_per_m2_up_to;
            if (close > best || smaller) job_.pond = pond;
            best = std::max(best, close);
        }
        if (job_.pond) return;
        double most = 0;
        for (const catalog::Pond& pond : library_.ponds()) {
            if (catalog::closeness(pond.animals, job_.animal) > 0) {
                most = std::max(most, pond.fish_per_m2_up_to);
            }
        }
        const bool asked = options_.fish_per_m2.has_value();
        diagnostics_.add(
            {asked ? "command line" : job_.file, asked ? "--system" : "/system",
             most > 0 ? fmt::format("{} animals per m2 of pond", base::shortest(*job_.fish_per_m2))
                      : "a fertilised pond",
             most > 0 ? fmt::format("at most {} for this animal", base::shortest(most))
                      : "an animal for which the library knows ponds",
             most > 0 ? "Where more live together, they live on the feed alone" : ""});
    }

    // Amounts are parts of any total; ones near 100 look meant as percent.
    void tell_of_total() {
        if (job_.free_total || amounts_in_ == AmountsIn::weight) return;
        double sum = 0;
        for (const Choice& choice : job_.ingredients)
            sum += choice.amount.value_or(0);
        constexpr double rounding = 0.005;
        const bool percent = amounts_in_ == AmountsIn::percent || (sum >= 90 && sum <= 110);
        if (!percent || std::abs(sum - 100) <= rounding) return;
        if (amounts_in_ != AmountsIn::percent && job_.batch_kg &&
            std::abs(sum - *job_.batch_kg) <= rounding) {
            return;
        }
        job_.notes.push_back(fmt::format("Your amounts add up to {}, not 100; shares are of that.",
                                         base::compact(sum, 6)));
    }

    enum class AmountsIn { parts, percent, weight };

    // "50", "50 %" or "0.5 kg"; of one kind in the whole file.
    std::optional<double> read_amount(const Cells& cells) {
        const std::string text = cells.text("amount");
        const auto quantity = base::parse_quantity(text);
        const bool has_unit = quantity && !quantity->unit.empty() &&
                              (quantity->unit == "%" || base::kilograms_per(quantity->unit));
        if (!has_unit) {
            if (quantity && text.find_first_not_of("0123456789.,eE+- ") != std::string::npos) {
                cells.problem("amount", '"' + text + '"',
                              "a number, \"50 %\", \"500 g\" or \"0.5 kg\"");
                return std::nullopt;
            }
            const auto parts = cells.number("amount");
            if (!parts) return parts;
            return of_kind(cells, bare_, *parts);
        }
        if (quantity->unit == "%") return of_kind(cells, AmountsIn::percent, quantity->value);
        return of_kind(cells, AmountsIn::weight,
                       quantity->value * *base::kilograms_per(quantity->unit));
    }

    std::optional<double> of_kind(const Cells& cells, AmountsIn kind, double amount) {
        if (amounts_in_ && *amounts_in_ != kind) {
            cells.problem(
                "amount", '"' + cells.text("amount") + '"',
                "the same kind of amount as in the lines before: all parts, all percent or "
                "all weights");
            return std::nullopt;
        }
        amounts_in_ = kind;
        return amount;
    }

    catalog::Library& library_;
    const ReadOptions& options_;
    bool recipe_;
    std::optional<AmountsIn> amounts_in_;  ///< of a table
    AmountsIn bare_ = AmountsIn::parts;    ///< what a number alone is in it
    Job job_;
    base::Diagnostics diagnostics_;
    const catalog::Profile* profile_ = nullptr;
    const catalog::Stage* stage_ = nullptr;
};

// A price list where the job belongs.
void refuse_table(const std::string& file, const std::string& text) {
    const std::string line = base::lower(text.substr(0, std::min(text.find('\n'), text.size())));
    const bool braces = line.find_first_of("{[") != std::string::npos;
    if (braces || !(file.ends_with(".csv") || line.find("ingredient,") != std::string::npos))
        return;
    throw base::DataError(base::Diagnostic{file, "line 1", "a table", "a job (JSON)",
                                           "Price lists go behind --prices, or in a batch after "
                                           "the job; recipes are for check and mend"});
}

}  // namespace

const Choice* Job::find(std::string_view ingredient) const {
    const auto at = std::find_if(ingredients.begin(), ingredients.end(),
                                 [&](const Choice& choice) { return choice.id == ingredient; });
    return at == ingredients.end() ? nullptr : &*at;
}

Job read_job(const std::string& file, catalog::Library& library, const ReadOptions& options) {
    const std::string text = base::read_file(file);
    refuse_table(file, text);
    const auto document = base::parse_json(text, file);
    return Reader(library, options, false).read_json(file, document);
}

Job job_from_prices(catalog::Library& library, const ReadOptions& options) {
    return Reader(library, options, false).from_prices();
}

Job read_recipe(const std::string& file, catalog::Library& library, const ReadOptions& options) {
    if (file.ends_with(".csv")) return Reader(library, options, true).read_recipe_csv(file);
    const auto document = base::parse_json(base::read_file(file), file);
    return Reader(library, options, true).read_json(file, document);
}

}  // namespace feedwright::job
