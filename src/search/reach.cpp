// SPDX-License-Identifier: GPL-3.0-or-later
#include "search/reach.hpp"

#include "search/cheapest.hpp"

#include <cmath>
#include <utility>

namespace feedwright::search {

namespace {

bool frames(limits::LimitKind kind) {
    return kind == limits::LimitKind::balance || kind == limits::LimitKind::inclusion ||
           kind == limits::LimitKind::group;
}

std::vector<lp::Entry> entries_of(const std::vector<double>& coefficients) {
    std::vector<lp::Entry> entries;
    for (std::size_t i = 0; i < coefficients.size(); ++i) {
        if (coefficients[i] != 0) entries.push_back({i, coefficients[i]});
    }
    return entries;
}

// Every limit of `frame` as a row over y = t x and the new last column t.
lp::LinearProgram homogeneous(const lp::LinearProgram& frame) {
    lp::LinearProgram program;
    for (const lp::Column& column : frame.columns()) {
        program.add_column({column.id, 0.0, 0.0, {}, false});
    }
    const std::size_t t = program.add_column({"scale", 0.0, 0.0, {}, false});
    const auto add = [&](const std::string& id, std::vector<lp::Entry> entries,
                         const std::optional<double>& lower, const std::optional<double>& upper) {
        const auto side = [&](const std::string& name, double limit, bool is_lower) {
            auto with_scale = entries;
            if (limit != 0) with_scale.push_back({t, -limit});
            program.add_row({name, is_lower ? std::optional<double>(0.0) : std::nullopt,
                             is_lower ? std::nullopt : std::optional<double>(0.0),
                             std::move(with_scale)});
        };
        if (lower) side(id + ":low", *lower, true);
        if (upper) side(id + ":high", *upper, false);
    };
    for (const lp::Row& row : frame.rows())
        add(row.id, row.entries, row.lower, row.upper);
    for (std::size_t c = 0; c < frame.columns().size(); ++c) {
        const lp::Column& column = frame.columns()[c];
        const bool positive = column.lower && *column.lower > 0;
        add("column " + column.id, {{c, 1.0}}, positive ? column.lower : std::nullopt,
            column.upper);
    }
    return program;
}

}  // namespace

lp::LinearProgram frame_of(const Model& model) {
    std::vector<bool> kept(model.program.rows().size(), true);
    for (const Side& side : model.sides) {
        if (side.row && !frames(model.limits[side.limit].kind)) kept[*side.row] = false;
    }
    lp::LinearProgram frame;
    for (lp::Column column : model.program.columns()) {
        column.cost = 0;
        column.integer = false;
        frame.add_column(std::move(column));
    }
    for (std::size_t r = 0; r < kept.size(); ++r) {
        if (kept[r]) frame.add_row(model.program.rows()[r]);
    }
    return frame;
}

std::optional<double> extreme(const lp::LinearProgram& frame, const limits::Limit& limit,
                              bool largest) {
    lp::LinearProgram program = limit.per.empty() ? frame : homogeneous(frame);
    if (!limit.per.empty()) program.add_row({"share of", 1.0, 1.0, entries_of(limit.per)});
    for (std::size_t i = 0; i < limit.amount.size(); ++i) {
        program.set_cost(i, largest ? -limit.amount[i] : limit.amount[i]);
    }
    const lp::Solution solution = lp::solve(program);
    if (solution.status != lp::Status::optimal) return std::nullopt;
    return largest ? -solution.objective : solution.objective;
}

std::vector<Reachable> reachable_limits(const Model& model) {
    const lp::LinearProgram frame = frame_of(model);
    std::vector<Reachable> list;
    const auto add = [&](const limits::Limit& limit, double wanted, bool is_min) {
        const auto best = extreme(frame, limit, is_min);
        if (!best) return;
        const double slack = limits::binding_margin * limits::size_of_side(limit, wanted);
        const bool possible = is_min ? *best >= wanted - slack : *best <= wanted + slack;
        list.push_back({limits::asked_side(limit, is_min), *best, possible});
    };
    for (const limits::Limit& limit : model.limits) {
        if (limit.advisory || frames(limit.kind)) continue;
        if (limit.min) add(limit, *limit.min, true);
        if (limit.max) add(limit, *limit.max, false);
    }
    return list;
}

}  // namespace feedwright::search
