// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/diagnostics.hpp"
#include "base/text.hpp"
#include "document/document.hpp"
#include "support/catch.hpp"

#include <random>
#include <sstream>
#include <string>
#include <vector>

using namespace feedwright::document;

namespace {

std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    std::istringstream in(text);
    for (std::string line; std::getline(in, line);)
        lines.push_back(line);
    return lines;
}

std::string without_ansi(const std::string& text) {
    std::string out;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] == '\x1b') {
            i = text.find('m', i);
        } else {
            out += text[i];
        }
    }
    return out;
}

// Documents of every block type, with words of one to twelve letters, some of them not ASCII.
class Generator {
  public:
    explicit Generator(unsigned seed) : random_(seed) {}

    Document document() {
        Document document{text(8), {}};
        for (int n = below(9); n >= 0; --n)
            document.blocks.push_back(block());
        return document;
    }

  private:
    int below(int n) { return std::uniform_int_distribution<int>(0, n - 1)(random_); }

    std::string text(int most_words) {
        std::string out;
        for (int n = below(most_words + 1); n > 0; --n) {
            for (int letters = 1 + below(12); letters > 0; --letters) {
                out += below(10) == 0 ? "é" : std::string(1, static_cast<char>('a' + below(26)));
            }
            out += below(20) == 0 ? "  " : " ";
        }
        return out;
    }

    Tone tone() { return static_cast<Tone>(below(5)); }
    Cell cell(int most_words) { return {text(most_words), std::nullopt, tone()}; }

    Block block() {
        switch (below(5)) {
            case 0:
                return Heading{text(12)};
            case 1:
                return Paragraph{text(60), tone()};
            case 2: {
                Bullets bullets;
                for (int n = below(4); n > 0; --n)
                    bullets.items.push_back({text(40), tone()});
                return bullets;
            }
            case 3: {
                Facts facts{"facts", {}};
                for (int n = below(5); n > 0; --n)
                    facts.items.emplace_back(text(7), cell(20));
                return facts;
            }
            default:
                break;
        }
        Table table{"table", {}, {}};
        for (int n = below(12); n > 0; --n) {
            table.columns.push_back({text(4), below(2) == 0 ? Align::left : Align::right, "key"});
        }
        for (int n = below(5); n > 0; --n) {
            table.rows.emplace_back();
            for (const TableColumn& column : table.columns) {
                table.rows.back().push_back(cell(column.align == Align::left ? 6 : 1));
            }
        }
        return table;
    }

    std::mt19937 random_;
};

std::string render(std::vector<Block> blocks, std::size_t width = 80, bool colour = false) {
    return render_text(Document{"", std::move(blocks)}, TextStyle{width, colour});
}

}  // namespace

TEST_CASE("a text report has one empty line between blocks and indents what a heading governs") {
    const Document document{
        "Feed for the pond",
        {Paragraph{"It works."}, Paragraph{""}, Bullets{}, Heading{"Costs"},
         Facts{"costs", {{"Per kg", {"0.45 USD", 0.45}}, {"Per batch of 25 kg", {"11.25 USD"}}}},
         BarPlot{}, Heading{"Plot"}, BarPlot{"", {{"a", 0, 1, ""}}, 0}, Paragraph{"Done."}}};
    CHECK(render_text(document) ==
          "Feed for the pond\n"
          "\n"
          "It works.\n"
          "\n"
          "Costs\n"
          "  Per kg              0.45 USD\n"
          "  Per batch of 25 kg  11.25 USD\n"
          "\n"
          "Plot\n"
          "a  |" +
              std::string(76, '#') +
              "\n"
              "\n"
              "  Done.\n");
    CHECK(render_text(Document{}).empty());
}

TEST_CASE("paragraphs and bullets wrap, bullets with a hanging indent") {
    CHECK(render({Paragraph{"one two  three\nfour five six"}}, 20) ==
          "one two three four\n"
          "five six\n");
    CHECK(render({Bullets{{{"one two three four five six"}, {""}, {"seven"}}}}, 20) ==
          "- one two three four\n"
          "  five six\n"
          "- seven\n");
    // A word that is too long keeps a line of its own.
    CHECK(render({Paragraph{"a bbbbbbbbbbbbbbbbbbbbbbbbb c"}}, 20) ==
          "a\n"
          "bbbbbbbbbbbbbbbbbbbbbbbbb\n"
          "c\n");
}

TEST_CASE("facts align their values; long labels and values wrap") {
    CHECK(render({Facts{"f",
                        {{"Mix", {"soybean meal and maize bran"}},
                         {"Digestible energy", {"13.1 MJ/kg"}},
                         {"Note", {""}}}}},
                 30) ==
          "Mix         soybean meal and\n"
          "            maize bran\n"
          "Digestible  13.1 MJ/kg\n"
          "  energy\n"
          "Note\n");
}

TEST_CASE("a table that fits: numbers to the right, a rule under the header") {
    const Table table{
        "mix",
        {{"Ingredient", Align::left, "id"},
         {"Percent", Align::right, "percent"},
         {"Note", Align::left, "note"}},
        {{{"Crème de lupin"}, {"60.5", 60.5}, {"scarce"}}, {{"Maize"}, {"9.0", 9.0}, {""}}}};
    CHECK(render({table}) ==
          "Ingredient      Percent  Note\n"
          "--------------  -------  ------\n"
          "Crème de lupin     60.5  scarce\n"
          "Maize               9.0\n");
}

TEST_CASE("a table that is too wide wraps headers first, then its widest left column") {
    Table table{"limits",
                {{"Limit", Align::left, "id"},
                 {"In the mix", Align::right, "value"},
                 {"Margin to the limit", Align::right, "margin"}},
                {{{"Crude protein"}, {"30.0"}, {"0.0"}}, {{"Lysine"}, {"1.51"}, {"0.08"}}}};
    CHECK(render({table}, 44) ==
          "                           Margin to the\n"
          "Limit          In the mix          limit\n"
          "-------------  ----------  -------------\n"
          "Crude protein        30.0            0.0\n"
          "Lysine               1.51           0.08\n");
    table.rows[0][0].text = "Crude protein of the finished feed, as the animals get it";
    CHECK(render({table}, 50) ==
          "                               In the  Margin to\n"
          "Limit                             mix  the limit\n"
          "-----------------------------  ------  ---------\n"
          "Crude protein of the finished    30.0        0.0\n"
          "  feed, as the animals get it\n"
          "Lysine                           1.51       0.08\n");
    // No room for readable columns: words decide.
    CHECK(render({table}, 28) ==
          "                    Margin\n"
          "            In the  to the\n"
          "Limit          mix   limit\n"
          "----------  ------  ------\n"
          "Crude         30.0     0.0\n"
          "  protein\n"
          "  of the\n"
          "  finished\n"
          "  feed, as\n"
          "  the\n"
          "  animals\n"
          "  get it\n"
          "Lysine        1.51    0.08\n");
}

TEST_CASE("a table with too many columns for a line shows each row as a list") {
    const Table table{"t",
                      {{"Ingredient", Align::left, "a"},
                       {"Percent", Align::right, "b"},
                       {"Price", Align::right, "c"}},
                      {{{"Soybean meal"}, {"40.0"}, {"0.52"}}, {{"Maize"}, {"60.0"}, {""}}}};
    CHECK(render({table}, 20) ==
          "Ingredient  Soybean\n"
          "            meal\n"
          "Percent     40.0\n"
          "Price       0.52\n"
          "\n"
          "Ingredient  Maize\n"
          "Percent     60.0\n"
          "Price\n");
}

TEST_CASE("a table without rows says so, one without columns is left out") {
    CHECK(render({Table{"t", {{"Ingredient", Align::left, "a"}, {"kg", Align::right, "b"}}, {}}}) ==
          "Ingredient  kg\n"
          "----------  --\n"
          "(none)\n");
    CHECK(render({Paragraph{"a"}, Table{}, Paragraph{"b"}}) == "a\n\nb\n");
    CHECK(render({Facts{"f", {{"", {""}}, {"a", {"b"}}}}}) == "a  b\n");
    CHECK_THROWS_AS(render({Table{"t", {{"A", Align::left, "a"}}, {{{"1"}, {"2"}}}}}),
                    feedwright::Error);
}

TEST_CASE("colour marks headings and tones, is always reset and never painted on padding") {
    const Table table{"t",
                      {{"A", Align::left, "a"}, {"B", Align::left, "b"}},
                      {{{"ok", std::nullopt, Tone::good}, {"", std::nullopt, Tone::bad}},
                       {{"short", std::nullopt, Tone::bad}, {"x"}}}};
    CHECK(render({Heading{"Limits"}, table, Paragraph{"Mind this", Tone::warn},
                  Facts{"f", {{"Unused", {"none", std::nullopt, Tone::quiet}}}}},
                 80, true) ==
          "\x1b[1mLimits\x1b[0m\n"
          "  A      B\n"
          "  -----  -\n"
          "  \x1b[32mok\x1b[0m\n"
          "  \x1b[31mshort\x1b[0m  x\n"
          "\n"
          "  \x1b[33mMind this\x1b[0m\n"
          "\n"
          "  Unused  \x1b[2mnone\x1b[0m\n");
}

TEST_CASE("control characters in names never reach the terminal") {
    CHECK(render({Paragraph{"a\x1b[2Jb\x07"
                            "c\x7f"
                            "d\xc2\x9b"
                            "e\tf"}}) == "a [2Jb c d e f\n");
}

TEST_CASE("properties of 2000 generated documents") {
    Generator generator(20260701);
    for (int i = 0; i < 2000; ++i) {
        const Document document = generator.document();
        const std::string text = render_text(document);
        if (text.empty()) continue;
        INFO(text);
        REQUIRE(without_ansi(render_text(document, TextStyle{80, true})) == text);
        REQUIRE(text.back() == '\n');
        REQUIRE(text.front() != '\n');
        REQUIRE(text.find("\n\n\n") == std::string::npos);
        REQUIRE_FALSE(text.ends_with("\n\n"));
        for (const std::string& line : lines_of(text)) {
            REQUIRE(feedwright::base::display_width(line) <= 80);
            REQUIRE((line.empty() || line.back() != ' '));
        }
    }
}
