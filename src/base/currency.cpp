// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/currency.hpp"

#include "base/text.hpp"

#include <algorithm>
#include <array>
#include <optional>

namespace feedwright::base {

namespace {

// Codes of ISO 4217 in use. ALL, CUP and KGS are left out: in a table of
// feeds they are words.
constexpr std::string_view codes =
    " AED AFN AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BHD BIF BMD BND BOB BRL BSD BTN BWP BYN "
    "BZD CAD CDF CHF CLP CNY COP CRC CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS "
    "GIP GMD GNF GTQ GYD HKD HNL HTG HUF IDR ILS INR IQD IRR ISK JMD JOD JPY KES KHR KMF KPW "
    "KRW KWD KYD KZT LAK LBP LKR LRD LSL LYD MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR "
    "MZN NAD NGN NIO NOK NPR NZD OMR PAB PEN PGK PHP PKR PLN PYG QAR RON RSD RUB RWF SAR SBD SCR "
    "SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TND TOP TRY TTD TWD TZS UAH UGX "
    "USD UYU UZS VES VND VUV WST XAF XCD XOF XPF YER ZAR ZMW ZWL ";
// Those that are English words count in capitals only.
constexpr std::string_view words = " BAM COP GEL MAD MOP PEN SOS TOP TRY ";

struct Sign {
    std::string_view written;  // letters in any case
    std::string_view currency;
};

// Longer ones first where one begins with another.
constexpr std::array signs{
    Sign{"US$", "USD"},   Sign{"AU$", "AUD"},  Sign{"CA$", "CAD"},   Sign{"NZ$", "NZD"},
    Sign{"HK$", "HKD"},   Sign{"NT$", "TWD"},  Sign{"R$", "BRL"},    Sign{"A$", "AUD"},
    Sign{"C$", "C$"},     Sign{"S$", "SGD"},   Sign{"$", "$"},       Sign{"€", "EUR"},
    Sign{"£", "£"},       Sign{"¥", "¥"},      Sign{"₹", "INR"},     Sign{"₦", "NGN"},
    Sign{"₱", "PHP"},     Sign{"₫", "VND"},    Sign{"GH₵", "GHS"},   Sign{"₵", "GHS"},
    Sign{"฿", "THB"},     Sign{"₺", "TRY"},    Sign{"₩", "KRW"},     Sign{"₴", "UAH"},
    Sign{"₽", "RUB"},   Sign{"₪", "ILS"},    Sign{"₡", "CRC"},     Sign{"৳", "BDT"},
    Sign{"zł", "PLN"},    Sign{"Kč", "CZK"},   Sign{"KShs.", "KES"}, Sign{"KShs", "KES"},
    Sign{"KSh.", "KES"},  Sign{"KSh", "KES"},  Sign{"UShs", "UGX"},  Sign{"USh", "UGX"},
    Sign{"TShs", "TZS"},  Sign{"TSh", "TZS"},  Sign{"FCFA", "FCFA"}, Sign{"CFA", "FCFA"},
    Sign{"FRW", "RWF"},   Sign{"Rs.", "Rs"},   Sign{"Rs", "Rs"},     Sign{"RM", "MYR"},
    Sign{"Rp.", "IDR"},   Sign{"Rp", "IDR"},   Sign{"kr.", "kr"},    Sign{"kr", "kr"},
    Sign{"euros", "EUR"}, Sign{"euro", "EUR"}, Sign{"dollars", "$"}, Sign{"dollar", "$"},
};

struct Shared {
    std::string_view sign;
    std::string_view codes;
};

// What a sign may stand for.
constexpr std::array shared{
    Shared{"$",
           " USD AUD CAD NZD SGD HKD TWD FJD NAD LRD JMD TTD BBD BSD BMD BZD GYD KYD SRD XCD SBD "
           "BND MXN ARS CLP COP UYU DOP NIO ZWL C$ "},
    Shared{"C$", " CAD NIO "},
    Shared{"£", " GBP EGP FKP GIP SHP SSP SDG LBP SYP "},
    Shared{"¥", " JPY CNY "},
    Shared{"Rs", " INR PKR LKR NPR MUR SCR "},
    Shared{"kr", " SEK NOK DKK ISK "},
    Shared{"FCFA", " XOF XAF "},
};

bool letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

bool has_word(std::string_view list, std::string_view word) {
    return list.find(' ' + std::string(word) + ' ') != std::string_view::npos;
}

// Letters must not touch others: "Rs" is no part of "Oats Rs".
bool stands_alone(std::string_view text, std::size_t at, std::size_t length) {
    const std::size_t end = at + length;
    const bool before = at > 0 && letter(text[at]) && letter(text[at - 1]);
    const bool after = end < text.size() && letter(text[end - 1]) && letter(text[end]);
    return !before && !after;
}

struct Match {
    std::size_t length = 0;
    std::string currency;
};

std::optional<Match> match_at(std::string_view text, std::size_t at) {
    const std::string_view rest = text.substr(at);
    for (const Sign& sign : signs) {
        const std::size_t length = sign.written.size();
        if (rest.size() < length || lower(rest.substr(0, length)) != lower(sign.written)) continue;
        if (stands_alone(text, at, length)) return Match{length, std::string(sign.currency)};
    }
    constexpr std::size_t code_length = 3;
    if (rest.size() < code_length || !stands_alone(text, at, code_length)) return std::nullopt;
    std::string code(rest.substr(0, code_length));
    const bool capitals =
        std::all_of(code.begin(), code.end(), [](char c) { return c >= 'A' && c <= 'Z'; });
    const bool small =
        std::all_of(code.begin(), code.end(), [](char c) { return c >= 'a' && c <= 'z'; });
    if (!capitals && !small) return std::nullopt;
    for (char& c : code) {
        if (c >= 'a') c = static_cast<char>(c - 'a' + 'A');
    }
    if (!has_word(codes, code) || (small && has_word(words, code))) return std::nullopt;
    return Match{code_length, code};
}

bool may_be(std::string_view sign, std::string_view code) {
    return std::any_of(shared.begin(), shared.end(),
                       [&](const Shared& s) { return s.sign == sign && has_word(s.codes, code); });
}

}  // namespace

WithoutCurrency without_currency(std::string_view text) {
    WithoutCurrency result;
    for (std::size_t at = 0; at < text.size();) {
        const auto match = match_at(text, at);
        if (!match) {
            result.text += text[at++];
            continue;
        }
        at += match->length;
        // Two, so that the numbers on its sides do not become one with a space in it.
        result.text += "  ";
        if (!same_currency(result.currency, match->currency)) {
            result.other = match->currency;
        } else {
            result.currency = clearer_currency(result.currency, match->currency);
        }
    }
    result.text = std::string(trim(result.text));
    return result;
}

bool same_currency(std::string_view one, std::string_view other) {
    return one.empty() || other.empty() || one == other || may_be(one, other) || may_be(other, one);
}

std::string clearer_currency(std::string_view one, std::string_view other) {
    if (one.empty() || may_be(one, other)) return std::string(other);
    return std::string(one);
}

}  // namespace feedwright::base
