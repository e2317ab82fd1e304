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

/// Every call throws IoError that names the file and the reason (full disk, a pipe whose reader is
/// gone: the process must ignore SIGPIPE for that).
class OutputStream {
  public:
    /// Standard output.
    OutputStream();
    /// A file, of which the first `keep` bytes stay; it is made if there is none.
    OutputStream(std::string path, std::uint64_t keep);
    ~OutputStream();
    OutputStream(const OutputStream&) = delete;
    OutputStream& operator=(const OutputStream&) = delete;

    void append(std::string_view text);
    /// To be called at the end: an error may only show here.
    void close();

  private:
    std::string path_;
    int file_;
};

}  // namespace feedwright::base
