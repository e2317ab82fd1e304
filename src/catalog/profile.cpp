// SPDX-License-Identifier: GPL-3.0-or-later
#include "catalog/profile.hpp"

namespace feedwright::catalog {

const Stage* Profile::stage(std::string_view id) const {
    for (const Stage& s : stages) {
        if (s.id == id) return &s;
    }
    return nullptr;
}

ProfileId parse_profile_id(std::string_view id) {
    const std::size_t slash = id.find('/');
    if (slash == std::string_view::npos) return {std::string(id), ""};
    return {std::string(id.substr(0, slash)), std::string(id.substr(slash + 1))};
}

}  // namespace feedwright::catalog
