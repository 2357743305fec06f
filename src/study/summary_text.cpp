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

/// Words one after the other, broken so that no line is longer than a screen is wide.
std::string wrapped(const std::string& text, std::size_t indent) {
  constexpr std::size_t most = 80;
  std::string result;
  std::size_t column = 0;
  std::size_t first = 0;
  while (first < text.size()) {
    const std::size_t end = std::min(text.find(' ', first), text.size());
    const std::string word = text.substr(first, end - first);
    if (column == 0 || column + 1 + word.size() > most) {
      result += (column == 0 ? "" : "\n") + std::string(indent, ' ') + word;
      column = indent + word.size();
    } else {
      result += ' ' + word;
      column += 1 + word.size();
    }
    first = end + 1;
  }
  return result + '\n';
}

/// Two lines: the sample, then its middle 95 % and where its spread comes from.
std::string result_text(const Plan& plan, const PlannedResult& planned, const ResultSummary& result,
                        quantity::System system) {
  constexpr int name_width = 43;
  constexpr int value_width = 27;
  const auto& sample = result.statistics;
  if (!sample.mean) {
    return wrapped(planned.name + ": in no draw", 0);
  }
  const quantity::Unit& unit = quantity::default_unit(planned.dimension, system);
  quantity::PrintOptions options;
  if (sample.sd && *sample.sd > 0) {
    options.uncertainty = *sample.sd;
  }
  std::string text = planned.name;
  if (text.size() > static_cast<std::size_t>(name_width)) {
    text += '\n';
    text.append(static_cast<std::size_t>(name_width), ' ');
  } else {
    text = fmt::format("{:<{}}", text, name_width);
  }
  const std::string fails = result.fails ? fmt::format("{:>8.2f} %", 100 * *result.fails) : "";
  text += fmt::format("{:>{}}{}\n", quantity::print(*sample.mean, unit, options), value_width, fails);
  std::string second =
      fmt::format("{} to {}", to_spread(*sample.low, sample, unit), to_spread(*sample.high, sample, unit));
  if (const std::string shares = shares_text(plan, result); !shares.empty()) {
    second += "; " + shares;
  }
  if (sample.lost > 0) {
    second += fmt::format("; not to be had in {} draws", sample.lost);
  }
  return text + wrapped(second, 4);
}

}  // namespace

std::string summary_text(const Plan& plan, const Summary& summary, quantity::System system) {
  std::string text =
      wrapped(fmt::format("{}: {} draws of {}", plan.study.name, plan.draws, plan.build.name), 0);
  text += fmt::format("\n{:<43}{:>27}{:>10}\n", "result", "mean ± sd", "fails");
  text += "    the middle 95 % of the draws; what the spread comes from\n\n";
  for (std::size_t i = 0; i < plan.results.size(); ++i) {
    text += result_text(plan, plan.results[i], summary.results[i], system);
  }
  text += fmt::format("\nDigest of all rows:\n{}\n", summary.digest);
  return text;
}

}  // namespace fettle::study
