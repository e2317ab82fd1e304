# SPDX-License-Identifier: GPL-3.0-or-later
# Writes trial_reference.csv: values of R and its packages that the trial statistics are compared with.
#   Rscript trial_reference.R > trial_reference.csv
# Debian packages: r-base-core, r-cran-mvtnorm (the engine of multcomp's Dunnett test), r-cran-car.
suppressMessages({ library(mvtnorm); library(car) })
num <- function(x) formatC(x, digits = 15, format = "g", width = 1)
row <- function(kind, a, b, c, value) cat(kind, a, b, c, num(value), sep = ",", fill = 200)
cat("# made by trial_reference.R with", R.version.string,
    "mvtnorm", as.character(packageVersion("mvtnorm")), "car", as.character(packageVersion("car")), "\n")
cat("kind,a,b,c,value\n")

# Expectation of inside(s) over s = chi / sqrt(df).
over_chi <- function(inside, df) {
  density <- function(s) exp(log(2) + df / 2 * log(df / 2) - lgamma(df / 2) + (df - 1) * log(s) - df * s^2 / 2)
  integrate(function(s) density(s) * sapply(s, inside), 0, Inf, rel.tol = 1e-10, subdivisions = 2000)$value
}

# tukey: a = groups, b = df, c = q, value = P(Q > q), by nested adaptive quadrature (R's integrate, QUADPACK).
# R's own ptukey is off by up to 1e-4 at 2 and 1e-6 at 4 degrees of freedom (two groups at df 2, where the value
# is Student's t in closed form, show which is right); from 8 on it must agree.
tukey <- function(q, k, df) {
  value <- 1 - over_chi(function(s) integrate(function(z) k * dnorm(z) * (pnorm(z) - pnorm(z - q * s))^(k - 1),
                                              -Inf, Inf, rel.tol = 1e-11, subdivisions = 2000)$value, df)
  stopifnot(df < 8 || abs(value - ptukey(q, k, df, lower.tail = FALSE)) < 1e-6)
  stopifnot(k != 2 || abs(value - 2 * pt(-q / sqrt(2), df)) < 1e-9)
  value
}
for (k in c(2, 3, 4, 6, 10, 20)) for (df in c(2, 4, 8, 12, 20, 65, 200))
  for (q in c(0.5, 1.5, 3, 3.8, 5, 8)) row("tukey", k, df, q, tukey(q, k, df))

# dunnett: a = tanks of the control and of each diet, b = df, c = d, value = P(max |T| > d)
set.seed(20)
# Two or three diets: R's exact routine (TVPACK, Genz 2004). It knows one-sided regions only: inclusion and
# exclusion over the two signs.
dunnett_exact <- function(lambda, df, d) {
  m <- length(lambda)
  corr <- lambda %o% lambda
  diag(corr) <- 1
  p <- 0
  for (bits in 0:(2^m - 1)) {
    low <- as.logical(bitwAnd(bits, 2^(0:(m - 1))))
    p <- p + (-1)^sum(low) * pmvt(lower = rep(-Inf, m), upper = ifelse(low, -d, d), df = df, corr = corr,
                                  algorithm = TVPACK(abseps = 1e-12))
  }
  1 - as.numeric(p)
}
# More diets: nested adaptive quadrature (R's integrate, QUADPACK), which must agree with the lattice rule of
# mvtnorm within that rule's error.
dunnett_nested <- function(lambda, df, d) {
  inside <- function(s) integrate(function(z) {
    p <- dnorm(z)
    for (l in lambda) p <- p * (pnorm((l * z + d * s) / sqrt(1 - l^2)) - pnorm((l * z - d * s) / sqrt(1 - l^2)))
    p
  }, -Inf, Inf, rel.tol = 1e-11, abs.tol = 1e-13, subdivisions = 2000)$value
  value <- 1 - over_chi(inside, df)
  corr <- lambda %o% lambda
  diag(corr) <- 1
  m <- length(lambda)
  check <- pmvt(lower = rep(-d, m), upper = rep(d, m), df = df, corr = corr,
                algorithm = GenzBretz(maxpts = 1e6, abseps = 1e-5))
  stopifnot(abs(1 - as.numeric(check) - value) < 5e-5)
  value
}
dunnett <- function(n, df, d) {
  lambda <- sqrt(n[-1] / (n[-1] + n[1]))
  if (length(lambda) <= 3) dunnett_exact(lambda, df, d) else dunnett_nested(lambda, df, d)
}
for (n in list(c(6, 4, 5), c(3, 3, 3), c(3, 3, 3, 3), c(9, 3, 4, 5), c(2, 10, 3), c(3, 3, 3, 3, 3),
               c(4, 3, 3, 2, 3), c(6, 3, 3, 3, 3, 3), c(3, 3, 3, 3, 3, 3, 3), c(3, 2, 8, 4, 5, 3)))
  for (df in c(4, 8, 12, 30)) for (d in c(0.6, 1.5, 2.4, 3.2, 4.5))
    row("dunnett", paste(n, collapse = " "), df, d, dunnett(n, df, d))

# power: a = df between and within, b = lambda, c = alpha
for (df in list(c(2, 6), c(3, 8), c(4, 10), c(5, 18), c(5, 65))) for (l in c(0.5, 4, 10, 30))
  row("power", paste(df, collapse = " "), l, 0.05,
      pf(qf(0.95, df[1], df[2]), df[1], df[2], ncp = l, lower.tail = FALSE))

# Whole analyses of R's own data sets. a = data set, b = what, c = unused.
groups <- function(f, y) { s <- split(y, f); paste(names(s), sapply(s, paste, collapse = " "), sep = ":", collapse = ";") }
sets <- list(chickwts = with(chickwts, list(f = feed, y = weight)),
             PlantGrowth = with(PlantGrowth, list(f = group, y = weight)),
             InsectSprays = with(InsectSprays, list(f = spray, y = count)),
             warpbreaks = with(warpbreaks, list(f = tension, y = breaks)))
for (name in names(sets)) with(sets[[name]], {
  cat("data,", name, ",", groups(f, y), ",,0\n", sep = "")
  w <- oneway.test(y ~ f)
  row("analysis", name, "welch_f", "", w$statistic)
  row("analysis", name, "welch_df", "", w$parameter[2])
  row("analysis", name, "welch_p", "", w$p.value)
  bf <- leveneTest(y ~ f, center = median)
  row("analysis", name, "brown_forsythe_f", "", bf[1, 2])
  row("analysis", name, "brown_forsythe_p", "", bf[1, 3])
  s <- shapiro.test(residuals(lm(y ~ f)))
  row("analysis", name, "shapiro_w", "", s$statistic)
  row("analysis", name, "shapiro_p", "", s$p.value)
})
# Shapiro-Wilk on small samples: a = the sample
for (x in list(c(1, 2, 4), c(2.1, 2.9, 3.0, 4.4), c(148, 154, 158, 160, 161, 162, 166, 170, 182, 195, 236),
               c(1, 1.1, 1.2, 1.9, 9), 1:12, c(0.4, 0.9, 1.1, 1.3, 1.8, 2.2, 2.9, 4.1, 5.6, 7.7, 9.1, 14, 30)^2)) {
  s <- shapiro.test(x)
  row("shapiro", paste(x, collapse = " "), "w", "", s$statistic)
  row("shapiro", paste(x, collapse = " "), "p", "", s$p.value)
}

# Randomised blocks: datasets::npk (peas, six blocks of four plots). "complete": nitrogen or none, two plots of
# each a block. "incomplete": the same with two plots lost. "three": none, nitrogen alone, nitrogen and
# phosphate, the same two plots lost.
blocks <- function(d) paste(d$block, d$diet, d$yield, collapse = ";")
sets <- list(complete = transform(npk, diet = ifelse(N == 1, "n", "0")),
             incomplete = transform(npk[-c(3, 10), ], diet = ifelse(N == 1, "n", "0")),
             three = transform(npk[-c(3, 10), ], diet = ifelse(N == 1, ifelse(P == 1, "np", "n"), "0")))
for (name in names(sets)) {
  d <- sets[[name]]
  cat("blocks,", name, ",", blocks(d), ",,0\n", sep = "")
  fit <- lm(yield ~ block + diet, data = d)
  a <- anova(fit)
  row("analysis", name, "f", "", a["diet", "F value"])
  row("analysis", name, "p", "", a["diet", "Pr(>F)"])
  row("analysis", name, "df_within", "", a["Residuals", "Df"])
  row("analysis", name, "difference", "", coef(fit)["dietn"])
  row("analysis", name, "se", "", summary(fit)$coefficients["dietn", 2])
}
