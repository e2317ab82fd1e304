// SPDX-License-Identifier: GPL-3.0-or-later
#include "report/schemas.hpp"

#include "report/economics/season_report.hpp"
#include "report/mend/mend_report.hpp"
#include "report/mix/compare.hpp"
#include "report/mix/curve_report.hpp"
#include "report/mix/square.hpp"
#include "report/mix/sure_curve_report.hpp"
#include "report/mix/what_if.hpp"
#include "report/results.hpp"
#include "report/weighing/weighing_report.hpp"

namespace feedwright::report {

std::vector<std::pair<std::string, std::string>> schemas() {
    return {{"mix", mix_schema()},
            {"check", check_schema()},
            {"mend", mend_schema()},
            {"curve", curve_schema()},
            {"weighing", weighing_schema()},
            {"sheet", sheet_schema()},
            {"what-if", what_if_schema()},
            {"without-each", worth_schema()},
            {"sure-curve", sure_curve_schema()},
            {"comparison", comparison_schema()},
            {"square", square_schema()},
            {"season-result", season_schema()}};
}

}  // namespace feedwright::report
