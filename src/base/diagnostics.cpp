// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"

#include "base/text.hpp"

#include <utility>

namespace feedwright::base {

namespace {

std::string joined(const std::vector<Diagnostic>& list) {
    std::string text;
    for (const Diagnostic& d : list) {
        if (!text.empty()) text += '\n';
        text += d.text();
    }
    return text;
}

}  // namespace

std::string Diagnostic::text() const {
    std::string out = file;
    if (!place.empty()) out += (out.empty() ? "" : ": ") + printable(place, 400);
    if (!out.empty()) out += ": ";
    constexpr std::size_t most = 160;
    out += "found " + printable(found, most);
    if (!expected.empty()) out += "; expected " + printable(expected, 1000);
    out += '.';
    if (!hint.empty()) {
        out += ' ' + hint;
        if (hint.back() != '?' && hint.back() != '.') out += '.';
    }
    return out;
}

void Diagnostics::add(Diagnostic diagnostic) {
    list_.push_back(std::move(diagnostic));
}

void Diagnostics::throw_if_any() const {
    if (!list_.empty()) throw DataError(list_);
}

DataError::DataError(std::vector<Diagnostic> list) : Error(joined(list)), list_(std::move(list)) {}

DataError::DataError(const Diagnostic& diagnostic)
    : DataError(std::vector<Diagnostic>{diagnostic}) {}

}  // namespace feedwright::base
