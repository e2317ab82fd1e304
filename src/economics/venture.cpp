// SPDX-License-Identifier: GPL-3.0-or-later
#include "economics/venture.hpp"

#include "base/file.hpp"
#include "base/json.hpp"
#include "base/text.hpp"
#include "economics/range_reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <utility>

namespace feedwright::economics {

namespace {

constexpr double weeks_per_year = 365.0 / 7;

using Place = std::function<double&(Venture&)>;

// Reads numbers into the venture and remembers the uncertain ones.
class Loader {
  public:
    Loader(Venture& venture, const OwnProduction& own) : venture_(venture), own_(own) {}

    // True when the key is there and good.
    std::optional<Triangular> number(const base::JsonView& object, std::string_view key,
                                     const NumberRule& rule, std::string name, std::string unit,
                                     const Place& at) {
        const auto range = read_triangular(object, key, rule);
        if (range) store(*range, std::move(name), std::move(unit), at);
        return range;
    }

    std::optional<Triangular> required(const base::JsonView& object, std::string_view key,
                                       const NumberRule& rule, std::string name, std::string unit,
                                       const Place& at) {
        object.required(key);
        return number(object, key, rule, std::move(name), std::move(unit), at);
    }

    void store(const Triangular& range, std::string name, std::string unit, const Place& at) {
        at(venture_) = range.likely;
        if (range.low < range.high) {
            venture_.uncertain.push_back({std::move(name), std::move(unit), range, at});
        }
    }

    void top(const base::JsonView& root);

  private:
    using EquipmentList = std::function<std::vector<Equipment>&(Venture&)>;

    void make(const base::JsonView& view);
    void materials(const base::JsonView& view);
    void losses(const base::JsonView& view);
    void labour_and_energy(const base::JsonView& view);
    void extras(const base::JsonView& view);
    void equipment(const base::JsonView& view, const std::string& owner, const EquipmentList& list);
    void own_grown(const base::JsonView& view);
    void yield(const base::JsonView& view, std::size_t index);
    void growing_costs(const base::JsonView& view, std::size_t index);
    void small_packs(const base::JsonView& view, std::size_t index);
    void buy(const base::JsonView& view);
    void scale(const base::JsonView& root);
    void leave_out(bool counted, std::string words) {
        if (!counted) venture_.not_counted.push_back(std::move(words));
    }
    std::string money() const { return venture_.currency; }

    Venture& venture_;
    const OwnProduction& own_;
};

std::vector<LabelValue> read_label(const base::JsonView& view) {
    std::vector<LabelValue> label;
    view.allow_only(label_nutrients());
    for (const auto& [nutrient, value] : view.members()) {
        LabelValue line{nutrient, {}, {}};
        if (value.is_number()) {
            line.min = line.max = read_number(view, nutrient, rules::percent);
        } else {
            value.allow_only({"min", "max"});
            line.min = read_number(value, "min", rules::percent);
            line.max = read_number(value, "max", rules::percent);
            if (!value.has("min") && !value.has("max"))
                value.problem("a \"min\", a \"max\" or both");
            if (line.min && line.max && *line.min > *line.max) {
                value.problem("a min that is not above its max");
            }
        }
        label.push_back(std::move(line));
    }
    return label;
}

void Loader::top(const base::JsonView& root) {
    if (!root.require_format("feedwright-venture/1")) return;
    root.allow_only({"format", "title", "note", "currency", "profile", "make", "buy",
                     "gain_kg_per_year", "feed_kg_per_year", "gain_of"});
    venture_.title = root.string("title").value_or("");
    venture_.note = root.string("note").value_or("");
    venture_.currency = root.string("currency").value_or("");
    venture_.profile = root.string("profile").value_or("");
    venture_.gain_of = root.string("gain_of").value_or("gain");
    if (const auto view = root.required("make")) make(*view);
    if (const auto view = root.required("buy")) buy(*view);
    scale(root);
}

void Loader::make(const base::JsonView& view) {
    view.allow_only({"job",
                     "recipe",
                     "materials_per_kg",
                     "materials_change_percent",
                     "batch_kg",
                     "loss_percent",
                     "losses",
                     "spoilage_percent",
                     "storage_months",
                     "hours_per_batch",
                     "value_of_hour",
                     "kwh_per_batch",
                     "price_per_kwh",
                     "other_per_batch",
                     "drying",
                     "premix",
                     "packaging",
                     "equipment",
                     "start_up",
                     "own_grown",
                     "analysis",
                     "fcr"});
    if (!view.is_object()) return;
    materials(view);
    required(view, "batch_kg", rules::mass, "batch size", "kg",
             [](Venture& v) -> double& { return v.make.batch_kg; });
    losses(view);
    labour_and_energy(view);
    extras(view);
    equipment(view, "", [](Venture& v) -> std::vector<Equipment>& { return v.make.equipment; });
    leave_out(view.has("equipment"), "equipment");
    for (const auto& entry : view.array("own_grown"))
        own_grown(entry);
    if (const auto analysis = view.member("analysis")) {
        venture_.make.analysis = read_label(*analysis);
        for (const auto& [nutrient, value] : analysis->members()) {
            if (!value.is_number()) value.problem("percent as found: one number");
        }
    }
    if (view.has("fcr")) {
        venture_.make.fcr = 0;
        number(view, "fcr", rules::fcr, "FCR on the home feed", "",
               [](Venture& v) -> double& { return *v.make.fcr; });
    }
}

void Loader::materials(const base::JsonView& view) {
    const int ways = (view.has("job") ? 1 : 0) + (view.has("recipe") ? 1 : 0) +
                     (view.has("materials_per_kg") ? 1 : 0);
    if (ways != 1) {
        view.problem_found(ways == 0 ? "no cost of materials" : "more than one cost of materials",
                           "one of \"job\", \"recipe\" or \"materials_per_kg\"");
    }
    Make& target = venture_.make;
    for (const auto& [key, from] :
         {std::pair("job", MaterialsFrom::job), std::pair("recipe", MaterialsFrom::recipe)}) {
        const auto file = view.string(key);
        if (!file) continue;
        const std::filesystem::path folder = std::filesystem::path(venture_.file).parent_path();
        target.materials_from = from;
        target.materials_file = (folder / *file).string();
    }
    number(view, "materials_per_kg", rules::price, "cost of materials", money() + " per kg",
           [](Venture& v) -> double& { return v.make.materials_per_kg; });
    number(view, "materials_change_percent",
           {.what = "percent above -100", .low = -100, .above_low = true},
           "change of the materials cost", "%",
           [](Venture& v) -> double& { return v.make.materials_change_percent; });
}

void Loader::losses(const base::JsonView& view) {
    if (view.has("loss_percent") && view.has("losses")) {
        view.problem_found("both \"loss_percent\" and \"losses\"", "one of the two");
    }
    const auto add = [this](std::string name) {
        venture_.make.losses.push_back({std::move(name), 0});
        const std::size_t i = venture_.make.losses.size() - 1;
        return Place([i](Venture& v) -> double& { return v.make.losses[i].percent; });
    };
    if (view.has("loss_percent")) {
        number(view, "loss_percent", rules::loss, "loss in making", "%", add("making"));
    }
    for (const auto& entry : view.array("losses")) {
        entry.allow_only({"name", "percent"});
        const auto name = entry.required("name");
        const std::string words = name ? name->as_string().value_or("") : "";
        required(entry, "percent", rules::loss, "loss in " + words, "%", add(words));
    }
    number(view, "spoilage_percent", rules::loss, "spoilage in store", "%",
           [](Venture& v) -> double& { return v.make.spoilage_percent; });
    venture_.make.storage_months = read_number(view, "storage_months", rules::months);
    leave_out(view.has("loss_percent") || view.has("losses"), "losses in making");
    leave_out(view.has("spoilage_percent"), "spoilage in store");
}

void Loader::labour_and_energy(const base::JsonView& view) {
    number(view, "hours_per_batch", rules::amount, "hours for a batch", "h",
           [](Venture& v) -> double& { return v.make.hours_per_batch; });
    number(view, "value_of_hour", rules::money, "value of an hour", money(),
           [](Venture& v) -> double& { return v.make.value_of_hour; });
    number(view, "kwh_per_batch", rules::amount, "electricity for a batch", "kWh",
           [](Venture& v) -> double& { return v.make.kwh_per_batch; });
    number(view, "price_per_kwh", rules::money, "price of electricity", money() + " per kWh",
           [](Venture& v) -> double& { return v.make.price_per_kwh; });
    number(view, "other_per_batch", rules::money, "other costs of a batch", money(),
           [](Venture& v) -> double& { return v.make.other_per_batch; });
    if (view.has("hours_per_batch") && !view.has("value_of_hour")) {
        view.problem_found("hours without a value", "a \"value_of_hour\"; 0 is allowed");
    }
    const bool uses_energy = view.has("kwh_per_batch") || view.has("drying");
    if (uses_energy && !view.has("price_per_kwh")) {
        view.problem_found("energy without a price", "a \"price_per_kwh\"; 0 is allowed");
    }
    leave_out(view.has("hours_per_batch"), "your time");
    leave_out(uses_energy, "energy");
}

void Loader::extras(const base::JsonView& view) {
    Make& target = venture_.make;
    if (const auto drying = view.member("drying")) {
        drying->allow_only({"wet_moisture", "finished_moisture", "kwh_per_kg_water"});
        target.drying.emplace();
        const auto wet =
            required(*drying, "wet_moisture", rules::moisture, "moisture of the wet mix", "%",
                     [](Venture& v) -> double& { return v.make.drying->wet_moisture; });
        const auto dry =
            required(*drying, "finished_moisture", rules::moisture, "moisture of the feed", "%",
                     [](Venture& v) -> double& { return v.make.drying->finished_moisture; });
        required(*drying, "kwh_per_kg_water", rules::amount, "energy of drying", "kWh per kg water",
                 [](Venture& v) -> double& { return v.make.drying->kwh_per_kg_water; });
        if (wet && dry && !(wet->low > dry->high)) {
            drying->problem("a finished moisture below that of the wet mix",
                            "Drying takes water away");
        }
    }
    if (const auto premix = view.member("premix")) {
        premix->allow_only({"percent", "price_per_kg"});
        target.premix.emplace();
        required(*premix, "percent", rules::percent, "premix in the mix", "%",
                 [](Venture& v) -> double& { return v.make.premix->percent; });
        required(*premix, "price_per_kg", rules::price, "price of the premix", money() + " per kg",
                 [](Venture& v) -> double& { return v.make.premix->price_per_kg; });
    }
    if (const auto packaging = view.member("packaging")) {
        packaging->allow_only({"price", "pack_kg"});
        target.packaging.emplace();
        required(*packaging, "price", rules::money, "price of a bag", money(),
                 [](Venture& v) -> double& { return v.make.packaging->price; });
        required(*packaging, "pack_kg", rules::mass, "feed in a bag", "kg",
                 [](Venture& v) -> double& { return v.make.packaging->pack_kg; });
    }
    if (const auto start = view.member("start_up")) {
        start->allow_only({"feed_kg", "other", "over_years"});
        target.start_up.emplace();
        number(*start, "feed_kg", rules::mass, "feed made to learn", "kg",
               [](Venture& v) -> double& { return v.make.start_up->feed_kg; });
        number(*start, "other", rules::money, "other costs of starting", money(),
               [](Venture& v) -> double& { return v.make.start_up->other; });
        required(*start, "over_years", rules::years, "years the start is spread over", "years",
                 [](Venture& v) -> double& { return v.make.start_up->over_years; });
    }
}

void Loader::equipment(const base::JsonView& view, const std::string& owner,
                       const EquipmentList& list) {
    for (const auto& entry : view.array("equipment")) {
        entry.allow_only({"name", "price", "salvage", "life_years", "upkeep_per_year"});
        list(venture_).emplace_back();
        const std::size_t i = list(venture_).size() - 1;
        std::string name = entry.string("name").value_or(fmt::format("equipment {}", i + 1));
        if (!owner.empty()) name = owner + " " + name;
        list(venture_)[i].name = name;
        const auto price = required(entry, "price", rules::money, "price of the " + name, money(),
                                    [list, i](Venture& v) -> double& { return list(v)[i].price; });
        const auto salvage =
            number(entry, "salvage", rules::money, "salvage of the " + name, money(),
                   [list, i](Venture& v) -> double& { return list(v)[i].salvage; });
        required(entry, "life_years", rules::years, "life of the " + name, "years",
                 [list, i](Venture& v) -> double& { return list(v)[i].life_years; });
        number(entry, "upkeep_per_year", rules::money, "upkeep of the " + name, money() + " a year",
               [list, i](Venture& v) -> double& { return list(v)[i].upkeep_per_year; });
        if (price && salvage && salvage->high > price->low) {
            entry.member("salvage")->problem("no more than the price");
        }
    }
}

void Loader::own_grown(const base::JsonView& view) {
    view.allow_only({"ingredient", "organism", "percent_of_mix", "dry_matter", "yield",
                     "yield_kind", "fresh_dry_matter", "area_m2", "days_per_year",
                     "substrate_kg_per_week", "substrate_dry_matter", "substrate_price_per_kg",
                     "hours_per_week", "value_of_hour", "inputs_per_year", "equipment",
                     "small_packs"});
    if (!view.is_object()) return;
    auto& list = venture_.make.own_grown;
    list.emplace_back();
    const std::size_t i = list.size() - 1;
    if (const auto id = view.required("ingredient")) {
        list[i].ingredient = id->as_string().value_or("");
    }
    list[i].name = list[i].ingredient;
    const bool is_number = venture_.make.materials_from == MaterialsFrom::number;
    if (is_number) {
        required(view, "percent_of_mix", rules::percent, "share of " + list[i].name, "%",
                 [i](Venture& v) -> double& { return v.make.own_grown[i].percent_of_mix; });
    } else if (const auto share = view.member("percent_of_mix")) {
        share->problem("no share here: the job or recipe gives it");
    }
    required(view, "dry_matter", rules::dry_matter, "dry matter of " + list[i].name, "%",
             [i](Venture& v) -> double& { return v.make.own_grown[i].dry_matter; });
    yield(view, i);
    growing_costs(view, i);
    small_packs(view, i);
}

void Loader::yield(const base::JsonView& view, std::size_t i) {
    OwnGrown& grown = venture_.make.own_grown[i];
    const Organism* organism = nullptr;
    if (const auto id = view.string("organism")) {
        organism = own_.organism(*id);
        grown.organism = *id;
        if (organism == nullptr) {
            std::vector<std::string> known;
            for (const Organism& candidate : own_.organisms)
                known.push_back(candidate.id);
            view.member("organism")
                ->problem("one of " + base::join_words(known, " or "),
                          base::did_you_mean(*id, known));
            return;
        }
        grown.kind = organism->kind;
        grown.fresh_dry_matter = organism->fresh_dry_matter.value_or(100);
        grown.sources = organism->sources;
        grown.note = organism->note;
    }
    if (const auto word = view.string("yield_kind")) {
        const auto kind = yield_kind_from(*word);
        if (!kind) {
            view.member("yield_kind")
                ->problem(fmt::format("\"{}\", \"{}\" or \"{}\"", yield_kind_word(YieldKind::area),
                                      yield_kind_word(YieldKind::substrate_dry_matter),
                                      yield_kind_word(YieldKind::substrate_weight)));
            return;
        }
        if (*kind != grown.kind && !view.has("yield")) {
            view.member("yield_kind")->problem("a \"yield\" of your own beside it");
            return;
        }
        grown.kind = *kind;
    } else if (organism == nullptr) {
        view.problem_found("no \"organism\"",
                           "an \"organism\", or a \"yield\" and a \"yield_kind\"");
        return;
    }
    const Place at = [i](Venture& v) -> double& { return v.make.own_grown[i].yield; };
    const std::string name = "yield of " + grown.name;
    const std::string unit(yield_unit(grown.kind));
    if (view.has("yield")) {
        grown.own_yield = true;
        const bool percent = grown.kind != YieldKind::area;
        number(view, "yield",
               {.what = percent ? "percent above 0, to 100" : "grams above 0, to 200",
                .high = percent ? 100.0 : 200.0,
                .above_low = true},
               name, unit, at);
    } else if (organism != nullptr && organism->yield) {
        store(*organism->yield, name, unit, at);
    } else {
        view.problem_found(fmt::format("no yield for {}", grown.name),
                           "a \"yield\" of your own, since none could be read for it");
    }
    number(view, "fresh_dry_matter", rules::dry_matter, "dry matter of fresh " + grown.name, "%",
           [i](Venture& v) -> double& { return v.make.own_grown[i].fresh_dry_matter; });
}

void Loader::growing_costs(const base::JsonView& view, std::size_t i) {
    const std::string name = venture_.make.own_grown[i].name;
    if (venture_.make.own_grown[i].kind == YieldKind::area) {
        required(view, "area_m2", rules::area, "area of " + name, "m2",
                 [i](Venture& v) -> double& { return v.make.own_grown[i].area_m2; });
        number(view, "days_per_year", rules::days, "growing days of " + name, "days",
               [i](Venture& v) -> double& { return v.make.own_grown[i].days_per_year; });
    } else {
        required(view, "substrate_kg_per_week", rules::mass, "substrate for " + name, "kg a week",
                 [i](Venture& v) -> double& { return v.make.own_grown[i].substrate_kg_per_week; });
        if (venture_.make.own_grown[i].kind == YieldKind::substrate_dry_matter) {
            view.required("substrate_dry_matter");
        }
        number(view, "substrate_dry_matter", rules::dry_matter, "dry matter of the substrate", "%",
               [i](Venture& v) -> double& { return v.make.own_grown[i].substrate_dry_matter; });
        number(view, "substrate_price_per_kg", rules::price, "price of the substrate",
               money() + " per kg",
               [i](Venture& v) -> double& { return v.make.own_grown[i].substrate_price_per_kg; });
    }
    required(view, "hours_per_week", rules::amount, "hours a week for " + name, "h",
             [i](Venture& v) -> double& { return v.make.own_grown[i].hours_per_week; });
    if (view.has("value_of_hour")) {
        number(view, "value_of_hour", rules::money, "value of an hour for " + name, money(),
               [i](Venture& v) -> double& { return v.make.own_grown[i].value_of_hour; });
    } else {
        view.problem_found("hours without a value", "a \"value_of_hour\"; 0 is allowed");
    }
    number(view, "inputs_per_year", rules::money, "inputs for " + name, money() + " a year",
           [i](Venture& v) -> double& { return v.make.own_grown[i].inputs_per_year; });
    equipment(view, name,
              [i](Venture& v) -> std::vector<Equipment>& { return v.make.own_grown[i].equipment; });
}

void Loader::small_packs(const base::JsonView& view, std::size_t i) {
    const auto pack = view.member("small_packs");
    if (!pack) return;
    pack->allow_only({"pack_price", "pack_kg", "delivery_per_pack", "dry_matter"});
    Pack sold;
    pack->required("pack_price");
    pack->required("pack_kg");
    pack->required("dry_matter");
    sold.price = read_number(*pack, "pack_price", rules::money).value_or(0);
    sold.kg = read_number(*pack, "pack_kg", rules::mass).value_or(1);
    sold.delivery = read_number(*pack, "delivery_per_pack", rules::money).value_or(0);
    sold.dry_matter = read_number(*pack, "dry_matter", rules::dry_matter).value_or(100);
    venture_.make.own_grown[i].small_packs = sold;
}

void Loader::buy(const base::JsonView& view) {
    view.allow_only(
        {"name", "pack_price", "pack_kg", "delivery_per_pack", "loss_percent", "fcr", "label"});
    if (!view.is_object()) return;
    venture_.buy.name = view.string("name").value_or("bought feed");
    required(view, "pack_price", rules::money, "price of a pack", money(),
             [](Venture& v) -> double& { return v.buy.pack_price; });
    required(view, "pack_kg", rules::mass, "weight of a pack", "kg",
             [](Venture& v) -> double& { return v.buy.pack_kg; });
    number(view, "delivery_per_pack", rules::money, "delivery of a pack", money(),
           [](Venture& v) -> double& { return v.buy.delivery_per_pack; });
    number(view, "loss_percent", rules::loss, "loss of the bought feed", "%",
           [](Venture& v) -> double& { return v.buy.loss_percent; });
    if (view.has("fcr")) {
        venture_.buy.fcr = 0;
        number(view, "fcr", rules::fcr, "FCR on the bought feed", "",
               [](Venture& v) -> double& { return *v.buy.fcr; });
    }
    if (const auto label = view.member("label")) venture_.buy.label = read_label(*label);
}

void Loader::scale(const base::JsonView& root) {
    const bool gain = root.has("gain_kg_per_year");
    const bool feed = root.has("feed_kg_per_year");
    if (gain == feed) {
        root.problem_found(gain ? "both a gain and a feed amount" : "no amount a year",
                           "one of \"gain_kg_per_year\" or \"feed_kg_per_year\"");
        return;
    }
    if (gain) {
        venture_.gain_kg_per_year = 0;
        number(root, "gain_kg_per_year", rules::mass, venture_.gain_of + " a year", "kg",
               [](Venture& v) -> double& { return *v.gain_kg_per_year; });
    } else {
        venture_.feed_kg_per_year = 0;
        number(root, "feed_kg_per_year", rules::mass, "feed a year", "kg",
               [](Venture& v) -> double& { return *v.feed_kg_per_year; });
    }
    for (const char* side : {"make", "buy"}) {
        const auto view = root.member(side);
        if (!view || !view->is_object() || view->has("fcr")) continue;
        const bool other =
            root.member(side == std::string_view("make") ? "buy" : "make") &&
            root.member(side == std::string_view("make") ? "buy" : "make")->has("fcr");
        if (gain || other) {
            view->problem_found("no \"fcr\"",
                                "your \"fcr\" on this feed: kg of feed per kg of gain",
                                "Weigh feed and stock for a few weeks, or give a range");
        }
    }
}

}  // namespace

double equipment_per_year(const std::vector<Equipment>& equipment) {
    double sum = 0;
    for (const Equipment& e : equipment) {
        sum += (e.price - e.salvage) / e.life_years + e.upkeep_per_year;
    }
    return sum;
}

double water_per_kg(const Drying& drying) {
    return (drying.wet_moisture - drying.finished_moisture) / (100 - drying.wet_moisture);
}

double grown_dry_matter_per_year(const OwnGrown& grown) {
    switch (grown.kind) {
        case YieldKind::area:
            return grown.area_m2 * grown.yield * grown.days_per_year / 1000;
        case YieldKind::substrate_dry_matter:
            return grown.substrate_kg_per_week * weeks_per_year * grown.substrate_dry_matter / 100 *
                   grown.yield / 100;
        case YieldKind::substrate_weight:
            return grown.substrate_kg_per_week * weeks_per_year * grown.yield / 100 *
                   grown.fresh_dry_matter / 100;
    }
    return 0;
}

double grown_cost_per_kg_dry_matter(const OwnGrown& grown) {
    const double a_week = grown.hours_per_week * grown.value_of_hour +
                          grown.substrate_kg_per_week * grown.substrate_price_per_kg;
    const double a_year =
        a_week * weeks_per_year + grown.inputs_per_year + equipment_per_year(grown.equipment);
    return a_year / grown_dry_matter_per_year(grown);
}

double grown_price_per_kg(const OwnGrown& grown) {
    return grown_cost_per_kg_dry_matter(grown) * grown.dry_matter / 100;
}

const std::vector<std::string>& label_nutrients() {
    static const std::vector<std::string> list{
        "crude_protein", "crude_lipid", "crude_fibre", "ash",        "moisture",
        "calcium",       "phosphorus",  "lysine",      "methionine", "sodium"};
    return list;
}

Venture parse_venture(std::string text, const std::string& file, const OwnProduction& own) {
    base::Diagnostics diagnostics;
    const base::JsonView root(base::parse_json(std::move(text), file), diagnostics);
    Venture venture;
    venture.file = file;
    Loader(venture, own).top(root);
    diagnostics.throw_if_any();
    return venture;
}

Venture load_venture(const std::string& path, const OwnProduction& own) {
    return parse_venture(base::read_file(path), path, own);
}

}  // namespace feedwright::economics
