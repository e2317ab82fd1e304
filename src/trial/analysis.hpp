// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "trial/data.hpp"
#include "trial/findings.hpp"
#include "trial/fits.hpp"
#include "trial/indices.hpp"
#include "trial/statistics.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

// The whole analysis of a trial: what `trial analyse` reports. The order of the rows of the data
// makes no difference to any byte of the result, but for the lines of outlying numbers.
namespace feedwright::trial {

struct Options {
    /// The group others are compared with. Empty: the one at level 0, else the one called
    /// "control"; none when there is neither.
    std::string control;
    double confidence = 0.95;  ///< of intervals; differences count from p = 1 - confidence
    /// Counts numbers far from their neighbours, which else withhold the conclusion.
    bool keep_outlying = false;
};

/// One group's values of a response.
struct GroupResult {
    std::string group;
    std::optional<double> level;
    SampleSummary summary;
    /// Mean adjusted for blocks, where blocks are unbalanced and it differs from summary.mean.
    std::optional<double> adjusted_mean;
    std::string letters;  ///< Tukey: groups that share a letter are not shown to differ; "" without
                          ///< an ANOVA
};

/// A fitted broken line, or why there is none.
struct LineFit {
    LineShape shape = LineShape::plateau_then_line;
    Answer<BrokenLine> fit;
};

/// One response: an index of the trial, or the column asked for.
struct ResponseResult {
    std::string id;
    std::string name;
    std::string unit;
    Better better = Better::neither;
    int decimals = 3;
    std::vector<GroupResult> groups;
    std::vector<Point> points;  ///< level and value of every tank whose diet has a level
    Answer<Layout> layout;
    /// Groups of one tank, which no test takes in: nothing shows how much tanks vary there.
    std::vector<std::string> untested;
    Reason blocks_note;  ///< why blocks are not taken out although the trial has them
    Answer<VarianceTest> equal_variances;
    Answer<Normality> normal_residuals;
    bool variances_differ = false;  ///< equal_variances rejects at 1 - confidence
    Answer<Welch> welch;
    std::vector<Comparison> tukey;
    std::vector<Comparison> dunnett;
    bool dunnett_exact = true;                     ///< false: Sidak's inequality
    Answer<std::vector<Comparison>> games_howell;  ///< only where the variances differ
    std::vector<LineFit> lines;                    ///< empty when the groups have no levels
    Answer<Quadratic> curve;
};

/// A tank and its indices (beside trial::indices(), empty where the tank lacks what one is made
/// of).
struct TankResult {
    Tank tank;
    std::vector<std::optional<double>> values;
};

struct AnalysisResult {
    std::string file;
    std::string control;  ///< "" when there is none
    double confidence = 0.95;
    bool feeding_trial = true;      ///< false for a one-way layout of any kind
    std::vector<TankResult> tanks;  ///< by group, then tank; empty for a one-way layout
    base::TableReading reading;     ///< what was understood of the file
    std::vector<Note> notes;        ///< about the data
    std::vector<Outlying> outlying;
    /// There are outlying numbers, and nobody has said to keep them: means are given, no tests, no
    /// curves and no findings.
    bool withheld = false;
    std::vector<ResponseResult> responses;
    Findings findings;

    /// nullptr when the trial has no such response.
    const ResponseResult* response(std::string_view id) const;
};

/// Throws base::DataError when `options.control` is not a diet of the trial.
AnalysisResult analyse(const TrialData& data, const Options& options = {});
AnalysisResult analyse(const OneWayData& data, const Options& options = {});

}  // namespace feedwright::trial
