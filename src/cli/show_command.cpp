// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.hpp"
#include "cli/commands.hpp"
#include "cli/options.hpp"
#include "report/catalog/catalog_pages.hpp"
#include "report/catalog/list_report.hpp"
#include "tasks/catalog.hpp"

#include <memory>
#include <variant>

namespace feedwright::cli {

namespace {

// Shows what an id stands for.
class Page {
  public:
    explicit Page(Context& context)
        : context_(context), dictionary_(context.library().dictionary()) {}

    void operator()(const tasks::IngredientFacts& facts) const {
        context_.show(
            [&] {
                return report::ingredient_page(*facts.ingredient, dictionary_, facts.composition,
                                               facts.caps, facts.cautions, facts.sources);
            },
            [&] {
                return report::ingredient_json(*facts.ingredient, dictionary_, facts.composition,
                                               facts.caps, facts.cautions);
            });
    }

    void operator()(const catalog::Profile* profile) const {
        context_.show([&] { return report::species_page(*profile, dictionary_); },
                      [&] { return report::species_json(*profile); });
    }

    void operator()(const tasks::StageFacts& facts) const {
        const auto& [profile, stage] = facts.stage;
        context_.show([&, p = profile,
                       s = stage] { return report::profile_page(*p, *s, dictionary_, facts.caps); },
                      [&, p = profile, s = stage] {
                          return report::profile_json(*p, *s, dictionary_, facts.caps);
                      });
    }

    void operator()(const catalog::Nutrient* nutrient) const {
        context_.show(
            [&] { return report::nutrient_page(*nutrient); },
            [&] { return report::table_json("nutrients", report::list_table({nutrient})); });
    }

    void operator()(const catalog::Source* source) const {
        context_.show([&] { return report::source_page(*source); },
                      [&] { return report::source_json(*source); });
    }

  private:
    Context& context_;
    const catalog::NutrientDictionary& dictionary_;
};

struct Request {
    std::vector<std::string> words;
    std::string species;
};

ExitStatus run(const Request& request, Context& context) {
    const tasks::ShowRequest asked{base::join_words(request.words, " "), request.species};
    std::visit(Page(context), tasks::show(asked, context.library()));
    return ExitStatus::success;
}

}  // namespace

Command show_command(Context& context) {
    auto request = std::make_shared<Request>();
    Command command{"show", "Show one ingredient, species, profile, nutrient or source"};
    command.add({
        required(
            {"id", &request->words, "ID", "Its id, as \"feedwright list\" gives it, or its name"}),
        {"--for", &request->species, "SPECIES", "Species whose digestibility values to use"},
    });
    add_common_options(command, context,
                       {"values", "digestibility", "caps", "advisory", "feeding", "notes",
                        "conflicts", "cautions", "sources"});
    command.examples = {"feedwright show duckweed-dried", "feedwright show nile-tilapia",
                        "feedwright show nile-tilapia/grow-out", "feedwright show vitamin C"};
    command.exits = {{0, "the page was printed"},
                     {1, "a file of the library cannot be read"},
                     {2, "wrong command line, or no such item"}};
    command.run = [request, &context] { return run(*request, context); };
    return command;
}

}  // namespace feedwright::cli
