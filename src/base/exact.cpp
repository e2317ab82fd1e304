// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/exact.hpp"

#include "base/number.hpp"

#include <boost/multiprecision/cpp_int.hpp>

#include <array>
#include <charconv>
#include <cstdlib>
#include <string>

namespace feedwright::base {

namespace {

using boost::multiprecision::cpp_int;
using boost::multiprecision::cpp_rational;

cpp_rational decimal_of(double value) {
    std::array<char, 32> text{};
    const auto end =
        std::to_chars(text.data(), text.data() + text.size(), value, std::chars_format::scientific);
    std::string digits(text.data(), end.ptr);  // "-7.5e-05"
    const std::size_t e = digits.find('e');
    int exponent = std::stoi(digits.substr(e + 1));
    digits.resize(e);
    if (const std::size_t point = digits.find('.'); point != std::string::npos) {
        exponent -= static_cast<int>(digits.size() - point - 1);
        digits.erase(point, 1);
    }
    const cpp_int power = pow(cpp_int(10), static_cast<unsigned>(std::abs(exponent)));
    const cpp_int number(digits);
    return exponent < 0 ? cpp_rational(number, power) : cpp_rational(number * power);
}

}  // namespace

void ExactSum::add(std::initializer_list<double> factors) {
    for (const double factor : factors)
        require_finite(factor, "a term of an exact sum");
    products_.emplace_back(factors);
}

int ExactSum::sign() const {
    cpp_rational sum = 0;
    for (const std::vector<double>& factors : products_) {
        cpp_rational product = 1;
        for (const double factor : factors)
            product *= decimal_of(factor);
        sum += product;
    }
    return sum.sign();
}

}  // namespace feedwright::base
