#include "study/statistics.h"

#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include <gtest/gtest.h>

#include "study/points.h"

namespace fettle::study {
namespace {

using std::numbers::pi;

TEST(Statistics, OfASmallSampleByHand) {
  const std::array<double, 6> sample{5, 1, 4, 2, 3, std::numeric_limits<double>::quiet_NaN()};
  const ResultStatistics result = statistics(sample);
  EXPECT_EQ(result.draws, 5U);
  EXPECT_EQ(result.lost, 1U);
  EXPECT_DOUBLE_EQ(*result.mean, 3);
  EXPECT_DOUBLE_EQ(*result.sd, std::sqrt(2.5));
  EXPECT_DOUBLE_EQ(*result.median, 3);
  EXPECT_DOUBLE_EQ(*result.low, 1.1);  // 1 + 0.025 (n - 1), Hyndman and Fan's definition 7
  EXPECT_DOUBLE_EQ(*result.high, 4.9);
}

TEST(Statistics, NothingOfNothing) {
  const ResultStatistics result = statistics({});
  EXPECT_FALSE(result.mean.has_value());
  EXPECT_FALSE(result.sd.has_value());
}

/// f = sin x1 + 7 sin² x2 + 0.1 x3⁴ sin x1 on (-π, π)³: Ishigami and Homma, ISUMA '90 (1990).
double ishigami(std::span<const double> x) {
  return std::sin(x[0]) + 7 * std::pow(std::sin(x[1]), 2) + 0.1 * std::pow(x[2], 4) * std::sin(x[0]);
}

TEST(Shares, ByVarianceOfTheIshigamiFunction) {
  // Closed forms of its parts of variance (Saltelli et al., Global Sensitivity Analysis: The Primer, 2008,
  // section 4.5; they follow from the integrals): a = 7, b = 0.1.
  const double a = 7;
  const double b = 0.1;
  const double v1 = 0.5 * std::pow(1 + b * std::pow(pi, 4) / 5, 2);
  const double v2 = a * a / 8;
  const double v13 = b * b * std::pow(pi, 8) * 8 / 225;
  const double v = v1 + v2 + v13;
  EXPECT_NEAR(v1 / v, 0.3139, 5e-5);  // as they are printed
  EXPECT_NEAR(v2 / v, 0.4424, 5e-5);

  Points points(Drawing::sobol, true, 17, std::vector<Law>(3, between(-pi, pi, Spread::rectangular)));
  std::vector<double> results;
  for (std::uint64_t k = 0; k < 5U << 14U; ++k) {
    std::array<double, 3> x{};
    points.at(k, x);
    results.push_back(ishigami(x));
  }
  const auto shares = variance_shares(results, 3);
  ASSERT_TRUE(shares.has_value());
  constexpr double tolerance = 0.004;
  EXPECT_NEAR(shares->first[0], v1 / v, tolerance);
  EXPECT_NEAR(shares->first[1], v2 / v, tolerance);
  EXPECT_NEAR(shares->first[2], 0, tolerance);
  EXPECT_NEAR(shares->total[0], (v1 + v13) / v, tolerance);
  EXPECT_NEAR(shares->total[1], v2 / v, tolerance);
  EXPECT_NEAR(shares->total[2], v13 / v, tolerance);
}

TEST(Shares, ByRegressionOfAStraightLine) {
  // y = 2 a + 3 b, a within ±1 (variance 1/3), b of sd 0.5: shares 4/3 and 9/4 over their sum.
  Points points(Drawing::random, false, 4, {between(-1, 1, Spread::rectangular), normal(7, 0.5)});
  constexpr Eigen::Index draws = 40000;
  Eigen::MatrixXd numbers(draws, 2);
  std::vector<double> result;
  for (Eigen::Index k = 0; k < draws; ++k) {
    std::array<double, 2> x{};
    points.at(static_cast<std::uint64_t>(k), x);
    numbers.row(k) << x[0], x[1];
    result.push_back(2 * x[0] + 3 * x[1]);
  }
  const auto shares = Regression(numbers).shares(result);
  ASSERT_TRUE(shares.has_value());
  const double sum = 4.0 / 3 + 9.0 / 4;
  EXPECT_NEAR(shares->share[0], 4.0 / 3 / sum, 0.01);
  EXPECT_NEAR(shares->share[1], 9.0 / 4 / sum, 0.01);
  EXPECT_NEAR(shares->explained, 1, 1e-9);
}

TEST(Shares, ASquareIsNoStraightLineAndIsSaidNotToBe) {
  Points points(Drawing::random, false, 4, {between(-1, 1, Spread::rectangular)});
  Eigen::MatrixXd numbers(5000, 1);
  std::vector<double> result;
  for (Eigen::Index k = 0; k < numbers.rows(); ++k) {
    points.at(static_cast<std::uint64_t>(k), std::span(&numbers(k, 0), 1));
    result.push_back(numbers(k, 0) * numbers(k, 0));
  }
  const auto shares = Regression(numbers).shares(result);
  ASSERT_TRUE(shares.has_value());
  EXPECT_LT(shares->explained, 0.01);
}

TEST(Shares, NoneOfWhatDoesNotVary) {
  const Eigen::MatrixXd numbers = Eigen::MatrixXd::Random(100, 2);
  const std::vector<double> constant(100, 3.5);
  EXPECT_FALSE(Regression(numbers).shares(constant).has_value());
  EXPECT_FALSE(variance_shares(constant, 3).has_value());
}

}  // namespace
}  // namespace fettle::study
