// SPDX-License-Identifier: GPL-3.0-or-later
#include "batch/layout.hpp"

#include "base/csv.hpp"
#include "base/diagnostics.hpp"
#include "base/json_writer.hpp"
#include "base/text.hpp"
#include "job/portion.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

namespace feedwright::batch {

namespace {

std::string json_text(std::string_view text) {
    base::JsonWriter json(0);
    json.value(text);
    return json.take();
}

std::size_t place_of(const std::vector<std::string>& sorted, const std::string& id) {
    return static_cast<std::size_t>(std::lower_bound(sorted.begin(), sorted.end(), id) -
                                    sorted.begin());
}

}  // namespace

void append_number(std::string& out, double value) {
    if (!std::isfinite(value)) throw Error("a number of a result is not finite");
    std::array<char, 32> buffer{};
    const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), value + 0.0).ptr;
    out.append(buffer.data(), end);
}

void append_json_text(std::string& out, std::string_view text) {
    const bool plain = std::all_of(text.begin(), text.end(), [](char c) {
        return c >= ' ' && c < 0x7f && c != '"' && c != '\\';
    });
    if (!plain) {
        out += json_text(text);
        return;
    }
    out += '"';
    out += text;
    out += '"';
}

void append_csv_text(std::string& out, std::string_view text) {
    // A line of the output is one result: line breaks go with the other control characters.
    out += base::csv_text(text);
}

// A line names what was found by its kind and subject; the sentences are in the report of one mix.
void append_judgement(std::string& out, const limits::Judgement& judgement, Form form) {
    const std::string_view verdict = judgement.verdict ? to_string(*judgement.verdict) : "";
    std::vector<std::string> found;
    for (const limits::Finding& one : judgement.findings) {
        if (one.severity == limits::Severity::note) continue;
        found.push_back(std::string(to_string(one.kind)) + ':' +
                        (!one.ingredient.empty() ? one.ingredient : one.name));
    }
    if (form == Form::csv) {
        std::string cell;
        for (const std::string& one : found)
            cell += (cell.empty() ? "" : "; ") + one;
        out += ',';
        out += verdict;
        out += ',';
        append_csv_text(out, cell);
        return;
    }
    if (verdict.empty()) return;
    out += ",\"verdict\":\"";
    out += verdict;
    out += "\",\"findings\":[";
    for (std::size_t k = 0; k < found.size(); ++k) {
        if (k > 0) out += ',';
        append_json_text(out, found[k]);
    }
    out += ']';
}

std::string LineFormat::Shared::header() const {
    if (form == Form::json) return {};
    std::vector<std::string> names;
    if (name_jobs) names.emplace_back("job");
    names.insert(names.end(), {"list", "status", "reason"});
    if (columns.cost && any_ration) names.emplace_back("cost");
    if (columns.cost) names.emplace_back("cost_per_kg");
    if (columns.mix) {
        for (const std::string& id : ingredients)
            names.push_back("mix:" + id);
        for (const std::string& id : ingredients) {
            if (any_ration) names.push_back("amount_kg:" + id);
        }
    }
    if (columns.binding) names.emplace_back("binding");
    if (columns.shadow) {
        for (const std::string& id : limits)
            names.push_back("shadow:" + id);
    }
    names.insert(names.end(), {"verdict", "findings", "proof"});
    std::string line;
    for (const std::string& name : names) {
        if (!line.empty()) line += ',';
        line += base::csv_text(name);
    }
    return line + '\n';
}

LineFormat::LineFormat(const Shared& shared, const job::Job& job,
                       const std::vector<limits::Limit>& limits, std::string name)
    : shared_(shared), is_ration_(job::Portion(job).is_ration()) {
    if (shared.form == Form::json) {
        start_ = "{";
        if (shared.name_jobs) start_ += "\"job\":" + json_text(name) + ',';
        start_ += "\"list\":";
    } else if (shared.name_jobs) {
        start_ = base::csv_text(name) + ',';
    }
    for (const job::Choice& choice : job.ingredients) {
        ingredient_keys_.push_back(json_text(choice.id) + ':');
        ingredient_columns_.push_back(place_of(shared.ingredients, choice.id));
    }
    for (const limits::Limit& limit : limits) {
        limit_ids_.push_back(shared.form == Form::json ? json_text(limit.id) : limit.id);
    }
}

void LineFormat::find_limit_columns(const std::vector<limits::Limit>& limits) {
    for (const limits::Limit& limit : limits) {
        limit_columns_.push_back(place_of(shared_.limits, limit.id));
    }
}

void LineFormat::describe(Picture& picture) const {
    append_judgement(picture.judgement_text, picture.judgement, shared_.form);
    std::string& mix = picture.mix_text;
    std::string& binding = picture.binding_text;
    if (shared_.form == Form::json) {
        const auto list = [&](const char* key, const auto& value) {
            mix += key;
            for (std::size_t k = 0; k < picture.used.size(); ++k) {
                if (k > 0) mix += ',';
                mix += ingredient_keys_[picture.used[k]];
                append_number(mix, value(k));
            }
            mix += '}';
        };
        list(",\"mix\":{", [&](std::size_t k) { return picture.percent[picture.used[k]]; });
        if (is_ration_) {
            list(",\"amount_kg\":{", [&](std::size_t k) { return picture.amounts[k]; });
        }
        binding = ",\"binding\":[";
        for (std::size_t k = 0; k < picture.binding.size(); ++k) {
            if (k > 0) binding += ',';
            binding += limit_ids_[picture.binding[k]];
        }
        binding += ']';
        return;
    }
    // Cells for the ingredients of all jobs; those of other jobs stay empty.
    std::vector<std::string> cells(shared_.ingredients.size());
    const auto join = [&] {
        for (const std::string& cell : cells)
            mix += ',' + cell;
    };
    for (std::size_t i = 0; i < picture.percent.size(); ++i) {
        append_number(cells[ingredient_columns_[i]], picture.percent[i]);
    }
    join();
    if (shared_.any_ration) {
        for (std::string& cell : cells)
            cell.clear();
        if (is_ration_) {
            for (const std::size_t column : ingredient_columns_)
                cells[column] = "0";
            for (std::size_t k = 0; k < picture.used.size(); ++k) {
                std::string& cell = cells[ingredient_columns_[picture.used[k]]];
                cell.clear();
                append_number(cell, picture.amounts[k]);
            }
        }
        join();
    }
    std::string ids;
    for (const std::size_t limit : picture.binding) {
        if (!ids.empty()) ids += "; ";
        ids += limit_ids_[limit];
    }
    binding = ',' + base::csv_text(ids);
}

void LineFormat::write(std::string& out, const Answer& answer) const {
    if (shared_.form == Form::json) {
        write_json(out, answer);
    } else {
        write_csv(out, answer);
    }
}

void LineFormat::write_json(std::string& out, const Answer& answer) const {
    out += start_;
    append_json_text(out, answer.list);
    out += ",\"status\":\"";
    out += answer.status;
    out += '"';
    if (answer.picture == nullptr) {
        out += ",\"reason\":";
        append_json_text(out, answer.reason);
        out += "}\n";
        return;
    }
    const Columns& columns = shared_.columns;
    if (columns.cost) {
        if (is_ration_) {
            out += ",\"cost\":";
            append_number(out, answer.cost);
        }
        out += ",\"cost_per_kg\":";
        append_number(out, answer.cost_per_kg);
    }
    if (columns.mix) out += answer.picture->mix_text;
    if (columns.binding) out += answer.picture->binding_text;
    if (columns.shadow) {
        char separator = '{';
        out += ",\"shadow\":";
        for (const auto& [limit, price] : answer.shadow) {
            out += separator;
            out += limit_ids_[limit];
            out += ':';
            append_number(out, price);
            separator = ',';
        }
        if (separator == '{') out += '{';
        out += '}';
    }
    out += answer.picture->judgement_text;
    out += ",\"proof\":";
    append_number(out, answer.proof);
    out += "}\n";
}

void LineFormat::write_csv(std::string& out, const Answer& answer) const {
    out += start_;
    append_csv_text(out, answer.list);
    out += ',';
    out += answer.status;
    out += ',';
    append_csv_text(out, answer.reason);
    const Columns& columns = shared_.columns;
    const bool solved = answer.picture != nullptr;
    if (columns.cost) {
        if (shared_.any_ration) {
            out += ',';
            if (solved && is_ration_) append_number(out, answer.cost);
        }
        out += ',';
        if (solved) append_number(out, answer.cost_per_kg);
    }
    if (columns.mix) {
        if (solved) {
            out += answer.picture->mix_text;
        } else {
            out.append(shared_.ingredients.size() * (shared_.any_ration ? 2 : 1), ',');
        }
    }
    if (columns.binding) out += solved ? answer.picture->binding_text : ",";
    if (columns.shadow) {
        // In the order of the columns; a limit that does not bind has none.
        std::vector<const double*> prices(shared_.limits.size(), nullptr);
        for (const auto& [limit, price] : answer.shadow)
            prices[limit_columns_[limit]] = &price;
        for (const double* price : prices) {
            out += ',';
            if (price != nullptr) append_number(out, *price);
        }
    }
    out += solved ? answer.picture->judgement_text : ",,";
    out += ',';
    if (solved) append_number(out, answer.proof);
    out += '\n';
}

}  // namespace feedwright::batch
