// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/json_sections.hpp"

#include "base/number.hpp"
#include "report/notes.hpp"

#include <fmt/format.h>

namespace feedwright::report {

using base::JsonWriter;
using limits::LimitResult;

namespace {

// Where the two directions have different prices both are given; one that is left out has no mix.
void write_responses(JsonWriter& json, const LimitResult& result) {
    if (result.rise && result.fall && result.rise->per_unit != result.fall->per_unit) {
        json.member("shadow_price_rising", result.rise->per_unit);
        json.member("shadow_price_falling", result.fall->per_unit);
    }
    if (result.fall) json.member("shadow_low", result.fall->until);
    if (result.rise) json.member("shadow_high", result.rise->until);
    if (result.drifts) json.member("shadow_price_drifts", true);
}

std::string note_of(const limits::Limit& limit) {
    if (!limit.from_pond) return limit.note;
    return fmt::format("{}{}{} % of the need is taken to come from the pond ({})", limit.note,
                       limit.note.empty() ? "" : "; ", base::shortest(limit.from_pond->percent),
                       limit.from_pond->source);
}

}  // namespace

void write_head(JsonWriter& json, const job::Job& job) {
    if (!job.title.empty()) json.member("title", job.title);
    if (job.profile) json.member("profile", job.profile->id);
    if (!job.currency.empty()) json.member("currency", job.currency);
    if (!job.notes.empty()) json.member("notes", sentences(job.notes));
}

void write_limits(JsonWriter& json, const std::vector<LimitResult>& limits) {
    json.key("limits").begin_array();
    for (const LimitResult& result : limits) {
        const limits::Limit& limit = result.limit;
        json.begin_object();
        json.member("id", limit.id);
        json.member("kind", limits::to_string(limit.kind));
        json.member("name", limit.name);
        json.member("unit", limit.unit);
        if (!limit.basis.empty()) json.member("basis", limit.basis);
        json.member("min", limit.min);
        json.member("max", limit.max);
        json.member("value", result.value);
        json.member("margin", result.margin);
        json.member("margin_percent", result.margin_percent);
        json.member("met", result.met);
        if (!result.proven) json.member("proven", false);
        json.member("binding", result.binding);
        json.member("shadow_price", result.shadow_price);
        write_responses(json, result);
        json.member("known_percent", result.known_percent);
        json.member("unknown_in", result.unknown_in);
        if (!result.assumed_in.empty()) json.member("assumed_in", result.assumed_in);
        if (result.within_tolerance) json.member("within_tolerance", true);
        if (limit.advisory) json.member("advisory", true);
        if (limit.weak) json.member("weak", true);
        if (!limit.harms.empty()) json.member("harms", limit.harms);
        if (!limit.level.empty()) json.member("level", limit.level);
        json.member("source", limit.source);
        if (const std::string note = note_of(limit); !note.empty()) json.member("note", note);
        json.end_object();
    }
    json.end_array();
}

void write_analysis(JsonWriter& json, const std::vector<limits::AnalysisItem>& analysis) {
    json.key("analysis").begin_array();
    for (const limits::AnalysisItem& item : analysis) {
        json.begin_object();
        json.member("nutrient", item.nutrient);
        json.member("value", item.value);
        json.member("unit", item.unit);
        json.member("known_percent", item.known_percent);
        if (catalog::unsureness(item.origin) > 0) {
            json.member("origin", catalog::to_string(item.origin));
        }
        json.end_object();
    }
    json.end_array();
}

void write_run(JsonWriter& json, const Run& run) {
    json.member("inputs", run.inputs);
    json.key("settings").begin_object();
    for (const auto& [name, value] : run.settings)
        json.member(name, value);
    json.end_object();
}

void write_tail(JsonWriter& json, const std::vector<limits::CautionResult>& cautions,
                const Run& run) {
    json.key("cautions").begin_array();
    for (const limits::CautionResult& caution : cautions) {
        json.begin_object();
        json.member("text", caution.text);
        if (!caution.jurisdiction.empty()) json.member("jurisdiction", caution.jurisdiction);
        json.member("year", caution.year);
        json.member("source", caution.source);
        json.end_object();
    }
    json.end_array();
    write_run(json, run);
}

}  // namespace feedwright::report
