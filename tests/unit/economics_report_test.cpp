// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/json.hpp"
#include "report/economics/economics_reports.hpp"
#include "support/catch.hpp"

#include <string>

using namespace feedwright;

namespace {

economics::Venture venture(const std::string& make, const std::string& buy = "1.25") {
    return economics::parse_venture(
        R"({ "format": "feedwright-venture/1", "currency": "USD", "title": "Test",
             "make": { "materials_per_kg": 0.5, "batch_kg": 20, "fcr": 2)" +
            make + R"( }, "buy": { "pack_kg": 1, "fcr": 1.6, "pack_price": )" + buy +
            R"( }, "gain_kg_per_year": 100 })",
        "venture.json", {});
}

std::string text_of(const economics::Venture& v, const economics::VentureContext& context = {}) {
    document::TextStyle wide;
    wide.width = 1000;
    return document::render_text(report::venture_document(economics::make_or_buy(v, context), {}),
                                 wide);
}

bool has(const std::string& text, const std::string& words) {
    return text.find(words) != std::string::npos;
}

// A parsed result, its members looked up by name.
class Json {
  public:
    explicit Json(const std::string& text)
        : document_(base::parse_json(text, "result.json")), view_(document_, diagnostics_) {}
    base::JsonView root() const { return view_; }

  private:
    base::Diagnostics diagnostics_;
    std::shared_ptr<const base::JsonDocument> document_;
    base::JsonView view_;
};

}  // namespace

TEST_CASE("the verdict names both costs and the year's difference") {
    // 160 kg of bought feed at 1.25 against 200 kg of home feed at 0.5.
    CHECK(has(text_of(venture("")),
              "Making is cheaper: one kg of gain costs 1.000 USD on home feed and 2.000 USD on "
              "bought"));
    CHECK(has(text_of(venture("")), "making saves 100.00 USD over 100 kg of gain a year"));
    CHECK(has(text_of(venture("", "0.5")), "Buying is cheaper"));
    CHECK(has(text_of(venture("", "0.625")), "The two cost the same"));
}

TEST_CASE("a home feed that is not called complete is said before the comparison") {
    tasks::HomeFeed home;
    home.job.profile.emplace();
    home.job.profile->name = "Nile tilapia";
    home.job.profile->stage_name = "grow-out";
    home.judgement.verdict = limits::Verdict::incomplete;
    limits::Finding no_premix;
    no_premix.kind = limits::FindingKind::premix;
    no_premix.found = limits::Found::no_premix;
    no_premix.severity = limits::Severity::warn;
    home.judgement.findings = {no_premix};
    const auto result = economics::make_or_buy(venture(""));
    const auto text = [&] {
        return document::render_text(report::venture_document(result, {}, home));
    };
    CHECK(text().find("Do not use this home feed as the only feed") < text().find("Making is"));
    const Json json(report::venture_json(result, {}, home));
    CHECK(json.root().member("quality")->string("verdict") == "incomplete");
    home.judgement.verdict = limits::Verdict::complete;
    CHECK_FALSE(has(text(), "home feed as the only feed"));
}

TEST_CASE("a home feed that falls short is said before the verdict") {
    economics::VentureContext context;
    context.checked = true;
    context.profile = "nile-tilapia/grow-out";
    context.short_of = {{"lysine", 1.2, "%", 1.43, {}}};
    const std::string text = text_of(venture(""), context);
    REQUIRE(has(text, "does not meet nile-tilapia/grow-out"));
    CHECK(text.find("lysine 1.200 %") < text.find("Making is cheaper"));
    context.short_of.clear();
    CHECK_FALSE(has(text_of(venture(""), context), "First:"));
    // An unchecked feed is said to be one.
    CHECK(has(text_of(venture("")), "was not checked against"));
}

TEST_CASE("free labour and the published FCR are said out loud") {
    economics::VentureContext context;
    context.profile = "nile-tilapia/grow-out";
    context.published_fcr = {{1, 2.4}, {"somewhere"}};
    const std::string text =
        text_of(venture(R"(, "hours_per_batch": 2, "value_of_hour": 0)"), context);
    CHECK(has(text, "valued at 0: 20 hours a year"));
    CHECK(has(text, "saves is 5.00 USD for each of these hours"));
    CHECK(has(text, "1 to 2.4 [somewhere]"));
    CHECK(has(text, "Not in the money"));
    CHECK(has(text, "(the control)"));
}

TEST_CASE("venture JSON leaves out what does not exist") {
    const Json json(report::venture_json(economics::make_or_buy(venture("")), {}));
    const base::JsonView root = json.root();
    CHECK(root.string("format") == "feedwright-venture-result/1");
    CHECK(root.member("make")->number("cost_per_kg") == 0.5);
    CHECK(root.member("make")->number("materials") == 0.5);
    CHECK(root.member("make")->number("labour") == 0.0);
    CHECK(root.member("buy")->number("cost_per_kg_gain") == 2.0);
    CHECK(root.number("yearly_difference") == Approx(100));
    const auto even = root.member("break_even");
    CHECK(even->has("bought_price_per_kg"));
    for (const char* key : {"value_of_hour", "batch_kg", "payback_years"}) {
        INFO(key);
        CHECK_FALSE(even->has(key));
    }
    for (const char* key : {"chance_making_wins", "tornado", "own_grown", "label"}) {
        INFO(key);
        CHECK_FALSE(root.has(key));
    }
}

TEST_CASE("venture JSON carries the chance where ranges were given") {
    const Json json(report::venture_json(
        economics::make_or_buy(venture(R"(, "hours_per_batch": [1, 2, 3], "value_of_hour": 5)")),
        {}));
    CHECK(json.root().number("chance_making_wins").has_value());
    CHECK(json.root().array("tornado").size() == 1);
    CHECK(json.root().string("measure_first") == "hours for a batch");
}

TEST_CASE("a plan's first sentence says what it cannot promise, and its numbers agree") {
    economics::Plan plan;
    plan.number = 30;
    plan.survival_percent = 93;
    plan.start_g = 20;
    plan.days = 21;
    plan.temperature = {{0, 12}};
    plan.growth = economics::Growth::fed;
    plan.rate = 1.5;
    catalog::Profile profile;
    profile.name = "test fish";
    profile.group = "fish";
    profile.temperature = catalog::TemperatureRange{10, 26, 34, 39, "s", {}};
    catalog::FeedingRate high;
    high.weight_g = {10, 25};
    high.ration_percent = catalog::Range{6, 6};
    catalog::FeedingRate low;
    low.weight_g = {25, 100};
    low.ration_percent = catalog::Range{3, 3};
    profile.stages.resize(1);
    profile.stages[0].feeding = {high, low};
    economics::PlanContext context;
    context.profile = &profile;
    const economics::PlanResult result = economics::work_out(plan, context);
    document::TextStyle wide;
    wide.width = 1000;
    const std::string text = document::render_text(report::plan_document(result, {}), wide);
    CHECK(has(text,
              "No forecast: at 12 °C, outside the 26 to 34 °C in which test fish grows best, "
              "growth is slower than shown: 30 test fish of 20 g each grow to "));
    CHECK(has(text, "about 28 alive, "));
    CHECK(has(text, "published rations change in steps"));
    CHECK(Json(report::plan_json(result, {})).root().string("growth_caution") ==
          "No forecast: at 12 °C, outside the 26 to 34 °C in which test fish grows best, growth is "
          "slower than shown");

    profile.stages[0].feeding = {low};
    profile.stages[0].feeding[0].weight_g = {10, 100};
    plan.survival_percent = 90;
    plan.temperature = {{0, 28}};
    const std::string even =
        document::render_text(report::plan_document(economics::work_out(plan, context), {}), wide);
    CHECK(has(even, ": 27 alive, "));
    CHECK_FALSE(has(even, "go in steps"));
    CHECK_FALSE(has(even, "expect slower growth"));
}

TEST_CASE("a plan as text and JSON") {
    economics::Plan plan;
    plan.title = "Test";
    plan.number = 100;
    plan.survival_percent = 100;
    plan.start_g = 20;
    plan.days = 14;
    plan.growth = economics::Growth::sgr;
    plan.rate = 2;
    plan.fcr = 1.5;
    plan.start = economics::parse_date("2025-03-01");
    economics::PlanContext context;
    context.venture = venture("");
    context.short_of = {{"lysine", 1.2, "%", {}, {}}};
    const economics::PlanResult result = economics::work_out(plan, context);
    const std::string text = document::render_text(report::plan_document(result, {}));
    CHECK(text.find("lysine 1.200 %") < text.find("100 animals of 20 g weigh"));
    CHECK(has(text, "2025-03-08"));
    CHECK(has(text, "bought feed only"));
    // Every renderer takes it.
    CHECK(has(document::render_markdown(report::plan_document(result, {})), "| week |"));
    CHECK(has(document::render_csv(report::plan_document(result, {})), "# plan"));
    const Json json(report::plan_json(result, {}));
    CHECK(json.root().string("format") == "feedwright-plan-result/1");
    CHECK(json.root().array("rows").size() == 2);
    CHECK(json.root().string("end_date") == "2025-03-15");
    CHECK_FALSE(json.root().has("growing"));
    CHECK(json.root().member("home_cost")->number("feed_kg") == Approx(result.feed_kg));
}

TEST_CASE("where no case in the ranges changes the answer, nothing is named to measure first") {
    const std::string never =
        text_of(venture(R"(, "hours_per_batch": [9, 10, 11], "value_of_hour": 8)"));
    CHECK(has(never, "Chance that making is cheaper, over the ranges you gave: 0 %."));
    CHECK(has(never, "No value in your ranges changes the answer."));
    CHECK(!has(never, "The number to measure first"));
    const std::string maybe =
        text_of(venture(R"(, "hours_per_batch": [0.1, 2, 4], "value_of_hour": 8)"));
    CHECK(has(maybe, "The number to measure first: "));
}
