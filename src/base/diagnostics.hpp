// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

namespace feedwright {

/// Root of every exception thrown here; `main` catches it once and exits with 1.
class Error : public std::runtime_error {
  public:
    using std::runtime_error::runtime_error;
};

/// A file that cannot be read or written, or a full disk.
class IoError : public Error {
  public:
    using Error::Error;
};

namespace base {

/// One thing wrong with the user's data: where it is, what stands there, what should, and what to
/// do about it. Every field is text for people; `hint` may be empty.
struct Diagnostic {
    std::string file;      ///< as the user named it, or "command line"
    std::string place;     ///< "line 4, /ingredients/0/max" or "line 3, column price"
    std::string found;     ///< what stands there
    std::string expected;  ///< what would be right
    std::string hint;      ///< what to do: "did you mean crude_protein?"

    /// "job.json: line 4, /limits/0/min: found 120; expected 0 to 100 %. Did you mean …?"
    std::string text() const;
};

/// Data problems gathered over a whole load, so that all are reported together.
class Diagnostics {
  public:
    void add(Diagnostic diagnostic);
    bool empty() const { return list_.empty(); }
    const std::vector<Diagnostic>& list() const { return list_; }

    /// Throws DataError with everything gathered, if anything was.
    void throw_if_any() const;

  private:
    std::vector<Diagnostic> list_;
};

/// The user's data cannot be used as it stands. `what()` is one line a problem.
class DataError : public Error {
  public:
    explicit DataError(std::vector<Diagnostic> list);
    explicit DataError(const Diagnostic& diagnostic);
    const std::vector<Diagnostic>& list() const { return list_; }

  private:
    std::vector<Diagnostic> list_;
};

}  // namespace base
}  // namespace feedwright
