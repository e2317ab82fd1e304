// SPDX-License-Identifier: GPL-3.0-or-later
#include "trial/data.hpp"

#include "base/csv.hpp"
#include "base/diagnostics.hpp"
#include "base/named_table.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "economics/growth.hpp"
#include "trial/indices.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <set>

namespace feedwright::trial {

namespace {

using base::Diagnostic;
using base::Diagnostics;

const std::vector<std::string>& known_columns() {
    static const std::vector<std::string> list{"tank",
                                               "diet",
                                               "block",
                                               "level",
                                               "count_in",
                                               "count_out",
                                               "weight_in_g",
                                               "weight_out_g",
                                               "days",
                                               "feed_kg",
                                               "feed_g",
                                               "temperature_c",
                                               "length_out_cm",
                                               "protein_percent",
                                               "carcass_protein_in_percent",
                                               "carcass_protein_out_percent",
                                               "dead_weight_g",
                                               "feed_price",
                                               "note"};
    return list;
}

// Quotients of sizes below or above would end in infinities.
constexpr double smallest = 1e-9;
constexpr double smallest_response = 1 / base::largest_number;

std::string hint_for(const std::string& cell, const std::optional<double>& value, double least) {
    if (cell.find(',') != std::string::npos) return "Write a decimal point, not a comma";
    if (!value || *value == 0) return "";
    const double size = std::abs(*value);
    if (size >= least && size <= base::largest_number) return "";
    return fmt::format("Sizes from {} to {} can be worked with", base::shortest(least),
                       base::shortest(base::largest_number));
}

// One row and the way to its cells by name; problems are gathered.
class Row {
  public:
    Row(const base::CsvTable& table, const base::CsvRow& row, Diagnostics& problems)
        : table_(table), row_(row), problems_(problems) {}

    std::string text(const std::string& column) const {
        const auto found = std::find(table_.header.begin(), table_.header.end(), column);
        if (found == table_.header.end()) return {};
        return row_.cells[static_cast<std::size_t>(found - table_.header.begin())];
    }

    // A number for which `valid` holds, zero or at least of the size `least`; empty for an empty
    // cell.
    std::optional<double> number(const std::string& column, const char* expected,
                                 const std::function<bool(double)>& valid,
                                 double least = smallest) const {
        const std::string cell = text(column);
        if (cell.empty()) return std::nullopt;
        const std::optional<double> value = base::parse_finite(cell);
        const std::string hint = hint_for(cell, value, least);
        if (value && hint.empty() && valid(*value)) return value;
        problem(column, cell, expected, hint);
        return std::nullopt;
    }

    std::optional<double> positive(const std::string& column) const {
        return number(column, "a number above 0", [](double v) { return v > 0; });
    }
    std::optional<double> percent(const std::string& column) const {
        return number(column, "a percentage above 0, at most 100",
                      [](double v) { return v > 0 && v <= 100; });
    }
    std::optional<int> count(const std::string& column, double least) const {
        const auto value = number(
            column, least > 0 ? "a whole number of fish, 1 or more" : "a whole number of fish",
            [least](double v) { return v >= least && v <= 1e9 && v == std::floor(v); });
        if (!value) return std::nullopt;
        return static_cast<int>(*value);
    }

    void problem(const std::string& column, std::string found, std::string expected,
                 std::string hint = {}) const {
        problems_.add({table_.file, fmt::format("line {}, column {}", row_.line, column),
                       std::move(found), std::move(expected), std::move(hint)});
    }

  private:
    const base::CsvTable& table_;
    const base::CsvRow& row_;
    Diagnostics& problems_;
};

bool has(const base::CsvTable& table, const std::string& column) {
    return std::find(table.header.begin(), table.header.end(), column) != table.header.end();
}

// Other words for columns. They are told and not taken: a "start weight" may be that of one fish or
// of all.
std::string hint_for_column(const std::string& column) {
    static const std::vector<std::pair<const char*, const char*>> meanings{
        {"start_weight", "weight_in_g"},
        {"initial_weight", "weight_in_g"},
        {"stocking_weight", "weight_in_g"},
        {"end_weight", "weight_out_g"},
        {"final_weight", "weight_out_g"},
        {"harvest_weight", "weight_out_g"},
        {"fish_start", "count_in"},
        {"fish_in", "count_in"},
        {"number_in", "count_in"},
        {"fish_end", "count_out"},
        {"fish_out", "count_out"},
        {"number_out", "count_out"},
        {"feed", "feed_kg"},
        {"feed_given", "feed_kg"},
        {"feed_eaten", "feed_kg"},
        {"treatment", "diet"},
        {"pond", "tank"},
        {"replicate", "tank"}};
    const std::string plain = base::plain_words(column);
    for (const auto& [words, meant] : meanings) {
        if (plain != base::plain_words(words)) continue;
        const std::string what = std::string_view(meant).starts_with("weight")
                                     ? ", the mean weight of one animal in g: the weight of all of "
                                       "them over their number"
                                 : std::string_view(meant).starts_with("feed")
                                     ? " or \"feed_g\", the feed given to the tank"
                                     : "";
        return fmt::format("Did you mean \"{}\"{}?", meant, what);
    }
    return base::did_you_mean(column, known_columns());
}

void check_columns(const base::CsvTable& table, Diagnostics& problems) {
    for (const std::string& column : table.header) {
        const auto& known = known_columns();
        if (std::find(known.begin(), known.end(), column) == known.end()) {
            problems.add({table.file, "header", fmt::format("column \"{}\"", column),
                          "a column of trial data", hint_for_column(column)});
        }
    }
    for (const char* column : {"tank", "diet", "weight_in_g", "weight_out_g", "days"}) {
        if (!has(table, column)) {
            problems.add(
                {table.file, "header", fmt::format("no column \"{}\"", column), "this column",
                 "For a table of another kind name its columns: --group COLUMN --response COLUMN"});
        }
    }
    if (has(table, "feed_kg") && has(table, "feed_g")) {
        problems.add({table.file, "header", "both feed_kg and feed_g", "one of the two", {}});
    }
}

Tank read_tank(const Row& row) {
    Tank t;
    t.name = row.text("tank");
    t.diet = row.text("diet");
    t.block = row.text("block");
    for (const char* column : {"tank", "diet"}) {
        if (row.text(column).empty())
            row.problem(column, "nothing", fmt::format("the {}'s name", column));
    }
    t.level = row.number("level", "a number", [](double) { return true; });
    t.count_in = row.count("count_in", 1);
    t.count_out = row.count("count_out", 0);
    if (t.count_in && t.count_out && *t.count_out > *t.count_in) {
        row.problem("count_out", std::to_string(*t.count_out),
                    fmt::format("at most the {} fish that went in", *t.count_in));
    }
    t.weight_in_g = row.positive("weight_in_g").value_or(1);
    if (row.text("weight_in_g").empty()) row.problem("weight_in_g", "nothing", "a weight");
    t.weight_out_g = row.positive("weight_out_g");
    if (t.count_out == 0 && t.weight_out_g) {
        row.problem("weight_out_g", row.text("weight_out_g"), "nothing, as no fish came out");
    }
    t.days = row.positive("days").value_or(1);
    if (row.text("days").empty()) row.problem("days", "nothing", "a number of days");
    t.feed_kg = row.positive("feed_kg");
    if (const auto grams = row.positive("feed_g")) t.feed_kg = *grams / 1000;
    t.temperature_c = row.number("temperature_c", "a water temperature from -2 to 45 deg C",
                                 [](double v) { return v >= -2 && v <= 45; });
    t.length_out_cm = row.positive("length_out_cm");
    t.protein_percent = row.percent("protein_percent");
    t.carcass_protein_in_percent = row.percent("carcass_protein_in_percent");
    t.carcass_protein_out_percent = row.percent("carcass_protein_out_percent");
    t.dead_weight_g =
        row.number("dead_weight_g", "a weight of 0 or more", [](double v) { return v >= 0; });
    if (t.dead_weight_g && *t.dead_weight_g > 0 && t.count_in && t.count_in == t.count_out) {
        row.problem("dead_weight_g", row.text("dead_weight_g"), "0 or nothing, as no fish died");
    }
    t.feed_price =
        row.number("feed_price", "a price of 0 or more", [](double v) { return v >= 0; });
    return t;
}

// A head such as "Weight in (g)" is the column weight_in_g.
std::string column_meant(const std::string& head) {
    const std::string plain = base::plain_words(head);
    for (const std::string& column : known_columns()) {
        if (base::plain_words(column) == plain) return column;
    }
    return head;
}

int known_in(const std::vector<std::string>& cells) {
    std::set<std::string> seen;
    for (const std::string& cell : cells) {
        const std::string column = column_meant(cell);
        const auto& known = known_columns();
        if (std::find(known.begin(), known.end(), column) != known.end()) seen.insert(column);
    }
    return static_cast<int>(seen.size());
}

// What to do with a table that has a row a fish.
constexpr const char* how_to_average =
    "If the rows are fish and not tanks, average them first: the tank is the unit, because the "
    "fish "
    "in it share its water and its feed. Give one row a tank, with the mean weight of its fish";

// Rows whose tank stood before, told once.
class Repeats {
  public:
    void note(const std::string& group, const std::string& tank, std::size_t line) {
        const auto [seen, fresh] = line_of_.emplace(std::pair(group, tank), line);
        if (fresh || rows_++ > 0) return;
        tank_ = tank;
        first_ = seen->second;
        line_ = line;
    }

    void tell(const std::string& file, const std::string& column, const std::string& hint,
              Diagnostics& problems) const {
        if (rows_ == 0) return;
        problems.add({file, fmt::format("line {}, column {}", line_, column),
                      fmt::format("tank {} again", tank_),
                      fmt::format("each tank once (it stands on line {})", first_),
                      rows_ > 1
                          ? fmt::format("{} rows name a tank that stood before. {}", rows_, hint)
                          : hint});
    }

  private:
    std::map<std::pair<std::string, std::string>, std::size_t> line_of_;
    std::string tank_;
    std::size_t first_ = 0;
    std::size_t line_ = 0;
    std::size_t rows_ = 0;
};

void find_odd_values(const std::vector<Tank>& tanks, std::vector<Note>& notes) {
    std::vector<double> ratios;
    const Index& fcr_index = index_of("fcr");
    for (const Tank& t : tanks) {
        if (const auto v = value_of(fcr_index, t)) ratios.push_back(*v);
    }
    const double middle = ratios.empty() ? 1 : base::median(ratios);
    if (middle > 50 || middle < 0.1) {
        notes.push_back({.kind = Note::Kind::feed_unit, .value = middle});
    }
    for (const Tank& t : tanks) {
        const auto add = [&](Note::Kind kind, double value = 0, double number = 0) {
            notes.push_back({kind, t.name, t.diet, value, number});
        };
        if (!t.weight_out_g) {
            add(Note::Kind::lost);
            continue;
        }
        const double growth = economics::sgr_of(t.weight_in_g, *t.weight_out_g, t.days);
        if (*t.weight_out_g <= t.weight_in_g) {
            add(Note::Kind::no_growth, *t.weight_out_g, t.weight_in_g);
        } else if (growth > 30) {
            add(Note::Kind::fast_growth, growth);
        }
        if (const auto v = value_of(fcr_index, t); v && (*v < 0.4 || *v > 10)) {
            add(Note::Kind::odd_conversion, *v);
        }
        if (t.length_out_cm) {
            const double k = condition_factor(*t.weight_out_g, *t.length_out_cm);
            if (k < 0.1 || k > 10) add(Note::Kind::odd_condition, k);
        }
        if (t.count_in && t.count_out && *t.count_out < *t.count_in && t.feed_kg &&
            !t.dead_weight_g) {
            add(Note::Kind::dead_not_weighed, *t.count_in - *t.count_out, *t.count_in);
        }
    }
}

// Numbers that are missing where tanks are numbered 1, 2, 3 …
void find_gaps(const std::vector<Tank>& tanks, std::vector<Note>& notes) {
    std::set<int> seen;
    for (const Tank& t : tanks) {
        const auto v = base::parse_finite(t.name);
        if (!v || *v < 1 || *v > 10000 || *v != std::floor(*v)) return;
        seen.insert(static_cast<int>(*v));
    }
    std::vector<std::string> missing;
    for (int i = *seen.begin(); i < *seen.rbegin(); ++i) {
        if (!seen.contains(i)) missing.push_back(std::to_string(i));
    }
    if (!missing.empty() && missing.size() <= 10) {
        notes.push_back({.kind = Note::Kind::gaps, .names = std::move(missing)});
    }
}

void find_uneven_groups(const std::vector<Tank>& tanks, std::vector<Note>& notes) {
    std::map<std::string, int> count;
    std::set<double> days;
    std::vector<Observation> start;
    std::vector<std::string> diets;
    for (const Tank& t : tanks) {
        ++count[t.diet];
        days.insert(t.days);
        start.push_back({t.diet, t.weight_in_g});
    }
    int most = 0;
    for (const auto& [diet, n] : count) {
        diets.push_back(diet);
        most = std::max(most, n);
    }
    for (const auto& [diet, n] : count) {
        if (n < most) {
            notes.push_back({.kind = Note::Kind::fewer_tanks,
                             .diet = diet,
                             .value = static_cast<double>(n),
                             .number = static_cast<double>(most)});
        }
    }
    if (days.size() > 1) notes.push_back({.kind = Note::Kind::days_differ});
    const Answer<Layout> layout = one_way(samples_of(start, diets));
    if (layout && layout->anova.p < 0.05) {
        notes.push_back({.kind = Note::Kind::start_differs, .value = layout->anova.p});
    }
}

// The column that names what animals share, beside the two that are compared; "" when there is
// none.
std::string tank_column(const base::CsvTable& table, const std::string& group,
                        const std::string& response) {
    static const std::set<std::string> units{"tank", "pond", "cage", "hapa", "pen", "aquarium"};
    for (const std::string& column : table.header) {
        if (column != group && column != response && units.contains(base::lower(column))) {
            return column;
        }
    }
    return {};
}

}  // namespace

bool natural_less(std::string_view a, std::string_view b) {
    const auto digit = [](char c) { return c >= '0' && c <= '9'; };
    std::size_t i = 0;
    std::size_t j = 0;
    while (i < a.size() && j < b.size()) {
        if (digit(a[i]) && digit(b[j])) {
            const auto run = [&](std::string_view text, std::size_t& at) {
                while (at + 1 < text.size() && text[at] == '0' && digit(text[at + 1]))
                    ++at;
                const std::size_t from = at;
                while (at < text.size() && digit(text[at]))
                    ++at;
                return text.substr(from, at - from);
            };
            const std::string_view x = run(a, i);
            const std::string_view y = run(b, j);
            if (x.size() != y.size()) return x.size() < y.size();
            if (x != y) return x < y;
        } else {
            if (a[i] != b[j]) return a[i] < b[j];
            ++i;
            ++j;
        }
    }
    if (a.size() - i != b.size() - j) return a.size() - i < b.size() - j;
    return a < b;
}

TrialData read_trial(std::string_view text, const std::string& file) {
    Diagnostics problems;
    auto [table, reading] = base::read_named_table(text, file, known_in, problems);
    for (std::string& head : table.header)
        head = column_meant(head);
    check_columns(table, problems);
    problems.throw_if_any();
    TrialData data;
    data.file = file;
    data.reading = std::move(reading);
    data.feed_in_grams = has(table, "feed_g");
    if (table.rows.empty()) {
        problems.add({file, "line 2", "no rows", "one row a tank", {}});
    }
    Repeats repeats;
    std::map<std::string, std::optional<double>> level_of_diet;
    for (const base::CsvRow& cells : table.rows) {
        const Row row(table, cells, problems);
        Tank tank = read_tank(row);
        tank.line = cells.line;
        if (!tank.name.empty()) repeats.note("", tank.name, cells.line);
        const auto [level_seen, first] = level_of_diet.emplace(tank.diet, tank.level);
        if (!first && level_seen->second != tank.level) {
            row.problem("level", row.text("level").empty() ? "nothing" : row.text("level"),
                        fmt::format("the same level in every row of diet {}", tank.diet));
        }
        if (!data.tanks.empty() && tank.block.empty() != data.tanks.front().block.empty()) {
            row.problem("block", tank.block.empty() ? "nothing" : tank.block,
                        "a block for every tank or for none");
        }
        data.tanks.push_back(std::move(tank));
    }
    repeats.tell(file, "tank", how_to_average, problems);
    problems.throw_if_any();
    return data;
}

std::vector<Note> check(const TrialData& data) {
    std::vector<Tank> tanks = data.tanks;
    std::sort(tanks.begin(), tanks.end(),
              [](const Tank& a, const Tank& b) { return natural_less(a.name, b.name); });
    std::vector<Note> notes;
    find_odd_values(tanks, notes);
    find_gaps(tanks, notes);
    find_uneven_groups(tanks, notes);
    return notes;
}

OneWayData read_one_way(std::string_view text, const std::string& file, const std::string& group,
                        const std::string& response) {
    Diagnostics problems;
    const auto named = [&](const std::vector<std::string>& cells) {
        return static_cast<int>(std::count(cells.begin(), cells.end(), group) +
                                std::count(cells.begin(), cells.end(), response));
    };
    const auto [table, reading] = base::read_named_table(text, file, named, problems);
    for (const std::string& column : {group, response}) {
        if (!has(table, column)) {
            problems.add({file, "header", "no such column", fmt::format("a column \"{}\"", column),
                          base::did_you_mean(column, table.header)});
        }
    }
    if (group == response) {
        problems.add({file, "header", "one column for group and response", "two columns", {}});
    }
    problems.throw_if_any();
    OneWayData data;
    data.file = file;
    data.response = response;
    data.group = group;
    data.reading = reading;
    int empty = 0;
    // Where a table names its tanks, rows of one tank are fish, or one tank measured again.
    const std::string unit = tank_column(table, group, response);
    Repeats repeats;
    for (const base::CsvRow& cells : table.rows) {
        const Row row(table, cells, problems);
        const std::string name = row.text(group);
        // Tanks may be counted anew in every group.
        if (const std::string tank = row.text(unit); !tank.empty() && !row.text(response).empty()) {
            repeats.note(name, tank, cells.line);
        }
        if (name.empty()) row.problem(group, "nothing", "the group's name");
        if (row.text(response).empty()) {
            ++empty;
            continue;
        }
        const auto value = row.number(
            response, "a number", [](double) { return true; }, smallest_response);
        if (!value) continue;
        data.values.push_back({name, *value});
        data.lines.push_back(cells.line);
    }
    repeats.tell(file, unit, how_to_average, problems);
    problems.throw_if_any();
    if (data.values.empty()) {
        problems.add({file, "line 2", "no values", "numbers in column " + response, {}});
        problems.throw_if_any();
    }
    if (empty > 0) {
        data.notes.push_back({.kind = Note::Kind::empty_rows,
                              .value = static_cast<double>(empty),
                              .names = {response}});
    }
    return data;
}

}  // namespace feedwright::trial
