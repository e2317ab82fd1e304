// SPDX-License-Identifier: GPL-3.0-or-later
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "cli/purchasable.hpp"
#include "cli/search_options.hpp"
#include "job/portion.hpp"
#include "report/mend/mend_report.hpp"
#include "search/cheapest.hpp"
#include "search/mend.hpp"
#include "search/purchases.hpp"

#include <memory>
#include <string>
#include <utility>
#include <vector>

namespace feedwright::cli {

namespace {

struct Request {
    std::string recipe;
    std::string add_at_most;
    std::vector<std::string> with;
    std::string from;
    JobOptions options;
    SearchOptions search;
};

// What may come in: what is named, else what the list of candidates holds, else, when additions are
// asked for, what the price list holds.
std::vector<job::Candidate> candidates(const Request& request, const job::ReadOptions& options) {
    std::vector<job::Candidate> list;
    for (const std::string& id : request.with) {
        list.push_back({id, {}, {}, "command line", "--with"});
    }
    const auto add_all = [&](const job::PriceList& prices) {
        prices.problems.throw_if_any();
        for (const job::PricedIngredient& row : prices.rows) {
            list.push_back({row.ingredient, row.price, row.max, prices.file,
                            row.place + ", column ingredient"});
        }
    };
    if (!request.from.empty()) {
        add_all(job::read_price_list(request.from));
    } else if (request.with.empty() && !request.add_at_most.empty() && options.prices) {
        add_all(*options.prices);
    }
    return list;
}

std::vector<std::pair<std::string, std::string>> settings(const Request& request,
                                                          const job::Job& recipe) {
    auto list = request.options.settings(recipe);
    std::string with;
    for (const std::string& id : request.with)
        with += (with.empty() ? "" : ",") + id;
    if (!with.empty()) list.emplace_back("with", with);
    if (!request.from.empty()) list.emplace_back("from", request.from);
    if (!request.add_at_most.empty()) list.emplace_back("add_at_most", request.add_at_most);
    for (auto& item : request.search.settings())
        list.push_back(std::move(item));
    return list;
}

// What to buy, where the recipe cannot be made to pass without, or lacks something even so.
template <class Read>
std::optional<search::Purchases> find_purchases(const job::Job& recipe,
                                                const search::Mending& result,
                                                const Read& read_with,
                                                const search::MendOptions& options,
                                                Context& context) {
    if (!recipe.profile || job::Portion(recipe).is_ration()) return std::nullopt;
    std::optional<limits::Judgement> on_hand;
    if (result.before.passes) on_hand = result.before.judgement;
    if (result.smallest) on_hand = result.smallest->judgement;
    if (on_hand && !search::lacks_something_to_buy(*on_hand)) return std::nullopt;
    const std::vector<std::string> ids = purchasable(recipe, context.library());
    const job::Job wide = read_with(ids);
    return search::find_purchases(
        wide, ids,
        [&](const std::vector<std::string>& chosen) { return search::settle(read_with(chosen)); },
        on_hand, options);
}

ExitStatus run(const Request& request, Context& context) {
    search::MendOptions options;
    if (!request.add_at_most.empty()) {
        options.add_at_most = whole_number(request.add_at_most, 0, "--add-at-most");
    }
    options.solve = request.search.solve();
    job::ReadOptions read = request.options.read();
    read.candidates = candidates(request, read);
    // Read, and on the moisture that the recipe as it is asks for.
    const auto read_with = [&](const std::vector<std::string>& ids) {
        job::ReadOptions more = read;
        for (const std::string& id : ids)
            more.candidates.push_back({id, {}, {}, "library", id});
        job::Job recipe = job::read_recipe(request.recipe, context.library(), more);
        if (request.options.strict) require_known(recipe, context.library());
        if (auto dried = search::at_common_moisture(recipe, limits::check(recipe).assessment)) {
            recipe = std::move(*dried);
        }
        return recipe;
    };
    const job::Job recipe = search::settle(read_with({}));
    const search::Mending result = search::mend(recipe, options);
    if (result.before.asked == 0) {
        throw UsageError("mend", "a recipe without a profile and without limits",
                         "what it is to meet",
                         "Name a profile with --for, such as nile-tilapia/grow-out");
    }
    const auto purchases = find_purchases(recipe, result, read_with, options, context);
    auto inputs = recipe.inputs;
    if (!request.from.empty()) inputs.push_back(request.from);
    const report::Run about = context.run(inputs, settings(request, recipe));
    context.show(report::mend_document(recipe, result, options, about, purchases),
                 [&] { return report::mend_json(recipe, result, about, purchases); });
    if (result.before.passes) return ExitStatus::success;
    return exit_status_of(result.status, result.smallest.has_value());
}

}  // namespace

Command mend_command(Context& context) {
    auto request = std::make_shared<Request>();
    Command command{"mend", "Change a recipe as little, and as cheaply, as makes it pass"};
    command.add({recipe_word(request->recipe)});
    request->options.add_to(command);
    const char* group = "What may come in";
    command.add({
        listed({"--with", &request->with, "ID,ID",
                "Ingredients of the library that may come in: ID,ID", group}),
        {"--from", &request->from, "FILE", "Every ingredient of this price list may come in",
         group},
        {"--add-at-most", &request->add_at_most, "N",
         "Let at most N of them in (alone: of the price list)", group},
    });
    request->search.add_to(command);
    add_common_options(command, context);
    command.run = [request, &context] { return run(*request, context); };
    return command;
}

}  // namespace feedwright::cli
