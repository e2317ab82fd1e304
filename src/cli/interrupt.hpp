// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <atomic>

namespace feedwright::cli {

/// From now on the first Ctrl-C sets the flag that is returned, so that a search can end with the
/// best it has; a second one ends the program. Calling it again changes nothing.
const std::atomic<bool>& catch_interrupt();

}  // namespace feedwright::cli
