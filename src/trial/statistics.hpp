// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

// Comparing groups of tanks. The tank is the unit: a group is a diet and its values are one number
// a tank. Sums are taken around a value of the data in long double, so values with many digits in
// common keep what they differ by. Formulas and sources: docs/method.md, "Trials".
namespace feedwright::trial {

/// What the data lack for an answer; the words are made in reports.
enum class Lack {
    none,
    one_group,            ///< with values
    lone_tanks,           ///< every group has one tank only
    lone_groups,          ///< `groups` have one tank only, and no two others are there to compare
    lone_control,         ///< the control has one tank only
    lone_diet,            ///< the diet in question has
    no_control,           ///< the control has no value
    no_result,            ///< no tank has any
    no_variance,          ///< tanks within a group do not differ at all
    blocks_apart,         ///< some groups share no block with the others
    blocks_use_all,       ///< groups and blocks leave no degree of freedom
    blocks_uneven,        ///< not every diet is in every block equally often
    group_varies_unseen,  ///< the tanks of `groups` do not show how much they vary
    few_for_variances,    ///< fewer than two groups of three tanks
    distances_equal,      ///< the tanks of each group are equally far from its middle
    variances_alike,      ///< not shown to differ
    few_values,           ///< for the test of normality, which needs 3 to 5000
    values_alike,
    no_levels,   ///< the groups have none
    few_levels,  ///< `found`, where the curve needs `needed`
    few_tanks,   ///< no more than the curve has parameters
    exact_fit,   ///< no variation is left around the curve
    no_bend,     ///< the values do not bend at all
    outlying     ///< a number far from its neighbours is to be cleared first
};

struct Reason {
    Lack lack = Lack::none;
    std::vector<std::string> groups{};
    std::size_t found = 0;
    std::size_t needed = 0;

    explicit operator bool() const { return lack != Lack::none; }
};

/// A number or table that the data may be too poor for: the value, or the reason why there is none.
template <class T>
struct Answer {
    std::optional<T> value;
    Reason reason;

    explicit operator bool() const { return value.has_value(); }
    const T& operator*() const { return *value; }
    const T* operator->() const { return &*value; }
};

template <class T>
Answer<T> answer(T value) {
    return {std::move(value), {}};
}

/// One tank's value, its group and, where the tanks stood in blocks, its block ("" otherwise).
struct Observation {
    std::string group;
    double value = 0;
    std::string block = {};
};

/// A group's name and its values.
struct Sample {
    std::string group;
    std::vector<double> values;
};

/// Number, mean, standard deviation (n - 1) and standard error of the mean. `sd` and `se` are left
/// out for a single value.
struct SampleSummary {
    int n = 0;
    double mean = 0;
    std::optional<double> sd;
    std::optional<double> se;
};

/// At least one value; throws Error otherwise.
SampleSummary summarise(const std::vector<double>& values);

/// The analysis of variance table of one factor. With blocks, "between" is diets adjusted for
/// blocks.
struct Anova {
    double f = 0;
    double p = 1;
    double df_between = 0;
    double df_within = 0;
    double ss_between = 0;
    double ss_within = 0;
    double ms_between = 0;
    double ms_within = 0;  ///< the error variance
    double residual_sd = 0;
    double r_squared = 0;  ///< ss_between / (ss_between + ss_within)
};

/// Group means (adjusted for blocks where there are any) with what comparisons among them need.
struct Layout {
    std::vector<std::string> groups;
    std::vector<int> n;
    std::vector<double> means;
    /// Variance of mean_i - mean_j in units of the error variance.
    std::vector<std::vector<double>> difference_variance;
    Anova anova;
    std::vector<double> residuals;  ///< in the order of the observations, sorted
    bool blocked = false;
    /// Every group stands equally often in every block (or there are no blocks), so that the means
    /// are plain means and comparisons with a control have Dunnett's correlations.
    bool balanced_blocks = true;
};

/// The values of each group, groups in `order`, values ascending: the same for rows in any order.
/// Every observation's group must be in `order`; groups without values are left out.
std::vector<Sample> samples_of(const std::vector<Observation>& observations,
                               const std::vector<std::string>& order);

/// One-way analysis of variance. No answer with fewer than two groups, with no group of two or more
/// values, or when the values do not vary within any group.
Answer<Layout> one_way(const std::vector<Sample>& samples);

/// Randomised blocks: value = group + block + error. Blocks need not hold every group equally
/// often; then means are adjusted (least squares). No answer when some groups cannot be compared
/// within blocks, or when no degrees of freedom or no variance are left for error.
Answer<Layout> randomised_blocks(const std::vector<Observation>& observations,
                                 const std::vector<std::string>& order);

/// Welch 1951: equality of means without equal variances. Needs two values and some variance a
/// group.
struct Welch {
    double f = 0;
    double p = 1;
    double df_between = 0;
    double df_within = 0;
};
Answer<Welch> welch(const std::vector<Sample>& samples);

/// Brown and Forsythe 1974 (Levene's test around the median): equality of variances. The F test of
/// |value - median of its group|. Groups of one or two values take no part: their distances are 0
/// or equal by construction. No answer where the distances differ by rounding alone.
struct VarianceTest {
    double f = 0;
    double p = 1;
    double df_between = 0;
    double df_within = 0;
};
Answer<VarianceTest> brown_forsythe(const std::vector<Sample>& samples);

/// Shapiro-Wilk test of normality, Royston 1995 (algorithm AS R94), 3 to 5000 values, complete
/// samples.
struct Normality {
    double w = 1;
    double p = 1;
};
Answer<Normality> shapiro_wilk(std::vector<double> values);

/// A comparison of two groups: difference = mean of a - mean of b, its simultaneous p and
/// confidence limits.
struct Comparison {
    std::string a;
    std::string b;
    double difference = 0;
    double se = 0;
    double p = 1;
    double low = 0;
    double high = 0;
};

/// Tukey-Kramer: all pairs, in the order of the groups. Exact for equal n, conservative for unequal
/// n (Hayter 1984); with unbalanced blocks the same formula on the adjusted means, an
/// approximation.
std::vector<Comparison> tukey(const Layout& layout, double confidence);

/// Dunnett 1955: every other group (a) against `control` (b), two-sided. Exact where
/// layout.balanced_blocks; otherwise Sidak's inequality, whose p is never too small and whose
/// limits are never too narrow (Sidak 1967).
std::vector<Comparison> dunnett(const Layout& layout, const std::string& control,
                                double confidence);

/// Games and Howell 1976: all pairs without equal variances, each with its own Welch-Satterthwaite
/// degrees of freedom. No answer unless every group has two values and some variance.
Answer<std::vector<Comparison>> games_howell(const std::vector<Sample>& samples, double confidence);

/// Compact letters (Piepho 2004, insert and absorb): two groups share a letter exactly when
/// `separate` (the pairs that differ, by position) does not hold them. `means` gives the order of
/// the letters: "a" goes to the highest mean. One text a group.
std::vector<std::string> compact_letters(const std::vector<double>& means,
                                         const std::vector<std::pair<int, int>>& separate);

}  // namespace feedwright::trial
