// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <atomic>
#include <string>

namespace feedwright::cli {

/// From now on the first Ctrl-C sets the flag that is returned, so that a search can end with the
/// best it has; a second one ends the program. Calling it again changes nothing.
const std::atomic<bool>& catch_interrupt();

/// As long as it lives, Ctrl-C, SIGTERM and SIGHUP say what becomes of an unfinished file before
/// they end the program as usual: it stays where it holds results to go on with, else it is
/// removed. One at a time.
class UnfinishedNotice {
  public:
    /// `file` may be empty: there is none.
    UnfinishedNotice(const std::string& file, bool holds_results);
    ~UnfinishedNotice();
    UnfinishedNotice(const UnfinishedNotice&) = delete;
    UnfinishedNotice& operator=(const UnfinishedNotice&) = delete;

    void holds_results();

  private:
    bool any_;
};

}  // namespace feedwright::cli
