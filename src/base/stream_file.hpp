// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

// Files too large for memory: read block by block, written as results come.
namespace feedwright::base {

/// Every call throws IoError that names the file and the reason.
class InputStream {
  public:
    /// "-" is standard input.
    explicit InputStream(const std::string& path);
    ~InputStream();
    InputStream(const InputStream&) = delete;
    InputStream& operator=(const InputStream&) = delete;

    /// Appends what comes next, at most `most` bytes, to `buffer`; false at the end of the file.
    bool read(std::string& buffer, std::size_t most);
    std::uint64_t bytes_read() const { return bytes_read_; }
    /// Empty for what is not a regular file.
    std::optional<std::uint64_t> size() const;
    const std::string& path() const { return path_; }

  private:
    std::string path_;
    int file_;
    std::uint64_t bytes_read_ = 0;
};

/// Where a file that `path` names is written until it is whole: its own name, links followed, and
/// ".unfinished". "" where `path` is something else than a file (a device, a pipe, a folder).
std::string unfinished_name(const std::string& path);

/// Every call throws IoError that names the file and the reason (full disk, a pipe whose reader is
/// gone: the process must ignore SIGPIPE for that).
class OutputStream {
  public:
    /// What a file begins with.
    enum class From {
        nothing,    ///< it is begun anew
        file,       ///< the beginning of the file of that name
        unfinished  ///< the beginning of its unfinished file, which an earlier run left
    };

    /// Standard output.
    OutputStream();
    /// A file, which begins with `keep` bytes of `from`. It is written as unfinished_name(path) and
    /// gets its name in close(): until then what stood there is as it was. Nobody else can write it
    /// meanwhile. Devices and pipes are written straight.
    OutputStream(std::string path, From from, std::uint64_t keep);
    /// Removes a file that is not whole, unless keep_unfinished() was called.
    ~OutputStream();
    OutputStream(const OutputStream&) = delete;
    OutputStream& operator=(const OutputStream&) = delete;

    void append(std::string_view text);
    /// Bytes that append() has written, also those of a call that failed.
    std::uint64_t appended() const { return appended_; }
    void keep_unfinished() { keep_unfinished_ = true; }
    /// To be called at the end: an error may only show here.
    void close();

  private:
    void take(From from, std::uint64_t keep);

    std::string path_;
    std::string target_;      // the name it gets in the end
    std::string unfinished_;  // the name it has until then; empty: none
    std::uint64_t appended_ = 0;
    bool keep_unfinished_ = false;
    int file_;
};

}  // namespace feedwright::base
