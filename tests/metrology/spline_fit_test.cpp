#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include <boost/math/distributions/students_t.hpp>
#include <gtest/gtest.h>

#include "metrology/periodic_spline.h"
#include "metrology/spline_reference.h"

namespace fettle::metrology {
namespace {

constexpr double two_pi = 2.0 * std::numbers::pi;

struct Readings {
  std::vector<double> x, y, u;
};

/// Readings of f at `count` equal steps from `from` to `to`, with noise of standard deviation u.
template <typename F>
Readings read(F f, std::size_t count, double from, double to, double u, std::mt19937_64& engine) {
  std::normal_distribution<double> law(0.0, u);
  Readings out;
  for (std::size_t i = 0; i < count; ++i) {
    const double x = from + (to - from) * static_cast<double>(i) / static_cast<double>(count);
    out.x.push_back(x);
    out.y.push_back(f(x) + law(engine));
    out.u.push_back(u);
  }
  return out;
}

/// A lobe-like bump of unit height over about a third of the period 720, smooth.
double bump(double x) {
  const double a = std::cos(two_pi * x / 720.0);
  return std::exp(6.0 * (a - 1.0));
}

SmoothingOptions over(double period) {
  SmoothingOptions options;
  options.period = period;
  return options;
}

SplineFit fit(const Readings& r, const SmoothingOptions& o) {
  return fit_periodic_spline(r.x, r.y, r.u, o);
}

TEST(SplineFit, AgreesWithDenseAlgebraAtAGivenPenalty) {
  std::mt19937_64 engine(1);
  Readings r = read(bump, 40, 0.0, 700.0, 0.01, engine);
  for (std::size_t i = 0; i < r.u.size(); ++i) {
    r.u[i] *= 1.0 + 0.5 * std::sin(static_cast<double>(i));
  }
  std::shuffle(r.x.begin(), r.x.end(), engine);  // the order of the readings is arbitrary
  for (std::size_t i = 0; i < r.x.size(); ++i) {
    r.y[i] = bump(r.x[i]) + 0.001 * std::cos(7.0 * r.x[i]);
    r.x[i] += i % 3 == 0 ? 720.0 : -1440.0;  // so is the turn they were taken in
  }
  SmoothingOptions o = over(720.0);
  o.knots = 30;
  o.reject_outliers = false;
  for (const double penalty : {1e9, 1e11, 1e13}) {
    o.penalty = penalty;
    const SplineFit banded = fit(r, o);
    const reference::DenseFit dense(r.x, r.y, r.u, 30, 720.0, penalty);
    ASSERT_TRUE(banded.converged) << banded.summary;
    EXPECT_LT((banded.curve.coefficients() - dense.coefficients).norm(), 1e-9 * dense.coefficients.norm());
    EXPECT_NEAR(banded.effective_parameters, dense.effective_parameters, 1e-9 * dense.effective_parameters);
    EXPECT_NEAR(banded.weighted_rss, dense.rss, 1e-9 * dense.rss);
    const double s2 = (8.0 + dense.rss) / (8.0 + 40.0 - dense.effective_parameters);
    EXPECT_NEAR(banded.residual_scale, std::sqrt(s2), 1e-9 * std::sqrt(s2));
    const Functional asked[] = {{100.0, 0}, {17.0, 1}, {650.0, 2}, {300.0, 3}};
    const Eigen::MatrixXd covariance = banded.covariance(asked);
    const Eigen::MatrixXd of_readings = dense.design.transpose() * dense.design;
    const Eigen::MatrixXd spread = dense.inverse * of_readings * dense.inverse;
    const Eigen::MatrixXd flattening = dense.inverse * (dense.normal - of_readings);
    // The bias of the true curve, for which stands the fitted one with its own bias put back.
    const Eigen::VectorXd bias = -flattening * (dense.coefficients + flattening * dense.coefficients);
    for (int i = 0; i < 4; ++i) {
      for (int k = 0; k < 4; ++k) {
        Eigen::VectorXd left(30);
        Eigen::VectorXd right(30);
        for (int j = 0; j < 30; ++j) {
          left[j] = reference::basis(asked[i].x, j, 30, 720.0, asked[i].derivative);
          right[j] = reference::basis(asked[k].x, j, 30, 720.0, asked[k].derivative);
        }
        const double noise = s2 * left.dot(spread * right);
        const double expected = noise + left.dot(bias) * right.dot(bias);
        const double scale =
            s2 * std::sqrt(left.dot(dense.inverse * left) * right.dot(dense.inverse * right)) +
            std::abs(left.dot(bias) * right.dot(bias));
        EXPECT_NEAR(covariance(i, k), expected, 1e-8 * scale);
      }
    }
  }
}

TEST(SplineFit, ChoosesThePenaltyOfLeastCrossValidation) {
  std::mt19937_64 engine(2);
  const Readings r = read(bump, 48, 0.0, 720.0, 0.01, engine);
  SmoothingOptions o = over(720.0);
  o.knots = 36;
  o.reject_outliers = false;
  const SplineFit chosen = fit(r, o);
  ASSERT_TRUE(chosen.converged);
  const auto score = [&](double penalty) {
    return reference::DenseFit(r.x, r.y, r.u, 36, 720.0, penalty).cross_validation(o.cross_validation_factor);
  };
  // The numeric minimum over a fine sweep of nine decades; near a minimum the score is flat, hence 1e-4 in
  // the score.
  double least = score(chosen.penalty);
  const double found = least;
  for (double power = -4.5; power <= 4.5; power += 0.125) {
    least = std::min(least, score(chosen.penalty * std::pow(10.0, power)));
  }
  EXPECT_LT(found, least * (1.0 + 1e-4));
}

TEST(SplineFit, ReproducesAFunctionOfTheSplineSpace) {
  std::mt19937_64 engine(3);
  const PeriodicSpline truth(720.0, 0.0, reference::normals(engine, 40));
  Readings r = read([&](double x) { return truth.value(x); }, 120, 0.0, 720.0, 1e-6, engine);
  for (std::size_t i = 0; i < r.x.size(); ++i) {
    r.y[i] = truth.value(r.x[i]);
  }
  SmoothingOptions o = over(720.0);
  o.knots = 40;
  o.penalty = 0.0;
  const SplineFit found = fit(r, o);
  ASSERT_TRUE(found.converged) << found.summary;
  EXPECT_LT((found.curve.coefficients() - truth.coefficients()).norm(), 1e-11 * truth.coefficients().norm());
  EXPECT_NEAR(found.effective_parameters, 40.0, 1e-9);
}

TEST(SplineFit, TendsToTheWeightedMeanAsThePenaltyGrows) {
  std::mt19937_64 engine(4);
  Readings r = read(bump, 30, 0.0, 720.0, 0.01, engine);
  double weight = 0.0;
  double sum = 0.0;
  for (std::size_t i = 0; i < r.u.size(); ++i) {
    r.u[i] = i % 2 == 0 ? 0.01 : 0.03;
    weight += 1.0 / (r.u[i] * r.u[i]);
    sum += r.y[i] / (r.u[i] * r.u[i]);
  }
  SmoothingOptions o = over(720.0);
  o.knots = 24;
  o.penalty = 1e21;
  o.reject_outliers = false;
  const SplineFit flat = fit(r, o);
  ASSERT_TRUE(flat.converged);
  EXPECT_NEAR(flat.curve.value(123.0), sum / weight, 1e-5);
  EXPECT_NEAR(flat.effective_parameters, 1.0, 1e-4);
}

TEST(SplineFit, ConvergesToTheSixthOrderAsTheKnotsAreRefined) {
  const auto f = [](double x) { return std::exp(std::sin(x)) * std::cos(2.0 * x); };
  std::vector<double> errors;
  for (const int knots : {48, 96, 192}) {
    Readings r;
    const int count = 4 * knots;
    for (int i = 0; i < count; ++i) {
      r.x.push_back(two_pi * i / count);
      r.y.push_back(f(r.x.back()));
      r.u.push_back(1.0);
    }
    SmoothingOptions o = over(two_pi);
    o.knots = knots;
    o.penalty = 0.0;
    const SplineFit found = fit(r, o);
    double worst = 0.0;
    for (double x = 0.0; x < two_pi; x += 0.01) {
      worst = std::max(worst, std::abs(found.curve.value(x) - f(x)));
    }
    errors.push_back(worst);
  }
  EXPECT_NEAR(std::log2(errors[0] / errors[1]), 6.0, 0.2);
  EXPECT_NEAR(std::log2(errors[1] / errors[2]), 6.0, 0.1);
}

TEST(SplineFit, CovarianceIsTheScatterOfRefitsAndTheirBias) {
  std::mt19937_64 engine(5);
  SmoothingOptions o = over(720.0);
  o.knots = 20;
  o.reject_outliers = false;
  o.prior_dof = 1e9;  // the stated noise alone, so that the scale is one
  const SplineFit found = fit(read(bump, 36, 0.0, 720.0, 0.02, engine), o);
  o.penalty = 30.0 * found.penalty;  // stiff enough that its bias counts
  const auto truth = [&](double x) { return found.curve.value(x); };
  SplineFit stiff = fit(read(truth, 36, 0.0, 720.0, 0.02, engine), o);
  // The bias is worked out from the curve with its own bias put back, (1 + T) c: here that is made the true
  // one.
  const Readings same_places = read(truth, 36, 0.0, 720.0, 0.02, engine);
  const reference::DenseFit dense(same_places.x, same_places.y, same_places.u, 20, 720.0, *o.penalty);
  const Eigen::MatrixXd flattening = dense.inverse * (dense.normal - dense.design.transpose() * dense.design);
  const Eigen::VectorXd flat =
      (Eigen::MatrixXd::Identity(20, 20) + flattening).lu().solve(found.curve.coefficients());
  stiff.curve = PeriodicSpline(720.0, 0.0, flat);
  const Functional asked[] = {{40.0, 0}, {60.0, 0}, {0.0, 0}, {90.0, 1}};
  const Eigen::MatrixXd expected = stiff.covariance(asked);
  const int trials = 20000;
  Eigen::MatrixXd errors(trials, 4);
  for (int t = 0; t < trials; ++t) {
    const SplineFit again = fit(read(truth, 36, 0.0, 720.0, 0.02, engine), o);
    for (int i = 0; i < 4; ++i) {
      errors(t, i) = again.curve.derivative(asked[i].x, asked[i].derivative) -
                     found.curve.derivative(asked[i].x, asked[i].derivative);
    }
  }
  const Eigen::MatrixXd sample = errors.transpose() * errors / trials;
  for (int i = 0; i < 4; ++i) {
    for (int k = 0; k < 4; ++k) {
      // Standard error of a mean of 20000 products: at most sqrt(2 / 20000) = 1 %; four of them.
      EXPECT_NEAR(sample(i, k), expected(i, k), 0.04 * std::sqrt(expected(i, i) * expected(k, k)));
    }
  }
}

TEST(SplineFit, CoversTheTruthAsOftenAsItSays) {
  std::mt19937_64 engine(6);
  SmoothingOptions o = over(720.0);
  int inside = 0;
  int asked = 0;
  for (int draw = 0; draw < 500; ++draw) {
    const Readings r = read(bump, 72, 0.0, 720.0, 0.005, engine);
    const SplineFit found = fit(r, o);
    const boost::math::students_t law(found.dof);
    const double k = boost::math::quantile(law, 0.975);
    for (double x = 5.0; x < 720.0; x += 30.0) {
      const Functional at[] = {{x, 0}};
      const double u = std::sqrt(found.covariance(at)(0, 0));
      inside += std::abs(found.curve.value(x) - bump(x)) <= k * u ? 1 : 0;
      ++asked;
    }
  }
  const double share = static_cast<double>(inside) / asked;
  RecordProperty("coverage", std::to_string(share));
  EXPECT_GT(share, 0.92);
  EXPECT_LT(share, 0.98);
}

TEST(SplineFit, CrossValidationComesCloseToTheLeastTrueError) {
  std::mt19937_64 engine(7);
  SmoothingOptions o = over(720.0);
  o.knots = 72;
  o.reject_outliers = false;
  double chosen_error = 0.0;
  double least_error = 0.0;
  for (int draw = 0; draw < 40; ++draw) {
    const Readings r = read(bump, 72, 0.0, 720.0, 0.02, engine);
    const auto error = [&](const PeriodicSpline& curve) {
      double sum = 0.0;
      for (const double x : r.x) {
        sum += std::pow(curve.value(x) - bump(x), 2);
      }
      return sum;
    };
    o.penalty.reset();
    const SplineFit found = fit(r, o);
    chosen_error += error(found.curve);
    double least = error(found.curve);
    for (double power = -4.0; power <= 4.0; power += 0.25) {
      o.penalty = found.penalty * std::pow(10.0, power);
      least = std::min(least, error(fit(r, o).curve));
    }
    least_error += least;
  }
  // Cross-validation tends to the least error as readings grow (Craven and Wahba 1979, theorem 4.3); with 72
  // readings and the best penalty picked after the fact for each draw, a third more squared error is what
  // remains on average.
  EXPECT_LT(chosen_error, 1.35 * least_error);
}

TEST(SplineFit, FlagsTheReadingsThatAreWrongAndNoOther) {
  std::mt19937_64 engine(8);
  for (int draw = 0; draw < 30; ++draw) {
    Readings r = read(bump, 72, 0.0, 720.0, 0.002, engine);
    r.y[10] += 0.05;
    r.y[40] -= 0.04;
    const SplineFit found = fit(r, over(720.0));
    ASSERT_TRUE(found.converged) << found.summary;
    EXPECT_TRUE(found.outlier[10]);
    EXPECT_TRUE(found.outlier[40]);
    EXPECT_LE(std::count(found.outlier.begin(), found.outlier.end(), true), 3);
    // 25 stated deviations over sqrt(1 + leverage), leverage between 0 and 1, less four deviations of the
    // noise
    EXPECT_GT(found.standardised_residuals[10], 25.0 / std::sqrt(2.0) - 4.0);
    EXPECT_LT(found.standardised_residuals[10], 25.0 + 4.0);
    EXPECT_NEAR(found.curve.value(r.x[10]), bump(r.x[10]), 0.006);
  }
}

TEST(SplineFit, StandsAGapOfHalfThePeriod) {
  std::mt19937_64 engine(9);
  const Readings r = read(bump, 72, -180.0, 180.0, 0.001, engine);
  const SplineFit found = fit(r, over(720.0));
  ASSERT_TRUE(found.converged) << found.summary;
  EXPECT_EQ(found.curve.knots(), 144U);
  EXPECT_NEAR(found.curve.value(0.0), 1.0, 0.003);
  const Functional places[] = {{0.0, 0}, {360.0, 0}};
  const Eigen::MatrixXd covariance = found.covariance(places);
  EXPECT_GT(covariance(1, 1), 100.0 * covariance(0, 0));  // where nothing was read, little is known
}

TEST(SplineFit, SaysWhyThereIsNoCurve) {
  const std::vector<double> x = {1.0, 721.0, 2.0, 3.0};
  const std::vector<double> y = {1.0, 3.0, 2.0, 2.0};
  const std::vector<double> u(4, 1.0);
  const SplineFit few = fit_periodic_spline(x, y, u, over(720.0));
  EXPECT_FALSE(few.converged);
  EXPECT_DOUBLE_EQ(few.curve.value(50.0), 2.0);
  EXPECT_NE(few.summary.find("4 or more places"), std::string::npos);
  const Functional at[] = {{0.0, 0}};
  EXPECT_THROW(few.covariance(at), std::logic_error);

  std::mt19937_64 engine(10);
  SmoothingOptions o = over(720.0);
  o.penalty = 0.0;
  const SplineFit loose = fit(read(bump, 72, -180.0, 180.0, 0.001, engine), o);
  EXPECT_FALSE(loose.converged);
  EXPECT_NE(loose.summary.find("undetermined"), std::string::npos);
}

TEST(SplineFit, RefusesWhatIsNoReading) {
  const std::vector<double> x = {1.0, 2.0, 3.0, 4.0, 5.0};
  std::vector<double> y(5, 1.0);
  std::vector<double> u(5, 1.0);
  EXPECT_THROW(fit_periodic_spline(x, y, std::vector<double>(4, 1.0), over(10.0)), std::invalid_argument);
  EXPECT_THROW(fit_periodic_spline(x, y, u, over(0.0)), std::invalid_argument);
  u[2] = 0.0;
  EXPECT_THROW(fit_periodic_spline(x, y, u, over(10.0)), std::invalid_argument);
  u[2] = 1.0;
  y[2] = std::nan("");
  EXPECT_THROW(fit_periodic_spline(x, y, u, over(10.0)), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::metrology
