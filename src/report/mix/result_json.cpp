// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/json_writer.hpp"
#include "report/json_sections.hpp"
#include "report/mix/conflict_report.hpp"
#include "report/results.hpp"
#include "report/verdict_sections.hpp"

#include <utility>

namespace feedwright::report {

namespace {

using base::JsonWriter;
using search::Formulation;

std::string status_text(const Formulation& result) {
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

void write_mix(JsonWriter& json, const job::Job& job, const Formulation& result) {
    if (job.free_total) json.member("cost", result.cost);
    json.member("cost_per_kg", result.cost_per_kg);
    if (result.unique) json.member("unique", *result.unique);
    if (job.finished_moisture) json.member("weighed_in_per_kg", result.weighed_in);
    json.key("mix").begin_array();
    for (const limits::MixItem& item : result.items) {
        json.begin_object();
        json.member("id", item.id);
        json.member("name", item.name);
        json.member("percent", item.percent);
        json.member("dry_matter_percent", item.dry_matter_percent);
        if (job.free_total) json.member("amount_kg", item.amount);
        json.member("price", item.price);
        json.member("cost_per_kg", item.cost);
        json.member("cost_percent", item.cost_percent);
        json.member("batch_kg", item.batch_kg);
        json.member("price_low", item.price_low);
        json.member("price_high", item.price_high);
        json.end_object();
    }
    json.end_array();
    json.key("unused").begin_array();
    for (const search::UnusedItem& item : result.unused) {
        json.begin_object();
        json.member("id", item.id);
        json.member("name", item.name);
        json.member("price", item.price);
        json.member("enters_below", item.enters_below);
        json.member("enters_percent", item.enters_percent);
        if (item.enters_unknown) json.member("enters_unknown", true);
        json.end_object();
    }
    json.end_array();
}

}  // namespace

void write_answer(JsonWriter& json, const job::Job& job, const Formulation& result) {
    json.member("status", status_text(result));
    write_judgement(json, job, result.judgement);
    if (!result.message.empty()) json.member("message", result.message);
    if (!result.amounts.empty()) {
        if (result.bound) json.member("proven_best", result.proven_best);
        json.member("bound", result.bound);
        write_mix(json, job, result);
        write_limits(json, result.assessment.limits);
        write_analysis(json, result.assessment.analysis);
        json.key("proof").begin_object();
        json.member("primal_residual", result.proof.primal_residual);
        json.member("dual_residual", result.proof.dual_residual);
        json.member("duality_gap", result.proof.duality_gap);
        json.end_object();
    } else if (result.status == lp::Status::infeasible) {
        write_conflict(json, job, result);
    } else if (result.status == lp::Status::unbounded) {
        json.member("unbounded_by", result.unbounded_by);
    }
}

std::string mix_json(const job::Job& job, const Formulation& result,
                     const std::vector<limits::CautionResult>& cautions, const Run& run) {
    JsonWriter json;
    json.begin_object();
    json.member("format", "feedwright-mix/1");
    json.member("program", run.program);
    write_head(json, job);
    write_answer(json, job, result);
    write_tail(json, cautions, run);
    json.end_object();
    return json.take();
}

std::string check_json(const job::Job& recipe, const limits::Check& result,
                       const std::vector<limits::CautionResult>& cautions, const Run& run) {
    JsonWriter json;
    json.begin_object();
    json.member("format", "feedwright-check/1");
    json.member("program", run.program);
    if (result.asked > 0) json.member("passes", result.passes);
    write_judgement(json, recipe, result.judgement);
    write_head(json, recipe);
    json.member("cost_per_kg", result.known_cost_per_kg());
    json.key("mix").begin_array();
    for (const limits::MixItem& item : result.items) {
        json.begin_object();
        json.member("id", item.id);
        json.member("name", item.name);
        json.member("percent", item.percent);
        json.member("price", item.price);
        json.member("cost_per_kg", item.cost);
        json.member("batch_kg", item.batch_kg);
        json.end_object();
    }
    json.end_array();
    write_limits(json, result.assessment.limits);
    write_analysis(json, result.assessment.analysis);
    write_tail(json, cautions, run);
    json.end_object();
    return json.take();
}

}  // namespace feedwright::report
