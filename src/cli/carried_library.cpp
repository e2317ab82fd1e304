// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/carried_library.hpp"

// The assembler copies the packed file in; C++20 has no #embed.
asm(".section .rodata\n"
    ".balign 16\n"
    "feedwright_packed_begin:\n"
    ".incbin \"" FEEDWRIGHT_PACKED_LIBRARY
    "\"\n"
    "feedwright_packed_end:\n"
    ".byte 0\n"
    ".globl feedwright_packed_begin\n"
    ".globl feedwright_packed_end\n"
    ".previous\n");

extern "C" {
extern const char feedwright_packed_begin[];  // NOLINT(modernize-avoid-c-arrays)
extern const char feedwright_packed_end[];    // NOLINT(modernize-avoid-c-arrays)
}

namespace feedwright::cli {

catalog::Snapshot carried_library() {
    return catalog::Snapshot(
        {feedwright_packed_begin,
         static_cast<std::size_t>(feedwright_packed_end - feedwright_packed_begin)});
}

}  // namespace feedwright::cli
