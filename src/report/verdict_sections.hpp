// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "limits/findings.hpp"
#include "report/vocabulary.hpp"
#include "tasks/economics.hpp"

#include <optional>
#include <string>
#include <vector>

// The verdict on a mix and what it rests on, as several reports and results show them.
namespace feedwright::report {

/// One finding as a full sentence, with its numbers and their unit.
std::string sentence(const limits::Finding& finding);

/// The verdict as a headline, then the findings, worst first; a table of them for CSV. `what` is
/// "mix" or "recipe". Without a verdict the headline says that nothing is claimed for any animal.
void add_verdict(Document& document, const job::Job& job, const limits::Judgement& judgement,
                 const std::string& what);

/// The same of a home feed that figures rest on; nothing of one that is complete, or that no
/// verdict is given on.
void add_home_verdict(Document& document, const std::optional<tasks::HomeFeed>& home);

struct NamedJudgement {
    std::string name;
    limits::Judgement judgement;
};

/// The verdicts of several diets of one job: each finding once, with the diets that it is true of.
void add_verdicts(Document& document, const job::Job& job,
                  const std::vector<NamedJudgement>& diets);

}  // namespace feedwright::report
