// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.hpp"
#include "catalog/import.hpp"

#include <algorithm>
#include <array>
#include <utility>

namespace feedwright::catalog {

namespace {

struct Phrase {
    std::string_view words;
    Basis basis;
};

// A longer phrase stands before one that it ends in.
constexpr std::array phrases{
    Phrase{"dry matter basis", Basis::dry_matter},
    Phrase{"of dry matter", Basis::dry_matter},
    Phrase{"on dry matter", Basis::dry_matter},
    Phrase{"dry matter", Basis::dry_matter},
    Phrase{"dry weight", Basis::dry_matter},
    Phrase{"dry basis", Basis::dry_matter},
    Phrase{"dm basis", Basis::dry_matter},
    Phrase{"of dm", Basis::dry_matter},
    Phrase{"on dm", Basis::dry_matter},
    Phrase{"dmb", Basis::dry_matter},
    Phrase{"dm", Basis::dry_matter},
    Phrase{"db", Basis::dry_matter},
    Phrase{"dw", Basis::dry_matter},
    Phrase{"dry_matter", Basis::dry_matter},
    Phrase{"as fed basis", Basis::as_fed},
    Phrase{"as fed", Basis::as_fed},
    Phrase{"as-fed", Basis::as_fed},
    Phrase{"as_fed", Basis::as_fed},
    Phrase{"as received", Basis::as_fed},
    Phrase{"as is", Basis::as_fed},
    Phrase{"fresh matter", Basis::as_fed},
    Phrase{"fresh weight", Basis::as_fed},
    Phrase{"wet weight", Basis::as_fed},
    Phrase{"wet basis", Basis::as_fed},
    Phrase{"fresh", Basis::as_fed},
    Phrase{"fm", Basis::as_fed},
    Phrase{"fw", Basis::as_fed},
    Phrase{"of crude protein", Basis::of_protein},
    Phrase{"of protein", Basis::of_protein},
    Phrase{"of_protein", Basis::of_protein},
    Phrase{"crude protein", Basis::of_protein},
    Phrase{"protein", Basis::of_protein},
    Phrase{"of cp", Basis::of_protein},
    Phrase{"cp", Basis::of_protein},
};

struct Spelling {
    std::string_view written;  // lower case, without spaces
    std::string_view unit;
};

constexpr std::array spellings{
    Spelling{"%", "%"},
    Spelling{"percent", "%"},
    Spelling{"pct", "%"},
    Spelling{"%w/w", "%"},
    Spelling{"%m/m", "%"},
    Spelling{"%(w/w)", "%"},
    Spelling{"g/100g", "%"},
    Spelling{"g/kg", "g/kg"},
    Spelling{"mg/g", "mg/g"},
    Spelling{"mg/kg", "mg/kg"},
    Spelling{"ppm", "ppm"},
    Spelling{"g/t", "g/t"},
    Spelling{"ug/g", "ug/g"},
    Spelling{"mg/100g", "mg/100g"},
    Spelling{"ug/kg", "ug/kg"},
    Spelling{"ppb", "ppb"},
    Spelling{"ug/100g", "ug/100g"},
    Spelling{"g/g", "g/g"},
    Spelling{"kg/kg", "kg/kg"},
    Spelling{"iu/kg", "IU/kg"},
    Spelling{"iu/g", "IU/g"},
    Spelling{"kiu/kg", "kIU/kg"},
    Spelling{"mj/kg", "MJ/kg"},
    Spelling{"kj/g", "kJ/g"},
    Spelling{"kj/kg", "kJ/kg"},
    Spelling{"kcal/kg", "kcal/kg"},
    Spelling{"kcal/g", "kcal/g"},
    Spelling{"mcal/kg", "Mcal/kg"},
    Spelling{"kcal/lb", "kcal/lb"},
    Spelling{"meq/kg", "mEq/kg"},
    Spelling{"meq/100g", "mEq/100g"},
};

void replace_all(std::string& text, std::string_view from, std::string_view to) {
    for (std::size_t at = text.find(from); at != std::string::npos;
         at = text.find(from, at + to.size())) {
        text.replace(at, from.size(), to);
    }
}

// Takes a basis off the end of `text`, where a word begins.
std::optional<Basis> take_basis(std::string& text) {
    for (const Phrase& phrase : phrases) {
        if (!text.ends_with(phrase.words)) continue;
        const std::size_t at = text.size() - phrase.words.size();
        if (at > 0 && text[at - 1] != ' ' && text[at - 1] != '%' && text[at - 1] != ',') continue;
        text = std::string(base::trim(std::string_view(text).substr(0, at)));
        return phrase.basis;
    }
    return std::nullopt;
}

}  // namespace

std::optional<Measure> parse_measure(std::string_view written) {
    std::string text = base::lower(base::trim(written));
    for (const std::string_view micro :
         {"µ", "μ", "mc"}) {  // the micro sign, the Greek letter, mcg
        if (const std::size_t at = text.find(std::string(micro) + 'g'); at != std::string::npos) {
            text.replace(at, micro.size(), "u");
        }
    }
    Measure measure;
    // Grams in 16 g of nitrogen are grams in 100 g of crude protein.
    std::string packed = text;
    replace_all(packed, " ", "");
    replace_all(packed, "per", "/");
    if (packed == "g/16gn" || packed == "g/16gnitrogen") return Measure{"%", Basis::of_protein};
    measure.basis = take_basis(text);
    replace_all(text, " ", "");
    replace_all(text, "percent", "%");
    replace_all(text, "per", "/");
    replace_all(text, "gram", "g");
    // "g kg-1" with a minus of any kind
    replace_all(text, "\xE2\x88\x92", "-");
    replace_all(text, "\xE2\x81\xBB\xC2\xB9", "-1");
    for (const std::string_view whole : {"100g", "kg", "g"}) {
        if (!text.ends_with(std::string(whole) + "-1")) continue;
        text.resize(text.size() - whole.size() - 2);
        while (text.ends_with('.') || text.ends_with("\xC2\xB7"))
            text.resize(text.size() - (text.back() == '.' ? 1 : 2));
        text += '/' + std::string(whole);
        break;
    }
    while (!text.empty() && (text.back() == ',' || text.back() == ';'))
        text.pop_back();
    if (text.empty()) return measure.basis ? std::optional(measure) : std::nullopt;
    const auto at = std::find_if(spellings.begin(), spellings.end(), [&](const Spelling& spelling) {
        return spelling.written == text;
    });
    if (at == spellings.end()) return std::nullopt;
    measure.unit = at->unit;
    return measure;
}

}  // namespace feedwright::catalog
