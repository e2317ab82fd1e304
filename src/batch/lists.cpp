// SPDX-License-Identifier: GPL-3.0-or-later
#include "batch/lists.hpp"

#include "base/diagnostics.hpp"
#include "base/number.hpp"
#include "base/text.hpp"
#include "job/price_list.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace feedwright::batch {

namespace {

// Lists that are known by number alone.
class NumberedLists : public Lists {
  public:
    NumberedLists(std::size_t count, ListRange range, std::size_t piece)
        : at_(std::min(range.begin, count)),
          begin_(at_),
          end_(std::min(range.end, count)),
          piece_(piece) {}

    bool next(Piece& piece) override {
        if (at_ >= end_) return false;
        piece.text.clear();
        piece.first = at_;
        piece.count = std::min(piece_, end_ - at_);
        at_ += piece.count;
        return true;
    }

    void read(const Piece& piece, const std::function<void(Quotes&)>& each) const override {
        Quotes quotes;
        for (std::size_t i = 0; i < piece.count; ++i) {
            quotes.problem.clear();
            fill(piece.first + i, quotes);
            each(quotes);
        }
    }

    std::optional<double> fetched() const override {
        if (end_ <= begin_) return 1;
        return static_cast<double>(at_ - begin_) / static_cast<double>(end_ - begin_);
    }

  protected:
    virtual void fill(std::size_t, Quotes&) const {}

  private:
    std::size_t at_;
    std::size_t begin_;
    std::size_t end_;
    std::size_t piece_;
};

// A file costs more than a list of a table.
constexpr std::size_t files_a_piece = 4;

class PriceFiles final : public NumberedLists {
  public:
    PriceFiles(std::vector<std::string> files, std::shared_ptr<const IngredientSet> ingredients,
               ListRange range)
        : NumberedLists(files.size(), range, files_a_piece),
          files_(std::move(files)),
          ingredients_(std::move(ingredients)) {}

  private:
    void fill(std::size_t number, Quotes& quotes) const override {
        const std::string& file = files_[number];
        const std::size_t slash = file.rfind('/');
        quotes.name = slash == std::string::npos ? file : file.substr(slash + 1);
        if (quotes.name.ends_with(".csv")) quotes.name.resize(quotes.name.size() - 4);
        quotes.prices.assign(ingredients_->used().size(), no_price);
        try {
            read_into(quotes, job::read_price_list(file));
        } catch (const Error& error) {
            quotes.problem = error.what();
            std::replace(quotes.problem.begin(), quotes.problem.end(), '\n', ' ');
        }
    }

    void read_into(Quotes& quotes, const job::PriceList& list) const {
        base::Diagnostics problems = list.problems;
        for (const job::PricedIngredient& row : list.rows) {
            if (row.min || row.max) {
                problems.add({list.file, row.place, "a min or max",
                              "prices alone in a list of a batch",
                              "Limits belong in the job: they are the same for all lists"});
            }
            const auto number = ingredients_->find(row.ingredient);
            if (!number) {
                job::NotMeant why = ingredients_->why_not(row.ingredient);
                problems.add({list.file, row.place + ", column ingredient", std::move(why.found),
                              std::move(why.expected), std::move(why.hint)});
                continue;
            }
            if (*number == IngredientSet::ignored) continue;
            if (row.per_litre) {
                problems.add({list.file, row.place, "a price by volume", "a price by weight", ""});
            }
            if (quotes.prices[*number] != no_price) {
                problems.add({list.file, row.place + ", column ingredient",
                              fmt::format("\"{}\", which is {} again", row.ingredient,
                                          ingredients_->used()[*number]),
                              "each ingredient once", ""});
            }
            quotes.prices[*number] = row.price;
        }
        problems.throw_if_any();
    }

    std::vector<std::string> files_;
    std::shared_ptr<const IngredientSet> ingredients_;
};

class GridLists final : public NumberedLists {
  public:
    GridLists(std::vector<GridAxis> axes, std::vector<std::size_t> numbers, std::size_t prices,
              std::size_t count, ListRange range)
        : NumberedLists(count, range, 256),
          axes_(std::move(axes)),
          numbers_(std::move(numbers)),
          prices_(prices) {}

  private:
    void fill(std::size_t number, Quotes& quotes) const override {
        quotes.prices.assign(prices_, no_price);
        quotes.name.clear();
        std::vector<double> values(axes_.size());
        for (std::size_t a = axes_.size(); a-- > 0;) {
            values[a] = axes_[a].at(number % axes_[a].count());
            number /= axes_[a].count();
        }
        for (std::size_t a = 0; a < axes_.size(); ++a) {
            quotes.prices[numbers_[a]] = values[a];
            if (a > 0) quotes.name += ' ';
            quotes.name += axes_[a].ingredient + ".price=" + base::shortest(values[a]);
        }
    }

    std::vector<GridAxis> axes_;
    std::vector<std::size_t> numbers_;
    std::size_t prices_;
};

class OwnPrices final : public NumberedLists {
  public:
    explicit OwnPrices(std::size_t prices) : NumberedLists(1, {}, 1), prices_(prices) {}

  private:
    void fill(std::size_t, Quotes& quotes) const override {
        quotes.name = "own prices";
        quotes.prices.assign(prices_, no_price);
    }

    std::size_t prices_;
};

}  // namespace

IngredientSet::IngredientSet(std::vector<std::string> used, const std::vector<std::string>& known,
                             catalog::Library* library)
    : used_(std::move(used)), library_(library) {
    std::sort(used_.begin(), used_.end());
    used_.erase(std::unique(used_.begin(), used_.end()), used_.end());
    for (std::size_t i = 0; i < used_.size(); ++i)
        numbers_.emplace(used_[i], i);
    for (const std::string& id : known)
        numbers_.emplace(id, ignored);
}

std::optional<std::size_t> IngredientSet::find(std::string_view written) const {
    const auto at = numbers_.find(std::string(written));
    if (at != numbers_.end()) return at->second;
    if (library_ == nullptr) return std::nullopt;
    const std::lock_guard lock(asking_);
    if (const auto known = named_.find(written); known != named_.end()) return known->second;
    using Kind = catalog::Meaning::Kind;
    const catalog::Meaning meaning = library_->meaning_of(written);
    std::vector<std::string> ids = meaning.ingredients;
    if (meaning.kind == Kind::several) {
        // Of several, the one that the jobs have.
        std::erase_if(ids, [&](const std::string& id) {
            const auto number = numbers_.find(id);
            return number == numbers_.end() || number->second == ignored;
        });
    }
    std::optional<std::size_t> number;
    if (ids.size() == 1) {
        const auto found = numbers_.find(ids.front());
        number = found == numbers_.end() ? ignored : found->second;
    }
    named_.emplace(written, number);
    return number;
}

job::NotMeant IngredientSet::why_not(std::string_view written) const {
    if (library_ == nullptr) {
        std::string hint = base::did_you_mean(written, used_);
        const bool is_near = !hint.empty();
        return {fmt::format("the unknown ingredient \"{}\"", written), "an ingredient of the job",
                std::move(hint), is_near};
    }
    const std::lock_guard lock(asking_);
    return job::not_meant(used_, *library_, std::string(written), library_->meaning_of(written));
}

std::map<std::string, std::string> IngredientSet::read_as() const {
    const std::lock_guard lock(asking_);
    std::map<std::string, std::string> words;
    for (const auto& [written, number] : named_) {
        if (number && *number != ignored) words.emplace(written, used_[*number]);
    }
    return words;
}

std::unique_ptr<Lists> price_files(std::vector<std::string> files,
                                   std::shared_ptr<const IngredientSet> ingredients,
                                   ListRange range) {
    return std::make_unique<PriceFiles>(std::move(files), std::move(ingredients), range);
}

std::size_t GridAxis::count() const {
    // Half a millionth of a step forgives what rounding takes from the last one.
    constexpr double rounding = 1e-6;
    return step > 0 ? static_cast<std::size_t>((high - low) / step + rounding) + 1 : 1;
}

double GridAxis::at(std::size_t i) const {
    const double value = low + static_cast<double>(i) * step;
    return base::parse_finite(fmt::format("{:.12g}", value)).value_or(value);
}

std::optional<GridAxis> parse_grid(std::string_view text) {
    constexpr std::string_view key = ".price=";
    const std::size_t at = text.find(key);
    if (at == std::string_view::npos || at == 0) return std::nullopt;
    GridAxis axis;
    axis.ingredient = text.substr(0, at);
    std::string_view rest = text.substr(at + key.size());
    std::vector<double> numbers;
    while (true) {
        const std::size_t colon = std::min(rest.find(':'), rest.size());
        const auto number = base::parse_finite(rest.substr(0, colon));
        if (!number || *number < 0) return std::nullopt;
        numbers.push_back(*number);
        if (colon == rest.size()) break;
        rest.remove_prefix(colon + 1);
    }
    if (numbers.size() != 3) return std::nullopt;
    axis.low = numbers[0];
    axis.high = numbers[1];
    axis.step = numbers[2];
    constexpr double most = 1e9;
    const bool sensible =
        axis.low <= axis.high && axis.step > 0 && (axis.high - axis.low) / axis.step < most;
    if (!sensible) return std::nullopt;
    return axis;
}

std::unique_ptr<Lists> grid_lists(std::vector<GridAxis> axes,
                                  std::shared_ptr<const IngredientSet> ingredients,
                                  ListRange range) {
    std::vector<std::size_t> numbers;
    std::size_t count = 1;
    for (const GridAxis& axis : axes) {
        const auto number = ingredients->find(axis.ingredient);
        if (!number || *number == IngredientSet::ignored) {
            throw base::DataError(base::Diagnostic{
                "command line", "--grid", fmt::format("\"{}\", which no job uses", axis.ingredient),
                "an ingredient of the job",
                base::did_you_mean(axis.ingredient, ingredients->used())});
        }
        if (std::find(numbers.begin(), numbers.end(), *number) != numbers.end()) {
            throw base::DataError(base::Diagnostic{"command line", "--grid",
                                                   fmt::format("{} again", axis.ingredient),
                                                   "each ingredient once", ""});
        }
        constexpr std::size_t most = std::numeric_limits<std::size_t>::max() / 2;
        if (count > most / axis.count()) {
            throw base::DataError(base::Diagnostic{"command line", "--grid",
                                                   "more combinations than can be counted",
                                                   "fewer or wider steps", ""});
        }
        count *= axis.count();
        numbers.push_back(*number);
    }
    return std::make_unique<GridLists>(std::move(axes), std::move(numbers),
                                       ingredients->used().size(), count, range);
}

std::unique_ptr<Lists> own_prices(const IngredientSet& ingredients) {
    return std::make_unique<OwnPrices>(ingredients.used().size());
}

std::unique_ptr<Lists> numbered(std::size_t count, ListRange range) {
    return std::make_unique<NumberedLists>(count, range, files_a_piece);
}

std::size_t count_lists(Lists& lists) {
    std::size_t count = 0;
    for (Piece piece; lists.next(piece);)
        count += piece.count;
    return count;
}

ListRange shard(std::size_t count, std::size_t part, std::size_t parts) {
    // Without the product of two large numbers.
    const std::size_t each = count / parts;
    const std::size_t more = count % parts;
    const auto start = [&](std::size_t i) { return i * each + std::min(i, more); };
    return {start(part - 1), start(part)};
}

}  // namespace feedwright::batch
