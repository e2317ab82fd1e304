// SPDX-License-Identifier: GPL-3.0-or-later
// For libFuzzer, which comes with clang; not part of the usual build (-DFEEDWRIGHT_FUZZ=ON). The
// first byte picks the kind of file. Whatever it finds is kept, without that byte, under
// tests/fuzz/corpus/NAME.job.json and the like.
#include "fuzz/try_input.hpp"

#include <cstddef>
#include <cstdint>
#include <string>

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size == 0) return 0;
    const auto kind = feedwright::test::input_kinds[*data % feedwright::test::input_kinds.size()];
    feedwright::test::try_input(kind, std::string(data + 1, data + size));
    return 0;
}
