// SPDX-License-Identifier: GPL-3.0-or-later
#include "tasks/square.hpp"

#include "base/diagnostics.hpp"
#include "base/number.hpp"
#include "job/edit.hpp"
#include "tasks/reading.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::tasks {

namespace {

[[noreturn]] void refuse(const std::string& place, std::string found, std::string expected,
                         std::string hint = {}) {
    throw base::DataError(base::Diagnostic{"command line", place, std::move(found),
                                           std::move(expected), std::move(hint)});
}

// The word before a price, and the price.
job::Extra named(const std::string& text, bool& priced) {
    priced = text.rfind('@') != std::string::npos;
    return priced ? job::parse_extra(text) : job::Extra{text, 0};
}

// A job of the one ingredient. The requests of a whole job, such as --strict, say nothing of it.
job::Job job_of(const job::Extra& extra, const job::ReadOptions& asked, catalog::Library& library) {
    job::ReadOptions options;
    options.profile = asked.profile;
    options.batch_kg = asked.batch_kg;
    options.with = {extra};
    return read_job({{}, std::move(options)}, library);
}

SquareSide side_of(const job::Choice& choice, bool priced, const std::string& word) {
    SquareSide side;
    side.id = choice.id;
    side.name = choice.name;
    if (priced) side.price = choice.price;
    const catalog::Amount* protein = choice.composition.find("crude_protein");
    if (choice.category == "amino-acid" || (protein != nullptr && protein->value > 100)) {
        refuse(word, "a free amino acid or urea", "an ingredient whose crude protein is protein",
               "Free amino acids and urea do not count as protein");
    }
    if (protein == nullptr) {
        refuse(word, "no value for crude protein", "an ingredient that has one",
               "Give an analysis of your own in a job or a library file");
    }
    side.protein = protein->value;
    return side;
}

}  // namespace

Square square(const SquareRequest& request, catalog::Library& library) {
    if (request.ingredients.size() != 2) {
        refuse("--protein", fmt::format("{} ingredients", request.ingredients.size()),
               "two, such as: --protein 32 maize soybean-meal-44",
               "For more, or for other requirements, use --for and --prices");
    }
    Square result;
    result.protein = request.protein;
    for (std::size_t i = 0; i < 2; ++i) {
        const std::string& word = request.ingredients[i];
        bool priced = false;
        job::Job one = job_of(named(word, priced), request.options, library);
        result.sides[i] = side_of(one.ingredients.front(), priced, word);
        if (i == 0) {
            result.job = std::move(one);
        } else {
            result.job.notes.insert(result.job.notes.end(), one.notes.begin(), one.notes.end());
            result.job.ingredients.push_back(std::move(one.ingredients.front()));
        }
    }
    auto& [first, second] = result.sides;
    if (first.id == second.id)
        refuse("--protein", fmt::format("{} twice", first.id), "two ingredients");
    const double low = std::min(first.protein, second.protein);
    const double high = std::max(first.protein, second.protein);
    if (!(low < high) || request.protein < low || request.protein > high) {
        refuse("--protein", fmt::format("{} %", base::compact(request.protein, 4)),
               fmt::format("crude protein between that of the two: {} has {} % and {} has {} %",
                           first.id, base::compact(first.protein, 4), second.id,
                           base::compact(second.protein, 4)),
               request.protein > high ? "No mix has more than the richer of the two"
                                      : "No mix has less than the poorer of the two");
    }
    first.parts = std::abs(second.protein - request.protein);
    second.parts = std::abs(first.protein - request.protein);
    for (SquareSide& side : result.sides) {
        side.percent = 100 * side.parts / (high - low);
        if (request.options.batch_kg)
            side.batch_kg = *request.options.batch_kg * side.percent / 100;
    }
    if (first.price && second.price)
        result.cost_per_kg = (*first.price * first.percent + *second.price * second.percent) / 100;
    return result;
}

}  // namespace feedwright::tasks
