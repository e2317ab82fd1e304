// SPDX-License-Identifier: GPL-3.0-or-later
#include "support/random_job.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>
#include <utility>

namespace feedwright::test {

namespace {

std::string padded(const char* stem, std::size_t k) {
    return stem + std::string(k < 10 ? "0" : "") + std::to_string(k);
}

std::string nutrient_id(std::size_t k) {
    return padded("n", k);
}

class JobMaker {
  public:
    JobMaker(Random& random, const RandomJobOptions& options)
        : random_(random), options_(options) {}

    job::Job make() {
        nutrients_ = 1 + random_.below(options_.most_nutrients);
        add_nutrient("dry_matter", "%");
        add_nutrient("crude_protein", "%");
        for (std::size_t k = 0; k < nutrients_; ++k) {
            const char* unit = k % 3 == 0 ? "%" : k % 3 == 1 ? "mg/kg" : "IU/kg";
            add_nutrient(nutrient_id(k), unit);
        }
        if (options_.shares && random_.chance(0.1)) job_.finished_moisture = 10;
        if (!job_.finished_moisture && random_.chance(0.1)) job_.free_total = true;
        job_.batch_kg = 25;
        add_ingredients();
        for (std::size_t k = 0; k < nutrients_; ++k)
            add_limit(k);
        if (random_.chance(0.4)) add_group();
        if (options_.shares && random_.chance(0.4)) add_ratio();
        if (options_.shares && random_.chance(0.3)) add_replacement();
        if (random_.chance(0.4) && !job_.free_total) add_cap();
        return std::move(job_);
    }

  private:
    void add_nutrient(const std::string& id, const char* unit) {
        catalog::Nutrient nutrient;
        nutrient.id = nutrient.name = id;
        nutrient.unit = unit;
        nutrient.group = "other";
        job_.dictionary.add(std::move(nutrient));
    }

    void add_ingredients() {
        const std::size_t n = 4 + random_.below(options_.most_ingredients - 3);
        const bool round_prices = random_.chance(0.33);
        double total = 0;
        for (std::size_t i = 0; i < n; ++i) {
            job::Choice choice;
            choice.id = padded("i", i);
            choice.name = choice.id;
            double price = random_.uniform(0.05, 2);
            if (round_prices) price = std::ceil(price * 4) / 4;
            choice.price = price;
            const double dry =
                random_.chance(0.1) ? random_.uniform(6, 30) : random_.uniform(85, 95);
            choice.composition.set("dry_matter", {dry, catalog::Origin::stated, ""});
            choice.composition.set("crude_protein", {std::round(random_.uniform(0, dry / 2)),
                                                     catalog::Origin::stated, ""});
            for (std::size_t k = 0; k < nutrients_; ++k) {
                if (random_.chance(0.1)) continue;  // unknown
                double value = random_.chance(0.2) ? 0 : random_.uniform(0, 1);
                if (random_.chance(0.3)) value = std::round(value * 10) / 10;
                const double size = k % 3 == 0 ? 10 : k % 3 == 1 ? 300 : 20'000;
                choice.composition.set(nutrient_id(k), {value * size, catalog::Origin::stated, ""});
            }
            job_.ingredients.push_back(std::move(choice));
            mix_.push_back(random_.chance(0.5) ? random_.uniform(0, 1) : 0);
            total += mix_.back();
        }
        if (total == 0) total = mix_[0] = 1;
        double scale = 1 / total;
        if (job_.finished_moisture) {
            double dry = 0;
            for (std::size_t i = 0; i < n; ++i)
                dry += mix_[i] * amount(i, "dry_matter") / 100;
            scale = (100 - *job_.finished_moisture) / 100 / dry;
        }
        double weighed_in = 0;
        for (double& x : mix_)
            weighed_in += x *= scale;
        const double unit = job_.free_total ? 1 : 100;
        for (std::size_t i = 0; i < n; ++i) {
            job::Choice& choice = job_.ingredients[i];
            const double share = unit * mix_[i] / (job_.free_total ? 1 : weighed_in);
            if (random_.chance(0.15)) choice.max = std::max(share, random_.uniform(0, 0.4) * unit);
            if (random_.chance(0.05)) choice.min = share * random_.uniform(0.3, 1);
            if (random_.chance(0.02)) choice.max = choice.min = share;
            if (random_.chance(0.05)) {
                choice.stock_kg = std::max(mix_[i], random_.uniform(0, 0.4)) *
                                  (job_.free_total ? 1 : *job_.batch_kg);
            }
        }
    }

    double amount(std::size_t i, const std::string& nutrient) const {
        const catalog::Amount* found = job_.ingredients[i].composition.find(nutrient);
        return found == nullptr ? 0 : found->value;
    }

    double reached(const std::string& nutrient) const {
        double sum = 0;
        for (std::size_t i = 0; i < mix_.size(); ++i)
            sum += amount(i, nutrient) * mix_[i];
        return sum;
    }

    // Touches the mix, leaves it some room, or asks for too much.
    double slack() {
        if (random_.chance(options_.out_of_reach)) return -random_.uniform(0, 0.6);
        return random_.chance(0.2) ? 0 : random_.uniform(0, 0.2);
    }

    template <class Target>
    void set_limits(Target& target, double value) {
        const double kind = random_.uniform(0, 1);
        const double low = value * (1 - slack());
        const double high = value * (1 + slack());
        if (kind < 0.5) {
            target.min = low;
        } else if (kind < 0.75) {
            target.max = high;
        } else if (kind < 0.95) {
            target.min = std::min(low, high);
            target.max = std::max(low, high);
        } else {
            target.min = target.max = value;
        }
    }

    void add_limit(std::size_t k) {
        job::NutrientLimit limit;
        limit.nutrient = nutrient_id(k);
        limit.source = "job";
        double value = reached(limit.nutrient);
        const double basis = options_.shares ? random_.uniform(0, 1) : 1;
        const bool percent = k % 3 == 0;
        if (job_.free_total) {
            limit.is_amount = true;
            if (percent) value *= 0.01;
        } else if (basis < 0.15) {
            limit.basis = catalog::Basis::dry_matter;
            value /= reached("dry_matter") / 100;
        } else if (basis < 0.25 && percent && reached("crude_protein") > 0) {
            limit.basis = catalog::Basis::of_protein;
            value /= reached("crude_protein") / 100;
        }
        set_limits(limit, value);
        limit.advisory = random_.chance(0.05);
        job_.limits.push_back(std::move(limit));
    }

    void add_group() {
        job::GroupLimit group;
        group.name = "group";
        double share = 0;
        double all = 0;
        for (std::size_t i = 0; i < mix_.size(); ++i)
            all += mix_[i];
        for (std::size_t i = 0; i < mix_.size(); i += 3) {
            group.ingredients.push_back(job_.ingredients[i].id);
            share += mix_[i];
        }
        set_limits(group, job_.free_total ? share : 100 * share / all);
        job_.groups.push_back(std::move(group));
    }

    void add_ratio() {
        const std::string of = nutrient_id(random_.below(nutrients_));
        const double to = reached("crude_protein");
        if (!(to > 0)) return;
        job::RatioLimit ratio;
        ratio.of = of;
        ratio.to = "crude_protein";
        ratio.source = "job";
        set_limits(ratio, reached(of) / to);
        job_.ratios.push_back(std::move(ratio));
    }

    void add_replacement() {
        const std::size_t i = random_.below(mix_.size());
        const std::size_t j = random_.below(mix_.size());
        const double own = amount(i, "crude_protein") * mix_[i];
        const double both = own + amount(j, "crude_protein") * mix_[j];
        if (i == j || !(both > 0)) return;
        job::ReplacementLimit limit;
        limit.ingredient = job_.ingredients[i].id;
        limit.references = {job_.ingredients[j].id};
        limit.max = std::min(100.0, 100 * own / both * random_.uniform(1, 1.3));
        limit.source = "job";
        job_.replacements.push_back(std::move(limit));
    }

    void add_cap() {
        const std::size_t i = random_.below(mix_.size());
        job::CapLimit cap;
        cap.subject = job_.ingredients[i].id;
        cap.ingredients = {cap.subject};
        const double own_max = job_.ingredients[i].max.value_or(100);
        cap.max = std::max(random_.chance(0.5) ? own_max : 20.0, 130 * mix_[i]);
        cap.source = "source";
        job_.caps.push_back(std::move(cap));
    }

    Random& random_;
    const RandomJobOptions& options_;
    job::Job job_;
    std::vector<double> mix_;
    std::size_t nutrients_ = 0;
};

}  // namespace

job::Job random_job(Random& random, const RandomJobOptions& options) {
    return JobMaker(random, options).make();
}

double largest_value(const limits::Limit& limit) {
    const double amount = *std::max_element(limit.amount.begin(), limit.amount.end());
    if (limit.per.empty()) return amount;
    return amount / *std::max_element(limit.per.begin(), limit.per.end());
}

lp::LinearProgram plain_program(const job::Job& job, const std::vector<limits::Limit>& limits) {
    lp::LinearProgram program;
    for (const job::Choice& choice : job.ingredients) {
        program.add_column({choice.id, *choice.price, 0.0, {}, false});
    }
    const auto add = [&](const limits::Limit& limit, double number, bool is_min) {
        lp::Row row{limit.id + (is_min ? ":min" : ":max"), {}, {}, {}};
        double scale = 0;
        std::vector<double> values(limit.amount.size());
        for (std::size_t i = 0; i < values.size(); ++i) {
            values[i] = limit.amount[i] - (limit.per.empty() ? 0 : number * limit.per[i]);
            if (std::abs(values[i]) < 1e-14 * std::abs(limit.amount[i])) values[i] = 0;
            scale = std::max(scale, std::abs(values[i]));
        }
        if (scale == 0) scale = 1;
        for (std::size_t i = 0; i < values.size(); ++i) {
            if (values[i] != 0) row.entries.push_back({i, values[i] / scale});
        }
        (is_min ? row.lower : row.upper) = limit.per.empty() ? number / scale : 0;
        program.add_row(std::move(row));
    };
    for (const limits::Limit& limit : limits) {
        if (limit.advisory) continue;
        if (limit.min) add(limit, *limit.min, true);
        if (limit.max) add(limit, *limit.max, false);
    }
    return program;
}

}  // namespace feedwright::test
