#pragma once

#include <optional>
#include <string>
#include <vector>

#include <nlohmann/json.hpp>

#include "quantity/print.h"
#include "study/plan.h"
#include "study/statistics.h"

namespace fettle::study {

class ResultsFile;

/// What all draws of one result come to.
struct ResultSummary {
  ResultStatistics statistics;
  std::optional<double> fails;      ///< part of the draws outside the limit
  std::vector<double> share;        ///< of the variance, one a number; empty: none to be had
  std::vector<double> total_share;  ///< with all it works together with; only with indices
  std::optional<double> explained;  ///< by the straight line that the shares come from
};

struct Summary {
  std::vector<ResultSummary> results;  ///< as Plan::results
  std::string digest;                  ///< of all rows
};

/// Of a file that is complete.
Summary summarise(const Plan& plan, const ResultsFile& file);

/// As `fettle study --json` prints it (docs/study.md).
nlohmann::ordered_json summary_json(const Plan& plan, const Summary& summary);

/// As a table for a terminal.
std::string summary_text(const Plan& plan, const Summary& summary, quantity::System system);

}  // namespace fettle::study
