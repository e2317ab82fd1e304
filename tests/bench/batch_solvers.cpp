// SPDX-License-Identifier: GPL-3.0-or-later
// What batch is measured against: other ways to solve one job for many price lists.
//
//   batch_solvers glpk|clp|lp_solve DATA JOB PRICES RESULTS   warm-started loops, in memory
//   batch_solvers glpsol DATA JOB PRICES LISTS FOLDER         one glpsol process a list
//   batch_solvers json DATA JOB                               the program, for other languages
//   batch_solvers prices DATA JOB LISTS SPREAD SEED           a table of prices
//
// The loops read the table before the clock starts and write their costs (RESULTS, one a line)
// after it has stopped. They print: name, lists, seconds by the clock, seconds of the processor.
#include "base/diagnostics.hpp"
#include "base/number.hpp"
#include "batch/lists.hpp"
#include "catalog/library.hpp"
#include "job/job.hpp"
#include "search/program.hpp"

#include <glpk.h>

#include <ClpSimplex.hpp>
#include <chrono>
#include <cstdio>
#include <ctime>
#include <fstream>
#include <functional>
#include <iostream>
#include <limits>
#include <lpsolve/lp_lib.h>
#include <random>
#include <spawn.h>
#include <string>
#include <sys/wait.h>
#include <unistd.h>
#include <vector>

using feedwright::base::shortest;
using feedwright::lp::LinearProgram;

namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

std::vector<std::vector<double>> read_prices(const feedwright::job::Job& job,
                                             const std::string& file) {
    std::vector<std::string> ids;
    for (const auto& choice : job.ingredients)
        ids.push_back(choice.id);
    const auto ingredients =
        std::make_shared<const feedwright::batch::IngredientSet>(ids, std::vector<std::string>{});
    std::vector<std::vector<double>> all;
    const auto lists = feedwright::batch::open_table(file, ingredients);
    for (feedwright::batch::Piece piece; lists->next(piece);) {
        lists->read(piece, [&](const feedwright::batch::Quotes& quotes) {
            if (!quotes.problem.empty()) throw feedwright::Error(quotes.problem);
            all.push_back(quotes.prices);
        });
    }
    return all;
}

class Clock {
  public:
    double wall() const {
        return std::chrono::duration<double>(std::chrono::steady_clock::now() - start_).count();
    }
    double processor() const { return static_cast<double>(std::clock() - ticks_) / CLOCKS_PER_SEC; }

  private:
    std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
    std::clock_t ticks_ = std::clock();
};

// Calls solve(prices) for every list and keeps what it returns, the cost.
std::vector<double> measure(const char* name, const std::vector<std::vector<double>>& lists,
                            const std::function<double(const std::vector<double>&)>& solve) {
    std::vector<double> costs;
    costs.reserve(lists.size());
    const Clock clock;
    for (const auto& prices : lists)
        costs.push_back(solve(prices));
    std::printf("%s %zu %.6f %.6f\n", name, lists.size(), clock.wall(), clock.processor());
    return costs;
}

glp_prob* glpk_problem(const LinearProgram& program) {
    glp_term_out(GLP_OFF);
    glp_prob* problem = glp_create_prob();
    const auto type = [](const auto& lower, const auto& upper) {
        if (lower && upper) return *lower == *upper ? GLP_FX : GLP_DB;
        return lower ? GLP_LO : upper ? GLP_UP : GLP_FR;
    };
    glp_add_rows(problem, static_cast<int>(program.rows().size()));
    glp_add_cols(problem, static_cast<int>(program.columns().size()));
    for (std::size_t c = 0; c < program.columns().size(); ++c) {
        const auto& column = program.columns()[c];
        const int j = static_cast<int>(c) + 1;
        glp_set_obj_coef(problem, j, column.cost);
        glp_set_col_bnds(problem, j, type(column.lower, column.upper), column.lower.value_or(0),
                         column.upper.value_or(0));
    }
    for (std::size_t r = 0; r < program.rows().size(); ++r) {
        const auto& row = program.rows()[r];
        const int i = static_cast<int>(r) + 1;
        std::vector<int> columns{0};
        std::vector<double> values{0};
        for (const auto& entry : row.entries) {
            columns.push_back(static_cast<int>(entry.column) + 1);
            values.push_back(entry.value);
        }
        glp_set_mat_row(problem, i, static_cast<int>(columns.size()) - 1, columns.data(),
                        values.data());
        glp_set_row_bnds(problem, i, type(row.lower, row.upper), row.lower.value_or(0),
                         row.upper.value_or(0));
    }
    glp_scale_prob(problem, GLP_SF_AUTO);
    return problem;
}

std::vector<double> run_glpk(const LinearProgram& program,
                             const std::vector<std::vector<double>>& lists) {
    glp_prob* problem = glpk_problem(program);
    glp_smcp parameters;
    glp_init_smcp(&parameters);
    parameters.msg_lev = GLP_MSG_OFF;
    glp_simplex(problem, &parameters);
    auto costs = measure("glpk", lists, [&](const std::vector<double>& prices) {
        for (std::size_t c = 0; c < prices.size(); ++c) {
            glp_set_obj_coef(problem, static_cast<int>(c) + 1, prices[c]);
        }
        if (glp_simplex(problem, &parameters) != 0 || glp_get_status(problem) != GLP_OPT) {
            throw feedwright::Error("glpk found no optimum");
        }
        return glp_get_obj_val(problem);
    });
    glp_delete_prob(problem);
    return costs;
}

std::vector<double> run_clp(const LinearProgram& program,
                            const std::vector<std::vector<double>>& lists) {
    std::vector<CoinBigIndex> starts{0};
    std::vector<int> rows;
    std::vector<double> values;
    std::vector<double> column_lower;
    std::vector<double> column_upper;
    std::vector<double> cost;
    for (std::size_t c = 0; c < program.columns().size(); ++c) {
        const auto& column = program.columns()[c];
        for (std::size_t r = 0; r < program.rows().size(); ++r) {
            for (const auto& entry : program.rows()[r].entries) {
                if (entry.column != c) continue;
                rows.push_back(static_cast<int>(r));
                values.push_back(entry.value);
            }
        }
        starts.push_back(static_cast<CoinBigIndex>(rows.size()));
        column_lower.push_back(column.lower.value_or(-COIN_DBL_MAX));
        column_upper.push_back(column.upper.value_or(COIN_DBL_MAX));
        cost.push_back(column.cost);
    }
    std::vector<double> row_lower;
    std::vector<double> row_upper;
    for (const auto& row : program.rows()) {
        row_lower.push_back(row.lower.value_or(-COIN_DBL_MAX));
        row_upper.push_back(row.upper.value_or(COIN_DBL_MAX));
    }
    ClpSimplex clp;
    clp.setLogLevel(0);
    clp.loadProblem(static_cast<int>(cost.size()), static_cast<int>(row_lower.size()),
                    starts.data(), rows.data(), values.data(), column_lower.data(),
                    column_upper.data(), cost.data(), row_lower.data(), row_upper.data());
    clp.primal();
    return measure("clp", lists, [&](const std::vector<double>& prices) {
        for (std::size_t c = 0; c < prices.size(); ++c) {
            clp.setObjectiveCoefficient(static_cast<int>(c), prices[c]);
        }
        clp.primal();
        if (!clp.isProvenOptimal()) throw feedwright::Error("clp found no optimum");
        return clp.objectiveValue();
    });
}

std::vector<double> run_lp_solve(const LinearProgram& program,
                                 const std::vector<std::vector<double>>& lists) {
    const int columns = static_cast<int>(program.columns().size());
    lprec* lp = make_lp(0, columns);
    set_verbose(lp, NEUTRAL);
    set_add_rowmode(lp, TRUE);
    std::vector<double> cost(static_cast<std::size_t>(columns) + 1);
    for (std::size_t c = 0; c < program.columns().size(); ++c) {
        const auto& column = program.columns()[c];
        cost[c + 1] = column.cost;
        set_bounds(lp, static_cast<int>(c) + 1, column.lower.value_or(-infinity),
                   column.upper.value_or(get_infinite(lp)));
    }
    set_obj_fn(lp, cost.data());
    for (const auto& row : program.rows()) {
        std::vector<int> numbers;
        std::vector<double> values;
        for (const auto& entry : row.entries) {
            numbers.push_back(static_cast<int>(entry.column) + 1);
            values.push_back(entry.value);
        }
        const bool fixed = row.lower && row.upper && *row.lower == *row.upper;
        add_constraintex(lp, static_cast<int>(numbers.size()), values.data(), numbers.data(),
                         fixed       ? EQ
                         : row.lower ? GE
                                     : LE,
                         row.lower ? *row.lower : *row.upper);
    }
    set_add_rowmode(lp, FALSE);
    for (std::size_t r = 0; r < program.rows().size(); ++r) {
        const auto& row = program.rows()[r];
        if (row.lower && row.upper && *row.lower != *row.upper) {
            set_rh_range(lp, static_cast<int>(r) + 1, *row.upper - *row.lower);
        }
    }
    solve(lp);
    auto costs = measure("lp_solve", lists, [&](const std::vector<double>& prices) {
        std::copy(prices.begin(), prices.end(), cost.begin() + 1);
        set_obj_fn(lp, cost.data());
        const int status = solve(lp);
        if (status != OPTIMAL && status != PRESOLVED) {
            throw feedwright::Error("lp_solve found no optimum");
        }
        return get_objective(lp);
    });
    delete_lp(lp);
    return costs;
}

// The files are written before the clock starts; what is measured is the processes alone.
void run_glpsol(const LinearProgram& program, const std::vector<std::vector<double>>& lists,
                const std::string& folder) {
    glp_prob* problem = glpk_problem(program);
    std::vector<std::string> files;
    for (const auto& prices : lists) {
        for (std::size_t c = 0; c < prices.size(); ++c) {
            glp_set_obj_coef(problem, static_cast<int>(c) + 1, prices[c]);
        }
        files.push_back(folder + "/list" + std::to_string(files.size()) + ".mps");
        glp_write_mps(problem, GLP_MPS_FILE, nullptr, files.back().c_str());
    }
    glp_delete_prob(problem);
    const std::string output = folder + "/solution";
    std::size_t at = 0;
    measure("glpsol", lists, [&](const std::vector<double>&) {
        std::string name = "glpsol";
        std::string kind = "--freemps";
        std::string write = "-o";
        std::string result = output;
        char* arguments[] = {name.data(),  kind.data(),   files[at++].data(),
                             write.data(), result.data(), nullptr};
        posix_spawn_file_actions_t actions;
        posix_spawn_file_actions_init(&actions);
        posix_spawn_file_actions_addopen(&actions, STDOUT_FILENO, "/dev/null", 1, 0);
        pid_t child = 0;
        int status = 0;
        if (posix_spawnp(&child, "glpsol", &actions, nullptr, arguments, environ) != 0 ||
            waitpid(child, &status, 0) != child || status != 0) {
            throw feedwright::Error("glpsol did not run");
        }
        posix_spawn_file_actions_destroy(&actions);
        return 0.0;
    });
}

void write_json(const LinearProgram& program) {
    const auto number = [](const auto& value) { return value ? shortest(*value) : "null"; };
    const char* separator = "";
    std::cout << "{\"columns\":[";
    for (const auto& column : program.columns()) {
        std::cout << separator << '[' << number(column.lower) << ',' << number(column.upper) << ']';
        separator = ",";
    }
    std::cout << "],\"rows\":[";
    separator = "";
    for (const auto& row : program.rows()) {
        std::vector<double> dense(program.columns().size());
        for (const auto& entry : row.entries)
            dense[entry.column] = entry.value;
        std::cout << separator << "{\"lower\":" << number(row.lower)
                  << ",\"upper\":" << number(row.upper) << ",\"a\":[";
        for (std::size_t c = 0; c < dense.size(); ++c) {
            std::cout << (c > 0 ? "," : "") << shortest(dense[c]);
        }
        std::cout << "]}";
        separator = ",";
    }
    std::cout << "]}\n";
}

void write_prices(const feedwright::job::Job& job, std::size_t lists, double spread,
                  unsigned seed) {
    std::mt19937_64 random(seed);
    std::string line = "list";
    for (const auto& choice : job.ingredients)
        line += ',' + choice.id;
    std::cout << line << '\n';
    for (std::size_t k = 1; k <= lists; ++k) {
        line = 'w' + std::to_string(k);
        for (const auto& choice : job.ingredients) {
            const double share = static_cast<double>(random() >> 11U) * 0x1p-53;
            char cell[32];
            std::snprintf(cell, sizeof cell, ",%.4f",
                          *choice.price * (1 + spread * (2 * share - 1)));
            line += cell;
        }
        std::cout << line << '\n';
    }
}

int run(const std::vector<std::string>& arguments) {
    if (arguments.size() < 3) throw feedwright::Error("see the head of batch_solvers.cpp");
    const std::string& what = arguments[0];
    feedwright::catalog::Library library(arguments[1]);
    const auto job = feedwright::job::read_job(arguments[2], library, {});
    const auto program = feedwright::search::cheapest_program(job).program();
    if (what == "json") {
        write_json(program);
        return 0;
    }
    if (what == "prices") {
        write_prices(job, std::stoul(arguments.at(3)), std::stod(arguments.at(4)),
                     static_cast<unsigned>(std::stoul(arguments.at(5))));
        return 0;
    }
    auto lists = read_prices(job, arguments.at(3));
    if (what == "glpsol") {
        lists.resize(std::min<std::size_t>(lists.size(), std::stoul(arguments.at(4))));
        run_glpsol(program, lists, arguments.at(5));
        return 0;
    }
    const auto costs = what == "glpk"  ? run_glpk(program, lists)
                       : what == "clp" ? run_clp(program, lists)
                                       : run_lp_solve(program, lists);
    std::ofstream results(arguments.at(4));
    for (const double cost : costs)
        results << shortest(cost) << '\n';
    return 0;
}

}  // namespace

int main(int argc, char** argv) {
    std::ios::sync_with_stdio(false);
    try {
        return run({argv + 1, argv + argc});
    } catch (const std::exception& error) {
        std::fprintf(stderr, "batch_solvers: %s\n", error.what());
        return 1;
    }
}
