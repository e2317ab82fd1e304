// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/venture_options.hpp"

#include "base/json_writer.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "base/units.hpp"
#include "cli/options.hpp"

#include <limits>
#include <string_view>

namespace feedwright::cli {

namespace {

struct Word {
    const char* name;
    std::string VentureOptions::*value;
    const char* type;
    const char* what;
};

constexpr Word options[] = {
    {"--materials", &VentureOptions::materials, "COST", "Cost of the ingredients of 1 kg of mix"},
    {"--job", &VentureOptions::job, "FILE",
     "In place of --materials: a job, whose cheapest mix is made"},
    {"--recipe", &VentureOptions::recipe, "FILE", "In place of --materials: a recipe with prices"},
    {"--for", &VentureOptions::profile, "PROFILE",
     "Requirements that a recipe is checked against, such as nile-tilapia/grow-out"},
    {"--weight", &VentureOptions::batch, "WEIGHT", "Weight of one batch: 25 (kg) or \"50 lb\""},
    {"--hours", &VentureOptions::hours, "N", "Hours of work for a batch; needs --hour-value"},
    {"--hour-value", &VentureOptions::hour_value, "COST", "Value of an hour of work; 0 is allowed"},
    {"--kwh", &VentureOptions::kwh, "N", "Electricity for a batch, kWh; needs --kwh-price"},
    {"--kwh-price", &VentureOptions::kwh_price, "COST", "Price of a kWh"},
    {"--other", &VentureOptions::other, "COST", "Other costs of a batch"},
    {"--loss", &VentureOptions::loss, "PERCENT", "Feed lost in making, percent of the mix"},
    {"--home-fcr", &VentureOptions::home_fcr, "X", "FCR on the home feed, kg feed per kg gain"},
    {"--bag", &VentureOptions::bag, "PRICE", "The bought feed: \"24.5 per 20 kg\""},
    {"--delivery", &VentureOptions::delivery, "COST", "Delivery of a bag"},
    {"--bought-fcr", &VentureOptions::bought_fcr, "X", "FCR on the bought feed"},
    {"--gain", &VentureOptions::gain, "WEIGHT", "Gain of the animals in a year: 300 (kg)"},
    {"--feed", &VentureOptions::feed, "WEIGHT", "In place of --gain: feed given in a year"},
    {"--currency", &VentureOptions::currency, "CODE", "Currency of all costs, such as USD"},
};

struct Range {
    const char* what;
    double high = std::numeric_limits<double>::max();
    bool above_zero = false;
};

constexpr Range amount{"zero or more"};
constexpr Range above{"above 0", std::numeric_limits<double>::max(), true};
constexpr Range share_lost{"percent from 0 to below 100", 99.999};

double read(const char* option, const std::string& whole, const std::string& text,
            const Range& range) {
    const auto value = base::parse_finite(text);
    const bool inside =
        value && *value >= 0 && (*value > 0 || !range.above_zero) && *value <= range.high;
    if (!inside) {
        throw UsageError(option, '"' + whole + '"', std::string("a number ") + range.what,
                         "Where it is not certain, three numbers: LOW,LIKELY,HIGH");
    }
    return *value;
}

// A number, or the lowest, the likely and the highest.
void put(base::JsonWriter& json, const char* key, const char* option, const std::string& text,
         const Range& range) {
    if (text.empty()) return;
    json.key(key);
    const std::size_t first = text.find(',');
    if (first == std::string::npos) {
        json.value(read(option, text, text, range));
        return;
    }
    const std::size_t second = text.find(',', first + 1);
    if (second == std::string::npos)
        throw UsageError(option, '"' + text + '"', "one number, or three: LOW,LIKELY,HIGH");
    const double low = read(option, text, text.substr(0, first), range);
    const double likely = read(option, text, text.substr(first + 1, second - first - 1), range);
    const double high = read(option, text, text.substr(second + 1), range);
    if (low > likely || likely > high)
        throw UsageError(option, '"' + text + '"', "the lowest first and the highest last");
    json.begin_array();
    for (const double value : {low, likely, high})
        json.value(value);
    json.end_array();
}

double kilograms(const char* option, const std::string& text) {
    const auto kg = base::parse_mass_kg(text);
    if (!kg || !(*kg > 0))
        throw UsageError(option, '"' + text + '"', "a weight above zero: 25 (kg) or \"50 lb\"");
    return *kg;
}

void put_equipment(base::JsonWriter& json, const std::vector<std::string>& list) {
    if (list.empty()) return;
    json.key("equipment");
    json.begin_array();
    for (const std::string& text : list) {
        const std::size_t slash = text.find('/');
        const auto price = base::parse_finite(text.substr(0, slash));
        // Without a part behind it there are no years.
        const double years =
            base::parse_finite(slash == std::string::npos ? "" : text.substr(slash + 1))
                .value_or(0);
        if (!price || *price < 0 || !(years > 0)) {
            throw UsageError("--equipment", '"' + text + '"',
                             "a price and the years it lasts, such as 180/5");
        }
        json.begin_object();
        json.key("price");
        json.value(*price);
        json.key("life_years");
        json.value(years);
        json.end_object();
    }
    json.end_array();
}

void put_bag(base::JsonWriter& json, const std::string& text) {
    constexpr std::string_view per = " per ";
    const std::size_t at = text.find(per);
    const auto price = base::parse_finite(std::string(base::trim(text.substr(0, at))));
    const double kg =
        base::parse_mass_kg(at == std::string::npos ? "" : text.substr(at + per.size()))
            .value_or(0);
    if (!price || *price < 0 || !(kg > 0)) {
        throw UsageError("--bag", '"' + text + '"',
                         "its price and weight, such as \"24.5 per 20 kg\"");
    }
    json.key("pack_price");
    json.value(*price);
    json.key("pack_kg");
    json.value(kg);
}

}  // namespace

void VentureOptions::add_to(Command& command) {
    const char* group = "In place of a file";
    for (const Word& option : options)
        command.add({{option.name, &(this->*option.value), option.type, option.what, group}});
    command.add(
        {repeated({"--equipment", &equipment, "PRICE/YEARS",
                   "Equipment: its price and the years it lasts, 180/5; may be repeated", group})});
}

bool VentureOptions::given() const {
    for (const Word& option : options) {
        if (!(this->*option.value).empty()) return true;
    }
    return !equipment.empty();
}

Settings VentureOptions::settings() const {
    Settings list;
    for (const Word& option : options) {
        const std::string& value = this->*option.value;
        if (!value.empty()) list.emplace_back(option.name + 2, value);
    }
    if (!equipment.empty()) list.emplace_back("equipment", base::join_words(equipment));
    return list;
}

std::string VentureOptions::venture() const {
    const int ways = (materials.empty() ? 0 : 1) + (job.empty() ? 0 : 1) + (recipe.empty() ? 0 : 1);
    if (ways > 1) {
        throw UsageError("make-or-buy", "more than one cost of materials",
                         "one of --materials, --job and --recipe");
    }
    if (!gain.empty() && !feed.empty())
        throw UsageError("make-or-buy", "--gain with --feed", "one of them");
    const bool by_gain = !gain.empty() || !home_fcr.empty() || !bought_fcr.empty();
    Lacking lacking("make-or-buy");
    lacking.unless(ways > 0, "cost of materials", "--materials COST, --job FILE or --recipe FILE");
    lacking.unless(!batch.empty(), "--weight", "what one batch weighs");
    lacking.unless(!bag.empty(), "--bag", "the price of the bought feed, \"24.5 per 20 kg\"");
    lacking.unless(hours.empty() || !hour_value.empty(), "--hour-value",
                   "what an hour of your work is worth; 0 is allowed");
    lacking.unless(kwh.empty() || !kwh_price.empty(), "--kwh-price",
                   "the price of a kWh; 0 is allowed");
    lacking.unless(!gain.empty() || !feed.empty(), "--gain or --feed",
                   "what the animals gain in a year, or eat");
    lacking.unless(!by_gain || !home_fcr.empty(), "--home-fcr", "kg of home feed per kg of gain");
    lacking.unless(!by_gain || !bought_fcr.empty(), "--bought-fcr",
                   "kg of bought feed per kg of gain");
    lacking.tell();

    base::JsonWriter json;
    const auto text = [&](const char* key, const std::string& value) {
        if (value.empty()) return;
        json.key(key);
        json.value(value);
    };
    json.begin_object();
    text("format", "feedwright-venture/1");
    text("currency", currency);
    text("profile", profile);
    json.key("make");
    json.begin_object();
    text("job", job);
    text("recipe", recipe);
    put(json, "materials_per_kg", "--materials", materials, amount);
    json.key("batch_kg");
    json.value(kilograms("--weight", batch));
    put(json, "loss_percent", "--loss", loss, share_lost);
    put(json, "hours_per_batch", "--hours", hours, amount);
    put(json, "value_of_hour", "--hour-value", hour_value, amount);
    put(json, "kwh_per_batch", "--kwh", kwh, amount);
    put(json, "price_per_kwh", "--kwh-price", kwh_price, amount);
    put(json, "other_per_batch", "--other", other, amount);
    put_equipment(json, equipment);
    put(json, "fcr", "--home-fcr", home_fcr, above);
    json.end_object();
    json.key("buy");
    json.begin_object();
    put_bag(json, bag);
    put(json, "delivery_per_pack", "--delivery", delivery, amount);
    put(json, "fcr", "--bought-fcr", bought_fcr, above);
    json.end_object();
    json.key(gain.empty() ? "feed_kg_per_year" : "gain_kg_per_year");
    json.value(gain.empty() ? kilograms("--feed", feed) : kilograms("--gain", gain));
    json.end_object();
    return json.take();
}

}  // namespace feedwright::cli
