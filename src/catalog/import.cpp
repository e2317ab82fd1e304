// SPDX-License-Identifier: GPL-3.0-or-later
#include "feedwright/catalog/import.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <utility>

#include <fmt/format.h>

#include "base/json.hpp"
#include "catalog/loading.hpp"
#include "feedwright/base/json_writer.hpp"
#include "feedwright/base/number.hpp"
#include "feedwright/base/text.hpp"
#include "feedwright/base/units.hpp"

namespace feedwright::catalog {

namespace {

using base::CsvRow;
using base::CsvTable;

constexpr double usual_nitrogen_factor = 6.25;

// Names compare without case, and with spaces for the joints of ids and compounds.
std::string plain(std::string_view text) {
    std::string result;
    for (const char c : base::lower(base::trim(text))) {
        const char d = c == '_' || c == '-' || c == '\t' ? ' ' : c;
        if (d == ' ' && (result.empty() || result.back() == ' ')) continue;
        result += d;
    }
    while (!result.empty() && result.back() == ' ') result.pop_back();
    return result;
}

bool is_plain(std::string_view text, std::initializer_list<std::string_view> words) {
    return std::find(words.begin(), words.end(), plain(text)) != words.end();
}

// An id made of a name: "Fish meal (local)" gives fish-meal-local.
std::string id_from(std::string_view name) {
    std::string id;
    for (const char c : base::lower(name)) {
        const bool keep = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
        if (keep) {
            id += c;
        } else if (!id.empty() && id.back() != '-') {
            id += '-';
        }
    }
    while (!id.empty() && id.back() == '-') id.pop_back();
    return id;
}

struct Known {
    const Nutrient* nutrient = nullptr;
    bool by_tag = false;       // a tagname, whose unit the standard leaves to the table
    double times = 1;          // 6.25 for nitrogen
};

// A heading taken apart.
struct Heading {
    Known known;
    Measure measure;
    std::string unknown_measure;  // what stands where a unit should and is none
};

class Names {
  public:
    explicit Names(const NutrientDictionary& dictionary) {
        for (const Nutrient& nutrient : dictionary.all()) {
            for (const std::string& tag : nutrient.infoods) known_[plain(tag)] = {&nutrient, true};
        }
        for (const Nutrient& nutrient : dictionary.all()) {
            // An abbreviation such as Lys is a tagname in small letters, and needs a unit as that does.
            for (const std::string& other : nutrient.also_called) known_.try_emplace(plain(other), Known{&nutrient});
            known_[plain(nutrient.name)] = {&nutrient};
            known_[plain(nutrient.id)] = {&nutrient};
            words_.push_back(nutrient.id);
            words_.push_back(nutrient.name);
            for (const std::string& other : nutrient.also_called) {
                if (other.size() > 3) words_.push_back(other);
            }
        }
        if (const Nutrient* protein = dictionary.find("crude_protein")) {
            for (const char* word : {"nitrogen", "total nitrogen", "n", "nt"}) {
                known_.try_emplace(word, Known{protein, false, usual_nitrogen_factor});
            }
        }
    }

    std::optional<Heading> take_apart(const std::string& heading) const {
        constexpr std::size_t longest = 200;  // no heading is; a file that is no table may have any
        if (heading.size() > longest) return std::nullopt;
        if (const Known* known = find(heading)) return Heading{*known, {}, {}};
        // "lysine (g/kg DM)" and "lysine [g/kg] DM"
        const std::size_t open = heading.find_last_of("([");
        if (open != std::string::npos && open > 0) {
            const std::size_t close = heading.find_first_of(")]", open);
            const std::string inside = heading.substr(open + 1, close == std::string::npos
                                                                    ? std::string::npos
                                                                    : close - open - 1);
            const std::string after = close == std::string::npos ? "" : heading.substr(close + 1);
            if (const Known* known = find(heading.substr(0, open))) {
                return with_measure(*known, inside + ' ' + after);
            }
        }
        // "lysine, g/kg DM"
        const std::size_t comma = heading.find_first_of(",;:");
        if (comma != std::string::npos) {
            if (const Known* known = find(heading.substr(0, comma))) {
                return with_measure(*known, heading.substr(comma + 1));
            }
        }
        // "crude protein % DM" and "ash%"
        if (heading.size() > 1 && heading.ends_with('%') && heading[heading.size() - 2] != ' ') {
            return take_apart(heading.substr(0, heading.size() - 1) + " %");
        }
        for (std::size_t space = heading.rfind(' '); space != std::string::npos && space > 0;
             space = heading.rfind(' ', space - 1)) {
            const Known* known = find(heading.substr(0, space));
            if (known == nullptr) continue;
            Heading result = with_measure(*known, heading.substr(space + 1));
            if (result.unknown_measure.empty()) return result;
        }
        return std::nullopt;
    }

    std::string hint(const std::string& heading) const {
        const std::string name = heading.substr(0, std::min<std::size_t>(heading.find_first_of("([,"), 60));
        return base::did_you_mean(plain(name), words_);
    }

  private:
    const Known* find(std::string_view name) const {
        const auto at = known_.find(plain(name));
        return at == known_.end() ? nullptr : &at->second;
    }

    static Heading with_measure(Known known, const std::string& text) {
        Heading heading{known, {}, {}};
        std::string rest(base::trim(text));
        if (known.nutrient->id == "crude_protein") {
            if (const auto factor = take_nitrogen_factor(rest)) {
                heading.known.times = usual_nitrogen_factor / *factor;
            }
        }
        if (rest.empty()) return heading;
        if (const auto measure = parse_measure(rest)) {
            heading.measure = *measure;
        } else {
            heading.unknown_measure = rest;
        }
        return heading;
    }

    // Takes "N x 5.7" off the front: protein is restated with the factor used here.
    static std::optional<double> take_nitrogen_factor(std::string& text) {
        std::string_view rest = text;
        if (rest.empty() || (rest.front() != 'N' && rest.front() != 'n')) return std::nullopt;
        rest = base::trim(rest.substr(1));
        bool times = false;
        for (const std::string_view sign : {"x", "X", "*", "\xC3\x97"}) {
            if (times || !rest.starts_with(sign)) continue;
            rest = base::trim(rest.substr(sign.size()));
            times = true;
        }
        if (!times) return std::nullopt;
        const std::size_t length = std::min(rest.find_first_not_of("0123456789."), rest.size());
        const auto factor = base::parse_finite(rest.substr(0, length));
        if (!factor || !(*factor > 0)) return std::nullopt;
        rest = rest.substr(length);
        const std::size_t next = std::min(rest.find_first_not_of(" \t,;"), rest.size());
        text = std::string(rest.substr(next));
        return factor;
    }

    std::map<std::string, Known> known_;
    std::vector<std::string> words_;
};

class Importer {
  public:
    Importer(const CsvTable& table, const NutrientDictionary& dictionary, const ImportOptions& options)
        : table_(table), dictionary_(dictionary), options_(options), names_(dictionary) {
        result_.file = table.file;
    }

    Import read() {
        const auto nutrient = column({"nutrient", "parameter", "analyte", "component", "analysis", "test",
                                      "determination", "constituent"});
        const auto value = column({"value", "result", "amount", "content"});
        if (nutrient && value) {
            read_report(*nutrient, *value);
        } else {
            read_table();
        }
        diagnostics_.throw_if_any();
        for (const ImportedIngredient& ingredient : result_.ingredients) check(ingredient);
        diagnostics_.throw_if_any();
        return std::move(result_);
    }

  private:
    using Words = std::initializer_list<std::string_view>;

    std::optional<std::size_t> column(Words words) const {
        for (std::size_t i = 0; i < table_.header.size(); ++i) {
            if (is_plain(table_.header[i], words)) return i;
        }
        return std::nullopt;
    }

    void problem(std::size_t line, const std::string& where, std::string found, std::string expected,
                 std::string hint = {}) {
        std::string place = fmt::format("line {}", line);
        if (!where.empty()) place += ", column " + where;
        diagnostics_.add({table_.file, std::move(place), std::move(found), std::move(expected),
                          std::move(hint)});
    }

    // ---- one row a nutrient

    void read_report(std::size_t nutrient, std::size_t value) {
        const auto unit = column({"unit", "units"});
        const auto basis = column({"basis"});
        const auto sd = column({"sd", "standard deviation", "std dev"});
        const auto n = column({"n", "samples"});
        const auto note = column({"note", "notes", "method", "remark", "remarks"});
        std::set<std::size_t> used{nutrient, value};
        for (const auto& c : {unit, basis, sd, n, note}) {
            if (c) used.insert(*c);
        }
        for (std::size_t i = 0; i < table_.header.size(); ++i) {
            if (used.contains(i)) continue;
            unknown(1, table_.header[i], "nutrient, value, unit, basis, sd, n or note", "");
        }
        ImportedIngredient sample = blank();
        sample.id = options_.id;
        sample.name = options_.name.empty() ? options_.id : options_.name;
        if (sample.id.empty()) {
            problem(1, "", "a report of one sample without an id", "--id ID",
                    "For example --id my-fish-meal");
        } else {
            require_id(1, "--id", sample.id);
        }
        for (const CsvRow& row : table_.rows) {
            const std::string& heading = row.cells[nutrient];
            const auto cell = [&](const std::optional<std::size_t>& c) {
                return c ? row.cells[*c] : std::string{};
            };
            auto parsed = names_.take_apart(heading);
            if (!parsed) {
                unknown(row.line, heading, "a nutrient", names_.hint(heading));
                continue;
            }
            merge_measure(*parsed, cell(unit), row.line, "unit");
            merge_measure(*parsed, cell(basis), row.line, "basis");
            ReadAs as;
            if (!understand(*parsed, heading, row.line, as)) continue;
            StatedValue stated;
            stated.note = cell(note);
            if (!read_value(*parsed, as, row, value, stated)) continue;
            if (sd && !row.cells[*sd].empty()) {
                stated.sd = number(*parsed, as, row, *sd);
            }
            if (n && !row.cells[*n].empty()) {
                stated.n = base::parse_finite(row.cells[*n]);
                if (!stated.n || *stated.n < 1) {
                    problem(row.line, table_.header[*n], '"' + row.cells[*n] + '"', "a number of samples");
                }
            }
            add(sample, std::move(stated), row.line, heading);
            as.values = 1;
            result_.read_as.push_back(std::move(as));
        }
        result_.ingredients.push_back(std::move(sample));
    }

    // ---- one row an ingredient

    struct Column {
        std::size_t index = 0;
        Heading heading;
        ReadAs as;
    };

    void read_table() {
        const auto id = column({"id", "ingredient"});
        const auto name = column({"name", "sample", "feed", "food", "food name", "description"});
        if (!id && !name) {
            problem(1, "", "neither a table of ingredients nor a report",
                    "a column id or name (one row an ingredient), or the columns nutrient and value "
                    "(one row a nutrient)");
            return;
        }
        const auto category = column({"category"});
        const auto source = column({"source"});
        const auto note = column({"note", "notes"});
        const auto extend = column({"extend", "extends"});
        const auto scale = column({"scale"});
        const auto basis = column({"basis"});
        std::set<std::size_t> words;
        for (const auto& c : {id, name, category, source, note, extend, scale, basis}) {
            if (c) words.insert(*c);
        }
        std::size_t first = 0;
        const CsvRow* units = nullptr;
        if (!table_.rows.empty()) {
            const CsvRow& row = table_.rows.front();
            const std::string lead = row.cells[id ? *id : *name];
            const std::string other = id && name ? row.cells[*name] : std::string{};
            if (is_plain(lead, {"", "unit", "units"}) && is_plain(other, {"", "unit", "units"})) {
                units = &row;
                first = 1;
            }
        }
        std::vector<Column> columns;
        for (std::size_t i = 0; i < table_.header.size(); ++i) {
            if (words.contains(i)) continue;
            auto parsed = names_.take_apart(table_.header[i]);
            if (!parsed) {
                unknown(1, table_.header[i], "a nutrient, with its unit and basis if they are not the usual",
                        names_.hint(table_.header[i]));
                continue;
            }
            if (units != nullptr) merge_measure(*parsed, units->cells[i], units->line, table_.header[i]);
            ReadAs as;
            if (understand(*parsed, table_.header[i], 1, as)) columns.push_back({i, *parsed, std::move(as)});
        }
        std::set<std::string> seen;
        for (std::size_t r = first; r < table_.rows.size(); ++r) {
            const CsvRow& row = table_.rows[r];
            const auto cell = [&](const std::optional<std::size_t>& c) {
                return c ? row.cells[*c] : std::string{};
            };
            ImportedIngredient item = blank();
            const std::string label = cell(id).empty() ? cell(name) : cell(id);
            item.id = id_from(label);
            item.name = cell(name).empty() ? label : cell(name);
            if (item.id.empty()) {
                problem(row.line, "", "a row without an id or name in Latin letters", "an id such as my-meal");
                continue;
            }
            if (!seen.insert(item.id).second) {
                problem(row.line, id ? table_.header[*id] : table_.header[*name],
                        fmt::format("the ingredient \"{}\" again", item.id), "each once");
            }
            if (!cell(category).empty()) item.category = cell(category);
            if (!cell(source).empty()) item.source = cell(source);
            item.note = cell(note);
            if (!cell(extend).empty()) item.extend = cell(extend);
            if (!cell(scale).empty()) item.scale = cell(scale);
            std::optional<Basis> row_basis;
            if (!cell(basis).empty()) {
                const auto measure = parse_measure(cell(basis));
                if (measure && measure->unit.empty()) row_basis = measure->basis;
                if (!row_basis) {
                    problem(row.line, "basis", '"' + cell(basis) + '"', "as_fed, dry_matter or of_protein");
                }
            }
            for (Column& c : columns) {
                StatedValue stated;
                ReadAs as = c.as;
                if (row_basis && !c.heading.measure.basis && !always_as_fed(c.as.nutrient)) {
                    as.basis = *row_basis;
                }
                if (!read_value(c.heading, as, row, c.index, stated)) continue;
                add(item, std::move(stated), row.line, table_.header[c.index]);
                ++c.as.values;
            }
            result_.ingredients.push_back(std::move(item));
        }
        if (result_.ingredients.empty() && diagnostics_.empty()) {
            problem(1, "", "no ingredients", "at least one row below the heading");
        }
        for (Column& c : columns) result_.read_as.push_back(std::move(c.as));
    }

    // ---- what both share

    ImportedIngredient blank() const {
        ImportedIngredient item;
        item.category = options_.category;
        item.source = options_.source;
        item.extend = options_.extend;
        item.scale = options_.scale;
        return item;
    }

    void require_id(std::size_t line, const std::string& where, const std::string& id) {
        if (id_from(id) != id) {
            problem(line, where, '"' + id + '"', "an id of lower-case letters and digits joined by \"-\"",
                    id_from(id).empty() ? "" : fmt::format("For example {}", id_from(id)));
        }
    }

    void unknown(std::size_t line, const std::string& heading, const std::string& expected,
                 const std::string& hint) {
        if (options_.skip_unknown) {
            result_.skipped.push_back(heading);
            return;
        }
        // A line of something that is no table can be very long; its beginning is enough to find it.
        std::size_t shown = std::min<std::size_t>(heading.size(), 80);
        while (shown < heading.size() && (static_cast<unsigned char>(heading[shown]) & 0xC0U) == 0x80U) --shown;
        problem(line, "", '"' + heading.substr(0, shown) + (shown < heading.size() ? "…\"" : "\""), expected,
                hint.empty() ? "--skip-unknown leaves out what is not known" : hint);
    }

    static bool always_as_fed(const std::string& nutrient) {
        return nutrient == "dry_matter" || nutrient == "moisture";
    }

    // Adds what a cell of a unit or basis column says to what the heading says; the two may not differ.
    void merge_measure(Heading& heading, const std::string& text, std::size_t line,
                       const std::string& where) {
        if (text.empty() || text == "-") return;
        const auto more = parse_measure(text);
        if (!more) {
            heading.unknown_measure = text;
            return;
        }
        Measure& measure = heading.measure;
        const bool units_differ = !more->unit.empty() && !measure.unit.empty() && more->unit != measure.unit;
        const bool bases_differ = more->basis && measure.basis && *more->basis != *measure.basis;
        if (units_differ || bases_differ) {
            problem(line, where, '"' + text + "\" beside what the heading says", "one unit and one basis");
            return;
        }
        if (!more->unit.empty()) measure.unit = more->unit;
        if (more->basis) measure.basis = more->basis;
    }

    // Settles the unit and basis of a heading; false, with a problem recorded, when it cannot.
    bool understand(const Heading& heading, const std::string& text, std::size_t line, ReadAs& as) {
        const Nutrient& nutrient = *heading.known.nutrient;
        as.heading = text;
        as.nutrient = nutrient.id;
        as.basis = heading.measure.basis.value_or(options_.basis);
        if (always_as_fed(nutrient.id)) {
            if (heading.measure.basis && *heading.measure.basis != Basis::as_fed) {
                problem(line, "", '"' + text + '"', nutrient.name + " as fed",
                        "Dry matter of dry matter says nothing");
                return false;
            }
            as.basis = Basis::as_fed;
        }
        if (!heading.unknown_measure.empty()) {
            problem(line, "", fmt::format("\"{}\" as unit or basis of {}", heading.unknown_measure, nutrient.name),
                    "a unit such as %, g/kg or mg/kg, and a basis such as as fed, DM or of protein");
            return false;
        }
        as.unit = heading.measure.unit;
        if (as.unit.empty()) {
            if (heading.known.by_tag && nutrient.group != "proximate" && as.basis != Basis::of_protein) {
                problem(line, "", fmt::format("the tagname \"{}\" without a unit", text),
                        fmt::format("its unit, such as {} (mg/100g)", text),
                        fmt::format("Tables give it in g, mg or ug per 100 g; write \"{}\" to mean {}", nutrient.id,
                                    nutrient.unit));
                return false;
            }
            as.unit = as.basis == Basis::of_protein ? "%" : nutrient.unit;
        }
        const std::string& target = as.basis == Basis::of_protein ? percent : nutrient.unit;
        if (!base::convert(1, as.unit, target)) {
            problem(line, "", fmt::format("{} in {}", nutrient.name, as.unit),
                    fmt::format("a unit that converts to {}", target));
            return false;
        }
        return true;
    }

    // The number of a cell in the nutrient's canonical unit.
    std::optional<double> number(const Heading& heading, const ReadAs& as, const CsvRow& row,
                                 std::size_t index) {
        const std::string& cell = row.cells[index];
        const std::string& where = table_.header[index];
        const Nutrient& nutrient = *heading.known.nutrient;
        const auto quantity = base::parse_quantity(cell);
        std::string unit = as.unit;
        if (quantity && !quantity->unit.empty()) {
            const auto own = parse_measure(quantity->unit);
            if (!own || own->unit.empty() || own->basis) {
                problem(row.line, where, '"' + cell + '"', "a number",
                        cell.find(',') != std::string::npos ? "Write a decimal point, not a comma" : "");
                return std::nullopt;
            }
            unit = own->unit;
        }
        if (!quantity) {
            problem(row.line, where, '"' + cell + '"', "a number, or an empty cell where nothing was measured",
                    cell.starts_with('<') || is_plain(cell, {"nd", "n.d.", "tr", "trace", "traces"})
                        ? "Below what can be measured is not zero: leave it empty, or write 0 if you "
                          "are sure of none"
                        : "");
            return std::nullopt;
        }
        const std::string& target = as.basis == Basis::of_protein ? percent : nutrient.unit;
        const auto converted = base::convert(quantity->value, unit, target);
        if (!converted) {
            problem(row.line, where, '"' + cell + '"', fmt::format("a unit that converts to {}", target));
            return std::nullopt;
        }
        const double amount = *converted * heading.known.times;
        const double most = nutrient.id == "crude_protein" ? 300 : 100;
        if (amount < 0 || (target == percent && amount > most)) {
            problem(row.line, where, '"' + cell + '"',
                    amount < 0 ? "zero or more" : fmt::format("at most {} %", base::shortest(most)),
                    amount < 0 ? "" : fmt::format("It was read as {}", as.unit));
            return std::nullopt;
        }
        return amount;
    }

    // False when the cell is empty or wrong.
    bool read_value(const Heading& heading, const ReadAs& as, const CsvRow& row, std::size_t index,
                    StatedValue& stated) {
        if (is_plain(row.cells[index], {"", "na", "n.a.", "n/a"})) return false;
        const auto amount = number(heading, as, row, index);
        if (!amount) return false;
        stated.nutrient = as.nutrient;
        stated.basis = as.basis;
        stated.amount = *amount;
        return true;
    }

    void add(ImportedIngredient& item, StatedValue stated, std::size_t line, const std::string& where) {
        if (stated.nutrient == "moisture") {
            stated.nutrient = "dry_matter";
            stated.amount = 100 - stated.amount;
        }
        // Conversions leave noise in the last digits of a double.
        const auto rounded = [](double x) { return base::parse_finite(fmt::format("{:.12g}", x)).value_or(x); };
        stated.amount = rounded(stated.amount);
        if (stated.sd) stated.sd = rounded(*stated.sd);
        for (const StatedValue& other : item.values) {
            if (other.nutrient != stated.nutrient) continue;
            // A report may give both moisture and dry matter.
            if (stated.nutrient == "dry_matter" && std::abs(other.amount - stated.amount) <= 0.5) return;
            problem(line, where, fmt::format("a second value of {}", stated.nutrient),
                    "one value a nutrient",
                    stated.nutrient == "dry_matter" ? "Moisture and dry matter do not add to 100" : "");
            return;
        }
        item.values.push_back(std::move(stated));
    }

    // Catches values read on the wrong basis, the commonest mistake of all.
    void check(const ImportedIngredient& item) {
        const auto value = [&](std::string_view id) -> const StatedValue* {
            const auto at = std::find_if(item.values.begin(), item.values.end(),
                                         [&](const StatedValue& v) { return v.nutrient == id; });
            return at == item.values.end() ? nullptr : &*at;
        };
        const auto uses = [&](Basis basis) {
            return std::any_of(item.values.begin(), item.values.end(),
                               [&](const StatedValue& v) { return v.basis == basis; });
        };
        const auto complain = [&](std::string found, std::string expected, std::string hint) {
            diagnostics_.add({table_.file, item.id, std::move(found), std::move(expected), std::move(hint)});
        };
        const StatedValue* dry_matter = value("dry_matter");
        const StatedValue* protein = value("crude_protein");
        if (protein != nullptr && protein->basis == Basis::of_protein) {
            complain("crude protein of protein", "it as fed or on dry matter", "");
            return;
        }
        if (item.extend.empty()) {
            if (uses(Basis::dry_matter) && dry_matter == nullptr) {
                complain("values on dry matter and no dry matter", "dry matter or moisture", "");
                return;
            }
            if (uses(Basis::of_protein) && protein == nullptr) {
                complain("values of protein and no crude protein", "the crude protein", "");
                return;
            }
        }
        if (item.values.empty()) {
            if (item.extend.empty()) complain("no values", "at least one", "");
            return;
        }
        if (dry_matter == nullptr) return;
        const auto as_fed = [&](const StatedValue& v) {
            return v.basis == Basis::dry_matter ? v.amount * dry_matter->amount / 100 : v.amount;
        };
        double parts = 0;
        for (const char* id : {"crude_protein", "crude_lipid", "crude_fibre", "ash"}) {
            if (const StatedValue* part = value(id)) parts += as_fed(*part);
        }
        // Nitrogen x 6.25 of a pure amino acid is no weight.
        const bool is_protein = protein == nullptr || protein->amount <= 100;
        if (is_protein && parts > dry_matter->amount + 3) {
            complain(fmt::format("protein, lipid, fibre and ash that add to {} % in {} % dry matter",
                                 base::significant(parts, 4), base::significant(dry_matter->amount, 4)),
                     "no more than the dry matter",
                     "Were they given on dry matter? Say so in the heading, or with --basis dry_matter");
        }
        if (protein == nullptr) return;
        double amino_acids = 0;
        for (const StatedValue& v : item.values) {
            const Nutrient& nutrient = *dictionary_.find(v.nutrient);
            if (nutrient.group != "amino_acid" || nutrient.derived || v.basis == Basis::of_protein) continue;
            amino_acids += as_fed(v);
        }
        // Free amino acids weigh up to 16 % more than the protein they make, for the water they give off.
        if (amino_acids > 1.16 * as_fed(*protein)) {
            complain(fmt::format("amino acids that add to {} % in {} % crude protein",
                                 base::significant(amino_acids, 4), base::significant(as_fed(*protein), 4)),
                     "no more than the protein",
                     "Were they given as g per 16 g N? Say so in the heading: lysine (% of protein)");
        }
    }

    inline static const std::string percent = "%";

    const CsvTable& table_;
    const NutrientDictionary& dictionary_;
    const ImportOptions& options_;
    Names names_;
    base::Diagnostics diagnostics_;
    Import result_;
};

}  // namespace

Import read_import(const CsvTable& table, const NutrientDictionary& dictionary,
                   const ImportOptions& options) {
    return Importer(table, dictionary, options).read();
}

void require_loadable(const std::string& text, const std::string& file, Library& library) {
    base::Diagnostics diagnostics;
    const base::JsonView root(base::parse_json(text, file), diagnostics);
    std::map<std::string, Ingredient, std::less<>> before;
    const IngredientLookup lookup{
        [&](std::string_view id) -> const Ingredient* {
            const auto at = before.find(id);
            return at != before.end() ? &at->second : library.ingredient(id);
        },
        [&] { return library.ingredient_ids(); }};
    for (const base::JsonView& item : root.array("ingredients")) {
        auto made = read_library_ingredient(item, library.dictionary(), lookup);
        if (made) before.insert_or_assign(made->id, std::move(*made));
    }
    diagnostics.throw_if_any();
}

std::string library_json(const Import& import) {
    // Its name without the folder, which says nothing to others.
    const std::string usual_source = "imported from " + import.file.substr(import.file.rfind('/') + 1);
    base::JsonWriter json;
    json.begin_object();
    json.member("format", "feedwright-library/1");
    json.key("ingredients").begin_array();
    for (const ImportedIngredient& item : import.ingredients) {
        json.begin_object();
        json.member("id", item.id).member("name", item.name);
        if (!item.category.empty()) json.member("category", item.category);
        if (!item.extend.empty()) json.member("extend", item.extend);
        if (!item.scale.empty()) json.member("scale", item.scale);
        if (!item.note.empty()) json.member("note", item.note);
        json.key("composition").begin_array();
        for (const Basis basis : {Basis::as_fed, Basis::dry_matter, Basis::of_protein}) {
            const auto has = [&](const StatedValue& value) { return value.basis == basis; };
            if (std::none_of(item.values.begin(), item.values.end(), has)) continue;
            json.begin_object();
            json.member("source", item.source.empty() ? usual_source : item.source);
            json.member("basis", to_string(basis));
            json.key("nutrients").begin_object();
            for (const StatedValue& value : item.values) {
                if (!has(value)) continue;
                json.key(value.nutrient);
                if (!value.sd && !value.n && value.note.empty()) {
                    json.value(value.amount);
                    continue;
                }
                json.begin_object();
                json.member("value", value.amount).member("sd", value.sd).member("n", value.n);
                if (!value.note.empty()) json.member("note", value.note);
                json.end_object();
            }
            json.end_object();
            json.end_object();
        }
        json.end_array();
        json.end_object();
    }
    json.end_array();
    json.end_object();
    return json.take();
}

}  // namespace feedwright::catalog
