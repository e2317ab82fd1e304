// SPDX-License-Identifier: GPL-3.0-or-later
// Writes the linear program of a job as free MPS, so that other solvers can be timed on the same one.
#include <iostream>
#include <map>

#include "feedwright/base/number.hpp"
#include "feedwright/catalog/library.hpp"
#include "feedwright/formulate/model.hpp"
#include "feedwright/job/job.hpp"

using feedwright::base::shortest;

int main(int argc, char** argv) {
    if (argc != 3) {
        std::cerr << "usage: write_program DATA-FOLDER JOB.json > program.mps\n";
        return 2;
    }
    feedwright::catalog::Library library(argv[1]);
    const auto job = feedwright::job::read_job(argv[2], library, {});
    const auto program = feedwright::formulate::build_model(job).program;
    std::cout << "NAME job\nROWS\n N cost\n";
    const auto& rows = program.rows();
    for (std::size_t r = 0; r < rows.size(); ++r) {
        const bool fixed = rows[r].lower && rows[r].upper && *rows[r].lower == *rows[r].upper;
        std::cout << ' ' << (fixed ? 'E' : rows[r].lower ? 'G' : 'L') << " r" << r << '\n';
    }
    std::vector<std::map<std::size_t, double>> columns(program.columns().size());
    for (std::size_t r = 0; r < rows.size(); ++r) {
        for (const auto& entry : rows[r].entries) columns[entry.column][r] = entry.value;
    }
    std::cout << "COLUMNS\n";
    for (std::size_t c = 0; c < columns.size(); ++c) {
        std::cout << " x" << c << " cost " << shortest(program.columns()[c].cost) << '\n';
        for (const auto& [r, value] : columns[c]) {
            std::cout << " x" << c << " r" << r << ' ' << shortest(value) << '\n';
        }
    }
    std::cout << "RHS\n";
    for (std::size_t r = 0; r < rows.size(); ++r) {
        std::cout << " rhs r" << r << ' ' << shortest(rows[r].lower ? *rows[r].lower : *rows[r].upper)
                  << '\n';
    }
    std::cout << "RANGES\n";
    for (std::size_t r = 0; r < rows.size(); ++r) {
        if (!rows[r].lower || !rows[r].upper || *rows[r].lower == *rows[r].upper) continue;
        std::cout << " range r" << r << ' ' << shortest(*rows[r].upper - *rows[r].lower) << '\n';
    }
    std::cout << "BOUNDS\n";
    for (std::size_t c = 0; c < columns.size(); ++c) {
        const auto& column = program.columns()[c];
        if (column.lower && *column.lower != 0) {
            std::cout << " LO bound x" << c << ' ' << shortest(*column.lower) << '\n';
        }
        if (column.upper) std::cout << " UP bound x" << c << ' ' << shortest(*column.upper) << '\n';
    }
    std::cout << "ENDATA\n";
}
