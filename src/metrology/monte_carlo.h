#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "metrology/uncertainty.h"

namespace fettle::metrology {

struct CoverageInterval {
  double low = 0.0;
  double high = 0.0;
};

/// What a sample of an output says.
struct SampleStatistics {
  double mean = 0.0;
  double u = 0.0;
  CoverageInterval shortest;   ///< JCGM 101:2008, 5.3.4 and 7.7.4
  CoverageInterval symmetric;  ///< probabilistically symmetric, 7.7.2
  std::size_t lost = 0;        ///< trials in which the output was not obtained
};

/// Statistics of the finite values of a sample; those that are not finite are counted as lost.
/// Throws std::invalid_argument with fewer than 20 finite values or a probability outside 0..1.
SampleStatistics sample_statistics(std::span<const double> sample, double coverage_probability);

/// Adaptive number of trials (JCGM 101:2008, 7.9): blocks are added until mean, u and both ends of the
/// shortest interval are stable, at twice their standard deviation, to within half a unit of the last of
/// `significant_digits` digits of u.
struct AdaptiveTrials {
  int significant_digits = 2;           ///< >= 1
  std::size_t block = 10000;            ///< >= 10000 and >= 100 / (1 - p), 7.9.4 b
  std::size_t most_trials = 5'000'000;  ///< > 2 * block
};

struct MonteCarloOptions {
  std::size_t trials = 100'000;  ///< >= 1000; not used with `adaptive`
  std::optional<AdaptiveTrials> adaptive;
  std::uint64_t seed = 1;
  double coverage_probability = 0.95;
  double most_lost_share = 0.01;  ///< of trials without an output; beyond it that output is not given
};

struct MonteCarloResult {
  bool converged = false;  ///< all outputs given and, where adaptive, all stable
  std::string summary;
  std::size_t trials = 0;
  std::vector<std::optional<SampleStatistics>> outputs;
  std::vector<std::string> problems;  ///< one an output, empty text where there is none
  Eigen::MatrixXd covariance;         ///< between outputs, over the trials that gave all of them
};

/// Propagation of distributions (JCGM 101:2008, clause 7): every component of every input is drawn from its
/// distribution, independently; correlated inputs enter as the modes of a CovarianceBlock. The draw of a
/// component depends only on the seed, the trial and its place among the components. Where the number of
/// outputs changes between trials, nothing is given and the summary says so. Throws std::invalid_argument for
/// options out of range.
MonteCarloResult propagate_distributions(const Model& model, std::span<const Input> inputs,
                                         const MonteCarloOptions& options = {});

}  // namespace fettle::metrology
