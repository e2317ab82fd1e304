// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/profile.hpp"

namespace feedwright::catalog {

const Stage* Profile::stage(std::string_view id) const {
    for (const Stage& s : stages) {
        if (s.id == id) return &s;
    }
    return nullptr;
}

}  // namespace feedwright::catalog
