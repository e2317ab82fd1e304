// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "trial/fits.hpp"
#include "trial/statistics.hpp"

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

// What an analysis answers to the questions that people ask of a trial, as values; the sentences
// are made in reports. "Shown" means with p below 1 - confidence; differences are group less
// control, in the unit of the response.
namespace feedwright::trial {

struct AnalysisResult;
struct ResponseResult;

/// What was measured on a group, without a word on what is chance.
struct Measured {
    std::string group;
    double difference = 0;
};

/// How much worse than on the control a response may still be on a group that is not shown to
/// differ: the end of its confidence limits.
struct MayBeWorse {
    std::string group;
    double by = 0;                  ///< above zero
    std::optional<double> percent;  ///< of the control's mean, where that is not zero
};

/// The groups of one response against the control.
struct AgainstControl {
    std::string response;  ///< id
    Reason untestable{};   ///< then only `measured` says anything
    std::vector<Measured> measured;
    std::vector<Comparison> shown;
    std::vector<std::string> alike;  ///< not shown to differ
    std::vector<Measured> alone;     ///< not tested, with one tank only
    std::vector<MayBeWorse> missed;
};

/// Whether the groups differ at all.
struct Difference {
    Reason untestable{};
    bool shown = false;
    bool by_welch = false;  ///< by Welch's test, as the variances differ; else by the analysis of
                            ///< variance
};

/// Up to which level of the ingredient neither growth nor feed conversion was shown to be worse
/// than on the control.
struct Summed {
    Reason untestable{};
    bool conversion_known = false;
    std::optional<double> up_to;     ///< empty: worse at the lowest level tested
    std::optional<double> worse_at;  ///< the lowest such level; empty: shown at none
    bool growth_worse = false;       ///< there
    bool conversion_worse = false;   ///< there
    std::vector<double> left_out{};  ///< levels with one tank only
};

/// Where a response begins to worsen, or stops improving, with the level.
struct Break {
    std::string response;  ///< id
    Reason unfitted{};
    std::optional<BrokenLine> line{};  ///< the best that is level on one side
    bool rough = false;                ///< the levels' means are shown not to lie along such a line
};

/// The diet with the lowest feed cost of a kg of gain.
struct Cheapest {
    std::string diet;
    double cost = 0;                    ///< mean, money per kg of gain
    std::optional<Comparison> against;  ///< the control, where it is another diet
    bool slower = false;                ///< fish are shown to grow more slowly on it
    Reason untestable{};
    std::vector<std::string> alike;  ///< not shown to cost more
};

/// What the highest level tried says of higher ones.
struct Highest {
    double level = 0;
    bool growth_held = false;  ///< growth was tested there and not shown to differ
};

/// Whether the tests' assumptions hold: names of responses.
struct Trust {
    std::size_t tested = 0;  ///< responses
    Reason untestable{};     ///< where there are none
    std::vector<std::string>
        welch;  ///< variances differ, and the comparisons do without equal ones
    std::vector<std::string> rough;    ///< variances differ, and no test does without
    std::vector<std::string> crooked;  ///< residuals that do not look normal
    std::vector<std::string> untold;   ///< whether variances differ cannot be told
};

/// A part is empty where the question is not asked: without a control, of no feeding trial, or of
/// responses that were not measured. All are while outlying numbers withhold the conclusion.
struct Findings {
    std::optional<Difference> difference;
    std::optional<Summed> summed;
    std::vector<AgainstControl> against_control;
    std::vector<Break> breaks;
    std::optional<Cheapest> cheapest;
    std::optional<Highest> highest;
    std::optional<Trust> trust;
};

/// Of a result whose numbers are complete.
Findings findings_of(const AnalysisResult& result);

/// Of the fitted lines with one level side, that which leaves least; nullptr when there is none.
const BrokenLine* best_line(const ResponseResult& response);

}  // namespace feedwright::trial
