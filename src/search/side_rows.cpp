// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/side_rows.hpp"

#include "job/portion.hpp"
#include "limits/limit_rows.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

namespace feedwright::search {

namespace {

bool frames(limits::LimitKind kind) {
    return kind == limits::LimitKind::inclusion || kind == limits::LimitKind::group;
}

// What a limit's value is a share of, in a mix of equal parts where it varies.
double typical_whole(const limits::Limit& limit, const std::vector<limits::Limit>& limits) {
    if (const auto whole = limits::fixed_whole(limit, limits)) return *whole;
    double sum = 0;
    for (const double per : limit.per)
        sum += per;
    return sum > 0 ? sum / static_cast<double>(limit.per.size()) : 1;
}

}  // namespace

SideRows::SideRows(const job::Job& job, const Model& model, bool whole_numbers) : model_(model) {
    const std::size_t count = job.ingredients.size();
    for (std::size_t c = 0; c < model.program.columns().size(); ++c) {
        if (c >= count && !whole_numbers) break;
        lp::Column column = model.program.columns()[c];
        column.cost = 0;
        if (c < count) {
            column.lower = 0;
            column.upper.reset();
        }
        columns_.push_back(std::move(column));
    }
    for (std::size_t k = 0; k < model.limits.size(); ++k) {
        const limits::Limit& limit = model.limits[k];
        if (limit.advisory) continue;
        if (limit.kind == limits::LimitKind::balance) {
            fixed_.push_back({limit.id, limit.min, limit.max, limits::row_entries(limit, 0)});
            continue;
        }
        const double whole = typical_whole(limit, model.limits);
        const auto add = [&](double number, bool is_min) {
            double size = std::abs(number) * whole;
            if (number == 0) {
                for (const double amount : limit.amount)
                    size = std::max(size, std::abs(amount));
            }
            rows_.push_back({k, is_min, number, frames(limit.kind), size > 0 ? size : 1});
        };
        if (limit.min) add(*limit.min, true);
        if (limit.max) add(*limit.max, false);
    }
    if (!whole_numbers) return;
    for (const lp::Row& row : model.program.rows()) {
        const bool most = row.id.starts_with("most:");
        if (!most && !row.id.starts_with("least:") && row.id != "at most") continue;
        lp::Row kept = row;
        if (most) {
            // The program's own bound may come from a limit that is to be left out here.
            const auto largest = job::Portion(job).most_of(kept.entries[0].column);
            if (largest) kept.entries[1].value = -*largest;
        }
        fixed_.push_back(std::move(kept));
    }
}

const limits::Limit& SideRows::limit(std::size_t s) const {
    return model_.limits[rows_[s].limit];
}

limits::AskedSide SideRows::side(std::size_t s) const {
    return limits::asked_side(limit(s), rows_[s].is_min);
}

void SideRows::add_row(lp::LinearProgram& program, std::size_t s, double number,
                       std::optional<std::size_t> miss) const {
    const Row& row = rows_[s];
    const limits::Limit& l = limit(s);
    lp::Row added{limits::row_id(l, row.is_min), {}, {}, limits::row_entries(l, number)};
    (row.is_min ? added.lower : added.upper) = l.per.empty() ? number : 0;
    if (miss) added.entries.push_back({*miss, row.is_min ? row.size : -row.size});
    program.add_row(std::move(added));
}

lp::LinearProgram SideRows::holding(const std::vector<bool>& kept) const {
    lp::LinearProgram program;
    for (const lp::Column& column : columns_)
        program.add_column(column);
    for (const lp::Row& row : fixed_)
        program.add_row(row);
    for (std::size_t s = 0; s < rows_.size(); ++s) {
        if (kept[s]) add_row(program, s, rows_[s].wanted, {});
    }
    return program;
}

lp::LinearProgram SideRows::holding(const std::vector<bool>& kept, std::size_t changed,
                                    double number) const {
    std::vector<bool> others = kept;
    others[changed] = false;
    lp::LinearProgram program = holding(others);
    add_row(program, changed, number, {});
    return program;
}

lp::LinearProgram SideRows::elastic() const {
    lp::LinearProgram program;
    for (const lp::Column& column : columns_)
        program.add_column(column);
    for (std::size_t s = 0; s < rows_.size(); ++s) {
        program.add_column(
            {"miss " + limits::row_id(limit(s), rows_[s].is_min), 1, 0.0, {}, false});
    }
    for (const lp::Row& row : fixed_)
        program.add_row(row);
    for (std::size_t s = 0; s < rows_.size(); ++s) {
        add_row(program, s, rows_[s].wanted, first_miss() + s);
    }
    return program;
}

}  // namespace feedwright::search
