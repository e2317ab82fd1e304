// SPDX-License-Identifier: GPL-3.0-or-later
#include "trial/analysis.hpp"

#include "base/diagnostics.hpp"
#include "base/text.hpp"
#include "trial/findings.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

namespace feedwright::trial {

namespace {

struct Group {
    std::string name;
    std::optional<double> level;
};

bool contains(const std::vector<std::string>& names, const std::string& name) {
    return std::find(names.begin(), names.end(), name) != names.end();
}

std::string find_control(const std::vector<Group>& groups, const std::string& file,
                         const std::string& asked) {
    std::vector<std::string> names;
    for (const Group& g : groups)
        names.push_back(g.name);
    if (!asked.empty()) {
        if (std::find(names.begin(), names.end(), asked) == names.end()) {
            throw base::DataError(base::Diagnostic{file, "--control", fmt::format("\"{}\"", asked),
                                                   "one of " + base::join_words(names, " or "),
                                                   base::did_you_mean(asked, names)});
        }
        return asked;
    }
    std::vector<std::string> at_zero;
    for (const Group& g : groups) {
        if (g.level == 0.0) at_zero.push_back(g.name);
    }
    if (at_zero.size() == 1) return at_zero.front();
    for (const std::string& name : names) {
        if (base::lower(name) == "control") return name;
    }
    return {};
}

// By level; the control leads its level and those without one; then by name.
void sort_groups(std::vector<Group>& groups, const std::string& control) {
    std::sort(groups.begin(), groups.end(), [&](const Group& a, const Group& b) {
        if (a.level.has_value() != b.level.has_value()) return a.level.has_value();
        if (a.level && *a.level != *b.level) return *a.level < *b.level;
        if ((a.name == control) != (b.name == control)) return a.name == control;
        return natural_less(a.name, b.name);
    });
}

// Values with the means of their blocks taken out; the mean of all stays.
std::vector<Observation> without_blocks(std::vector<Observation> values) {
    std::sort(values.begin(), values.end(), [](const Observation& a, const Observation& b) {
        return std::tie(a.group, a.block, a.value) < std::tie(b.group, b.block, b.value);
    });
    std::map<std::string, std::pair<double, int>> sums;
    double total = 0;
    for (const Observation& o : values) {
        sums[o.block].first += o.value;
        ++sums[o.block].second;
        total += o.value;
    }
    const double grand = total / static_cast<double>(values.size());
    for (Observation& o : values) {
        const auto& [sum, n] = sums[o.block];
        o.value += grand - sum / n;
    }
    return values;
}

void add_fits(ResponseResult& r, const std::vector<Observation>& values,
              const std::vector<Group>& groups, double confidence) {
    std::map<std::string, double> level;
    for (const Group& g : groups) {
        if (g.level) level[g.name] = *g.level;
    }
    const auto points_of = [&](const std::vector<Observation>& from) {
        std::vector<Point> points;
        for (const Observation& o : from) {
            if (const auto found = level.find(o.group); found != level.end()) {
                points.push_back({found->second, o.value});
            }
        }
        std::sort(points.begin(), points.end(), [](const Point& a, const Point& b) {
            return std::tie(a.level, a.value) < std::tie(b.level, b.value);
        });
        return points;
    };
    r.points = points_of(values);
    if (r.points.empty()) {
        r.curve.reason = {Lack::no_levels};
        return;
    }
    std::vector<Point> fitted = r.points;
    int used_df = 0;
    if (!r.layout && r.untested.size() + 1 >= r.groups.size()) {
        r.curve.reason = r.layout.reason;
        return;
    }
    if (r.layout && r.layout->blocked) {
        if (!r.layout->balanced_blocks) {
            r.curve.reason = {Lack::blocks_uneven};
            for (const LineShape shape :
                 {LineShape::plateau_then_line, LineShape::line_then_plateau}) {
                r.lines.push_back({shape, {std::nullopt, r.curve.reason}});
            }
            return;
        }
        fitted = points_of(without_blocks(values));
        std::set<std::string> blocks;
        for (const Observation& o : values)
            blocks.insert(o.block);
        used_df = static_cast<int>(blocks.size()) - 1;
    }
    std::set<double> levels;
    for (const Point& p : fitted)
        levels.insert(p.level);
    std::vector<LineShape> shapes{LineShape::plateau_then_line, LineShape::line_then_plateau};
    if (levels.size() >= 5) shapes.push_back(LineShape::two_lines);
    for (const LineShape shape : shapes) {
        r.lines.push_back({shape, fit_broken_line(fitted, shape, confidence, used_df)});
    }
    r.curve = fit_quadratic(fitted, confidence, used_df);
}

void add_groups(ResponseResult& r, const std::vector<Sample>& samples,
                const std::vector<Group>& groups) {
    for (const Sample& s : samples) {
        GroupResult g;
        g.group = s.group;
        for (const Group& known : groups) {
            if (known.name == s.group) g.level = known.level;
        }
        g.summary = summarise(s.values);
        r.groups.push_back(std::move(g));
    }
}

// The means alone, while a number may be a typing error.
void withhold(ResponseResult& r) {
    r.layout.reason = {Lack::outlying};
    r.equal_variances.reason = r.layout.reason;
    r.normal_residuals.reason = r.layout.reason;
    r.welch.reason = r.layout.reason;
    r.games_howell.reason = r.layout.reason;
    r.curve.reason = r.layout.reason;
}

void compare_groups(ResponseResult& r, const std::vector<Observation>& values,
                    const std::vector<Group>& groups, const std::string& control, double confidence,
                    bool withheld) {
    std::vector<std::string> order;
    for (const Group& g : groups)
        order.push_back(g.name);
    const std::vector<Sample> samples = samples_of(values, order);
    add_groups(r, samples, groups);
    if (withheld) {
        withhold(r);
        return;
    }
    std::vector<Sample> tested;
    for (const Sample& s : samples) {
        if (s.values.size() > 1) {
            tested.push_back(s);
        } else {
            r.untested.push_back(s.group);
        }
    }
    std::vector<Observation> in_tests = values;
    std::erase_if(in_tests, [&](const Observation& o) { return contains(r.untested, o.group); });
    const bool has_blocks = !values.empty() && !values.front().block.empty();
    if (tested.size() < 2 && !tested.empty() && samples.size() > 1) {
        r.layout.reason = {Lack::lone_groups, r.untested};
    } else if (tested.size() < 2) {
        r.layout = one_way(samples);
    } else if (has_blocks) {
        r.layout = randomised_blocks(in_tests, order);
        if (!r.layout) {
            r.blocks_note = r.layout.reason;
            r.layout = one_way(tested);
        }
    } else {
        r.layout = one_way(tested);
    }
    r.equal_variances = brown_forsythe(samples);
    r.variances_differ = r.equal_variances && r.equal_variances->p < 1 - confidence;
    r.welch = welch(tested.size() < 2 ? samples : tested);
    if (r.variances_differ) {
        r.games_howell = games_howell(tested, confidence);
    } else {
        r.games_howell.reason = {Lack::variances_alike};
    }
    add_fits(r, values, groups, confidence);
    if (!r.layout) {
        r.normal_residuals.reason = r.layout.reason;
        return;
    }
    const Layout& layout = *r.layout;
    r.normal_residuals = shapiro_wilk(layout.residuals);
    r.tukey = tukey(layout, confidence);
    std::vector<std::pair<int, int>> separate;
    std::size_t at = 0;
    for (int a = 0; a < static_cast<int>(layout.groups.size()); ++a) {
        for (int b = a + 1; b < static_cast<int>(layout.groups.size()); ++b, ++at) {
            if (r.tukey[at].p < 1 - confidence) separate.emplace_back(a, b);
        }
    }
    const std::vector<std::string> letters = compact_letters(layout.means, separate);
    for (GroupResult& g : r.groups) {
        const auto here = std::find(layout.groups.begin(), layout.groups.end(), g.group);
        if (here == layout.groups.end()) continue;
        const auto i = static_cast<std::size_t>(here - layout.groups.begin());
        g.letters = letters[i];
        if (!layout.balanced_blocks) g.adjusted_mean = layout.means[i];
    }
    const bool has_control =
        std::find(layout.groups.begin(), layout.groups.end(), control) != layout.groups.end();
    if (!control.empty() && has_control) {
        r.dunnett = dunnett(layout, control, confidence);
        r.dunnett_exact = layout.balanced_blocks;
    }
}

void judge_outlying(AnalysisResult& result, std::vector<Outlying> found, const Options& options) {
    result.outlying = std::move(found);
    result.withheld = !result.outlying.empty() && !options.keep_outlying;
}

}  // namespace

const ResponseResult* AnalysisResult::response(std::string_view id) const {
    for (const ResponseResult& r : responses) {
        if (r.id == id) return &r;
    }
    return nullptr;
}

AnalysisResult analyse(const TrialData& data, const Options& options) {
    std::vector<Group> groups;
    for (const Tank& t : data.tanks) {
        const bool known = std::any_of(groups.begin(), groups.end(),
                                       [&](const Group& g) { return g.name == t.diet; });
        if (!known) groups.push_back({t.diet, t.level});
    }
    sort_groups(groups, options.control);
    AnalysisResult result;
    result.file = data.file;
    result.confidence = options.confidence;
    result.control = find_control(groups, data.file, options.control);
    sort_groups(groups, result.control);
    result.reading = data.reading;
    result.notes = check(data);
    judge_outlying(result, outlying(data), options);

    std::vector<Tank> tanks = data.tanks;
    const auto place = [&](const std::string& diet) {
        return std::find_if(groups.begin(), groups.end(),
                            [&](const Group& g) { return g.name == diet; });
    };
    std::sort(tanks.begin(), tanks.end(), [&](const Tank& a, const Tank& b) {
        if (a.diet != b.diet) return place(a.diet) < place(b.diet);
        return natural_less(a.name, b.name);
    });
    for (const Tank& t : tanks) {
        TankResult row{t, {}};
        for (const Index& index : indices())
            row.values.push_back(value_of(index, t));
        result.tanks.push_back(std::move(row));
    }
    for (std::size_t i = 0; i < indices().size(); ++i) {
        std::vector<Observation> values;
        for (const TankResult& row : result.tanks) {
            if (row.values[i]) values.push_back({row.tank.diet, *row.values[i], row.tank.block});
        }
        if (values.empty()) continue;
        const Index& index = indices()[i];
        ResponseResult r;
        r.id = index.id;
        r.name = index.name;
        r.unit = index.unit;
        r.better = index.better;
        r.decimals = index.decimals;
        compare_groups(r, values, groups, result.control, options.confidence, result.withheld);
        result.responses.push_back(std::move(r));
    }
    result.findings = findings_of(result);
    return result;
}

AnalysisResult analyse(const OneWayData& data, const Options& options) {
    std::vector<Group> groups;
    for (const Observation& o : data.values) {
        const bool known = std::any_of(groups.begin(), groups.end(),
                                       [&](const Group& g) { return g.name == o.group; });
        if (!known) groups.push_back({o.group, std::nullopt});
    }
    sort_groups(groups, options.control);
    AnalysisResult result;
    result.file = data.file;
    result.confidence = options.confidence;
    result.control = find_control(groups, data.file, options.control);
    result.feeding_trial = false;
    result.reading = data.reading;
    result.notes = data.notes;
    judge_outlying(result, outlying(data), options);
    sort_groups(groups, result.control);
    ResponseResult r;
    r.id = data.response;
    r.name = data.response;
    compare_groups(r, data.values, groups, result.control, options.confidence, result.withheld);
    result.responses.push_back(std::move(r));
    result.findings = findings_of(result);
    return result;
}

}  // namespace feedwright::trial
