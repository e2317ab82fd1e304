// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/number.hpp"
#include "base/text.hpp"
#include "base/units.hpp"
#include "report/json_sections.hpp"
#include "report/sections.hpp"
#include "report/weighing/weighing_report.hpp"
#include "report/weighing/weighing_sections.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::report {

namespace {

using sheet::DilutionRound;
using sheet::MixingPlan;
using sheet::PlanItem;

// "mix 4 to 5 minutes [vtt1993]"
std::string sourced(const std::string& text, const sheet::PracticeFigure& figure) {
    return text + " [" + figure.source + ']';
}

std::string ratio_text(double ratio) {
    return base::shortest(std::round(ratio * 10) / 10);
}

std::string range(const sheet::PracticeFigure& figure) {
    const std::string low = base::shortest(figure.low);
    return figure.low == figure.high ? low : low + " to " + base::shortest(figure.high);
}

// Names hold commas themselves.
std::string in_list(const std::vector<std::string>& names) {
    std::string text;
    for (const std::string& name : names)
        text += (text.empty() ? "" : "; ") + name;
    return text;
}

class SheetBuilder {
  public:
    /// `compact`: the dilution in words, what goes in last in one table.
    SheetBuilder(const job::Job& job, const search::Weighing& weighing, const MixingPlan& plan,
                 bool compact)
        : job_(job), weighing_(weighing), plan_(plan), compact_(compact) {
        document_.title = fmt::format(
            "Mixing sheet: {}", job.title.empty() ? std::string("a batch of feed") : job.title);
    }

    Document build() {
        add_head();
        add_preparation();
        add_weights("Put the dry ingredients into the mixer, largest first", "bulk", "in the mixer",
                    plan_.bulk, in_mixer_);
        add_micro();
        add_rest();
        add_water();
        add_drying();
        add_coarse(document_, weighing_);
        return std::move(document_);
    }

  private:
    std::string weighed(double grams) const { return weight_text(grams, weighing_.scale); }
    std::string weighed_roughly(double grams) const {
        const double unit = weighing_.scale.in_ounces ? 1000 * *base::kilograms_per("oz") : 1;
        return weighed(unit * std::round(grams / unit));
    }

    void heading(const std::string& text) {
        document_.blocks.push_back(Heading{fmt::format("{}. {}", ++step_, text)});
    }

    void say(std::string text) {
        document_.blocks.push_back(Paragraph{std::move(text), Tone::plain});
    }

    void add_head() {
        std::string text = fmt::format("Batch of {}", weighed(plan_.batch_g));
        if (job_.profile)
            text += fmt::format(", for {}, {}", job_.profile->name, job_.profile->stage_name);
        const search::WeighingScale& scale = weighing_.scale;
        text += fmt::format(". Weighed to {}", weighed(scale.step_g));
        if (scale.fine_step_g) {
            text += fmt::format(", below {} to {}", weighed(scale.fine_below_g),
                                weighed(*scale.fine_step_g));
        }
        say(text + '.');
        say("Date ____________   By ____________   Batch no. ____________");
    }

    // Ingredients that need the same are told together.
    void add_preparation() {
        std::vector<std::pair<std::string, std::vector<std::string>>> tasks;
        for (const auto* shelf : {&plan_.bulk, &plan_.micro, &plan_.moist, &plan_.oils}) {
            for (const PlanItem& item : *shelf) {
                if (item.processing.empty()) continue;
                const std::string task = base::join_words(item.processing);
                const auto same = std::find_if(tasks.begin(), tasks.end(),
                                               [&](const auto& t) { return t.first == task; });
                if (same == tasks.end()) {
                    tasks.push_back({task, {short_name(job_, item.name)}});
                } else {
                    same->second.push_back(short_name(job_, item.name));
                }
            }
        }
        if (tasks.empty()) return;
        heading("Before the day");
        std::string text;
        for (const auto& [task, names] : tasks) {
            text += text.empty() ? "" : " ";
            text += task == "dry" ? fmt::format("Check that this is dry: {}.", in_list(names))
                                  : fmt::format("{}: {}.", capitalised(task), in_list(names));
        }
        say(std::move(text));
    }

    // `so_far` is what the place they go to holds already; it is moved on.
    void add_weights(const std::string& title, const std::string& key, const std::string& place,
                     const std::vector<PlanItem>& items, double& so_far) {
        if (items.empty()) return;
        heading(title);
        Table table;
        table.key = key;
        table.columns = {{"", Align::left, "done"},
                         {"ingredient", Align::left, "ingredient"},
                         {"weigh out", Align::right, "grams"},
                         {place, Align::right, "running_grams"}};
        for (const PlanItem& item : items) {
            so_far += item.grams;
            table.rows.push_back({text_cell("[ ]"),
                                  text_cell(item.name + (item.fine ? " (fine)" : "")),
                                  {weighed(item.grams), item.grams, Tone::plain},
                                  {weighed(so_far), so_far, Tone::plain}});
        }
        document_.blocks.push_back(std::move(table));
    }

    void add_rest() {
        if (compact_) {
            std::vector<PlanItem> rest = plan_.moist;
            rest.insert(rest.end(), plan_.oils.begin(), plan_.oils.end());
            rest.insert(rest.end(), plan_.liquids.begin(), plan_.liquids.end());
            add_weights("Add moist ingredients, minced fine; then oils, slowly; then liquids",
                        "rest", "in the mixer", rest, in_mixer_);
            return;
        }
        add_weights("Add the moist ingredients, chopped or minced fine", "moist", "in the mixer",
                    plan_.moist, in_mixer_);
        add_weights("Pour on the oils slowly while the mixer turns", "oils", "in the mixer",
                    plan_.oils, in_mixer_);
        add_weights("Add the liquids", "liquids", "in the mixer", plan_.liquids, in_mixer_);
    }

    void add_micro() {
        if (plan_.micro.empty()) return;
        double bowl = 0;
        add_weights("Put the small amounts into a bowl first", "micro", "in the bowl", plan_.micro,
                    bowl);
        in_mixer_ += bowl;
        if (!plan_.carrier) return;
        const double ratio = plan_.carrier->grams / plan_.rounds.front().bowl_g;
        const std::string practice = sourced("practice " + range(plan_.practice.carrier_ratio),
                                             plan_.practice.carrier_ratio);
        if (compact_) {
            std::string text =
                fmt::format("Dilute in the bowl with {} from the mixer; mix well each time:",
                            plan_.carrier->name);
            for (const DilutionRound& round : plan_.rounds) {
                text += fmt::format(" [ ] add {} ({} in the bowl)", weighed(round.carrier_g),
                                    weighed(round.total_g));
            }
            say(fmt::format("{}; {} times the small amounts ({}). Then put all into the mixer.",
                            text, ratio_text(ratio), practice));
            return;
        }
        Table table;
        table.key = "dilution";
        table.columns = {{"", Align::left, "done"},
                         {"in the bowl", Align::right, "bowl_grams"},
                         {"add from the mixer", Align::right, "carrier_grams"},
                         {"ratio", Align::right, "ratio"},
                         {"then mix well, in the bowl", Align::right, "total_grams"}};
        for (const DilutionRound& round : plan_.rounds) {
            table.rows.push_back({text_cell("[ ]"),
                                  {weighed(round.bowl_g), round.bowl_g, Tone::plain},
                                  {weighed(round.carrier_g), round.carrier_g, Tone::plain},
                                  {"1 : " + ratio_text(round.carrier_g / round.bowl_g),
                                   round.carrier_g / round.bowl_g, Tone::plain},
                                  {weighed(round.total_g), round.total_g, Tone::plain}});
        }
        document_.blocks.push_back(std::move(table));
        say(fmt::format(
            "Carrier: {}, {} of what is weighed in already, {} times the small amounts ({}). Then "
            "spread the contents of the bowl over the mixer and mix.",
            plan_.carrier->name, weighed(plan_.carrier->grams), ratio_text(ratio), practice));
    }

    std::string mash() const {
        return sourced(range(plan_.practice.mash_moisture) + " % moisture",
                       plan_.practice.mash_moisture);
    }

    void add_water() {
        if (!plan_.pellets) return;
        heading("Add water and press");
        if (!plan_.water_g) {
            say(
                fmt::format("The dry matter of some ingredients is not known, so the water is not "
                            "known either. Add water up to {}: a dough that keeps its form when "
                            "pressed in the hand.",
                            mash()));
            return;
        }
        std::string text =
            fmt::format("The mix contains {} % moisture.", base::fixed(*plan_.moisture, 1));
        text += *plan_.water_g >= 0 ? fmt::format(" [ ] Add {} of water ({})",
                                                  weighed_roughly(*plan_.water_g), mash())
                                    : fmt::format(" [ ] Add no water. Evaporate {} first ({})",
                                                  weighed_roughly(-*plan_.water_g), mash());
        text +=
            fmt::format(". Mix {} minutes [{}]. Press through the mincer.",
                        range(plan_.practice.mixing_minutes), plan_.practice.mixing_minutes.source);
        if (!plan_.counted_dry.empty()) {
            text += fmt::format(" Counted as dry: {}.", base::join_words(plan_.counted_dry));
        }
        say(std::move(text));
    }

    void add_drying() {
        const bool wet = plan_.moisture && *plan_.moisture > plan_.target_moisture;
        if (!plan_.pellets && !plan_.target_is_asked && !wet) return;
        const std::string target = base::shortest(plan_.target_moisture) + " % moisture";
        const std::string whose =
            plan_.target_is_asked ? target + " (as the job asks)"
            : plan_.pellets       ? "at most " + sourced(target, plan_.practice.dry_pellet_moisture)
                                  : "below " + sourced(target, plan_.practice.storage_moisture);
        heading("Dry to " + whose);
        if (!plan_.finished_g) {
            say("The dry matter of some ingredients is not known, so the weight after drying is "
                "not "
                "known either.");
            return;
        }
        const double moist = 1000 * *plan_.finished_g / *plan_.sample_g;
        if (*plan_.finished_g > moist) {
            say(fmt::format("It is drier already: {} of water would bring it to {}.",
                            weighed_roughly(*plan_.finished_g - moist), target));
            return;
        }
        std::string text = fmt::format(
            "Dry until the batch weighs {}. Check: 1000 g of moist feed must weigh {} when dry. "
            "Weigh one tray before and after.",
            weighed_roughly(*plan_.finished_g), weighed_roughly(*plan_.sample_g));
        if (plan_.pellets) {
            text += fmt::format(
                " One study needed {} h in air at {} °C [{}]; your time will differ.",
                range(plan_.practice.drying_hours), range(plan_.practice.drying_temperature),
                plan_.practice.drying_hours.source);
        }
        text += " [ ] weighed ________ g";
        say(std::move(text));
    }

    const job::Job& job_;
    const search::Weighing& weighing_;
    const MixingPlan& plan_;
    Document document_;
    bool compact_;
    int step_ = 0;
    double in_mixer_ = 0;
};

std::size_t lines_of(const Document& document) {
    const std::string text = document::render_text(document);
    return static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
}

using Cautions = std::vector<limits::CautionResult>;

struct Told {
    const job::Job& job;
    const search::Weighing& weighing;
    const MixingPlan& plan;
    const Cautions& cautions;
};

const Fields<MixingPlan>& plan_fields() {
    static const Fields<PlanItem> item{
        {"id", &PlanItem::id, kebab},
        {"name", &PlanItem::name},
        {"grams", &PlanItem::grams, from_zero},
        {"fine_scale", &PlanItem::fine},
        {"processing", if_any(&PlanItem::processing), anything, "what it needs first"}};
    static const Fields<DilutionRound> round{
        {"bowl_grams", &DilutionRound::bowl_g, from_zero},
        {"carrier_grams", &DilutionRound::carrier_g, from_zero},
        {"total_grams", &DilutionRound::total_g, from_zero}};
    static const Fields<MixingPlan> dilution{
        {"carrier", [](auto& of) { return of.carrier->id; }, kebab},
        {"carrier_grams", [](auto& of) { return of.carrier->grams; }, from_zero},
        {"rounds", &MixingPlan::rounds, round}};
    static const Fields<MixingPlan> list{
        {"weighed_g", &MixingPlan::batch_g, from_zero},
        {"bulk", &MixingPlan::bulk, item, "dry, heaviest first"},
        {"micro", &MixingPlan::micro, item, "dry and small"},
        {"dilution", [](auto& of) { return of.carrier ? &of : nullptr; }, dilution},
        {"moist", &MixingPlan::moist, item},
        {"oils", &MixingPlan::oils, item},
        {"liquids", &MixingPlan::liquids, item},
        {"pellets", &MixingPlan::pellets, anything, "false: a dry mash"},
        {"moisture_percent", &MixingPlan::moisture, anything, "of what is weighed in"},
        {"counted_dry", &MixingPlan::counted_dry, anything, "their dry matter is not known"},
        {"water_to_add_g", &MixingPlan::water_g, anything, "below zero: to dry off first"},
        {"target_moisture_percent", &MixingPlan::target_moisture, anything, "of finished feed"},
        {"finished_g", &MixingPlan::finished_g},
        {"practice_sources", [](auto& of) { return sheet::sources_of(of.practice); }}};
    return list;
}

const Format<Told>& sheet_format() {
    static const Format<Told> format{
        "sheet",
        "The result of formulate with --sheet",
        {{here, [](auto& of) -> const job::Job& { return of.job; }, head_fields()},
         {"step_g", [](auto& of) { return of.weighing.scale.step_g; }, above_zero},
         {"fine_step_g", [](auto& of) { return of.weighing.scale.fine_step_g; }, above_zero},
         {here, [](auto& of) -> const MixingPlan& { return of.plan; }, plan_fields()},
         {"cautions", [](auto& of) -> const Cautions& { return of.cautions; }, caution_fields()}}};
    return format;
}

}  // namespace

Document sheet_document(const job::Job& job, const search::Weighing& weighing,
                        const MixingPlan& plan,
                        const std::vector<limits::CautionResult>& cautions) {
    // As many cautions as the page holds; what touches this mix comes before what touches all. A
    // page without room for one is made compact first.
    const auto page_with = [&](std::size_t shown, bool compact) {
        Document page = SheetBuilder(job, weighing, plan, compact).build();
        Bullets bullets;
        for (std::size_t i = 0; i < shown; ++i) {
            bullets.items.push_back({cautions[i].text, Tone::plain});
        }
        if (shown < cautions.size()) {
            bullets.items.push_back(
                {fmt::format("{} {}: the same command with --show cautions in place of --sheet.",
                             cautions.size() - shown, shown == 0 ? "cautions" : "more"),
                 Tone::plain});
        }
        if (!bullets.items.empty()) page.blocks.push_back(Heading{"Cautions"});
        page.blocks.push_back(std::move(bullets));
        return page;
    };
    const std::size_t fewest = std::min<std::size_t>(1, cautions.size());
    const bool compact = lines_of(page_with(fewest, false)) > sheet_lines;
    for (std::size_t shown = cautions.size(); shown > 0; --shown) {
        Document page = page_with(shown, compact);
        if (lines_of(page) <= sheet_lines) return page;
    }
    return page_with(0, compact);
}

std::string sheet_json(const job::Job& job, const search::Weighing& weighing,
                       const MixingPlan& plan, const std::vector<limits::CautionResult>& cautions,
                       const Run& run) {
    return to_json(sheet_format(), {job, weighing, plan, cautions}, run);
}

std::string sheet_schema() {
    return schema_of(sheet_format());
}

}  // namespace feedwright::report
