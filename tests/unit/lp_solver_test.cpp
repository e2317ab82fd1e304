// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "lp/solver.hpp"
#include "support/catch.hpp"

#include <cmath>
#include <thread>

using namespace feedwright;
using namespace feedwright::lp;

namespace {

constexpr std::nullopt_t none = std::nullopt;

// Two feeds and a nutrient: the mix is 1 kg, protein at least 20 %, by hand x = (5/8, 3/8).
LinearProgram square() {
    LinearProgram program;
    program.add_column({"maize", 0.3, 0.0, none, false});
    program.add_column({"meal", 0.7, 0.0, none, false});
    program.add_row({"balance", 1.0, 1.0, {{0, 1}, {1, 1}}});
    program.add_row({"protein", 20.0, none, {{0, 8}, {1, 40}}});
    return program;
}

void check_proof(const LinearProgram& program, const Solution& solution) {
    REQUIRE(solution.status == Status::optimal);
    const Certificate certificate = certify(program, solution);
    CHECK(certificate.primal_residual <= 1e-12);
    CHECK(certificate.dual_residual <= 1e-12);
    CHECK(certificate.duality_gap <= 1e-12);
}

}  // namespace

TEST_CASE("a mix of two feeds worked by hand") {
    const LinearProgram program = square();
    const Solution solution = solve(program);
    check_proof(program, solution);
    CHECK(solution.primal[0] == Approx(0.625).epsilon(1e-14));
    CHECK(solution.primal[1] == Approx(0.375).epsilon(1e-14));
    CHECK(solution.objective == Approx(0.45).epsilon(1e-14));
    CHECK(solution.row_activity[1] == Approx(20).epsilon(1e-14));
    // One point more of protein moves 1/32 kg from maize to meal; one kg more of mix at the same
    // 20 of protein takes 1.25 kg maize more and 0.25 kg meal less.
    CHECK(solution.row_dual[1] == Approx(0.4 / 32).epsilon(1e-14));
    CHECK(solution.row_dual[0] == Approx(1.25 * 0.3 - 0.25 * 0.7).epsilon(1e-14));
    CHECK(solution.reduced_cost == std::vector<double>{0, 0});
    CHECK(solution.basis.rows == std::vector<Rest>{Rest::fixed, Rest::at_lower});
    CHECK(solution.basis.columns == std::vector<Rest>{Rest::basic, Rest::basic});
    CHECK(solution.message.empty());
    CHECK_FALSE(solution.bound);
}

TEST_CASE("signs: what rests on an upper limit has a dual of at most zero") {
    LinearProgram program;
    program.add_column({"cheap", 1, 0.0, 0.5, false});
    program.add_column({"dear", 3, 0.0, none, false});
    program.add_column({"rich", 2, 0.0, none, false});
    program.add_row({"balance", 1.0, 1.0, {{0, 1}, {1, 1}, {2, 1}}});
    program.add_row({"fibre", none, 0.2, {{2, 1}}});
    const Solution solution = solve(program);
    check_proof(program, solution);
    CHECK(solution.objective == Approx(0.5 + 0.4 + 0.9).epsilon(1e-14));
    CHECK(solution.reduced_cost[0] == Approx(-2).epsilon(1e-14));
    CHECK(solution.row_dual[1] == Approx(-1).epsilon(1e-14));
    CHECK(solution.row_dual[0] == Approx(3).epsilon(1e-14));
    // The claims against re-solves.
    LinearProgram changed = program;
    changed.set_column_limits(0, 0.0, 0.51);
    CHECK(solve(changed).objective - solution.objective == Approx(-0.02).epsilon(1e-9));
    changed = program;
    changed.set_row_limits(1, none, 0.21);
    CHECK(solve(changed).objective - solution.objective == Approx(-0.01).epsilon(1e-9));
    changed = program;
    changed.set_row_limits(0, 1.01, 1.01);
    CHECK(solve(changed).objective - solution.objective == Approx(0.03).epsilon(1e-9));
}

TEST_CASE("infeasible programs") {
    LinearProgram program = square();
    SECTION("a minimum no mix reaches") {
        program.set_row_limits(1, 41.0, none);
    }
    SECTION("by little") {
        program.set_row_limits(1, 40.0001, none);
    }
    SECTION("two rows against each other") {
        program.add_row({"less", none, 10.0, {{0, 8}, {1, 40}}});
    }
    SECTION("an empty row that asks for something") {
        program.add_row({"empty", 1.0, none, {}});
    }
    SECTION("columns too small for the balance") {
        program.set_column_limits(0, 0.0, 0.1);
        program.set_column_limits(1, 0.0, 0.1);
    }
    SECTION("and no bound either: infeasible comes first") {
        program.set_row_limits(1, 41.0, none);
        program.add_column({"gift", -1, 0.0, none, false});
    }
    const Solution solution = solve(program);
    CHECK(solution.status == Status::infeasible);
    CHECK(solution.primal.empty());
}

TEST_CASE("a minimum exactly at the most that can be reached is met") {
    LinearProgram program = square();
    program.set_row_limits(1, 40.0, none);
    const Solution solution = solve(program);
    check_proof(program, solution);
    CHECK(solution.primal[1] == Approx(1).epsilon(1e-12));

    // In numbers that have no exact binary form.
    LinearProgram tenths;
    tenths.add_column({"a", 1, 0.0, none, false});
    tenths.add_column({"b", 2, 0.0, none, false});
    tenths.add_row({"balance", 0.3, 0.3, {{0, 1}, {1, 1}}});
    tenths.add_row({"most", 0.1 + 0.2, none, {{0, 1.0 / 3}, {1, 1}}});
    CHECK(solve(tenths).status == Status::optimal);
}

TEST_CASE("unbounded programs") {
    LinearProgram program;
    program.add_column({"a", 1, 0.0, none, false});
    program.add_column({"b", -1, 0.0, none, false});
    SECTION("without rows") {}
    SECTION("along a row") {
        program.add_row({"difference", none, 3.0, {{0, -1}, {1, 1}}});
        program.set_cost(1, -2);
    }
    SECTION("through a free column") {
        program.set_cost(1, 0);
        program.set_column_limits(0, none, none);
    }
    SECTION("with huge limits elsewhere") {
        program.add_column({"c", 1, 0.0, 1e9, false});
        program.add_row({"c only", 1.0, none, {{2, 1}}});
    }
    const Solution solution = solve(program);
    CHECK(solution.status == Status::unbounded);
}

TEST_CASE("programs with next to nothing in them") {
    LinearProgram program;
    SECTION("nothing") {
        const Solution solution = solve(program);
        check_proof(program, solution);
        CHECK(solution.objective == 0);
    }
    SECTION("no rows") {
        program.add_column({"a", 2, 1.0, 3.0, false});
        program.add_column({"b", -2, 1.0, 3.0, false});
        program.add_column({"c", 0, none, none, false});
        program.add_column({"d", 5, 4.0, 4.0, false});
        const Solution solution = solve(program);
        check_proof(program, solution);
        CHECK(solution.primal == std::vector<double>{1, 3, 0, 4});
        CHECK(solution.reduced_cost == std::vector<double>{2, -2, 0, 5});
        CHECK(solution.objective == 16);
    }
    SECTION("rows without entries") {
        program.add_column({"a", 2, 1.0, 3.0, false});
        program.add_row({"zero", 0.0, 0.0, {}});
        program.add_row({"less", -1.0, 1.0, {}});
        program.add_row({"anything", none, none, {}});
        program.add_row({"zeros", 0.0, 0.0, {{0, 0.0}}});
        const Solution solution = solve(program);
        check_proof(program, solution);
        CHECK(solution.primal == std::vector<double>{1});
        CHECK(solution.row_activity == std::vector<double>{0, 0, 0, 0});
    }
    SECTION("no columns") {
        program.add_row({"zero", 0.0, 0.0, {}});
        check_proof(program, solve(program));
        program.add_row({"one", 1.0, none, {}});
        CHECK(solve(program).status == Status::infeasible);
    }
}

TEST_CASE("free columns, fixed columns and rows without limits") {
    LinearProgram program;
    program.add_column({"free", 1, none, none, false});
    program.add_column({"below", 0, none, 4.0, false});
    program.add_column({"fixed", 1, 2.0, 2.0, false});
    program.add_row({"ge", -3.0, none, {{0, 1}, {1, 1}}});
    program.add_row({"le", none, 6.0, {{1, 1}, {2, 1}}});
    program.add_row({"idle", none, none, {{0, 5}, {1, 7}, {2, 1}}});
    const Solution solution = solve(program);
    check_proof(program, solution);
    CHECK(solution.primal == std::vector<double>{-7, 4, 2});
    CHECK(solution.objective == -5);
    CHECK(solution.row_dual[2] == 0);
}

TEST_CASE("degenerate programs end, with a proof") {
    // Beale's program (1955), on which the simplex method without a rule against it cycles;
    // optimum -1/20 at (1/25, 0, 1, 0).
    LinearProgram beale;
    for (const double cost : {-0.75, 150.0, -0.02, 6.0}) {
        beale.add_column({"x" + std::to_string(beale.columns().size()), cost, 0.0, none, false});
    }
    beale.add_row({"r1", none, 0.0, {{0, 0.25}, {1, -60}, {2, -0.04}, {3, 9}}});
    beale.add_row({"r2", none, 0.0, {{0, 0.5}, {1, -90}, {2, -0.02}, {3, 3}}});
    beale.add_row({"r3", none, 1.0, {{2, 1}}});
    const Solution solution = solve(beale);
    check_proof(beale, solution);
    CHECK(solution.objective == Approx(-0.05).epsilon(1e-13));

    // The same limit many times over.
    LinearProgram program = square();
    for (int i = 0; i < 30; ++i) {
        program.add_row({"again " + std::to_string(i), 20.0, none, {{0, 8}, {1, 40}}});
    }
    const Solution repeated = solve(program);
    check_proof(program, repeated);
    CHECK(repeated.objective == Approx(0.45).epsilon(1e-13));
}

TEST_CASE("rows and costs of very different size") {
    // mg/kg beside percent, and a price per gram beside one per tonne.
    LinearProgram program;
    program.add_column({"bulk", 3e2, 0.0, none, false});
    program.add_column({"premix", 4e6, 0.0, none, false});
    program.add_row({"balance", 1.0, 1.0, {{0, 1}, {1, 1}}});
    program.add_row({"iodine", 1.5, none, {{0, 0.02}, {1, 2e6}}});
    const Solution solution = solve(program);
    check_proof(program, solution);
    CHECK(solution.primal[1] == Approx(1.48 / (2e6 - 0.02)).epsilon(1e-12));
}

TEST_CASE("numbers at the edge of what a double holds do no harm") {
    for (const double big : {1e30, 1e150, 1e300}) {
        for (const double small : {1e-30, 1e-150, 1e-300}) {
            INFO(big << ' ' << small);
            LinearProgram program;
            program.add_column({"a", small, 0.0, none, false});
            program.add_column({"b", big, 0.0, big, false});
            program.add_row({"r", 1.0, none, {{0, small}, {1, big}}});
            program.add_row({"s", none, big, {{0, big}, {1, small}}});
            const Solution solution = solve(program);
            if (solution.status == Status::optimal) {
                CHECK(certify(program, solution).holds());
            } else {
                CHECK(solution.status == Status::failed);
                CHECK_FALSE(solution.message.empty());
            }
            // And the thread can go on.
            check_proof(square(), solve(square()));
        }
    }
}

TEST_CASE("time, iterations and interrupts end with status limit") {
    const LinearProgram program = square();
    SolveOptions options;
    SECTION("iterations") {
        options.iteration_limit = 0;
        const Solution solution = solve(program, options);
        CHECK(solution.status == Status::limit);
        CHECK(solution.message == "the iteration limit was reached");
    }
    SECTION("time") {
        for (const double seconds : {0.0, -1.0, std::nan("")}) {
            options.time_limit_seconds = seconds;
            const Solution solution = solve(program, options);
            CHECK(solution.status == Status::limit);
            CHECK(solution.message == "the time limit was reached");
        }
    }
    SECTION("interrupt") {
        const std::atomic<bool> stop = true;
        options.interrupt = &stop;
        const Solution solution = solve(program, options);
        CHECK(solution.status == Status::limit);
        CHECK(solution.message == "interrupted");
    }
    SECTION("an endless time limit is none") {
        options.time_limit_seconds = INFINITY;
        CHECK(solve(program, options).status == Status::optimal);
    }
}

TEST_CASE("a start basis that fits is used, one that does not is replaced") {
    const LinearProgram program = square();
    const Solution first = solve(program);
    SolveOptions options;
    options.start = &first.basis;
    const Solution again = solve(program, options);
    CHECK(again.iterations == 0);
    CHECK(again.primal == first.primal);

    Basis basis;
    SECTION("wrong size") {
        basis = {{Rest::basic}, {}};
    }
    SECTION("too few basic") {
        basis = {{Rest::at_lower, Rest::at_lower}, {Rest::basic, Rest::at_lower}};
    }
    SECTION("too many basic") {
        basis = {{Rest::basic, Rest::basic}, {Rest::basic, Rest::basic}};
    }
    SECTION("resting where there is no limit") {
        basis = {{Rest::basic, Rest::basic}, {Rest::at_upper, Rest::free}};
    }
    options.start = &basis;
    const Solution solution = solve(program, options);
    check_proof(program, solution);
    CHECK(solution.objective == first.objective);
}

TEST_CASE("a singular start basis is replaced by the standard one") {
    LinearProgram program = square();
    program.add_row({"protein twice", none, 100.0, {{0, 16}, {1, 80}}});
    const Basis singular{{Rest::basic, Rest::at_lower, Rest::at_upper}, {Rest::basic, Rest::basic}};
    SolveOptions options;
    options.start = &singular;
    const Solution solution = solve(program, options);
    check_proof(program, solution);
    CHECK(solution.objective == Approx(0.45).epsilon(1e-14));
}

TEST_CASE("a session solves again after changes") {
    Session session(square());
    CHECK(session.solve().objective == Approx(0.45).epsilon(1e-14));
    session.set_cost(1, 0.2);
    CHECK(session.solve().objective == Approx(0.2).epsilon(1e-14));
    session.set_column_limits(1, none, 0.5);
    CHECK(session.solve().objective == Approx(0.25).epsilon(1e-14));
    session.set_row_limits(1, 30.0, none);
    CHECK(session.solve().status == Status::infeasible);
    session.set_row_limits(1, none, 20.0);
    const Solution solution = session.solve();
    check_proof(session.program(), solution);
    CHECK(solution.objective == Approx(0.2625).epsilon(1e-14));
    CHECK(session.program().rows()[1].upper == 20.0);
    session.set_row_limits(0, none, none);
    session.set_cost(0, -1);
    session.set_row_limits(1, none, none);
    CHECK(session.solve().status == Status::unbounded);
    session.set_row_limits(0, 1.0, 1.0);
    session.set_cost(0, 0.3);
    session.set_row_limits(1, 20.0, none);
    session.set_column_limits(1, 0.0, none);
    session.set_cost(1, 0.7);
    CHECK(session.solve().primal == solve(square()).primal);
}

TEST_CASE("a session refuses bad numbers and keeps what it had") {
    Session session(square());
    CHECK_THROWS_AS(session.set_cost(0, std::nan("")), Error);
    CHECK_THROWS_AS(session.set_cost(2, 1), Error);
    CHECK_THROWS_AS(session.set_row_limits(0, 2.0, 1.0), Error);
    CHECK_THROWS_AS(session.set_column_limits(0, 0.0, INFINITY), Error);
    CHECK(session.solve().objective == Approx(0.45).epsilon(1e-14));
    LinearProgram integer = square();
    integer.set_integer(0, true);
    CHECK_THROWS_AS(Session(integer), Error);
}

TEST_CASE("several sessions live in one thread and end in any order") {
    auto first = std::make_unique<Session>(square());
    auto second = std::make_unique<Session>(square());
    second->set_cost(1, 0.9);
    CHECK(first->solve().objective == Approx(0.45).epsilon(1e-14));
    CHECK(second->solve().objective == Approx(0.525).epsilon(1e-14));
    first.reset();
    CHECK(solve(square()).objective == Approx(0.45).epsilon(1e-14));
    CHECK(second->solve().objective == Approx(0.525).epsilon(1e-14));
    first = std::make_unique<Session>(square());
    second.reset();
    CHECK(first->solve().objective == Approx(0.45).epsilon(1e-14));
}

TEST_CASE("threads solve side by side, all to the same bytes") {
    const Solution expected = solve(square());
    std::vector<int> same(8, 0);
    std::vector<std::thread> threads;
    for (std::size_t t = 0; t < same.size(); ++t) {
        threads.emplace_back([&, t] {
            Session session(square());
            for (int i = 0; i < 50; ++i) {
                session.set_cost(0, 0.3 + 0.01 * i);
                session.solve();
                session.set_cost(0, 0.3);
                const Solution solution = session.solve();
                same[t] += solution.primal == expected.primal &&
                           solution.row_dual == expected.row_dual &&
                           solve(square()).primal == expected.primal;
            }
        });
    }
    for (std::thread& thread : threads)
        thread.join();
    CHECK(same == std::vector<int>(8, 50));
}
