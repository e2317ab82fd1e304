// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "job/job.hpp"
#include "limits/assessment.hpp"
#include "limits/findings.hpp"
#include "report/fields.hpp"

// Fields that several results share.
namespace feedwright::report {

/// title, profile, currency and notes, where the job has them.
const Fields<job::Job>& head_fields();

struct ShownItem : limits::MixItem {
    bool ration = false;  ///< its amount is told: the total is free
};
std::vector<ShownItem> shown(const job::Job& job, const std::vector<limits::MixItem>& items);
const Fields<ShownItem>& item_fields();

const Fields<limits::LimitResult>& limit_fields();
/// limits and analysis.
const Fields<limits::Assessment>& assessment_fields();
const Fields<limits::CautionResult>& caution_fields();

struct Judged {
    const job::Job& job;
    const limits::Judgement& judgement;
};
/// verdict, findings and, for a pond, pond; nothing without a verdict.
const Fields<Judged>& judged_fields();

}  // namespace feedwright::report
