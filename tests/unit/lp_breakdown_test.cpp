// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "base/file.hpp"
#include "lp/solver.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <glpk.h>

#include <fcntl.h>
#include <memory>
#include <thread>
#include <unistd.h>

// Misuse of the library makes it abort the process. The program cannot be brought to misuse it, so
// these tests do it themselves, in a thread where a session has set the guard up.

using namespace feedwright;
using namespace feedwright::lp;

namespace {

LinearProgram small() {
    LinearProgram program;
    program.add_column({"a", 1, 0.0, std::nullopt, false});
    program.add_column({"b", 2, 0.0, 0.5, false});
    program.add_row({"sum", 1.0, 1.0, {{0, 1}, {1, 1}}});
    return program;
}

void bad_index() {
    glp_prob* problem = glp_create_prob();
    glp_set_obj_coef(problem, 99, 1.0);
}

void bad_parameter() {
    glp_prob* problem = glp_create_prob();
    glp_smcp parameters;
    glp_init_smcp(&parameters);
    parameters.tol_bnd = 0;
    glp_simplex(problem, &parameters);
}

void bad_type() {
    glp_prob* problem = glp_create_prob();
    glp_add_cols(problem, 1);
    glp_set_col_bnds(problem, 1, 77, 0, 0);
}

}  // namespace

TEST_CASE("where the library would abort, an exception comes, and the sessions go on") {
    void (*const misuse)() = GENERATE(bad_index, bad_parameter, bad_type);
    auto first = std::make_unique<Session>(small());
    auto second = std::make_unique<Session>(small());
    const Solution before = first->solve();
    REQUIRE(before.status == Status::optimal);
    second->set_cost(0, 3);
    CHECK_THROWS_WITH(misuse(), Catch::Contains("linear programming library broke down"));
    // Whatever the library held is gone; the sessions notice and load their programs anew.
    first->set_cost(0, 1);
    const Solution after = first->solve();
    CHECK(after.status == Status::optimal);
    CHECK(after.primal == before.primal);
    CHECK(second->solve().objective == 2.5);
    CHECK_THROWS_AS(misuse(), Error);
    // A session may also end in this state, and a one-off solve may come first.
    second.reset();
    CHECK(solve(small()).objective == before.objective);
    CHECK_THROWS_AS(misuse(), Error);
    first.reset();
    CHECK(solve(small()).primal == before.primal);
}

TEST_CASE("a breakdown in one thread is none in another") {
    Session session(small());
    session.solve();
    std::thread other([] {
        Session own(small());
        try {
            bad_index();
        } catch (const Error&) {
            own.solve();
        }
    });
    other.join();
    CHECK(session.solve().objective == 1);
}

TEST_CASE("nothing reaches standard output") {
    const test::TempFolder folder;
    const std::string path = folder.file("out");
    const int file = ::open(path.c_str(), O_CREAT | O_WRONLY | O_TRUNC, 0600);
    REQUIRE(file >= 0);
    const int kept = ::dup(1);
    ::dup2(file, 1);
    {
        Session session(small());
        session.solve();
        session.set_row_limits(0, 2.0, 2.0);
        session.set_column_limits(0, 0.0, 1.0);
        session.solve();
        try {
            bad_index();
        } catch (const Error&) {
            session.solve();
        }
        LinearProgram integer = small();
        integer.set_integer(0, true);
        integer.set_integer(1, true);
        integer.set_row_limits(0, 0.5, 3.5);
        solve(integer);
    }
    ::dup2(kept, 1);
    ::close(kept);
    ::close(file);
    CHECK(base::read_file(path).empty());
}
