// SPDX-License-Identifier: GPL-3.0-or-later
#include "feedwright/base/stream_file.hpp"

#include "feedwright/base/diagnostics.hpp"

#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>
#include <utility>

namespace feedwright::base {

namespace {

[[noreturn]] void fail(const std::string& path, const char* what) {
    const int error = errno;
    if (error == EPIPE) throw IoError(path + ": the program that reads it has ended");
    throw IoError(path + ": " + what + ": " + std::strerror(error));
}

}  // namespace

InputStream::InputStream(const std::string& path)
    : path_(path == "-" ? "standard input" : path),
      file_(path == "-" ? STDIN_FILENO : ::open(path.c_str(), O_RDONLY | O_CLOEXEC)) {
    if (file_ < 0) fail(path_, "cannot open");
}

InputStream::~InputStream() {
    if (file_ != STDIN_FILENO) ::close(file_);
}

bool InputStream::read(std::string& buffer, std::size_t most) {
    const std::size_t before = buffer.size();
    buffer.resize(before + most);
    ssize_t got = 0;
    do {
        got = ::read(file_, buffer.data() + before, most);
    } while (got < 0 && errno == EINTR);
    if (got < 0) {
        buffer.resize(before);
        fail(path_, "cannot read");
    }
    buffer.resize(before + static_cast<std::size_t>(got));
    bytes_read_ += static_cast<std::uint64_t>(got);
    return got > 0;
}

std::optional<std::uint64_t> InputStream::size() const {
    struct stat status {};
    if (::fstat(file_, &status) != 0 || !S_ISREG(status.st_mode)) return std::nullopt;
    return static_cast<std::uint64_t>(status.st_size);
}

OutputStream::OutputStream() : path_("standard output"), file_(STDOUT_FILENO) {}

OutputStream::OutputStream(std::string path, std::uint64_t keep)
    : path_(std::move(path)), file_(::open(path_.c_str(), O_WRONLY | O_CREAT | O_CLOEXEC, 0666)) {
    if (file_ < 0) fail(path_, "cannot open for writing");
    struct stat status {};
    if (::fstat(file_, &status) == 0 && S_ISREG(status.st_mode) &&
        (::ftruncate(file_, static_cast<off_t>(keep)) != 0 || ::lseek(file_, 0, SEEK_END) < 0)) {
        const int error = errno;
        ::close(file_);
        errno = error;
        fail(path_, "cannot write");
    }
}

OutputStream::~OutputStream() {
    if (file_ > STDERR_FILENO) ::close(file_);
}

void OutputStream::append(std::string_view text) {
    while (!text.empty()) {
        const ssize_t written = ::write(file_, text.data(), text.size());
        if (written < 0) {
            if (errno == EINTR) continue;
            fail(path_, "cannot write");
        }
        text.remove_prefix(static_cast<std::size_t>(written));
    }
}

void OutputStream::close() {
    // Some file systems tell only now that the disk is full.
    const int file = std::exchange(file_, -1);
    if (file > STDERR_FILENO && ::close(file) != 0) fail(path_, "cannot write");
}

}  // namespace feedwright::base
