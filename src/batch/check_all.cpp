// SPDX-License-Identifier: GPL-3.0-or-later
#include "batch/batch.hpp"
#include "batch/layout.hpp"
#include "batch/pipeline.hpp"

#include <utility>

namespace feedwright::batch {

namespace {

std::string_view status_of(const Verdict& verdict) {
    if (!verdict.problem.empty()) return "error";
    return verdict.passes ? "passes" : "short";
}

void write_json(std::string& out, const Verdict& verdict) {
    out += "{\"recipe\":";
    append_json_text(out, verdict.recipe);
    out += ",\"status\":\"";
    out += status_of(verdict);
    out += '"';
    if (!verdict.problem.empty()) {
        out += ",\"reason\":";
        append_json_text(out, verdict.problem);
    } else {
        if (verdict.cost_per_kg) {
            out += ",\"cost_per_kg\":";
            append_number(out, *verdict.cost_per_kg);
        }
        append_judgement(out, verdict.judgement, Form::json);
        out += ",\"short_of\":[";
        for (std::size_t i = 0; i < verdict.short_of.size(); ++i) {
            if (i > 0) out += ',';
            append_json_text(out, verdict.short_of[i]);
        }
        out += ']';
    }
    out += "}\n";
}

void write_csv(std::string& out, const Verdict& verdict) {
    append_csv_text(out, verdict.recipe);
    out += ',';
    out += status_of(verdict);
    out += ',';
    append_csv_text(out, verdict.problem);
    out += ',';
    if (verdict.cost_per_kg) append_number(out, *verdict.cost_per_kg);
    out += ',';
    std::string ids;
    for (const std::string& id : verdict.short_of) {
        if (!ids.empty()) ids += "; ";
        ids += id;
    }
    append_csv_text(out, ids);
    append_judgement(out, verdict.judgement, Form::csv);
    out += '\n';
}

struct PieceResult {
    std::string text;
    std::vector<Verdict> verdicts;
    std::optional<double> fetched;
};

void count(Summary& summary, Verdict&& verdict) {
    ++summary.lists;
    if (!verdict.problem.empty()) {
        ++summary.unusable;
        return;
    }
    ++(verdict.passes ? summary.solved : summary.unsolved);
    if (!verdict.cost_per_kg) return;
    const double cost = *verdict.cost_per_kg;
    summary.costs.add(cost);
    if (!summary.dearest || cost > summary.dearest->cost) {
        summary.dearest = Named{verdict.recipe, cost};
    }
    if (!summary.cheapest || cost < summary.cheapest->cost) {
        summary.cheapest = Named{std::move(verdict.recipe), cost};
    }
}

}  // namespace

std::string verdict_header(Form form) {
    return form == Form::csv ? "recipe,status,reason,cost_per_kg,short_of,verdict,findings\n" : "";
}

Summary check_all(Lists& lists, const std::function<Checker()>& make_checker, unsigned threads,
                  Form form, LineSink& sink, const Watch& watch) {
    Summary summary;
    summary.checked = true;
    const auto make_work = [&] {
        return [check = make_checker(), form](const Piece& piece) {
            PieceResult result;
            result.fetched = piece.fetched;
            for (std::size_t i = 0; i < piece.count; ++i) {
                Verdict verdict = check(piece.first + i);
                if (form == Form::csv) {
                    write_csv(result.text, verdict);
                } else {
                    write_json(result.text, verdict);
                }
                result.verdicts.push_back(std::move(verdict));
            }
            return result;
        };
    };
    Progress progress;
    run_in_order<PieceResult>(lists, threads, make_work, [&](PieceResult&& result) {
        sink.write(result.text);
        progress.lines += result.verdicts.size();
        progress.done = result.fetched;
        for (Verdict& verdict : result.verdicts)
            count(summary, std::move(verdict));
        if (watch) watch(progress);
    });
    sink.close();
    return summary;
}

}  // namespace feedwright::batch
