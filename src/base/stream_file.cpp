// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/stream_file.hpp"

#include "base/diagnostics.hpp"

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <filesystem>
#include <sys/file.h>
#include <sys/stat.h>
#include <system_error>
#include <unistd.h>
#include <utility>

namespace feedwright::base {

namespace {

[[noreturn]] void fail(const std::string& path, const char* what) {
    const int error = errno;
    if (error == EPIPE) throw IoError(path + ": the program that reads it has ended");
    throw IoError(path + ": " + what + ": " + std::strerror(error));
}

// What `path` names once symbolic links are followed, also one that points at nothing yet.
std::string behind_links(const std::string& path) {
    namespace fs = std::filesystem;
    constexpr int most_links = 40;  // as Linux follows
    fs::path at = path;
    std::error_code error;
    for (int links = 0; fs::is_symlink(at, error); ++links) {
        if (links == most_links) {
            errno = ELOOP;
            fail(path, "cannot open for writing");
        }
        const fs::path next = fs::read_symlink(at, error);
        at = next.is_absolute() ? next : at.parent_path() / next;
    }
    return at.string();
}

bool same(const struct stat& a, const struct stat& b) {
    return a.st_dev == b.st_dev && a.st_ino == b.st_ino;
}

// Opens the unfinished file `name` so that no other run can.
int open_alone(const std::string& path, const std::string& name) {
    while (true) {
        const int file =
            ::open(name.c_str(), O_WRONLY | O_CREAT | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK, 0666);
        if (file < 0) fail(path, "cannot open for writing");
        struct stat opened {};
        const bool regular = ::fstat(file, &opened) == 0 && S_ISREG(opened.st_mode);
        // A file system without locks is no reason to fail.
        const bool taken = ::flock(file, LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK;
        if (!regular || taken) {
            ::close(file);
            throw IoError(
                name + (taken ? ": another run is writing it" : ": is in the way, and is no file"));
        }
        struct stat named {};
        if (::stat(name.c_str(), &named) == 0 && same(opened, named)) return file;
        // Another run has ended in between and given the file its name.
        ::close(file);
    }
}

}  // namespace

std::string unfinished_name(const std::string& path) {
    struct stat status {};
    if (::stat(path.c_str(), &status) == 0 && !S_ISREG(status.st_mode)) return {};
    return behind_links(path) + ".unfinished";
}

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

OutputStream::OutputStream(std::string path, From from, std::uint64_t keep)
    : path_(std::move(path)), file_(-1) {
    struct stat status {};
    const bool exists = ::stat(path_.c_str(), &status) == 0;
    if (exists && !S_ISREG(status.st_mode)) {
        file_ = ::open(path_.c_str(), O_WRONLY | O_CLOEXEC);
        if (file_ < 0) fail(path_, "cannot open for writing");
        return;
    }
    if (exists && ::access(path_.c_str(), W_OK) != 0) fail(path_, "cannot open for writing");
    target_ = behind_links(path_);
    const std::string name = unfinished_name(path_);
    file_ = open_alone(path_, name);
    try {
        take(from, keep);
        // The process's umask must not take away what the old file allowed.
        if (exists && ::fchmod(file_, status.st_mode & 07777U) != 0) fail(path_, "cannot write");
    } catch (...) {
        if (from != From::unfinished) ::unlink(name.c_str());
        ::close(file_);
        throw;
    }
    unfinished_ = name;
    appended_ = 0;
    // What an earlier run left is not this run's to throw away.
    keep_unfinished_ = from == From::unfinished;
}

OutputStream::~OutputStream() {
    if (!unfinished_.empty() && !keep_unfinished_) ::unlink(unfinished_.c_str());
    if (file_ > STDERR_FILENO) ::close(file_);
}

void OutputStream::take(From from, std::uint64_t keep) {
    const bool there = from == From::unfinished;
    if (::ftruncate(file_, there ? static_cast<off_t>(keep) : 0) != 0 ||
        ::lseek(file_, 0, SEEK_END) < 0) {
        fail(path_, "cannot write");
    }
    if (from != From::file) return;
    InputStream old(path_);
    constexpr std::size_t block = std::size_t{1} << 20U;
    std::string text;
    while (keep > 0) {
        text.clear();
        if (!old.read(text, std::min<std::uint64_t>(block, keep))) {
            throw IoError(path_ + ": became shorter while it was read");
        }
        append(text);
        keep -= text.size();
    }
}

void OutputStream::append(std::string_view text) {
    while (!text.empty()) {
        const ssize_t written = ::write(file_, text.data(), text.size());
        if (written < 0) {
            if (errno == EINTR) continue;
            fail(path_, "cannot write");
        }
        appended_ += static_cast<std::uint64_t>(written);
        text.remove_prefix(static_cast<std::size_t>(written));
    }
}

void OutputStream::close() {
    if (!unfinished_.empty()) {
        // Some file systems tell only now that the disk is full.
        if (::fsync(file_) != 0) fail(path_, "cannot write");
        // Still open, so that no other run takes it for its own unfinished file.
        if (::rename(unfinished_.c_str(), target_.c_str()) != 0) {
            keep_unfinished_ = true;
            fail(path_, "cannot write");
        }
        unfinished_.clear();
    }
    const int file = std::exchange(file_, -1);
    if (file > STDERR_FILENO && ::close(file) != 0) fail(path_, "cannot write");
}

}  // namespace feedwright::base
