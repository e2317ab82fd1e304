// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>

namespace feedwright::base {

/// How the bytes of a text stand for letters. `western` is Windows-1252, which spreadsheets on
/// Windows write; Latin-1 is a part of it.
enum class Encoding { utf8, utf16, western };

struct PlainText {
    std::string text;  ///< UTF-8, without a byte order mark
    Encoding encoding = Encoding::utf8;
};

/// The text of a file: UTF-8, UTF-16 with a byte order mark, and Windows-1252 where the bytes are
/// not UTF-8. Throws DataError for what is no text (a workbook, an archive, a page, JSON is left to
/// the caller), for UTF-16 without its mark, and for bytes that are partly UTF-8.
PlainText plain_text(std::string_view bytes, const std::string& file);

/// Throws DataError when `bytes`, the beginning of a file, are those of a workbook (.xlsx, .ods,
/// .xls), an archive, a document or a page, and says how to save a table.
void refuse_what_is_no_table(std::string_view bytes, const std::string& file);

}  // namespace feedwright::base
