// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/document.hpp"

#include <string>
#include <vector>

namespace feedwright::document {

/// How much of a report is asked for.
struct View {
    bool all = false;                ///< every section in full
    std::vector<std::string> parts;  ///< the sections to show in full, by their word
};

/// The sections of `whole` that the view asks for: those shown always, the full form of the parts
/// that are asked for and the short form of the others. A section is a heading and what follows it
/// up to the next.
Document view_of(const Document& whole, const View& view);

/// The words of the parts that `whole` holds in a full form which the view leaves out, in the order
/// of the report.
std::vector<std::string> parts_left_out(const Document& whole, const View& view);

}  // namespace feedwright::document
