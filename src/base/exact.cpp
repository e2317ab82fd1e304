// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/exact.hpp"

#include "base/number.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cstddef>
#include <limits>
#include <string_view>

namespace feedwright::base {

namespace {

using Natural = std::vector<std::uint32_t>;

void multiply(Natural& number, std::uint32_t factor) {
    std::uint64_t carry = 0;
    for (std::uint32_t& digit : number) {
        carry += std::uint64_t{digit} * factor;
        digit = static_cast<std::uint32_t>(carry);
        carry >>= 32;
    }
    if (carry != 0) number.push_back(static_cast<std::uint32_t>(carry));
}

Natural product(const Natural& a, std::uint64_t b) {
    Natural low = a;
    multiply(low, static_cast<std::uint32_t>(b));
    Natural high = a;
    multiply(high, static_cast<std::uint32_t>(b >> 32));
    high.insert(high.begin(), 0);
    if (low.size() < high.size()) low.swap(high);
    std::uint64_t carry = 0;
    for (std::size_t i = 0; i < low.size(); ++i) {
        carry += std::uint64_t{low[i]} + (i < high.size() ? high[i] : 0);
        low[i] = static_cast<std::uint32_t>(carry);
        carry >>= 32;
    }
    if (carry != 0) low.push_back(static_cast<std::uint32_t>(carry));
    return low;
}

void add_to(Natural& sum, const Natural& number) {
    if (sum.size() < number.size()) sum.resize(number.size(), 0);
    std::uint64_t carry = 0;
    for (std::size_t i = 0; i < sum.size(); ++i) {
        carry += std::uint64_t{sum[i]} + (i < number.size() ? number[i] : 0);
        sum[i] = static_cast<std::uint32_t>(carry);
        carry >>= 32;
    }
    if (carry != 0) sum.push_back(static_cast<std::uint32_t>(carry));
}

int compare(const Natural& a, const Natural& b) {
    for (std::size_t i = std::max(a.size(), b.size()); i-- > 0;) {
        const std::uint32_t x = i < a.size() ? a[i] : 0;
        const std::uint32_t y = i < b.size() ? b[i] : 0;
        if (x != y) return x < y ? -1 : 1;
    }
    return 0;
}

struct Decimal {
    bool negative = false;
    std::uint64_t digits = 0;  // at most 17 decimal digits
    int exponent = 0;
};

Decimal decimal_of(double value) {
    require_finite(value, "a term of an exact sum");
    std::array<char, 32> text{};
    const auto end =
        std::to_chars(text.data(), text.data() + text.size(), value, std::chars_format::scientific);
    std::string_view rest(text.data(), static_cast<std::size_t>(end.ptr - text.data()));
    Decimal result;
    if (rest.front() == '-') {
        result.negative = true;
        rest.remove_prefix(1);
    }
    const std::size_t e = rest.find('e');
    std::string_view power = rest.substr(e + 1);
    if (power.front() == '+') power.remove_prefix(1);
    std::from_chars(power.data(), power.data() + power.size(), result.exponent);
    bool fraction = false;
    for (const char c : rest.substr(0, e)) {
        if (c == '.') {
            fraction = true;
            continue;
        }
        result.digits = 10 * result.digits + static_cast<std::uint64_t>(c - '0');
        if (fraction) --result.exponent;
    }
    return result;
}

}  // namespace

void ExactSum::add(std::initializer_list<double> factors) {
    Term term{false, {1}, 0};
    for (const double factor : factors) {
        const Decimal decimal = decimal_of(factor);
        if (decimal.digits == 0) return;
        term.negative = term.negative != decimal.negative;
        term.exponent += decimal.exponent;
        term.digits = product(term.digits, decimal.digits);
    }
    terms_.push_back(std::move(term));
}

int ExactSum::sign() const {
    int least = std::numeric_limits<int>::max();
    for (const Term& term : terms_)
        least = std::min(least, term.exponent);
    Natural positive;
    Natural negative;
    for (const Term& term : terms_) {
        Natural digits = term.digits;
        for (int e = term.exponent; e > least; --e)
            multiply(digits, 10);
        add_to(term.negative ? negative : positive, digits);
    }
    return compare(positive, negative);
}

}  // namespace feedwright::base
