// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "document/document.hpp"
#include "support/catch.hpp"

#include <string>
#include <vector>

using namespace feedwright::document;

namespace {

std::string render(std::vector<Block> blocks) {
    return render_markdown({"", std::move(blocks)});
}

std::string paragraph(const std::string& text) {
    return render({Paragraph{text}});
}

}  // namespace

TEST_CASE("a document in Markdown") {
    const Document document{
        "Feed #1",
        {Paragraph{"It works.", Tone::good}, Heading{"Mix"},
         Table{"mix",
               {{"Ingredient", Align::left, "id"}, {"Percent", Align::right, "percent"}},
               {{{"Soy | maize"}, {"60.5", 60.5}}, {{"Crème"}, {""}}}},
         Facts{"costs", {{"Per kg", {"0.45 USD", 0.45}}, {"Note", {""}}}}, Bullets{},
         Bullets{{{"first"}, {""}, {"second"}}}, BarPlot{"", {{"a", 0, 1, ""}}, 0}}};
    CHECK(render_markdown(document) ==
          "# Feed #1\n"
          "\n"
          "It works.\n"
          "\n"
          "## Mix\n"
          "\n"
          "| Ingredient | Percent |\n"
          "| :--- | ---: |\n"
          "| Soy \\| maize | 60.5 |\n"
          "| Crème |  |\n"
          "\n"
          "- **Per kg:** 0.45 USD\n"
          "- **Note:**\n"
          "\n"
          "- first\n"
          "- second\n"
          "\n"
          "```\n"
          "a  |" +
              std::string(76, '#') +
              "\n"
              "```\n");
    CHECK(render_markdown(Document{}).empty());
    CHECK(render({Table{"t", {{"A", Align::left, "a"}}, {}}}) == "| A |\n| :--- |\n");
    CHECK_THROWS_AS(render({Table{"t", {{"A", Align::left, "a"}}, {{}}}}), feedwright::Error);
}

TEST_CASE("Markdown characters within a line are escaped only where they would act") {
    CHECK(paragraph("a *b* `c` [d](e) <f> g|h ~i~ j\\k") ==
          "a \\*b\\* \\`c\\` \\[d\\](e) \\<f> g\\|h \\~i\\~ j\\\\k\n");
    CHECK(paragraph("crude_protein, _not_ emphasised_") ==
          "crude_protein, \\_not\\_ emphasised\\_\n");
    CHECK(paragraph("N & P, R&D, &copy; and &#35; stay") ==
          "N & P, R&D, \\&copy; and \\&#35; stay\n");
    CHECK(paragraph("5 - 3 = 2 + 0 > 1 # not 1. at the start") ==
          "5 - 3 = 2 + 0 > 1 # not 1. at the start\n");
}

TEST_CASE("Markdown characters at the start of a line are escaped") {
    CHECK(paragraph("# no heading") == "\\# no heading\n");
    CHECK(paragraph("- no item") == "\\- no item\n");
    CHECK(paragraph("-- 3") == "\\-- 3\n");
    CHECK(paragraph("+ no item") == "\\+ no item\n");
    CHECK(paragraph("> no quote") == "\\> no quote\n");
    CHECK(paragraph("=== no underline") == "\\=== no underline\n");
    CHECK(paragraph("    no code") == "no code\n");
    CHECK(paragraph("12. no item") == "12\\. no item\n");
    CHECK(paragraph("3) no item") == "3\\) no item\n");
    CHECK(paragraph("3") == "3\n");
    CHECK(render({Bullets{{{"# x"}, {"1. y"}}}}) == "- \\# x\n- 1\\. y\n");
    CHECK(render({Heading{"Lists in C#"}}) == "## Lists in C\\#\n");
    CHECK(paragraph("two\nlines\x1b") == "two lines\n");
}

TEST_CASE("a fence is longer than any run of backticks within") {
    CHECK_THAT(render({BarPlot{"", {{"a ``` b", 0, 1, ""}}, 0}}), Catch::StartsWith("````\na"));
    CHECK(render({BarPlot{}}).empty());
    CHECK(render({LinePlot{}}).empty());
}
