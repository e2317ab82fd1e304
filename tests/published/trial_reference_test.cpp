// SPDX-License-Identifier: GPL-3.0-or-later
// Values of R over grids (tests/published/data/trial_reference.csv, made by trial_reference.R).
#include "base/number.hpp"
#include "published/trial_data.hpp"
#include "support/catch.hpp"
#include "trial/distributions.hpp"
#include "trial/statistics.hpp"

#include <cmath>
#include <sstream>
#include <string>

namespace feedwright::trial {

namespace {

struct Reference {
    std::string kind, a, b, c;
    double value = 0;
};

std::vector<Reference> references(const std::string& kind) {
    std::vector<Reference> out;
    for (const base::CsvRow& row : test::published_table("trial_reference.csv").rows) {
        if (row.cells[0] != kind) continue;
        out.push_back({kind, row.cells[1], row.cells[2], row.cells[3],
                       base::parse_finite(row.cells[4]).value()});
    }
    return out;
}

double number(const std::string& text) {
    return base::parse_finite(text).value();
}

double analysis(const std::string& set, const std::string& what) {
    for (const Reference& r : references("analysis")) {
        if (r.a == set && r.b == what) return r.value;
    }
    throw std::runtime_error("no reference " + set + " " + what);
}

}  // namespace

TEST_CASE("Tukey's p agrees with R") {
    const auto rows = references("tukey");
    CHECK(rows.size() == 252);
    for (const Reference& r : rows) {
        CAPTURE(r.a, r.b, r.c);
        CHECK(std::abs(studentized_range_upper(number(r.c), std::stoi(r.a), number(r.b)) -
                       r.value) < 1e-8);
    }
}

TEST_CASE("the studentized range of two means is Student's t") {
    for (const double df : {1.0, 2.5, 6.0, 40.0, 1000.0}) {
        for (const double t : {0.1, 1.0, 2.5, 6.0}) {
            CAPTURE(df, t);
            CHECK(std::abs(studentized_range_upper(t * M_SQRT2, 2, df) - t_two_sided(t, df)) <
                  1e-12);
            CHECK(std::abs(dunnett_upper(t, {0.6}, df) - t_two_sided(t, df)) < 1e-12);
        }
    }
}

TEST_CASE("Dunnett's p agrees with R") {
    const auto rows = references("dunnett");
    CHECK(rows.size() == 200);
    for (const Reference& r : rows) {
        CAPTURE(r.a, r.b, r.c);
        const std::vector<double> n = test::numbers(r.a);
        std::vector<double> lambdas;
        for (std::size_t i = 1; i < n.size(); ++i)
            lambdas.push_back(std::sqrt(n[i] / (n[i] + n[0])));
        CHECK(std::abs(dunnett_upper(number(r.c), lambdas, number(r.b)) - r.value) < 1e-7);
    }
}

TEST_CASE("quantiles undo their probabilities") {
    const std::vector<double> lambdas{0.5, 0.7, 0.7};
    for (const double p : {0.5, 0.9, 0.95, 0.999}) {
        CHECK(1 - studentized_range_upper(studentized_range_quantile(p, 5, 11), 5, 11) ==
              Approx(p).epsilon(1e-11));
        CHECK(1 - dunnett_upper(dunnett_quantile(p, lambdas, 11), lambdas, 11) ==
              Approx(p).epsilon(1e-11));
    }
}

TEST_CASE("the power of the F test agrees with R") {
    for (const Reference& r : references("power")) {
        CAPTURE(r.a, r.b);
        const std::vector<double> df = test::numbers(r.a);
        CHECK(f_test_power(number(r.c), df[0], df[1], number(r.b)) ==
              Approx(r.value).epsilon(1e-8));
    }
}

TEST_CASE("Welch, Brown-Forsythe and Shapiro-Wilk agree with R on its data sets") {
    const auto sets = references("data");
    CHECK(sets.size() == 4);
    for (const Reference& r : sets) {
        CAPTURE(r.a);
        std::vector<Sample> samples;
        std::istringstream groups(r.b);
        std::string text;
        while (std::getline(groups, text, ';')) {
            const auto colon = text.find(':');
            samples.push_back({text.substr(0, colon), test::numbers(text.substr(colon + 1))});
        }
        const Answer<Welch> w = welch(samples);
        REQUIRE(w);
        CHECK(w->f == Approx(analysis(r.a, "welch_f")).epsilon(1e-10));
        CHECK(w->df_within == Approx(analysis(r.a, "welch_df")).epsilon(1e-10));
        CHECK(w->p == Approx(analysis(r.a, "welch_p")).epsilon(1e-8));
        const Answer<VarianceTest> bf = brown_forsythe(samples);
        REQUIRE(bf);
        CHECK(bf->f == Approx(analysis(r.a, "brown_forsythe_f")).epsilon(1e-10));
        CHECK(bf->p == Approx(analysis(r.a, "brown_forsythe_p")).epsilon(1e-8));
        const Answer<Layout> layout = one_way(samples);
        REQUIRE(layout);
        const Answer<Normality> s = shapiro_wilk(layout->residuals);
        REQUIRE(s);
        CHECK(s->w == Approx(analysis(r.a, "shapiro_w")).epsilon(1e-7));
        CHECK(s->p == Approx(analysis(r.a, "shapiro_p")).epsilon(1e-5));
    }
}

TEST_CASE("Shapiro-Wilk of small samples agrees with R") {
    const auto rows = references("shapiro");
    CHECK(rows.size() == 12);
    for (const Reference& r : rows) {
        CAPTURE(r.a, r.b);
        const Answer<Normality> s = shapiro_wilk(test::numbers(r.a));
        REQUIRE(s);
        CHECK((r.b == "w" ? s->w : s->p) == Approx(r.value).epsilon(1e-5));
    }
}

TEST_CASE("randomised blocks agree with R, plots lost or not") {
    const auto sets = references("blocks");
    CHECK(sets.size() == 3);
    for (const Reference& r : sets) {
        CAPTURE(r.a);
        std::vector<Observation> rows;
        std::istringstream plots(r.b);
        std::string text;
        while (std::getline(plots, text, ';')) {
            std::istringstream plot(text);
            Observation o;
            plot >> o.block >> o.group >> o.value;
            rows.push_back(o);
        }
        const std::vector<std::string> order = r.a == "three"
                                                   ? std::vector<std::string>{"0", "n", "np"}
                                                   : std::vector<std::string>{"0", "n"};
        const Answer<Layout> layout = randomised_blocks(rows, order);
        REQUIRE(layout);
        CHECK(layout->balanced_blocks == (r.a == "complete"));
        CHECK(layout->anova.f == Approx(analysis(r.a, "f")).epsilon(1e-10));
        CHECK(layout->anova.p == Approx(analysis(r.a, "p")).epsilon(1e-9));
        CHECK(layout->anova.df_within == analysis(r.a, "df_within"));
        CHECK(layout->means[1] - layout->means[0] ==
              Approx(analysis(r.a, "difference")).epsilon(1e-10));
        CHECK(std::sqrt(layout->anova.ms_within * layout->difference_variance[1][0]) ==
              Approx(analysis(r.a, "se")).epsilon(1e-10));
    }
}

}  // namespace feedwright::trial
