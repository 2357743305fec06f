#include <algorithm>
#include <cmath>
#include <numeric>

#include <fmt/format.h>

#include "study/summary.h"

namespace fettle::study {
namespace {

/// A value of the sample to the digits that its spread has.
std::string to_spread(double value, const ResultStatistics& sample, const quantity::Unit& unit) {
  quantity::PrintOptions options;
  if (sample.sd && *sample.sd > 0) {
    options.uncertainty = *sample.sd;
  }
  const std::string text = quantity::print(value, unit, options);
  return text.substr(0, text.find(" ±"));
}

std::string shares_text(const Plan& plan, const ResultSummary& result) {
  constexpr double least_share = 0.005;
  constexpr std::size_t most = 3;
  std::vector<std::size_t> order(result.share.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return result.share[a] > result.share[b]; });
  std::string text;
  for (std::size_t i = 0; i < std::min(most, order.size()) && result.share[order[i]] >= least_share; ++i) {
    text += fmt::format("{}{} {:.0f} %", text.empty() ? "" : ", ", plan.numbers[order[i]].name,
                        100 * result.share[order[i]]);
  }
  constexpr double straight = 0.9;
  if (result.explained && *result.explained < straight && plan.study.readings != true) {
    text += fmt::format("{}(a straight line explains {:.0f} %)", text.empty() ? "" : " ",
                        100 * *result.explained);
  }
  return text;
}

}  // namespace

std::string summary_text(const Plan& plan, const Summary& summary, quantity::System system) {
  std::size_t widest = 6;
  for (const PlannedResult& result : plan.results) {
    widest = std::max(widest, result.name.size());
  }
  std::string text = fmt::format("{}: {} draws of {}\n\n{:<{}}  {:>26}  {:>14}  {:>14}  {:>8}  {}\n",
                                 plan.study.name, plan.draws, plan.build.name, "result", widest, "mean ± sd",
                                 "2.5 %", "97.5 %", "fails", "where it comes from");
  for (std::size_t i = 0; i < plan.results.size(); ++i) {
    const PlannedResult& planned = plan.results[i];
    const ResultSummary& result = summary.results[i];
    const auto& sample = result.statistics;
    if (!sample.mean) {
      text += fmt::format("{:<{}}  in no draw\n", planned.name, widest);
      continue;
    }
    const quantity::Unit& unit = quantity::default_unit(planned.dimension, system);
    quantity::PrintOptions options;
    if (sample.sd && *sample.sd > 0) {
      options.uncertainty = *sample.sd;
    }
    const std::string fails = result.fails ? fmt::format("{:.2f} %", 100 * *result.fails) : "";
    text += fmt::format("{:<{}}  {:>26}  {:>14}  {:>14}  {:>8}  {}\n", planned.name, widest,
                        quantity::print(*sample.mean, unit, options), to_spread(*sample.low, sample, unit),
                        to_spread(*sample.high, sample, unit), fails, shares_text(plan, result));
    if (sample.lost > 0) {
      text += fmt::format("{:<{}}  not to be had in {} draws\n", "", widest, sample.lost);
    }
  }
  text += fmt::format("\nAll rows: {}\n", summary.digest);
  return text;
}

}  // namespace fettle::study
