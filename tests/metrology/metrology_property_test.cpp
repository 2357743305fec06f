#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

#include <Eigen/Dense>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "metrology/cyclic_band.h"
#include "metrology/decision.h"
#include "metrology/line_fit.h"
#include "metrology/periodic_spline.h"
#include "metrology/tool.h"
#include "metrology/uncertainty.h"

namespace fettle::metrology {
namespace {

/// A number in least..greatest, to a thousandth of that range.
rc::Gen<double> within(double least, double greatest) {
  return rc::gen::map(rc::gen::inRange(0, 1001),
                      [=](int step) { return least + (greatest - least) * step / 1000.0; });
}

/// Two to eight inputs of one or two components each.
std::vector<Input> some_inputs() {
  const int count = *rc::gen::inRange(2, 9);
  std::vector<Input> inputs;
  for (int i = 0; i < count; ++i) {
    Input input;
    input.label = std::to_string(i);
    input.estimate = *within(-5.0, 5.0);
    input.components.push_back(Component::normal("first", *within(0.01, 3.0), *within(1.0, 30.0)));
    if (*rc::gen::arbitrary<bool>()) {
      input.components.push_back(
          Component::rectangular_half_width("second", *within(0.0, 2.0), *within(2.0, 50.0)));
    }
    inputs.push_back(std::move(input));
  }
  return inputs;
}

std::vector<double> some_numbers(std::size_t count, double size) {
  std::vector<double> out;
  for (std::size_t i = 0; i < count; ++i) {
    out.push_back(*within(-size, size));
  }
  return out;
}

Model linear(std::vector<double> coefficients) {
  return [c = std::move(coefficients)](std::span<const double> x) {
    return std::vector<double>{std::inner_product(c.begin(), c.end(), x.begin(), 0.0)};
  };
}

/// A positive definite correlation matrix.
Eigen::MatrixXd some_correlation(std::size_t count) {
  const auto n = static_cast<Eigen::Index>(count);
  Eigen::MatrixXd b(n, n);
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index k = 0; k < n; ++k) {
      b(i, k) = *within(-1.0, 1.0) + (i == k ? 1.5 : 0.0);
    }
  }
  const Eigen::MatrixXd c = b * b.transpose();
  const Eigen::VectorXd unit = c.diagonal().cwiseSqrt().cwiseInverse();
  Eigen::MatrixXd r = unit.asDiagonal() * c * unit.asDiagonal();
  r.diagonal().setOnes();
  return r;
}

RC_GTEST_PROP(PropagationProperties, SharesSumToOne, ()) {
  const std::vector<Input> inputs = some_inputs();
  const std::vector<double> c = some_numbers(inputs.size(), 3.0);
  RC_PRE(std::any_of(c.begin(), c.end(), [](double v) { return v != 0.0; }));
  PropagationOptions options;
  if (*rc::gen::arbitrary<bool>()) {
    options.correlation = some_correlation(inputs.size());
  }
  // Curved, so that the shares do not come from a linear model alone.
  const Model model = [&](std::span<const double> x) {
    const double y = std::inner_product(c.begin(), c.end(), x.begin(), 0.0);
    return std::vector<double>{y + 0.01 * y * y};
  };
  const Propagation result = propagate(model, inputs, options);
  RC_ASSERT(result.converged);
  RC_PRE(result.outputs[0]->u > 1e-9);
  const auto& share = result.outputs[0]->share;
  RC_ASSERT(std::abs(std::accumulate(share.begin(), share.end(), 0.0) - 1.0) < 1e-9);
}

RC_GTEST_PROP(PropagationProperties, ScalingAllUncertaintiesScalesTheResultOfALinearModel, ()) {
  std::vector<Input> inputs = some_inputs();
  const Model model = linear(some_numbers(inputs.size(), 3.0));
  const double before = propagate(model, inputs).outputs[0]->u;
  const double factor = *within(0.1, 10.0);
  for (Input& input : inputs) {
    for (Component& component : input.components) {
      component.u *= factor;
    }
  }
  const double after = propagate(model, inputs).outputs[0]->u;
  RC_ASSERT(std::abs(after - factor * before) <= 1e-9 * (1.0 + factor * before));
}

RC_GTEST_PROP(PropagationProperties, DegreesOfFreedomLieBetweenTheLeastAndTheSum, ()) {
  const std::vector<Input> inputs = some_inputs();
  std::vector<double> c = some_numbers(inputs.size(), 3.0);
  for (double& v : c) {
    v += v < 0.0 ? -0.1 : 0.1;
  }
  double least = Component::known;
  double sum = 0.0;
  for (const Input& input : inputs) {
    for (const Component& component : input.components) {
      least = std::min(least, component.dof);
      sum += component.dof;
    }
  }
  const double dof = propagate(linear(c), inputs).outputs[0]->dof;
  RC_ASSERT(dof >= least * (1.0 - 1e-9));
  RC_ASSERT(dof <= sum * (1.0 + 1e-9));
}

RC_GTEST_PROP(PropagationProperties, ASharedOffsetCancelsInADifference, ()) {
  Tool tool;
  tool.permissible_error = *within(0.01, 2.0);
  std::vector<Input> inputs = bias_inputs(tool, "tool");
  Tool fine;
  fine.resolution = *within(0.001, 0.1);
  inputs.push_back(reading_input(fine, "a", std::vector<double>{*within(-5.0, 5.0)}));
  inputs.push_back(reading_input(fine, "b", std::vector<double>{*within(-5.0, 5.0)}));
  const Model difference = [&](std::span<const double> x) {
    return std::vector<double>{without_bias(tool, x[1], x.first(1)) - without_bias(tool, x[2], x.first(1))};
  };
  const Estimate y = *propagate(difference, inputs).outputs[0];
  RC_ASSERT(std::abs(y.contribution[0]) < 1e-14);  // rounding of numbers near 5
  RC_ASSERT(std::abs(y.u - std::sqrt(2.0) * inputs[1].u()) < 1e-12);
}

RC_GTEST_PROP(PropagationProperties, IndependentModesCarryTheWholeCovariance, ()) {
  const auto n = static_cast<Eigen::Index>(*rc::gen::inRange(1, 7));
  const auto rank = static_cast<Eigen::Index>(*rc::gen::inRange(1, 7));
  Eigen::MatrixXd b(n, rank);
  for (auto& v : b.reshaped()) {
    v = *within(-2.0, 2.0);
  }
  const Eigen::MatrixXd covariance = b * b.transpose();
  const Eigen::MatrixXd factor = modes(covariance);
  RC_ASSERT(factor.cols() <= std::min(n, rank));
  RC_ASSERT((factor * factor.transpose() - covariance).cwiseAbs().maxCoeff() < 1e-9);
}

int rank(Verdict verdict) {
  return verdict == Verdict::fails ? 0 : verdict == Verdict::too_close ? 1 : 2;
}

RC_GTEST_PROP(DecisionProperties, VerdictNeverGetsWorseAsTheValueMovesInward, ()) {
  const double limit = *within(-1.0, 1.0);
  const double expanded = *within(0.0, 1.0);
  const double value = *within(-3.0, 3.0);
  const double more = value + *within(0.0, 2.0);
  RC_ASSERT(rank(decide(more, expanded, {limit, {}})) >= rank(decide(value, expanded, {limit, {}})));
  RC_ASSERT(rank(decide(more, expanded, {{}, limit})) <= rank(decide(value, expanded, {{}, limit})));
}

RC_GTEST_PROP(DecisionProperties, MoreUncertaintyNeverSettlesWhatWasTooClose, ()) {
  const LimitInterval limit{-1.0, 1.0};
  const double value = *within(-3.0, 3.0);
  const double expanded = *within(0.0, 1.0);
  if (decide(value, expanded, limit) == Verdict::too_close) {
    RC_ASSERT(decide(value, expanded + *within(0.0, 2.0), limit) == Verdict::too_close);
  }
}

RC_GTEST_PROP(DecisionProperties, WhatHoldsConformsWithAtLeastTheCoverageProbability, ()) {
  const double value = *within(-3.0, 3.0);
  const double u = *within(0.001, 1.0);
  const LimitInterval limit{-1.0, 1.0};
  if (decide(value, 1.96 * u, limit) == Verdict::holds) {
    RC_ASSERT(conformity_probability(value, u, Component::known, limit) >= 0.95 - 1e-3);
  }
}

/// Diagonally dominant, hence positive definite.
CyclicBandMatrix some_band_matrix(std::size_t n) {
  CyclicBandMatrix matrix;
  matrix.column.resize(n);
  for (auto& column : matrix.column) {
    for (double& v : column) {
      v = *within(-1.0, 1.0);
    }
    column[0] = *within(10.5, 12.0);
  }
  return matrix;
}

Eigen::MatrixXd dense(const CyclicBandMatrix& matrix) {
  const std::size_t n = matrix.size();
  Eigen::MatrixXd out = Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(n), static_cast<Eigen::Index>(n));
  for (std::size_t j = 0; j < n; ++j) {
    for (std::size_t k = 0; k <= CyclicBandMatrix::half_bandwidth; ++k) {
      const auto a = static_cast<Eigen::Index>(j);
      const auto b = static_cast<Eigen::Index>((j + k) % n);
      out(a, b) = matrix.column[j][k];
      out(b, a) = matrix.column[j][k];
    }
  }
  return out;
}

RC_GTEST_PROP(CyclicBandProperties, SolvesAndInvertsAsDenseAlgebraDoes, ()) {
  const auto n = *rc::gen::inRange<std::size_t>(11, 40);
  const CyclicBandMatrix matrix = some_band_matrix(n);
  const auto factor = CyclicBandCholesky::factor(matrix);
  RC_ASSERT(factor.has_value());
  const Eigen::MatrixXd full = dense(matrix);
  const Eigen::MatrixXd inverse = full.inverse();
  const std::vector<double> numbers = some_numbers(n, 1.0);
  const Eigen::VectorXd b = Eigen::Map<const Eigen::VectorXd>(numbers.data(), static_cast<Eigen::Index>(n));
  RC_ASSERT((factor->solve(b) - inverse * b).norm() < 1e-11);
  RC_ASSERT(std::abs(factor->solve_lower(b).squaredNorm() - b.dot(inverse * b)) < 1e-11);
  const CyclicBandMatrix selected = factor->selected_inverse();
  for (std::size_t j = 0; j < n; ++j) {
    for (std::size_t k = 0; k <= CyclicBandMatrix::half_bandwidth; ++k) {
      const double expected = inverse(static_cast<Eigen::Index>(j), static_cast<Eigen::Index>((j + k) % n));
      RC_ASSERT(std::abs(selected.column[j][k] - expected) < 1e-11);
    }
  }
  RC_ASSERT(std::abs(selected.inner_product(matrix) - static_cast<double>(n)) < 1e-9);
}

RC_GTEST_PROP(SplineProperties, TheFitAtAGivenPenaltyIsLinearAndTurnsWithItsReadings, ()) {
  SmoothingOptions options;
  options.period = 4.0;
  options.knots = 16;
  options.penalty = 1e-4;
  options.reject_outliers = false;
  const auto n = *rc::gen::inRange<std::size_t>(20, 50);
  std::vector<double> x;
  std::vector<double> turned;
  for (std::size_t i = 0; i < n; ++i) {
    x.push_back(4.0 * static_cast<double>(i) / static_cast<double>(n) + *within(0.0, 0.05));
    turned.push_back(x[i] + 4.0 * *rc::gen::inRange(-3, 4));
  }
  const std::vector<double> y = some_numbers(n, 1.0);
  const std::vector<double> z = some_numbers(n, 1.0);
  std::vector<double> both(n);
  std::transform(y.begin(), y.end(), z.begin(), both.begin(), [](double a, double b) { return 2.0 * a - b; });
  const std::vector<double> u(n, 0.1);
  const auto coefficients = [&](const std::vector<double>& places, const std::vector<double>& values) {
    return fit_periodic_spline(places, values, u, options).curve.coefficients();
  };
  RC_ASSERT((coefficients(x, both) - 2.0 * coefficients(x, y) + coefficients(x, z)).norm() < 1e-8);
  RC_ASSERT((coefficients(turned, y) - coefficients(x, y)).norm() < 1e-8);
}

RC_GTEST_PROP(LineProperties, ALineMovesWithItsReadings, ()) {
  const auto n = *rc::gen::inRange<std::size_t>(5, 20);
  std::vector<double> x;
  for (std::size_t i = 0; i < n; ++i) {
    x.push_back(static_cast<double>(i) + *within(0.0, 0.5));
  }
  const std::vector<double> y = some_numbers(n, 1.0);
  const double a = *within(-5.0, 5.0);
  const double b = *within(-5.0, 5.0);
  std::vector<double> moved(n);
  std::transform(x.begin(), x.end(), y.begin(), moved.begin(),
                 [&](double p, double q) { return q + a + b * p; });
  const LineFit before = fit_line(x, y);
  const LineFit after = fit_line(x, moved);
  RC_ASSERT(std::abs(after.slope - before.slope - b) < 1e-10);
  RC_ASSERT(std::abs(after.intercept - before.intercept - a) < 1e-10);
  RC_ASSERT(std::abs(after.u_slope - before.u_slope) < 1e-10);
}

}  // namespace
}  // namespace fettle::metrology
