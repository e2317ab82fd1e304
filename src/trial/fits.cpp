// SPDX-License-Identifier: GPL-3.0-or-later
#include "trial/fits.hpp"

#include "trial/distributions.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <tuple>

namespace feedwright::trial {

namespace {

// The tanks at one level.
struct LevelGroup {
    double level = 0;
    double n = 0;
    double mean = 0;
    double within = 0;  // sum of squares around the mean
};

// Everything the fits need of the data: levels ascending, and totals.
struct Levels {
    std::vector<LevelGroup> groups;
    double n = 0;
    double total_squares = 0;  // around the grand mean
    double within = 0;
};

Levels levels_of(std::vector<Point> points) {
    std::sort(points.begin(), points.end(), [](const Point& a, const Point& b) {
        return std::tie(a.level, a.value) < std::tie(b.level, b.value);
    });
    Levels out;
    const double origin = points.empty() ? 0 : points.front().value;
    double sum = 0;
    for (std::size_t i = 0; i < points.size();) {
        std::size_t end = i;
        LevelGroup g;
        g.level = points[i].level;
        for (; end < points.size() && points[end].level == g.level; ++end) {
            g.mean += points[end].value - origin;
            ++g.n;
        }
        sum += g.mean;
        g.mean = g.mean / g.n;
        for (; i < end; ++i) {
            const double d = points[i].value - origin - g.mean;
            g.within += d * d;
        }
        g.mean += origin;
        out.n += g.n;
        out.within += g.within;
        out.groups.push_back(g);
    }
    const double grand = origin + sum / out.n;
    for (const LevelGroup& g : out.groups) {
        out.total_squares += g.within + g.n * (g.mean - grand) * (g.mean - grand);
    }
    return out;
}

// A level line or a straight line through some of the levels, fitted on its own. The estimate at r
// is mean + slope (r - centre), its variance (in units of the error variance) 1/n + (r - centre)^2
// / spread.
struct Side {
    double n = 0;
    double centre = 0;
    double mean = 0;
    double slope = 0;
    double spread = std::numeric_limits<double>::infinity();  // infinite: a level line
    double sse = 0;
    bool free = false;  // a straight line through one level: it reaches any value anywhere else

    double at(double r) const { return mean + slope * (r - centre); }
};

Side fit_side(const std::vector<LevelGroup>& groups, std::size_t begin, std::size_t end,
              bool line) {
    Side s;
    for (std::size_t i = begin; i < end; ++i) {
        s.n += groups[i].n;
        s.centre += groups[i].n * groups[i].level;
        s.mean += groups[i].n * groups[i].mean;
    }
    s.centre /= s.n;
    s.mean /= s.n;
    s.free = line && end - begin == 1;
    if (line && !s.free) {
        double xx = 0;
        double xy = 0;
        for (std::size_t i = begin; i < end; ++i) {
            const double x = groups[i].level - s.centre;
            xx += groups[i].n * x * x;
            xy += groups[i].n * x * (groups[i].mean - s.mean);
        }
        s.slope = xy / xx;
        s.spread = xx;
    }
    for (std::size_t i = begin; i < end; ++i) {
        const double d = groups[i].mean - s.at(groups[i].level);
        s.sse += groups[i].within + groups[i].n * d * d;
    }
    return s;
}

// Breakpoints between two neighbouring levels. There the residual sum of squares is that of the two
// sides fitted apart, plus gap^2 / (variance of the gap) for making them meet.
struct Stretch {
    double from = 0;
    double to = 0;
    Side left;
    Side right;

    bool free() const { return left.free || right.free; }
    double apart() const { return left.sse + right.sse; }
    double gap(double r) const { return left.at(r) - right.at(r); }
    double gap_variance(double r) const {
        const double l = r - left.centre;
        const double q = r - right.centre;
        return 1 / left.n + l * l / left.spread + 1 / right.n + q * q / right.spread;
    }
    double sse(double r) const {
        return free() ? apart() : apart() + gap(r) * gap(r) / gap_variance(r);
    }
};

// The part of [stretch.from, stretch.to] where sse(r) <= limit, as the widest pair of ends; false
// when empty. gap(r)^2 <= room * gap_variance(r) is a quadratic in r.
bool accepted(const Stretch& s, double limit, double& low, double& high) {
    const double room = limit - s.apart();
    if (room < 0) return false;
    if (s.free()) {
        low = s.from;
        high = s.to;
        return true;
    }
    // Around the middle of the stretch, for digits.
    const double m = (s.from + s.to) / 2;
    const double g0 = s.gap(m);
    const double g1 = s.left.slope - s.right.slope;
    const double lm = m - s.left.centre;
    const double rm = m - s.right.centre;
    const double v0 = s.gap_variance(m);
    const double v1 = 2 * (lm / s.left.spread + rm / s.right.spread);
    const double v2 = 1 / s.left.spread + 1 / s.right.spread;
    const double a = g1 * g1 - room * v2;
    const double b = 2 * g0 * g1 - room * v1;
    const double c = g0 * g0 - room * v0;
    const double half = (s.to - s.from) / 2;
    std::vector<double> marks{-half, half};
    const double root = b * b - 4 * a * c;
    if (root >= 0 && a != 0) {
        // The stable pair of roots.
        const double q = -(b + std::copysign(std::sqrt(root), b)) / 2;
        for (const double x : {q / a, q != 0 ? c / q : 0.0}) {
            if (x > -half && x < half) marks.push_back(x);
        }
    } else if (a == 0 && b != 0 && std::abs(c / b) < half) {
        marks.push_back(-c / b);
    }
    bool any = false;
    const double slack = 1e-12 * (g0 * g0 + room * v0);
    for (const double x : marks) {
        if ((a * x + b) * x + c > slack) continue;
        low = any ? std::min(low, m + x) : m + x;
        high = any ? std::max(high, m + x) : m + x;
        any = true;
    }
    return any;
}

FitQuality quality_of(const Levels& data, double sse, int parameters, int used_df) {
    FitQuality q;
    q.sse = sse;
    q.df = data.n - parameters - used_df;
    q.residual_sd = std::sqrt(sse / q.df);
    q.r_squared = data.total_squares > 0 ? std::max(0.0, 1 - sse / data.total_squares) : 0;
    const double levels = static_cast<double>(data.groups.size());
    const double df_lack = levels - parameters;
    const double df_pure = data.n - levels - used_df;
    if (df_lack > 0 && df_pure > 0 && data.within > 0) {
        const double f = std::max(0.0, sse - data.within) / df_lack / (data.within / df_pure);
        q.lack_of_fit_p = f_upper(f, df_lack, df_pure);
    }
    return q;
}

// Why there is nothing to fit, if so.
Reason lacking(const Levels& data, std::size_t levels, int parameters, int used_df) {
    if (data.groups.size() < levels) {
        return {Lack::few_levels, {}, data.groups.size(), levels};
    }
    if (data.n - parameters - used_df < 1) return {Lack::few_tanks};
    return {};
}

// Mirrors levels, so that one side's code serves both.
std::vector<Point> mirrored(std::vector<Point> points) {
    for (Point& p : points)
        p.level = -p.level;
    return points;
}

}  // namespace

std::string_view to_string(LineShape shape) {
    switch (shape) {
        case LineShape::plateau_then_line:
            return "plateau_then_line";
        case LineShape::line_then_plateau:
            return "line_then_plateau";
        case LineShape::two_lines:
            return "two_lines";
    }
    return "";
}

Answer<BrokenLine> fit_broken_line(const std::vector<Point>& points, LineShape shape,
                                   double confidence, int used_df) {
    if (shape == LineShape::line_then_plateau) {
        Answer<BrokenLine> fit =
            fit_broken_line(mirrored(points), LineShape::plateau_then_line, confidence, used_df);
        if (!fit) return fit;
        BrokenLine& line = *fit.value;
        line.shape = shape;
        line.breakpoint = -line.breakpoint;
        std::swap(line.slope_before, line.slope_after);
        line.slope_before = -line.slope_before;
        line.slope_after = -line.slope_after;
        std::swap(line.low, line.high);
        if (line.low) line.low = -*line.low;
        if (line.high) line.high = -*line.high;
        std::swap(line.between_low, line.between_high);
        line.between_low = -line.between_low;
        line.between_high = -line.between_high;
        return fit;
    }
    const bool two = shape == LineShape::two_lines;
    const int parameters = two ? 4 : 3;
    const Levels data = levels_of(points);
    if (Reason reason = lacking(data, two ? 5 : 4, parameters, used_df))
        return {std::nullopt, std::move(reason)};
    const auto& groups = data.groups;
    std::vector<Stretch> stretches;
    for (std::size_t i = 0; i + 1 < groups.size(); ++i) {
        stretches.push_back({groups[i].level, groups[i + 1].level, fit_side(groups, 0, i + 1, two),
                             fit_side(groups, i + 1, groups.size(), true)});
    }

    // The best breakpoint of each stretch is where its two lines meet, else one of its ends:
    // between the ends and away from the meeting point the penalty has no other minimum. At the
    // inner end of a free stretch it is as good as its neighbour; then the whole stretch is the
    // answer, so it comes last.
    BrokenLine line;
    line.shape = shape;
    const double tie = 1e-12 * data.total_squares;
    double best = std::numeric_limits<double>::infinity();
    const Stretch* chosen = nullptr;
    for (const Stretch& s : stretches) {
        if (s.free()) continue;
        std::vector<double> candidates{s.from, s.to};
        if (s.left.slope != s.right.slope) {
            const double meet = s.from - s.gap(s.from) / (s.left.slope - s.right.slope);
            if (meet > s.from && meet < s.to) candidates.push_back(meet);
        }
        for (const double r : candidates) {
            const double sse = s.sse(r);
            if (sse < best - tie) {
                best = sse;
                chosen = &s;
                line.breakpoint = r;
            }
        }
    }
    for (const Stretch& s : stretches) {
        if (!s.free() || s.apart() > best + tie) continue;
        best = std::min(best, s.apart());
        chosen = &s;
    }
    if (chosen == nullptr || !(best > 1e-24 * data.total_squares)) {
        return {std::nullopt, {Lack::exact_fit}};
    }
    line.determined = !chosen->free();
    line.between_low = line.determined ? line.breakpoint : chosen->from;
    line.between_high = line.determined ? line.breakpoint : chosen->to;
    if (line.determined) {
        // Both sides moved so that they meet: each gives way in proportion to its own variance.
        const Stretch& s = *chosen;
        const double r = line.breakpoint;
        const double pull = s.gap(r) / s.gap_variance(r);
        line.value_at_breakpoint =
            s.left.at(r) -
            pull * (1 / s.left.n + (r - s.left.centre) * (r - s.left.centre) / s.left.spread);
        line.slope_before = s.left.slope - pull * (r - s.left.centre) / s.left.spread;
        line.slope_after = s.right.slope + pull * (r - s.right.centre) / s.right.spread;
    } else {
        // The steepest and the flattest line through the lone level fit alike; the shown one starts
        // at the neighbouring level.
        const bool lone_right = chosen->right.free;
        line.breakpoint = lone_right ? chosen->from : chosen->to;
        const Side& known = lone_right ? chosen->left : chosen->right;
        const Side& lone = lone_right ? chosen->right : chosen->left;
        line.value_at_breakpoint = known.at(line.breakpoint);
        const double slope =
            (lone.mean - line.value_at_breakpoint) / (lone.centre - line.breakpoint);
        line.slope_before = lone_right ? known.slope : slope;
        line.slope_after = lone_right ? slope : known.slope;
    }
    line.quality = quality_of(data, best, parameters, used_df);

    const double limit = best * (1 + f_quantile(confidence, 1, line.quality.df) / line.quality.df);
    double low = std::numeric_limits<double>::infinity();
    double high = -low;
    bool free_left = false;
    bool free_right = false;
    for (const Stretch& s : stretches) {
        double from = 0;
        double to = 0;
        if (!accepted(s, limit, from, to)) continue;
        low = std::min(low, from);
        high = std::max(high, to);
        free_left = free_left || s.left.free;
        free_right = free_right || s.right.free;
    }
    // A plateau that shrinks to nothing at the first level is a line from there on: no limit
    // either.
    const bool open_low = free_left || low <= groups.front().level;
    const bool open_high = free_right || high >= groups.back().level;
    if (!open_low) line.low = low;
    if (!open_high) line.high = high;
    line.flat_fits = data.total_squares <= limit;
    return answer(line);
}

double value_at(const BrokenLine& line, double level) {
    const double slope = level < line.breakpoint ? line.slope_before : line.slope_after;
    return line.value_at_breakpoint + slope * (level - line.breakpoint);
}

Answer<Quadratic> fit_quadratic(const std::vector<Point>& points, double confidence, int used_df) {
    const Levels data = levels_of(points);
    if (Reason reason = lacking(data, 4, 3, used_df)) return {std::nullopt, std::move(reason)};
    // Orthogonal polynomials in u = (level - centre) / scale over the tanks: p0 = 1, p1 = u,
    // p2 = u^2 - k u - m. Their coefficients are uncorrelated.
    double centre = 0;
    for (const LevelGroup& g : data.groups)
        centre += g.n * g.level / data.n;
    const double scale = data.groups.back().level - data.groups.front().level;
    std::array<double, 5> moment{};
    for (const LevelGroup& g : data.groups) {
        const double u = (g.level - centre) / scale;
        double power = g.n;
        for (double& sum : moment) {
            sum += power;
            power *= u;
        }
    }
    const double m = moment[2] / data.n;
    const double k = moment[3] / moment[2];
    double y0 = 0;
    double y1 = 0;
    double y2 = 0;
    double norm2 = 0;
    const double origin = data.groups.front().mean;
    const auto p2 = [&](double u) { return u * u - k * u - m; };
    for (const LevelGroup& g : data.groups) {
        const double u = (g.level - centre) / scale;
        const double y = g.mean - origin;
        y0 += g.n * y / data.n;
        y1 += g.n * u * y / moment[2];
        y2 += g.n * p2(u) * y;
        norm2 += g.n * p2(u) * p2(u);
    }
    y2 /= norm2;
    if (y2 == 0) return {std::nullopt, {Lack::no_bend}};
    double sse = data.within;
    for (const LevelGroup& g : data.groups) {
        const double u = (g.level - centre) / scale;
        const double d = g.mean - origin - (y0 + y1 * u + y2 * p2(u));
        sse += g.n * d * d;
    }
    if (!(sse > 1e-24 * data.total_squares)) {
        return {std::nullopt, {Lack::exact_fit}};
    }

    Quadratic q;
    q.quality = quality_of(data, sse, 3, used_df);
    const double s2 = sse / q.quality.df;
    const double b1 = y1 - k * y2;  // of u
    const double b0 = origin + y0 - m * y2;
    q.square = y2 / (scale * scale);
    q.linear = b1 / scale - 2 * q.square * centre;
    q.constant = b0 - b1 / scale * centre + q.square * centre * centre;
    q.square_p = t_two_sided(y2 / std::sqrt(s2 / norm2), q.quality.df);
    q.maximum = y2 < 0;
    const double u_best = -b1 / (2 * y2);
    q.optimum = centre + scale * u_best;
    q.value_at_optimum = b0 + b1 * u_best + y2 * u_best * u_best;
    q.inside = q.optimum >= data.groups.front().level && q.optimum <= data.groups.back().level;

    // Fieller: all u with slope(u)^2 <= t^2 var(slope(u)), slope(u) = y1 + (2u - k) y2.
    const double t2 = f_quantile(confidence, 1, q.quality.df) * s2;
    const double v1 = t2 / moment[2];
    const double v2 = t2 / norm2;
    // With w = 2u - k: (y2^2 - v2) w^2 + 2 y1 y2 w + y1^2 - v1 <= 0.
    const double a = y2 * y2 - v2;
    const double root = y1 * y1 * y2 * y2 - a * (y1 * y1 - v1);
    if (a > 0 && root >= 0) {
        const double low = (-y1 * y2 - std::sqrt(root)) / a;
        const double high = (-y1 * y2 + std::sqrt(root)) / a;
        q.low = centre + scale * (low + k) / 2;
        q.high = centre + scale * (high + k) / 2;
    }
    return answer(q);
}

double value_at(const Quadratic& curve, double level) {
    return curve.constant + level * (curve.linear + level * curve.square);
}

}  // namespace feedwright::trial
