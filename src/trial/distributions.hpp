// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <vector>

// The distributions that the trial statistics rest on. Degrees of freedom may be fractional (Welch)
// and must be at least 1 where nothing else is said; a broken argument throws Error.
namespace feedwright::trial {

/// P(|T| > |t|), Student's t.
double t_two_sided(double t, double df);
/// t with P(T <= t) = p, 0 < p < 1.
double t_quantile(double p, double df);

/// P(F > f), Fisher's F.
double f_upper(double f, double df_between, double df_within);
/// f with P(F <= f) = p, 0 < p < 1.
double f_quantile(double p, double df_between, double df_within);

/// Power of the F test at level `alpha` when the noncentrality is `lambda` =
/// sum over groups of n_i (mean_i - grand mean)^2 / variance: P(F'(lambda) > F critical).
double f_test_power(double alpha, double df_between, double df_within, double lambda);

/// P(Z > z), standard normal.
double normal_upper(double z);
/// z with P(Z <= z) = p, 0 < p < 1.
double normal_quantile(double p);

/// P(Q > q) for the studentized range of `groups` means (2 to 1000) with `df` degrees of freedom.
/// With s = chi/sqrt(df) and m = groups - 1 it is the double integral
///   E_s [ groups * integral phi(z) { Phi(z)^m - (Phi(z) - Phi(z - q s))^m } dz ]
/// (Hartley 1942 for the range; the complement is integrated so that small p keep their digits).
/// The trapezoid rule on the whole line, in z and in ln s, converges faster than any power of the
/// step here; absolute error below 1e-12.
double studentized_range_upper(double q, int groups, double df);
/// q with P(Q <= q) = p, 0 < p < 1; relative error below 1e-10.
double studentized_range_quantile(double p, int groups, double df);

/// P(max |T_i| > d) for comparisons of treatments with one control that share the error variance:
/// T multivariate t with correlations lambda_i lambda_j, lambda_i = sqrt(n_i / (n_i + n_0))
/// (Dunnett 1955). Given the control's mean and the error variance the T_i are independent, so it
/// is
///   1 - E_s integral phi(z) product_i [ Phi((lambda_i z + d s)/r_i) - Phi((lambda_i z - d s)/r_i)
///   ] dz
/// with r_i = sqrt(1 - lambda_i^2): exact, no bound and no simulation. Absolute error below 1e-11.
/// Each lambda lies in [0, 1); the order of the list does not matter.
double dunnett_upper(double d, const std::vector<double>& lambdas, double df);
/// d with P(max |T_i| <= d) = p, 0 < p < 1; relative error below 1e-10.
double dunnett_quantile(double p, const std::vector<double>& lambdas, double df);

}  // namespace feedwright::trial
