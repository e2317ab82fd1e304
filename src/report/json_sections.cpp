// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/json_sections.hpp"

#include "base/number.hpp"
#include "report/notes.hpp"
#include "report/verdict_sections.hpp"

#include <fmt/format.h>

namespace feedwright::report {

using limits::Finding;
using limits::Limit;
using limits::LimitResult;

namespace {

std::string note_of(const LimitResult& result) {
    const Limit& limit = result.limit;
    if (!limit.from_pond) return limit.note;
    return fmt::format("{}{}{} % of the need is taken to come from the pond ({})", limit.note,
                       limit.note.empty() ? "" : "; ", base::shortest(limit.from_pond->percent),
                       limit.from_pond->source);
}

// Where the two directions have different prices both are given; one that is left out has no mix.
std::optional<double> price_when(const LimitResult& result, bool rising) {
    if (!result.rise || !result.fall || result.rise->per_unit == result.fall->per_unit) return {};
    return rising ? result.rise->per_unit : result.fall->per_unit;
}

std::optional<double> until(const std::optional<limits::Response>& response) {
    return response ? response->until : std::nullopt;
}

template <class V>
auto of_limit(V Limit::*member) {
    return [member](auto& result) { return result.limit.*member; };
}

}  // namespace

const Fields<job::Job>& head_fields() {
    using job::Job;
    static const Fields<Job> list{
        {"title", if_any(&Job::title)},
        {"profile",
         [](auto& job) { return job.profile ? std::optional(job.profile->id) : std::nullopt; }},
        {"currency", if_any(&Job::currency)},
        {"notes", if_any([](auto& job) { return sentences(job.notes); })}};
    return list;
}

std::vector<ShownItem> shown(const job::Job& job, const std::vector<limits::MixItem>& items) {
    std::vector<ShownItem> list;
    for (const limits::MixItem& item : items)
        list.push_back({item, job.free_total});
    return list;
}

const Fields<ShownItem>& item_fields() {
    using limits::MixItem;
    static const Fields<ShownItem> list{
        {"id", &MixItem::id, kebab},
        {"name", &MixItem::name},
        {"percent", &MixItem::percent, from_zero, "of all that is weighed in, as fed"},
        {"dry_matter_percent", &MixItem::dry_matter_percent, from_zero, "share of the dry matter"},
        {"amount_kg", when(&ShownItem::ration, &MixItem::amount), from_zero,
         "of a ration whose total is free"},
        {"price", &MixItem::price, anything, "of one kg"},
        {"cost_per_kg", &MixItem::cost, anything, "what it adds to the cost"},
        {"cost_percent", &MixItem::cost_percent, anything, "of the cost"},
        {"batch_kg", &MixItem::batch_kg, from_zero},
        {"price_low", &MixItem::price_low, anything, "the mix stays the cheapest down to here"},
        {"price_high", &MixItem::price_high, anything, "and up to here"}};
    return list;
}

const Fields<LimitResult>& limit_fields() {
    static const Fields<LimitResult> list{
        {"id", of_limit(&Limit::id)},
        {"kind", [](auto& r) { return to_string(r.limit.kind); }, {.ref = "limit_kind"}},
        {"name", of_limit(&Limit::name)},
        {"unit", of_limit(&Limit::unit), anything, "of min, max, value and margin"},
        {"basis", if_any(of_limit(&Limit::basis))},
        {"min", of_limit(&Limit::min)},
        {"undiluted_min", of_limit(&Limit::undiluted_min)},
        {"max", of_limit(&Limit::max)},
        {"value", &LimitResult::value},
        {"margin", &LimitResult::margin, anything, "to the nearer side; negative when missed"},
        {"margin_percent", &LimitResult::margin_percent, anything, "of that side"},
        {"met", &LimitResult::met},
        {"proven", [](auto& r) { return r.proven ? std::nullopt : std::optional(false); }, anything,
         "false: what is unknown could make the mix miss it"},
        {"holds_percent", &LimitResult::holds_percent, share,
         "in so many of 100 lots of the ingredients it holds"},
        {"sure_percent", of_limit(&Limit::sure_percent), share,
         "in so many of 100 lots it must hold"},
        {"sure_binding", if_any(&LimitResult::sure_binding), when_true, "that leaves no margin"},
        {"binding", &LimitResult::binding},
        {"shadow_price", &LimitResult::shadow_price, anything,
         "change of the cost of one kg when the number rises by one"},
        {"shadow_price_rising", [](auto& r) { return price_when(r, true); }},
        {"shadow_price_falling", [](auto& r) { return price_when(r, false); }},
        {"shadow_low", [](auto& r) { return until(r.fall); }, anything,
         "the number down to which that holds"},
        {"shadow_high", [](auto& r) { return until(r.rise); }, anything,
         "the number up to which that holds"},
        {"shadow_price_drifts", if_any(&LimitResult::drifts), when_true},
        {"known_percent", &LimitResult::known_percent, share, "of the mix has a value for it"},
        {"unknown_in", &LimitResult::unknown_in, kebabs},
        {"nothing_known", if_any(&LimitResult::nothing_known), when_true,
         "no ingredient has a value for it, so whether it is met is not known"},
        {"assumed_in", if_any(&LimitResult::assumed_in), kebabs,
         "ingredients without a value, whose kind's high value counts under the maximum"},
        {"within_tolerance", if_any(&LimitResult::within_tolerance), when_true,
         "missed by less than an analysis may differ from a label"},
        {"advisory", if_any(of_limit(&Limit::advisory)), when_true},
        {"weak", if_any(of_limit(&Limit::weak)), when_true,
         "rests on memory, a relative or a target: missing it is warned of"},
        {"harms",
         if_any(of_limit(&Limit::harms)),
         {.ref = "harms"},
         "of a safe level: whom more than it harms"},
        {"level",
         if_any(of_limit(&Limit::level)),
         {.ref = "limit_level"},
         "of a need how well it rests; of a cap its kind"},
        {"source", of_limit(&Limit::source)},
        {"note", if_any(note_of)}};
    return list;
}

const Fields<limits::Assessment>& assessment_fields() {
    using limits::AnalysisItem, limits::Assessment;
    static const Fields<AnalysisItem> item{
        {"nutrient", &AnalysisItem::nutrient},
        {"value", &AnalysisItem::value},
        {"unit", &AnalysisItem::unit},
        {"known_percent", &AnalysisItem::known_percent, share},
        {"origin",
         if_any([](auto& of) {
             return catalog::unsureness(of.origin) > 0 ? to_string(of.origin) : std::string_view{};
         }),
         {.ref = "origin"}}};
    const auto varies = [](auto& of) { return of.chance && of.chance->values > 0; };
    static const Fields<Assessment> list{
        {"chance_all_percent", when(varies, [](auto& of) { return of.chance->all_percent; }), share,
         "in so many of 100 lots all limits on contents hold that are not advisory"},
        {"fails_first",
         [](auto& of) {
             const bool any = of.chance && of.chance->weakest;
             return any ? std::optional(of.limits[*of.chance->weakest].limit.id) : std::nullopt;
         },
         anything, "id of the limit that fails in most of them"},
        {"values_that_vary", when(varies, [](auto& of) { return of.chance->values; }), from_zero,
         "of the ingredients, and matter to a limit"},
        {"spreads_assumed", when(varies, [](auto& of) { return of.chance->assumed; }), from_zero,
         "of those, from the kind of ingredient"},
        {"without_spread",
         [](auto& of) {
             const bool any =
                 of.chance && of.chance->values > 0 && !of.chance->without_spread.empty();
             return any ? std::optional(of.chance->without_spread) : std::nullopt;
         },
         anything, "names of ingredients whose contents are taken not to vary"},
        {"limits", &Assessment::limits, limit_fields()},
        {"analysis", &Assessment::analysis, item}};
    return list;
}

const Fields<limits::CautionResult>& caution_fields() {
    using limits::CautionResult;
    static const Fields<CautionResult> list{{"text", &CautionResult::text},
                                            {"jurisdiction", if_any(&CautionResult::jurisdiction)},
                                            {"year", &CautionResult::year},
                                            {"source", &CautionResult::source}};
    return list;
}

const Fields<Judged>& judged_fields() {
    using catalog::Pond;
    static const Fields<Finding> finding{
        {"kind", [](auto& f) { return to_string(f.kind); }, {.ref = "finding_kind"}},
        {"severity", [](auto& f) { return to_string(f.severity); }, {.ref = "severity"}},
        {"text", [](auto& f) { return sentence(f); }},
        {"limit", if_any(&Finding::limit), anything, "id of the limit it is about"},
        {"ingredient", if_any(&Finding::ingredient), kebab},
        {"value", &Finding::value, anything, "what the mix has"},
        {"number", &Finding::number, anything, "what it should have at least, or at most"},
        {"unit", if_any(&Finding::unit), anything, "of both"},
        {"source", if_any(&Finding::source)}};
    static const Fields<Pond> pond{{"fish_per_m2_up_to", &Pond::fish_per_m2_up_to, from_zero},
                                   {"source", &Pond::source}};
    const auto judged = [](auto& of) { return of.judgement.verdict.has_value(); };
    static const Fields<Judged> list{
        {"verdict",
         when(judged, [](auto& of) { return to_string(*of.judgement.verdict); }),
         {.ref = "verdict"}},
        {"findings", when(judged, [](auto& of) { return of.judgement.findings; }), finding,
         "what the verdict rests on, worst first"},
        {"pond", [](auto& of) { return of.judgement.verdict ? of.job.pond : std::nullopt; }, pond,
         "the fertilised pond whose natural food was counted"}};
    return list;
}

}  // namespace feedwright::report
