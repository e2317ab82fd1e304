// SPDX-License-Identifier: GPL-3.0-or-later
// Published analyses: NIST certified values, R's printed examples, Dunnett's own data.
#include "published/trial_data.hpp"
#include "support/catch.hpp"
#include "trial/distributions.hpp"
#include "trial/statistics.hpp"

#include <cmath>
#include <string>

namespace feedwright::trial {

namespace {

using test::published_samples;

double digits(double value, double certified) {
    return -std::log10(std::max(std::abs(value - certified) / std::abs(certified), 1e-16));
}

// Certified tables of NIST/ITL StRD, Analysis of Variance. AtmWtAg's values do not fit a double to
// more than its ninth digit of F, hence 8.
void check_certified(const std::string& set, const Anova& certified, double wanted) {
    CAPTURE(set);
    const Answer<Layout> layout = one_way(published_samples(set));
    REQUIRE(layout);
    const Anova& a = layout->anova;
    CHECK(a.df_between == certified.df_between);
    CHECK(a.df_within == certified.df_within);
    CHECK(digits(a.f, certified.f) >= wanted);
    CHECK(digits(a.ss_between, certified.ss_between) >= wanted);
    CHECK(digits(a.ss_within, certified.ss_within) >= wanted);
    CHECK(digits(a.ms_between, certified.ms_between) >= wanted);
    CHECK(digits(a.ms_within, certified.ms_within) >= wanted);
    CHECK(digits(a.r_squared, certified.r_squared) >= wanted);
    CHECK(digits(a.residual_sd, certified.residual_sd) >= wanted);
}

const Comparison& pair(const std::vector<Comparison>& all, const std::string& a,
                       const std::string& b) {
    for (const Comparison& c : all) {
        if (c.a == a && c.b == b) return c;
    }
    throw std::runtime_error("no pair " + a + " " + b);
}

}  // namespace

TEST_CASE("analysis of variance agrees with NIST's certified values") {
    Anova sirstv;
    sirstv.f = 1.18046237440255;
    sirstv.df_between = 4;
    sirstv.df_within = 20;
    sirstv.ss_between = 5.11462616000000E-02;
    sirstv.ss_within = 2.16636560000000E-01;
    sirstv.ms_between = 1.27865654000000E-02;
    sirstv.ms_within = 1.08318280000000E-02;
    sirstv.r_squared = 1.90999039051129E-01;
    sirstv.residual_sd = 1.04076068334656E-01;
    check_certified("SiRstv", sirstv, 9);

    Anova atmwtag;
    atmwtag.f = 1.59467335677930E+01;
    atmwtag.df_between = 1;
    atmwtag.df_within = 46;
    atmwtag.ss_between = 3.63834187500000E-09;
    atmwtag.ss_within = 1.04951729166667E-08;
    atmwtag.ms_between = 3.63834187500000E-09;
    atmwtag.ms_within = 2.28155932971014E-10;
    atmwtag.r_squared = 2.57426544538321E-01;
    atmwtag.residual_sd = 1.51048314446410E-05;
    check_certified("AtmWtAg", atmwtag, 8);

    Anova smls01;
    smls01.f = 21;
    smls01.df_between = 8;
    smls01.df_within = 180;
    smls01.ss_between = 1.68;
    smls01.ss_within = 1.8;
    smls01.ms_between = 0.21;
    smls01.ms_within = 0.01;
    smls01.r_squared = 4.82758620689655E-01;
    smls01.residual_sd = 0.1;
    check_certified("SmLs01", smls01, 9);
}

TEST_CASE("digits that all values share do not cost the digits that differ") {
    // NIST's SmLs04 and SmLs07 are SmLs01 with 1 000 000 and 1 000 000 000 000 added (from memory);
    // NIST asks for as many digits as the doubles still hold.
    for (const auto& [offset, wanted] : {std::pair{1e6, 6.0}, std::pair{1e12, 2.0}}) {
        std::vector<Sample> samples = published_samples("SmLs01");
        for (Sample& s : samples) {
            for (double& v : s.values)
                v += offset;
        }
        const Answer<Layout> layout = one_way(samples);
        REQUIRE(layout);
        CHECK(digits(layout->anova.f, 21) >= wanted);
    }
}

TEST_CASE("chickwts: F and Tukey-Kramer as R prints them") {
    // anova(lm(weight ~ feed)) and TukeyHSD of R 4.2.
    const Answer<Layout> layout = one_way(published_samples("chickwts"));
    REQUIRE(layout);
    CHECK(std::abs(layout->anova.f - 15.36) < 0.005);
    CHECK(layout->anova.p == Approx(5.94e-10).epsilon(0.001));
    CHECK(std::abs(layout->anova.ss_between - 231129) < 0.5);
    CHECK(std::abs(layout->anova.ss_within - 195556) < 0.5);
    CHECK(std::abs(layout->anova.ms_within - 3009) < 0.5);
    const std::vector<Comparison> all = tukey(*layout, 0.95);
    struct Row {
        const char* a;
        const char* b;
        double p;
    };
    const Row rows[] = {{"horsebean", "casein", 3.07e-08},    {"linseed", "casein", 0.00021},
                        {"meatmeal", "casein", 0.3324584},    {"soybean", "casein", 0.0083653},
                        {"sunflower", "casein", 0.9998902},   {"horsebean", "linseed", 0.1413329},
                        {"horsebean", "meatmeal", 0.0001062}, {"horsebean", "soybean", 0.0042167},
                        {"horsebean", "sunflower", 1.22e-08}, {"linseed", "meatmeal", 0.1276965},
                        {"linseed", "soybean", 0.7932853},    {"linseed", "sunflower", 8.84e-05},
                        {"soybean", "meatmeal", 0.7391356},   {"sunflower", "meatmeal", 0.2206962},
                        {"soybean", "sunflower", 0.0038845}};
    CHECK(all.size() == std::size(rows));
    for (const Row& row : rows) {
        CAPTURE(row.a, row.b);
        CHECK(std::abs(pair(all, row.a, row.b).p - row.p) < 1e-6);
    }
    const Comparison& c = pair(all, "horsebean", "linseed");
    CHECK(c.difference == Approx(-58.55));
    CHECK(c.low == Approx(-127.513543).epsilon(1e-8));
    CHECK(c.high == Approx(10.413543).epsilon(1e-7));
}

TEST_CASE("warpbreaks: Tukey as the R documentation prints it") {
    const Answer<Layout> layout = one_way(published_samples("warpbreaks"));
    REQUIRE(layout);
    const std::vector<Comparison> all = tukey(*layout, 0.95);
    struct Row {
        const char* a;
        const char* b;
        double difference, low, high, p;
    };
    for (const Row& row : {Row{"M", "H", 4.722222, -4.8376022, 14.28205, 0.4630831},
                           Row{"L", "H", 14.722222, 5.1623978, 24.28205, 0.0014315},
                           Row{"L", "M", 10.0, 0.4401756, 19.55982, 0.0384598}}) {
        CAPTURE(row.a, row.b);
        const Comparison& c = pair(all, row.a, row.b);
        CHECK(std::abs(c.difference - row.difference) < 5e-7);
        CHECK(std::abs(c.low - row.low) < 5e-6);
        CHECK(std::abs(c.high - row.high) < 5e-6);
        CHECK(std::abs(c.p - row.p) < 5e-7);
    }
}

TEST_CASE("Dunnett 1955: blood counts against a control") {
    // p and limits: R multcomp 1.4 and Matlab, as quoted in SciPy's tests of its Dunnett test.
    const Answer<Layout> layout = one_way(published_samples("dunnett1955"));
    REQUIRE(layout);
    const std::vector<Comparison> all = dunnett(*layout, "control", 0.95);
    REQUIRE(all.size() == 2);
    CHECK(std::abs(all[0].difference / all[0].se - 0.85703) < 5e-6);
    CHECK(std::abs(all[1].difference / all[1].se - 3.69375) < 5e-6);
    CHECK(std::abs(all[0].p - 0.620102) < 1e-4);
    CHECK(std::abs(all[1].p - 0.0058254) < 1e-4);
    CHECK(std::abs(all[0].low + 1.2564116462124) < 1e-3);
    CHECK(std::abs(all[0].high - 2.5564116462124) < 1e-3);
    CHECK(std::abs(all[1].low - 0.8396273539789) < 1e-3);
    CHECK(std::abs(all[1].high - 4.4163726460211) < 1e-3);
}

TEST_CASE("upper 5 % points of the studentized range as tabled") {
    // Standard tables (Harter), two decimals, from memory; R's qtukey agrees with them.
    struct Row {
        int groups;
        double df, q;
    };
    for (const Row& row : {Row{3, 10, 3.88}, Row{3, 20, 3.58}, Row{4, 20, 3.96}, Row{3, 27, 3.51},
                           Row{6, 65, 4.15}, Row{3, 60, 3.40}, Row{5, 30, 4.10}}) {
        CAPTURE(row.groups, row.df);
        CHECK(std::abs(studentized_range_quantile(0.95, row.groups, row.df) - row.q) < 0.005);
    }
}

}  // namespace feedwright::trial
