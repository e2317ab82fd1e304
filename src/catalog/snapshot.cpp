// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/snapshot.hpp"

#include "base/diagnostics.hpp"
#include "catalog/library.hpp"

#include <algorithm>
#include <cstdint>
#include <cstring>
#include <optional>
#include <sys/stat.h>
#include <type_traits>
#include <utility>

namespace feedwright::catalog {

namespace {

// The members of every packed type, once: the writer and the reader both walk these lists.
template <class A>
void fields(A& a, Derivation& v) {
    a(v.kind, v.constant, v.terms, v.digestible_of, v.source, v.animals);
}
template <class A>
void fields(A& a, Nutrient& v) {
    a(v.id, v.name, v.unit, v.group, v.note, v.derived, v.also_called, v.infoods);
}
template <class A>
void fields(A& a, StatedValue& v) {
    a(v.nutrient, v.amount, v.basis, v.source, v.sd, v.n, v.min, v.max, v.spread, v.note, v.animals,
      v.scaled);
}
template <class A>
void fields(A& a, Digestibility& v) {
    a(v.nutrient, v.percent, v.animals, v.source, v.note);
}
template <class A>
void fields(A& a, Ingredient& v) {
    a(v.id, v.name, v.category, v.role, v.note, v.also_called, v.processing, v.stated, v.zeros,
      v.zeros_source, v.digestibility, v.rate_percent, v.made_for, v.made_for_stages, v.kin,
      v.file);
}
template <class A>
void fields(A& a, Range& v) {
    a(v.low, v.high);
}
template <class A>
void fields(A& a, RequirementLimit& v) {
    a(v.nutrient, v.min, v.max, v.basis, v.level, v.advisory, v.source, v.note);
}
template <class A>
void fields(A& a, RequirementRatio& v) {
    a(v.of, v.to, v.min, v.max, v.level, v.advisory, v.source, v.note);
}
template <class A>
void fields(A& a, FeedingRate& v) {
    a(v.weight_g, v.temperature_c, v.ration_percent, v.meals_per_day, v.pellet_mm, v.expected_fcr,
      v.source, v.note);
}
template <class A>
void fields(A& a, Stage& v) {
    a(v.id, v.name, v.weight_g, v.note, v.limits, v.ratios, v.feeding);
}
template <class A>
void fields(A& a, Cap& v) {
    a(v.subject, v.animals, v.stages, v.max, v.basis, v.kind, v.source, v.note);
}
template <class A>
void fields(A& a, CapGroup& v) {
    a(v.id, v.name, v.members, v.categories, v.except);
}
template <class A>
void fields(A& a, CapTable& v) {
    a(v.groups, v.caps);
}
template <class A>
void fields(A& a, Estimate& v) {
    a(v.nutrient, v.animals, v.categories, v.ingredients, v.constant, v.terms, v.error_percent,
      v.source, v.note);
}
template <class A>
void fields(A& a, Content& v) {
    a(v.substance, v.ingredients, v.categories, v.typical, v.high, v.basis, v.source, v.note);
}
template <class A>
void fields(A& a, SafeMaximum& v) {
    a(v.substance, v.animals, v.stages, v.max, v.basis, v.harms, v.source, v.note);
}
template <class A>
void fields(A& a, Undesirables& v) {
    a(v.contents, v.maxima);
}
template <class A>
void fields(A& a, TemperatureRange& v) {
    a(v.low, v.best_low, v.best_high, v.high, v.source, v.limits_sources);
}
template <class A>
void fields(A& a, Conflict& v) {
    a(v.nutrient, v.text, v.sources);
}
template <class A>
void fields(A& a, Profile& v) {
    a(v.species, v.name, v.scientific_name, v.group, v.feeds_as, v.note, v.lacks, v.temperature,
      v.stages, v.conflicts, v.file);
}
template <class A>
void fields(A& a, Caution& v) {
    a(v.id, v.text, v.ingredients, v.categories, v.species, v.stages, v.above_percent, v.forbids,
      v.danger, v.jurisdiction, v.year, v.source);
}

template <class T>
constexpr bool is_plain = std::is_arithmetic_v<T> || std::is_enum_v<T>;

class Writer {
  public:
    template <class... T>
    void operator()(T&... values) {
        (put(values), ...);
    }
    std::string take() { return std::move(out_); }

  private:
    template <class T>
    void raw(const T& value) {
        out_.append(reinterpret_cast<const char*>(&value), sizeof value);
    }
    void count(std::size_t n) { raw(static_cast<std::uint32_t>(n)); }
    void put(std::string& text) {
        count(text.size());
        out_ += text;
    }
    template <class T>
    void put(std::vector<T>& list) {
        count(list.size());
        for (T& item : list)
            put(item);
    }
    template <class T>
    void put(std::optional<T>& value) {
        raw(static_cast<std::uint8_t>(value.has_value()));
        if (value) put(*value);
    }
    template <class A, class B>
    void put(std::pair<A, B>& value) {
        put(value.first);
        put(value.second);
    }
    template <class T>
    void put(T& value) {
        if constexpr (is_plain<T>) {
            raw(value);
        } else {
            fields(*this, value);
        }
    }

    std::string out_;
};

class Reader {
  public:
    explicit Reader(std::string_view bytes) : bytes_(bytes) {}
    template <class... T>
    void operator()(T&... values) {
        (get(values), ...);
    }

  private:
    std::string_view take(std::size_t n) {
        if (n > bytes_.size()) throw Error("the packed library is damaged");
        const std::string_view part = bytes_.substr(0, n);
        bytes_.remove_prefix(n);
        return part;
    }
    template <class T>
    void raw(T& value) {
        std::memcpy(&value, take(sizeof value).data(), sizeof value);
    }
    std::size_t count() {
        std::uint32_t n = 0;
        raw(n);
        return n;
    }
    void get(std::string& text) { text = take(count()); }
    template <class T>
    void get(std::vector<T>& list) {
        list.resize(count());
        for (T& item : list)
            get(item);
    }
    template <class T>
    void get(std::optional<T>& value) {
        std::uint8_t there = 0;
        raw(there);
        if (there != 0) get(value.emplace());
    }
    template <class A, class B>
    void get(std::pair<A, B>& value) {
        get(value.first);
        get(value.second);
    }
    template <class T>
    void get(T& value) {
        if constexpr (is_plain<T>) {
            raw(value);
        } else {
            fields(*this, value);
        }
    }

    std::string_view bytes_;
};

// The index in front: a fixed size each and sorted by name, so that it is searched where it lies.
struct Entry {
    char name[64] = {};
    std::int64_t size = 0;
    std::int64_t changed = 0;  // seconds: what every file system and installer keeps
    std::uint64_t offset = 0;
    std::uint64_t length = 0;
};

bool same_file(const std::string& path, const Entry& entry) {
    struct stat status {};
    return ::stat(path.c_str(), &status) == 0 && status.st_size == entry.size &&
           static_cast<std::int64_t>(status.st_mtime) == entry.changed;
}

std::optional<Entry> find(std::string_view bytes, const std::string& name) {
    std::uint64_t entries = 0;
    if (bytes.size() < sizeof entries) return std::nullopt;
    std::memcpy(&entries, bytes.data(), sizeof entries);
    std::uint64_t low = 0;
    std::uint64_t high = entries;
    while (low < high) {
        const std::uint64_t middle = (low + high) / 2;
        Entry entry;
        std::memcpy(&entry, bytes.data() + sizeof entries + middle * sizeof entry, sizeof entry);
        const int order = name.compare(entry.name);
        if (order == 0) return entry;
        (order < 0 ? high : low) = order < 0 ? middle : middle + 1;
    }
    return std::nullopt;
}

template <class T>
bool load_packed(std::string_view bytes, const std::string& directory, const std::string& name,
                 T& into) {
    const auto entry = find(bytes, name);
    if (!entry || !same_file(directory + '/' + name, *entry)) return false;
    Reader reader(bytes.substr(entry->offset, entry->length));
    reader(into);
    return true;
}

}  // namespace

bool Snapshot::load(const std::string& directory, const std::string& name, Ingredient& into) const {
    if (!load_packed(bytes_, directory, name, into)) return false;
    into.file = directory + '/' + name;
    return true;
}

bool Snapshot::load(const std::string& directory, const std::string& name, Profile& into) const {
    if (!load_packed(bytes_, directory, name, into)) return false;
    into.file = directory + '/' + name;
    return true;
}

bool Snapshot::load(const std::string& directory, const std::string& name,
                    std::vector<Nutrient>& into) const {
    return load_packed(bytes_, directory, name, into);
}

bool Snapshot::load(const std::string& directory, const std::string& name,
                    std::vector<Caution>& into) const {
    return load_packed(bytes_, directory, name, into);
}

bool Snapshot::load(const std::string& directory, const std::string& name, CapTable& into) const {
    return load_packed(bytes_, directory, name, into);
}

bool Snapshot::load(const std::string& directory, const std::string& name,
                    std::vector<Estimate>& into) const {
    return load_packed(bytes_, directory, name, into);
}

bool Snapshot::load(const std::string& directory, const std::string& name,
                    Undesirables& into) const {
    return load_packed(bytes_, directory, name, into);
}

std::string pack(Library& library) {
    std::vector<Entry> entries;
    std::vector<std::string> blocks;
    const auto add = [&](const std::string& name, auto value) {
        Entry entry;
        if (name.size() >= sizeof entry.name) throw Error(name + ": too long a name to pack");
        name.copy(entry.name, name.size());
        struct stat status {};
        if (::stat((library.directory() + '/' + name).c_str(), &status) != 0) {
            throw IoError(name + ": cannot be looked at");
        }
        entry.size = status.st_size;
        entry.changed = static_cast<std::int64_t>(status.st_mtime);
        Writer writer;
        writer(value);
        blocks.push_back(writer.take());
        entry.length = blocks.back().size();
        entry.offset = entries.size();  // the block, until its place is known
        entries.push_back(entry);
    };
    add("nutrients.json", library.dictionary().all());
    // A folder may do without these.
    const CompositionRules& rules = library.dictionary().rules();
    if (!library.cautions().empty()) add("cautions.json", library.cautions());
    if (!library.caps().caps.empty()) add("caps.json", library.caps());
    if (!rules.estimates.empty()) add("estimates.json", rules.estimates);
    if (!rules.contents.empty()) {
        add("undesirable.json", Undesirables{rules.contents, library.safe_maxima()});
    }
    for (const std::string& id : library.ingredient_ids()) {
        add("ingredients/" + id + ".json", *library.ingredient(id));
    }
    for (const std::string& species : library.species()) {
        add("profiles/" + species + ".json", *library.profile(species));
    }
    std::sort(entries.begin(), entries.end(),
              [](const Entry& a, const Entry& b) { return std::strcmp(a.name, b.name) < 0; });
    const std::uint64_t count = entries.size();
    std::uint64_t offset = sizeof count + count * sizeof(Entry);
    std::string content;
    for (Entry& entry : entries) {
        content += blocks[entry.offset];
        entry.offset = offset;
        offset += entry.length;
    }
    std::string bytes(reinterpret_cast<const char*>(&count), sizeof count);
    bytes.append(reinterpret_cast<const char*>(entries.data()), count * sizeof(Entry));
    return bytes + content;
}

}  // namespace feedwright::catalog
