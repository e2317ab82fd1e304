// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/interrupt.hpp"

#include <csignal>

namespace feedwright::cli {

namespace {

std::atomic<bool> asked_to_stop{false};
static_assert(std::atomic<bool>::is_always_lock_free, "a signal handler may touch nothing else");

extern "C" void note_interrupt(int) {
    asked_to_stop.store(true, std::memory_order_relaxed);
}

}  // namespace

const std::atomic<bool>& catch_interrupt() {
    struct sigaction action = {};
    action.sa_handler = note_interrupt;
    // Back to the default action after the first, and let system calls go on.
    action.sa_flags = static_cast<int>(SA_RESETHAND) | SA_RESTART;
    sigaction(SIGINT, &action, nullptr);
    return asked_to_stop;
}

}  // namespace feedwright::cli
