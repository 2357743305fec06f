#include "metrology/least_squares.h"

#include <cmath>
#include <limits>
#include <random>
#include <vector>

#include <gtest/gtest.h>

#include "metrology/line_fit.h"
#include "published/nist_strd.h"

namespace fettle::metrology {
namespace {

/// Matching digits: minus the logarithm of the relative error, as the StRD are scored.
double digits(double found, double certified) {
  const double error = std::abs(found - certified) / std::abs(certified);
  return error == 0.0 ? 16.0 : -std::log10(error);
}

/// Digits that count as reproduced: the certified values have 15 (linear) and 11 (nonlinear).
constexpr double linear_digits = 8.0;
constexpr double nonlinear_digits = 6.0;

struct Columns {
  std::vector<double> x, y;
};

template <std::size_t N>
Columns columns(const std::array<std::array<double, 2>, N>& data) {
  Columns out;
  for (const auto& row : data) {
    out.y.push_back(row[0]);
    out.x.push_back(row[1]);
  }
  return out;
}

TEST(LineFit, ReproducesNorris) {
  namespace p = published::norris;
  const Columns readings = columns(p::data);
  const std::vector<double>& x = readings.x;
  const std::vector<double>& y = readings.y;
  const LineFit line = fit_line(x, y);
  ASSERT_TRUE(line.converged) << line.summary;
  EXPECT_GT(digits(line.intercept, p::b0), linear_digits);
  EXPECT_GT(digits(line.slope, p::b1), linear_digits);
  EXPECT_GT(digits(line.u_intercept, p::u_b0), linear_digits);
  EXPECT_GT(digits(line.u_slope, p::u_b1), linear_digits);
  EXPECT_GT(digits(line.residual_scale, p::residual_deviation), linear_digits);
  EXPECT_EQ(line.dof, 34.0);
}

TEST(LineFit, ReproducesNoIntercept1) {
  namespace p = published::no_intercept;
  std::vector<double> x;
  std::vector<double> y;
  for (int i = 0; i <= 10; ++i) {
    x.push_back(60.0 + i);
    y.push_back(130.0 + i);
  }
  const LineFit line = fit_line_through_origin(x, y);
  ASSERT_TRUE(line.converged);
  EXPECT_GT(digits(line.slope, p::b1), linear_digits);
  EXPECT_GT(digits(line.u_slope, p::u_b1), linear_digits);
  EXPECT_GT(digits(line.residual_scale, p::residual_deviation), linear_digits);
}

TEST(LinearLeastSquares, ReproducesLongley) {
  namespace p = published::longley;
  Eigen::MatrixXd design(16, 7);
  Eigen::VectorXd y(16);
  for (int i = 0; i < 16; ++i) {
    const auto& row = p::data[static_cast<std::size_t>(i)];
    y[i] = row[0];
    design(i, 0) = 1.0;
    for (int j = 1; j < 7; ++j) {
      design(i, j) = row[static_cast<std::size_t>(j)];
    }
  }
  const LeastSquaresFit fit = linear_least_squares(design, y);
  ASSERT_TRUE(fit.converged) << fit.summary;
  for (int j = 0; j < 7; ++j) {
    EXPECT_GT(digits(fit.parameters[j], p::parameters[static_cast<std::size_t>(j)]), linear_digits);
    EXPECT_GT(digits(fit.u(j), p::u[static_cast<std::size_t>(j)]), linear_digits);
  }
  EXPECT_GT(digits(fit.residual_scale, p::residual_deviation), linear_digits);
}

// NIST StRD Wampler1.dat (linear, higher difficulty): y = 1 + x + x^2 + x^3 + x^4 + x^5 at x = 0..20, all
// parameters 1.
TEST(LinearLeastSquares, ReproducesWampler1) {
  Eigen::MatrixXd design(21, 6);
  for (int i = 0; i <= 20; ++i) {
    for (int j = 0; j < 6; ++j) {
      design(i, j) = std::pow(i, j);
    }
  }
  const LeastSquaresFit fit = linear_least_squares(design, design.rowwise().sum());
  ASSERT_TRUE(fit.converged);
  for (int j = 0; j < 6; ++j) {
    EXPECT_GT(digits(fit.parameters[j], 1.0), linear_digits);
    EXPECT_LT(fit.u(j), 1e-8);  // certified zero
  }
}

template <std::size_t N>
Eigen::VectorXd vector(const std::array<double, N>& values) {
  return Eigen::Map<const Eigen::VectorXd>(values.data(), static_cast<Eigen::Index>(N));
}

template <typename Problem>
void expect_certified(const LeastSquaresFit& fit, const Problem& parameters, const Problem& u,
                      double squares) {
  ASSERT_TRUE(fit.converged) << fit.summary;
  for (std::size_t j = 0; j < parameters.size(); ++j) {
    EXPECT_GT(digits(fit.parameters[static_cast<Eigen::Index>(j)], parameters[j]), nonlinear_digits) << j;
    EXPECT_GT(digits(fit.u(static_cast<Eigen::Index>(j)), u[j]), nonlinear_digits) << j;
  }
  EXPECT_GT(digits(fit.weighted_rss, squares), nonlinear_digits);
}

TEST(NonlinearLeastSquares, ReproducesMisra1aFromBothStarts) {
  namespace p = published::misra1a;
  const Columns readings = columns(p::data);
  const std::vector<double>& x = readings.x;
  const std::vector<double>& y = readings.y;
  const Residuals residuals = [&](const Eigen::VectorXd& b) {
    Eigen::VectorXd r(static_cast<Eigen::Index>(x.size()));
    for (std::size_t i = 0; i < x.size(); ++i) {
      r[static_cast<Eigen::Index>(i)] = y[i] - b[0] * (1.0 - std::exp(-b[1] * x[i]));
    }
    return r;
  };
  for (const auto& start : {p::start_1, p::start_2}) {
    expect_certified(nonlinear_least_squares(residuals, vector(start)), p::parameters, p::u,
                     p::residual_squares);
  }
}

TEST(NonlinearLeastSquares, ReproducesEckerle4FromBothStarts) {
  namespace p = published::eckerle4;
  const Columns readings = columns(p::data);
  const std::vector<double>& x = readings.x;
  const std::vector<double>& y = readings.y;
  const Residuals residuals = [&](const Eigen::VectorXd& b) {
    Eigen::VectorXd r(static_cast<Eigen::Index>(x.size()));
    for (std::size_t i = 0; i < x.size(); ++i) {
      r[static_cast<Eigen::Index>(i)] =
          y[i] - b[0] / b[1] * std::exp(-0.5 * std::pow((x[i] - b[2]) / b[1], 2));
    }
    return r;
  };
  for (const auto& start : {p::start_1, p::start_2}) {
    expect_certified(nonlinear_least_squares(residuals, vector(start)), p::parameters, p::u,
                     p::residual_squares);
  }
}

TEST(NonlinearLeastSquares, TakesAnExactJacobian) {
  namespace p = published::misra1a;
  const Columns readings = columns(p::data);
  const std::vector<double>& x = readings.x;
  const std::vector<double>& y = readings.y;
  const auto n = static_cast<Eigen::Index>(x.size());
  int calls = 0;
  const Residuals residuals = [&](const Eigen::VectorXd& b) {
    ++calls;
    const Eigen::ArrayXd model = b[0] * (1.0 - (-b[1] * Eigen::Map<const Eigen::ArrayXd>(x.data(), n)).exp());
    return Eigen::VectorXd(Eigen::Map<const Eigen::ArrayXd>(y.data(), n) - model);
  };
  const Jacobian jacobian = [&](const Eigen::VectorXd& b) {
    const Eigen::ArrayXd at = Eigen::Map<const Eigen::ArrayXd>(x.data(), n);
    Eigen::MatrixXd out(n, 2);
    out.col(0) = -(1.0 - (-b[1] * at).exp()).matrix();
    out.col(1) = (-b[0] * at * (-b[1] * at).exp()).matrix();
    return out;
  };
  const LeastSquaresFit fit = nonlinear_least_squares(residuals, vector(p::start_2), {}, jacobian);
  expect_certified(fit, p::parameters, p::u, p::residual_squares);
  EXPECT_LT(calls, 60);
}

TEST(NonlinearLeastSquares, SaysWhyItFails) {
  const Eigen::VectorXd start = Eigen::Vector2d(1.0, 1.0);
  const auto fit_of = [&](const Residuals& r, const NonlinearOptions& o = {}) {
    return nonlinear_least_squares(r, start, o);
  };
  const LeastSquaresFit few = fit_of([](const Eigen::VectorXd& b) { return Eigen::VectorXd(b.head(1)); });
  EXPECT_FALSE(few.converged);
  EXPECT_NE(few.summary.find("cannot determine"), std::string::npos);

  const LeastSquaresFit undefined =
      fit_of([](const Eigen::VectorXd&) { return Eigen::VectorXd::Constant(4, std::nan("")).eval(); });
  EXPECT_FALSE(undefined.converged);
  EXPECT_NE(undefined.summary.find("not finite at the start"), std::string::npos);

  const LeastSquaresFit blind = fit_of([](const Eigen::VectorXd& b) {
    Eigen::VectorXd r(4);
    r << b[0] + b[1], 1.0, 2.0, 3.0 - b[0] - b[1];
    return r;
  });
  EXPECT_FALSE(blind.converged);
  EXPECT_NE(blind.summary.find("undetermined"), std::string::npos);

  NonlinearOptions hasty;
  hasty.most_evaluations = 3;
  const LeastSquaresFit cut = fit_of(
      [](const Eigen::VectorXd& b) {
        Eigen::VectorXd r(3);
        r << 10.0 * (b[1] - b[0] * b[0]), 1.0 - 7.0 * b[0], std::exp(b[0] * b[1]);
        return r;
      },
      hasty);
  EXPECT_FALSE(cut.converged);
  EXPECT_NE(cut.summary.find("ran out"), std::string::npos);
}

TEST(NonlinearLeastSquares, StepsBackFromWhereTheModelIsUndefined) {
  // log of a negative parameter on the way: the step is refused, not fatal.
  const LeastSquaresFit fit = nonlinear_least_squares(
      [](const Eigen::VectorXd& b) {
        Eigen::VectorXd r(3);
        r << std::log(b[0]) - std::log(0.01), std::log(b[0]) - std::log(0.011),
            std::log(b[0]) - std::log(0.009);
        return r;
      },
      Eigen::VectorXd::Constant(1, 5.0));
  ASSERT_TRUE(fit.converged) << fit.summary;
  EXPECT_NEAR(fit.parameters[0], std::cbrt(0.01 * 0.011 * 0.009), 1e-9);
}

// JCGM 100:2008, H.3, table H.6: thermometer calibration line, b = y1 + y2 (t - 20).
TEST(LineFit, ReproducesTheThermometerCalibration) {
  std::vector<double> x = {21.521, 22.012, 22.512, 23.003, 23.507, 23.999,
                           24.513, 25.002, 25.503, 26.010, 26.511};
  std::vector<double> y = {-0.171, -0.169, -0.166, -0.159, -0.164, -0.165,
                           -0.156, -0.157, -0.159, -0.161, -0.160};
  for (double& t : x) {
    t -= 20.0;
  }
  const LineFit line = fit_line(x, y);
  EXPECT_NEAR(line.intercept, -0.1712, 0.00005);
  EXPECT_NEAR(line.u_intercept, 0.0029, 0.00005);
  EXPECT_NEAR(line.slope, 0.00218, 0.000005);
  EXPECT_NEAR(line.u_slope, 0.00067, 0.000005);
  EXPECT_NEAR(line.correlation, -0.930, 0.0005);
  EXPECT_NEAR(line.residual_scale, 0.0035, 0.00005);
  const Prediction at_30 = line.at(10.0);
  EXPECT_NEAR(at_30.value, -0.1494, 0.00005);
  EXPECT_NEAR(at_30.u, 0.0041, 0.00005);
  EXPECT_EQ(at_30.dof, 9.0);
}

TEST(LineFit, PoolsTheStatedNoise) {
  const std::vector<double> x = {0.0, 1.0, 2.0, 3.0};
  const std::vector<double> y = {0.1, 0.9, 2.1, 2.9};
  const std::vector<double> u(4, 0.05);
  const LineFit free = fit_line(x, y, u);
  const LineFit stated = fit_line(x, y, u, {std::numeric_limits<double>::infinity()});
  const LineFit pooled = fit_line(x, y, u, {8.0});
  EXPECT_EQ(stated.residual_scale, 1.0);
  EXPECT_TRUE(std::isinf(stated.dof));
  EXPECT_NEAR(stated.u_slope, 0.05 / std::sqrt(5.0), 1e-12);  // u / sqrt(sum (x - mean)^2)
  EXPECT_NEAR(std::pow(free.residual_scale, 2), free.weighted_rss / 2.0, 1e-12);
  EXPECT_NEAR(std::pow(pooled.residual_scale, 2), (8.0 + free.weighted_rss) / 10.0, 1e-12);
  EXPECT_EQ(pooled.dof, 10.0);
  EXPECT_NEAR(free.x_at(1.5)->value, (1.5 - free.intercept) / free.slope, 1e-15);
  EXPECT_NEAR(free.x_at(1.5)->u, free.at(free.x_at(1.5)->value).u / free.slope, 1e-15);
}

TEST(LineFit, LosesNoDigitsFarFromTheOrigin) {
  std::vector<double> x;
  std::vector<double> y;
  for (int i = 0; i < 10; ++i) {
    x.push_back(1e7 + i);
    y.push_back(3.0 + 2.0 * i);
  }
  EXPECT_NEAR(fit_line(x, y).slope, 2.0, 1e-12);
}

TEST(LineFit, SaysWhyThereIsNoLine) {
  EXPECT_FALSE(fit_line(std::vector<double>{1.0}, std::vector<double>{1.0}).converged);
  const LineFit upright = fit_line(std::vector<double>{1.0, 1.0, 1.0}, std::vector<double>{1.0, 2.0, 3.0});
  EXPECT_FALSE(upright.converged);
  EXPECT_NE(upright.summary.find("determine 1 of 2"), std::string::npos);
  const LineFit two = fit_line(std::vector<double>{1.0, 2.0}, std::vector<double>{1.0, 2.0});
  EXPECT_FALSE(two.converged);  // a line, but nothing to judge its doubt by
  EXPECT_NEAR(two.slope, 1.0, 1e-15);
  EXPECT_NE(two.summary.find("nothing to judge"), std::string::npos);
  EXPECT_THROW(fit_line(std::vector<double>{1.0}, std::vector<double>{}), std::invalid_argument);
  EXPECT_THROW(fit_line(std::vector<double>{1.0, 2.0}, std::vector<double>{1.0, std::nan("")}),
               std::invalid_argument);
}

TEST(RobustLine, IsNotPulledByAQuarterOfWrongReadings) {
  std::mt19937_64 engine(1);
  std::normal_distribution<double> noise(0.0, 0.01);
  std::vector<double> x;
  std::vector<double> y;
  for (int i = 0; i < 20; ++i) {
    x.push_back(i);
    y.push_back(1.0 + 0.5 * i + noise(engine) + (i % 4 == 3 ? 3.0 : 0.0));
  }
  y[19] += 50.0;  // at the far end, where it pulls hardest
  const LineFit line = fit_line_robust(x, y);
  ASSERT_TRUE(line.converged) << line.summary;
  EXPECT_NEAR(line.slope, 0.5, 4.0 * line.u_slope);
  EXPECT_NEAR(line.intercept, 1.0, 4.0 * line.u_intercept);
  EXPECT_LT(line.u_slope, 0.002);
  for (std::size_t i = 0; i < 20; ++i) {
    EXPECT_EQ(line.outlier[i], i % 4 == 3) << i;
  }
}

TEST(RobustLine, StatesTheScatterOfItsSlope) {
  std::mt19937_64 engine(2);
  std::normal_distribution<double> noise(0.0, 1.0);
  const int trials = 2000;
  double squares = 0.0;
  double stated = 0.0;
  for (int t = 0; t < trials; ++t) {
    std::vector<double> x;
    std::vector<double> y;
    for (int i = 0; i < 30; ++i) {
      x.push_back(i);
      y.push_back(2.0 * i + noise(engine));
    }
    const LineFit line = fit_line_robust(x, y);
    squares += (line.slope - 2.0) * (line.slope - 2.0) / trials;
    stated += line.u_slope * line.u_slope / trials;
  }
  // Sampling error of a variance from 2000 draws is 3 %; the asymptotic formula itself is good to some 10 %
  // at n = 30.
  EXPECT_NEAR(std::sqrt(stated / squares), 1.0, 0.1);
  // 95 % efficient: the least possible is 1 / sqrt(sum (x - mean)^2).
  EXPECT_LT(std::sqrt(squares), 1.08 / std::sqrt(30.0 * (900.0 - 1.0) / 12.0));
}

TEST(RobustLine, TakesAnExactLineAsItIs) {
  const std::vector<double> x = {0.0, 1.0, 2.0, 3.0, 4.0, 5.0};
  std::vector<double> y = {1.0, 3.0, 5.0, 7.0, 9.0, 11.0};
  y[2] = 80.0;
  const LineFit line = fit_line_robust(x, y);
  ASSERT_TRUE(line.converged) << line.summary;
  EXPECT_NEAR(line.slope, 2.0, 1e-12);
  EXPECT_NEAR(line.intercept, 1.0, 1e-12);
  EXPECT_TRUE(line.outlier[2]);
  const LineFit few = fit_line_robust(std::vector<double>{0.0, 1.0, 2.0}, std::vector<double>{0.0, 1.0, 2.1});
  EXPECT_NE(few.summary.find("ordinary fit"), std::string::npos);
}

}  // namespace
}  // namespace fettle::metrology
