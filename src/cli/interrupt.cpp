// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/interrupt.hpp"

#include <array>
#include <csignal>
#include <string>
#include <unistd.h>

namespace feedwright::cli {

namespace {

std::atomic<bool> asked_to_stop{false};
static_assert(std::atomic<bool>::is_always_lock_free, "a signal handler may touch nothing else");

extern "C" void note_interrupt(int) {
    asked_to_stop.store(true, std::memory_order_relaxed);
}

// What the handler below needs, ready made: it may neither build texts nor ask for memory.
std::string unfinished_file;
std::string unfinished_message;
std::atomic<bool> results_held{false};
constexpr std::array ending_signals{SIGINT, SIGTERM, SIGHUP};

extern "C" void end_unfinished(int signal) {
    if (results_held.load(std::memory_order_relaxed)) {
        const ssize_t written =
            ::write(STDERR_FILENO, unfinished_message.data(), unfinished_message.size());
        static_cast<void>(written);
    } else {
        ::unlink(unfinished_file.c_str());
    }
    // The action is the usual one by now (SA_RESETHAND): this ends the program.
    ::raise(signal);
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

UnfinishedNotice::UnfinishedNotice(const std::string& file, bool holds_results)
    : any_(!file.empty()) {
    if (!any_) return;
    unfinished_file = file;
    const char* over_progress = ::isatty(STDERR_FILENO) == 1 ? "\r\033[K" : "";
    unfinished_message = over_progress;
    unfinished_message += "feedwright: stopped. The lines written so far are in " + file +
                          ": the same command with --resume goes on after them.\n";
    results_held = holds_results;
    for (const int signal : ending_signals) {
        struct sigaction action = {};
        // What the parent has ignored (nohup) stays so.
        if (sigaction(signal, nullptr, &action) != 0 || action.sa_handler == SIG_IGN) continue;
        action = {};
        action.sa_handler = end_unfinished;
        action.sa_flags = static_cast<int>(SA_RESETHAND) | SA_RESTART;
        sigaction(signal, &action, nullptr);
    }
}

UnfinishedNotice::~UnfinishedNotice() {
    if (!any_) return;
    for (const int signal : ending_signals) {
        struct sigaction action = {};
        if (sigaction(signal, nullptr, &action) != 0 || action.sa_handler != end_unfinished)
            continue;
        std::signal(signal, SIG_DFL);
    }
}

void UnfinishedNotice::holds_results() {
    results_held.store(true, std::memory_order_relaxed);
}

}  // namespace feedwright::cli
