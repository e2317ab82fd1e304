// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/encoding.hpp"

#include "base/diagnostics.hpp"
#include "base/text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstdint>

namespace feedwright::base {

namespace {

constexpr std::string_view utf8_mark = "\xEF\xBB\xBF";
constexpr std::string_view little_mark = "\xFF\xFE";
constexpr std::string_view big_mark = "\xFE\xFF";

constexpr const char* how_to_save =
    "Open it in the spreadsheet program, choose the sheet with the table, then \"Save as\" (or "
    "\"Download\") and the type CSV, in UTF-8 where it asks, and name that file here";

[[noreturn]] void refuse(const std::string& file, std::string place, std::string found,
                         std::string expected, std::string hint) {
    throw DataError(
        Diagnostic{file, std::move(place), std::move(found), std::move(expected), std::move(hint)});
}

void append_utf8(std::string& out, std::uint32_t code) {
    const auto byte = [&](std::uint32_t value) { out += static_cast<char>(value); };
    if (code < 0x80) {
        byte(code);
    } else if (code < 0x800) {
        byte(0xC0U | (code >> 6U));
        byte(0x80U | (code & 0x3FU));
    } else if (code < 0x10000) {
        byte(0xE0U | (code >> 12U));
        byte(0x80U | ((code >> 6U) & 0x3FU));
        byte(0x80U | (code & 0x3FU));
    } else {
        byte(0xF0U | (code >> 18U));
        byte(0x80U | ((code >> 12U) & 0x3FU));
        byte(0x80U | ((code >> 6U) & 0x3FU));
        byte(0x80U | (code & 0x3FU));
    }
}

std::string line_at(std::string_view text, std::size_t at) {
    return fmt::format("line {}",
                       1 + std::count(text.begin(), text.begin() + static_cast<long>(at), '\n'));
}

std::string from_utf16(std::string_view bytes, bool little, const std::string& file) {
    const auto unit = [&](std::size_t i) {
        const std::uint32_t one = static_cast<unsigned char>(bytes[i]);
        const std::uint32_t two = static_cast<unsigned char>(bytes[i + 1]);
        return little ? one | (two << 8U) : two | (one << 8U);
    };
    std::string out;
    for (std::size_t i = 0; i + 1 < bytes.size(); i += 2) {
        std::uint32_t code = unit(i);
        const bool first_half = code >= 0xD800 && code < 0xDC00;
        if (first_half && i + 3 < bytes.size() && unit(i + 2) >= 0xDC00 && unit(i + 2) < 0xE000) {
            i += 2;
            code = 0x10000 + ((code - 0xD800) << 10U) + (unit(i) - 0xDC00);
        } else if (code == 0 || (code >= 0xD800 && code < 0xE000)) {
            refuse(file, line_at(out, out.size()), "half a letter of UTF-16", "UTF-16 text",
                   "Save the table as UTF-8");
        }
        append_utf8(out, code);
    }
    if (bytes.size() % 2 != 0) {
        refuse(file, line_at(out, out.size()), "half a letter of UTF-16", "UTF-16 text",
               "Save the table as UTF-8");
    }
    return out;
}

// Unicode of the bytes 0x80 to 0x9F of Windows-1252; 0 where it has none. The others are their own.
constexpr std::array<std::uint16_t, 32> western_letters{
    0x20AC, 0,      0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021, 0x02C6, 0x2030, 0x0160,
    0x2039, 0x0152, 0,      0x017D, 0,      0,      0x2018, 0x2019, 0x201C, 0x201D, 0x2022,
    0x2013, 0x2014, 0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0,      0x017E, 0x0178};

std::string from_western(std::string_view bytes, const std::string& file) {
    std::string out;
    for (std::size_t i = 0; i < bytes.size(); ++i) {
        const auto c = static_cast<unsigned char>(bytes[i]);
        std::uint32_t code = c;
        if (c >= 0x80 && c < 0xA0) code = western_letters[c - 0x80U];
        if (code == 0) {
            refuse(file, line_at(bytes, i), "bytes that are not UTF-8, nor Western European",
                   "UTF-8 text", "Save the table as UTF-8");
        }
        append_utf8(out, code);
    }
    return out;
}

struct Beginning {
    std::string_view bytes;
    const char* what;
    bool workbook;
};

constexpr std::array beginnings{
    Beginning{"PK\x03\x04", "a workbook (.xlsx or .ods) or a zip archive", true},
    Beginning{"\xD0\xCF\x11\xE0", "a workbook (.xls) or another office document", true},
    Beginning{"\x1F\x8B", "a compressed file (gzip)", false},
    Beginning{"%PDF", "a PDF document", true},
    Beginning{"PAR1", "a Parquet file", false},
    Beginning{"{\\rtf", "a text document (RTF)", true},
    Beginning{"<!DOCTYPE", "a web page", true},
    Beginning{"<!doctype", "a web page", true},
    Beginning{"<html", "a web page", true},
    Beginning{"<?xml", "an XML file", true},
};

}  // namespace

void refuse_what_is_no_table(std::string_view bytes, const std::string& file) {
    if (bytes.starts_with(utf8_mark)) bytes.remove_prefix(utf8_mark.size());
    for (const Beginning& beginning : beginnings) {
        if (!bytes.starts_with(beginning.bytes)) continue;
        refuse(file, "", beginning.what, "a table as text (CSV)",
               beginning.workbook ? how_to_save : "Unpack it, or write the table as CSV");
    }
    if (bytes.starts_with(little_mark) || bytes.starts_with(big_mark)) return;
    const bool halves =
        bytes.size() >= 4 && ((bytes[0] == 0 && bytes[2] == 0) || (bytes[1] == 0 && bytes[3] == 0));
    if (halves) {
        refuse(file, "line 1", "UTF-16 without the mark that says so", "UTF-8 text",
               "Save the table as UTF-8");
    }
}

PlainText plain_text(std::string_view bytes, const std::string& file) {
    refuse_what_is_no_table(bytes, file);
    if (bytes.starts_with(little_mark) || bytes.starts_with(big_mark)) {
        const bool little = bytes.starts_with(little_mark);
        return {from_utf16(bytes.substr(2), little, file), Encoding::utf16};
    }
    if (bytes.starts_with(utf8_mark)) bytes.remove_prefix(utf8_mark.size());
    const std::size_t good = utf8_length(bytes);
    if (good == bytes.size()) return {std::string(bytes), Encoding::utf8};
    const bool partly = std::any_of(bytes.begin(), bytes.begin() + static_cast<long>(good),
                                    [](char c) { return static_cast<unsigned char>(c) >= 0x80; });
    if (partly) {
        refuse(file, line_at(bytes, good), "bytes that are not UTF-8, below lines that are",
               "UTF-8 text", "Save the table as UTF-8");
    }
    return {from_western(bytes, file), Encoding::western};
}

}  // namespace feedwright::base
