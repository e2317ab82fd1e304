// SPDX-License-Identifier: GPL-3.0-or-later
// Random jobs as a user would write them: JSON text, read, solved, and the answer taken from the
// JSON of the result. What must hold is worked out here again from that mix and the compositions of
// the text, with none of the program's own arithmetic.
#include "base/json.hpp"
#include "base/json_writer.hpp"
#include "catalog/library.hpp"
#include "job/job.hpp"
#include "limits/check.hpp"
#include "report/results.hpp"
#include "search/cheapest.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"
#include "support/random_program.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

using namespace feedwright;
using test::Random;

namespace {

constexpr int jobs = 2000;

// Nutrients of quite different units and sizes, and about how much of them materials hold.
struct Scale {
    const char* id;
    double size;
};
constexpr std::array<Scale, 6> scales{{{"lysine", 4},
                                       {"calcium", 3},
                                       {"phosphorus", 2},
                                       {"zinc", 120},
                                       {"vitamin_a", 9000},
                                       {"metabolisable_energy", 15}}};

struct Bounds {
    std::optional<double> min;
    std::optional<double> max;
};

struct Material {
    std::string id;
    double price = 0;
    std::map<std::string, double> amounts;  // with dry_matter and crude_protein
    Bounds share;                           // percent of the mix; kg with a free total
    std::optional<double> stock_kg;

    double of(const std::string& nutrient) const {
        const auto at = amounts.find(nutrient);
        return at == amounts.end() ? 0 : at->second;
    }
};

struct NutrientBounds {
    std::string nutrient;
    std::string basis;
    Bounds bounds;
};

struct Group {
    std::string name;
    std::vector<std::size_t> members;
    Bounds bounds;
};

struct Ratio {
    std::string of;
    std::string to;
    Bounds bounds;
};

struct RandomJob {
    std::vector<Material> materials;
    std::vector<NutrientBounds> limits;
    std::vector<Group> groups;
    std::vector<Ratio> ratios;
    std::optional<std::pair<std::size_t, std::size_t>> replacement;
    double replacement_max = 0;
    std::optional<double> moisture;
    bool free_total = false;
    double batch_kg = 25;
};

double round_to(double value, double step) {
    return std::round(value / step) * step;
}

// Lays limits around a mix, so that most jobs have an answer and many limits are tight.
class Maker {
  public:
    explicit Maker(Random& random) : random_(random) {}

    RandomJob make() {
        if (random_.chance(0.2)) job_.moisture = random_.uniform(8, 70);
        job_.free_total = !job_.moisture && random_.chance(0.2);
        const std::size_t count = 3 + random_.below(8);
        for (std::size_t i = 0; i < count; ++i)
            job_.materials.push_back(material(i));
        set_mix();
        add_shares();
        for (const Scale& scale : scales) {
            if (random_.chance(0.5)) add_limit(scale.id);
        }
        add_limit("crude_protein");
        // The same nutrient twice, on two bases.
        if (random_.chance(0.2)) add_limit("crude_protein", "dry_matter");
        if (random_.chance(0.3)) add_group();
        if (random_.chance(0.4)) add_ratio();
        if (random_.chance(0.3)) add_replacement();
        return job_;
    }

    Material material(std::size_t i) {
        Material m;
        m.id = "m" + std::to_string(i);
        m.price = random_.chance(0.3) ? round_to(random_.uniform(0.1, 1.5), 0.25)
                                      : random_.uniform(0.05, 2);
        m.amounts["dry_matter"] =
            random_.chance(0.15) ? random_.uniform(5, 30) : round_to(random_.uniform(85, 95), 0.1);
        m.amounts["crude_protein"] = round_to(random_.uniform(0, m.amounts["dry_matter"] / 2), 0.1);
        for (const Scale& scale : scales) {
            if (random_.chance(0.1)) continue;  // not known
            // What no feed can hold is refused: a wet one holds less, and lysine is a part of the
            // protein.
            double most = scale.size * m.amounts["dry_matter"] / 100;
            if (std::string_view(scale.id) == "lysine")
                most = std::min(most, m.amounts["crude_protein"] / 3);
            m.amounts[scale.id] = random_.chance(0.2) ? 0 : random_.uniform(0, most);
        }
        return m;
    }

  private:
    void set_mix() {
        double total = 0;
        for (const Material& m : job_.materials) {
            x_.push_back(random_.chance(0.6) ? random_.uniform(0, 1) : 0);
            total += x_.back() * (job_.moisture ? m.of("dry_matter") / (100 - *job_.moisture) : 1);
        }
        if (!(total > 0)) {
            x_[0] = 1;
            total = job_.moisture ? job_.materials[0].of("dry_matter") / (100 - *job_.moisture) : 1;
        }
        for (double& x : x_)
            weighed_in_ += x /= total;
    }

    double sum(const std::string& nutrient) const {
        double total = 0;
        for (std::size_t i = 0; i < x_.size(); ++i)
            total += x_[i] * job_.materials[i].of(nutrient);
        return total;
    }

    double share(std::size_t i) const {
        return job_.free_total ? x_[i] : 100 * x_[i] / weighed_in_;
    }

    double slack() {
        if (random_.chance(0.02)) return -random_.uniform(0, 0.5);  // out of the mix's reach
        return random_.chance(0.3) ? 0 : random_.uniform(0, 0.3);
    }

    Bounds around(double value) {
        const double low = value * (1 - slack());
        const double high = value * (1 + slack());
        switch (random_.below(4)) {
            case 0:
                return {{}, high};
            case 1:
                return {std::min(low, high), std::max(low, high)};
            default:
                return {low, {}};
        }
    }

    void add_shares() {
        for (std::size_t i = 0; i < x_.size(); ++i) {
            Material& m = job_.materials[i];
            if (random_.chance(0.2)) m.share = around(share(i));
            const double most = job_.free_total ? 1e9 : 100;
            if (m.share.max) m.share.max = std::min(*m.share.max, most);
            if (m.share.min) m.share.min = std::min(*m.share.min, m.share.max.value_or(most));
            if (random_.chance(0.05)) m.stock_kg = job_.batch_kg * x_[i] + random_.uniform(0, 10);
        }
    }

    void add_limit(const std::string& nutrient, std::string basis = "") {
        if (basis.empty()) {
            const bool percent = nutrient == "lysine" || nutrient == "calcium";
            basis = random_.chance(0.2)              ? "dry_matter"
                    : percent && random_.chance(0.2) ? "of_protein"
                                                     : "as_fed";
        }
        double value = sum(nutrient);
        if (basis == "dry_matter") value /= sum("dry_matter") / 100;
        if (basis == "of_protein") value /= std::max(sum("crude_protein") / 100, 1e-3);
        if (job_.free_total && basis == "as_fed" && is_percent(nutrient)) value /= 100;
        Bounds bounds = around(value);
        if (is_percent(nutrient) && !(job_.free_total && basis == "as_fed")) {
            for (auto* end : {&bounds.min, &bounds.max}) {
                if (*end) *end = std::min(**end, 100.0);
            }
        }
        job_.limits.push_back({nutrient, basis, bounds});
    }

    static bool is_percent(const std::string& nutrient) {
        return nutrient != "zinc" && nutrient != "vitamin_a" && nutrient != "metabolisable_energy";
    }

    void add_group() {
        Group group;
        group.name = "some";
        double value = 0;
        for (std::size_t i = 0; i < x_.size(); i += 2) {
            group.members.push_back(i);
            value += share(i);
        }
        group.bounds = around(value);
        if (!job_.free_total) {
            if (group.bounds.max) group.bounds.max = std::min(*group.bounds.max, 100.0);
            if (group.bounds.min)
                group.bounds.min = std::min(*group.bounds.min, group.bounds.max.value_or(100));
        }
        job_.groups.push_back(std::move(group));
    }

    void add_ratio() {
        if (!(sum("phosphorus") > 0)) return;
        job_.ratios.push_back(
            {"calcium", "phosphorus", around(sum("calcium") / sum("phosphorus"))});
    }

    void add_replacement() {
        const std::size_t i = random_.below(x_.size());
        const std::size_t j = random_.below(x_.size());
        const double own = x_[i] * job_.materials[i].of("crude_protein");
        const double both = own + x_[j] * job_.materials[j].of("crude_protein");
        if (i == j || !(both > 0)) return;
        job_.replacement = {i, j};
        job_.replacement_max = std::min(100.0, 100 * own / both * random_.uniform(1, 1.5));
    }

    Random& random_;
    RandomJob job_;
    std::vector<double> x_;
    double weighed_in_ = 0;
};

template <class T>
void shuffle(std::vector<T>& list, Random& random) {
    for (std::size_t i = list.size(); i > 1; --i)
        std::swap(list[i - 1], list[random.below(i)]);
}

void write(base::JsonWriter& json, const Bounds& bounds) {
    json.member("min", bounds.min);
    json.member("max", bounds.max);
}

void write(base::JsonWriter& json, const RandomJob& job, std::size_t i,
           const std::vector<double>* amounts) {
    const Material& m = job.materials[i];
    json.begin_object();
    json.member("id", m.id);
    json.member("price", m.price);
    write(json, m.share);
    json.member("stock_kg", m.stock_kg);
    if (amounts != nullptr) json.member("amount", (*amounts)[i]);
    json.key("nutrients").begin_object();
    for (const auto& [nutrient, amount] : m.amounts)
        json.member(nutrient, amount);
    json.end_object();
    json.end_object();
}

// The job as text, a recipe when there are amounts; lists in an order of their own when `random` is
// there.
std::string text_of(const RandomJob& job, Random* random = nullptr,
                    const std::vector<double>* amounts = nullptr) {
    std::vector<std::size_t> order;
    for (std::size_t i = 0; i < job.materials.size(); ++i)
        order.push_back(i);
    std::vector<NutrientBounds> limits = job.limits;
    if (random != nullptr) {
        shuffle(order, *random);
        shuffle(limits, *random);
    }
    base::JsonWriter json;
    json.begin_object();
    json.member("format", amounts != nullptr ? "feedwright-recipe/1" : "feedwright-job/1");
    json.member("batch_kg", job.batch_kg);
    json.member("finished_moisture", job.moisture);
    if (job.free_total) json.member("total", "free");
    json.key("ingredients").begin_array();
    for (const std::size_t i : order)
        write(json, job, i, amounts);
    json.end_array();
    json.key("limits").begin_array();
    for (const NutrientBounds& limit : limits) {
        json.begin_object();
        json.member("nutrient", limit.nutrient);
        json.member("basis", limit.basis);
        write(json, limit.bounds);
        json.end_object();
    }
    json.end_array();
    json.key("groups").begin_array();
    for (const Group& group : job.groups) {
        std::vector<std::string> ids;
        for (const std::size_t i : group.members)
            ids.push_back(job.materials[i].id);
        if (random != nullptr) shuffle(ids, *random);
        json.begin_object();
        json.member("name", group.name);
        json.member("ingredients", ids);
        write(json, group.bounds);
        json.end_object();
    }
    json.end_array();
    json.key("ratios").begin_array();
    for (const Ratio& ratio : job.ratios) {
        json.begin_object();
        json.member("of", ratio.of);
        json.member("to", ratio.to);
        write(json, ratio.bounds);
        json.end_object();
    }
    json.end_array();
    json.key("replacements").begin_array();
    if (job.replacement) {
        json.begin_object();
        json.member("ingredient", job.materials[job.replacement->first].id);
        json.member("of", job.materials[job.replacement->second].id);
        json.member("max", job.replacement_max);
        json.end_object();
    }
    json.end_array();
    json.end_object();
    return json.take();
}

// The program from text to text.
class Program {
  public:
    Program() : library_((test::source_folder() / "data").string()) {}

    std::string formulate(const std::string& text) {
        const job::Job job = job::read_job(folder_.write("job.json", text), library_, {});
        return report::mix_json(job, search::formulate(job), {}, {});
    }

    std::string check(const std::string& text) {
        const job::Job recipe = job::read_recipe(folder_.write("recipe.json", text), library_, {});
        return report::check_json(recipe, limits::check(recipe), {}, {});
    }

  private:
    catalog::Library library_;
    test::TempFolder folder_;
};

// A limit of a result.
struct Limit {
    std::optional<double> min, max, value;
    bool binding = false;
    std::optional<double> shadow_price;
};

// A result, read back from its JSON.
struct Result {
    std::string status;
    double cost = 0;
    std::map<std::string, double> percent;
    std::map<std::string, double> kg;  // per kg of feed; with a free total, of the ration
    std::map<std::string, Limit> limits;
    bool unique = false;
    bool passes = false;

    Result(const RandomJob& job, const std::string& text) {
        base::Diagnostics problems;
        const base::JsonView root(base::parse_json(text, "result"), problems);
        status = root.string("status").value_or("");
        passes = root.flag("passes").value_or(false);
        unique = root.flag("unique").value_or(false);
        cost = root.number(job.free_total ? "cost" : "cost_per_kg").value_or(0);
        const double whole = root.number("weighed_in_per_kg").value_or(1);
        for (const base::JsonView& item : root.array("mix")) {
            const std::string id = *item.string("id");
            percent[id] = *item.number("percent");
            kg[id] =
                job.free_total ? item.number("amount_kg").value_or(0) : percent[id] / 100 * whole;
        }
        for (const base::JsonView& item : root.array("limits")) {
            limits[*item.string("id")] = {
                item.number("min"), item.number("max"), item.number("value"),
                item.flag("binding").value_or(false), item.number("shadow_price")};
        }
        REQUIRE(problems.empty());
    }

    double amount(const std::string& id) const {
        const auto at = kg.find(id);
        return at == kg.end() ? 0 : at->second;
    }
};

// What every limit of the job comes to in a mix, by the definitions of docs/formats.md.
class Reckoning {
  public:
    Reckoning(const RandomJob& job, const Result& result) : job_(job), result_(result) {}

    std::map<std::string, double> values() {
        const double whole = total([](const Material&) { return 1.0; });
        const double part = job_.free_total ? 1 : 100 / whole;
        for (const Material& m : job_.materials) {
            if (m.share.min || m.share.max) values_["inclusion:" + m.id] = part * kg(m);
            if (m.stock_kg)
                values_["inclusion:" + m.id + "@stock"] = (job_.free_total ? 1 : 100) * kg(m);
        }
        for (const Group& group : job_.groups) {
            double sum = 0;
            for (const std::size_t i : group.members)
                sum += part * kg(job_.materials[i]);
            values_["group:" + group.name] = sum;
        }
        for (const Ratio& ratio : job_.ratios) {
            values_["ratio:" + ratio.of + '/' + ratio.to] = of(ratio.of) / of(ratio.to);
        }
        if (job_.replacement) {
            const Material& a = job_.materials[job_.replacement->first];
            const Material& b = job_.materials[job_.replacement->second];
            const double own = kg(a) * a.of("crude_protein");
            values_["replacement:" + a.id + '/' + b.id] =
                100 * own / (own + kg(b) * b.of("crude_protein"));
        }
        for (const NutrientBounds& limit : job_.limits)
            add(limit);
        if (!job_.free_total) {
            values_[job_.moisture ? "balance:dry_matter" : "balance:total"] =
                job_.moisture ? of("dry_matter") : 100 * whole;
        }
        return values_;
    }

  private:
    template <class F>
    double total(F f) const {
        double sum = 0;
        for (const Material& m : job_.materials)
            sum += kg(m) * f(m);
        return sum;
    }
    double of(const std::string& nutrient) const {
        return total([&](const Material& m) { return m.of(nutrient); });
    }
    double kg(const Material& m) const { return result_.amount(m.id); }

    void add(const NutrientBounds& limit) {
        double value = of(limit.nutrient);
        if (limit.basis == "dry_matter") value /= of("dry_matter") / 100;
        if (limit.basis == "of_protein") value /= of("crude_protein") / 100;
        const bool percent = limit.nutrient == "lysine" || limit.nutrient == "calcium" ||
                             limit.nutrient == "phosphorus" || limit.nutrient == "crude_protein";
        if (job_.free_total && limit.basis == "as_fed" && percent) value /= 100;
        // The second limit on a nutrient carries its basis in its id; as_fed comes first.
        const std::string id = "nutrient:" + limit.nutrient;
        const bool twice =
            std::count_if(job_.limits.begin(), job_.limits.end(),
                          [&](const auto& other) { return other.nutrient == limit.nutrient; }) > 1;
        values_[twice && limit.basis == "dry_matter" ? id + "@dry_matter" : id] = value;
    }

    const RandomJob& job_;
    const Result& result_;
    std::map<std::string, double> values_;
};

bool near(double a, double b, double relative) {
    return std::abs(a - b) <= relative * std::max({1e-6, std::abs(a), std::abs(b)});
}

// Two limits on crude protein on one basis are no job; the generator may draw them.
bool is_job(const RandomJob& job) {
    for (std::size_t i = 0; i < job.limits.size(); ++i) {
        for (std::size_t j = 0; j < i; ++j) {
            const bool same = job.limits[i].nutrient == job.limits[j].nutrient &&
                              job.limits[i].basis == job.limits[j].basis;
            if (same) return false;
        }
    }
    return true;
}

// Runs `examine(job, random)` over all jobs.
template <class F>
void for_every_job(std::uint64_t seed, F examine) {
    Random random(seed);
    for (int k = 0; k < jobs;) {
        const RandomJob job = Maker(random).make();
        if (!is_job(job)) continue;
        INFO("job " << k << " of seed " << seed << "\n" << text_of(job));
        examine(job, random);
        ++k;
    }
}

}  // namespace

TEST_CASE("the order of ingredients and limits in a job changes no byte of the result") {
    Program program;
    int solved = 0;
    for_every_job(101, [&](const RandomJob& job, Random& random) {
        const std::string result = program.formulate(text_of(job));
        CHECK(program.formulate(text_of(job, &random)) == result);
        solved += Result(job, result).status == "optimal" ? 1 : 0;
    });
    CHECK(solved > jobs / 2);
    CHECK(solved < jobs);
}

TEST_CASE("every limit is met, and its value is what the mix and the compositions give") {
    Program program;
    int values = 0;
    for_every_job(102, [&](const RandomJob& job, Random&) {
        const Result result(job, program.formulate(text_of(job)));
        if (result.status != "optimal") return;
        const auto expected = Reckoning(job, result).values();
        CHECK(expected.size() == result.limits.size());
        for (const auto& [id, limit] : result.limits) {
            INFO(id);
            REQUIRE(expected.contains(id));
            const double value = expected.at(id);
            if (!limit.value) {  // a share of nothing
                CHECK_FALSE(std::isfinite(value));
                continue;
            }
            ++values;
            CHECK(near(*limit.value, value, 1e-9));
            // 1e-7 of the limit, as the certificate allows.
            if (limit.min) CHECK(value >= *limit.min - 1e-7 * std::max(1e-3, *limit.min));
            if (limit.max) CHECK(value <= *limit.max + 1e-7 * std::max(1e-3, *limit.max));
        }
        double cost = 0;
        for (const Material& m : job.materials)
            cost += m.price * result.amount(m.id);
        CHECK(near(result.cost, cost, 1e-9));
    });
    CHECK(values > jobs);
}

TEST_CASE("doubling the prices doubles the cost and every price of a limit, and nothing else") {
    Program program;
    int solved = 0;
    for_every_job(103, [&](const RandomJob& job, Random&) {
        const Result before(job, program.formulate(text_of(job)));
        RandomJob dear = job;
        for (Material& m : dear.materials)
            m.price *= 2;
        const Result after(dear, program.formulate(text_of(dear)));
        CHECK(after.status == before.status);
        if (before.status != "optimal") return;
        ++solved;
        CHECK(near(after.cost, 2 * before.cost, 1e-9));
        if (!before.unique || !after.unique) return;
        for (const Material& m : job.materials) {
            INFO(m.id);
            CHECK(std::abs(after.amount(m.id) - before.amount(m.id)) < 1e-7);
        }
        for (const auto& [id, limit] : before.limits) {
            INFO(id);
            if (limit.value) CHECK(near(*after.limits.at(id).value, *limit.value, 1e-6));
        }
    });
    CHECK(solved > jobs / 2);
}

TEST_CASE("one more ingredient to choose from never makes the mix dearer") {
    Program program;
    int cheaper = 0;
    for_every_job(104, [&](const RandomJob& job, Random& random) {
        const Result before(job, program.formulate(text_of(job)));
        if (before.status != "optimal") return;
        RandomJob more = job;
        more.materials.push_back(Maker(random).material(job.materials.size()));
        const Result after(more, program.formulate(text_of(more)));
        REQUIRE(after.status == "optimal");
        CHECK(after.cost <= before.cost + 1e-9 * std::max(1.0, before.cost));
        cheaper += after.cost < before.cost * (1 - 1e-6) ? 1 : 0;
    });
    CHECK(cheaper > jobs / 20);
}

TEST_CASE("the formulated mix passes as a recipe, with the same values") {
    Program program;
    int checked = 0;
    for_every_job(105, [&](const RandomJob& job, Random&) {
        const Result mix(job, program.formulate(text_of(job)));
        if (mix.status != "optimal" || mix.kg.empty()) return;
        std::vector<double> amounts;
        for (const Material& m : job.materials)
            amounts.push_back(mix.amount(m.id));
        const Result recipe(job, program.check(text_of(job, nullptr, &amounts)));
        CHECK(recipe.passes);
        for (const auto& [id, limit] : mix.limits) {
            INFO(id);
            REQUIRE(recipe.limits.at(id).value.has_value() == limit.value.has_value());
            if (limit.value) CHECK(near(*recipe.limits.at(id).value, *limit.value, 1e-8));
        }
        ++checked;
    });
    CHECK(checked > jobs / 2);
}

TEST_CASE("a ration for twice as many animals costs twice as much") {
    Program program;
    int solved = 0;
    for_every_job(106, [&](RandomJob job, Random&) {
        job.moisture.reset();
        job.free_total = true;
        const Result one(job, program.formulate(text_of(job)));
        RandomJob two = job;
        const auto twice = [](Bounds& bounds) {
            if (bounds.min) *bounds.min *= 2;
            if (bounds.max) *bounds.max *= 2;
        };
        for (Material& m : two.materials) {
            twice(m.share);
            if (m.stock_kg) *m.stock_kg *= 2;
        }
        for (NutrientBounds& limit : two.limits) {
            if (limit.basis == "as_fed") twice(limit.bounds);
        }
        for (Group& group : two.groups)
            twice(group.bounds);
        const Result both(two, program.formulate(text_of(two)));
        CHECK(both.status == one.status);
        if (one.status != "optimal") return;
        CHECK(near(both.cost, 2 * one.cost, 1e-9));
        ++solved;
    });
    CHECK(solved > jobs / 4);
}
