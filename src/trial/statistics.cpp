// SPDX-License-Identifier: GPL-3.0-or-later
#include "trial/statistics.hpp"

#include "base/dense.hpp"
#include "base/diagnostics.hpp"
#include "base/number.hpp"
#include "trial/distributions.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>
#include <set>
#include <tuple>
#include <utility>

namespace feedwright::trial {

namespace {

using Real = long double;

template <class T>
Answer<T> no_answer(Reason reason) {
    return {std::nullopt, std::move(reason)};
}

// Mean of `values` minus `origin`. Taken around a value of the data, so that the digits they share
// do not push out those they differ by.
Real mean_from(const std::vector<double>& values, Real origin) {
    Real sum = 0;
    for (const double v : values)
        sum += static_cast<Real>(v) - origin;
    return sum / static_cast<Real>(values.size());
}

// Sum of squares around the mean: two passes, with the correction for what rounding left in the
// mean (Chan, Golub and LeVeque 1983).
Real squares_around_mean(const std::vector<double>& values) {
    const Real origin = values.front();
    const Real mean = mean_from(values, origin);
    Real squares = 0;
    Real rest = 0;
    for (const double v : values) {
        const Real d = static_cast<Real>(v) - origin - mean;
        squares += d * d;
        rest += d;
    }
    return squares - rest * rest / static_cast<Real>(values.size());
}

// What arithmetic alone may leave between two numbers of this size that ought to be equal.
double rounding_of(double size) {
    constexpr double steps = 8;
    return steps * std::numeric_limits<double>::epsilon() * std::abs(size);
}

bool varies(const std::vector<double>& values) {
    return std::any_of(values.begin(), values.end(), [&](double v) {
        return std::abs(v - values.front()) >
               rounding_of(std::max(std::abs(v), std::abs(values.front())));
    });
}

double variance(const std::vector<double>& values) {
    return static_cast<double>(squares_around_mean(values) / static_cast<Real>(values.size() - 1));
}

Anova anova_table(Real ss_between, Real ss_within, double df_between, double df_within) {
    Anova a;
    a.df_between = df_between;
    a.df_within = df_within;
    a.ss_between = static_cast<double>(ss_between);
    a.ss_within = static_cast<double>(ss_within);
    a.ms_between = static_cast<double>(ss_between / static_cast<Real>(df_between));
    a.ms_within = static_cast<double>(ss_within / static_cast<Real>(df_within));
    a.residual_sd = std::sqrt(a.ms_within);
    a.r_squared = static_cast<double>(ss_between / (ss_between + ss_within));
    a.f = a.ms_between / a.ms_within;
    a.p = f_upper(a.f, df_between, df_within);
    return a;
}

int position_of(const std::vector<std::string>& names, const std::string& name) {
    const auto found = std::find(names.begin(), names.end(), name);
    if (found == names.end()) throw Error(fmt::format("no group is called \"{}\"", name));
    return static_cast<int>(found - names.begin());
}

// True when every group can be compared with every other through blocks they share.
bool connected(const std::vector<std::vector<int>>& counts) {
    const std::size_t groups = counts.size();
    std::vector<bool> reached(groups, false);
    std::vector<std::size_t> open{0};
    reached[0] = true;
    while (!open.empty()) {
        const std::size_t g = open.back();
        open.pop_back();
        for (std::size_t b = 0; b < counts[g].size(); ++b) {
            if (counts[g][b] == 0) continue;
            for (std::size_t other = 0; other < groups; ++other) {
                if (!reached[other] && counts[other][b] > 0) {
                    reached[other] = true;
                    open.push_back(other);
                }
            }
        }
    }
    return std::all_of(reached.begin(), reached.end(), [](bool r) { return r; });
}

Comparison compare(const Layout& layout, std::size_t a, std::size_t b) {
    Comparison c;
    c.a = layout.groups[a];
    c.b = layout.groups[b];
    c.difference = layout.means[a] - layout.means[b];
    c.se = std::sqrt(layout.anova.ms_within * layout.difference_variance[a][b]);
    return c;
}

void set_limits(Comparison& c, double times) {
    c.low = c.difference - times * c.se;
    c.high = c.difference + times * c.se;
}

double polynomial(std::initializer_list<double> coefficients, double x) {
    double sum = 0;
    double power = 1;
    for (const double c : coefficients) {
        sum += c * power;
        power *= x;
    }
    return sum;
}

}  // namespace

SampleSummary summarise(const std::vector<double>& values) {
    if (values.empty()) throw Error("a summary of no values");
    SampleSummary s;
    s.n = static_cast<int>(values.size());
    s.mean = static_cast<double>(values.front() + mean_from(values, values.front()));
    if (s.n > 1) {
        s.sd = std::sqrt(variance(values));
        s.se = *s.sd / std::sqrt(s.n);
    }
    return s;
}

std::vector<Sample> samples_of(const std::vector<Observation>& observations,
                               const std::vector<std::string>& order) {
    std::vector<Sample> samples;
    for (const std::string& group : order)
        samples.push_back({group, {}});
    for (const Observation& o : observations) {
        samples[static_cast<std::size_t>(position_of(order, o.group))].values.push_back(o.value);
    }
    std::erase_if(samples, [](const Sample& s) { return s.values.empty(); });
    for (Sample& s : samples)
        std::sort(s.values.begin(), s.values.end());
    return samples;
}

Answer<Layout> one_way(const std::vector<Sample>& samples) {
    if (samples.size() < 2) return no_answer<Layout>({Lack::one_group});
    int total = 0;
    bool some_variation = false;
    for (const Sample& s : samples) {
        total += static_cast<int>(s.values.size());
        some_variation = some_variation || varies(s.values);
    }
    const int groups = static_cast<int>(samples.size());
    if (total == groups) {
        return no_answer<Layout>({Lack::lone_tanks});
    }
    if (!some_variation) return no_answer<Layout>({Lack::no_variance});

    Layout layout;
    const Real origin = samples.front().values.front();
    Real grand = 0;
    std::vector<Real> means;
    for (const Sample& s : samples) {
        means.push_back(mean_from(s.values, origin));
        grand += means.back() * static_cast<Real>(s.values.size());
    }
    grand /= total;
    Real between = 0;
    Real within = 0;
    for (std::size_t i = 0; i < samples.size(); ++i) {
        const Sample& s = samples[i];
        between += static_cast<Real>(s.values.size()) * (means[i] - grand) * (means[i] - grand);
        within += squares_around_mean(s.values);
        layout.groups.push_back(s.group);
        layout.n.push_back(static_cast<int>(s.values.size()));
        layout.means.push_back(static_cast<double>(origin + means[i]));
        for (const double v : s.values) {
            layout.residuals.push_back(
                static_cast<double>(static_cast<Real>(v) - origin - means[i]));
        }
    }
    std::sort(layout.residuals.begin(), layout.residuals.end());
    layout.anova = anova_table(between, within, groups - 1, total - groups);
    for (const int a : layout.n) {
        std::vector<double> row;
        for (const int b : layout.n)
            row.push_back(1.0 / a + 1.0 / b);
        layout.difference_variance.push_back(row);
    }
    return answer(std::move(layout));
}

Answer<Layout> randomised_blocks(const std::vector<Observation>& observations,
                                 const std::vector<std::string>& order) {
    const std::vector<Sample> samples = samples_of(observations, order);
    if (samples.size() < 2) return no_answer<Layout>({Lack::one_group});
    std::vector<std::string> groups;
    for (const Sample& s : samples)
        groups.push_back(s.group);
    std::set<std::string> block_names;
    for (const Observation& o : observations)
        block_names.insert(o.block);
    const std::vector<std::string> blocks(block_names.begin(), block_names.end());

    // In an order that does not depend on that of the rows, so that sums round alike.
    std::vector<Observation> rows = observations;
    std::sort(rows.begin(), rows.end(), [](const Observation& x, const Observation& y) {
        return std::tie(x.group, x.block, x.value) < std::tie(y.group, y.block, y.value);
    });
    const std::size_t k = groups.size();
    const std::size_t b = blocks.size();
    const Real origin = samples.front().values.front();
    std::vector<std::vector<int>> counts(k, std::vector<int>(b, 0));
    std::vector<Real> group_total(k, 0);
    std::vector<Real> block_total(b, 0);
    std::vector<int> block_n(b, 0);
    struct Place {
        std::size_t group;
        std::size_t block;
        Real value;
    };
    std::vector<Place> places;
    for (const Observation& o : rows) {
        const Place p{static_cast<std::size_t>(position_of(groups, o.group)),
                      static_cast<std::size_t>(position_of(blocks, o.block)),
                      static_cast<Real>(o.value) - origin};
        ++counts[p.group][p.block];
        ++block_n[p.block];
        group_total[p.group] += p.value;
        block_total[p.block] += p.value;
        places.push_back(p);
    }
    if (!connected(counts)) {
        return no_answer<Layout>({Lack::blocks_apart});
    }
    const double df_within = static_cast<double>(rows.size()) - static_cast<double>(k + b) + 1;
    if (df_within < 1) {
        return no_answer<Layout>({Lack::blocks_use_all});
    }

    Layout layout;
    layout.groups = groups;
    layout.blocked = true;
    for (const Sample& s : samples)
        layout.n.push_back(static_cast<int>(s.values.size()));
    for (std::size_t i = 0; i < k; ++i) {
        for (std::size_t j = 0; j < b; ++j) {
            if (static_cast<double>(counts[i][j]) * static_cast<double>(rows.size()) !=
                static_cast<double>(layout.n[i]) * static_cast<double>(block_n[j])) {
                layout.balanced_blocks = false;
            }
        }
    }

    // Reduced normal equations C tau = Q. Adding 1/k to every element of C makes it regular and
    // gives the solution whose effects add to 0.
    std::vector<Real> c(k * k, 1 / static_cast<Real>(k));
    std::vector<Real> q(k, 0);
    for (std::size_t i = 0; i < k; ++i) {
        c[i * k + i] += layout.n[i];
        q[i] = group_total[i];
        for (std::size_t j = 0; j < b; ++j) {
            q[i] -= static_cast<Real>(counts[i][j]) * block_total[j] / block_n[j];
            for (std::size_t l = 0; l < k; ++l) {
                c[i * k + l] -= static_cast<Real>(counts[i][j]) * counts[l][j] / block_n[j];
            }
        }
    }
    const auto inverse = base::inverse(std::move(c), k, Real{1e-12L});
    if (!inverse) throw Error("the groups cannot be compared through the blocks they share");
    const auto g = [&](std::size_t i, std::size_t l) { return (*inverse)[i * k + l]; };
    std::vector<Real> tau(k, 0);
    Real between = 0;
    for (std::size_t i = 0; i < k; ++i) {
        for (std::size_t l = 0; l < k; ++l)
            tau[i] += g(i, l) * q[l];
        between += tau[i] * q[i];
    }
    std::vector<Real> beta(b, 0);
    Real mean_block = 0;
    for (std::size_t j = 0; j < b; ++j) {
        beta[j] = block_total[j];
        for (std::size_t i = 0; i < k; ++i)
            beta[j] -= counts[i][j] * tau[i];
        beta[j] /= block_n[j];
        mean_block += beta[j] / static_cast<Real>(b);
    }
    Real within = 0;
    Real total = 0;
    for (const Place& p : places) {
        const Real r = p.value - tau[p.group] - beta[p.block];
        within += r * r;
        total += p.value * p.value;
        layout.residuals.push_back(static_cast<double>(r));
    }
    // What is left of the fit's own rounding is not variance.
    if (!(within > 1e-24L * total)) return no_answer<Layout>({Lack::no_variance});
    std::sort(layout.residuals.begin(), layout.residuals.end());
    layout.anova =
        anova_table(std::max<Real>(between, 0), within, static_cast<double>(k) - 1, df_within);
    for (std::size_t i = 0; i < k; ++i) {
        layout.means.push_back(static_cast<double>(origin + tau[i] + mean_block));
        std::vector<double> row;
        for (std::size_t l = 0; l < k; ++l) {
            row.push_back(static_cast<double>(g(i, i) + g(l, l) - 2 * g(i, l)));
        }
        layout.difference_variance.push_back(row);
    }
    return answer(std::move(layout));
}

Answer<Welch> welch(const std::vector<Sample>& samples) {
    if (samples.size() < 2) return no_answer<Welch>({Lack::one_group});
    for (const Sample& s : samples) {
        if (s.values.size() < 2 || !varies(s.values)) {
            return no_answer<Welch>({Lack::group_varies_unseen, {s.group}});
        }
    }
    const double k = static_cast<double>(samples.size());
    const Real origin = samples.front().values.front();
    std::vector<Real> weight;
    std::vector<Real> mean;
    Real weights = 0;
    Real weighted = 0;
    for (const Sample& s : samples) {
        weight.push_back(static_cast<Real>(s.values.size()) / variance(s.values));
        mean.push_back(mean_from(s.values, origin));
        weights += weight.back();
        weighted += weight.back() * mean.back();
    }
    Real between = 0;
    Real lambda = 0;
    for (std::size_t i = 0; i < samples.size(); ++i) {
        const Real d = mean[i] - weighted / weights;
        between += weight[i] * d * d;
        const Real rest = 1 - weight[i] / weights;
        lambda += rest * rest / static_cast<Real>(samples[i].values.size() - 1);
    }
    Welch w;
    w.df_between = k - 1;
    w.df_within = (k * k - 1) / (3 * static_cast<double>(lambda));
    w.f = static_cast<double>(between) / (k - 1) /
          (1 + 2 * (k - 2) / (k * k - 1) * static_cast<double>(lambda));
    w.p = f_upper(w.f, w.df_between, w.df_within);
    return answer(w);
}

Answer<VarianceTest> brown_forsythe(const std::vector<Sample>& samples) {
    // The distance of one value from its median is 0, and those of two are equal, whatever the
    // variance: such groups say nothing of it and would only look as if they did not vary.
    constexpr std::size_t fewest = 3;
    std::vector<Sample> distances;
    double largest = 0;
    double sum = 0;
    double count = 0;
    for (const Sample& s : samples) {
        if (s.values.size() < fewest) continue;
        const double median = base::median(s.values);
        std::vector<double> sorted = s.values;
        std::sort(sorted.begin(), sorted.end());
        for (double& v : sorted) {
            largest = std::max(largest, std::abs(v));
            v = std::abs(v - median);
            sum += v;
        }
        count += static_cast<double>(sorted.size());
        distances.push_back({s.group, std::move(sorted)});
    }
    if (distances.size() < 2) {
        return no_answer<VarianceTest>({Lack::few_for_variances});
    }
    // Distances equal but for rounding (two pairs of equal tanks, for one) would make an F of any
    // size. No weighing has nine digits of the distances.
    constexpr double smallest_part = 1e-9;
    const double noise = std::max(rounding_of(largest), smallest_part * sum / count);
    const bool some = std::any_of(distances.begin(), distances.end(), [&](const Sample& s) {
        const auto [low, high] = std::minmax_element(s.values.begin(), s.values.end());
        return *high - *low > noise;
    });
    if (!some) {
        return no_answer<VarianceTest>({Lack::distances_equal});
    }
    const Answer<Layout> layout = one_way(distances);
    if (!layout) return no_answer<VarianceTest>(layout.reason);
    const Anova& a = layout->anova;
    return answer(VarianceTest{a.f, a.p, a.df_between, a.df_within});
}

Answer<Normality> shapiro_wilk(std::vector<double> values) {
    const std::size_t n = values.size();
    if (n < 3 || n > 5000) return no_answer<Normality>({Lack::few_values});
    if (!varies(values)) return no_answer<Normality>({Lack::values_alike});
    std::sort(values.begin(), values.end());

    // Weights of the upper half, largest first; those of the lower half are their negatives.
    const std::size_t half = n / 2;
    const double count = static_cast<double>(n);
    std::vector<double> weight(half);
    if (n == 3) {
        weight[0] = std::sqrt(0.5);
    } else {
        double squares = 0;
        for (std::size_t i = 0; i < half; ++i) {
            weight[i] = -normal_quantile((static_cast<double>(i) + 0.625) / (count + 0.25));
            squares += 2 * weight[i] * weight[i];
        }
        const double norm = std::sqrt(squares);
        const double u = 1 / std::sqrt(count);
        const double first =
            weight[0] / norm +
            polynomial({0, 0.221157, -0.147981, -2.071190, 4.434685, -2.706056}, u);
        std::size_t done = 1;
        double left = squares - 2 * weight[0] * weight[0];
        double share = 1 - 2 * first * first;
        double second = 0;
        if (n > 5) {
            second = weight[1] / norm +
                     polynomial({0, 0.042981, -0.293762, -1.752461, 5.682633, -3.582633}, u);
            left -= 2 * weight[1] * weight[1];
            share -= 2 * second * second;
            done = 2;
        }
        const double scale = std::sqrt(share / left);
        for (std::size_t i = done; i < half; ++i)
            weight[i] *= scale;
        weight[0] = first;
        if (done == 2) weight[1] = second;
    }

    double b = 0;
    for (std::size_t i = 0; i < half; ++i)
        b += weight[i] * (values[n - 1 - i] - values[i]);
    Normality result;
    result.w = std::min(1.0, b * b / static_cast<double>(squares_around_mean(values)));
    const double rest = std::max(1 - result.w, 1e-300);
    if (n == 3) {
        // Exact: W of three values lies in [3/4, 1].
        const double p = 6 / M_PI * (std::asin(std::sqrt(result.w)) - std::asin(std::sqrt(0.75)));
        result.p = std::clamp(p, 0.0, 1.0);
        return answer(result);
    }
    double y = std::log(rest);
    double mean = 0;
    double sd = 1;
    if (n <= 11) {
        const double gamma = polynomial({-2.273, 0.459}, count);
        if (y >= gamma) {
            result.p = 0;
            return answer(result);
        }
        y = -std::log(gamma - y);
        mean = polynomial({0.5440, -0.39978, 0.025054, -6.714e-4}, count);
        sd = std::exp(polynomial({1.3822, -0.77857, 0.062767, -0.0020322}, count));
    } else {
        const double log_n = std::log(count);
        mean = polynomial({-1.5861, -0.31082, -0.083751, 0.0038915}, log_n);
        sd = std::exp(polynomial({-0.4803, -0.082676, 0.0030302}, log_n));
    }
    result.p = normal_upper((y - mean) / sd);
    return answer(result);
}

std::vector<Comparison> tukey(const Layout& layout, double confidence) {
    const int k = static_cast<int>(layout.groups.size());
    const double df = layout.anova.df_within;
    const double times = studentized_range_quantile(confidence, k, df) * M_SQRT1_2;
    std::vector<Comparison> out;
    for (std::size_t a = 0; a < layout.groups.size(); ++a) {
        for (std::size_t b = a + 1; b < layout.groups.size(); ++b) {
            Comparison c = compare(layout, a, b);
            c.p = studentized_range_upper(std::abs(c.difference) / c.se * M_SQRT2, k, df);
            set_limits(c, times);
            out.push_back(std::move(c));
        }
    }
    return out;
}

std::vector<Comparison> dunnett(const Layout& layout, const std::string& control,
                                double confidence) {
    const auto zero = static_cast<std::size_t>(position_of(layout.groups, control));
    const double df = layout.anova.df_within;
    std::vector<double> lambdas;
    for (std::size_t i = 0; i < layout.groups.size(); ++i) {
        if (i == zero) continue;
        const double n = layout.n[i];
        lambdas.push_back(std::sqrt(n / (n + layout.n[zero])));
    }
    const double m = static_cast<double>(lambdas.size());
    const double times = layout.balanced_blocks
                             ? dunnett_quantile(confidence, lambdas, df)
                             : t_quantile(1 - (1 - std::pow(confidence, 1 / m)) / 2, df);
    std::vector<Comparison> out;
    for (std::size_t i = 0; i < layout.groups.size(); ++i) {
        if (i == zero) continue;
        Comparison c = compare(layout, i, zero);
        const double t = std::abs(c.difference) / c.se;
        c.p = layout.balanced_blocks ? dunnett_upper(t, lambdas, df)
                                     : -std::expm1(m * std::log1p(-t_two_sided(t, df)));
        set_limits(c, times);
        out.push_back(std::move(c));
    }
    return out;
}

Answer<std::vector<Comparison>> games_howell(const std::vector<Sample>& samples,
                                             double confidence) {
    if (const Answer<Welch> possible = welch(samples); !possible) {
        return no_answer<std::vector<Comparison>>(possible.reason);
    }
    const int k = static_cast<int>(samples.size());
    std::vector<Comparison> out;
    for (std::size_t a = 0; a < samples.size(); ++a) {
        for (std::size_t b = a + 1; b < samples.size(); ++b) {
            const auto part = [](const Sample& s) {
                return variance(s.values) / static_cast<double>(s.values.size());
            };
            const auto df_of = [](const Sample& s) {
                return static_cast<double>(s.values.size()) - 1;
            };
            const double va = part(samples[a]);
            const double vb = part(samples[b]);
            // Rounding may push it just under the smaller of the two, which is at least 1.
            const double df =
                std::max(1.0, (va + vb) * (va + vb) /
                                  (va * va / df_of(samples[a]) + vb * vb / df_of(samples[b])));
            Comparison c;
            c.a = samples[a].group;
            c.b = samples[b].group;
            const Real origin = samples[a].values.front();
            c.difference = static_cast<double>(mean_from(samples[a].values, origin) -
                                               mean_from(samples[b].values, origin));
            c.se = std::sqrt(va + vb);
            c.p = studentized_range_upper(std::abs(c.difference) / c.se * M_SQRT2, k, df);
            set_limits(c, studentized_range_quantile(confidence, k, df) * M_SQRT1_2);
            out.push_back(std::move(c));
        }
    }
    return answer(std::move(out));
}

std::vector<std::string> compact_letters(const std::vector<double>& means,
                                         const std::vector<std::pair<int, int>>& separate) {
    const std::size_t n = means.size();
    // Positions from the highest mean down; a column is the set of groups that share one letter.
    std::vector<std::size_t> order(n);
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t x, std::size_t y) { return means[x] > means[y]; });
    std::vector<std::size_t> rank(n);
    for (std::size_t i = 0; i < n; ++i)
        rank[order[i]] = i;

    std::set<std::set<std::size_t>> columns;
    std::set<std::size_t> all;
    for (std::size_t i = 0; i < n; ++i)
        all.insert(i);
    columns.insert(all);
    for (const auto& [first, second] : separate) {
        const std::size_t x = rank[static_cast<std::size_t>(first)];
        const std::size_t y = rank[static_cast<std::size_t>(second)];
        std::set<std::set<std::size_t>> next;
        for (const auto& column : columns) {
            if (!column.contains(x) || !column.contains(y)) {
                next.insert(column);
                continue;
            }
            for (const std::size_t out : {x, y}) {
                std::set<std::size_t> part = column;
                part.erase(out);
                next.insert(std::move(part));
            }
        }
        // Absorb: a column inside another says nothing new.
        std::set<std::set<std::size_t>> kept;
        for (const auto& column : next) {
            const bool inside = std::any_of(next.begin(), next.end(), [&](const auto& other) {
                return other != column &&
                       std::includes(other.begin(), other.end(), column.begin(), column.end());
            });
            if (!inside) kept.insert(column);
        }
        columns = std::move(kept);
    }
    // std::set orders the columns by their highest members, so "a" starts at the highest mean.
    std::vector<std::string> letters(n);
    std::size_t number = 0;
    for (const auto& column : columns) {
        std::string letter(1, static_cast<char>('a' + number % 26));
        if (number >= 26) letter += std::to_string(number / 26);
        for (const std::size_t member : column)
            letters[order[member]] += letter;
        ++number;
    }
    return letters;
}

}  // namespace feedwright::trial
