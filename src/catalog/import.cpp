// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/import.hpp"

#include "base/json.hpp"
#include "base/json_writer.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "base/units.hpp"
#include "catalog/import_words.hpp"
#include "catalog/loading.hpp"
#include "catalog/plausible.hpp"
#include "catalog/pool_samples.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>
#include <utility>

namespace feedwright::catalog {

namespace {

using base::CsvRow;
using base::CsvTable;

constexpr double usual_nitrogen_factor = 6.25;

constexpr std::array unmeasured_words{"nd",  "n.d.",  "n.d",    "not detected", "none detected",
                                      "tr",  "trace", "traces", "bdl",          "bql",
                                      "lod", "loq"};
constexpr std::array empty_words{"",
                                 "na",
                                 "n.a.",
                                 "n/a",
                                 "\xE2\x80\x93",
                                 "\xE2\x80\x94",
                                 "not determined",
                                 "not analysed",
                                 "not analyzed"};

// Below what can be measured: whether it is none is not known.
bool is_unmeasured(const std::string& cell) {
    return cell.starts_with('<') || cell.starts_with("\xE2\x89\xA4") ||
           is_plain(cell, unmeasured_words);
}

// A line that says that its figures are on dry matter, as titles of tables do.
bool speaks_of_dry_matter(const std::string& line) {
    const std::string text = ' ' + plain(line) + ' ';
    for (const char* words :
         {"dry basis", "dry weight", "dry matter basis", "on dry matter", "of dry matter",
          "dm basis", "% dm ", "% dm)", "of dm ", "on dm ", "kg dm", "dry matter)"}) {
        if (text.find(words) != std::string::npos) return true;
    }
    return false;
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
    while (!id.empty() && id.back() == '-')
        id.pop_back();
    return id;
}

struct Known {
    const Nutrient* nutrient = nullptr;
    bool by_tag = false;  // a tagname, whose unit the standard leaves to the table
    double times = 1;     // 6.25 for nitrogen
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
            for (const std::string& tag : nutrient.infoods) {
                known_[plain(tag)] = {&nutrient, true};
                tagnames_[tag] = {&nutrient, true};
            }
        }
        for (const Nutrient& nutrient : dictionary.all()) {
            // An abbreviation such as Lys is a tagname in small letters, and needs a unit as that
            // does.
            for (const std::string& other : nutrient.also_called)
                known_.try_emplace(plain(other), Known{&nutrient});
            known_[plain(nutrient.name)] = {&nutrient};
            known_[plain(nutrient.id)] = {&nutrient};
            words_.push_back(nutrient.id);
            words_.push_back(nutrient.name);
            for (const std::string& other : nutrient.also_called) {
                if (other.size() > 3) words_.push_back(other);
            }
        }
        // Laboratories write "Total P" and "Ca, total".
        for (const Nutrient& nutrient : dictionary.all()) {
            if (!nutrient.group.ends_with("mineral")) continue;
            const auto add_total = [&](const std::string& word, bool tagname) {
                for (const std::string& name : {"total " + word, word + " total"}) {
                    known_.try_emplace(plain(name), Known{&nutrient, tagname});
                }
            };
            add_total(nutrient.name, false);
            for (const std::string& tag : nutrient.infoods)
                add_total(tag, true);
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
            const std::string inside = heading.substr(
                open + 1, close == std::string::npos ? std::string::npos : close - open - 1);
            const std::string after = close == std::string::npos ? "" : heading.substr(close + 1);
            if (const Known* known = find(heading.substr(0, open))) {
                // "crude protein (CP), % DM": the name again, not "of crude protein"
                const Known* again = find(inside);
                const bool repeats = again != nullptr && again->nutrient == known->nutrient;
                const std::size_t next = std::min(after.find_first_not_of(" ,;:"), after.size());
                return with_measure(*known, repeats ? after.substr(next) : inside + ' ' + after);
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
        const std::string name =
            heading.substr(0, std::min<std::size_t>(heading.find_first_of("([,"), 60));
        return base::did_you_mean(plain(name), words_);
    }

  private:
    const Known* find(std::string_view name) const {
        // ASH is a tagname and ash a name.
        if (const auto tag = tagnames_.find(base::trim(name)); tag != tagnames_.end())
            return &tag->second;
        const auto at = known_.find(plain(name));
        return at == known_.end() ? nullptr : &at->second;
    }

    static Heading with_measure(Known known, const std::string& text) {
        Heading heading{known, {}, {}};
        std::string rest(base::trim(text));
        // Tables of foods by tagname are per 100 g where they say no more.
        if (known.by_tag) {
            for (const char* weight : {"g", "mg", "ug", "mcg", "\xC2\xB5g", "\xCE\xBCg"}) {
                if (base::lower(rest) == weight) rest += "/100g";
            }
        }
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
    std::map<std::string, Known, std::less<>> tagnames_;
    std::vector<std::string> words_;
};

class Importer {
  public:
    Importer(const LaboratoryTable& laboratory, const NutrientDictionary& dictionary,
             const ImportOptions& options)
        : table_(laboratory.table),
          beside_(laboratory.beside),
          dictionary_(dictionary),
          options_(options),
          names_(dictionary) {
        result_.file = table_.file;
        for (const CsvRow& row : beside_) {
            std::vector<std::string> words;
            std::copy_if(row.cells.begin(), row.cells.end(), std::back_inserter(words),
                         [](const std::string& cell) { return !cell.empty(); });
            result_.beside.push_back(base::join_words(words, ", "));
        }
    }

    Import read() {
        const auto nutrient = column(nutrient_words);
        const auto id = column(id_words);
        const auto name = column(name_words);
        const std::vector<ValueColumn> values =
            nutrient ? value_columns() : std::vector<ValueColumn>{};
        if (nutrient && (!values.empty() || (!id && !name))) {
            read_report(*nutrient, values, name ? name : id);
        } else {
            read_table(id, name);
        }
        require_basis();
        diagnostics_.throw_if_any();
        for (const ImportedIngredient& ingredient : result_.ingredients)
            check(ingredient);
        diagnostics_.throw_if_any();
        if (options_.one_ingredient) {
            pool_samples(result_, options_, diagnostics_);
            diagnostics_.throw_if_any();
        }
        return std::move(result_);
    }

  private:
    template <std::size_t N>
    std::optional<std::size_t> column(const std::array<const char*, N>& words) const {
        for (std::size_t i = 0; i < table_.header.size(); ++i) {
            if (is_plain(table_.header[i], words)) return i;
        }
        return std::nullopt;
    }

    void problem(std::size_t line, const std::string& where, std::string found,
                 std::string expected, std::string hint = {}) {
        std::string place = fmt::format("line {}", line);
        if (!where.empty()) place += ", column " + where;
        diagnostics_.add({table_.file, std::move(place), std::move(found), std::move(expected),
                          std::move(hint)});
    }

    // A title such as "% of dry matter" holds for every figure that says nothing else; taken as fed
    // they would be wrong by a tenth, and nothing would show it.
    void require_basis() {
        if (!usual_basis_taken_ || options_.basis) return;
        for (std::size_t i = 0; i < beside_.size(); ++i) {
            const std::string& line = result_.beside[i];
            if (!speaks_of_dry_matter(line)) continue;
            problem(beside_[i].line, "",
                    '"' + shortened(line) + "\" beside the table, and figures that name no basis",
                    "--basis dry_matter, or --basis as_fed");
            return;
        }
    }

    // ---- one row a nutrient

    struct ValueColumn {
        std::size_t index = 0;
        Measure measure;
    };

    struct ReportColumns {
        std::size_t nutrient = 0;
        std::optional<std::size_t> unit, basis, sd, n, note;
    };

    // "Result", "Result (% DM)", "As received": the columns that hold figures, those as fed first.
    std::vector<ValueColumn> value_columns() const {
        std::vector<ValueColumn> columns;
        for (std::size_t i = 0; i < table_.header.size(); ++i) {
            const std::string& heading = table_.header[i];
            if (is_plain(heading, value_words)) {
                columns.push_back({i, {}});
                continue;
            }
            const std::size_t end = std::min(heading.find_first_of(" ([,;:"), heading.size());
            std::string rest = heading;
            if (is_plain(heading.substr(0, end), value_words)) {
                rest = heading.substr(end);
                for (const char c : {'(', ')', '[', ']', ',', ';', ':'})
                    std::replace(rest.begin(), rest.end(), c, ' ');
            }
            if (const auto measure = parse_measure(rest)) columns.push_back({i, *measure});
        }
        std::stable_sort(
            columns.begin(), columns.end(), [](const ValueColumn& a, const ValueColumn& b) {
                return (a.measure.basis == Basis::as_fed) > (b.measure.basis == Basis::as_fed);
            });
        return columns;
    }

    // One sample (by `values`), as many as `sample` names (one row a nutrient and sample), or one a
    // column.
    void read_report(std::size_t nutrient, const std::vector<ValueColumn>& values,
                     std::optional<std::size_t> sample) {
        const ReportColumns columns{nutrient,         column(unit_words), column(basis_words),
                                    column(sd_words), column(n_words),    column(note_words)};
        std::set<std::size_t> used{nutrient};
        for (const auto& c : {columns.unit, columns.basis, columns.sd, columns.n, columns.note}) {
            if (c) used.insert(*c);
        }
        for (const ValueColumn& value : values)
            used.insert(value.index);
        if (!values.empty() && sample) used.insert(*sample);
        std::vector<std::size_t> samples;
        for (std::size_t i = 0; i < table_.header.size(); ++i) {
            if (used.contains(i)) continue;
            if (is_plain(table_.header[i], laboratory_words)) {
                result_.skipped.push_back(table_.header[i]);
            } else if (values.empty()) {
                samples.push_back(i);
            } else {
                unknown(table_.header_line, table_.header[i],
                        "nutrient, value, unit, basis, sd, n or note", "");
            }
        }
        if (values.empty()) {
            for (const std::size_t i : samples)
                start_sample(table_.header[i], table_.header_line, samples.size() == 1);
        } else if (!sample) {
            start_sample("", table_.header_line, true);
        } else {
            start_samples(*sample);
        }
        if (result_.ingredients.empty()) {
            if (diagnostics_.empty()) {
                problem(table_.header_line, "", "no figures",
                        "a column value, or a column for each sample");
            }
            return;
        }
        for (const CsvRow& row : table_.rows) {
            if (values.empty()) {
                for (std::size_t s = 0; s < samples.size(); ++s) {
                    read_row(row, columns, {{samples[s], {}}}, result_.ingredients[s], s == 0);
                }
            } else {
                const std::size_t at = sample ? sample_of_.at(plain(row.cells[*sample])) : 0;
                read_row(row, columns, values, result_.ingredients[at], true);
            }
        }
    }

    void start_samples(std::size_t sample) {
        std::vector<std::pair<std::string, std::size_t>> labels;
        for (const CsvRow& row : table_.rows) {
            const std::string& label = row.cells[sample];
            if (sample_of_.try_emplace(plain(label), labels.size()).second)
                labels.emplace_back(label, row.line);
        }
        for (const auto& [label, line] : labels)
            start_sample(label, line, labels.size() == 1);
    }

    void start_sample(const std::string& label, std::size_t line, bool only) {
        ImportedIngredient made = blank();
        made.id = only && !options_.id.empty() ? options_.id : id_from(label);
        made.name = only && !options_.name.empty() ? options_.name
                    : label.empty()                ? made.id
                                                   : label;
        if (made.id.empty() && label.empty()) {
            problem(line, "", "a report of one sample without an id", "--id ID",
                    "For example --id my-fish-meal");
        } else if (only && !options_.id.empty()) {
            require_id(line, "--id", made.id);
        } else if (made.id.empty()) {
            problem(line, "", '"' + shortened(label) + '"', "a name of a sample in Latin letters");
        }
        for (const ImportedIngredient& other : result_.ingredients) {
            if (other.id == made.id && !options_.one_ingredient)
                problem(line, "", fmt::format("the sample \"{}\" again", made.id), "each once");
        }
        result_.ingredients.push_back(std::move(made));
    }

    // `first` is false for a row that was read before for another sample: what is wrong with its
    // heading is known.
    void read_row(const CsvRow& row, const ReportColumns& columns,
                  const std::vector<ValueColumn>& values, ImportedIngredient& sample, bool first) {
        const std::string& heading = row.cells[columns.nutrient];
        const auto cell = [&](const std::optional<std::size_t>& c) {
            return c ? row.cells[*c] : std::string{};
        };
        const auto value = std::find_if(values.begin(), values.end(), [&](const ValueColumn& v) {
            return !is_plain(row.cells[v.index], empty_words);
        });
        if (value == values.end()) return;  // a heading between the rows, or not measured
        auto parsed = names_.take_apart(heading);
        if (!parsed) {
            if (first) unknown(row.line, heading, "a nutrient", names_.hint(heading));
            return;
        }
        merge_measure(*parsed, cell(columns.unit), row.line, "unit");
        merge_measure(*parsed, cell(columns.basis), row.line, "basis");
        Measure rest = value->measure;
        if (always_as_fed(parsed->known.nutrient->id)) rest.basis.reset();
        merge_measure(*parsed, rest, row.line, table_.header[value->index]);
        ReadAs as;
        if (!understand(*parsed, heading, row.line, as)) return;
        StatedValue stated;
        stated.note = cell(columns.note);
        if (!read_value(*parsed, as, row, value->index, sample, stated)) return;
        if (columns.sd && !row.cells[*columns.sd].empty()) {
            stated.sd = number(*parsed, as, row, *columns.sd, row.cells[*columns.sd]);
        }
        if (columns.n && !row.cells[*columns.n].empty()) {
            stated.n = base::parse_finite(row.cells[*columns.n]);
            if (!stated.n || *stated.n < 1) {
                problem(row.line, table_.header[*columns.n], '"' + row.cells[*columns.n] + '"',
                        "a number of samples");
            }
        }
        add(sample, std::move(stated), row.line, heading);
        as.values = 1;
        for (ReadAs& other : result_.read_as) {
            if (other.heading != as.heading || other.unit != as.unit || other.basis != as.basis)
                continue;
            ++other.values;
            return;
        }
        result_.read_as.push_back(std::move(as));
    }

    // ---- one row an ingredient

    struct Column {
        std::size_t index = 0;
        Heading heading;
        ReadAs as;
    };

    void read_table(std::optional<std::size_t> id, std::optional<std::size_t> name) {
        if (!id && !name) {
            problem(
                table_.header_line, "", "neither a table of ingredients nor a report",
                "a column id or name (one row an ingredient), or the columns nutrient and value "
                "(one row a nutrient)");
            return;
        }
        const auto category = column(std::array{"category"});
        const auto source = column(std::array{"source"});
        const auto note = column(note_words);
        const auto extend = column(std::array{"extend", "extends"});
        const auto scale = column(std::array{"scale"});
        const auto basis = column(basis_words);
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
            const auto is_units = [](const std::string& text) {
                return text.empty() || is_plain(text, unit_words);
            };
            if (is_units(lead) && is_units(other)) {
                units = &row;
                first = 1;
            }
        }
        std::vector<Column> columns;
        for (std::size_t i = 0; i < table_.header.size(); ++i) {
            if (words.contains(i)) continue;
            auto parsed = names_.take_apart(table_.header[i]);
            if (!parsed) {
                unknown(table_.header_line, table_.header[i],
                        "a nutrient, with its unit and basis if they are not the usual",
                        names_.hint(table_.header[i]));
                continue;
            }
            if (units != nullptr)
                merge_measure(*parsed, units->cells[i], units->line, table_.header[i]);
            ReadAs as;
            if (understand(*parsed, table_.header[i], table_.header_line, as, basis.has_value()))
                columns.push_back({i, *parsed, std::move(as)});
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
                problem(row.line, "", "a row without an id or name in Latin letters",
                        "an id such as my-meal");
                continue;
            }
            if (!seen.insert(item.id).second && !options_.one_ingredient) {
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
                    problem(row.line, "basis", '"' + cell(basis) + '"',
                            "as_fed, dry_matter or of_protein");
                }
            }
            for (Column& c : columns) {
                StatedValue stated;
                ReadAs as = c.as;
                if (row_basis && !c.heading.measure.basis && !always_as_fed(c.as.nutrient)) {
                    as.basis = *row_basis;
                }
                if (!read_value(c.heading, as, row, c.index, item, stated)) continue;
                add(item, std::move(stated), row.line, table_.header[c.index]);
                ++c.as.values;
            }
            result_.ingredients.push_back(std::move(item));
        }
        if (result_.ingredients.empty() && diagnostics_.empty()) {
            problem(table_.header_line, "", "no ingredients", "at least one row below the heading");
        }
        for (Column& c : columns)
            result_.read_as.push_back(std::move(c.as));
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
            problem(line, where, '"' + id + '"',
                    "an id of lower-case letters and digits joined by \"-\"",
                    id_from(id).empty() ? "" : fmt::format("For example {}", id_from(id)));
        }
    }

    void unknown(std::size_t line, const std::string& heading, const std::string& expected,
                 const std::string& hint) {
        if (options_.skip_unknown) {
            result_.skipped.push_back(heading);
            return;
        }
        problem(line, "", '"' + shortened(heading) + '"', expected,
                plain(heading.substr(0, heading.find_first_of(" (,[%"))) == "cf"
                    ? "CF is crude fibre in some tables and crude fat in others: write it out"
                : hint.empty() ? "--skip-unknown leaves out what is not known"
                               : hint);
    }

    // A line of something that is no table can be very long; its beginning is enough to find it.
    static std::string shortened(const std::string& text) {
        std::size_t shown = std::min<std::size_t>(text.size(), 80);
        while (shown < text.size() && (static_cast<unsigned char>(text[shown]) & 0xC0U) == 0x80U)
            --shown;
        return text.substr(0, shown) + (shown < text.size() ? "…" : "");
    }

    static bool always_as_fed(const std::string& nutrient) {
        return nutrient == "dry_matter" || nutrient == "moisture";
    }

    // Adds what a cell of a unit or basis column says to what the heading says; the two may not
    // differ.
    void merge_measure(Heading& heading, const std::string& text, std::size_t line,
                       const std::string& where) {
        if (text.empty() || text == "-") return;
        const auto more = parse_measure(text);
        if (!more) {
            heading.unknown_measure = text;
            return;
        }
        merge_measure(heading, *more, line, where);
    }

    void merge_measure(Heading& heading, const Measure& more, std::size_t line,
                       const std::string& where) {
        Measure& measure = heading.measure;
        const bool units_differ =
            !more.unit.empty() && !measure.unit.empty() && more.unit != measure.unit;
        const bool bases_differ = more.basis && measure.basis && *more.basis != *measure.basis;
        if (units_differ || bases_differ) {
            problem(line, where,
                    fmt::format("\"{}\" beside what the heading says",
                                units_differ ? more.unit : std::string(to_string(*more.basis))),
                    "one unit and one basis");
            return;
        }
        if (!more.unit.empty()) measure.unit = more.unit;
        if (more.basis) measure.basis = more.basis;
    }

    // Settles the unit and basis of a heading; false, with a problem recorded, when it cannot.
    // `basis_follows`: every row has a basis of its own.
    bool understand(const Heading& heading, const std::string& text, std::size_t line, ReadAs& as,
                    bool basis_follows = false) {
        const Nutrient& nutrient = *heading.known.nutrient;
        as.heading = text;
        as.nutrient = nutrient.id;
        as.basis = heading.measure.basis.value_or(options_.basis.value_or(Basis::as_fed));
        if (!heading.measure.basis && !basis_follows && !always_as_fed(nutrient.id))
            usual_basis_taken_ = true;
        if (always_as_fed(nutrient.id)) {
            if (heading.measure.basis && *heading.measure.basis != Basis::as_fed) {
                problem(line, "", '"' + text + '"', nutrient.name + " as fed",
                        "Dry matter of dry matter says nothing");
                return false;
            }
            as.basis = Basis::as_fed;
        }
        if (!heading.unknown_measure.empty()) {
            problem(
                line, "",
                fmt::format("\"{}\" as unit or basis of {}", heading.unknown_measure,
                            nutrient.name),
                "a unit such as %, g/kg or mg/kg, and a basis such as as fed, DM or of protein");
            return false;
        }
        as.unit = heading.measure.unit;
        if (as.unit.empty()) {
            if (heading.known.by_tag && nutrient.group != "proximate" &&
                as.basis != Basis::of_protein) {
                problem(
                    line, "", fmt::format("the tagname \"{}\" without a unit", text),
                    fmt::format("its unit, such as {} (mg/100g)", text),
                    fmt::format("Tables give it in g, mg or ug per 100 g; write \"{}\" to mean {}",
                                nutrient.id, nutrient.unit));
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
                                 std::size_t index, const std::string& cell) {
        const std::string& where = table_.header[index];
        const Nutrient& nutrient = *heading.known.nutrient;
        const auto quantity = base::parse_quantity(cell);
        std::string unit = as.unit;
        if (quantity && !quantity->unit.empty()) {
            const auto own = parse_measure(quantity->unit);
            if (!own || own->unit.empty() || own->basis) {
                problem(row.line, where, '"' + cell + '"', "a number",
                        cell.find(',') != std::string::npos ? "Write a decimal point, not a comma"
                                                            : "");
                return std::nullopt;
            }
            unit = own->unit;
        }
        if (!quantity) {
            problem(row.line, where, '"' + cell + '"',
                    "a number, or an empty cell where nothing was measured");
            return std::nullopt;
        }
        const std::string& target = as.basis == Basis::of_protein ? percent : nutrient.unit;
        const auto converted = base::convert(quantity->value, unit, target);
        if (!converted) {
            problem(row.line, where, '"' + cell + '"',
                    fmt::format("a unit that converts to {}", target));
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

    // False when the cell is empty or wrong, or says "less than": below what can be measured is
    // unknown, not zero.
    bool read_value(const Heading& heading, const ReadAs& as, const CsvRow& row, std::size_t index,
                    const ImportedIngredient& item, StatedValue& stated) {
        const std::string& cell = row.cells[index];
        if (is_plain(cell, empty_words)) return false;
        if (is_unmeasured(cell)) {
            result_.unmeasured.push_back(
                fmt::format("{} of {}: {}", heading.known.nutrient->name, item.id, cell));
            return false;
        }
        // "31.2 ± 0.4"
        constexpr std::string_view spread = "±";
        const std::size_t at = cell.find(spread);
        const auto amount =
            number(heading, as, row, index, std::string(base::trim(cell.substr(0, at))));
        if (!amount) return false;
        if (at != std::string::npos) {
            stated.sd = number(heading, as, row, index,
                               std::string(base::trim(cell.substr(at + spread.size()))));
        }
        stated.nutrient = as.nutrient;
        stated.basis = as.basis;
        stated.amount = *amount;
        return true;
    }

    void add(ImportedIngredient& item, StatedValue stated, std::size_t line,
             const std::string& where) {
        if (stated.nutrient == "moisture") {
            stated.nutrient = "dry_matter";
            stated.amount = 100 - stated.amount;
        }
        // Conversions leave noise in the last digits of a double.
        const auto rounded = [](double x) {
            return base::parse_finite(fmt::format("{:.12g}", x)).value_or(x);
        };
        stated.amount = rounded(stated.amount);
        if (stated.sd) stated.sd = rounded(*stated.sd);
        for (const StatedValue& other : item.values) {
            if (other.nutrient != stated.nutrient) continue;
            // A report may give both moisture and dry matter.
            if (stated.nutrient == "dry_matter" && std::abs(other.amount - stated.amount) <= 0.5)
                return;
            problem(
                line, where, fmt::format("a second value of {}", stated.nutrient),
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
            diagnostics_.add(
                {table_.file, item.id, std::move(found), std::move(expected), std::move(hint)});
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
        Ingredient ingredient;
        ingredient.id = item.id;
        ingredient.category = item.category;
        ingredient.stated = item.values;
        for (const ImpossibleValue& impossible : impossible_values(ingredient, dictionary_)) {
            const base::Diagnostic& problem = impossible.problem;
            complain(problem.found, problem.expected,
                     hint_for(impossible.kind).value_or(problem.hint));
        }
    }

    // What may be wrong with the heading, where the file has one.
    static std::optional<std::string> hint_for(ImpossibleValue::Kind kind) {
        switch (kind) {
            case ImpossibleValue::Kind::parts:
                return "Were they given on dry matter? Say so in the heading, or with --basis "
                       "dry_matter";
            case ImpossibleValue::Kind::amino_acids:
                return "Were they given as g per 16 g N? Say so in the heading: lysine (% of "
                       "protein)";
            case ImpossibleValue::Kind::negative:
            case ImpossibleValue::Kind::energy:
            case ImpossibleValue::Kind::above_all:
            case ImpossibleValue::Kind::part_of_whole:
                break;
        }
        return std::nullopt;
    }

    inline static const std::string percent = "%";
    static constexpr std::array basis_words{"basis"};
    static constexpr std::array sd_words{"sd", "standard deviation", "std dev", "s.d."};
    static constexpr std::array n_words{"n", "samples", "no. of samples", "number of samples"};
    static constexpr std::array note_words{"note",   "notes",   "method",     "methods",
                                           "remark", "remarks", "test method"};
    // What a report says of the analysis and not of the feed.
    static constexpr std::array laboratory_words{"no.",
                                                 "no",
                                                 "uncertainty",
                                                 "measurement uncertainty",
                                                 "u",
                                                 "loq",
                                                 "lod",
                                                 "detection limit",
                                                 "limit",
                                                 "limits",
                                                 "specification",
                                                 "guaranteed",
                                                 "min",
                                                 "max",
                                                 "lab",
                                                 "laboratory",
                                                 "date",
                                                 "accreditation",
                                                 "status"};

    const CsvTable& table_;
    const std::vector<CsvRow>& beside_;
    const NutrientDictionary& dictionary_;
    const ImportOptions& options_;
    Names names_;
    base::Diagnostics diagnostics_;
    std::map<std::string, std::size_t> sample_of_;
    bool usual_basis_taken_ = false;  // a figure named no basis and got that of the options
    Import result_;
};

}  // namespace

Import read_import(const LaboratoryTable& laboratory, const NutrientDictionary& dictionary,
                   const ImportOptions& options) {
    Import import = Importer(laboratory, dictionary, options).read();
    for (ImportedIngredient& item : import.ingredients) {
        for (StatedValue& value : item.values) {
            if (value.sd && import.pooled == 0) value.spread = options.spread;
        }
    }
    return import;
}

void require_loadable(const std::string& text, const std::string& file, Library& library) {
    base::Diagnostics diagnostics;
    const base::JsonView root(base::parse_json(text, file), diagnostics);
    std::map<std::string, Ingredient, std::less<>> before;
    const IngredientLookup lookup{[&](std::string_view id) -> const Ingredient* {
                                      const auto at = before.find(id);
                                      return at != before.end() ? &at->second
                                                                : library.ingredient(id);
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
    const std::string usual_source =
        "imported from " + import.file.substr(import.file.rfind('/') + 1);
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
                if (value.spread != Spread::unstated)
                    json.member("spread", to_string(value.spread));
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
