// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/view.hpp"

#include <algorithm>
#include <variant>

namespace feedwright::document {

namespace {

bool in_full(const Heading& heading, const View& view) {
    return view.all ||
           std::find(view.parts.begin(), view.parts.end(), heading.part) != view.parts.end();
}

bool is_shown(const Heading& heading, const View& view) {
    switch (heading.shown) {
        case Depth::brief:
            return !in_full(heading, view);
        case Depth::full:
            return in_full(heading, view);
        case Depth::always:
            break;
    }
    return true;
}

}  // namespace

Document view_of(const Document& whole, const View& view) {
    Document document{whole.title, {}};
    bool shown = true;
    for (const Block& block : whole.blocks) {
        if (const auto* heading = std::get_if<Heading>(&block)) shown = is_shown(*heading, view);
        if (shown) document.blocks.push_back(block);
    }
    return document;
}

std::vector<std::string> parts_left_out(const Document& whole, const View& view) {
    std::vector<std::string> parts;
    for (const Block& block : whole.blocks) {
        const auto* heading = std::get_if<Heading>(&block);
        if (heading == nullptr || heading->shown != Depth::full || in_full(*heading, view))
            continue;
        if (heading->part.empty() ||
            std::find(parts.begin(), parts.end(), heading->part) != parts.end()) {
            continue;
        }
        parts.push_back(heading->part);
    }
    return parts;
}

}  // namespace feedwright::document
