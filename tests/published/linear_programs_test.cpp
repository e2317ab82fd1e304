// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/file.hpp"
#include "base/json.hpp"
#include "lp/solver.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <cmath>
#include <filesystem>
#include <map>

// Published linear programs with published answers. Each file in data/linear-programs names where
// its figures and its answer come from, and how far the printed digits carry.

namespace fs = std::filesystem;
using namespace feedwright;
using namespace feedwright::lp;

namespace {

struct Published {
    LinearProgram program;
    std::map<std::string, std::size_t> column_of;
    double times = 1;  // the answer is printed for so many units
    double objective = 0;
    double objective_tolerance = 0;
    std::map<std::string, double> values;
    double values_tolerance = 0;
};

Published load(const fs::path& file) {
    base::Diagnostics problems;
    const base::JsonView root(base::parse_json(base::read_file(file.string()), file.string()),
                              problems);
    Published result;
    root.require_format("feedwright-test-lp/1");
    root.required("source");
    for (const base::JsonView& item : root.array("columns")) {
        item.allow_only({"id", "cost", "lower", "upper", "free_below"});
        Column column{item.string("id").value(), item.number("cost").value(),
                      item.number("lower").value_or(0), item.number("upper"), false};
        if (item.has("free_below")) column.lower.reset();
        result.column_of[column.id] = result.program.add_column(column);
    }
    for (const base::JsonView& item : root.array("rows")) {
        item.allow_only({"id", "lower", "upper", "entries"});
        Row row{item.string("id").value(), item.number("lower"), item.number("upper"), {}};
        std::map<std::size_t, double> entries;
        for (const auto& [id, value] : item.required("entries")->members()) {
            entries[result.column_of.at(id)] = value.as_number().value();
        }
        for (const auto& [column, value] : entries)
            row.entries.push_back({column, value});
        result.program.add_row(row);
    }
    const base::JsonView answer = root.required("answer").value();
    answer.allow_only(
        {"times", "objective", "objective_tolerance", "values", "values_tolerance", "why"});
    result.times = answer.number("times").value_or(1);
    result.objective = answer.number("objective").value();
    result.objective_tolerance = answer.number("objective_tolerance").value();
    if (const auto values = answer.member("values")) {
        result.values_tolerance = answer.number("values_tolerance").value();
        for (const auto& [id, value] : values->members()) {
            result.values[id] = value.as_number().value();
        }
    }
    problems.throw_if_any();
    return result;
}

}  // namespace

TEST_CASE("published linear programs reach their published optimum") {
    const fs::path folder = test::source_folder() / "tests/published/data/linear-programs";
    std::size_t files = 0;
    for (const auto& item : fs::directory_iterator(folder)) {
        INFO(item.path().filename().string());
        ++files;
        const Published published = load(item.path());
        const Solution solution = solve(published.program);
        REQUIRE(solution.status == Status::optimal);
        CHECK(certify(published.program, solution).holds(1e-10));
        CHECK(std::abs(solution.objective * published.times - published.objective) <=
              published.objective_tolerance);
        for (const auto& [id, value] : published.values) {
            INFO(id);
            CHECK(std::abs(solution.primal[published.column_of.at(id)] * published.times - value) <=
                  published.values_tolerance);
        }
    }
    CHECK(files == 9);
}
