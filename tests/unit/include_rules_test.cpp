// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/file.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <algorithm>
#include <filesystem>
#include <map>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <vector>

// Who may include whom. A newcomer reads this table in DEVELOPERS.md; here it is enforced.

namespace fs = std::filesystem;

namespace {

using Names = std::set<std::string>;

const std::map<std::string, Names>& may_see() {
    static const std::map<std::string, Names> table{
        {"base", {}},
        {"catalog", {"base"}},
        {"job", {"base", "catalog"}},
        {"lp", {"base"}},
        {"limits", {"base", "catalog", "job", "lp"}},
        {"search", {"base", "catalog", "job", "lp", "limits"}},
        {"sheet", {"base", "catalog", "job", "lp", "limits", "search"}},
        {"batch", {"base", "catalog", "job", "lp", "limits", "search"}},
        {"economics", {"base", "catalog", "job"}},
        {"trial", {"base", "catalog", "job", "economics"}},
        {"tasks",
         {"base", "catalog", "job", "lp", "limits", "search", "sheet", "batch", "economics",
          "trial"}},
        {"document", {"base"}},
        // Result structs of all, and the code of none: see below.
        {"report",
         {"base", "catalog", "job", "lp", "limits", "search", "sheet", "batch", "economics",
          "trial", "tasks", "document"}},
        // It asks tasks to do the work, and names types of other rooms only as their results.
        {"cli", {"base", "catalog", "job", "tasks", "document", "report"}},
    };
    return table;
}

// Headers that only their own module may see.
const Names& inside() {
    static const Names list{
        "batch/layout.hpp",         "batch/lines.hpp",          "batch/table_head.hpp",
        "batch/picture.hpp",        "batch/pipeline.hpp",       "batch/tally.hpp",
        "catalog/import_words.hpp", "catalog/rule_loading.hpp", "economics/range_reader.hpp",
        "search/edges.hpp",         "search/side_rows.hpp",     "tasks/answering.hpp",
        "tasks/purchasable.hpp",    "tasks/venture_input.hpp",  "job/price_sense.hpp",
        "job/profile_limits.hpp",   "job/reading.hpp",          "lp/proof.hpp"};
    return list;
}

struct Confined {
    const char* pattern;
    const char* where;  // a folder ends in '/', else a file
};

const std::vector<Confined>& confined_includes() {
    static const std::vector<Confined> list{
        {"^glpk\\.h$", "src/lp/glpk_session.cpp"},
        {"^CLI(/|11)", "src/cli/command_line.cpp"},
        {"^nlohmann/", "src/base/json.cpp"},
        {"^boost/multiprecision/", "src/base/exact.cpp"},
        {"^boost/(?!multiprecision/)", "src/trial/"},
        {"^iostream$", "src/cli/"},
    };
    return list;
}

// The world outside: streams of the process, its environment, its terminal.
const std::regex& outside_world() {
    static const std::regex words(
        "\\b(std::(cout|cerr|clog|cin|printf|puts|putchar|exit|getenv|quick_exit)|getenv|"
        "secure_getenv|isatty|fmt::print|setlocale)\\b");
    return words;
}

std::string without_comments(const std::string& text) {
    static const std::regex comment("//[^\\n]*|/\\*[^]*?\\*/");
    return std::regex_replace(text, comment, "");
}

// The module of src/M/x.cpp; "" for a file in none.
std::string module_of(const std::string& path) {
    static const std::regex form("^src/([a-z_]+)/.+$");
    std::smatch match;
    return std::regex_match(path, match, form) ? match[1].str() : "";
}

std::vector<std::string> violations(const std::string& path, const std::string& text) {
    std::vector<std::string> found;
    const auto complain = [&](const std::string& what) { found.push_back(path + ": " + what); };
    const auto is_in = [&](const std::string& where) {
        return where.ends_with('/') ? path.starts_with(where) : path == where;
    };
    const std::string module = module_of(path);
    if (!may_see().contains(module)) {
        complain("belongs to no module of the table");
        return found;
    }
    static const std::regex include("^[ \\t]*#[ \\t]*include[ \\t]*([<\"])([^>\"]+)[>\"]");
    static const std::regex own("^([a-z_]+)/.+$");
    std::istringstream lines(text);
    for (std::string line; std::getline(lines, line);) {
        std::smatch match;
        if (!std::regex_search(line, match, include)) continue;
        const bool quoted = match[1] == "\"";
        const std::string name = match[2];
        for (const Confined& rule : confined_includes()) {
            if (std::regex_search(name, std::regex(rule.pattern)) && !is_in(rule.where)) {
                complain("includes " + name + ", which belongs in " + rule.where + " only");
            }
        }
        if (!quoted) continue;
        std::smatch parts;
        if (!std::regex_match(name, parts, own) || !may_see().contains(parts[1])) {
            complain("includes \"" + name + "\", which is not module/header");
            continue;
        }
        const std::string other = parts[1];
        if (other == module) continue;
        if (!may_see().at(module).contains(other)) {
            complain("module " + module + " may not see " + other + " (" + name + ")");
        }
        if (inside().contains(name)) complain("includes " + name + ", which is inside " + other);
        if (module == "report" && name == "lp/solver.hpp") {
            complain("a report sees results only, not " + name);
        }
    }

    const std::string code = without_comments(text);
    // What was asked of the reading of a job is kept to at one door: see tasks/reading.hpp.
    static const std::regex reads("\\bjob::(read_job|read_recipe|job_from_prices)\\(");
    if ((module == "cli" || module == "tasks") && path != "src/tasks/reading.cpp" &&
        std::regex_search(code, reads)) {
        complain("reads a job past src/tasks/reading.cpp");
    }
    if (module != "cli") {
        for (std::sregex_iterator i(code.begin(), code.end(), outside_world()), end; i != end;
             ++i) {
            complain("uses " + i->str() + ", which belongs in src/cli only");
        }
    }
    return found;
}

// All that a module sees, through others too.
Names seen_through(const std::string& module) {
    Names all;
    std::vector<std::string> open{module};
    while (!open.empty()) {
        const std::string next = open.back();
        open.pop_back();
        for (const std::string& other : may_see().at(next)) {
            if (all.insert(other).second) open.push_back(other);
        }
    }
    return all;
}

std::size_t count(const std::string& path, const std::string& text) {
    return violations(path, text).size();
}

}  // namespace

TEST_CASE("every source file keeps to the include rules") {
    const fs::path root = feedwright::test::source_folder();
    std::size_t files = 0;
    std::vector<std::string> all;
    for (const auto& item : fs::recursive_directory_iterator(root / "src")) {
        const std::string extension = item.path().extension().string();
        if (extension != ".hpp" && extension != ".cpp") continue;
        ++files;
        const std::string path = item.path().lexically_relative(root).generic_string();
        const auto found = violations(path, feedwright::base::read_file(item.path().string()));
        all.insert(all.end(), found.begin(), found.end());
    }
    for (const std::string& header : inside()) {
        INFO(header);
        CHECK(fs::exists(root / "src" / header));
    }
    std::sort(all.begin(), all.end());
    INFO("the arrows that are not allowed: "
         << Catch::StringMaker<std::vector<std::string>>::convert(all));
    CHECK(all.empty());
    CHECK(files > 20);
}

TEST_CASE("CMake's dependencies of a module are among those it may see") {
    const fs::path root = feedwright::test::source_folder();
    const std::string text = feedwright::base::read_file((root / "src/CMakeLists.txt").string());
    static const std::regex module("feedwright_module\\(\\s*([a-z_]+)\\s([^)]*)\\)");
    static const std::regex depends("DEPENDS((?:\\s+[a-z_]+)+)");
    std::size_t modules = 0;
    for (std::sregex_iterator i(text.begin(), text.end(), module), end; i != end; ++i) {
        const std::string name = (*i)[1];
        const std::string body = (*i)[2];
        ++modules;
        INFO(name);
        REQUIRE(may_see().contains(name));
        std::smatch match;
        if (!std::regex_search(body, match, depends)) continue;
        std::istringstream words(match[1].str());
        for (std::string other; words >> other;) {
            INFO(other);
            CHECK(may_see().at(name).contains(other));
        }
    }
    CHECK(modules >= 4);
}

TEST_CASE("the table itself has no circles") {
    for (const auto& [module, seen] : may_see()) {
        INFO(module);
        CHECK_FALSE(seen.contains(module));
        for (const std::string& other : seen) {
            INFO(other);
            REQUIRE(may_see().contains(other));
            CHECK_FALSE(seen_through(other).contains(module));
        }
    }
}

TEST_CASE("a breach of the include rules is seen") {
    CHECK(count("src/lp/x.cpp", "#include \"catalog/library.hpp\"\n") == 1);
    CHECK(count("src/base/x.cpp", "  #  include \"catalog/loading.hpp\"\n") == 1);
    CHECK(count("src/economics/x.cpp", "#include \"search/formulation.hpp\"\n") == 1);
    CHECK(count("src/trial/x.cpp", "#include \"lp/solver.hpp\"\n") == 1);
    CHECK(count("src/report/x.cpp", "#include \"lp/solver.hpp\"\n") == 1);
    CHECK(count("src/report/x.cpp", "#include \"catalog/rule_loading.hpp\"\n") == 1);
    CHECK(count("src/report/x.cpp", "#include \"cli/app.hpp\"\n") == 1);
    CHECK(count("src/cli/x.cpp", "#include \"search/cheapest.hpp\"\n") == 1);
    CHECK(count("src/tasks/x.cpp", "#include \"report/results.hpp\"\n") == 1);
    CHECK(count("src/tasks/x.cpp", "job::read_job(file, library, {});\n") == 1);
    CHECK(count("src/search/x.cpp", "#include \"lp/proof.hpp\"\n") == 1);
    CHECK(count("src/job/x.cpp", "#include \"lp/proof.hpp\"\n") == 2);
    CHECK(count("src/job/x.cpp", "#include \"x.hpp\"\n") == 1);
    CHECK(count("src/job/x.cpp", "#include \"nowhere/x.hpp\"\n") == 1);
    CHECK(count("src/main.cpp", "") == 1);
    CHECK(count("src/newmodule/x.cpp", "") == 1);
    // Libraries outside their place.
    CHECK(count("src/lp/x.cpp", "#include <glpk.h>\n") == 1);
    CHECK(count("src/search/x.cpp", "#include <CLI/CLI.hpp>\n") == 1);
    CHECK(count("src/catalog/x.cpp", "#include <nlohmann/json.hpp>\n") == 1);
    CHECK(count("src/economics/x.cpp", "#include <boost/math/distributions.hpp>\n") == 1);
    CHECK(count("src/lp/x.hpp", "#include <boost/math/tools.hpp>\n") == 1);
    CHECK(count("src/trial/x.cpp", "#include <boost/multiprecision/cpp_int.hpp>\n") == 1);
    // The outside world.
    CHECK(count("src/base/x.cpp", "#include <iostream>\nstd::cout << 1;\n") == 2);
    CHECK(count("src/base/x.cpp", "const char* home = getenv(\"HOME\");\n") == 1);
    CHECK(count("src/report/x.cpp", "if (isatty(1)) colour();\n") == 1);
    CHECK(count("src/batch/x.cpp", "std::cerr << 1; // progress\n") == 1);
}

TEST_CASE("what the include rules allow is not complained of") {
    CHECK(count("src/base/json.cpp", "#include <nlohmann/json.hpp>\n#include <fmt/format.h>\n") ==
          0);
    CHECK(count("src/lp/glpk_session.cpp", "#include <glpk.h>\n#include \"lp/proof.hpp\"\n") == 0);
    CHECK(count("src/trial/x.cpp", "#include <boost/math/distributions/students_t.hpp>\n") == 0);
    CHECK(count("src/cli/command_line.cpp",
                "#include <CLI/CLI.hpp>\n#include <iostream>\nstd::cout << 1;\n") == 0);
    CHECK(count("src/report/x.cpp",
                "#include \"lp/solution.hpp\"\n#include \"document/layout.hpp\"\n") == 0);
    CHECK(count("src/job/x.cpp", "#include \"catalog/loading.hpp\"\n// never std::cout here\n") ==
          0);
    CHECK(count("src/sheet/x.cpp", "#include \"search/formulation.hpp\"\n") == 0);
}
