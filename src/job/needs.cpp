// SPDX-License-Identifier: GPL-3.0-or-later
#include "job/job.hpp"

namespace feedwright::job {

const std::vector<Need>& named_needs() {
    static const std::vector<Need> needs{Need::energy,     Need::amino_acids, Need::fatty_acids,
                                         Need::phosphorus, Need::minerals,    Need::vitamins};
    return needs;
}

std::string_view to_string(Need need) {
    switch (need) {
        case Need::energy:
            return "energy";
        case Need::amino_acids:
            return "amino-acids";
        case Need::fatty_acids:
            return "fatty-acids";
        case Need::phosphorus:
            return "phosphorus";
        case Need::minerals:
            return "minerals";
        case Need::vitamins:
            return "vitamins";
        case Need::other:
            return "other";
    }
    return "";
}

Need need_of(const catalog::Nutrient& nutrient) {
    const std::string& group = nutrient.group;
    const std::string& id = nutrient.id;
    if (group == "energy") return Need::energy;
    if (id == "phosphorus" || id == "available_phosphorus" || id == "sttd_phosphorus") {
        return Need::phosphorus;
    }
    // Digestible protein and lipid stand with the wholes; the other digestible ones are amino
    // acids.
    if (group == "amino_acid" ||
        (group == "digestible" && id != "digestible_protein" && id != "digestible_lipid")) {
        return Need::amino_acids;
    }
    if (group == "fatty_acid") return Need::fatty_acids;
    if (group == "macro_mineral" || group == "trace_mineral") return Need::minerals;
    if (group == "vitamin") return Need::vitamins;
    return Need::other;
}

}  // namespace feedwright::job
