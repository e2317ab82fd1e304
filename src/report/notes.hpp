// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "limits/findings.hpp"
#include "report/vocabulary.hpp"

#include <string>
#include <vector>

namespace feedwright::report {

std::string sentence(const job::Note& note);
/// A sentence each.
std::vector<std::string> sentences(const std::vector<job::Note>& notes);
/// A paragraph for each note of the job, one for all names that were read. `judged` has told of
/// prices already.
void add_notes(Document& document, const job::Job& job, const limits::Judgement* judged = nullptr);

}  // namespace feedwright::report
