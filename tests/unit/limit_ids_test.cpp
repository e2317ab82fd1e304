// SPDX-License-Identifier: GPL-3.0-or-later
// What a user calls a thing must not make two limits one: every limit has an id of its own, and
// every row of a program too.
#include "job/edit.hpp"
#include "limits/check.hpp"
#include "search/cheapest.hpp"
#include "search/conflict.hpp"
#include "search/mend.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <algorithm>
#include <set>
#include <string>
#include <vector>

using namespace feedwright;

namespace {

job::Job read(const std::string& inside) {
    const test::TempFolder folder;
    catalog::Library library((test::source_folder() / "data").string());
    return search::settle(job::read_job(
        folder.write("job.json", R"({"format":"feedwright-job/1",)" + inside + "}"), library, {}));
}

std::vector<std::string> ids_of(const job::Job& job, limits::LimitKind kind) {
    std::vector<std::string> ids;
    for (const limits::Limit& limit : limits::limits_of(job)) {
        if (limit.kind == kind) ids.push_back(limit.id);
    }
    return ids;
}

// A mended recipe of one part of each ingredient.
job::Job as_recipe(job::Job job) {
    for (job::Choice& choice : job.ingredients)
        choice.amount = 1;
    return job;
}

}  // namespace

TEST_CASE("a share of protein and a cap by weight on one pair are two limits") {
    // The profile has the cap by weight.
    const job::Job job = read(R"("profile":"catla/grow-out","ingredients":[
        {"id":"duckweed-dried","price":0.2},{"id":"fish-meal-65","price":1.4},
        {"id":"soybean-meal-44","price":0.6},{"id":"maize","price":0.3},
        {"id":"rice-bran-full-fat","price":0.2}],
        "replacements":[{"ingredient":"duckweed-dried","of":"fish-meal-65","max":30}])");
    const std::vector<std::string> ids = ids_of(job, limits::LimitKind::replacement);
    CHECK(ids == std::vector<std::string>{"replacement:duckweed-dried/fish-meal-65",
                                          "replacement:duckweed-dried/fish-meal-65@by_weight"});
    CHECK(search::formulate(job).status == lp::Status::optimal);
    CHECK(search::explain_conflict(job).fixes.empty());
    search::MendOptions options;
    options.even_if_it_passes = true;
    CHECK(search::mend(as_recipe(job), options).status != lp::Status::failed);
}

TEST_CASE("groups may have any names") {
    const job::Job job = read(R"("finished_moisture":10,"ingredients":[
        {"id":"a","price":1,"dry_matter":90,"nutrients":{"crude_protein":40}},
        {"id":"b","price":2,"dry_matter":90,"nutrients":{"crude_protein":60}},
        {"id":"c","price":0.2,"dry_matter":90,"nutrients":{"crude_protein":10}}],
        "limits":[{"nutrient":"crude_protein","min":30}],
        "groups":[{"name":"x","ingredients":["a","b"],"min":10},
                  {"name":"x:min","ingredients":["a"],"min":20,"max":20},
                  {"name":"min x","ingredients":["b"],"max":50},
                  {"name":"x:max","ingredients":["c"],"min":1,"max":70}])");
    CHECK(search::formulate(job).status == lp::Status::optimal);
    CHECK(search::mend(as_recipe(job)).smallest.has_value());
    CHECK(search::explain_conflict(job).fixes.empty());
}
