// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/number.hpp"
#include "report/json_sections.hpp"
#include "report/mix/square.hpp"
#include "report/notes.hpp"
#include "report/sections.hpp"

#include <fmt/format.h>

#include <string>
#include <vector>

namespace feedwright::report {

namespace {

using tasks::Square;
using tasks::SquareSide;

std::string number(double value) {
    return base::significant(value, 4);
}

// How far one is from what is wanted, which is what the other one gets.
std::string step(const Square& square, const SquareSide& side, const SquareSide& other) {
    const bool above = side.protein >= square.protein;
    return fmt::format(
        "{} has {} % crude protein, {} % {} the {} % that is wanted. So {} gets {} "
        "parts.",
        capitalised(side.name), number(side.protein), number(other.parts),
        above ? "above" : "below", base::compact(square.protein, 4), other.name,
        number(other.parts));
}

const Fields<SquareSide>& side_fields() {
    static const Fields<SquareSide> list{
        {"id", &SquareSide::id, kebab},
        {"name", &SquareSide::name},
        {"crude_protein", &SquareSide::protein, from_zero, "percent as fed"},
        {"parts", &SquareSide::parts, from_zero,
         "how far the crude protein of the other one is from what is wanted"},
        {"percent", &SquareSide::percent, share, "of the mix"},
        {"price", &SquareSide::price, anything, "of one kg"},
        {"batch_kg", &SquareSide::batch_kg, from_zero}};
    return list;
}

const Format<Square>& square_format() {
    const auto sides = [](const Square& of) {
        return std::vector<SquareSide>(of.sides.begin(), of.sides.end());
    };
    const auto notes = [](const Square& of) { return sentences(of.job.notes); };
    static const Format<Square> format{
        "square",
        "The result of formulate with --protein",
        {{"crude_protein", &Square::protein, from_zero, "what is wanted, percent as fed"},
         {"notes", if_any(notes)},
         {"mix", sides, side_fields()},
         {"cost_per_kg", &Square::cost_per_kg, anything, "where both have a price"}}};
    return format;
}

}  // namespace

Document square_document(const Square& square) {
    const auto& [first, second] = square.sides;
    Document document;
    document.title =
        fmt::format("Two ingredients for {} % crude protein", base::compact(square.protein, 4));
    document.blocks.push_back(
        Paragraph{"Protein alone was looked at, so there is no verdict. To find a complete feed, "
                  "name the animal and give a price list: --for and --prices.",
                  Tone::warn});
    for (const std::string& note : sentences(square.job.notes))
        document.blocks.push_back(Paragraph{note, Tone::warn});
    document.blocks.push_back(Heading{"Weigh out"});
    std::vector<Shown> columns{{"ingredient", "name", {}, "ingredient"},
                               {"crude protein, %", "crude_protein", as_number(2)},
                               {"parts", "parts", as_number(2)},
                               {"% of mix", "percent", as_number(2)}};
    if (square.job.batch_kg) {
        columns.push_back({fmt::format("for {} kg", base::compact(*square.job.batch_kg, 6)),
                           "batch_kg", [](double kg) {
                               return Cell{weight(kg), kg, Tone::plain};
                           }});
    }
    if (first.price || second.price) columns.push_back({"price per kg", "price", as_price()});
    add_with_ids(document, table_of("mix", side_fields(), {first, second}, columns),
                 {first.id, second.id});
    if (square.cost_per_kg) {
        Facts facts;
        facts.key = "cost";
        facts.items.emplace_back("materials, per kg of mix", price_cell(*square.cost_per_kg));
        document.blocks.push_back(std::move(facts));
    }
    document.blocks.push_back(Heading{"How the shares are found (the square)"});
    const double sum = first.parts + second.parts;
    Bullets bullets;
    bullets.items = {
        {step(square, first, second), Tone::plain},
        {step(square, second, first), Tone::plain},
        {fmt::format("Together these are {} parts. {}: 100 x {} / {} = {} % of the mix. {}: the "
                     "rest, {} %.",
                     number(sum), capitalised(first.name), number(first.parts), number(sum),
                     number(first.percent), capitalised(second.name), number(second.percent)),
         Tone::plain},
        {fmt::format(
             "Check: {} % of {} and {} % of {} are {} % crude protein.", number(first.percent),
             number(first.protein), number(second.percent), number(second.protein),
             number((first.percent * first.protein + second.percent * second.protein) / 100)),
         Tone::plain}};
    document.blocks.push_back(std::move(bullets));
    return document;
}

std::string square_json(const Square& square, const Run& run) {
    return to_json(square_format(), square, run);
}

std::string square_schema() {
    return schema_of(square_format());
}

}  // namespace feedwright::report
