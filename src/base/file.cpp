// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/file.hpp"

#include "base/diagnostics.hpp"

#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <filesystem>
#include <string>
#include <sys/stat.h>
#include <system_error>
#include <unistd.h>

namespace feedwright::base {

namespace {

[[noreturn]] void fail(const std::string& what, const std::string& path, int error) {
    throw IoError(path + ": " + what + ": " + std::strerror(error));
}

class Descriptor {
  public:
    explicit Descriptor(int fd) : fd_(fd) {}
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    ~Descriptor() { close(); }
    int get() const { return fd_; }
    int close() {
        const int result = fd_ > 2 ? ::close(fd_) : 0;
        fd_ = -1;
        return result;
    }

  private:
    int fd_;
};

void write_all(int fd, std::string_view content, const std::string& path) {
    while (!content.empty()) {
        const ssize_t written = ::write(fd, content.data(), content.size());
        if (written < 0) {
            if (errno == EINTR) continue;
            fail("cannot write", path, errno);
        }
        content.remove_prefix(static_cast<std::size_t>(written));
    }
}

}  // namespace

std::string read_file(const std::string& path) {
    Descriptor file(path == "-" ? 0 : ::open(path.c_str(), O_RDONLY | O_CLOEXEC));
    if (file.get() < 0) fail("cannot open", path, errno);
    struct stat status {};
    if (::fstat(file.get(), &status) == 0 && S_ISDIR(status.st_mode)) {
        fail("cannot read", path, EISDIR);
    }
    std::string text;
    std::size_t size = 0;
    text.resize(S_ISREG(status.st_mode) ? static_cast<std::size_t>(status.st_size) + 1 : 65536);
    while (true) {
        if (size == text.size()) text.resize(2 * text.size());
        const ssize_t got = ::read(file.get(), text.data() + size, text.size() - size);
        if (got < 0) {
            if (errno == EINTR) continue;
            fail("cannot read", path, errno);
        }
        if (got == 0) break;
        size += static_cast<std::size_t>(got);
    }
    text.resize(size);
    return text;
}

void write_file(const std::string& path, std::string_view content) {
    struct stat status {};
    const bool exists = ::stat(path.c_str(), &status) == 0;
    if (exists && S_ISDIR(status.st_mode)) fail("cannot write", path, EISDIR);
    if (exists && !S_ISREG(status.st_mode)) {
        Descriptor device(::open(path.c_str(), O_WRONLY | O_CLOEXEC));
        if (device.get() < 0) fail("cannot open for writing", path, errno);
        write_all(device.get(), content, path);
        return;
    }
    if (exists && ::access(path.c_str(), W_OK) != 0) fail("cannot write", path, errno);
    // Through a symbolic link the file it points at is replaced, not the link.
    std::error_code unresolved;
    const std::filesystem::path real = std::filesystem::canonical(path, unresolved);
    const std::string target = unresolved ? path : real.string();
    const std::string neighbour = target + ".part-" + std::to_string(::getpid());
    Descriptor file(::open(neighbour.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC,
                           exists ? status.st_mode & 07777U : 0666U));
    if (file.get() < 0) fail("cannot write", path, errno);
    try {
        // The process's umask must not take away what the old file allowed.
        if (exists && ::fchmod(file.get(), status.st_mode & 07777U) != 0) {
            fail("cannot write", path, errno);
        }
        write_all(file.get(), content, path);
        if (::fsync(file.get()) != 0) fail("cannot write", path, errno);
        if (file.close() != 0) fail("cannot write", path, errno);
        if (::rename(neighbour.c_str(), target.c_str()) != 0) fail("cannot write", path, errno);
    } catch (...) {
        ::unlink(neighbour.c_str());
        throw;
    }
}

}  // namespace feedwright::base
