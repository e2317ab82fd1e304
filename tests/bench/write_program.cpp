// SPDX-License-Identifier: GPL-3.0-or-later
// Writes the linear program of a job as free MPS, or as the MathProg model a person would write for
// it, so that other solvers can be timed on the same one.
#include "base/number.hpp"
#include "catalog/library.hpp"
#include "job/job.hpp"
#include "search/program.hpp"

#include <iostream>
#include <map>
#include <string>
#include <vector>

namespace {

using feedwright::base::shortest;
using feedwright::lp::LinearProgram;
using feedwright::lp::Row;

std::string row_name(std::size_t r) {
    return "r" + std::to_string(r);
}
std::string column_name(std::size_t c) {
    return "x" + std::to_string(c);
}
bool is_fixed(const Row& row) {
    return row.lower && row.upper && *row.lower == *row.upper;
}

void write_mps(const LinearProgram& program) {
    std::cout << "NAME job\nROWS\n N cost\n";
    const auto& rows = program.rows();
    std::vector<std::map<std::size_t, double>> columns(program.columns().size());
    for (std::size_t r = 0; r < rows.size(); ++r) {
        std::cout << ' '
                  << (is_fixed(rows[r]) ? 'E'
                      : rows[r].lower   ? 'G'
                                        : 'L')
                  << ' ' << row_name(r) << '\n';
        for (const auto& entry : rows[r].entries)
            columns[entry.column][r] = entry.value;
    }
    std::cout << "COLUMNS\n";
    for (std::size_t c = 0; c < columns.size(); ++c) {
        std::cout << ' ' << column_name(c) << " cost " << shortest(program.columns()[c].cost)
                  << '\n';
        for (const auto& [r, value] : columns[c]) {
            std::cout << ' ' << column_name(c) << ' ' << row_name(r) << ' ' << shortest(value)
                      << '\n';
        }
    }
    std::cout << "RHS\n";
    for (std::size_t r = 0; r < rows.size(); ++r) {
        std::cout << " rhs " << row_name(r) << ' '
                  << shortest(rows[r].lower ? *rows[r].lower : *rows[r].upper) << '\n';
    }
    std::cout << "RANGES\n";
    for (std::size_t r = 0; r < rows.size(); ++r) {
        if (!rows[r].lower || !rows[r].upper || is_fixed(rows[r])) continue;
        std::cout << " range " << row_name(r) << ' ' << shortest(*rows[r].upper - *rows[r].lower)
                  << '\n';
    }
    std::cout << "BOUNDS\n";
    for (std::size_t c = 0; c < columns.size(); ++c) {
        const auto& column = program.columns()[c];
        if (column.lower && *column.lower != 0) {
            std::cout << " LO bound " << column_name(c) << ' ' << shortest(*column.lower) << '\n';
        }
        if (column.upper) {
            std::cout << " UP bound " << column_name(c) << ' ' << shortest(*column.upper) << '\n';
        }
    }
    std::cout << "ENDATA\n";
}

void write_mathprog(const LinearProgram& program) {
    const auto& rows = program.rows();
    const auto& columns = program.columns();
    std::cout << "set I; set R;\n"
                 "param price{I}; param amount{R, I} default 0;\n"
                 "param least{R} default -1e9; param most{R} default 1e9;\n"
                 "param low{I} default 0; param high{I} default 1e3;\n"
                 "var x{i in I} >= low[i], <= high[i];\n"
                 "minimize cost: sum{i in I} price[i] * x[i];\n"
                 "s.t. limit{r in R}: least[r] <= sum{i in I} amount[r, i] * x[i] <= most[r];\n"
                 "solve;\ndata;\nset I :=";
    for (std::size_t c = 0; c < columns.size(); ++c)
        std::cout << ' ' << column_name(c);
    std::cout << ";\nset R :=";
    for (std::size_t r = 0; r < rows.size(); ++r)
        std::cout << ' ' << row_name(r);
    std::cout << ";\nparam price :=";
    for (std::size_t c = 0; c < columns.size(); ++c) {
        std::cout << ' ' << column_name(c) << ' ' << shortest(columns[c].cost);
    }
    std::cout << ";\nparam amount :";
    for (std::size_t c = 0; c < columns.size(); ++c)
        std::cout << ' ' << column_name(c);
    std::cout << " :=\n";
    for (std::size_t r = 0; r < rows.size(); ++r) {
        std::vector<double> dense(columns.size(), 0.0);
        for (const auto& entry : rows[r].entries)
            dense[entry.column] = entry.value;
        std::cout << row_name(r);
        for (const double value : dense)
            std::cout << ' ' << shortest(value);
        std::cout << '\n';
    }
    const auto write_limits = [&](const char* name, auto member, const auto& list, auto naming) {
        std::cout << ";\nparam " << name << " :=";
        for (std::size_t k = 0; k < list.size(); ++k) {
            if (list[k].*member)
                std::cout << ' ' << naming(k) << ' ' << shortest(*(list[k].*member));
        }
    };
    write_limits("least", &Row::lower, rows, row_name);
    write_limits("most", &Row::upper, rows, row_name);
    write_limits("low", &feedwright::lp::Column::lower, columns, column_name);
    write_limits("high", &feedwright::lp::Column::upper, columns, column_name);
    std::cout << ";\nend;\n";
}

}  // namespace

int main(int argc, char** argv) {
    const std::string form = argc == 4 ? argv[1] : "";
    if (form != "mps" && form != "mathprog") {
        std::cerr << "usage: write_program mps|mathprog DATA-FOLDER JOB.json > PROGRAM\n";
        return 2;
    }
    feedwright::catalog::Library library(argv[2]);
    const auto job = feedwright::job::read_job(argv[3], library, {});
    const LinearProgram program = feedwright::search::cheapest_program(job).program();
    if (form == "mps") {
        write_mps(program);
    } else {
        write_mathprog(program);
    }
    return 0;
}
