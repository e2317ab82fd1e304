// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "batch/batch.hpp"
#include "batch/picture.hpp"

#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace feedwright::batch {

/// What one line says.
struct Answer {
    std::string_view list;
    std::string_view status;
    std::string_view reason;           ///< where there is no mix
    const Picture* picture = nullptr;  ///< where there is one; then also:
    double cost = 0;                   ///< of the ration, with a free total
    double cost_per_kg = 0;
    double proof = 0;  ///< the largest of the certificate's three measures
    std::vector<std::pair<std::size_t, double>> shadow;  ///< limit and price
};

void append_number(std::string& out, double value);
void append_json_text(std::string& out, std::string_view text);
void append_csv_text(std::string& out, std::string_view text);
/// The verdict and what stands behind it: two members, or two cells, each with what separates it
/// from what is before.
void append_judgement(std::string& out, const limits::Judgement& judgement, Form form);

/// The lines of one job, in one form.
class LineFormat {
  public:
    struct Shared {
        Form form = Form::json;
        Columns columns;
        bool name_jobs = false;  ///< more than one job
        bool any_ration = false;
        std::vector<std::string> ingredients;  ///< of all jobs
        std::vector<std::string> limits;       ///< likewise, advisory ones left out

        std::string header() const;
    };

    LineFormat(const Shared& shared, const job::Job& job, const std::vector<limits::Limit>& limits,
               std::string name);

    /// To be called once `shared` knows the limits of all jobs.
    void find_limit_columns(const std::vector<limits::Limit>& limits);

    void write(std::string& out, const Answer& answer) const;
    /// Gives a picture its texts.
    void describe(Picture& picture) const;

  private:
    void write_json(std::string& out, const Answer& answer) const;
    void write_csv(std::string& out, const Answer& answer) const;

    const Shared& shared_;
    bool is_ration_;
    std::string start_;                         // JSON: up to the list's name; CSV: the job's cell
    std::vector<std::string> ingredient_keys_;  // JSON: "id":
    std::vector<std::string> limit_ids_;        // JSON: "id"; CSV: as it is
    std::vector<std::size_t> ingredient_columns_;  // CSV: place among all
    std::vector<std::size_t> limit_columns_;
};

}  // namespace feedwright::batch
