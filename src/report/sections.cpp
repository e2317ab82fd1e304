// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/sections.hpp"

#include "base/number.hpp"
#include "base/text.hpp"
#include "report/table_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <utility>

namespace feedwright::report {

namespace {

using limits::LimitResult;

}  // namespace

Cell text_cell(std::string text, Tone tone) {
    return {std::move(text), {}, tone};
}

Cell number_cell(double value, int decimals) {
    return {base::fixed(value, decimals), value, Tone::plain};
}

Cell price_cell(double value, int decimals) {
    return {base::price(value, decimals), value, Tone::plain};
}

TableColumn price_column(const job::Job& job) {
    return {job.currency.empty() ? "price per kg" : fmt::format("price, {}/kg", job.currency),
            Align::right, "price_per_kg"};
}

Cell amount_cell(std::optional<double> value) {
    if (!value) return {};
    return {base::significant(*value, 4), value, Tone::plain};
}

std::string money(double value, const std::string& currency, int decimals) {
    // An amount paid has two decimals, and less than that is nothing; a price can be any number.
    const std::string text =
        decimals > 2 ? base::price(value, decimals) : base::fixed(value, decimals);
    return text + (currency.empty() ? "" : ' ' + currency);
}

std::string weight(double kg) {
    if (std::abs(kg) >= 1) return base::fixed(kg, 3) + " kg";
    const double grams = 1000 * kg;
    if (std::abs(grams) >= 10) return base::fixed(grams, 0) + " g";
    // A weight above zero never reads as none.
    if (grams == 0 || std::abs(grams) >= 1) return base::fixed(grams, 1) + " g";
    return base::significant(grams, 2) + " g";
}

std::string capitalised(std::string text) {
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z')
        text[0] = static_cast<char>(text[0] - 'a' + 'A');
    return text;
}

std::string digits_apart(double value, std::optional<double> number) {
    std::string text = base::significant(value, 3);
    for (int digits = 4; digits <= 7 && number && text == base::significant(*number, digits - 1);
         ++digits) {
        text = base::significant(value, digits);
    }
    return text;
}

std::string short_name(const job::Job& job, const std::string& name) {
    constexpr std::size_t long_name = 30;
    const std::size_t comma = name.find(", ");
    if (name.size() <= long_name || comma == std::string::npos) return name;
    const std::string front = name.substr(0, comma);
    const auto is_front_of = [&](const job::Choice& choice) {
        return choice.name == front || choice.name.starts_with(front + ", ");
    };
    const auto same = std::count_if(job.ingredients.begin(), job.ingredients.end(), is_front_of);
    return same == 1 ? front : name;
}

std::string count_of(std::size_t n, std::string_view singular, std::string_view plural) {
    return fmt::format("{} {}", n, n == 1 ? singular : plural);
}

namespace {

// What was understood of tables that are not of the plain kind.
void add_tables(Document& document, const job::Job& job) {
    for (const base::TableReading& table : job.tables) {
        if (table.plain()) continue;
        document.blocks.push_back(Paragraph{
            reading_text(table, count_of(table.rows, "ingredient", "ingredients")), Tone::plain});
    }
}

}  // namespace

void add_with_ids(Document& document, Table table, const std::vector<std::string>& ids) {
    Table data = table;
    data.data_only = true;
    data.columns.insert(data.columns.begin(), {"", Align::left, "id"});
    for (std::size_t i = 0; i < ids.size(); ++i)
        data.rows[i].insert(data.rows[i].begin(), text_cell(ids[i]));
    table.text_only = true;
    document.blocks.push_back(std::move(table));
    document.blocks.push_back(std::move(data));
}

void add_note(Document& document, const std::string& note) {
    if (!note.empty()) document.blocks.push_back(Paragraph{note, Tone::quiet});
}

void add_profile(Document& document, const job::Job& job, Depth shown) {
    add_note(document, job.note);
    add_tables(document, job);
    if (!job.profile) return;
    if (shown != Depth::always) document.blocks.push_back(Heading{"", shown});
    document.blocks.push_back(Paragraph{fmt::format("For {}, {} (profile {}).", job.profile->name,
                                                    job.profile->stage_name, job.profile->id),
                                        Tone::plain});
    if (shown != Depth::always) document.blocks.push_back(Heading{""});
}

void add_unknown(Document& document, const job::Job& job, const limits::Assessment& assessment) {
    Bullets bullets;
    if (job.profile && !job.profile->lacks.empty()) {
        bullets.items.push_back({fmt::format("This profile has no requirements for {}; check them "
                                             "separately.",
                                             base::join_words(job.profile->lacks)),
                                 Tone::warn});
    }
    // Limits that lack the same ingredients are told in one line.
    std::vector<std::pair<std::vector<std::string>, std::vector<std::string>>> gaps;
    for (const LimitResult& limit : assessment.limits) {
        if (limit.unknown_in.empty() || limit.limit.advisory) continue;
        // Few feeds hold a poison; those of kinds that may have a value.
        if (!limit.limit.harms.empty()) continue;
        const auto same = std::find_if(gaps.begin(), gaps.end(), [&](const auto& gap) {
            return gap.first == limit.unknown_in;
        });
        if (same == gaps.end()) {
            gaps.push_back({limit.unknown_in, {limit.limit.name}});
        } else if (std::find(same->second.begin(), same->second.end(), limit.limit.name) ==
                   same->second.end()) {
            same->second.push_back(limit.limit.name);
        }
    }
    for (const auto& [ingredients, nutrients] : gaps) {
        bullets.items.push_back(
            {fmt::format("No value for {} in {}: counted as zero.", base::join_words(nutrients),
                         base::join_words(ingredients)),
             Tone::plain});
    }
    std::string assumed;
    for (const LimitResult& limit : assessment.limits) {
        if (limit.limit.advisory) continue;
        std::vector<std::string> by_kind = limit.assumed_in;
        // Of a bought feed the verdict tells what it is taken to hold.
        std::erase_if(by_kind, [&](const std::string& id) { return job.find(id)->label; });
        if (by_kind.empty()) continue;
        assumed += fmt::format("{}{} of {}", assumed.empty() ? "" : "; ", limit.limit.name,
                               base::join_words(by_kind));
    }
    if (!assumed.empty()) {
        bullets.items.push_back(
            {fmt::format("No value is known, so the high content of its kind counts under "
                         "the maximum: {}.",
                         assumed),
             Tone::plain});
    }
    std::vector<std::string> estimated;
    std::vector<std::string> scaled;
    std::set<std::string> limited;
    for (const LimitResult& limit : assessment.limits)
        limited.insert(limit.limit.name);
    for (const limits::AnalysisItem& item : assessment.analysis) {
        if (item.origin == catalog::Origin::estimated && limited.contains(item.name)) {
            estimated.push_back(item.name);
        }
        if (item.origin == catalog::Origin::scaled && limited.contains(item.name)) {
            scaled.push_back(item.name);
        }
    }
    if (!estimated.empty()) {
        bullets.items.push_back({fmt::format("Estimated from other values, not measured: {}.",
                                             base::join_words(estimated)),
                                 Tone::plain});
    }
    if (!scaled.empty()) {
        bullets.items.push_back(
            {fmt::format("Taken from the base ingredient of one of your own and scaled, "
                         "not measured: {}.",
                         base::join_words(scaled)),
             Tone::plain});
    }
    if (bullets.items.empty()) return;
    document.blocks.push_back(Heading{"What is not known", Depth::full, "analysis"});
    document.blocks.push_back(std::move(bullets));
}

void add_analysis(Document& document, const limits::Assessment& assessment) {
    Table table;
    table.key = "analysis";
    table.columns = {{"nutrient", Align::left, "nutrient"},
                     {"amount", Align::right, "value"},
                     {"unit", Align::left, "unit"},
                     {"mix with a value", Align::right, "known_percent"},
                     {"", Align::left, "origin"}};
    std::vector<std::string> ids;
    for (const limits::AnalysisItem& item : assessment.analysis) {
        ids.push_back(item.nutrient);
        const bool plain = catalog::unsureness(item.origin) == 0;
        table.rows.push_back(
            {text_cell(item.name),
             amount_cell(item.value),
             text_cell(item.unit),
             {base::fixed(item.known_percent, 0) + " %", item.known_percent, Tone::plain},
             text_cell(plain ? "" : std::string(catalog::to_string(item.origin)))});
    }
    if (table.rows.empty()) return;
    document.blocks.push_back(Heading{"Analysis, as fed", Depth::full, "analysis"});
    add_with_ids(document, std::move(table), ids);
}

namespace {

std::string full_text(const limits::CautionResult& caution) {
    std::string text = caution.text;
    // Most texts name the country whose law it is.
    const bool named = !caution.jurisdiction.empty() &&
                       caution.text.find(caution.jurisdiction) != std::string::npos;
    std::string where = named ? "" : caution.jurisdiction;
    if (caution.year) where += (where.empty() ? "" : " ") + std::to_string(*caution.year);
    if (!where.empty()) text += " (" + where + ')';
    return text;
}

// The first sentence, with the next where it is too short to stand alone.
std::string first_sentence(const std::string& text) {
    constexpr std::size_t too_short = 30;
    const std::size_t end = text.find(". ", too_short);
    return end == std::string::npos ? text : text.substr(0, end + 1);
}

}  // namespace

void add_cautions(Document& document, const std::vector<limits::CautionResult>& cautions) {
    if (cautions.empty()) return;
    constexpr std::size_t few = 5;
    // What can kill or breaks a law, of these ingredients before what belongs to every mix.
    std::vector<const limits::CautionResult*> worst;
    for (const int danger : {1, 2}) {
        for (const limits::CautionResult& caution : cautions) {
            if (caution.danger == danger && worst.size() < few) worst.push_back(&caution);
        }
    }
    if (worst.empty()) worst.push_back(&cautions.front());
    document.blocks.push_back(Heading{
        worst.size() == cautions.size()
            ? std::string("Cautions")
            : fmt::format("Cautions, the most dangerous {} of {}", worst.size(), cautions.size()),
        Depth::brief, "cautions"});
    Bullets short_form;
    for (const limits::CautionResult* caution : worst)
        short_form.items.push_back({first_sentence(caution->text), Tone::plain});
    document.blocks.push_back(std::move(short_form));
    document.blocks.push_back(Heading{"Cautions", Depth::full, "cautions"});
    Bullets bullets;
    for (const limits::CautionResult& caution : cautions) {
        const std::string source =
            caution.source.empty() ? "" : fmt::format(" [{}]", caution.source);
        bullets.items.push_back({full_text(caution) + source, Tone::plain});
    }
    document.blocks.push_back(std::move(bullets));
}

void add_sources(Document& document, const job::Job& job, const std::vector<LimitResult>& limits) {
    std::string text = "Values and their sources: feedwright show INGREDIENT";
    if (job.profile) text += fmt::format("; requirements: feedwright show {}", job.profile->id);
    text += '.';
    document.blocks.push_back(Heading{"", Depth::brief, "sources"});
    document.blocks.push_back(Paragraph{text, Tone::quiet});
    std::set<std::string> sources;
    for (const LimitResult& limit : limits) {
        if (limit.limit.source != "job") sources.insert(limit.limit.source);
    }
    if (!sources.empty()) {
        text += " The limits come from " + base::join_words({sources.begin(), sources.end()}) +
                "; the citation of each: feedwright show SOURCE.";
    }
    document.blocks.push_back(Heading{"Sources", Depth::full, "sources"});
    document.blocks.push_back(Paragraph{std::move(text), Tone::quiet});
}

}  // namespace feedwright::report
