// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/season_options.hpp"

#include "base/json_writer.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "cli/options.hpp"
#include "job/price_list.hpp"

#include <string_view>

namespace feedwright::cli {

namespace {

struct Word {
    const char* name;
    std::string SeasonOptions::*value;
    const char* type;
    const char* what;
};

constexpr Word options[] = {
    {"--for", &SeasonOptions::profile, "PROFILE",
     "The animals and what they need, such as laying-hen/lay"},
    {"--periods", &SeasonOptions::periods, "N", "How many periods the season has"},
    {"--period-days", &SeasonOptions::period_days, "N", "Days in a period; 30 by default"},
    {"--date", &SeasonOptions::date, "DATE", "First day, such as 2026-03-01"},
    {"--feed", &SeasonOptions::feed, "KG[,KG]",
     "Feed they eat in a period: one number, or one for each period"},
    {"--gain", &SeasonOptions::gain, "KG[,KG]",
     "In place of --feed: what they gain in a period; needs --home-fcr"},
    {"--home-fcr", &SeasonOptions::home_fcr, "X",
     "FCR on the home feed: one number, or LOW,LIKELY,HIGH"},
    {"--bought-fcr", &SeasonOptions::bought_fcr, "X", "FCR on the bought feed, likewise"},
    {"--prices", &SeasonOptions::prices, "FILE", "Price list of what can be bought for home feed"},
    {"--bag", &SeasonOptions::bag, "PRICE", "The bought feed: \"24.5 per 20 kg\""},
    {"--making", &SeasonOptions::making, "COST", "Energy and the like for 1 kg of home feed"},
    {"--loss", &SeasonOptions::loss, "PERCENT", "Feed lost in making"},
    {"--hours", &SeasonOptions::hours, "N[,N]",
     "Hours there are in a period; needs --hours-per-kg"},
    {"--hours-per-kg", &SeasonOptions::hours_per_kg, "N", "Hours of work for 1 kg of home feed"},
    {"--hour-value", &SeasonOptions::hour_value, "COST", "Value of an hour of work"},
    {"--equipment", &SeasonOptions::equipment, "COST",
     "What the equipment costs for the season, if any feed is made"},
    {"--currency", &SeasonOptions::currency, "CODE", "Currency of all costs, such as USD"},
};

double number(const char* option, const std::string& whole, std::string_view text) {
    const auto value = base::parse_finite(base::trim(text));
    if (!value || *value < 0)
        throw UsageError(option, '"' + whole + '"', "a number, zero or more, or several as 1,2,3");
    return *value;
}

// One number, or a list of them.
void put(base::JsonWriter& json, const char* key, const char* option, const std::string& text) {
    if (text.empty()) return;
    json.key(key);
    if (text.find(',') == std::string::npos) {
        json.value(number(option, text, text));
        return;
    }
    json.begin_array();
    std::string_view rest = text;
    while (true) {
        const std::size_t comma = rest.find(',');
        json.value(number(option, text, rest.substr(0, comma)));
        if (comma == std::string_view::npos) break;
        rest.remove_prefix(comma + 1);
    }
    json.end_array();
}

// What is harvested is used in its period.
void put_harvest(base::JsonWriter& json, const std::string& text) {
    const std::size_t at = text.find('=');
    if (at == std::string::npos || at == 0)
        throw UsageError("--harvest", '"' + text + '"',
                         "an ingredient and kg a period, such as duckweed-fresh=10,30,50");
    json.begin_object();
    json.member("id", text.substr(0, at));
    put(json, "supply_kg", "--harvest", text.substr(at + 1));
    json.member("keeps_periods", 0);
    json.end_object();
}

}  // namespace

void SeasonOptions::add_to(Command& command) {
    const char* group = "In place of a file";
    for (const Word& option : options)
        command.add({{option.name, &(this->*option.value), option.type, option.what, group}});
    command.add({repeated({"--harvest", &harvest, "ID=KG[,KG]",
                           "An ingredient that is harvested, kg a period, and used in it; may be "
                           "repeated",
                           group})});
}

bool SeasonOptions::given() const {
    for (const Word& option : options) {
        if (!(this->*option.value).empty()) return true;
    }
    return !harvest.empty();
}

Settings SeasonOptions::settings() const {
    Settings list;
    for (const Word& option : options) {
        const std::string& value = this->*option.value;
        if (!value.empty()) list.emplace_back(option.name + 2, value);
    }
    if (!harvest.empty()) list.emplace_back("harvest", base::join_words(harvest));
    return list;
}

std::string SeasonOptions::season() const {
    if (!gain.empty() && !feed.empty())
        throw UsageError("season", "--feed with --gain", "one of them");
    Lacking lacking("season");
    lacking.unless(!profile.empty(), "--for", "the animals, such as laying-hen/lay");
    lacking.unless(!periods.empty(), "--periods", "how many periods the season has");
    lacking.unless(!prices.empty() || !harvest.empty(), "--prices or --harvest",
                   "what home feed is made of");
    lacking.unless(!feed.empty() || !gain.empty(), "--feed or --gain",
                   "kg that the animals eat, or gain, in a period");
    lacking.unless(gain.empty() || !home_fcr.empty(), "--home-fcr",
                   "kg of home feed per kg of gain");
    lacking.unless(gain.empty() || bag.empty() || !bought_fcr.empty(), "--bought-fcr",
                   "kg of bought feed per kg of gain");
    lacking.unless(hours.empty() || !hours_per_kg.empty(), "--hours-per-kg",
                   "the work for 1 kg of home feed");
    lacking.tell();
    base::JsonWriter json;
    const auto text = [&](const char* key, const std::string& value) {
        if (!value.empty()) json.member(key, value);
    };
    json.begin_object();
    text("format", "feedwright-season/1");
    text("currency", currency);
    text("start_date", date);
    put(json, "periods", "--periods", periods);
    put(json, "period_days", "--period-days", period_days.empty() ? "30" : period_days);
    json.key("animals").begin_array().begin_object();
    text("name", profile.substr(0, profile.find('/')));
    text("profile", profile);
    put(json, "feed_kg", "--feed", feed);
    put(json, "gain_kg", "--gain", gain);
    put(json, "fcr_home", "--home-fcr", home_fcr);
    put(json, "fcr_bought", "--bought-fcr", bought_fcr);
    json.end_object().end_array();
    json.key("ingredients").begin_array();
    if (!prices.empty()) {
        const job::PriceList list = job::read_price_list(prices);
        list.problems.throw_if_any();
        for (const job::PricedIngredient& row : list.rows) {
            if (row.per_litre)
                throw UsageError("--prices", "a price per litre of " + row.ingredient,
                                 "prices per kg");
            json.begin_object();
            json.member("id", row.ingredient);
            json.member("price", row.price);
            json.member("min", row.min);
            json.member("max", row.max);
            json.end_object();
        }
    }
    for (const std::string& one : harvest)
        put_harvest(json, one);
    json.end_array();
    if (!bag.empty()) {
        json.key("bought_feeds").begin_array().begin_object();
        text("name", "bought feed");
        text("price", bag);
        json.end_object().end_array();
    }
    json.key("making").begin_object();
    put(json, "cost_per_kg", "--making", making);
    put(json, "loss_percent", "--loss", loss);
    put(json, "hours", "--hours", hours);
    put(json, "hours_per_kg", "--hours-per-kg", hours_per_kg);
    put(json, "value_of_hour", "--hour-value", hour_value);
    if (!equipment.empty()) {
        json.key("equipment").begin_array().begin_object();
        text("name", "equipment");
        put(json, "cost_for_season", "--equipment", equipment);
        json.end_object().end_array();
    }
    json.end_object();
    json.end_object();
    return json.take();
}

}  // namespace feedwright::cli
