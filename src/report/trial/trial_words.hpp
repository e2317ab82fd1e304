// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "trial/analysis.hpp"

#include <string>
#include <vector>

// What a trial's analysis found, in sentences.
namespace feedwright::report {

/// A question people ask of a trial and its answers: a sentence or two for each response that the
/// question is put to.
struct Answered {
    std::string question;
    std::vector<std::string> answers;  ///< at least one

    /// All of them, one after the other.
    std::string text() const;
};

std::vector<Answered> answered(const trial::AnalysisResult& result);

/// Why there is no answer, to stand behind "because".
std::string in_words(const trial::Reason& reason);
/// What an outlying number was compared with.
std::string compared_with(const trial::Outlying& one);
/// About the data: its notes, and outlying numbers that were kept.
std::vector<std::string> notes_on_data(const trial::AnalysisResult& result);
/// "line 7, column weight_out_g: found 2510 (tank 6, diet a), 10 times the middle of the other
/// tanks of diet a."
std::string sentence(const trial::Outlying& one);

}  // namespace feedwright::report
