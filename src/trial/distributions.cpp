// SPDX-License-Identifier: GPL-3.0-or-later
#include "trial/distributions.hpp"

#include "base/diagnostics.hpp"

#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/non_central_f.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <boost/math/tools/toms748_solve.hpp>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>

namespace feedwright::trial {

namespace {

void require(bool condition, const char* message) {
    if (!condition) throw Error(message);
}

bool is_probability(double p) {
    return p > 0 && p < 1;
}

double phi_below(double z) {
    return 0.5 * std::erfc(-z * M_SQRT1_2);
}

// A point of a quadrature and its weight.
struct Node {
    double at = 0;
    double weight = 0;
};

void normalise(std::vector<Node>& nodes) {
    double sum = 0;
    for (const Node& node : nodes)
        sum += node.weight;
    for (Node& node : nodes)
        node.weight /= sum;
}

// Nodes in s = chi/sqrt(df). The density of t = ln s is proportional to exp(df t - df e^(2t) / 2),
// which falls off on both sides, so equal steps in t converge exponentially. The weights are scaled
// to add to 1, as the density does: no gamma function whose digits would be lost at large df.
std::vector<Node> chi_nodes(double df) {
    const auto log_density = [df](double t) { return df * (t - std::expm1(2 * t) / 2); };
    constexpr double negligible = -36;  // 2e-16 of the peak
    const double step = std::min(0.1, 0.4 / std::sqrt(2 * df));
    std::vector<Node> nodes;
    for (double t = 0; log_density(t) > negligible; t += step) {
        nodes.push_back({std::exp(t), std::exp(log_density(t))});
    }
    for (double t = -step; log_density(t) > negligible; t -= step) {
        nodes.push_back({std::exp(t), std::exp(log_density(t))});
    }
    normalise(nodes);
    return nodes;
}

// Nodes in a standard normal z.
std::vector<Node> normal_nodes(double step) {
    constexpr double far = 8.7;  // the density there is 1e-17
    std::vector<Node> nodes;
    const int half = static_cast<int>(far / step);
    for (int i = -half; i <= half; ++i) {
        const double z = i * step;
        nodes.push_back({z, std::exp(-z * z / 2)});
    }
    normalise(nodes);
    return nodes;
}

// x >= 0 where the decreasing `upper` (1 at 0, 0 far out) reaches `target`, on the logarithm, which
// is nearly straight there.
template <class Upper>
double solve_decreasing(Upper upper, double target) {
    const auto height = [&](double x) { return std::log(std::max(upper(x), 1e-300) / target); };
    double low = 0;
    double f_low = -std::log(target);
    double high = 4;
    double f_high = height(high);
    while (f_high > 0) {
        low = high;
        f_low = f_high;
        high *= 2;
        f_high = height(high);
    }
    const auto close = [](double a, double b) { return b - a <= 1e-12 * b; };
    std::uintmax_t most = 200;
    const auto [a, b] =
        boost::math::tools::toms748_solve(height, low, high, f_low, f_high, close, most);
    return (a + b) / 2;
}

// Everything of the studentized range that does not depend on q.
class StudentizedRange {
  public:
    StudentizedRange(int groups, double df) : power_(groups - 1), chi_(chi_nodes(df)) {
        // The integrand peaks more sharply the more groups there are.
        for (const Node& z : normal_nodes(groups <= 12 ? 0.25 : 0.125)) {
            const double below = phi_below(z.at);
            const double weight = z.weight * groups * std::pow(below, power_);
            if (weight < 1e-18) continue;
            normal_.push_back({z.at, weight});
            below_.push_back(below);
        }
    }

    double upper(double q) const {
        double sum = 0;
        for (const Node& s : chi_)
            sum += s.weight * range_upper(q * s.at);
        return std::clamp(sum, 0.0, 1.0);
    }

  private:
    // P(range of `groups` standard normals > w).
    double range_upper(double w) const {
        double sum = 0;
        for (std::size_t i = 0; i < normal_.size(); ++i) {
            const double share = phi_below(normal_[i].at - w) / below_[i];
            sum += normal_[i].weight * some_of(share);
        }
        return sum;
    }

    // 1 - (1 - x)^power without loss of digits; a short geometric sum is much quicker than
    // logarithms.
    double some_of(double x) const {
        if (power_ > 12) return -std::expm1(power_ * std::log1p(-x));
        double sum = 0;
        double term = 1;
        for (int i = 0; i < power_; ++i) {
            sum += term;
            term *= 1 - x;
        }
        return x * sum;
    }

    int power_;
    std::vector<Node> chi_;
    std::vector<Node> normal_;
    std::vector<double> below_;
};

// Everything of Dunnett's distribution that does not depend on d.
class ManyToOne {
  public:
    ManyToOne(std::vector<double> lambdas, double df) : chi_(chi_nodes(df)) {
        std::sort(lambdas.begin(), lambdas.end());
        double steepest = 1;
        for (std::size_t i = 0; i < lambdas.size();) {
            std::size_t end = i;
            while (end < lambdas.size() && lambdas[end] == lambdas[i])
                ++end;
            const double rest = std::sqrt(1 - lambdas[i] * lambdas[i]);
            arms_.push_back({lambdas[i], rest, static_cast<double>(end - i)});
            steepest = std::max(steepest, lambdas[i] / rest);
            i = end;
        }
        normal_ = normal_nodes(0.25 / steepest);
        // The integrand is the same at z and -z.
        std::erase_if(normal_, [](const Node& node) { return node.at < 0; });
        for (Node& node : normal_) {
            if (node.at > 0) node.weight *= 2;
        }
    }

    double upper(double d) const {
        double sum = 0;
        for (const Node& s : chi_) {
            double inner = 0;
            for (const Node& z : normal_) {
                double log_inside = 0;
                for (const Arm& arm : arms_) {
                    const double outside = phi_below((arm.lambda * z.at - d * s.at) / arm.rest) +
                                           phi_below((-arm.lambda * z.at - d * s.at) / arm.rest);
                    log_inside += arm.count * std::log1p(-std::min(outside, 1.0));
                }
                inner -= z.weight * std::expm1(log_inside);
            }
            sum += s.weight * inner;
        }
        return std::clamp(sum, 0.0, 1.0);
    }

  private:
    // Treatments that share one lambda.
    struct Arm {
        double lambda = 0;
        double rest = 1;
        double count = 1;
    };
    std::vector<Arm> arms_;
    std::vector<Node> chi_;
    std::vector<Node> normal_;
};

void check_range_arguments(int groups, double df) {
    require(groups >= 2 && groups <= 1000, "the studentized range needs 2 to 1000 groups");
    require(df >= 1 && std::isfinite(df),
            "the studentized range needs at least 1 degree of freedom");
}

void check_dunnett_arguments(const std::vector<double>& lambdas, double df) {
    require(!lambdas.empty(), "a comparison with a control needs at least one treatment");
    require(std::all_of(lambdas.begin(), lambdas.end(), [](double l) { return l >= 0 && l < 1; }),
            "a correlation factor outside [0, 1)");
    require(df >= 1 && std::isfinite(df), "a comparison needs at least 1 degree of freedom");
}

}  // namespace

double t_two_sided(double t, double df) {
    require(std::isfinite(t) && df > 0,
            "Student's t needs a finite t and positive degrees of freedom");
    if (t == 0) return 1;
    return 2 * boost::math::cdf(boost::math::complement(boost::math::students_t(df), std::abs(t)));
}

double t_quantile(double p, double df) {
    require(is_probability(p) && df > 0,
            "Student's t needs 0 < p < 1 and positive degrees of freedom");
    return boost::math::quantile(boost::math::students_t(df), p);
}

double f_upper(double f, double df_between, double df_within) {
    require(f >= 0 && std::isfinite(f) && df_between > 0 && df_within > 0,
            "F needs a finite value of at least 0 and positive degrees of freedom");
    return boost::math::cdf(
        boost::math::complement(boost::math::fisher_f(df_between, df_within), f));
}

double f_quantile(double p, double df_between, double df_within) {
    require(is_probability(p) && df_between > 0 && df_within > 0,
            "F needs 0 < p < 1 and positive degrees of freedom");
    return boost::math::quantile(boost::math::fisher_f(df_between, df_within), p);
}

double f_test_power(double alpha, double df_between, double df_within, double lambda) {
    require(lambda >= 0 && std::isfinite(lambda), "a noncentrality below 0");
    const double critical = f_quantile(1 - alpha, df_between, df_within);
    if (lambda == 0) return alpha;
    return boost::math::cdf(boost::math::complement(
        boost::math::non_central_f(df_between, df_within, lambda), critical));
}

double normal_upper(double z) {
    return phi_below(-z);
}

double normal_quantile(double p) {
    require(is_probability(p), "a normal quantile needs 0 < p < 1");
    return boost::math::quantile(boost::math::normal(), p);
}

double studentized_range_upper(double q, int groups, double df) {
    check_range_arguments(groups, df);
    require(std::isfinite(q), "the studentized range needs a finite value");
    if (q <= 0) return 1;
    return StudentizedRange(groups, df).upper(q);
}

double studentized_range_quantile(double p, int groups, double df) {
    check_range_arguments(groups, df);
    require(is_probability(p), "a quantile of the studentized range needs 0 < p < 1");
    const StudentizedRange range(groups, df);
    return solve_decreasing([&](double q) { return range.upper(q); }, 1 - p);
}

double dunnett_upper(double d, const std::vector<double>& lambdas, double df) {
    check_dunnett_arguments(lambdas, df);
    require(std::isfinite(d), "a comparison with a control needs a finite t");
    if (d <= 0) return 1;
    return ManyToOne(lambdas, df).upper(d);
}

double dunnett_quantile(double p, const std::vector<double>& lambdas, double df) {
    check_dunnett_arguments(lambdas, df);
    require(is_probability(p), "a quantile of a comparison with a control needs 0 < p < 1");
    const ManyToOne comparison(lambdas, df);
    return solve_decreasing([&](double d) { return comparison.upper(d); }, 1 - p);
}

}  // namespace feedwright::trial
