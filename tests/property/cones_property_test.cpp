// SPDX-License-Identifier: GPL-3.0-or-later
#include "lp/cone_repricer.hpp"
#include "lp/cones.hpp"
#include "support/catch.hpp"
#include "support/clp.hpp"
#include "support/random_program.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

// Random programs with cones, the same in every run, against COIN-OR's Clp with planes that this
// file makes by itself, and with whole numbers against trying all of them.

using namespace feedwright;
using namespace feedwright::lp;

namespace {

double dot(const std::vector<Entry>& entries, const std::vector<double>& x) {
    double sum = 0;
    for (const Entry& entry : entries)
        sum += entry.value * x[entry.column];
    return sum;
}

double value_of(const Cone& cone, const std::vector<double>& x) {
    double squares = 0;
    for (const Cone::Form& form : cone.forms)
        squares += std::pow(form.constant + dot(form.entries, x), 2);
    return dot(cone.entries, x) - cone.weight * std::sqrt(squares);
}

double spread_of(const Cone& cone, const std::vector<double>& x) {
    return dot(cone.entries, x) - value_of(cone, x);
}

struct Case {
    LinearProgram program;
    std::vector<Cone> cones;
};

// Rows of a random program that have one side become cones, laid around its optimum: some of them
// ask for more than any point can be sure of.
Case random_case(test::Random& random) {
    const LinearProgram program = test::random_program(random);
    const Solution base = solve(program);
    Case result;
    for (const Column& column : program.columns())
        result.program.add_column(column);
    for (const Row& row : program.rows()) {
        const bool one_sided = row.lower.has_value() != row.upper.has_value();
        if (!one_sided || row.entries.empty() || !random.chance(0.6)) {
            result.program.add_row(row);
            continue;
        }
        const double sign = row.lower ? 1 : -1;
        Cone cone{
            row.id, {}, {}, random.uniform(0.1, 2.6), sign * (row.lower ? *row.lower : *row.upper)};
        const double cv = random.uniform(0.01, 0.3);
        for (const Entry& entry : row.entries) {
            cone.entries.push_back({entry.column, sign * entry.value});
            if (random.chance(0.1)) continue;  // does not vary
            cone.forms.push_back({{{entry.column, entry.value * cv * random.uniform(0.2, 2)}}, 0});
        }
        if (random.chance(0.3)) {
            Cone::Form common;
            for (const Entry& entry : row.entries)
                common.entries.push_back({entry.column, entry.value * random.uniform(-0.1, 0.1)});
            cone.forms.push_back(std::move(common));
        }
        if (base.status == Status::optimal && random.chance(0.9)) {
            cone.lower = value_of(cone, base.primal) +
                         random.uniform(-0.5, 0.3) * spread_of(cone, base.primal);
        }
        result.cones.push_back(std::move(cone));
    }
    return result;
}

struct Reference {
    Status status = Status::failed;
    double objective = 0;
};

// Cutting planes over Clp.
Reference with_clp(const Case& one) {
    LinearProgram program = one.program;
    std::size_t planes = 0;
    const auto cut = [&](const Cone& cone, const std::vector<double>& x) {
        double length = 0;
        std::vector<double> forms;
        for (const Cone::Form& form : cone.forms) {
            forms.push_back(form.constant + dot(form.entries, x));
            length += forms.back() * forms.back();
        }
        length = std::sqrt(length);
        std::vector<double> dense(program.columns().size(), 0.0);
        for (const Entry& entry : cone.entries)
            dense[entry.column] += entry.value;
        double lower = cone.lower;
        for (std::size_t f = 0; f < forms.size() && length > 0; ++f) {
            for (const Entry& entry : cone.forms[f].entries)
                dense[entry.column] -= cone.weight * forms[f] / length * entry.value;
            lower += cone.weight * forms[f] / length * cone.forms[f].constant;
        }
        // Clp's tolerance is 1e-9 of a row as it stands: a cut is made a hundred times as large.
        double largest = 0;
        for (const double value : dense)
            largest = std::max(largest, std::abs(value) / 100);
        Row row{"cut " + std::to_string(planes++), lower / largest, {}, {}};
        for (std::size_t c = 0; c < dense.size(); ++c) {
            if (dense[c] != 0) row.entries.push_back({c, dense[c] / largest});
        }
        program.add_row(std::move(row));
    };
    for (const Cone& cone : one.cones)
        cut(cone, std::vector<double>(program.columns().size(), 0.0));
    for (int round = 0; round < 400; ++round) {
        std::vector<double> x;
        const test::ClpAnswer answer = test::solve_with_clp(program, &x);
        if (answer.status != Status::optimal) return {answer.status, 0};
        double worst = 0;
        for (const Cone& cone : one.cones) {
            const double missed = (cone.lower - value_of(cone, x)) / scale_of(cone);
            worst = std::max(worst, missed);
            if (missed > 1e-10) cut(cone, x);
        }
        if (worst <= 1e-10) return {Status::optimal, answer.objective};
        // Clp's own tolerance is 1e-9; a last few rounds cannot better that.
        if (round > 300 && worst <= 2e-9) return {Status::optimal, answer.objective};
    }
    return {Status::limit, 0};
}

}  // namespace

TEST_CASE("2,000 random programs with cones cost what cutting planes over Clp find") {
    int optimal = 0;
    int infeasible = 0;
    int unknown = 0;
    int most_rounds = 0;
    long rounds = 0;
    double worst_difference = 0;
    for (int i = 0; i < 2000; ++i) {
        test::Random random(31'415'926 + static_cast<std::uint64_t>(i));
        const Case one = random_case(random);
        INFO("program " << i);
        const ConeSolution found = solve(one.program, one.cones);
        if (found.solution.status == Status::unbounded) continue;
        const Reference other = with_clp(one);
        rounds += found.rounds;
        most_rounds = std::max(most_rounds, found.rounds);
        if (other.status == Status::limit || other.status == Status::failed) {
            ++unknown;  // Clp did not come near enough
        } else {
            CHECK(found.solution.status == other.status);
        }
        if (found.solution.status == Status::infeasible) ++infeasible;
        if (found.solution.status != Status::optimal) continue;
        ++optimal;
        CHECK(certify(found.program, found.solution).holds(cone_tolerance));
        CHECK(found.gap <= cone_tolerance);
        for (const Cone& cone : one.cones) {
            CHECK(cone.lower - value_of(cone, found.solution.primal) <=
                  cone_tolerance * scale_of(cone));
        }
        for (const Plane& plane : found.planes) {
            double length = 0;
            for (const double part : plane.direction)
                length += part * part;
            CHECK(length <= 1 + 1e-12);
        }
        if (other.status != Status::optimal) continue;
        // As a certificate measures costs.
        double size = cost_size(one.program, found.solution.primal);
        for (std::size_t c = 0; c < found.solution.primal.size(); ++c)
            size += std::abs(one.program.columns()[c].cost * found.solution.primal[c]);
        const double difference = std::abs(found.solution.objective - other.objective) / size;
        worst_difference = std::max(worst_difference, difference);
        CHECK(difference <= 1e-7);
    }
    WARN("optimal " << optimal << ", infeasible " << infeasible << ", Clp without an answer "
                    << unknown << ", rounds " << static_cast<double>(rounds) / 2000 << " (most "
                    << most_rounds << "), largest difference " << worst_difference);
    CHECK(optimal > 1000);
    CHECK(infeasible > 20);
    CHECK(unknown < 20);
}

TEST_CASE("other costs of one program with cones give the optimum that solving it anew gives") {
    int asked = 0;
    int answered = 0;
    double worst_difference = 0;
    for (int i = 0; i < 60; ++i) {
        test::Random random(1'618'033 + static_cast<std::uint64_t>(i));
        const Case one = random_case(random);
        if (solve(one.program, one.cones).solution.status != Status::optimal) continue;
        ConeRepricer repricer(one.program, one.cones);
        ConeRepricer other_thread = repricer.another();
        CHECK(repricer.status() == Status::optimal);
        for (int k = 0; k < 12; ++k) {
            INFO("program " << i << ", costs " << k);
            LinearProgram repriced = one.program;
            std::vector<double> costs;
            for (std::size_t c = 0; c < repriced.columns().size(); ++c) {
                costs.push_back(repriced.columns()[c].cost * random.uniform(0.85, 1.15));
                repriced.set_cost(c, costs.back());
            }
            const ConeSolution anew = solve(repriced, one.cones);
            if (anew.solution.status != Status::optimal) continue;
            ++asked;
            Repriced found;
            const bool known = repricer.solve(costs, found);
            Repriced again;
            // The other has met none of the costs before.
            REQUIRE(other_thread.solve(costs, again) == known);
            if (!known) continue;
            ++answered;
            const std::vector<double> x(found.primal.begin(), found.primal.end());
            CHECK(x == std::vector<double>(again.primal.begin(), again.primal.end()));
            CHECK(found.certificate.holds(cone_tolerance));
            for (const Cone& cone : one.cones)
                CHECK(cone.lower - value_of(cone, x) <= cone_tolerance * scale_of(cone));
            double size = cost_size(repriced, x);
            for (std::size_t c = 0; c < x.size(); ++c)
                size += std::abs(costs[c] * x[c]);
            const double difference = std::abs(found.objective - anew.solution.objective) / size;
            worst_difference = std::max(worst_difference, difference);
            CHECK(difference <= 1e-9);
        }
    }
    WARN("asked " << asked << ", answered without solving anew " << answered
                  << ", largest difference " << worst_difference);
    CHECK(asked > 200);
    CHECK(answered > asked / 2);
}

TEST_CASE("200 small programs with cones and whole numbers cost what trying all of them finds") {
    int optimal = 0;
    for (int i = 0; i < 200; ++i) {
        test::Random random(2'718'281 + static_cast<std::uint64_t>(i));
        const std::size_t n = 3 + random.below(4);
        Case one;
        Row total{"total", 1.0, 1.0, {}};
        Cone cone{"sure", {}, {}, random.uniform(0.5, 2.5), 0};
        Cone other{"most", {}, {}, random.uniform(0.5, 2.5), 0};
        for (std::size_t j = 0; j < n; ++j) {
            one.program.add_column(
                {"x" + std::to_string(j), random.uniform(0.1, 1), 0.0, {}, false});
            total.entries.push_back({j, 1});
            const double value = random.uniform(5, 60);
            cone.entries.push_back({j, value});
            cone.forms.push_back({{{j, value * random.uniform(0.01, 0.2)}}, 0});
            const double fibre = random.uniform(1, 30);
            other.entries.push_back({j, -fibre});
            other.forms.push_back({{{j, fibre * random.uniform(0.01, 0.3)}}, 0});
        }
        cone.lower = random.uniform(15, 35);
        other.lower = -random.uniform(10, 25);
        one.program.add_row(total);
        one.cones = {cone, other};
        Case free = one;
        Row count{"count", {}, static_cast<double>(1 + random.below(3)), {}};
        std::vector<double> least;
        for (std::size_t j = 0; j < n; ++j) {
            least.push_back(random.uniform(0.05, 0.4));
            const std::size_t used =
                one.program.add_column({"use" + std::to_string(j), 0, 0.0, 1.0, true});
            one.program.add_row(
                {"least" + std::to_string(j), 0.0, {}, {{j, 1}, {used, -least[j]}}});
            one.program.add_row({"up" + std::to_string(j), {}, 0.0, {{j, 1}, {used, -1}}});
            count.entries.push_back({used, 1});
        }
        one.program.add_row(count);
        INFO("program " << i);
        const ConeSolution found = solve(one.program, one.cones);
        std::optional<double> best;
        for (unsigned set = 1; set < (1U << n); ++set) {
            double members = 0;
            for (std::size_t j = 0; j < n; ++j) {
                const bool used = ((set >> j) & 1U) != 0;
                members += used ? 1 : 0;
                if (used) {
                    free.program.set_column_limits(j, least[j], 1.0);
                } else {
                    free.program.set_column_limits(j, 0.0, 0.0);
                }
            }
            if (members > *count.upper) continue;
            const Reference reference = with_clp(free);
            if (reference.status != Status::optimal) continue;
            best = std::min(best.value_or(reference.objective), reference.objective);
        }
        if (!best) {
            CHECK(found.solution.status == Status::infeasible);
            continue;
        }
        ++optimal;
        REQUIRE(found.solution.status == Status::optimal);
        CHECK(found.solution.objective == Approx(*best).epsilon(1e-7));
        CHECK(*found.solution.bound <= found.solution.objective);
        CHECK(*found.solution.bound == Approx(found.solution.objective).epsilon(1e-7));
    }
    CHECK(optimal > 50);
}
