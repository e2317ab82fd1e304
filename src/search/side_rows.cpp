// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/side_rows.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::search {

namespace {

// What a limit's value is a share of, in a mix of equal parts where it varies.
double typical_whole(const limits::Limit& limit, const std::vector<limits::Limit>& limits) {
    if (const auto whole = limits::fixed_whole(limit, limits)) return *whole;
    double sum = 0;
    for (const double per : limit.per)
        sum += per;
    return sum > 0 ? sum / static_cast<double>(limit.per.size()) : 1;
}

// What the row of a side is short by when the limit is missed by all of its number.
double size_of(const limits::Limit& limit, double number, double whole) {
    double size = std::abs(number) * whole;
    if (number == 0) {
        for (const double amount : limit.amount)
            size = std::max(size, std::abs(amount));
    }
    return size > 0 ? size : 1;
}

}  // namespace

SideRows::SideRows(const job::Job& job, const FeedProgram& program, bool whole_numbers)
    : always_(job, program.limits()) {
    always_.add_amounts(false);
    const std::vector<limits::Limit>& limits = always_.limits();
    for (std::size_t k = 0; k < limits.size(); ++k) {
        const limits::Limit& limit = limits[k];
        if (limit.kind == limits::LimitKind::balance) always_.add_limit(k);
        if (limit.advisory || limit.kind == limits::LimitKind::balance) continue;
        const bool frames =
            limit.kind == limits::LimitKind::inclusion || limit.kind == limits::LimitKind::group;
        for (const bool is_min : {true, false}) {
            if (!(is_min ? limit.min : limit.max)) continue;
            const double number = limits::number_of(limit, is_min);
            const double whole = typical_whole(limit, limits);
            rows_.push_back({{k, is_min}, number, frames, size_of(limit, number, whole)});
        }
    }
    if (!whole_numbers) return;
    always_.add_uses([&](std::size_t i) {
        // A bound of the program may come from a limit that is to be left out here.
        const auto most = job::Portion(job).most_of(i);
        return most ? *most : *program.program().columns()[i].upper;
    });
}

lp::LinearProgram SideRows::holding(const std::vector<bool>& kept) const {
    FeedProgram program = always_;
    for (std::size_t s = 0; s < rows_.size(); ++s) {
        if (kept[s]) program.add_side(rows_[s].side, rows_[s].wanted);
    }
    return std::move(program.program());
}

lp::LinearProgram SideRows::holding_all() const {
    return holding(std::vector<bool>(rows_.size(), true));
}

lp::LinearProgram SideRows::holding(const std::vector<bool>& kept, std::size_t changed,
                                    double number) const {
    FeedProgram program = always_;
    for (std::size_t s = 0; s < rows_.size(); ++s) {
        if (kept[s] && s != changed) program.add_side(rows_[s].side, rows_[s].wanted);
    }
    program.add_side(rows_[changed].side, number);
    return std::move(program.program());
}

lp::LinearProgram SideRows::elastic() const {
    FeedProgram program = always_;
    for (std::size_t s = 0; s < rows_.size(); ++s)
        program.add_column("miss " + std::to_string(s), 1);
    for (std::size_t s = 0; s < rows_.size(); ++s) {
        program.add_side(rows_[s].side, rows_[s].wanted, Give{first_miss() + s, rows_[s].size});
    }
    return std::move(program.program());
}

}  // namespace feedwright::search
