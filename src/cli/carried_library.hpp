// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catalog/snapshot.hpp"

namespace feedwright::cli {

/// The library that the build packed into the program.
catalog::Snapshot carried_library();

}  // namespace feedwright::cli
