// SPDX-License-Identifier: GPL-3.0-or-later
#include "economics/own_production.hpp"

#include "base/json.hpp"

#include <array>
#include <utility>

namespace feedwright::economics {

namespace {

struct KindWords {
    YieldKind kind;
    std::string_view word;
    std::string_view unit;
};

constexpr std::array kind_words{
    KindWords{YieldKind::area, "g_dry_matter_per_m2_day", "g dry matter per m2 a day"},
    KindWords{YieldKind::substrate_dry_matter, "percent_of_substrate_dry_matter",
              "kg dry product per 100 kg dry substrate"},
    KindWords{YieldKind::substrate_weight, "percent_of_substrate_weight",
              "kg fresh product per 100 kg substrate"},
};

std::optional<Triangular> read_yield(const base::JsonView& entry) {
    const auto list = entry.array("yield");
    if (list.size() != 3) {
        if (entry.has("yield")) entry.member("yield")->problem("a list [low, likely, high]");
        return std::nullopt;
    }
    const auto low = list[0].as_number();
    const auto likely = list[1].as_number();
    const auto high = list[2].as_number();
    if (!low || !likely || !high) return std::nullopt;
    if (!(*low > 0 && *low <= *likely && *likely <= *high)) {
        entry.member("yield")->problem("three rising numbers above 0");
    }
    return Triangular{*low, *likely, *high};
}

Organism read_organism(const base::JsonView& entry) {
    entry.allow_only({"id", "name", "yield_kind", "yield", "fresh_dry_matter", "sources", "note"});
    Organism organism;
    if (const auto id = entry.required("id")) organism.id = id->as_string().value_or("");
    if (const auto name = entry.required("name")) organism.name = name->as_string().value_or("");
    if (const auto kind = entry.required("yield_kind")) {
        const auto known = yield_kind_from(kind->as_string().value_or(""));
        if (known) {
            organism.kind = *known;
        } else {
            std::string words;
            for (const KindWords& k : kind_words) {
                words += words.empty() ? "" : " or ";
                words += k.word;
            }
            kind->problem(words);
        }
    }
    organism.yield = read_yield(entry);
    organism.fresh_dry_matter =
        entry.number_within("fresh_dry_matter", 1, 100, "percent of dry matter");
    organism.sources = entry.strings("sources");
    if (organism.yield && organism.sources.empty()) entry.problem("a source for the yield");
    organism.note = entry.string("note").value_or("");
    return organism;
}

KeepingFact read_fact(const base::JsonView& entry) {
    entry.allow_only({"id", "value", "unit", "text", "source"});
    KeepingFact fact;
    const auto text = [&entry](std::string_view key) {
        const auto member = entry.required(key);
        return member ? member->as_string().value_or("") : std::string();
    };
    fact.id = text("id");
    if (const auto value = entry.required("value")) fact.value = value->as_number().value_or(0);
    fact.unit = text("unit");
    fact.text = text("text");
    fact.source = text("source");
    return fact;
}

}  // namespace

std::string_view yield_kind_word(YieldKind kind) {
    return kind_words[static_cast<std::size_t>(kind)].word;
}

std::string_view yield_unit(YieldKind kind) {
    return kind_words[static_cast<std::size_t>(kind)].unit;
}

std::optional<YieldKind> yield_kind_from(std::string_view word) {
    for (const KindWords& k : kind_words) {
        if (k.word == word) return k.kind;
    }
    return std::nullopt;
}

const Organism* OwnProduction::organism(std::string_view id) const {
    for (const Organism& candidate : organisms) {
        if (candidate.id == id) return &candidate;
    }
    return nullptr;
}

const KeepingFact* OwnProduction::fact(std::string_view id) const {
    for (const KeepingFact& candidate : keeping) {
        if (candidate.id == id) return &candidate;
    }
    return nullptr;
}

OwnProduction load_own_production(const catalog::LibraryFiles& files) {
    return catalog::load_file(files, "own-production.json", [](const base::JsonView& root) {
        OwnProduction data;
        if (!root.require_format("feedwright-own-production/1")) return data;
        root.allow_only({"format", "organisms", "keeping"});
        for (const auto& entry : root.array("organisms")) {
            data.organisms.push_back(read_organism(entry));
        }
        for (const auto& entry : root.array("keeping"))
            data.keeping.push_back(read_fact(entry));
        return data;
    });
}

}  // namespace feedwright::economics
