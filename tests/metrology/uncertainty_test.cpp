#include "metrology/uncertainty.h"

#include <cmath>
#include <limits>
#include <numeric>
#include <vector>

#include <gtest/gtest.h>

#include "metrology/student.h"

namespace fettle::metrology {
namespace {

Input input(std::string label, double estimate, std::vector<Component> components) {
  return {std::move(label), std::move(components), estimate};
}

// JCGM 100:2008, H.1 (end gauge): l = ls + d - ls (da theta + as dtheta), lengths in nanometres.
std::vector<Input> end_gauge_inputs() {
  return {input("ls", 50000623.0, {Component::normal("certificate", 25.0, 18.0)}),
          input("d", 215.0,
                {Component::normal("repeats", 5.8, 24.0), Component::normal("comparator, random", 3.9, 5.0),
                 Component::normal("comparator, systematic", 6.7, 8.0)}),
          input("da", 0.0, {Component::rectangular_half_width("expansion difference", 1e-6, 50.0)}),
          input("theta", -0.1,
                {Component::normal("bed temperature", 0.2), Component::arcsine_half_width("cycling", 0.5)}),
          input("as", 11.5e-6, {Component::rectangular_half_width("expansion", 2e-6)}),
          input("dtheta", 0.0, {Component::rectangular_half_width("temperature difference", 0.05, 2.0)})};
}

std::vector<double> end_gauge(std::span<const double> x) {
  return {x[0] + x[1] - x[0] * (x[2] * x[3] + x[4] * x[5])};
}

TEST(Propagation, ReproducesTheEndGauge) {
  const std::vector<Input> inputs = end_gauge_inputs();
  PropagationOptions options;
  options.second_order = true;
  options.coverage_probability = 0.99;
  const Propagation result = propagate(end_gauge, inputs, options);
  ASSERT_TRUE(result.converged) << result.summary;
  const Estimate& l = *result.outputs[0];
  EXPECT_NEAR(l.value, 50000838.0, 0.5);  // printed 50.000 838 mm
  EXPECT_NEAR(inputs[1].u(), 9.7, 0.05);  // H.1.3.2
  // Printed 25.6 from the rounded 9.7 (H.1.6); from the unrounded 9.682 the same formula gives 25.45.
  EXPECT_NEAR(inputs[1].dof() * std::pow(9.7 / inputs[1].u(), 4), 25.6, 0.05);
  EXPECT_NEAR(inputs[1].dof(), 25.45, 0.005);
  EXPECT_NEAR(inputs[3].u(), 0.41, 0.005);               // H.1.3.4
  EXPECT_NEAR(l.u, 32.0, 0.5);                           // H.1.5
  EXPECT_NEAR(l.u, 31.66, 0.005);                        // recomputed
  EXPECT_NEAR(l.dof, 16.75, 0.005);                      // recomputed unrounded; printed truncated to 16
  EXPECT_NEAR(std::abs(l.contribution[5]), 16.6, 0.05);  // H.1.3.6: 50 000 623 x 11.5e-6 x 0.029
  EXPECT_NEAR(coverage_factor(0.99, std::floor(l.dof)), 2.92, 0.005);  // H.1.6, table G.2
  EXPECT_NEAR(coverage_factor(0.99, 16.0) * 32.0, 93.0, 0.5);  // U99 from the rounded numbers, as printed
  EXPECT_NEAR(coverage_factor(0.99, 16.0) * l.u, 92.5, 0.05);  // recomputed
  ASSERT_TRUE(l.second_order_u.has_value());
  EXPECT_NEAR(*l.second_order_u, 34.0, 0.5);     // H.1.7
  EXPECT_NEAR(*l.second_order_u, 33.81, 0.005);  // recomputed unrounded (33.91 from u rounded to two digits)
}

// JCGM 100:2008, H.2, table H.2: five simultaneous observations.
constexpr double voltage[] = {5.007, 4.994, 5.005, 4.990, 4.999};
constexpr double current[] = {19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3};
constexpr double phase[] = {1.0456, 1.0438, 1.0468, 1.0428, 1.0433};

double mean(std::span<const double> v) {
  return std::accumulate(v.begin(), v.end(), 0.0) / static_cast<double>(v.size());
}

double correlation(std::span<const double> a, std::span<const double> b) {
  double ab = 0.0;
  double aa = 0.0;
  double bb = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    ab += (a[i] - mean(a)) * (b[i] - mean(b));
    aa += (a[i] - mean(a)) * (a[i] - mean(a));
    bb += (b[i] - mean(b)) * (b[i] - mean(b));
  }
  return ab / std::sqrt(aa * bb);
}

std::vector<double> impedance(std::span<const double> x) {
  return {x[0] / x[1] * std::cos(x[2]), x[0] / x[1] * std::sin(x[2]), x[0] / x[1]};
}

std::vector<Input> impedance_inputs() {
  return {input("V", mean(voltage), {Component::from_repeats("V", voltage)}),
          input("I", mean(current), {Component::from_repeats("I", current)}),
          input("phi", mean(phase), {Component::from_repeats("phi", phase)})};
}

TEST(Propagation, ReproducesResistanceAndReactanceFromCorrelatedInputs) {
  PropagationOptions options;
  Eigen::Matrix3d r = Eigen::Matrix3d::Identity();
  r(0, 1) = r(1, 0) = correlation(voltage, current);
  r(0, 2) = r(2, 0) = correlation(voltage, phase);
  r(1, 2) = r(2, 1) = correlation(current, phase);
  EXPECT_NEAR(r(0, 1), -0.36, 0.005);  // table H.2
  EXPECT_NEAR(r(0, 2), 0.86, 0.005);
  EXPECT_NEAR(r(1, 2), -0.65, 0.005);
  options.correlation = r;
  const Propagation result = propagate(impedance, impedance_inputs(), options);
  ASSERT_TRUE(result.converged);
  const auto u = [&](std::size_t k) { return result.outputs[k]->u; };
  const auto output_correlation = [&](Eigen::Index a, Eigen::Index b) {
    return result.covariance(a, b) / std::sqrt(result.covariance(a, a) * result.covariance(b, b));
  };
  // Table H.3
  EXPECT_NEAR(result.outputs[0]->value, 127.732, 0.0005);
  EXPECT_NEAR(result.outputs[1]->value, 219.847, 0.0005);
  EXPECT_NEAR(result.outputs[2]->value, 254.260, 0.0005);
  EXPECT_NEAR(u(0), 0.071, 0.0005);
  EXPECT_NEAR(u(1), 0.295,
              0.001);  // printed 0.295; recomputed 0.2956 (the print rounds the correlations first)
  EXPECT_NEAR(u(2), 0.236, 0.0005);
  EXPECT_NEAR(output_correlation(0, 1), -0.588, 0.0005);
  EXPECT_NEAR(output_correlation(0, 2), -0.485, 0.0005);
  EXPECT_NEAR(output_correlation(1, 2), 0.993, 0.001);
  // Recomputed
  EXPECT_NEAR(u(0), 0.0711, 0.00005);
  EXPECT_NEAR(u(1), 0.2956, 0.00005);
  EXPECT_NEAR(u(2), 0.2363, 0.00005);
  EXPECT_NEAR(output_correlation(1, 2), 0.9925, 0.00005);
  // All three inputs come from the same five observations: four degrees of freedom for any function of them.
  EXPECT_NEAR(result.outputs[0]->dof, 4.0, 1e-9);
}

TEST(Propagation, DroppingTheCorrelationsGivesWhatTheGuideWarnsOf) {
  const Propagation result = propagate(impedance, impedance_inputs());
  EXPECT_NEAR(result.outputs[0]->u, 0.1945,
              0.00005);  // recomputed, JCGM 100:2008 H.2 with the correlations left out
  EXPECT_NEAR(result.outputs[1]->u, 0.2009, 0.00005);
  EXPECT_NEAR(result.outputs[2]->u, 0.2041, 0.00005);
}

TEST(Propagation, ReproducesTheEffectiveDegreesOfFreedomExample) {
  // JCGM 100:2008, G.4.1 example: Y = X1 X2 X3, relative uncertainties 0.25, 0.57, 0.82 % with n = 10, 5, 15.
  const std::vector<Input> inputs = {input("X1", 2.0, {Component::normal("", 0.0025 * 2.0, 9.0)}),
                                     input("X2", 3.0, {Component::normal("", 0.0057 * 3.0, 4.0)}),
                                     input("X3", 5.0, {Component::normal("", 0.0082 * 5.0, 14.0)})};
  const Propagation result =
      propagate([](std::span<const double> x) { return std::vector<double>{x[0] * x[1] * x[2]}; }, inputs);
  EXPECT_NEAR(result.outputs[0]->u / 30.0, 0.0103, 0.00005);
  EXPECT_NEAR(result.outputs[0]->dof, 19.0, 0.05);
  EXPECT_NEAR(result.outputs[0]->expanded / 30.0, 0.022, 0.0005);
}

TEST(Propagation, SharesFollowTheContributions) {
  const std::vector<Input> inputs = {input("a", 0.0, {Component::normal("a", 3.0)}),
                                     input("b", 0.0, {Component::normal("b", 4.0)}), input("c", 7.0, {})};
  const Propagation result =
      propagate([](std::span<const double> x) { return std::vector<double>{x[2] + x[0] - x[1]}; }, inputs);
  const Estimate& y = *result.outputs[0];
  EXPECT_NEAR(y.u, 5.0, 1e-12);
  EXPECT_NEAR(y.contribution[0], 3.0, 1e-12);
  EXPECT_NEAR(y.contribution[1], -4.0, 1e-12);
  EXPECT_NEAR(y.share[0], 0.36, 1e-12);
  EXPECT_NEAR(y.share[1], 0.64, 1e-12);
  EXPECT_EQ(y.share[2], 0.0);
  EXPECT_TRUE(std::isinf(y.dof));
  EXPECT_NEAR(y.coverage_factor, 1.959964, 1e-6);
}

TEST(Propagation, PerturbsOnlyWhatMayMatter) {
  const std::vector<Input> inputs = {input("a", 0.0, {Component::normal("a", 1.0)}),
                                     input("b", 0.0, {Component::normal("b", 1.0)}), input("c", 0.0, {})};
  int calls = 0;
  PropagationOptions options;
  options.which = std::vector<std::size_t>{1, 1, 2};
  const Propagation result = propagate(
      [&](std::span<const double> x) {
        ++calls;
        return std::vector<double>{x[0] + x[1]};
      },
      inputs, options);
  EXPECT_EQ(calls, 3);
  EXPECT_NEAR(result.outputs[0]->u, 1.0, 1e-15);
}

TEST(Propagation, SaysWhichOutputCouldNotBeObtained) {
  const std::vector<Input> inputs = {input("gap", 0.0, {Component::normal("gap", 1.0)}),
                                     input("ramp", 0.5, {Component::normal("ramp", 1.0)})};
  const Propagation result = propagate(
      [](std::span<const double> x) {
        const double nothing = std::numeric_limits<double>::quiet_NaN();
        return std::vector<double>{x[0] == 0.0 ? 1.0 : nothing,        // lost on both sides
                                   x[1] < 0.0 ? nothing : 2.0 * x[1],  // lost on one side
                                   nothing, x[0]};
      },
      inputs);
  EXPECT_FALSE(result.converged);
  EXPECT_FALSE(result.outputs[0].has_value());
  EXPECT_NE(result.problems[0].find("'gap'"), std::string::npos);
  ASSERT_TRUE(result.outputs[1].has_value());
  EXPECT_NEAR(result.outputs[1]->u, 2.0, 1e-12);
  EXPECT_NE(result.summary.find("1 one-sided"), std::string::npos);
  EXPECT_NE(result.problems[2].find("at the estimates"), std::string::npos);
  EXPECT_NEAR(result.outputs[3]->u, 1.0, 1e-12);
  EXPECT_TRUE(result.covariance.allFinite());
}

TEST(Propagation, SaysSoWhenTheNumberOfOutputsChanges) {
  const std::vector<Input> inputs = {input("a", 0.0, {Component::normal("a", 1.0)})};
  const Propagation result = propagate(
      [](std::span<const double> x) { return std::vector<double>(x[0] > 0.0 ? 2U : 1U, 1.0); }, inputs);
  EXPECT_FALSE(result.converged);
  EXPECT_FALSE(result.outputs[0].has_value());
  EXPECT_NE(result.summary.find("number of outputs changes when 'a'"), std::string::npos);
}

TEST(Propagation, RefusesWhatIsNoInput) {
  const Model model = [](std::span<const double> x) { return std::vector<double>{x[0]}; };
  const std::vector<Input> good = {input("a", 0.0, {Component::normal("a", 1.0)})};
  EXPECT_THROW(Component::normal("a", -1.0), std::invalid_argument);
  EXPECT_THROW(Component::normal("a", 1.0, 0.0), std::invalid_argument);
  EXPECT_THROW(Component::from_repeats("a", std::vector<double>{1.0}), std::invalid_argument);
  EXPECT_THROW(propagate(model, std::vector<Input>{input("a", std::nan(""), {})}), std::invalid_argument);
  PropagationOptions options;
  options.which = std::vector<std::size_t>{1};
  EXPECT_THROW(propagate(model, good, options), std::invalid_argument);
  options.which.reset();
  options.correlation = Eigen::MatrixXd::Identity(2, 2);
  EXPECT_THROW(propagate(model, good, options), std::invalid_argument);
}

TEST(Components, HaveTheStandardUncertaintyOfTheirDistribution) {
  EXPECT_NEAR(Component::rectangular_half_width("", 3.0).u, std::sqrt(3.0), 1e-15);
  EXPECT_NEAR(Component::triangular_half_width("", 6.0).u, std::sqrt(6.0), 1e-15);
  EXPECT_NEAR(Component::arcsine_half_width("", 2.0).u, std::sqrt(2.0), 1e-15);
  EXPECT_NEAR(Component::resolution("", 1.0).u, 0.29, 0.005);  // JCGM 100:2008, F.2.2.1: 0.29 of the step
  const Component mean_of_four = Component::from_repeats("", std::vector<double>{1.0, 3.0, 1.0, 3.0});
  EXPECT_NEAR(mean_of_four.u, std::sqrt(4.0 / 3.0 / 4.0), 1e-15);
  EXPECT_EQ(mean_of_four.dof, 3.0);
}

TEST(Modes, RebuildTheCovariance) {
  Eigen::Matrix3d c;
  c << 4.0, 1e-3, -2.0, 1e-3, 1e-6, 2e-4, -2.0, 2e-4, 3.0;
  const Eigen::MatrixXd f = modes(c);
  EXPECT_EQ(f.cols(), 3);
  EXPECT_LT((f * f.transpose() - c).cwiseAbs().maxCoeff(), 1e-12);
}

TEST(Modes, HaveNoneForDirectionsWithoutVariance) {
  const Eigen::Vector3d a(1.0, 2.0, -1.0);
  const Eigen::Vector3d b(0.5, 0.0, 3.0);
  const Eigen::Matrix3d c = a * a.transpose() + b * b.transpose();
  const Eigen::MatrixXd f = modes(c);
  EXPECT_EQ(f.cols(), 2);
  EXPECT_LT((f * f.transpose() - c).norm(), 1e-12);
  EXPECT_EQ(modes(Eigen::Matrix2d::Zero()).cols(), 0);
  EXPECT_THROW(modes(-Eigen::Matrix2d::Identity()), std::invalid_argument);
  Eigen::Matrix2d beyond;
  beyond << 1.0, 1.5, 1.5, 1.0;
  EXPECT_THROW(modes(beyond), std::invalid_argument);
}

TEST(Modes, OfABlockCarryItsCovarianceAndItsDegreesOfFreedomOnce) {
  CovarianceBlock block{"fit", Eigen::Vector2d(10.0, 20.0), Eigen::Matrix2d::Identity(), 7.0};
  block.covariance << 2.0, 0.5, 0.5, 1.0;
  const BlockInputs inputs = independent_inputs(block, 1);
  const Propagation result = propagate(
      [&](std::span<const double> z) {
        const Eigen::VectorXd v = inputs.values(z);
        return std::vector<double>{v[0] + v[1], v[0]};
      },
      inputs.inputs);
  EXPECT_NEAR(result.outputs[0]->value, 30.0, 1e-12);
  EXPECT_NEAR(result.outputs[0]->u, 2.0, 1e-12);
  EXPECT_NEAR(result.outputs[0]->dof, 7.0, 1e-9);
  EXPECT_NEAR(result.covariance(0, 1), 2.5, 1e-12);
}

}  // namespace
}  // namespace fettle::metrology
