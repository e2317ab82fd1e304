// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/job.hpp"
#include "report/notes.hpp"
#include "support/catch.hpp"
#include "support/paths.hpp"

#include <string>
#include <vector>

// What reading a job notes, with a library of one animal that asks for lysine as a share of
// protein.

using namespace feedwright;
using catalog::Basis;
using job::Note;

namespace {

struct Reader {
    test::TempFolder folder;

    Reader() {
        folder.write("nutrients.json", R"({"format":"feedwright-nutrients/1","nutrients":[
          {"id":"dry_matter","name":"dry matter","unit":"%","group":"proximate"},
          {"id":"crude_protein","name":"crude protein","unit":"%","group":"proximate"},
          {"id":"lysine","name":"lysine","unit":"%","group":"amino_acid"}]})");
        folder.write("sources.json", R"({"format":"feedwright-sources/1","sources":[
          {"id":"a","citation":"A","how_known":"read"}]})");
        folder.write("caps.json", R"({"format":"feedwright-caps/1","groups":[],"caps":[]})");
        folder.write("profiles/carp.json", R"({"format":"feedwright-profile/1","species":"carp",
          "name":"carp","group":"fish","stages":[{"id":"all","name":"all","limits":[
            {"nutrient":"lysine","min":5,"max":9,"basis":"of_protein","level":"practical",
             "source":"a"}]}]})");
    }

    std::vector<Note> notes(const std::string& limits, const std::string& more = "") const {
        catalog::Library library(folder.path().string());
        return job::read_job(folder.write("job.json", R"({"format":"feedwright-job/1",
          "profile":"carp/all","ingredients":[
            {"id":"a","name":"meal","price":1,"nutrients":{"crude_protein":50,"lysine":3}})" +
                                                          more + R"(],"limits":[)" + limits + "]}"),
                             library, {})
            .notes;
    }
};

const std::string as_fed = R"({"nutrient":"lysine","max":3})";
const std::string of_protein = R"({"nutrient":"lysine","min":6,"basis":"of_protein"})";

}  // namespace

TEST_CASE("a side of the profile's limit that the job's limit has not is noted") {
    const Reader read;
    CHECK(read.notes("").empty());
    CHECK(read.notes(R"({"nutrient":"lysine","min":6,"max":8,"basis":"of_protein"})").empty());
    const std::vector<Note> notes = read.notes(of_protein);
    REQUIRE(notes.size() == 1);
    CHECK(notes[0] == Note{.kind = Note::Kind::side_replaced,
                           .name = "lysine",
                           .max = 9,
                           .unit = "%",
                           .basis = Basis::of_protein});
    CHECK(report::sentence(notes[0]) ==
          "Your limit on lysine replaces the profile's limit, \"at most 9 % of protein\".");
}

TEST_CASE("a limit of the profile on another basis than the job's is noted whole") {
    const std::vector<Note> notes = Reader().notes(as_fed);
    REQUIRE(notes.size() == 1);
    CHECK(notes[0] == Note{.kind = Note::Kind::other_basis,
                           .name = "lysine",
                           .min = 5,
                           .max = 9,
                           .unit = "%",
                           .basis = Basis::of_protein,
                           .own_basis = Basis::as_fed});
    CHECK(
        report::sentence(notes[0]) ==
        "Your limit on lysine is of the feed; it replaces the profile's limit, at least 5 % and at "
        "most 9 % of protein.");
}

TEST_CASE(
    "of two limits of the job on a nutrient the profile's is held against the one on its basis") {
    // The minimum of the profile, 5 % of protein, is replaced by 6 % of protein: only its maximum
    // is lost.
    const std::vector<Note> notes = Reader().notes(as_fed + "," + of_protein);
    REQUIRE(notes.size() == 1);
    CHECK(notes[0].kind == Note::Kind::side_replaced);
    CHECK_FALSE(notes[0].min);
    CHECK(notes[0].max == 9);
}

TEST_CASE("a price far above its neighbours' is noted with their median") {
    const std::string others =
        R"(,{"id":"b","price":2,"nutrients":{"crude_protein":1}},
            {"id":"c","name":"bran","price":40,"nutrients":{"crude_protein":1}})";
    const std::vector<Note> notes = Reader().notes("", others);
    REQUIRE(notes.size() == 1);
    CHECK(notes[0] ==
          Note{.kind = Note::Kind::dear_price, .name = "bran", .value = 40, .number = 1.5});
}
