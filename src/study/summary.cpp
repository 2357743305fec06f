#include "study/summary.h"

#include <algorithm>
#include <cmath>

#include "build/names.h"
#include "study/results_file.h"

namespace fettle::study {
namespace {

using nlohmann::ordered_json;

/// Numbers held in memory at once while columns are gone through.
constexpr std::uint64_t most_held = 32'000'000;

bool outside(double value, const stations::LimitInForce& limit) {
  return (limit.min && value < *limit.min) || (limit.max && value > *limit.max);
}

/// Of every set of a design for indices the two draws that are independent of the others.
std::vector<double> independent(std::span<const double> column, std::size_t set) {
  std::vector<double> values;
  for (std::size_t first = 0; first + set <= column.size(); first += set) {
    values.push_back(column[first]);
    values.push_back(column[first + 1]);
  }
  return values;
}

class Summariser {
 public:
  Summariser(const Plan& plan, const ResultsFile& file) : plan_(plan), indices_(plan.study.indices == true) {
    const bool fits = plan.draws * plan.numbers.size() <= most_held;
    if (!indices_ && !plan.numbers.empty() && fits && plan.draws > plan.numbers.size() + 1) {
      regression_.emplace(file.columns(0, plan.numbers.size()));
    }
  }

  ResultSummary result(std::size_t place, std::span<const double> column) const {
    ResultSummary summary;
    std::vector<double> own;
    if (indices_) {
      own = independent(column, plan_.numbers.size() + 2);
    }
    const std::span<const double> sample = indices_ ? std::span<const double>(own) : column;
    summary.statistics = statistics(sample);
    if (const auto& limit = plan_.results[place].limit; limit && summary.statistics.draws > 0) {
      const auto out =
          std::count_if(sample.begin(), sample.end(), [&](double v) { return outside(v, *limit); });
      summary.fails = static_cast<double>(out) / static_cast<double>(summary.statistics.draws);
    }
    if (indices_) {
      if (auto shares = variance_shares(column, plan_.numbers.size())) {
        summary.share = std::move(shares->first);
        summary.total_share = std::move(shares->total);
      }
    } else if (regression_) {
      if (auto shares = regression_->shares(column)) {
        summary.share = std::move(shares->share);
        summary.explained = shares->explained;
      }
    }
    return summary;
  }

 private:
  const Plan& plan_;
  bool indices_;
  std::optional<Regression> regression_;
};

ordered_json number_or_null(const std::optional<double>& value) {
  return value ? ordered_json(*value) : ordered_json(nullptr);
}

/// As in a report (docs/api.md, "The report").
ordered_json where_json(const stations::Where& where) {
  ordered_json json = ordered_json::object();
  const auto add = [&](const char* key, const auto& value) {
    if (value) {
      json[key] = *value;
    }
  };
  add("cylinder", where.cylinder);
  if (where.valve) {
    json["valve"] = build::word(*where.valve);
  }
  add("at", where.at);
  if (!where.part.empty()) {
    json["part"] = where.part;
  }
  add("number", where.number);
  add("main", where.main);
  return json;
}

ordered_json shares_json(const Plan& plan, const ResultSummary& result) {
  constexpr double least_share = 0.001;
  ordered_json shares = ordered_json::array();
  std::vector<std::size_t> order;
  for (std::size_t i = 0; i < result.share.size(); ++i) {
    const double most =
        std::max(result.share[i], i < result.total_share.size() ? result.total_share[i] : 0.0);
    if (most >= least_share) {
      order.push_back(i);
    }
  }
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return result.share[a] > result.share[b]; });
  for (const std::size_t i : order) {
    ordered_json share = {{"number", plan.numbers[i].name}, {"share", result.share[i]}};
    if (i < result.total_share.size()) {
      share["total"] = result.total_share[i];
    }
    shares.push_back(std::move(share));
  }
  return shares;
}

ordered_json result_json(const Plan& plan, const PlannedResult& planned, const ResultSummary& result) {
  ordered_json json = {{"name", planned.name},
                       {"id", planned.id},
                       {"where", where_json(planned.where)},
                       {"unit", quantity::si_unit(planned.dimension)},
                       {"draws", result.statistics.draws},
                       {"lost", result.statistics.lost},
                       {"mean", number_or_null(result.statistics.mean)},
                       {"sd", number_or_null(result.statistics.sd)},
                       {"q025", number_or_null(result.statistics.low)},
                       {"median", number_or_null(result.statistics.median)},
                       {"q975", number_or_null(result.statistics.high)}};
  if (planned.limit) {
    json["limit"] = {{"min", number_or_null(planned.limit->min)},
                     {"max", number_or_null(planned.limit->max)},
                     {"source", planned.limit->source}};
    json["fails"] = number_or_null(result.fails);
  }
  if (!result.share.empty()) {
    json["shares"] = shares_json(plan, result);
  }
  if (result.explained) {
    json["explained"] = *result.explained;
  }
  return json;
}

}  // namespace

Summary summarise(const Plan& plan, const ResultsFile& file) {
  Summary summary;
  const Summariser summariser(plan, file);
  const std::size_t at_once = static_cast<std::size_t>(
      std::clamp<std::uint64_t>(most_held / std::max<std::uint64_t>(1, plan.draws), 1, 256));
  for (std::size_t first = 0; first < plan.results.size(); first += at_once) {
    const std::size_t count = std::min(at_once, plan.results.size() - first);
    const Eigen::MatrixXd columns = file.columns(plan.numbers.size() + first, count);
    for (std::size_t i = 0; i < count; ++i) {
      const auto column = columns.col(static_cast<Eigen::Index>(i));
      summary.results.push_back(
          summariser.result(first + i, {column.data(), static_cast<std::size_t>(column.size())}));
    }
  }
  summary.digest = file.digest();
  return summary;
}

ordered_json summary_json(const Plan& plan, const Summary& summary) {
  ordered_json json = {{"study", plan.study.name},
                       {"draws", plan.draws},
                       {"digest", summary.digest},
                       {"fitted_anew_for", plan.fit_anew_for}};
  json["numbers"] = ordered_json::array();
  for (const PlannedNumber& number : plan.numbers) {
    json["numbers"].push_back({{"name", number.name},
                               {"path", number.path},
                               {"unit", quantity::si_unit(number.dimension)},
                               {"base", number.base},
                               {"least", number.law.least()},
                               {"greatest", number.law.greatest()},
                               {"meaning", number.meaning == Meaning::doubted ? "doubted" : "changed"}});
  }
  json["results"] = ordered_json::array();
  for (std::size_t i = 0; i < plan.results.size(); ++i) {
    json["results"].push_back(result_json(plan, plan.results[i], summary.results[i]));
  }
  return json;
}

}  // namespace fettle::study
