// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/json_sections.hpp"
#include "report/mix/answer_fields.hpp"
#include "report/mix/conflict_report.hpp"
#include "report/results.hpp"

namespace feedwright::report {

namespace {

using limits::CautionResult;
using search::Formulation;
using search::UnusedItem;

std::string_view status_text(const Formulation& result) {
    switch (result.status) {
        case lp::Status::optimal:
            return "optimal";
        case lp::Status::infeasible:
            return "infeasible";
        case lp::Status::unbounded:
            return "unbounded";
        case lp::Status::limit:
            return result.amounts.empty() ? "failed" : "stopped";
        case lp::Status::failed:
            return "failed";
    }
    return "failed";
}

const Fields<search::SureConflict>& sure_conflict_fields() {
    using search::SureConflict;
    static const Fields<SureConflict> list{
        {"asked_percent", &SureConflict::asked_percent, share},
        {"possible_percent", &SureConflict::possible_percent, share,
         "the most that each limit can be sure of at once"},
        {"tight", &SureConflict::tight, anything, "names of limits that keep it from being more"},
        {"relax", &SureConflict::relax, anything,
         "names of limits of which each, held on average alone, makes a mix possible"}};
    return list;
}

// What there is of a mix that was found.
const Fields<Answer>& mix_fields() {
    static const Fields<UnusedItem> unused{
        {"id", &UnusedItem::id, kebab},
        {"name", &UnusedItem::name},
        {"price", &UnusedItem::price, anything},
        {"enters_below", &UnusedItem::enters_below, anything, "a price"},
        {"enters_percent",
         &UnusedItem::enters_percent,
         {.above = 0, .most = 100},
         "its share of the mix at a price just under that"},
        {"enters_unknown", if_any(&UnusedItem::enters_unknown), when_true}};
    const auto surely = [](auto& of) { return of.sure.has_value(); };
    static const Fields<Formulation> proof{
        {"primal_residual", [](auto& of) { return of.proof.primal_residual; }, from_zero},
        {"dual_residual", [](auto& of) { return of.proof.dual_residual; }, from_zero},
        {"duality_gap", [](auto& of) { return of.proof.duality_gap; }, from_zero},
        {"sure_shortfall", when(surely, [](auto& of) { return of.sure->shortfall; }), from_zero,
         "the most that a limit that must hold surely is short by, over its scale"},
        {"sure_gap", when(surely, [](auto& of) { return of.sure->gap; }), from_zero,
         "of the cost over the bound of the program with planes"},
        {"planes", when(surely, [](auto& of) { return of.sure->planes; }), from_zero}};
    const auto whole = [](auto& of) { return of.result.bound.has_value(); };
    const auto ration = [](auto& of) { return of.job.free_total; };
    const auto dried = [](auto& of) { return of.job.finished_moisture.has_value(); };
    static const Fields<Answer> list{
        {"proven_best", when(whole, [](auto& of) { return of.result.proven_best; })},
        {"bound", [](auto& of) { return of.result.bound; }, anything, "no mix costs less"},
        {"cost", when(ration, [](auto& of) { return of.result.cost; }), anything, "of all of it"},
        {"cost_per_kg", [](auto& of) { return of.result.cost_per_kg; }},
        {"unique", [](auto& of) { return of.result.unique; }, anything, "none costs as little"},
        {"weighed_in_per_kg", when(dried, [](auto& of) { return of.result.weighed_in; })},
        {"mix", [](auto& of) { return shown(of.job, of.result.items); }, item_fields()},
        {"unused", part_of([](auto& of) { return &of.result.unused; }), unused},
        {here, part_of([](auto& of) { return &of.result.assessment; }), assessment_fields()},
        {"proof", part_of([](auto& of) { return &of.result; }), proof}};
    return list;
}

struct Told : Answer {
    const std::vector<CautionResult>& cautions;
};

// What the job says besides profile and prices, as it was written there.
Field<Told> asked_field() {
    Field<Told> field{"asked",
                      [](const Told&) { return std::optional<std::string>(); },
                      {.ref = "asked"},
                      "what the job asked besides, so that the mix can be read as a recipe"};
    field.write = [](base::JsonWriter& json, const Told& of) {
        if (of.job.asked.items.empty()) return;
        json.key("asked");
        base::write_value(json, of.job.asked);
    };
    return field;
}

const Format<Told>& mix_format() {
    static const Format<Told> format{
        "mix",
        "The result of formulate",
        {{here, part_of([](auto& of) { return &of.job; }), head_fields()},
         {here, [](auto& of) -> const Answer& { return of; }, answer_fields()},
         asked_field(),
         {"cautions", part_of([](auto& of) { return &of.cautions; }), caution_fields()}},
        {"cost_per_kg", "mix", "unused", "limits", "analysis", "proof"}};
    return format;
}

struct Checked {
    const job::Job& recipe;
    const limits::Check& check;
    const std::vector<CautionResult>& cautions;
};

const Format<Checked>& check_format() {
    static const Fields<ShownItem> item =
        only(item_fields(), {"id", "name", "percent", "price", "cost_per_kg", "batch_kg"});
    const auto asked = [](auto& of) { return of.check.asked > 0; };
    static const Format<Checked> format{
        "check",
        "The result of check",
        {{"passes", when(asked, [](auto& of) { return of.check.passes; })},
         {here,
          [](auto& of) {
              return Judged{of.recipe, of.check.judgement};
          },
          judged_fields()},
         {here, part_of([](auto& of) { return &of.recipe; }), head_fields()},
         {"cost_per_kg", [](auto& of) { return of.check.known_cost_per_kg(); }, anything},
         {"mix", [](auto& of) { return shown(of.recipe, of.check.items); }, item},
         {here, part_of([](auto& of) { return &of.check.assessment; }), assessment_fields()},
         {"cautions", part_of([](auto& of) { return &of.cautions; }), caution_fields()}}};
    return format;
}

}  // namespace

const Fields<Answer>& answer_fields() {
    const auto is = [](lp::Status status) {
        return
            [status](auto& of) { return of.result.amounts.empty() && of.result.status == status; };
    };
    const auto found = [](auto& of) { return !of.result.amounts.empty(); };
    const auto itself = [](auto& of) { return of; };
    static const Fields<Answer> list{
        {"status", [](auto& of) { return status_text(of.result); }, {.ref = "mix_status"}},
        {here,
         [](auto& of) {
             return Judged{of.job, of.result.judgement};
         },
         judged_fields()},
        {"message", if_any([](auto& of) { return of.result.message; }), anything,
         "why there is no proven answer"},
        {here, when(found, itself), mix_fields()},
        {"sure_conflict", [](auto& of) { return of.result.sure_conflict; }, sure_conflict_fields(),
         "a mix exists on average, and none as sure as was asked"},
        {"conflict",
         when([is](auto& of) { return is(lp::Status::infeasible)(of) && !of.result.sure_conflict; },
              itself),
         conflict_fields()},
        {"unbounded_by",
         when(is(lp::Status::unbounded), [](auto& of) { return of.result.unbounded_by; })}};
    return list;
}

std::string mix_json(const job::Job& job, const Formulation& result,
                     const std::vector<CautionResult>& cautions, const Run& run) {
    return to_json(mix_format(), Told{{job, result}, cautions}, run);
}

std::string check_json(const job::Job& recipe, const limits::Check& result,
                       const std::vector<CautionResult>& cautions, const Run& run) {
    return to_json(check_format(), {recipe, result, cautions}, run);
}

std::string mix_schema() {
    return schema_of(mix_format());
}

std::string check_schema() {
    return schema_of(check_format());
}

}  // namespace feedwright::report
