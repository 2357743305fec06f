#pragma once

#include <optional>
#include <span>
#include <vector>

#include <Eigen/Core>

namespace fettle::study {

/// What the draws of one result say.
struct ResultStatistics {
  std::size_t draws = 0;  ///< that gave it
  std::size_t lost = 0;   ///< that did not
  std::optional<double> mean, sd;
  std::optional<double> low, median, high;  ///< quantiles 0.025, 0.5, 0.975
};

/// Of the finite values of a sample. Quantiles between order statistics, definition 7 of Hyndman and Fan,
/// American Statistician 50 (1996). Nothing where there are no values; no sd with fewer than two.
ResultStatistics statistics(std::span<const double> sample);

/// Parts of the variance of a result that come from each number alone.
struct RegressionShares {
  std::vector<double> share;  ///< one a number
  double explained = 0.0;     ///< of the variance, by the straight line in all numbers together
};

/// Shares by least squares: (b_i s_i)^2 / s_y^2 with the coefficients b of the line in all numbers, their
/// standard deviations s_i in the sample and s_y of the result: the squared standardised regression
/// coefficients (Saltelli et al., Global Sensitivity Analysis: The Primer, 2008, section 1.2.5). For numbers
/// drawn independently; where the result is no straight line in them, `explained` falls short of 1 and so do
/// the shares. Rows of `numbers` are draws.
class Regression {
 public:
  explicit Regression(const Eigen::MatrixXd& numbers);
  /// Nothing for a result without variance, or with values that are not finite in all but a few draws.
  std::optional<RegressionShares> shares(std::span<const double> result) const;

 private:
  Eigen::MatrixXd centred_;
  Eigen::MatrixXd inverse_;  ///< of the covariance
  Eigen::VectorXd sd_;
};

/// Shares by variance, of each number alone and with all it works together with.
struct VarianceShares {
  std::vector<double> first, total;  ///< one a number
};

/// From sets of d + 2 values f(A), f(B), f(A with B's i-th number), as Points draws them. First order
/// S_i = mean(f_B (f_ABi - f_A)) / V, the result taken about its mean; total S_Ti = mean((f_A - f_ABi)^2) /
/// (2 V), V over all f_A and f_B (Saltelli et al., Comput. Phys. Commun. 181, 2010, table 2, b and f). Sets
/// with a value that is not finite are left out; nothing without variance or with fewer than two sets.
std::optional<VarianceShares> variance_shares(std::span<const double> results, std::size_t numbers);

}  // namespace fettle::study
