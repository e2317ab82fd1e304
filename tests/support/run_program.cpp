// SPDX-License-Identifier: GPL-3.0-or-later
#include "support/run_program.hpp"

#include "base/file.hpp"
#include "support/paths.hpp"

#include <array>
#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <fcntl.h>
#include <pty.h>
#include <sstream>
#include <sys/wait.h>
#include <system_error>
#include <termios.h>
#include <unistd.h>

namespace feedwright::test {

namespace {

constexpr unsigned most_seconds = 60;

int opened(const char* path, int flags) {
    constexpr int mode = 0600;
    const int fd = ::open(path, flags, mode);
    if (fd < 0) throw std::system_error(errno, std::generic_category(), path);
    return fd;
}

// The program's end of a new terminal; the other end goes to `reader`.
int open_terminal(int& reader) {
    int writer = -1;
    if (::openpty(&reader, &writer, nullptr, nullptr, nullptr) != 0) {
        throw std::system_error(errno, std::generic_category(), "openpty");
    }
    termios settings{};
    ::tcgetattr(writer, &settings);
    settings.c_oflag &= ~static_cast<tcflag_t>(OPOST);  // no carriage returns
    ::tcsetattr(writer, TCSANOW, &settings);
    return writer;
}

// Until the program has closed its end.
std::string read_terminal(int reader) {
    std::string text;
    std::array<char, 4096> part{};
    for (ssize_t got = 0; (got = ::read(reader, part.data(), part.size())) > 0;) {
        text.append(part.data(), static_cast<std::size_t>(got));
    }
    return text;
}

int output_of(const ProgramRun& run, const std::string& file, int& reader) {
    switch (run.output) {
        case ProgramRun::Output::terminal:
            return open_terminal(reader);
        case ProgramRun::Output::captured:
            return opened(file.c_str(), O_WRONLY | O_CREAT | O_TRUNC);
        case ProgramRun::Output::full_disk:
            return opened("/dev/full", O_WRONLY);
        case ProgramRun::Output::closed:
            return -1;
        case ProgramRun::Output::broken_pipe:
            break;
    }
    std::array<int, 2> ends{};
    if (::pipe(ends.data()) != 0) throw std::system_error(errno, std::generic_category(), "pipe");
    ::close(ends[0]);
    return ends[1];
}

}  // namespace

ProgramResult run_program(const ProgramRun& run) {
    const TempFolder temp;
    const std::string folder = run.folder.empty() ? source_folder().string() : run.folder;
    std::vector<std::string> words{FEEDWRIGHT_PROGRAM};
    words.insert(words.end(), run.arguments.begin(), run.arguments.end());
    std::vector<char*> argv;
    for (std::string& word : words)
        argv.push_back(word.data());
    argv.push_back(nullptr);
    const int in = opened(run.input.empty() ? "/dev/null" : run.input.c_str(), O_RDONLY);
    int reader = -1;
    const int out = output_of(run, temp.file("out"), reader);
    const int err = opened(temp.file("err").c_str(), O_WRONLY | O_CREAT | O_TRUNC);

    const pid_t child = ::fork();
    if (child < 0) throw std::system_error(errno, std::generic_category(), "fork");
    if (child == 0) {
        ::dup2(in, STDIN_FILENO);
        if (out >= 0) {
            ::dup2(out, STDOUT_FILENO);
        } else {
            ::close(STDOUT_FILENO);
        }
        ::dup2(err, STDERR_FILENO);
        for (const int fd : {in, out, err, reader}) {
            if (fd > STDERR_FILENO) ::close(fd);
        }
        for (const auto& [name, value] : run.environment)
            ::setenv(name.c_str(), value.c_str(), 1);
        std::signal(SIGPIPE, run.ignore_broken_pipe ? SIG_IGN : SIG_DFL);
        ::alarm(most_seconds);  // stays set in the program
        if (::chdir(folder.c_str()) == 0) ::execv(argv[0], argv.data());
        ::_exit(127);
    }
    for (const int fd : {in, out, err}) {
        if (fd >= 0) ::close(fd);
    }
    ProgramResult result;
    if (reader >= 0) {
        result.output = read_terminal(reader);
        ::close(reader);
    }
    int status = 0;
    while (::waitpid(child, &status, 0) < 0 && errno == EINTR) {
    }
    if (WIFEXITED(status)) result.exit_code = WEXITSTATUS(status);
    if (WIFSIGNALED(status)) result.signal = WTERMSIG(status);
    if (run.output == ProgramRun::Output::captured)
        result.output = base::read_file(temp.file("out"));
    result.errors = base::read_file(temp.file("err"));
    return result;
}

std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    std::istringstream in(text);
    for (std::string line; std::getline(in, line);)
        lines.push_back(line);
    return lines;
}

}  // namespace feedwright::test
