#include "study/statistics.h"

#include <algorithm>
#include <cmath>
#include <iterator>

#include <Eigen/Dense>

namespace fettle::study {
namespace {

double quantile(const std::vector<double>& sorted, double p) {
  const double place = p * static_cast<double>(sorted.size() - 1);
  const auto below = static_cast<std::size_t>(place);
  const std::size_t above = std::min(below + 1, sorted.size() - 1);
  return sorted[below] + (place - static_cast<double>(below)) * (sorted[above] - sorted[below]);
}

double mean_of(std::span<const double> values) {
  double sum = 0.0;
  for (const double value : values) {
    sum += value;
  }
  return sum / static_cast<double>(values.size());
}

/// A variance that is no more than the rounding of its values is none.
bool varies(double variance, double mean) {
  constexpr double rounding = 1e-13;
  return variance > 0.0 && std::sqrt(variance) > rounding * std::abs(mean);
}

}  // namespace

ResultStatistics statistics(std::span<const double> sample) {
  std::vector<double> values;
  values.reserve(sample.size());
  std::copy_if(sample.begin(), sample.end(), std::back_inserter(values),
               [](double v) { return std::isfinite(v); });
  ResultStatistics result;
  result.draws = values.size();
  result.lost = sample.size() - values.size();
  if (values.empty()) {
    return result;
  }
  const double mean = mean_of(values);
  result.mean = mean;
  if (values.size() > 1) {
    double squares = 0.0;
    for (const double value : values) {
      squares += (value - mean) * (value - mean);
    }
    result.sd = std::sqrt(squares / static_cast<double>(values.size() - 1));
  }
  std::sort(values.begin(), values.end());
  result.low = quantile(values, 0.025);
  result.median = quantile(values, 0.5);
  result.high = quantile(values, 0.975);
  return result;
}

Regression::Regression(const Eigen::MatrixXd& numbers)
    : centred_(numbers.rowwise() - numbers.colwise().mean()) {
  const double n = static_cast<double>(std::max<Eigen::Index>(1, numbers.rows()));
  const Eigen::MatrixXd covariance = centred_.transpose() * centred_ / n;
  sd_ = covariance.diagonal().cwiseSqrt();
  // In units of each number's own spread, so that metres and newtons go together; one that never moved in
  // the sample has no part.
  const Eigen::VectorXd scale = sd_.unaryExpr([](double s) { return s > 0.0 ? 1.0 / s : 0.0; });
  centred_ = centred_ * scale.asDiagonal();
  const Eigen::MatrixXd correlation = centred_.transpose() * centred_ / n;
  inverse_ = correlation.completeOrthogonalDecomposition().pseudoInverse();
}

std::optional<RegressionShares> Regression::shares(std::span<const double> result) const {
  const auto n = static_cast<Eigen::Index>(result.size());
  double sum = 0.0;
  std::size_t had = 0;
  for (const double value : result) {
    sum += std::isfinite(value) ? value : 0.0;
    had += std::isfinite(value) ? 1U : 0U;
  }
  if (n != centred_.rows() || had < 3 || static_cast<double>(had) < 0.99 * static_cast<double>(n)) {
    return std::nullopt;
  }
  const double mean = sum / static_cast<double>(had);
  Eigen::VectorXd y(n);
  for (Eigen::Index k = 0; k < n; ++k) {
    const double value = result[static_cast<std::size_t>(k)];
    y[k] = std::isfinite(value) ? value - mean : 0.0;
  }
  const double variance = y.squaredNorm() / static_cast<double>(n);
  if (!varies(variance, mean)) {
    return std::nullopt;
  }
  const Eigen::VectorXd moments = centred_.transpose() * y / static_cast<double>(n);
  const Eigen::VectorXd slope = inverse_ * moments;
  RegressionShares shares;
  for (Eigen::Index i = 0; i < slope.size(); ++i) {
    shares.share.push_back(slope[i] * slope[i] / variance);
  }
  shares.explained = std::clamp(slope.dot(moments) / variance, 0.0, 1.0);
  return shares;
}

std::optional<VarianceShares> variance_shares(std::span<const double> results, std::size_t numbers) {
  const std::size_t set = numbers + 2;
  std::vector<std::span<const double>> sets;
  for (std::size_t first = 0; first + set <= results.size(); first += set) {
    const auto one = results.subspan(first, set);
    if (std::all_of(one.begin(), one.end(), [](double v) { return std::isfinite(v); })) {
      sets.push_back(one);
    }
  }
  if (sets.size() < 2) {
    return std::nullopt;
  }
  const double n = static_cast<double>(sets.size());
  double mean = 0.0;
  for (const auto& one : sets) {
    mean += (one[0] + one[1]) / (2 * n);
  }
  double variance = 0.0;
  for (const auto& one : sets) {
    variance += ((one[0] - mean) * (one[0] - mean) + (one[1] - mean) * (one[1] - mean)) / (2 * n);
  }
  if (!varies(variance, mean)) {
    return std::nullopt;
  }
  VarianceShares shares;
  for (std::size_t i = 0; i < numbers; ++i) {
    double first = 0.0;
    double total = 0.0;
    for (const auto& one : sets) {
      const double moved = one[2 + i] - one[0];
      first += (one[1] - mean) * moved / n;
      total += moved * moved / (2 * n);
    }
    shares.first.push_back(first / variance);
    shares.total.push_back(total / variance);
  }
  return shares;
}

}  // namespace fettle::study
