// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/file.hpp"

#include "base/diagnostics.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <filesystem>
#include <string>
#include <sys/stat.h>
#include <unistd.h>

using namespace feedwright;
using namespace feedwright::base;
namespace fs = std::filesystem;

namespace {

std::size_t files_in(const fs::path& folder) {
    return static_cast<std::size_t>(
        std::distance(fs::directory_iterator(folder), fs::directory_iterator()));
}

}  // namespace

TEST_CASE("what is written is read back, whatever the bytes") {
    const test::TempFolder folder;
    const std::string path = folder.file("a.txt");
    std::string content(200000, 'x');
    content += std::string("\0\r\n\xFF", 4);
    write_file(path, content);
    CHECK(read_file(path) == content);
    write_file(path, "");
    CHECK(read_file(path).empty());
    write_file(path, "short");
    CHECK(read_file(path) == "short");
    CHECK(files_in(folder.path()) == 1);
}

TEST_CASE("read_file names the file and the reason") {
    const test::TempFolder folder;
    CHECK_THROWS_AS(read_file(folder.file("absent.json")), IoError);
    CHECK_THROWS_WITH(read_file(folder.file("absent.json")),
                      Catch::Contains("absent.json") && Catch::Contains("No such file"));
    CHECK_THROWS_WITH(read_file(folder.path().string()), Catch::Contains("directory"));
}

TEST_CASE("read_file reads what has no size beforehand") {
    CHECK_FALSE(read_file("/proc/self/status").empty());
    CHECK(read_file("/dev/null").empty());
}

TEST_CASE("a failed write leaves the old file and no neighbour behind") {
    const test::TempFolder folder;
    const std::string path = folder.write("old.txt", "old");
    // The rename fails because the target is a folder; the write because the disk is full.
    fs::create_directory(folder.path() / "sub");
    CHECK_THROWS_AS(write_file(folder.file("sub"), "new"), IoError);
    CHECK_THROWS_AS(write_file("/dev/full", "new"), IoError);
    CHECK_THROWS_WITH(write_file("/dev/full", "new"),
                      Catch::Contains("/dev/full") && Catch::Contains("No space"));
    CHECK_THROWS_AS(write_file(folder.file("no/such/folder.txt"), "new"), IoError);
    CHECK_THROWS_WITH(write_file(folder.file("no/such/folder.txt"), "new"),
                      Catch::Contains("no/such/folder.txt"));
    CHECK(read_file(path) == "old");
    CHECK(files_in(folder.path()) == 2);
}

TEST_CASE("without permission nothing is written") {
    if (::geteuid() == 0) {
        WARN("root may write everything; not tested");
        return;
    }
    const test::TempFolder folder;
    const std::string path = folder.write("old.txt", "old");
    fs::permissions(path, fs::perms::owner_read);
    CHECK_THROWS_AS(write_file(path, "new"), IoError);
    fs::permissions(folder.path(), fs::perms::owner_read | fs::perms::owner_exec);
    CHECK_THROWS_AS(write_file(folder.file("new.txt"), "new"), IoError);
    fs::permissions(folder.path(), fs::perms::owner_all);
    CHECK(read_file(path) == "old");
    CHECK(files_in(folder.path()) == 1);
}

TEST_CASE("an existing file keeps its permissions") {
    const test::TempFolder folder;
    const std::string path = folder.write("old.txt", "old");
    for (const fs::perms wanted : {fs::perms(0600), fs::perms(0666)}) {
        fs::permissions(path, wanted);
        write_file(path, "new");
        CHECK(read_file(path) == "new");
        CHECK((fs::status(path).permissions() & fs::perms::all) == wanted);
    }
}

TEST_CASE("a symbolic link keeps pointing at the file that is written") {
    const test::TempFolder folder;
    const std::string target = folder.write("target.txt", "old");
    const std::string link = folder.file("link.txt");
    fs::create_symlink(target, link);
    write_file(link, "new");
    CHECK(fs::is_symlink(link));
    CHECK(read_file(target) == "new");
}

TEST_CASE("devices are written straight") {
    CHECK_NOTHROW(write_file("/dev/null", "text"));
}
