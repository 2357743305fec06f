#include "mechanism/lobe_sweep.h"

#include <algorithm>
#include <cmath>
#include <random>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "mechanism/circular.h"
#include "mechanism/lobe_card.h"
#include "mechanism/units.h"
#include "metrology/uncertainty.h"

namespace fettle::mechanism::test {
namespace {

using metrology::PeriodicSpline;

const PeriodicSpline& truth() {
  static const PeriodicSpline made = *synthesise_lobe(symmetric_card(0.300 * inch, 108 * degree,
                                                                     {{0.006 * inch, 268 * degree},
                                                                      {0.050 * inch, 218 * degree},
                                                                      {0.200 * inch, 132 * degree}}))
                                          .curve;
  return made;
}

std::vector<SweepPoint> sweep(double from, double step, int count, double lift_u, double angle_u) {
  std::vector<SweepPoint> points;
  for (int i = 0; i < count; ++i) {
    const double x = from + step * i;
    points.push_back({x, truth().value(x), lift_u, angle_u});
  }
  return points;
}

TEST(LobeSweep, AFineCleanSweepReturnsTheCardWithinAHundredthOfADegree) {
  const auto points = sweep(-180 * degree, 1 * degree, 720, 0.0001 * inch, 0.0);
  const SweepFit fit = fit_lobe_sweep(points);
  ASSERT_TRUE(fit.fit.converged) << fit.fit.summary;
  const LobeReduction lobe = reduce_lobe(fit.fit.curve, {.covered = fit.covered});
  ASSERT_TRUE(lobe.found) << lobe.summary;
  EXPECT_NEAR(lobe.checks[0].opening->angle / degree, -26, 0.01);
  EXPECT_NEAR(lobe.checks[0].closing->angle / degree, 242, 0.01);
  EXPECT_NEAR(lobe.checks[2].opening->angle / degree, -1, 0.01);
  EXPECT_NEAR(lobe.checks[2].closing->angle / degree, 217, 0.01);
  EXPECT_NEAR(lobe.checks[4].opening->angle / degree, 42, 0.01);
  EXPECT_NEAR(*lobe.checks[4].centreline / degree, 108, 0.01);
  EXPECT_NEAR(lobe.top / degree, 108, 0.05);
  EXPECT_NEAR(lobe.max_lift / inch, 0.300, 1e-5);
}

struct Coverage {
  int draws = 0;
  double centreline95 = 0.0;
  double duration95 = 0.0;
  double centreline_inside = 0.0;
  double duration_inside = 0.0;
  double top_inside = 0.0;
  double lift_inside = 0.0;
};

double quantile95(std::vector<double> errors) {
  std::sort(errors.begin(), errors.end());
  return errors[static_cast<std::size_t>(0.95 * static_cast<double>(errors.size()))];
}

// One turn by hand: 72 points 5 crank degrees apart, half a thousandth of an inch, a quarter of a degree.
Coverage draw_sweeps(int draws) {
  std::mt19937_64 random(5);
  std::normal_distribution<double> normal;
  Coverage out;
  out.draws = draws;
  std::vector<double> centrelines;
  std::vector<double> durations;
  for (int draw = 0; draw < draws; ++draw) {
    const double start = -70 * degree + 5 * degree * std::uniform_real_distribution<double>(0, 1)(random);
    auto points = sweep(start, 5 * degree, 72, 0.0005 * inch, 0.25 * degree);
    for (SweepPoint& point : points) {
      point.lift =
          truth().value(point.crank_angle + point.angle_u * normal(random)) + point.lift_u * normal(random);
    }
    const SweepFit fit = fit_lobe_sweep(points);
    const LobeReduction lobe = reduce_lobe(fit.fit.curve, {.covered = fit.covered});
    if (!lobe.found || !lobe.checks[2].duration) {
      ADD_FAILURE() << lobe.summary;
      return out;
    }
    const LobeCovariance covariance = lobe_covariance(lobe, fit.fit);
    const double centreline = std::abs(*lobe.checks[2].centreline - 108 * degree);
    const double duration = std::abs(*lobe.checks[2].duration - 218 * degree);
    centrelines.push_back(centreline / degree);
    durations.push_back(duration / degree);
    const auto inside = [&](double error, double u) {
      return std::abs(error) < 1.96 * u ? 1.0 / draws : 0.0;
    };
    out.centreline_inside += inside(centreline, covariance.centreline_u(2));
    out.duration_inside += inside(duration, covariance.duration_u(2));
    out.top_inside += inside(lobe.top - 108 * degree, covariance.standard_uncertainty(LobeCovariance::top()));
    out.lift_inside +=
        inside(lobe.max_lift - 0.300 * inch, covariance.standard_uncertainty(LobeCovariance::max_lift()));
  }
  out.centreline95 = quantile95(centrelines);
  out.duration95 = quantile95(durations);
  return out;
}

TEST(LobeSweep, AHandSweepOfOneTurnFindsCentrelineAndDuration) {
  const Coverage coverage = draw_sweeps(500);
  EXPECT_LT(coverage.centreline95, 0.3);
  EXPECT_LT(coverage.duration95, 0.6);
  // Nominal 95 % intervals of the propagated covariance; 500 draws know a share of 0.95 to 0.01, and the bias
  // of a smoother is covered on average over the curve, not at each place of it.
  EXPECT_GT(coverage.centreline_inside, 0.90);
  EXPECT_GT(coverage.duration_inside, 0.90);
  EXPECT_GT(coverage.top_inside, 0.90);
  EXPECT_GT(coverage.lift_inside, 0.88);
  RecordProperty("centreline95_deg", std::to_string(coverage.centreline95));
  RecordProperty("duration95_deg", std::to_string(coverage.duration95));
}

// First-order propagation against differences: the fit's coefficients are moved and the reduction repeated.
TEST(LobeSweep, CovarianceFollowsTheReductionsOwnDerivatives) {
  auto points = sweep(-180 * degree, 5 * degree, 144, 0.0005 * inch, 0.0);
  const SweepFit fit = fit_lobe_sweep(points);
  const LobeReduction lobe = reduce_lobe(fit.fit.curve);
  const LobeCovariance covariance = lobe_covariance(lobe, fit.fit);
  std::mt19937_64 random(11);
  std::normal_distribution<double> normal;
  constexpr int draws = 4000;
  const Eigen::Index features = covariance.matrix.rows();
  const auto features_of = [&](const LobeReduction& r) {
    Eigen::VectorXd f(features);
    f[0] = r.base_level;
    f[1] = r.max_lift;
    f[2] = r.top;
    for (std::size_t i = 0; i < r.checks.size(); ++i) {
      f[LobeCovariance::opening(i)] = r.checks[i].opening->angle;
      f[LobeCovariance::closing(i)] = r.checks[i].closing->angle;
    }
    for (std::size_t i = 0; i < r.drops.size(); ++i) {
      f[covariance.before(i)] = r.drops[i].before->angle;
      f[covariance.after(i)] = r.drops[i].after->angle;
    }
    return f;
  };
  const Eigen::VectorXd centre = features_of(lobe);
  const auto coefficients = fit.fit.curve.coefficients().size();
  const Eigen::MatrixXd factor =
      metrology::modes(fit.fit.covariance_of_rows(Eigen::MatrixXd::Identity(coefficients, coefficients)));
  Eigen::MatrixXd sum = Eigen::MatrixXd::Zero(features, features);
  for (int draw = 0; draw < draws; ++draw) {
    Eigen::VectorXd standard(factor.cols());
    for (double& z : standard) {
      z = normal(random);
    }
    // A hundredth of the spread stays within first order.
    const Eigen::VectorXd moved = fit.fit.curve.coefficients() + 0.01 * factor * standard;
    const Eigen::VectorXd d = features_of(reduce_lobe(fit.fit.curve.with_coefficients(moved))) - centre;
    sum += 1e4 / draws * d * d.transpose();
  }
  for (Eigen::Index i = 0; i < features; ++i) {
    for (Eigen::Index j = 0; j < features; ++j) {
      const double scale = std::sqrt(covariance.matrix(i, i) * covariance.matrix(j, j));
      EXPECT_NEAR(sum(i, j) / scale, covariance.matrix(i, j) / scale, 0.08) << i << " " << j;
    }
  }
}

TEST(LobeSweep, CoveredArcsStopAtGapsAndCloseRoundTheCycle) {
  EXPECT_EQ(covered_arcs(sweep(0, 5 * degree, 144, 1, 0), full_cycle, 15 * degree).size(), 1U);
  const auto one = covered_arcs(sweep(-70 * degree, 5 * degree, 72, 1, 0), full_cycle, 15 * degree);
  ASSERT_EQ(one.size(), 1U);
  EXPECT_NEAR(wrap_centred(one[0].from, full_cycle) / degree, -70, 1e-9);
  EXPECT_NEAR((one[0].to - one[0].from) / degree, 355, 1e-9);
  auto points = sweep(0, 5 * degree, 10, 1, 0);
  const auto second = sweep(200 * degree, 5 * degree, 10, 1, 0);
  points.insert(points.end(), second.begin(), second.end());
  const auto two = covered_arcs(points, full_cycle, 15 * degree);
  ASSERT_EQ(two.size(), 2U);
  EXPECT_NEAR((two[0].to - two[0].from) / degree, 45, 1e-9);
  EXPECT_NEAR((two[1].to - two[1].from) / degree, 45, 1e-9);
  EXPECT_TRUE(covered_arcs(sweep(0, 1, 1, 1, 0), full_cycle, 0.1).empty());
}

TEST(LobeSweep, TheWheelsDoubtWeighsOnTheFlanksAlone) {
  const auto points = sweep(-180 * degree, 5 * degree, 144, 0.0005 * inch, 0.25 * degree);
  const SweepFit fit = fit_lobe_sweep(points);
  double least = 1.0;
  double greatest = 0.0;
  for (const double u : fit.effective_u) {
    least = std::min(least, u);
    greatest = std::max(greatest, u);
  }
  EXPECT_NEAR(least / inch, 0.0005, 1e-6);
  // Steepest flank, about 0.0037 in a crank degree, by a quarter of a degree.
  const LobeReduction lobe = reduce_lobe(fit.fit.curve);
  EXPECT_NEAR(greatest, std::hypot(0.0005 * inch, lobe.opening_velocity * 0.25 * degree), 2e-6);
}

TEST(LobeSweep, SlackIsFoundFromABackwardPass) {
  const LobeReduction lobe = reduce_lobe(truth());
  const double slack = 1.5 * degree;
  auto backward = sweep(-100 * degree, 5 * degree, 72, 0.0005 * inch, 0.1 * degree);
  for (SweepPoint& point : backward) {
    point.lift = truth().value(point.crank_angle + slack);  // the crank stands farther back for the same lift
  }
  const auto estimate = slack_between(lobe, truth(), backward);
  ASSERT_TRUE(estimate);
  EXPECT_NEAR(estimate->slack / degree, 1.5, 1e-6);
  EXPECT_NEAR(*estimate->opening_flank / degree, 1.5, 1e-6);
  EXPECT_NEAR(*estimate->closing_flank / degree, 1.5, 1e-6);
  EXPECT_LT(estimate->scatter / degree, 1e-6);
  EXPECT_GT(estimate->points, 15);

  std::mt19937_64 random(3);
  std::normal_distribution<double> normal;
  for (SweepPoint& point : backward) {
    point.lift = truth().value(point.crank_angle + slack + 0.25 * degree * normal(random));
  }
  const auto noisy = slack_between(lobe, truth(), backward);
  EXPECT_NEAR(noisy->slack, slack, 4 * noisy->u);
  EXPECT_NEAR(noisy->scatter / degree, 0.25, 0.1);

  EXPECT_FALSE(slack_between(lobe, truth(), std::vector<SweepPoint>(1, backward[30])));
}

TEST(LobeSweep, TooFewPointsAreSaidToBeSo) {
  EXPECT_FALSE(fit_lobe_sweep(sweep(0, 5 * degree, 3, 1e-5, 0)).fit.converged);
  EXPECT_THROW(fit_lobe_sweep(sweep(0, 0.1, 9, 1e-5, -1.0)), std::invalid_argument);
  EXPECT_THROW(fit_lobe_sweep(sweep(0, 0.1, 9, 1e-5, 0), {.greatest_gap = 0.0}), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::mechanism::test
