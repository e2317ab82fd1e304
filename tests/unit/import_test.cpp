// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/import.hpp"

#include "base/diagnostics.hpp"
#include "catalog/library.hpp"
#include "support/catch.hpp"
#include "support/library.hpp"
#include "support/paths.hpp"

#include <cmath>
#include <string>

using namespace feedwright;
using catalog::Basis;
using catalog::Import;
using catalog::ImportOptions;
using Catch::Matchers::Contains;

namespace {

using test::library;

Import read(const std::string& csv, const ImportOptions& options = {}) {
    return catalog::read_import(catalog::read_laboratory_table(csv, "lab.csv"),
                                library().dictionary(), options);
}

std::string complaint(const std::string& csv, const ImportOptions& options = {}) {
    try {
        read(csv, options);
    } catch (const base::DataError& error) {
        return error.what();
    }
    return "";
}

const catalog::StatedValue& value(const Import& import, const std::string& nutrient,
                                  std::size_t ingredient = 0) {
    for (const catalog::StatedValue& v : import.ingredients.at(ingredient).values) {
        if (v.nutrient == nutrient) return v;
    }
    FAIL("no value of " << nutrient);
    throw Error(nutrient);
}

void check(const Import& import, const std::string& nutrient, double amount, Basis basis,
           std::size_t ingredient = 0) {
    INFO(nutrient);
    const catalog::StatedValue& found = value(import, nutrient, ingredient);
    CHECK(found.amount == Approx(amount).epsilon(1e-12));
    CHECK(catalog::to_string(found.basis) == catalog::to_string(basis));
}

ImportOptions sample() {
    ImportOptions options;
    options.id = "my-meal";
    return options;
}

}  // namespace

TEST_CASE("units and bases are read as people write them") {
    const auto is = [](const char* text, const std::string& unit, std::optional<Basis> basis) {
        INFO(text);
        const auto measure = catalog::parse_measure(text);
        REQUIRE(measure);
        CHECK(measure->unit == unit);
        CHECK(measure->basis == basis);
    };
    is("%", "%", std::nullopt);
    is("g/100 g", "%", std::nullopt);
    is("g per 100 g", "%", std::nullopt);
    is("percent", "%", std::nullopt);
    is("g / kg", "g/kg", std::nullopt);
    is("G/KG", "g/kg", std::nullopt);
    is("mcg/kg", "ug/kg", std::nullopt);
    is("µg/100 g", "ug/100g", std::nullopt);
    is("MJ/kg DM", "MJ/kg", Basis::dry_matter);
    is("kcal/kg as fed", "kcal/kg", Basis::as_fed);
    is("% DM", "%", Basis::dry_matter);
    is("%DM", "%", Basis::dry_matter);
    is("% (w/w)", "%", std::nullopt);
    is("g kg-1", "g/kg", std::nullopt);
    is("mg kg\u207b\u00b9 DM", "mg/kg", Basis::dry_matter);
    is("g\u00b7kg\u22121", "g/kg", std::nullopt);
    is("% as is", "%", Basis::as_fed);
    is("g/kg dry matter", "g/kg", Basis::dry_matter);
    is("g/kg, dry matter basis", "g/kg", Basis::dry_matter);
    is("% of protein", "%", Basis::of_protein);
    is("% CP", "%", Basis::of_protein);
    is("g/100 g protein", "%", Basis::of_protein);
    is("g/16 g N", "%", Basis::of_protein);
    is("g per 16 g N", "%", Basis::of_protein);
    is("as fed", "", Basis::as_fed);
    is("DM", "", Basis::dry_matter);
    is("dry_matter", "", Basis::dry_matter);
    for (const char* text : {"", "furlongs", "g", "kg DM per day", "% of admdm"}) {
        INFO(text);
        CHECK_FALSE(catalog::parse_measure(text));
    }
}

TEST_CASE("a table is read by id, by common name and by tagname, with units in the heading") {
    const Import import = read(
        "name,category,dry_matter,Crude protein (g/kg DM),EE % DM,\"Ash, as fed\",lysine [g/16 g "
        "N],Ca (g/kg),ZN (mg/100g),FIBC\n"
        "Our fish meal,fish-meal,91,600,10,18.2,7.5,45,12,\n"
        "Wheat bran No. 2,,88,160,4,4.4,4,1.2,8,10\n");
    REQUIRE(import.ingredients.size() == 2);
    CHECK(import.ingredients[0].id == "our-fish-meal");
    CHECK(import.ingredients[1].id == "wheat-bran-no-2");
    CHECK(import.ingredients[1].name == "Wheat bran No. 2");
    CHECK(import.ingredients[0].category == "fish-meal");
    check(import, "dry_matter", 91, Basis::as_fed);
    check(import, "crude_protein", 60, Basis::dry_matter);
    check(import, "crude_lipid", 10, Basis::dry_matter);
    check(import, "ash", 18.2, Basis::as_fed);
    check(import, "lysine", 7.5, Basis::of_protein);
    check(import, "calcium", 4.5, Basis::as_fed);
    check(import, "zinc", 120, Basis::as_fed);
    // An empty cell is unknown, not zero.
    for (const auto& v : import.ingredients[0].values)
        CHECK(v.nutrient != "crude_fibre");
    check(import, "crude_fibre", 10, Basis::as_fed, 1);
    REQUIRE(import.read_as.size() == 8);
    CHECK(import.read_as[7].values == 1);
}

TEST_CASE("a total of a mineral is the mineral") {
    const Import import =
        read("name,dry_matter,Total P (%),Total calcium %,Mg total (%)\nMeal,90,1.5,2,0.3\n");
    REQUIRE(import.ingredients.size() == 1);
    check(import, "phosphorus", 1.5, Basis::as_fed);
    check(import, "calcium", 2, Basis::as_fed);
    check(import, "magnesium", 0.3, Basis::as_fed);
}

TEST_CASE("a row of units is taken for one") {
    const Import import =
        read("id,Protein,Lys,Vitamin E\nunits,% DM,g/kg DM,IU/kg\nx,40,28,30\n", [] {
            ImportOptions options;
            options.extend = "soybean-meal-44";
            return options;
        }());
    REQUIRE(import.ingredients.size() == 1);
    check(import, "crude_protein", 40, Basis::dry_matter);
    check(import, "lysine", 2.8, Basis::dry_matter);
    check(import, "vitamin_e", 30, Basis::as_fed);
    CHECK(import.ingredients[0].extend == "soybean-meal-44");
}

TEST_CASE("a laboratory report is one ingredient") {
    const Import import = read(
        "Parameter,Result,Unit,SD,n,Method\n"
        "Moisture,8.5,%,,,oven\n"
        "\"Crude protein (N x 6.25), as fed\",55.2,%,0.6,3,Kjeldahl\n"
        "Fat,9.1 %,,,,\n"
        "Lysine,42,g/kg,,,\n"
        "Phosphorus,-,g/kg,,,\n",
        sample());
    REQUIRE(import.ingredients.size() == 1);
    CHECK(import.ingredients[0].id == "my-meal");
    check(import, "dry_matter", 91.5, Basis::as_fed);
    check(import, "crude_protein", 55.2, Basis::as_fed);
    check(import, "crude_lipid", 9.1, Basis::as_fed);
    check(import, "lysine", 4.2, Basis::as_fed);
    CHECK(value(import, "crude_protein").sd == Approx(0.6));
    CHECK(value(import, "crude_protein").n == 3.0);
    CHECK(value(import, "crude_protein").note == "Kjeldahl");
    CHECK(import.ingredients[0].values.size() == 4);
}

TEST_CASE("nitrogen and other nitrogen factors become nitrogen x 6.25") {
    check(read("id,dry_matter,nitrogen (%)\nx,90,8\n"), "crude_protein", 50, Basis::as_fed);
    check(read("id,dry_matter,Protein (N x 5.7) % DM\nx,90,11.4\n"), "crude_protein", 12.5,
          Basis::dry_matter);
}

TEST_CASE("what names no basis is on the basis asked for, dry matter excepted") {
    ImportOptions options;
    options.basis = Basis::dry_matter;
    const Import import = read("id,DM,protein,ash (% as fed)\nx,50,40,6\n", options);
    check(import, "dry_matter", 50, Basis::as_fed);
    check(import, "crude_protein", 40, Basis::dry_matter);
    check(import, "ash", 6, Basis::as_fed);
    const Import by_row = read("id,basis,DM,protein\nx,dry matter,50,40\ny,as fed,50,20\n");
    check(by_row, "crude_protein", 40, Basis::dry_matter);
    check(by_row, "crude_protein", 20, Basis::as_fed, 1);
}

TEST_CASE("moisture and dry matter may both stand there when they agree") {
    check(read("id,moisture,dry matter,ash\nx,10.2,89.9,5\n"), "dry_matter", 89.8, Basis::as_fed);
    CHECK_THAT(complaint("id,moisture,dry matter,ash\nx,10,80,5\n"), Contains("do not add to 100"));
}

TEST_CASE("what an import cannot be sure of is refused with place and advice") {
    CHECK_THAT(complaint("id,protien\nx,1\n"), Contains("Did you mean \"protein\"?"));
    CHECK_THAT(complaint("id,lysine (furlongs)\nx,1\n"), Contains("furlongs"));
    CHECK_THAT(complaint("id,lysine (MJ/kg)\nx,1\n"), Contains("converts to %"));
    CHECK_THAT(complaint("id,LYS\nx,1\n"), Contains("without a unit"));
    CHECK_THAT(complaint("id,P\nx,1\n"), Contains("write \"phosphorus\" to mean %"));
    CHECK_THAT(complaint("id,ash,iron\nx,5.2,\"1,234\"\n"),
               Contains("line 2, column iron") && Contains("decimal point"));
    CHECK_THAT(complaint("id,ash,iron\nx,\"5,2\",1.5\n"),
               Contains("line 2, column ash") && Contains("decimal point"));
    CHECK_THAT(complaint("id,CF\nx,3\n"),
               Contains("crude fibre in some tables and crude fat in others"));
    CHECK_THAT(complaint("id,ash\nx,-3\n"), Contains("zero or more"));
    CHECK_THAT(complaint("id,ash (%)\nx,120\n"), Contains("at most 100 %"));
    CHECK_THAT(complaint("id,ash\nx,5\nx,6\n"), Contains("each once"));
    CHECK_THAT(complaint("id,ash,crude ash\nx,5,6\n"), Contains("a second value of ash"));
    CHECK_THAT(complaint("id,protein (% DM)\nx,5\n"), Contains("no dry matter"));
    CHECK_THAT(complaint("id,lysine (% of protein)\nx,5\n"), Contains("no crude protein"));
    CHECK_THAT(complaint("id,moisture (% DM)\nx,5\n"), Contains("says nothing"));
    CHECK_THAT(complaint("id,ash\nx,\n"), Contains("no values"));
    CHECK_THAT(complaint("id,ash\n"), Contains("no ingredients"));
    CHECK_THAT(complaint("ash,lysine\n1,2\n"), Contains("neither a table"));
    CHECK_THAT(complaint("nutrient,value\nash,5\n"), Contains("--id"));
    CHECK_THAT(complaint("id,ash (%)\nunit,g/kg\nx,50\n"), Contains("one unit and one basis"));
    // Read as fed what was given on dry matter: 92 points in 12 % dry matter.
    CHECK_THAT(complaint("id,DM,protein,fat,fibre crude,ash\nx,12,40,10,0,42\n",
                         [] {
                             ImportOptions options;
                             options.skip_unknown = true;
                             return options;
                         }()),
               Contains("92 % as fed, in 12 % dry matter") && Contains("--basis dry_matter"));
    CHECK_THAT(complaint("id,DM,protein,lysine,leucine,arginine\nx,90,10,6,8,7\n"),
               Contains("16 g N"));
}

TEST_CASE("a heading of any length ends in a message") {
    for (const std::string& long_text : {std::string(300000, '1'), std::string(300000, ' ') + "x",
                                         std::string(300000, 'N'), std::string(100000, '(')}) {
        CHECK_THAT(complaint("id,crude protein (N x " + long_text + ")\nx,1\n"),
                   Contains("line 1"));
    }
    check(read("id,dry_matter,protein (N \xC3\x97 6.25; % DM)\nx,50,40\n"), "crude_protein", 40,
          Basis::dry_matter);
    CHECK_THAT(complaint("id,protein (N x)\nx,1\n"), Contains("N x"));
}

TEST_CASE("a report is read as a laboratory's spreadsheet leaves it") {
    // Title lines padded to the width of the table, "as is", a repeated abbreviation, section
    // headings, what was too little to measure, columns about the analysis, empty columns and a
    // note below.
    ImportOptions options = sample();
    options.skip_unknown = true;
    const Import import = read(
        "Analytical report 4711,,,,,\n"
        "Customer: a farm; sample: sunflower cake,,,,,\n"
        "Date received,2025-03-12,,,,\n"
        ",,,,,\n"
        "Parameter,Result,Unit,Uncertainty,Method,\n"
        "Proximates,,,,,\n"
        "Moisture,7.8,%,0.3,ISO 6496,\n"
        "Crude protein (CP),31.2 \u00b1 0.4,% as is,,ISO 5983,\n"
        "Crude fat,9.4,g/100 g,,,\n"
        "Crude fibre,<0.1,%,,,\n"
        "Minerals,,,,,\n"
        "Calcium (Ca),0.38,%,,,\n"
        "Phosphorus (P),9.8,g/kg,,,\n"
        "Cadmium (Cd),n.d.,mg/kg,,,\n"
        "Chromium (Cr),n.d.,mg/kg,,,\n"
        "Lysine,n.d.,%,,,\n"
        "n.d.: not detected\n",
        options);
    REQUIRE(import.ingredients.size() == 1);
    check(import, "dry_matter", 92.2, Basis::as_fed);
    check(import, "crude_protein", 31.2, Basis::as_fed);
    CHECK(value(import, "crude_protein").sd == Approx(0.4));
    CHECK(value(import, "crude_protein").note == "ISO 5983");
    check(import, "crude_lipid", 9.4, Basis::as_fed);
    check(import, "calcium", 0.38, Basis::as_fed);
    check(import, "phosphorus", 0.98, Basis::as_fed);
    CHECK(import.ingredients[0].values.size() == 5);
    CHECK(import.unmeasured == std::vector<std::string>{"crude fibre of my-meal: <0.1",
                                                        "cadmium of my-meal: n.d.",
                                                        "lysine of my-meal: n.d."});
    CHECK(import.skipped == std::vector<std::string>{"Uncertainty", "Chromium (Cr)"});
    CHECK(import.beside == std::vector<std::string>{
                               "Analytical report 4711", "Customer: a farm; sample: sunflower cake",
                               "Date received, 2025-03-12", "n.d.: not detected"});
}

TEST_CASE("semicolons or tabs between columns and decimal commas are read") {
    const Import import = read(
        "sample;dry matter (%);crude protein (% DM);ash (% DM);Ca (g/kg DM)\r\n"
        "Fish meal local;91,5;58,3;21,4;52,125\r\n"
        "Maize bran;88,2;10,1;4,2;<0,4\r\n");
    REQUIRE(import.ingredients.size() == 2);
    check(import, "dry_matter", 91.5, Basis::as_fed);
    check(import, "crude_protein", 58.3, Basis::dry_matter);
    check(import, "calcium", 5.2125, Basis::dry_matter);
    check(import, "ash", 4.2, Basis::dry_matter, 1);
    CHECK(import.unmeasured == std::vector<std::string>{"calcium of maize-bran: <0.4"});
    const Import tabs =
        read("Feed\tDM %\tCP %DM\tEE %DM\tLys (g/16 g N)\tnote\nDuckweed\t93\t31\t4.2\t4.6\t\n");
    check(tabs, "crude_protein", 31, Basis::dry_matter);
    check(tabs, "lysine", 4.6, Basis::of_protein);
    // In a file with commas between columns too.
    check(read("id,ash\nx,\"5,2\"\n"), "ash", 5.2, Basis::as_fed);
    // 1,234 is a thousand and more to some and one and a quarter to others.
    CHECK_THAT(complaint("id;iron\nx;1,234\n"), Contains("decimal point"));
    check(read("id;iron;ash\nx;1,234;0,5\n"), "iron", 1.234, Basis::as_fed);
}

TEST_CASE("figures as received and on dry matter may stand side by side") {
    const Import import = read(
        "Test,Result (dry basis),Result (as received),Unit\n"
        "Moisture,,10.5,%\n"
        "\"Protein, Crude\",49.7,44.5,%\n"
        "Iron,174,,ppm\n",
        sample());
    check(import, "dry_matter", 89.5, Basis::as_fed);
    check(import, "crude_protein", 44.5, Basis::as_fed);
    check(import, "iron", 174, Basis::dry_matter);
    const Import plainer =
        read("Component,As received,Dry matter\nMoisture,80,\nCrude protein,,60\n", sample());
    check(plainer, "crude_protein", 60, Basis::dry_matter);
}

TEST_CASE("a report of several samples has a column, or a name in every row, for each") {
    const Import columns = read(
        "Nutrient,Unit,Sample A,Sample B\nDry matter,%,91,89\nCrude protein,% DM,60,14\nAsh,% "
        "DM,,9\n");
    REQUIRE(columns.ingredients.size() == 2);
    CHECK(columns.ingredients[1].id == "sample-b");
    CHECK(columns.ingredients[1].name == "Sample B");
    check(columns, "crude_protein", 60, Basis::dry_matter);
    check(columns, "ash", 9, Basis::dry_matter, 1);
    CHECK(columns.ingredients[0].values.size() == 2);
    const Import rows = read(
        "Sample,Parameter,Result,Unit\nbran,DM,88,%\nbran,CP,15,%\ncake,DM,92,%\ncake,CP,40,%\n");
    REQUIRE(rows.ingredients.size() == 2);
    check(rows, "crude_protein", 40, Basis::as_fed, 1);
    REQUIRE(rows.read_as.size() == 2);
    CHECK(rows.read_as[0].values == 2);
    CHECK_THAT(complaint("Nutrient,Unit,Sample A,Sample  a\nash,%,1,2\n"),
               Contains("sample-a") && Contains("again"));
    CHECK_THAT(complaint("Nutrient,Unit,Sample A,Sample B\nsmell,%,1,2\n"), Contains("smell"));
    CHECK_THAT(complaint("nutrient,unit\nash,%\n"), Contains("no figures"));
}

TEST_CASE("a table of foods by tagname is per 100 g") {
    const Import import = read(
        "Food name,WATER (g),PROCNT (g),ASH (g),CA (mg),SE (ug),LYS (g)\nMoringa "
        "leaf,75,9.4,2.3,185,4,0.5\n");
    check(import, "dry_matter", 25, Basis::as_fed);
    check(import, "crude_protein", 9.4, Basis::as_fed);
    check(import, "calcium", 0.185, Basis::as_fed);
    check(import, "selenium", 0.04, Basis::as_fed);
    CHECK_THAT(complaint("id,calcium (mg)\nx,5\n"), Contains("\"mg\""));
}

TEST_CASE("a title that speaks of dry matter asks for the basis") {
    const std::string table =
        "\"Composition of feeds (% of DM unless stated)\"\nIngredient,DM (% as "
        "fed),CP,EE\nlarvae,94.1,42,26\n";
    CHECK_THAT(complaint(table), Contains("line 1") && Contains("--basis dry_matter"));
    ImportOptions options;
    options.basis = Basis::dry_matter;
    check(read(table, options), "crude_protein", 42, Basis::dry_matter);
    options.basis = Basis::as_fed;
    check(read(table, options), "crude_protein", 42, Basis::as_fed);
    CHECK(complaint("Composition on dry matter,\nIngredient,DM (%),CP (% DM)\nlarvae,94,42\n")
              .empty());
}

TEST_CASE("every problem of a file is told at once") {
    const std::string text = complaint("id,foo,ash,lysine (MJ/kg)\nx,1,abc,1\ny,1,-1,1\n");
    CHECK_THAT(text, Contains("foo") && Contains("MJ/kg") && Contains("abc") && Contains("line 3"));
}

TEST_CASE("unknown columns and rows can be left out") {
    ImportOptions options = sample();
    options.skip_unknown = true;
    CHECK(read("id,colour,ash\nx,brown,5\n", options).skipped ==
          std::vector<std::string>{"colour"});
    CHECK(read("nutrient,value,lab\nash,5,A\nsmell,2,A\n", options).skipped ==
          std::vector<std::string>{"lab", "smell"});
}

TEST_CASE("samples of several lots become one ingredient with mean, SD and n") {
    ImportOptions options = sample();
    options.one_ingredient = true;
    // Mean and sample variance by hand: 60, 62, 64 have mean 62 and variance 4.
    const Import import = read(
        "nutrient,unit,lot 1,lot 2,lot 3\ndry matter,%,90,91,92\n"
        "crude protein,% as fed,60,62,64\ncalcium,% as fed,,4,5\n"
        "phosphorus,% as fed,2.5,,\n",
        options);
    REQUIRE(import.ingredients.size() == 1);
    CHECK(import.ingredients[0].id == "my-meal");
    CHECK(import.pooled == 3);
    const catalog::StatedValue& protein = value(import, "crude_protein");
    CHECK(protein.amount == 62);
    CHECK(protein.sd == 2.0);
    CHECK(protein.n == 3.0);
    CHECK(protein.spread == catalog::Spread::lots);
    CHECK(value(import, "calcium").n == 2.0);
    // Twelve digits are written.
    CHECK(value(import, "calcium").sd.value() == Approx(std::sqrt(0.5)).epsilon(1e-11));
    CHECK_FALSE(value(import, "phosphorus").sd.has_value());
    CHECK_FALSE(value(import, "phosphorus").n.has_value());
}

TEST_CASE("rows of one name are samples of one ingredient, and other names are asked about") {
    ImportOptions options;
    options.one_ingredient = true;
    const Import import =
        read("name,crude protein (%)\nfish meal,60 ± 1\nfish meal,64 ± 1\n", options);
    REQUIRE(import.ingredients.size() == 1);
    CHECK(import.ingredients[0].id == "fish-meal");
    // What a laboratory repeats on one lot says nothing of the next.
    CHECK(value(import, "crude_protein").sd.value() == Approx(std::sqrt(8.0)).epsilon(1e-11));
    CHECK_THAT(complaint("name,crude protein (%)\nfish meal,60\nmeal two,64\n", options),
               Contains("two names for samples of one ingredient") && Contains("--id"));
    CHECK_THAT(complaint("name,basis,crude protein (%),dry matter (%)\nfish meal,as_fed,60,90\n"
                         "fish meal,dry_matter,64,90\n",
                         options),
               Contains("one basis for all samples"));
}

TEST_CASE("the library file of an import reads back to the same amounts") {
    ImportOptions options = sample();
    options.source = "Laboratory \"X\", 3 May";
    options.category = "fish-meal";
    options.extend = "fish-meal-65";
    options.scale = "crude_protein";
    const Import import = read(
        "nutrient,value,unit,sd\nmoisture,80,g/kg,\ncrude protein,599.8,g/kg DM,12\nash,20.1,% "
        "DM,\n",
        options);
    const std::string text = catalog::library_json(import);
    const test::TempFolder folder;
    const std::string file = folder.write("own.json", text);
    CHECK_NOTHROW(catalog::require_loadable(text, "lab.csv", library()));
    catalog::Library layered((test::source_folder() / "data").string(), {file});
    const catalog::Ingredient& made = *layered.ingredient("my-meal");
    const auto composition = catalog::compose(made, layered.dictionary(), {});
    CHECK(composition.find("dry_matter")->value == 92);
    CHECK(composition.find("crude_protein")->value == Approx(59.98 * 0.92));
    CHECK(composition.find("crude_protein")->source == "Laboratory \"X\", 3 May");
    CHECK(composition.find("ash")->value == Approx(20.1 * 0.92));
    CHECK(composition.find("calcium")->origin == catalog::Origin::scaled);
    CHECK(made.category == "fish-meal");
}

TEST_CASE("an import that could not be loaded is refused before it is written") {
    ImportOptions options = sample();
    options.extend = "fish-meal-56";
    const Import import = read("nutrient,value\nash,5\n", options);
    CHECK_THROWS_WITH(
        catalog::require_loadable(catalog::library_json(import), "lab.csv", library()),
        Contains("lab.csv") && Contains("Did you mean \"fish-meal-"));
    options.extend.clear();
    options.category = "fishmeal";
    const Import wrong = read("nutrient,value\nash,5\n", options);
    CHECK_THROWS_WITH(catalog::require_loadable(catalog::library_json(wrong), "lab.csv", library()),
                      Contains("Did you mean \"fish-meal\""));
}
