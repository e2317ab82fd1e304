// SPDX-License-Identifier: GPL-3.0-or-later
// Simulated trials whose truth is known: confidence limits must hold it as often as they say, and
// power must be what the table says. Fixed seeds; normal deviates by inversion, so every machine
// draws the same trials.
#include "support/catch.hpp"
#include "trial/distributions.hpp"
#include "trial/fits.hpp"
#include "trial/power.hpp"
#include "trial/statistics.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <random>
#include <string>
#include <vector>

namespace feedwright::trial {

namespace {

class Chance {
  public:
    explicit Chance(std::uint64_t seed) : engine_(seed) {}
    double normal() {
        return normal_quantile((static_cast<double>(engine_() >> 11) + 0.5) * 0x1.0p-53);
    }

  private:
    std::mt19937_64 engine_;
};

constexpr int trials = 2000;

void check_coverage(int held, int of = trials) {
    const double percent = 100.0 * held / of;
    CAPTURE(percent);
    CHECK(percent >= 93);
    CHECK(percent <= 97);
}

std::vector<Sample> simulate(Chance& chance, const std::vector<double>& means,
                             const std::vector<int>& n, double sd) {
    std::vector<Sample> samples;
    for (std::size_t i = 0; i < means.size(); ++i) {
        Sample s{"diet " + std::to_string(i), {}};
        for (int j = 0; j < n[i]; ++j)
            s.values.push_back(means[i] + sd * chance.normal());
        samples.push_back(std::move(s));
    }
    return samples;
}

}  // namespace

TEST_CASE("simultaneous limits of differences hold all true differences in 95 % of trials") {
    const std::vector<double> means{10, 10, 9.5, 8, 11};
    for (const std::vector<int>& n :
         {std::vector<int>{3, 3, 3, 3, 3}, std::vector<int>{6, 3, 4, 2, 3}}) {
        CAPTURE(n);
        Chance chance(11);
        int against_control = 0;
        int all_pairs = 0;
        double tukey_factor = 0;
        double dunnett_factor = 0;
        for (int trial = 0; trial < trials; ++trial) {
            const Answer<Layout> layout = one_way(simulate(chance, means, n, 0.7));
            REQUIRE(layout);
            // The limits' factor depends on the numbers of tanks alone; it is found once.
            if (trial == 0) {
                const Comparison pair = tukey(*layout, 0.95).front();
                tukey_factor = (pair.high - pair.difference) / pair.se;
                const Comparison to_control = dunnett(*layout, "diet 0", 0.95).front();
                dunnett_factor = (to_control.high - to_control.difference) / to_control.se;
            }
            bool control_held = true;
            bool pairs_held = true;
            for (std::size_t a = 0; a < means.size(); ++a) {
                for (std::size_t b = a + 1; b < means.size(); ++b) {
                    const double miss =
                        std::abs(layout->means[a] - layout->means[b] - means[a] + means[b]) /
                        std::sqrt(layout->anova.ms_within * layout->difference_variance[a][b]);
                    if (a == 0) control_held = control_held && miss <= dunnett_factor;
                    pairs_held = pairs_held && miss <= tukey_factor;
                }
            }
            against_control += control_held ? 1 : 0;
            all_pairs += pairs_held ? 1 : 0;
        }
        check_coverage(against_control);
        check_coverage(all_pairs);
    }
}

TEST_CASE("limits of the breakpoint hold the true one in 95 % of trials") {
    struct Design {
        LineShape shape;
        double breakpoint, before, after, sd;
    };
    const std::vector<double> levels{0, 10, 20, 30, 40, 60, 80, 100};
    for (const Design& d : {Design{LineShape::plateau_then_line, 35, 0, -0.02, 0.1},
                            Design{LineShape::plateau_then_line, 25, 0, -0.02, 0.2},
                            Design{LineShape::line_then_plateau, 45, 0.03, 0, 0.15},
                            Design{LineShape::two_lines, 45, 0.03, -0.02, 0.15}}) {
        CAPTURE(to_string(d.shape), d.breakpoint, d.sd);
        Chance chance(23);
        int held = 0;
        for (int trial = 0; trial < trials; ++trial) {
            std::vector<Point> points;
            for (const double level : levels) {
                for (int tank = 0; tank < 3; ++tank) {
                    const double from = level - d.breakpoint;
                    points.push_back({level, 5 + (from < 0 ? d.before : d.after) * from +
                                                 d.sd * chance.normal()});
                }
            }
            const Answer<BrokenLine> fit = fit_broken_line(points, d.shape, 0.95);
            REQUIRE(fit);
            const bool inside = (!fit->low || *fit->low <= d.breakpoint) &&
                                (!fit->high || d.breakpoint <= *fit->high);
            held += inside ? 1 : 0;
        }
        check_coverage(held);
    }
}

TEST_CASE("limits of the optimum hold the true one in 95 % of trials") {
    Chance chance(31);
    int held = 0;
    int limited = 0;
    for (int trial = 0; trial < trials; ++trial) {
        std::vector<Point> points;
        for (const double level : {0, 10, 20, 30, 40, 50}) {
            for (int tank = 0; tank < 3; ++tank) {
                points.push_back(
                    {level, 5 - 0.002 * (level - 22) * (level - 22) + 0.15 * chance.normal()});
            }
        }
        const Answer<Quadratic> fit = fit_quadratic(points, 0.95);
        REQUIRE(fit);
        if (!fit->low) continue;
        ++limited;
        held += *fit->low <= 22 && 22 <= *fit->high ? 1 : 0;
    }
    CHECK(limited == trials);
    check_coverage(held, limited);
}

TEST_CASE("the power table agrees with simulated trials within 2 points") {
    struct Design {
        int diets, tanks;
        double difference;
        bool blocked;
    };
    for (const Design& d : {Design{4, 3, 2.5, false}, Design{4, 5, 1.5, false},
                            Design{6, 4, 2.0, false}, Design{5, 4, 2.0, true}}) {
        CAPTURE(d.diets, d.tanks, d.difference, d.blocked);
        PowerQuestion question;
        question.diets = d.diets;
        question.difference = d.difference;
        question.sd = 1;
        question.blocked = d.blocked;
        const double stated = 100 * power(question, d.tanks);
        // The case the table is for: two diets at the ends, the others midway.
        std::vector<double> means(static_cast<std::size_t>(d.diets), 0);
        means.front() = -d.difference / 2;
        means.back() = d.difference / 2;
        Chance chance(47);
        int found = 0;
        constexpr int runs = 5000;
        std::vector<std::string> order;
        for (int i = 0; i < d.diets; ++i)
            order.push_back("diet " + std::to_string(i));
        for (int run = 0; run < runs; ++run) {
            Answer<Layout> layout;
            if (d.blocked) {
                std::vector<Observation> rows;
                for (int block = 0; block < d.tanks; ++block) {
                    const double shift = 3 * chance.normal();
                    for (std::size_t i = 0; i < means.size(); ++i) {
                        rows.push_back(
                            {order[i], means[i] + shift + chance.normal(), std::to_string(block)});
                    }
                }
                layout = randomised_blocks(rows, order);
            } else {
                layout =
                    one_way(simulate(chance, means, std::vector<int>(means.size(), d.tanks), 1));
            }
            REQUIRE(layout);
            found += layout->anova.p < 0.05 ? 1 : 0;
        }
        CAPTURE(stated);
        CHECK(std::abs(100.0 * found / runs - stated) < 2);
    }
}

}  // namespace feedwright::trial
