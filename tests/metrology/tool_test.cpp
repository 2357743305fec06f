#include "metrology/tool.h"

#include <cmath>
#include <numbers>
#include <vector>

#include <gtest/gtest.h>

#include "metrology/random.h"

namespace fettle::metrology {
namespace {

Tool dial() {
  Tool tool;
  tool.kind = "dial";
  tool.resolution = 10e-6;
  tool.noise = 4e-6;
  return tool;
}

TEST(Tool, GivesASingleReadingItsResolutionAndItsStatedNoise) {
  const Input reading = reading_input(dial(), "lift", std::vector<double>{7.0e-3});
  EXPECT_EQ(reading.estimate, 7.0e-3);
  ASSERT_EQ(reading.components.size(), 2U);
  EXPECT_NEAR(reading.components[0].u, 10e-6 / std::sqrt(12.0), 1e-18);
  EXPECT_NEAR(reading.components[1].u, 4e-6, 1e-18);
  EXPECT_EQ(reading.components[1].dof, 8.0);
}

TEST(Tool, PoolsRepeatsWithTheStatedNoise) {
  const std::vector<double> values = {1.0, 3.0};  // s^2 = 2 with one degree of freedom
  Tool tool;
  Input alone = reading_input(tool, "", values);
  EXPECT_NEAR(alone.u(), 1.0, 1e-15);  // sqrt(2 / 2), JCGM 100:2008, 4.2.3
  EXPECT_EQ(alone.dof(), 1.0);
  tool.noise = 1.0;
  const Input pooled = reading_input(tool, "", values);
  EXPECT_NEAR(pooled.u(), std::sqrt((8.0 * 1.0 + 1.0 * 2.0) / 9.0 / 2.0), 1e-15);
  EXPECT_NEAR(pooled.dof(), 9.0, 1e-12);
}

TEST(Tool, DoesNotAverageTheResolution) {
  const Input many = reading_input(dial(), "", std::vector<double>(100, 7.0e-3));
  EXPECT_GT(many.u(), 10e-6 / std::sqrt(12.0));
  EXPECT_LT(many.u(), 1.01 * 10e-6 / std::sqrt(12.0));
}

TEST(Tool, SharesAnOffsetThatCancelsInADifference) {
  Tool tool = dial();
  tool.permissible_error = 20e-6;
  std::vector<Input> inputs = bias_inputs(tool, "dial");
  ASSERT_EQ(inputs.size(), 1U);
  EXPECT_NEAR(inputs[0].u(), 20e-6 / std::numbers::sqrt3, 1e-18);
  inputs[0].estimate = 0.0;
  const Propagation result = propagate(
      [&](std::span<const double> x) {
        const double a = without_bias(tool, 7.0e-3, x);
        const double b = without_bias(tool, 2.0e-3, x);
        return std::vector<double>{a - b, a};
      },
      inputs);
  EXPECT_NEAR(result.outputs[0]->u, 0.0, 1e-17);
  EXPECT_NEAR(result.outputs[1]->u, 20e-6 / std::numbers::sqrt3, 1e-17);
}

TEST(Tool, SharesAScaleErrorThatGrowsWithTheReading) {
  Tool tool = dial();
  tool.error_form = ErrorForm::proportional;
  tool.permissible_error = 20e-6;
  EXPECT_THROW(bias_inputs(tool, "dial"), std::invalid_argument);
  tool.range = 10e-3;
  const Propagation result = propagate(
      [&](std::span<const double> x) {
        return std::vector<double>{without_bias(tool, 10e-3, x), without_bias(tool, 5e-3, x)};
      },
      bias_inputs(tool, "dial"));
  EXPECT_NEAR(result.outputs[0]->u, 20e-6 / std::numbers::sqrt3, 1e-17);
  EXPECT_NEAR(result.outputs[1]->u, 10e-6 / std::numbers::sqrt3, 1e-17);
}

TEST(Tool, OnceATurnErrorHasTheSameDoubtAtEveryAngle) {
  Tool tool;
  tool.kind = "wheel";
  tool.error_form = ErrorForm::once_a_turn;
  tool.permissible_error = 0.01;
  const std::vector<Input> inputs = bias_inputs(tool, "wheel");
  ASSERT_EQ(inputs.size(), 2U);
  for (const double angle : {0.0, 1.0, 2.5, -4.0}) {
    const Propagation result = propagate(
        [&](std::span<const double> x) { return std::vector<double>{without_bias(tool, angle, x)}; }, inputs);
    EXPECT_NEAR(result.outputs[0]->u, 0.01 / std::sqrt(6.0), 1e-9);
  }
  // Half a turn apart the errors are opposite: the difference carries twice the error.
  const Propagation half = propagate(
      [&](std::span<const double> x) {
        return std::vector<double>{without_bias(tool, 1.0, x) -
                                   without_bias(tool, 1.0 + std::numbers::pi, x)};
      },
      inputs);
  EXPECT_NEAR(half.outputs[0]->u, 0.02 / std::sqrt(6.0), 1e-9);
}

TEST(Tool, OnceATurnUncertaintyFollowsFromAmplitudeAndPhase) {
  // Direct simulation of what the formula a / sqrt(6) stands for: amplitude rectangular in 0..a, phase
  // uniform.
  const int trials = 400000;
  double cosine_squares = 0.0;
  double sine_squares = 0.0;
  double product = 0.0;
  for (int t = 0; t < trials; ++t) {
    const auto [a, b] = uniforms({3, static_cast<std::uint64_t>(t), 0});
    const double c = a * std::cos(2.0 * std::numbers::pi * b);
    const double s = a * std::sin(2.0 * std::numbers::pi * b);
    cosine_squares += c * c / trials;
    sine_squares += s * s / trials;
    product += c * s / trials;
  }
  EXPECT_NEAR(cosine_squares, 1.0 / 6.0, 0.001);
  EXPECT_NEAR(sine_squares, 1.0 / 6.0, 0.001);
  EXPECT_NEAR(product, 0.0, 0.001);
}

TEST(Tool, WithoutASpecificationAddsNothing) {
  const Tool tool;
  EXPECT_TRUE(bias_inputs(tool, "").empty());
  EXPECT_FALSE(drift_input(tool, "").has_value());
  EXPECT_EQ(reading_input(tool, "", std::vector<double>{3.0}).u(), 0.0);
  EXPECT_EQ(without_bias(tool, 3.0, {}), 3.0);
}

TEST(Tool, DriftsWithinItsStatedShift) {
  Tool tool;
  tool.drift = 0.3;
  EXPECT_NEAR(drift_input(tool, "zero")->u(), 0.3 / std::numbers::sqrt3, 1e-15);
}

TEST(Tool, IsRefusedWithImpossibleFigures) {
  Tool tool = dial();
  tool.parallax = -1.0;
  EXPECT_THROW(check(tool), std::invalid_argument);
  EXPECT_THROW(repeats({}), std::invalid_argument);
  EXPECT_THROW(repeats(std::vector<double>{1.0, std::nan("")}), std::invalid_argument);
  EXPECT_THROW(without_bias(dial(), 1.0, std::vector<double>{1.0, 2.0}), std::invalid_argument);
}

TEST(Repeats, GiveMeanSpreadAndDeviation) {
  const Repeats r = repeats(std::vector<double>{2.0, 4.0, 4.0, 4.0, 5.0, 5.0, 7.0, 9.0});
  EXPECT_EQ(r.count, 8U);
  EXPECT_NEAR(r.mean, 5.0, 1e-15);
  EXPECT_EQ(r.least, 2.0);
  EXPECT_EQ(r.greatest, 9.0);
  EXPECT_NEAR(*r.standard_deviation, std::sqrt(32.0 / 7.0), 1e-15);
  EXPECT_FALSE(repeats(std::vector<double>{2.0}).standard_deviation.has_value());
}

}  // namespace
}  // namespace fettle::metrology
