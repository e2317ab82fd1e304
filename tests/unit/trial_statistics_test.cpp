// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "support/catch.hpp"
#include "trial/distributions.hpp"
#include "trial/fits.hpp"
#include "trial/power.hpp"
#include "trial/statistics.hpp"

#include <cmath>
#include <limits>
#include <random>
#include <set>
#include <string>
#include <vector>

namespace feedwright::trial {

namespace {

// Least squares on columns `x` by the normal equations, for comparison with the fits.
double sse_of(const std::vector<std::vector<double>>& x, const std::vector<double>& y) {
    const std::size_t p = x.size();
    std::vector<std::vector<long double>> a(p, std::vector<long double>(p + 1, 0));
    for (std::size_t i = 0; i < p; ++i) {
        for (std::size_t r = 0; r < y.size(); ++r) {
            for (std::size_t j = 0; j < p; ++j)
                a[i][j] += static_cast<long double>(x[i][r]) * x[j][r];
            a[i][p] += static_cast<long double>(x[i][r]) * y[r];
        }
    }
    for (std::size_t c = 0; c < p; ++c) {
        for (std::size_t r = 0; r < p; ++r) {
            if (r == c) continue;
            const long double f = a[r][c] / a[c][c];
            for (std::size_t j = c; j <= p; ++j)
                a[r][j] -= f * a[c][j];
        }
    }
    double sse = 0;
    for (std::size_t r = 0; r < y.size(); ++r) {
        long double fit = 0;
        for (std::size_t i = 0; i < p; ++i)
            fit += a[i][p] / a[i][i] * x[i][r];
        const double d = y[r] - static_cast<double>(fit);
        sse += d * d;
    }
    return sse;
}

// Residual sum of squares of a broken line with its break at `at`.
double sse_at(const std::vector<Point>& points, LineShape shape, double at) {
    std::vector<double> ones, before, after, y;
    for (const Point& p : points) {
        ones.push_back(1);
        before.push_back(std::min(p.level - at, 0.0));
        after.push_back(std::max(p.level - at, 0.0));
        y.push_back(p.value);
    }
    if (shape == LineShape::plateau_then_line) return sse_of({ones, after}, y);
    if (shape == LineShape::line_then_plateau) return sse_of({ones, before}, y);
    return sse_of({ones, before, after}, y);
}

std::vector<Point> wavy(LineShape shape) {
    const double noise[] = {0.31, -0.22, 0.05, -0.4,  0.27, 0.11, -0.16,
                            0.38, -0.09, 0.2,  -0.33, 0.02, 0.15, -0.28};
    std::vector<Point> points;
    std::size_t i = 0;
    for (const double level : {0, 5, 10, 20, 35, 50, 70}) {
        for (int tank = 0; tank < 2; ++tank) {
            const double from = level - 17.0;
            double value = 10;
            if (shape != LineShape::line_then_plateau) value -= 0.08 * std::max(from, 0.0);
            if (shape != LineShape::plateau_then_line) value += 0.15 * std::min(from, 0.0);
            points.push_back({level, value + noise[i++]});
        }
    }
    return points;
}

}  // namespace

TEST_CASE("poor data get a reason instead of numbers") {
    CHECK(one_way({{"a", {1, 2}}}).reason.lack == Lack::one_group);
    CHECK(one_way({{"a", {1}}, {"b", {2}}}).reason.lack == Lack::lone_tanks);
    CHECK(one_way({{"a", {1, 1}}, {"b", {2, 2}}}).reason.lack == Lack::no_variance);
    CHECK(one_way({{"a", {1, 1}}, {"b", {2, 3}}}));
    CHECK_FALSE(welch({{"a", {1, 1}}, {"b", {2, 3}}}));
    CHECK_FALSE(games_howell({{"a", {1}}, {"b", {2, 3}}}, 0.95));
    CHECK_FALSE(brown_forsythe({{"a", {1, 2}}, {"b", {2, 3}}}));
    CHECK_FALSE(shapiro_wilk({1, 2}));
    CHECK_FALSE(shapiro_wilk({2, 2, 2}));
    const std::vector<std::string> order{"a", "b"};
    const auto lack_in_blocks = [&](const std::vector<Observation>& values) {
        return randomised_blocks(values, order).reason.lack;
    };
    CHECK(lack_in_blocks({{"a", 1, "x"}, {"b", 2, "y"}, {"a", 2, "x"}, {"b", 3, "y"}}) ==
          Lack::blocks_apart);
    CHECK(lack_in_blocks({{"a", 1, "x"}, {"b", 2, "x"}, {"a", 3, "y"}}) == Lack::blocks_use_all);
    CHECK(lack_in_blocks({{"a", 1, "x"}, {"b", 2, "x"}, {"a", 3, "y"}, {"b", 4, "y"}}) ==
          Lack::no_variance);
    CHECK_THROWS_AS(summarise({}), Error);
    CHECK_FALSE(summarise({3}).sd);
}

TEST_CASE("where distances from the median are equal by construction, variances are not compared") {
    // Two values are always equally far from their median; one has no distance at all.
    std::mt19937 engine(7);
    std::normal_distribution<double> normal(40, 2);
    for (int trial = 0; trial < 300; ++trial) {
        std::vector<Sample> pairs;
        for (int g = 0; g < 3 + trial % 4; ++g)
            pairs.push_back(
                {std::string(1, static_cast<char>('a' + g)), {normal(engine), normal(engine)}});
        CHECK_FALSE(brown_forsythe(pairs));
        pairs.front().values.push_back(normal(engine));
        CHECK_FALSE(brown_forsythe(pairs));
        // Such groups take no part: the answer is that of the others.
        pairs.back().values.push_back(normal(engine));
        pairs.push_back({"z", {normal(engine)}});
        const auto some = brown_forsythe(pairs);
        const auto others = brown_forsythe({pairs.front(), pairs[pairs.size() - 2]});
        REQUIRE(some);
        REQUIRE(others);
        CHECK(some->f == others->f);
        CHECK(some->df_within == 4);
    }
}

TEST_CASE("a test of variances that rests on rounding alone has no answer") {
    // Equal distances in every group, but for what rounding leaves, at any size.
    for (const double size : {1e-6, 0.1, 1.0, 1e6}) {
        const std::vector<Sample> even{
            {"a", {39.7 * size, 39.7 * size, 40.1 * size, 40.1 * size}},
            {"b", {31.2 * size, 31.2 * size, 33.7 * size, 33.7 * size}},
            {"c", {0.1 * size, (0.3 - 0.2) * size, 0.7 * size, 0.7 * size}}};
        CHECK_FALSE(brown_forsythe(even));
        // A small true difference counts, beside however large a value that all share.
        const std::vector<Sample> uneven{
            {"a", {39.7 * size, 39.71 * size, 40.1 * size, 40.1 * size}},
            {"b", {31.2 * size, 31.2 * size, 33.7 * size, 33.7 * size}}};
        CHECK(brown_forsythe(uneven));
    }
    CHECK(brown_forsythe(
        {{"a", {1e6 + 0.1, 1e6 + 0.2, 1e6 + 0.4}}, {"b", {1e6 + 0.1, 1e6 + 0.3, 1e6 + 0.5}}}));
    // Tanks that differ by rounding alone do not vary.
    CHECK_FALSE(welch({{"a", {0.3, 0.1 + 0.2}}, {"b", {1, 2}}}));
    CHECK_FALSE(one_way({{"a", {0.3, 0.1 + 0.2}}, {"b", {0.7, 0.1 + 0.6}}}));
}

TEST_CASE("with one block the blocked analysis is the plain one") {
    const std::vector<Observation> rows{{"a", 1.1, "x"}, {"a", 2.3, "x"}, {"b", 4.2, "x"},
                                        {"b", 3.3, "x"}, {"c", 7.1, "x"}, {"c", 6.0, "x"},
                                        {"c", 6.4, "x"}};
    const std::vector<std::string> order{"a", "b", "c"};
    const Answer<Layout> plain = one_way(samples_of(rows, order));
    const Answer<Layout> blocked = randomised_blocks(rows, order);
    REQUIRE(plain);
    REQUIRE(blocked);
    CHECK(blocked->balanced_blocks);
    CHECK(blocked->anova.f == Approx(plain->anova.f).epsilon(1e-13));
    CHECK(blocked->means[2] == Approx(plain->means[2]).epsilon(1e-14));
    CHECK(blocked->difference_variance[0][2] ==
          Approx(plain->difference_variance[0][2]).epsilon(1e-13));
}

TEST_CASE("a lost tank in a block makes Dunnett's p a bound that is not too small") {
    std::vector<Observation> rows;
    const double shift[] = {0, 1.5, -0.7, 0.4};
    const double noise[] = {0.3, -0.1, 0.2, -0.4, 0.15, 0.05, -0.25, 0.35, -0.3, 0.1, 0.22, -0.12};
    std::size_t i = 0;
    for (int block = 0; block < 4; ++block) {
        for (const char* diet : {"control", "d1", "d2"}) {
            const double effect = diet == std::string("d2") ? -0.6 : 0.0;
            rows.push_back({diet, 5 + effect + shift[block] + noise[i++], std::to_string(block)});
        }
    }
    const std::vector<std::string> order{"control", "d1", "d2"};
    rows.pop_back();
    const Answer<Layout> layout = randomised_blocks(rows, order);
    REQUIRE(layout);
    CHECK_FALSE(layout->balanced_blocks);
    for (const Comparison& c : dunnett(*layout, "control", 0.95)) {
        const double t = c.difference / c.se;
        CHECK(c.p > t_two_sided(t, layout->anova.df_within));
        CHECK(c.p < 2 * t_two_sided(t, layout->anova.df_within));
        CHECK((c.p < 0.05) == (c.low > 0 || c.high < 0));
    }
    CHECK_THROWS_AS(dunnett(*layout, "d3", 0.95), Error);
}

TEST_CASE("limits exclude 0 exactly when p is below 1 - confidence") {
    const std::vector<Sample> samples{{"a", {5.1, 5.3, 5.0}},
                                      {"b", {5.4, 5.9, 5.5, 5.6}},
                                      {"c", {6.8, 6.1, 7.0}},
                                      {"d", {5.2, 5.6}}};
    const Answer<Layout> layout = one_way(samples);
    REQUIRE(layout);
    for (const double confidence : {0.5, 0.9, 0.95, 0.99}) {
        auto all = tukey(*layout, confidence);
        const auto more = dunnett(*layout, "a", confidence);
        const auto unequal = games_howell(samples, confidence);
        REQUIRE(unequal);
        all.insert(all.end(), more.begin(), more.end());
        all.insert(all.end(), unequal->begin(), unequal->end());
        CHECK(all.size() == 15);
        for (const Comparison& c : all) {
            CAPTURE(c.a, c.b, confidence, c.p);
            CHECK((c.low > 0 || c.high < 0) == (c.p < 1 - confidence));
        }
    }
}

TEST_CASE("letters are shared exactly by groups that are not separate") {
    CHECK(compact_letters({3, 1, 2}, {}) == std::vector<std::string>{"a", "a", "a"});
    CHECK(compact_letters({3, 1, 2}, {{0, 1}}) == std::vector<std::string>{"a", "b", "ab"});
    CHECK(compact_letters({1, 2}, {{0, 1}}) == std::vector<std::string>{"b", "a"});
    // Every set of separate pairs of five groups.
    std::vector<std::pair<int, int>> pairs;
    for (int a = 0; a < 5; ++a) {
        for (int b = a + 1; b < 5; ++b)
            pairs.emplace_back(a, b);
    }
    int wrong = 0;
    for (unsigned bits = 0; bits < 1024; ++bits) {
        std::vector<std::pair<int, int>> separate;
        for (std::size_t i = 0; i < pairs.size(); ++i) {
            if (bits >> i & 1) separate.push_back(pairs[i]);
        }
        const auto letters = compact_letters({4, 2, 5, 1, 3}, separate);
        for (const auto& [a, b] : pairs) {
            const bool shared = letters[static_cast<std::size_t>(a)].find_first_of(
                                    letters[static_cast<std::size_t>(b)]) != std::string::npos;
            const bool apart =
                std::find(separate.begin(), separate.end(), std::pair{a, b}) != separate.end();
            wrong += shared == apart ? 1 : 0;
        }
    }
    CHECK(wrong == 0);
}

TEST_CASE("the broken line is the least of all, and its limits are where F says") {
    for (const LineShape shape :
         {LineShape::plateau_then_line, LineShape::line_then_plateau, LineShape::two_lines}) {
        CAPTURE(to_string(shape));
        const std::vector<Point> points = wavy(shape);
        const Answer<BrokenLine> fit = fit_broken_line(points, shape, 0.95);
        REQUIRE(fit);
        CHECK(fit->determined);
        CHECK(sse_at(points, shape, fit->breakpoint) == Approx(fit->quality.sse).epsilon(1e-9));
        double residual = 0;
        for (const Point& p : points)
            residual += std::pow(p.value - value_at(*fit, p.level), 2);
        CHECK(residual == Approx(fit->quality.sse).epsilon(1e-9));
        // A grid over the stretch where the breakpoint can be told.
        const double from = shape == LineShape::plateau_then_line ? 0 : 5;
        const double to = shape == LineShape::line_then_plateau ? 70 : 50;
        const double limit =
            fit->quality.sse * (1 + f_quantile(0.95, 1, fit->quality.df) / fit->quality.df);
        double low = std::numeric_limits<double>::infinity();
        double high = -low;
        for (double at = from + 0.005; at < to; at += 0.01) {
            const double sse = sse_at(points, shape, at);
            CHECK(sse >= fit->quality.sse - 1e-9);
            if (sse > limit) continue;
            low = std::min(low, at);
            high = std::max(high, at);
        }
        REQUIRE(fit->low);
        REQUIRE(fit->high);
        CHECK(*fit->low == Approx(low).margin(0.011));
        CHECK(*fit->high == Approx(high).margin(0.011));
        CHECK_FALSE(fit->flat_fits);
    }
}

TEST_CASE("a breakpoint that the data leave free is not given as a number") {
    std::vector<Point> points;
    const double noise[] = {0.1, -0.1, 0.05, -0.04, 0.06, -0.02, 0.08, -0.02};
    std::size_t i = 0;
    for (const double level : {0, 10, 20, 30}) {
        for (int tank = 0; tank < 2; ++tank) {
            points.push_back({level, 10 + (level == 30 ? -5 : 0) + noise[i++]});
        }
    }
    const Answer<BrokenLine> last = fit_broken_line(points, LineShape::plateau_then_line, 0.95);
    REQUIRE(last);
    CHECK_FALSE(last->determined);
    CHECK(last->between_low == 20);
    CHECK(last->between_high == 30);
    CHECK(last->low);
    CHECK_FALSE(last->high);

    // No slope anywhere: every level may be the breakpoint.
    for (Point& p : points)
        p.value += p.level == 30 ? 5 : 0;
    const Answer<BrokenLine> flat = fit_broken_line(points, LineShape::plateau_then_line, 0.95);
    REQUIRE(flat);
    CHECK(flat->flat_fits);
    CHECK_FALSE(flat->low);
    CHECK_FALSE(flat->high);

    CHECK_FALSE(fit_broken_line({{0, 1}, {1, 2}, {2, 2}}, LineShape::plateau_then_line, 0.95));
    CHECK_FALSE(fit_broken_line({{0, 1}, {1, 2}, {2, 2}, {3, 1}}, LineShape::two_lines, 0.95));
    CHECK(fit_broken_line({{0, 4}, {1, 4}, {2, 4}, {3, 2}, {4, 0}}, LineShape::plateau_then_line,
                          0.95)
              .reason.lack == Lack::exact_fit);
}

TEST_CASE("the parabola is least squares, and turning it over turns its optimum over") {
    std::vector<Point> points = wavy(LineShape::two_lines);
    const Answer<Quadratic> fit = fit_quadratic(points, 0.95);
    REQUIRE(fit);
    std::vector<double> ones, x, xx, y;
    for (const Point& p : points) {
        ones.push_back(1);
        x.push_back(p.level);
        xx.push_back(p.level * p.level);
        y.push_back(p.value);
    }
    CHECK(fit->quality.sse == Approx(sse_of({ones, x, xx}, y)).epsilon(1e-9));
    CHECK(fit->maximum);
    CHECK(value_at(*fit, fit->optimum) == Approx(fit->value_at_optimum));
    CHECK(value_at(*fit, fit->optimum + 1) < fit->value_at_optimum);
    REQUIRE(fit->low);
    CHECK(*fit->low < fit->optimum);
    CHECK(fit->optimum < *fit->high);
    for (Point& p : points)
        p.value = -p.value;
    const Answer<Quadratic> turned = fit_quadratic(points, 0.95);
    REQUIRE(turned);
    CHECK_FALSE(turned->maximum);
    CHECK(turned->optimum == Approx(fit->optimum));
    CHECK(*turned->high == Approx(*fit->high));
    CHECK_FALSE(fit_quadratic({{0, 1}, {1, 2}, {2, 1}}, 0.95));
}

TEST_CASE("power grows with tanks, and the number needed is the least that reaches it") {
    PowerQuestion question;
    question.diets = 5;
    question.difference = 12;
    question.sd = 6;
    double before = 0;
    for (int n = 2; n < 12; ++n) {
        const double now = power(question, n);
        CHECK(now > before);
        before = now;
    }
    for (const double wanted : {0.5, 0.8, 0.9, 0.99}) {
        const auto n = tanks_needed(question, wanted);
        REQUIRE(n);
        CHECK(power(question, *n) >= wanted);
        CHECK((*n == 2 || power(question, *n - 1) < wanted));
    }
    question.sd = 600;
    CHECK_FALSE(tanks_needed(question, 0.9));
    question.sd = 0;
    CHECK_THROWS_AS(power(question, 3), Error);
}

}  // namespace feedwright::trial
