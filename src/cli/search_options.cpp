// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/search_options.hpp"

#include "base/number.hpp"
#include "base/units.hpp"
#include "cli/context.hpp"
#include "cli/interrupt.hpp"

#include <fmt/format.h>

#include <cmath>
#include <optional>

namespace feedwright::cli {

namespace {

// Seconds of "10", "10s", "500 ms" or "2 min".
std::optional<double> seconds(const std::string& text) {
    const auto quantity = base::parse_quantity(text);
    if (!quantity || !(quantity->value > 0)) return std::nullopt;
    if (quantity->unit.empty() || quantity->unit == "s") return quantity->value;
    if (quantity->unit == "ms") return quantity->value / 1000;
    if (quantity->unit == "min") return quantity->value * 60;
    return std::nullopt;
}

}  // namespace

void SearchOptions::add_to(Command& command) {
    command.add({
        {"--time-limit", &time_limit, "TIME",
         "Stop a whole-number search after TIME, such as 10s, 500ms or 2min, and keep the best mix "
         "found (default: 60s)",
         "Search"},
        {"--iteration-limit", &iteration_limit, "N",
         "Stop a whole-number search after N solver iterations (default: no limit)", "Search"},
    });
}

lp::SolveOptions SearchOptions::solve() const {
    lp::SolveOptions options;
    if (!time_limit.empty()) {
        const auto given = seconds(time_limit);
        if (!given) {
            throw UsageError(base::Diagnostic{"", "--time-limit", '"' + time_limit + '"',
                                              "a time above zero such as 10s, 500ms or 2min", ""});
        }
        options.time_limit_seconds = *given;
    }
    if (!iteration_limit.empty()) {
        options.iteration_limit = whole_number(iteration_limit, 1, "--iteration-limit");
    }
    options.interrupt = &catch_interrupt();
    return options;
}

Settings SearchOptions::settings() const {
    Settings list;
    if (!time_limit.empty()) list.emplace_back("time_limit", time_limit);
    if (!iteration_limit.empty()) list.emplace_back("iteration_limit", iteration_limit);
    return list;
}

int whole_number(const std::string& text, int least, const std::string& option) {
    const auto value = base::parse_finite(text);
    constexpr double most = 1e9;
    if (!value || *value != std::floor(*value) || *value < least || *value > most) {
        throw UsageError(base::Diagnostic{"", option, '"' + text + '"',
                                          fmt::format("a whole number from {} up", least), ""});
    }
    return static_cast<int>(*value);
}

ExitStatus exit_status_of(lp::Status status, bool has_mix) {
    switch (status) {
        case lp::Status::optimal:
            return ExitStatus::success;
        case lp::Status::infeasible:
        case lp::Status::unbounded:
            return ExitStatus::no_mix;
        case lp::Status::limit:
            if (catch_interrupt().load()) return ExitStatus::interrupted;
            return has_mix ? ExitStatus::success : ExitStatus::data_error;
        case lp::Status::failed:
            break;
    }
    return ExitStatus::data_error;
}

}  // namespace feedwright::cli
