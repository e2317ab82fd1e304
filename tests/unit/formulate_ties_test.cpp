// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/results.hpp"
#include "search/cheapest.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <algorithm>
#include <string>
#include <vector>

using namespace feedwright;

namespace {

// Meals at equal prices, most of them equally good: many mixes cost the same.
std::string job_text(const std::vector<std::string>& ingredients,
                     const std::vector<std::string>& limits) {
    std::string text = R"({"format":"feedwright-job/1","ingredients":[)";
    for (const std::string& one : ingredients)
        text += one + (one == ingredients.back() ? "" : ",");
    text += R"(],"limits":[)";
    for (const std::string& one : limits)
        text += one + (one == limits.back() ? "" : ",");
    return text + "]}";
}

std::string meal(const std::string& id, double protein, double fat, const std::string& more = "") {
    return R"({"id":")" + id + R"(","name":")" + id +
           R"(","price":0.5,"nutrients":{"crude_protein":)" + std::to_string(protein) +
           R"(,"crude_lipid":)" + std::to_string(fat) + "}" + more + "}";
}

std::string answer(const test::TempFolder& folder, catalog::Library& library,
                   const std::string& text) {
    const job::Job job = job::read_job(folder.write("job.json", text), library, {});
    return report::mix_json(job, search::formulate(job), {}, {"feedwright", {}, {}, false});
}

}  // namespace

TEST_CASE("the order of ingredients and limits in a job changes no byte of the answer") {
    const test::TempFolder folder;
    catalog::Library library((test::source_folder() / "data").string());
    std::vector<std::string> meals{meal("barley-x", 10, 2), meal("meal-y", 40, 2),
                                   meal("grass-z", 20, 3, R"(,"max":30)"), meal("cake-w", 30, 9),
                                   meal("bran-v", 15, 4)};
    std::vector<std::string> limits{R"({"nutrient":"crude_protein","min":22})",
                                    R"({"nutrient":"crude_lipid","max":5})"};
    const std::string first = answer(folder, library, job_text(meals, limits));
    CHECK(first.find(R"("unique": false)") != std::string::npos);
    std::sort(meals.begin(), meals.end());
    do {
        std::reverse(limits.begin(), limits.end());
        REQUIRE(answer(folder, library, job_text(meals, limits)) == first);
    } while (std::next_permutation(meals.begin(), meals.end()));
}

TEST_CASE("of equally cheap mixes the one with the least of what comes last by id") {
    const test::TempFolder folder;
    catalog::Library library((test::source_folder() / "data").string());
    const job::Job job = job::read_job(
        folder.write("job.json", job_text({meal("a", 10, 2), meal("b", 30, 2), meal("c", 50, 2)},
                                          {R"({"nutrient":"crude_protein","min":20})"})),
        library, {});
    const search::Formulation result = search::formulate(job);
    REQUIRE(result.status == lp::Status::optimal);
    CHECK(result.unique == std::optional<bool>(false));
    CHECK(result.amounts[0] == Approx(0.5));
    CHECK(result.amounts[1] == Approx(0.5));
    CHECK(result.amounts[2] == 0);
}

TEST_CASE("a mix that is the only one says so") {
    const test::TempFolder folder;
    catalog::Library library((test::source_folder() / "data").string());
    std::string dear = meal("b", 30, 2);
    dear.replace(dear.find("0.5"), 3, "0.7");
    const job::Job job = job::read_job(
        folder.write("job.json", job_text({meal("a", 10, 2), dear},
                                          {R"({"nutrient":"crude_protein","min":20})"})),
        library, {});
    CHECK(search::formulate(job).unique == std::optional<bool>(true));
}
