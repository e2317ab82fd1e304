// SPDX-License-Identifier: GPL-3.0-or-later
// Malformed files and command lines, run through the program as a user would. The cases stand in
// tests/bad/*.cases, one block each:
//
//     [a share above 100]
//     run formulate jobs/max-over-100.json
//     says line 4, /ingredients/0/max: found 120; expected percent of the mix
//
// `exit N` where it is not 1; `problems N` where there is not one line of complaint; `library FILE
// as NAME` lays FILE over the library; `input FILE` is standard input; `file error` where no file's
// content is to blame. Every message must tell file, place, what was found and what was expected;
// nothing may come out on standard output, and a file named with -o must stay as it was.
#include "base/file.hpp"
#include "base/text.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"
#include "support/run_program.hpp"

#include <algorithm>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

namespace fs = std::filesystem;
using namespace feedwright;
using test::ProgramResult;
using test::ProgramRun;

namespace {

struct Case {
    std::string name;
    std::vector<std::string> arguments;
    std::vector<std::string> says;
    std::string library_file;
    std::string library_name;
    std::string input;
    int exit_code = 1;
    std::size_t problems = 1;
    bool file_error = false;
};

fs::path folder() {
    return test::source_folder() / "tests/bad";
}

// Words parted by spaces; "…" holds a word with spaces, or an empty one.
std::vector<std::string> words_of(const std::string& text) {
    std::vector<std::string> words;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] == ' ') continue;
        const bool quoted = text[i] == '"';
        const std::size_t start = quoted ? i + 1 : i;
        i = std::min(text.find(quoted ? '"' : ' ', start), text.size());
        words.push_back(text.substr(start, i - start));
    }
    return words;
}

std::vector<Case> read_cases(const std::string& file) {
    std::vector<Case> cases;
    for (const std::string& line : test::lines_of(base::read_file((folder() / file).string()))) {
        if (line.empty() || line.front() == '#') continue;
        if (line.front() == '[') {
            cases.emplace_back();
            cases.back().name = line.substr(1, line.size() - 2);
            continue;
        }
        Case& current = cases.at(cases.size() - 1);
        const std::size_t space = line.find(' ');
        const std::string key = line.substr(0, space);
        const std::string rest = line.substr(space + 1);
        if (key == "run") {
            current.arguments = words_of(rest);
        } else if (key == "says") {
            current.says.push_back(rest);
        } else if (key == "exit") {
            current.exit_code = std::stoi(rest);
        } else if (key == "problems") {
            current.problems = std::stoul(rest);
        } else if (key == "input") {
            current.input = (folder() / rest).string();
        } else if (key == "library") {
            const auto words = words_of(rest);
            current.library_file = words.at(0);
            current.library_name = words.at(2);
        } else if (line == "file error") {
            current.file_error = true;
        } else {
            throw std::runtime_error(file + ": " + line);
        }
    }
    return cases;
}

// The library with one file of it replaced; links suffice for the others.
void lay_over(const test::TempFolder& library, const Case& c) {
    const fs::path data = test::source_folder() / "data";
    for (const auto& entry : fs::recursive_directory_iterator(data)) {
        const fs::path target = library.path() / fs::relative(entry.path(), data);
        if (entry.is_directory()) {
            fs::create_directories(target);
        } else {
            fs::create_symlink(entry.path(), target);
        }
    }
    const fs::path target = library.path() / c.library_name;
    fs::remove(target);
    fs::copy_file(folder() / c.library_file, target);
}

void check_message(const Case& c, const ProgramResult& result) {
    std::vector<std::string> lines = test::lines_of(result.errors);
    if (c.exit_code == 2) {
        REQUIRE_FALSE(lines.empty());
        CHECK(lines.back() == "Try \"feedwright --help\" or \"feedwright COMMAND --help\".");
        lines.pop_back();
    }
    CHECK(lines.size() == c.problems);
    for (const std::string& line : lines) {
        CHECK_THAT(line, Catch::StartsWith("feedwright: "));
        if (c.file_error) continue;
        CHECK_THAT(line, Catch::Contains(": found ") && Catch::Contains("; expected "));
        CHECK((line.back() == '.' || line.back() == '?'));
    }
    for (const std::string& fragment : c.says) {
        CHECK_THAT(result.errors, Catch::Contains(fragment));
    }
    CHECK(base::is_utf8(result.errors));
    CHECK(std::none_of(result.errors.begin(), result.errors.end(), [](char letter) {
        return letter != '\n' && static_cast<unsigned char>(letter) < 0x20;
    }));
}

void check_case(const Case& c) {
    INFO(c.name);
    test::TempFolder library;
    test::TempFolder results;
    ProgramRun run;
    run.arguments = c.arguments;
    run.folder = folder().string();
    run.input = c.input;
    if (!c.library_file.empty()) {
        lay_over(library, c);
        run.environment["FEEDWRIGHT_DATA"] = library.path().string();
    }
    const ProgramResult result = run_program(run);
    INFO(result.errors);
    CHECK(result.signal == 0);
    CHECK(result.exit_code == c.exit_code);
    CHECK(result.output.empty());
    check_message(c, result);

    // A result of an earlier run, which may be written over.
    const std::string precious =
        "{ \"format\": \"feedwright-mix/1\", \"program\": \"feedwright 0.0\" }\n";
    const std::string file = results.write("result", precious);
    run.arguments.insert(run.arguments.end(), {"-o", file});
    CHECK(run_program(run).exit_code == c.exit_code);
    CHECK(base::read_file(file) == precious);
    CHECK(std::distance(fs::directory_iterator(results.path()), fs::directory_iterator()) == 1);
}

void check_cases(const std::string& file, std::size_t least) {
    const auto cases = read_cases(file);
    CHECK(cases.size() >= least);
    for (const Case& c : cases)
        check_case(c);
}

std::string result_of(const std::vector<std::string>& arguments, int exit_code) {
    ProgramRun run;
    run.arguments = arguments;
    run.folder = folder().string();
    const ProgramResult result = run_program(run);
    INFO(result.errors);
    CHECK(result.exit_code == exit_code);
    CHECK(result.errors.empty());
    return result.output;
}

}  // namespace

TEST_CASE("a job that cannot be read is refused with file, place, found and expected") {
    check_cases("jobs.cases", 70);
}

TEST_CASE("a recipe or price list that cannot be read is refused likewise") {
    check_cases("tables.cases", 40);
}

TEST_CASE("a library file that cannot be read is refused likewise") {
    check_cases("library.cases", 20);
}

TEST_CASE(
    "a library, venture, plan or trial of the user's that cannot be read is refused likewise") {
    check_cases("other-files.cases", 45);
}

TEST_CASE("a command line that makes no sense is refused with exit code 2") {
    check_cases("command-lines.cases", 20);
}

TEST_CASE("what no feed can hold is refused at every place that takes values") {
    check_cases("impossible.cases", 20);
}

TEST_CASE("an import of what no feed can hold is refused, and no library file is written") {
    struct Import {
        const char* file;
        const char* says;
    };
    const Import imports[] = {
        {"kcal",
         "found 3200 MJ/kg metabolisable energy; expected at most 40 MJ/kg, which is "
         "more than pure fat holds. This looks like kcal: 3200 kcal/kg is 13.4 MJ/kg."},
        {"protein", "found 140 % crude protein; expected at most 100 %."},
        {"lysine",
         "found 25 % lysine in 20 % crude protein; expected no more than the "
         "protein. Were they given as g per 16 g N?"},
        {"phosphorus",
         "found 0.8 % available phosphorus in 0.5 % phosphorus; expected no "
         "more than the phosphorus."},
        {"fatty-acids",
         "found fatty acids that add to 5.5 % in 4 % crude lipid; expected no "
         "more than the lipid."}};
    for (const Import& import : imports) {
        const test::TempFolder results;
        const std::string library = (results.path() / "library.json").string();
        const std::string file = std::string("impossible/import-") + import.file + ".csv";
        INFO(file);
        ProgramRun run;
        run.arguments = {"import", file, "-o", library};
        run.folder = folder().string();
        const ProgramResult result = run_program(run);
        CHECK(result.exit_code == 1);
        CHECK(result.output.empty());
        CHECK(test::lines_of(result.errors).size() == 1);
        CHECK_THAT(result.errors, Catch::Contains(file + ": my-meal: " + import.says));
        CHECK_FALSE(fs::exists(library));
    }
}

TEST_CASE("a price far above its neighbours is told, not refused") {
    const std::vector<std::string> job{"formulate", "impossible/good-prices.json"};
    const std::string told =
        "maize grain costs 60 per kg, 200 times the median price of the others of its kind "
        "(cereal), "
        "0.3.";
    const auto words = [](std::string text) {
        std::replace(text.begin(), text.end(), '\n', ' ');
        std::string one_line;
        for (const char c : text) {
            if (c != ' ' || one_line.empty() || one_line.back() != ' ') one_line += c;
        }
        return one_line;
    };
    const auto with = [&](std::vector<std::string> more) {
        more.insert(more.begin(), job.begin(), job.end());
        return words(result_of(more, 0));
    };
    CHECK_THAT(with({}), !Catch::Contains("decimal point"));
    CHECK_THAT(with({"--set", "maize.price=60"}), Catch::Contains(told));
    CHECK_THAT(with({"--prices", "impossible/good-prices.csv"}), Catch::Contains(told));
    CHECK_THAT(with({"--prices", "impossible/good-prices.csv", "--set", "maize.price=0.3"}),
               !Catch::Contains("decimal point"));
    CHECK_THAT(with({"--with", "rye@60"}),
               Catch::Contains("rye, grain costs 60 per kg, 200 times"));
}

TEST_CASE("every file of bad input is in a case") {
    std::string cases;
    for (const auto& entry : fs::directory_iterator(folder())) {
        if (entry.path().extension() == ".cases") cases += base::read_file(entry.path().string());
    }
    for (const char* kind :
         {"economics", "impossible", "jobs", "layers", "library", "prices", "recipes", "trials"}) {
        for (const auto& entry : fs::directory_iterator(folder() / kind)) {
            const std::string name = entry.path().filename().string();
            if (name.starts_with("good") || name.starts_with("import-")) continue;
            INFO(name);
            const std::string path = std::string(kind) + '/' + name;
            CHECK((cases.find(path + '\n') != std::string::npos ||
                   cases.find(path + ' ') != std::string::npos));
        }
    }
}

TEST_CASE("a byte order mark and line ends of other systems change nothing") {
    const std::string plain = result_of({"formulate", "jobs/good.json"}, 0);
    CHECK_FALSE(plain.empty());
    CHECK(result_of({"formulate", "jobs/good-bom.json"}, 0) == plain);
    CHECK(result_of({"formulate", "jobs/good-crlf.json"}, 0) == plain);
    const std::vector<std::string> more{"--for", "nile-tilapia/grow-out"};
    const std::string checked = result_of({"check", "recipes/good.csv", more[0], more[1]}, 4);
    CHECK_FALSE(checked.empty());
    CHECK(result_of({"check", "recipes/good-bom-crlf.csv", more[0], more[1]}, 4) == checked);
}
