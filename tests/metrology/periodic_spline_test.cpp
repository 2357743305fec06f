#include "metrology/periodic_spline.h"

#include <cmath>
#include <limits>
#include <random>

#include <gtest/gtest.h>

#include "metrology/spline_basis.h"
#include "metrology/spline_reference.h"

namespace fettle::metrology {
namespace {

PeriodicSpline any_spline(double period, double origin, Eigen::Index knots, unsigned seed) {
  std::mt19937_64 engine(seed);
  return {period, origin, reference::normals(engine, knots)};
}

TEST(PeriodicSpline, AgreesWithTheBSplineRecurrence) {
  const PeriodicSpline s = any_spline(7.0, 0.0, 14, 1);
  for (int order = 0; order <= 4; ++order) {
    for (double x = 0.013; x < 7.0; x += 0.171) {
      double expected = 0.0;
      for (int j = 0; j < 14; ++j) {
        expected += s.coefficients()[j] * reference::basis(x, j, 14, 7.0, order);
      }
      EXPECT_NEAR(s.derivative(x, order), expected, 1e-11 * std::pow(2.0, 2 * order)) << order << " at " << x;
      EXPECT_NEAR(s.basis(x, order).dot(s.coefficients()), expected, 1e-11 * std::pow(2.0, 2 * order));
    }
  }
}

TEST(PeriodicSpline, PenaltyGramAgreesWithQuadrature) {
  const Eigen::MatrixXd gram = reference::penalty_gram(16, 16.0);
  for (int m = 0; m <= 8; ++m) {
    const double expected = m <= 5 ? spline_basis::third_derivative_gram[static_cast<std::size_t>(m)] : 0.0;
    EXPECT_NEAR(gram(3, (3 + m) % 16), expected, 1e-13);
  }
}

TEST(PeriodicSpline, RepeatsItselfEveryPeriodAndIsSmoothAcrossTheSeam) {
  const PeriodicSpline s = any_spline(720.0, 13.0, 60, 2);
  for (const double x : {-1e-14, 0.0, 13.0, 100.7, 733.0}) {
    EXPECT_NEAR(s.value(x), s.value(x + 7200.0), 1e-11);
    EXPECT_NEAR(s.value(x), s.value(x - 1440.0), 1e-11);
  }
  for (int order = 0; order <= 4; ++order) {
    const double below = s.derivative(std::nextafter(13.0, 0.0), order);
    EXPECT_NEAR(below, s.derivative(13.0, order), 1e-12);
  }
}

TEST(PeriodicSpline, DerivativesAndIntegralAgreeWithDifferences) {
  const PeriodicSpline s = any_spline(10.0, 1.0, 20, 3);
  const double h = 1e-5;
  for (double x = -3.3; x < 12.0; x += 0.77) {
    for (int order = 1; order <= 4; ++order) {
      const double difference = (s.derivative(x + h, order - 1) - s.derivative(x - h, order - 1)) / (2.0 * h);
      EXPECT_NEAR(s.derivative(x, order), difference, 1e-6 * std::pow(2.0, 2 * order));
    }
    EXPECT_NEAR((s.integral(0.3, x + h) - s.integral(0.3, x - h)) / (2.0 * h), s.value(x), 1e-8);
  }
}

TEST(PeriodicSpline, IntegratesAcrossTheSeamAndOverManyPeriods) {
  const PeriodicSpline s = any_spline(10.0, 1.0, 20, 4);
  const double whole =
      s.coefficients().sum() * s.knot_spacing();  // each B-spline integrates to the knot spacing
  EXPECT_NEAR(s.integral(0.0, 10.0), whole, 1e-12);
  EXPECT_NEAR(s.integral(-25.0, 35.0), 6.0 * whole, 1e-11);
  EXPECT_NEAR(s.integral(1.0, 1.0 - 1e-15), 0.0, 1e-12);
  EXPECT_NEAR(s.integral(4.0, 9.5), -s.integral(9.5, 4.0), 1e-15);
  for (const double to : {0.0, 1.0, 3.7, 16.2, -8.8}) {
    EXPECT_NEAR(s.integral_basis(2.2, to).dot(s.coefficients()), s.integral(2.2, to), 1e-12);
  }
}

TEST(PeriodicSpline, RefusesWhatMakesNoCurve) {
  EXPECT_THROW(PeriodicSpline(0.0, 0.0, Eigen::VectorXd::Zero(20)), std::invalid_argument);
  EXPECT_THROW(PeriodicSpline(1.0, 0.0, Eigen::VectorXd::Zero(11)), std::invalid_argument);
  EXPECT_THROW(PeriodicSpline(1.0, 0.0, Eigen::VectorXd::Constant(20, std::nan(""))), std::invalid_argument);
  const PeriodicSpline s(1.0, 0.0, Eigen::VectorXd::Zero(20));
  EXPECT_THROW(s.derivative(0.0, 5), std::invalid_argument);
  EXPECT_THROW(s.value(std::numeric_limits<double>::infinity()), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::metrology
