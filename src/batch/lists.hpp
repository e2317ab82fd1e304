// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/table.hpp"
#include "catalog/library.hpp"
#include "job/meant.hpp"

#include <cstddef>
#include <cstdint>
#include <functional>
#include <limits>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace feedwright::batch {

/// A price that a list does not give. Prices that exist are finite and at least 0.
inline constexpr double no_price = -1;

/// One price list.
struct Quotes {
    std::string name;
    std::vector<double> prices;  ///< per kg as bought, in the order of an IngredientSet
    std::string problem;         ///< why the list cannot be used; empty when it can
};

/// The ingredients of all jobs of a batch, each once, by number.
class IngredientSet {
  public:
    /// `used` are the jobs' ingredients, `known` others that a list may price to no effect (the
    /// library's).
    /// With `library`, which must outlive the set, names stand for ids as in price lists.
    IngredientSet(std::vector<std::string> used, const std::vector<std::string>& known,
                  catalog::Library* library = nullptr);

    static constexpr std::size_t ignored = std::numeric_limits<std::size_t>::max();
    /// Its number, `ignored` for one that is known but not used, nullopt for one not known. For any
    /// number of threads.
    std::optional<std::size_t> find(std::string_view written) const;
    /// Whether it is an id that a list may price.
    bool is_id(std::string_view word) const { return numbers_.contains(std::string(word)); }
    const std::vector<std::string>& used() const { return used_; }
    /// Why `find` does not know a word.
    job::NotMeant why_not(std::string_view written) const;
    /// The words that were read as ids of `used`, in order of the alphabet.
    std::map<std::string, std::string> read_as() const;

  private:
    std::vector<std::string> used_;
    std::unordered_map<std::string, std::size_t> numbers_;
    catalog::Library* library_ = nullptr;
    mutable std::mutex asking_;  // guards what is below, and the library
    mutable std::map<std::string, std::optional<std::size_t>, std::less<>> named_;
};

/// Some consecutive lists, not yet looked into.
struct Piece {
    std::string text;               ///< whole lines of the file they are read from, if any
    std::size_t first_line = 0;     ///< number of its first line
    std::size_t first = 0;          ///< number of its first list, from 0
    std::size_t count = 0;          ///< of lists
    std::optional<double> fetched;  ///< Lists::fetched just after it
};

/// Lists from `begin` on, `end` not among them.
struct ListRange {
    std::size_t begin = 0;
    std::size_t end = std::numeric_limits<std::size_t>::max();
};

/// Where price lists come from. `next` is for one thread at a time; `read` for any number.
class Lists {
  public:
    virtual ~Lists() = default;
    /// Fetches the next piece; false when there is none. Throws IoError or base::DataError.
    virtual bool next(Piece& piece) = 0;
    /// Calls `each` for every list of a piece, in order; the Quotes are reused.
    virtual void read(const Piece& piece, const std::function<void(Quotes&)>& each) const = 0;
    /// How much of the input `next` has fetched, from 0 to 1, where that can be told.
    virtual std::optional<double> fetched() const = 0;
    /// What was understood of a table; that of a plain one for others.
    virtual base::TableReading reading() const { return {}; }
};

/// A table, "-" for standard input. Wide: a row a list, the first column its name, the others an
/// ingredient each. Long (there are columns `ingredient` and `price`): a row a price, its first
/// column the list's name, `unit` optional; the rows of a list stand together. A list is read from
/// one line of the file (wide), so a quoted cell cannot go over several. An empty cell is no price.
/// Encodings, separators, decimal commas, lines above the head, currencies and units in heads and
/// cells are understood as in other tables (base/table.hpp); a file that is not UTF-8 is read
/// whole. Columns before the first ingredient of a wide table name the list together. What is wrong
/// with the header throws base::DataError; what is wrong with a list is its `problem`. `range`
/// names the lists wanted.
std::unique_ptr<Lists> open_table(const std::string& file,
                                  std::shared_ptr<const IngredientSet> ingredients,
                                  ListRange range = {});

/// One list a file, as job::read_price_list reads it, named by the file without its ".csv".
std::unique_ptr<Lists> price_files(std::vector<std::string> files,
                                   std::shared_ptr<const IngredientSet> ingredients,
                                   ListRange range = {});

/// Prices from `low` to `high` in steps of `step`.
struct GridAxis {
    std::string ingredient;
    double low = 0;
    double high = 0;
    double step = 0;

    std::size_t count() const;
    /// The price at step i, without the digits that adding up steps would leave behind.
    double at(std::size_t i) const;
};

/// Reads "soybean-meal-44.price=0.4:0.7:0.01" (lowest, highest, step); nullopt for anything else.
std::optional<GridAxis> parse_grid(std::string_view text);

/// Every combination of the axes' prices, the last axis running fastest, each list named by its
/// prices. Throws base::DataError for an ingredient that no job uses or that comes twice.
std::unique_ptr<Lists> grid_lists(std::vector<GridAxis> axes,
                                  std::shared_ptr<const IngredientSet> ingredients,
                                  ListRange range = {});

/// One list that prices nothing.
std::unique_ptr<Lists> own_prices(const IngredientSet& ingredients);

/// Numbered things without a content of their own, `count` of them.
std::unique_ptr<Lists> numbered(std::size_t count, ListRange range = {});

/// How many lists there are. Goes over all of them with `next`.
std::size_t count_lists(Lists& lists);

/// Part i (from 1) of n of `count` lists, in order and as even as can be.
ListRange shard(std::size_t count, std::size_t part, std::size_t parts);

}  // namespace feedwright::batch
