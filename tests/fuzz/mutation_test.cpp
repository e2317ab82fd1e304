// SPDX-License-Identifier: GPL-3.0-or-later
// Good inputs with something broken: bytes turned, parts cut or doubled, numbers and words
// exchanged for others. Whatever comes of it, the program gives an answer or refuses the file;
// nothing else.
#include "base/file.hpp"
#include "fuzz/try_input.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"
#include "support/random_program.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <filesystem>
#include <string>
#include <vector>

namespace fs = std::filesystem;
using namespace feedwright;
using test::InputKind;
using test::Random;

namespace {

struct Piece {
    std::size_t start;
    std::size_t length;
};

std::string good_input(const std::string& path) {
    return base::read_file((test::source_folder() / path).string());
}

// Numbers, quoted words and bare words of a text; `what` picks which.
template <class First, class Rest>
std::vector<Piece> pieces(const std::string& text, First first, Rest rest) {
    std::vector<Piece> list;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (!first(text[i])) continue;
        std::size_t end = i + 1;
        while (end < text.size() && rest(text[end]))
            ++end;
        list.push_back({i, end - i});
        i = end;
    }
    return list;
}

bool digit(char c) {
    return std::isdigit(static_cast<unsigned char>(c)) != 0;
}

std::vector<Piece> numbers(const std::string& text) {
    return pieces(
        text, [](char c) { return digit(c) || c == '-'; },
        [](char c) { return digit(c) || c == '.' || c == 'e'; });
}

std::vector<Piece> words(const std::string& text) {
    return pieces(
        text, [](char c) { return c == '"' || c == ',' || c == '\n'; },
        [](char c) { return c != '"' && c != ',' && c != '\n'; });
}

const std::array<const char*, 26> odd_numbers{"0",
                                              "-0",
                                              "-1",
                                              "1",
                                              "100",
                                              "100.0000001",
                                              "99.99999999",
                                              "1e20",
                                              "-1e20",
                                              "1e-20",
                                              "5e-324",
                                              "1e308",
                                              "1e999",
                                              "NaN",
                                              "1e15",
                                              "1e-9",
                                              "0.1",
                                              "1e6",
                                              "12345678901234567890",
                                              "null",
                                              "true",
                                              "\"5\"",
                                              "[]",
                                              "{}",
                                              "\"50 lb\"",
                                              "3.3333333333333335"};
const std::array<const char*, 12> odd_words{"\"\"",
                                            "\"crude_protein\"",
                                            "\"dry_matter\"",
                                            "\"of_protein\"",
                                            "\"maize\"",
                                            "\"free\"",
                                            "\"lysine\"",
                                            "\"id\"",
                                            "\"nile-tilapia\"",
                                            "\"\\u0000\"",
                                            "\"1e20 per 1 mg\"",
                                            "\"group:mineral\""};

class Mutator {
  public:
    explicit Mutator(Random& random) : random_(random) {}

    std::string mutate(std::string text) {
        const std::size_t times = 1 + random_.below(3);
        for (std::size_t i = 0; i < times && !text.empty(); ++i)
            change(text);
        return text;
    }

  private:
    void change(std::string& text) {
        switch (random_.below(10)) {
            case 0:
                text[random_.below(text.size())] = static_cast<char>(random_.below(256));
                break;
            case 1:
                text[random_.below(text.size())] ^= static_cast<char>(1U << random_.below(8));
                break;
            case 2:
                text.resize(random_.below(text.size()));
                break;
            case 3:
                cut_or_double(text);
                break;
            case 4:
                exchange(text, words(text));
                break;
            case 5:
                put(text, words(text), odd_words[random_.below(odd_words.size())]);
                break;
            case 6:
                exchange(text, numbers(text));
                break;
            default:
                put(text, numbers(text), odd_numbers[random_.below(odd_numbers.size())]);
                break;
        }
    }

    void cut_or_double(std::string& text) {
        const std::size_t start = random_.below(text.size());
        const std::string part = text.substr(start, 1 + random_.below(60));
        if (random_.chance(0.5)) {
            text.erase(start, part.size());
        } else {
            text.insert(start, part);
        }
    }

    void put(std::string& text, const std::vector<Piece>& places, const std::string& part) {
        if (places.empty()) return;
        Piece at = places[random_.below(places.size())];
        // A quoted word is replaced with its quotes.
        if (text[at.start] == '"' && at.start + at.length < text.size()) ++at.length;
        text.replace(at.start, at.length, part);
    }

    void exchange(std::string& text, const std::vector<Piece>& places) {
        if (places.size() < 2) return;
        Piece a = places[random_.below(places.size())];
        Piece b = places[random_.below(places.size())];
        if (a.start > b.start) std::swap(a, b);
        if (a.start + a.length > b.start) return;
        const std::string first = text.substr(a.start, a.length);
        const std::string second = text.substr(b.start, b.length);
        text.replace(b.start, b.length, first);
        text.replace(a.start, a.length, second);
    }

    Random& random_;
};

// Runs one input; a failure names it and keeps the text where it can be looked at.
bool holds(InputKind kind, const std::string& text) {
    try {
        return test::try_input(kind, text);
    } catch (const std::exception& error) {
        FAIL_CHECK(test::name_of(kind) << ": " << error.what() << "\n" << text);
        return false;
    }
}

void mutate(InputKind kind, const std::vector<std::string>& paths, std::size_t times,
            std::uint64_t seed) {
    Random random(seed);
    Mutator mutator(random);
    std::vector<std::string> seeds;
    for (const std::string& path : paths) {
        seeds.push_back(good_input(path));
        INFO(path);
        CHECK(holds(kind, seeds.back()));
    }
    std::size_t answered = 0;
    for (std::size_t i = 0; i < times; ++i) {
        if (holds(kind, mutator.mutate(seeds[i % seeds.size()]))) ++answered;
    }
    // Else the mutations would only try the first line of defence, or none.
    CHECK(answered > times / 50);
    CHECK(answered < times);
}

}  // namespace

TEST_CASE("broken jobs are answered or refused") {
    mutate(InputKind::job,
           {"tests/fuzz/seeds/all-kinds.job.json", "tests/fuzz/seeds/wet.job.json",
            "tests/fuzz/seeds/free.job.json", "examples/backyard-tilapia/job.json"},
           1500, 1);
}

TEST_CASE("broken recipes and price lists are answered or refused") {
    mutate(InputKind::recipe, {"tests/fuzz/seeds/all-kinds.recipe.json"}, 600, 2);
    mutate(InputKind::recipe_table, {"examples/farmers-recipe/recipe.csv"}, 400, 3);
    mutate(InputKind::prices, {"tests/fuzz/seeds/market.prices.csv"}, 300, 4);
}

TEST_CASE("broken library files are read or refused") {
    mutate(InputKind::ingredient,
           {"data/ingredients/maize.json", "data/ingredients/duckweed-fresh.json"}, 500, 5);
    mutate(InputKind::profile, {"data/profiles/nile-tilapia.json"}, 300, 6);
    mutate(InputKind::nutrients, {"data/nutrients.json"}, 200, 7);
    mutate(InputKind::library, {"examples/own-numbers/my-library.json"}, 300, 8);
}

TEST_CASE("broken plans, ventures and trials are answered or refused") {
    mutate(InputKind::plan, {"tests/fuzz/seeds/pond.plan.json"}, 300, 9);
    mutate(InputKind::venture, {"tests/fuzz/seeds/shed.venture.json"}, 200, 10);
    mutate(InputKind::trial, {"tests/fuzz/seeds/short.trial.csv"}, 150, 11);
}

TEST_CASE("inputs that once did harm are answered or refused") {
    std::size_t found = 0;
    for (const auto& entry : fs::directory_iterator(test::source_folder() / "tests/fuzz/corpus")) {
        const std::string name = entry.path().filename().string();
        for (const InputKind kind : test::input_kinds) {
            if (!name.ends_with(test::name_of(kind))) continue;
            INFO(name);
            holds(kind, base::read_file(entry.path().string()));
            ++found;
        }
    }
    CHECK(found > 0);
}
