// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "base/file.hpp"
#include "base/json.hpp"
#include "base/number.hpp"
#include "batch/batch.hpp"
#include "search/cheapest.hpp"
#include "search/explain.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"
#include "support/random_program.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <sstream>
#include <string>
#include <vector>

using namespace feedwright;
using namespace feedwright::batch;
using feedwright::test::Random;
using feedwright::test::TempFolder;

namespace {

job::Job read(const std::string& name) {
    catalog::Library library((test::source_folder() / "data").string());
    return job::read_job((test::source_folder() / name).string(), library, {});
}

std::shared_ptr<const IngredientSet> ingredients_of(const std::vector<job::Job>& jobs) {
    std::vector<std::string> used;
    for (const job::Job& job : jobs) {
        for (const job::Choice& choice : job.ingredients)
            used.push_back(choice.id);
    }
    return std::make_shared<const IngredientSet>(std::move(used), std::vector<std::string>{});
}

// A table of prices around the job's own: within 10 %, within 60 %, and in steps that make ties.
// Some cells are empty, and a few lists are wrong.
std::string price_table(const job::Job& job, std::size_t lists, Random& random) {
    std::string text = "list";
    for (const job::Choice& choice : job.ingredients)
        text += ',' + choice.id;
    for (std::size_t k = 0; k < lists; ++k) {
        text += "\nlist " + std::to_string(k);
        const double spread = k % 2 == 0 ? 0.1 : 0.6;
        for (const job::Choice& choice : job.ingredients) {
            double price = *choice.price * random.uniform(1 - spread, 1 + spread);
            if (k % 10 == 7) price = std::round(price * 5) / 5;
            text += ',';
            if (random.chance(0.05)) continue;
            text += random.chance(0.0005) ? "?" : base::shortest(price);
        }
    }
    return text + '\n';
}

struct Output {
    std::string text;
    std::vector<Summary> summaries;
};

Output solve_all(const TempFolder& folder, const std::vector<job::Job>& jobs, Form form,
                 const std::string& table, unsigned threads, ListRange range = {},
                 Columns columns = {true, true, true, true}) {
    const auto ingredients = ingredients_of(jobs);
    const Batch batch(jobs, form, columns);
    const std::string file = folder.file("out");
    LineSink sink(file, range.begin == 0 ? batch.header() : "", false);
    const auto lists = open_table(table, ingredients, range);
    Output output;
    output.summaries = batch.run(*lists, *ingredients, threads, sink);
    output.text = base::read_file(file);
    return output;
}

struct Line {
    std::string list;
    std::string status;
    double cost = 0;
    std::map<std::string, double> mix;
    std::map<std::string, double> shadow;
    std::vector<std::string> binding;
    double proof = 1;
};

std::map<std::string, double> numbers(const base::JsonView& view, std::string_view key) {
    std::map<std::string, double> result;
    const auto object = view.member(key);
    if (!object) return result;
    for (const auto& [name, value] : object->members())
        result[name] = *value.as_number();
    return result;
}

std::vector<Line> read_lines(const std::string& text) {
    std::vector<Line> lines;
    std::istringstream in(text);
    for (std::string row; std::getline(in, row);) {
        base::Diagnostics diagnostics;
        const base::JsonView view(base::parse_json(row, "line"), diagnostics);
        Line line;
        line.list = *view.string("list");
        line.status = *view.string("status");
        line.mix = numbers(view, "mix");
        line.shadow = numbers(view, "shadow");
        if (view.has("binding")) line.binding = view.strings("binding");
        if (line.status == "optimal") {
            line.cost = *view.number("cost_per_kg");
            line.proof = *view.number("proof");
        }
        REQUIRE(diagnostics.empty());
        lines.push_back(std::move(line));
    }
    return lines;
}

// The job with a list's prices, as `formulate JOB --prices` would read them.
job::Job priced(job::Job job, const Quotes& quotes, const IngredientSet& ingredients) {
    for (job::Choice& choice : job.ingredients) {
        const double price = quotes.prices[*ingredients.find(choice.id)];
        if (price != no_price) choice.price = price;
    }
    return job;
}

void compare_with_formulate(const std::string& name, std::size_t count, std::uint64_t seed) {
    const TempFolder folder;
    Random random(seed);
    const job::Job job = read(name);
    const std::string table = folder.write("prices.csv", price_table(job, count, random));
    const Output output = solve_all(folder, {job}, Form::json, table, 2);
    const std::vector<Line> lines = read_lines(output.text);
    REQUIRE(lines.size() == count);
    const auto ingredients = ingredients_of({job});
    const auto lists = open_table(table, ingredients);
    std::size_t at = 0;
    std::size_t shadows = 0;
    std::size_t solved = 0;
    for (Piece piece; lists->next(piece);) {
        lists->read(piece, [&](const Quotes& quotes) {
            const Line& line = lines[at++];
            INFO(name << ", " << quotes.name);
            CHECK(line.list == quotes.name);
            if (!quotes.problem.empty()) {
                CHECK(line.status == "error");
                return;
            }
            const job::Job own = priced(job, quotes, *ingredients);
            auto result = search::formulate(own);
            search::explain_optimum(own, search::cheapest_program(own), result);
            REQUIRE(result.status == lp::Status::optimal);
            REQUIRE(line.status == "optimal");
            ++solved;
            CHECK(line.proof <= 1e-9);
            CHECK(std::abs(line.cost - result.cost_per_kg) <= 1e-9 * result.cost_per_kg);
            CHECK(line.mix.size() == result.items.size());
            for (const limits::MixItem& item : result.items) {
                REQUIRE(line.mix.contains(item.id));
                CHECK(line.mix.at(item.id) == Approx(item.percent).margin(1e-6));
            }
            std::vector<std::string> binding;
            for (const limits::LimitResult& limit : result.assessment.limits) {
                if (!limit.binding || limit.limit.advisory) continue;
                binding.push_back(limit.limit.id);
                const auto found = line.shadow.find(limit.limit.id);
                INFO(limit.limit.id);
                CHECK((found != line.shadow.end()) == limit.shadow_price.has_value());
                if (!limit.shadow_price || found == line.shadow.end()) continue;
                const double size = std::max(1.0, std::abs(*limit.shadow_price));
                CHECK(std::abs(found->second - *limit.shadow_price) <= 1e-7 * size);
                ++shadows;
            }
            CHECK(line.binding == binding);
        });
    }
    CHECK(at == count);
    CHECK(shadows > 2 * solved);
    CHECK(output.summaries[0].solved == solved);
    CHECK(output.summaries[0].unusable == count - solved);
}

}  // namespace

TEST_CASE("a batch gives what formulate gives one by one") {
    compare_with_formulate("examples/backyard-tilapia/job.json", 600, 1);
    compare_with_formulate("examples/fresh-duckweed/job.json", 600, 2);
    compare_with_formulate("examples/hen-ration/job.json", 600, 3);
    compare_with_formulate("tests/bench/forty-by-thirty.json", 600, 4);
}

TEST_CASE("shadow prices are those of one mix where more limits meet than fix it") {
    const TempFolder folder;
    // At these prices protein, lysine and the max of a meet in one mix.
    const std::string name =
        folder.write("job.json", R"({"format":"feedwright-job/1","ingredients":[
        {"id":"a","price":1,"max":50,"nutrients":{"crude_protein":10,"lysine":1}},
        {"id":"b","price":2,"nutrients":{"crude_protein":20,"lysine":2}},
        {"id":"c","price":3.5,"nutrients":{"crude_protein":25,"lysine":2.2}}],
        "limits":[{"nutrient":"crude_protein","min":15},{"nutrient":"lysine","min":1.5}]})");
    const auto lines = read_lines(
        solve_all(folder, {read(name)}, Form::json, folder.write("p.csv", "list,c\nnow,3.5\n"), 1)
            .text);
    REQUIRE(lines.size() == 1);
    // Asking for more costs what c costs beyond b; asking for less gains nothing, as the other
    // limit still holds. A unit more of the total is half of a and half of b, over 100.
    CHECK(lines[0].shadow.at("nutrient:crude_protein") == Approx(0.1));
    CHECK(lines[0].shadow.at("nutrient:lysine") == Approx(1));
    CHECK(lines[0].shadow.at("inclusion:a") == Approx(0).margin(1e-12));
    compare_with_formulate(name, 60, 5);
    compare_with_formulate("tests/bench/forty-degenerate.json", 60, 6);
}

TEST_CASE("the bytes of a batch depend neither on threads nor on where it is cut") {
    const TempFolder folder;
    Random random(9);
    const std::vector<job::Job> jobs{read("examples/backyard-tilapia/job.json"),
                                     read("examples/hen-ration/job.json")};
    constexpr std::size_t count = 20'000;
    const std::string table = folder.write("prices.csv", price_table(jobs[0], count, random));
    std::vector<job::Job> both = jobs;
    for (job::Job& job : both) {
        // Every column must be some job's, and every job's prices its own or the table's.
        for (job::Choice& choice : job.ingredients) {
            if (!choice.price) choice.price = 1;
        }
    }
    for (const Form form : {Form::json, Form::csv}) {
        const Output one = solve_all(folder, both, form, table, 1);
        const auto lines =
            static_cast<std::size_t>(std::count(one.text.begin(), one.text.end(), '\n'));
        CHECK(lines == 2 * count + (form == Form::csv ? 1U : 0U));
        for (const unsigned threads : {2U, 4U}) {
            const Output more = solve_all(folder, both, form, table, threads);
            // Not CHECK(a == b): the texts are long.
            CHECK((more.text == one.text));
            REQUIRE(more.summaries.size() == 2);
            for (std::size_t k = 0; k < 2; ++k) {
                const Summary& a = one.summaries[k];
                const Summary& b = more.summaries[k];
                CHECK(a.costs.mean() == b.costs.mean());
                CHECK(a.dearest->name == b.dearest->name);
                CHECK(a.longest.lists == b.longest.lists);
                CHECK(a.longest.first == b.longest.first);
                CHECK(a.held.size() == b.held.size());
            }
        }
        std::string joined;
        for (std::size_t part = 1; part <= 3; ++part) {
            joined += solve_all(folder, both, form, table, 2, shard(count, part, 3)).text;
        }
        CHECK((joined == one.text));
    }
}

TEST_CASE("lists with sure limits cost what formulate finds, from any number of threads") {
    const TempFolder folder;
    Random random(10);
    std::vector<job::Job> jobs{read("tests/bench/forty-ingredients.json")};
    jobs[0].sure_percent = 90;
    constexpr std::size_t count = 300;
    const Columns plain{true, true, false, false};
    const std::string table = folder.write("prices.csv", price_table(jobs[0], count, random));
    const Output one = solve_all(folder, jobs, Form::json, table, 1, {}, plain);
    CHECK((solve_all(folder, jobs, Form::json, table, 4, {}, plain).text == one.text));
    std::string joined;
    for (std::size_t part = 1; part <= 3; ++part)
        joined += solve_all(folder, jobs, Form::json, table, 1, shard(count, part, 3), plain).text;
    CHECK((joined == one.text));

    const std::vector<Line> lines = read_lines(one.text);
    const auto ingredients = ingredients_of(jobs);
    const auto lists = open_table(table, ingredients);
    std::size_t at = 0;
    for (Piece piece; lists->next(piece);) {
        lists->read(piece, [&](const Quotes& quotes) {
            const Line& line = lines[at++];
            if (!quotes.problem.empty()) return;
            INFO(quotes.name);
            const auto result = search::formulate(priced(jobs[0], quotes, *ingredients));
            REQUIRE(result.status == lp::Status::optimal);
            REQUIRE(line.status == "optimal");
            CHECK(line.proof <= 1e-9);
            CHECK(std::abs(line.cost - result.cost_per_kg) <= 1e-9 * result.cost_per_kg);
        });
    }
    CHECK(at == count);
}

TEST_CASE("a job that no mix can meet, and one with whole numbers in it") {
    const TempFolder folder;
    job::Job job = read("examples/backyard-tilapia/job.json");
    std::string table = "list,maize\na,0.2\nb,0.9\nc,x\n";
    {
        job::Job impossible = job;
        for (job::NutrientLimit& limit : impossible.limits) {
            if (limit.nutrient == "crude_protein") limit.min = 90;
        }
        const auto output =
            solve_all(folder, {impossible}, Form::json, folder.write("p.csv", table), 1);
        const auto lines = read_lines(output.text);
        REQUIRE(lines.size() == 3);
        CHECK(lines[0].status == "infeasible");
        CHECK(lines[1].status == "infeasible");
        CHECK(lines[2].status == "error");
        CHECK(output.summaries[0].unsolved == 2);
        CHECK(output.summaries[0].unusable == 1);
    }
    for (job::Choice& choice : job.ingredients) {
        if (choice.id == "maize") choice.min_if_used = 20;
        if (choice.id == "wheat-bran") choice.price.reset();
    }
    {
        const auto output = solve_all(
            folder, {job}, Form::json,
            folder.write("p.csv", "list,maize,wheat-bran\na,0.2,0.2\nb,0.9,0.2\nc,0.2,\n"), 2);
        const auto lines = read_lines(output.text);
        REQUIRE(lines.size() == 3);
        for (std::size_t k = 0; k < 2; ++k) {
            for (job::Choice& choice : job.ingredients) {
                if (choice.id == "maize") choice.price = k == 0 ? 0.2 : 0.9;
                if (choice.id == "wheat-bran") choice.price = 0.2;
            }
            const auto result = search::formulate(job);
            CHECK(lines[k].status == "optimal");
            CHECK(lines[k].cost == Approx(result.cost_per_kg).epsilon(1e-9));
            const double maize = lines[k].mix.contains("maize") ? lines[k].mix.at("maize") : 0;
            CHECK((maize == 0 || maize >= 20 - 1e-9));
        }
        CHECK(lines[2].status == "error");
    }
}
