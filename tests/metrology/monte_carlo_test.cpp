#include "metrology/monte_carlo.h"

#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

#include <gtest/gtest.h>

#include "metrology/random.h"

namespace fettle::metrology {
namespace {

Input input(double estimate, Component component) {
  return {"x", {std::move(component)}, estimate};
}

std::vector<double> sum(std::span<const double> x) {
  double total = 0.0;
  for (const double v : x) {
    total += v;
  }
  return {total};
}

MonteCarloOptions million() {
  MonteCarloOptions options;
  options.trials = 1'000'000;
  return options;
}

// Known-answer vectors of the Philox 4x32-10 generator, published with Salmon et al. 2011 (from memory).
TEST(Philox, AgreesWithItsPublishedVectors) {
  using Words = std::array<std::uint32_t, 4>;
  EXPECT_EQ(philox({0, 0, 0, 0}, {0, 0}), (Words{0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8}));
  EXPECT_EQ(philox({0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff}, {0xffffffff, 0xffffffff}),
            (Words{0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd}));
  EXPECT_EQ(philox({0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344}, {0xa4093822, 0x299f31d0}),
            (Words{0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1}));
}

// JCGM 101:2008, 9.2.2: four standard normals.
TEST(MonteCarlo, ReproducesTheSumOfFourNormals) {
  const std::vector<Input> inputs(4, input(0.0, Component::normal("", 1.0)));
  const MonteCarloResult result = propagate_distributions(sum, inputs, million());
  ASSERT_TRUE(result.converged) << result.summary;
  const SampleStatistics& y = *result.outputs[0];
  EXPECT_NEAR(y.mean, 0.0, 0.01);
  EXPECT_NEAR(y.u, 2.00, 0.01);
  EXPECT_NEAR(y.shortest.low, -3.92, 0.04);
  EXPECT_NEAR(y.shortest.high, 3.92, 0.04);
  EXPECT_NEAR(y.symmetric.low, -3.92, 0.02);
  EXPECT_NEAR(y.symmetric.high, 3.92, 0.02);
}

// 9.2.3: four rectangular inputs of unit standard deviation.
TEST(MonteCarlo, ReproducesTheSumOfFourRectangulars) {
  const std::vector<Input> inputs(4, input(0.0, Component::rectangular_half_width("", std::numbers::sqrt3)));
  const MonteCarloResult result = propagate_distributions(sum, inputs, million());
  const SampleStatistics& y = *result.outputs[0];
  EXPECT_NEAR(y.u, 2.00, 0.01);
  EXPECT_NEAR(y.symmetric.low, -3.88, 0.02);
  EXPECT_NEAR(y.symmetric.high, 3.88, 0.02);
}

// 9.2.4: one of the four with a standard deviation of 10.
TEST(MonteCarlo, ReproducesOneDominantRectangular) {
  std::vector<Input> inputs(4, input(0.0, Component::rectangular_half_width("", std::numbers::sqrt3)));
  inputs[3] = input(0.0, Component::rectangular_half_width("", 10.0 * std::numbers::sqrt3));
  const MonteCarloResult result = propagate_distributions(sum, inputs, million());
  const SampleStatistics& y = *result.outputs[0];
  EXPECT_NEAR(y.u, std::sqrt(103.0), 0.02);  // exact; printed 10.1
  EXPECT_NEAR(y.symmetric.low, -17.0, 0.05);
  EXPECT_NEAR(y.symmetric.high, 17.0, 0.05);
  const Propagation first = propagate(sum, inputs);
  EXPECT_NEAR(first.outputs[0]->expanded, 19.9, 0.05);  // the law of propagation: 1.96 x 10.1
}

// 9.3, mass calibration in air. The model is that of 9.3.1.3; the inputs of table 5 are from memory, and the
// results printed in table 6 confirm them: conventional mass of the reference 100 000.000 mg (0.050), of the
// added weight 1.234 mg (0.020), air density 1.20 +/- 0.10, densities of the weight 8000 +/- 1000 and of the
// reference 8000 +/- 50 kg/m3.
std::vector<double> mass_deviation(std::span<const double> x) {
  const double reference = 100000.0 + x[0];
  return {(reference + x[1]) * (1.0 + (x[2] - 1.2) * (1.0 / x[3] - 1.0 / x[4])) - 100000.0};
}

std::vector<Input> mass_inputs() {
  return {input(0.0, Component::normal("reference", 0.050)), input(1.234, Component::normal("added", 0.020)),
          input(1.20, Component::rectangular_half_width("air", 0.10)),
          input(8000.0, Component::rectangular_half_width("weight", 1000.0)),
          input(8000.0, Component::rectangular_half_width("standard", 50.0))};
}

TEST(MonteCarlo, ReproducesTheMassCalibration) {
  const Propagation first = propagate(mass_deviation, mass_inputs());
  EXPECT_NEAR(first.outputs[0]->value, 1.2340, 0.00005);
  EXPECT_NEAR(first.outputs[0]->u, 0.0539, 0.00005);
  const MonteCarloResult result = propagate_distributions(mass_deviation, mass_inputs(), million());
  const SampleStatistics& y = *result.outputs[0];
  EXPECT_NEAR(y.mean, 1.2341, 0.0003);
  EXPECT_NEAR(y.u, 0.0754, 0.0003);
  EXPECT_NEAR(y.shortest.low, 1.0834, 0.002);
  EXPECT_NEAR(y.shortest.high, 1.3825, 0.002);
}

TEST(Propagation, SecondOrderTermsComeCloseToTheMassCalibration) {
  PropagationOptions options;
  options.second_order = true;
  const Propagation result = propagate(mass_deviation, mass_inputs(), options);
  EXPECT_NEAR(*result.outputs[0]->second_order_u, 0.0750,
              0.0005);  // JCGM 101:2008, table 6, higher-order terms (from memory)
}

// 9.4, comparison loss: y = x1^2 + x2^2, u 0.005 each, uncorrelated; the mean and u of 9.4.2.2 are known in
// closed form.
TEST(MonteCarlo, ReproducesTheComparisonLoss) {
  struct Row {
    double x1, mean, u, first_value, first_u;
  };
  for (const Row& row : {Row{0.0, 50e-6, 50e-6, 0.0, 0.0}, Row{0.010, 150e-6, 112e-6, 100e-6, 100e-6},
                         Row{0.050, 2550e-6, 502e-6, 2500e-6, 500e-6}}) {
    const std::vector<Input> inputs = {input(row.x1, Component::normal("x1", 0.005)),
                                       input(0.0, Component::normal("x2", 0.005))};
    const Model loss = [](std::span<const double> x) {
      return std::vector<double>{x[0] * x[0] + x[1] * x[1]};
    };
    const MonteCarloResult result = propagate_distributions(loss, inputs, million());
    EXPECT_NEAR(result.outputs[0]->mean, row.mean, 1e-6);
    EXPECT_NEAR(result.outputs[0]->u, row.u, 1e-6);
    const Propagation first = propagate(loss, inputs);
    EXPECT_NEAR(first.outputs[0]->value, row.first_value, 1e-12);
    EXPECT_NEAR(first.outputs[0]->u, row.first_u, 1e-12);
  }
}

TEST(MonteCarlo, StopsWhenTheAskedDigitsAreStable) {
  const std::vector<Input> inputs(4, input(0.0, Component::normal("", 1.0)));
  MonteCarloOptions options;
  options.adaptive = AdaptiveTrials{};
  options.adaptive->most_trials = 3'000'000;
  const MonteCarloResult result = propagate_distributions(sum, inputs, options);
  ASSERT_TRUE(result.converged) << result.summary;
  EXPECT_LT(result.trials, 1'500'000U);
  EXPECT_NEAR(result.outputs[0]->u, 2.0, 0.05);
  EXPECT_NEAR(result.outputs[0]->shortest.high, 3.92, 0.1);
  options.adaptive->significant_digits = 4;
  options.adaptive->most_trials = 50'000;
  EXPECT_FALSE(propagate_distributions(sum, inputs, options).converged);
}

TEST(MonteCarlo, GivesTheSameNumbersAgain) {
  const std::vector<Input> inputs(2, input(1.0, Component::student("", 1.0, 5.0)));
  MonteCarloOptions options;
  options.trials = 2000;
  const auto once = propagate_distributions(sum, inputs, options);
  const auto again = propagate_distributions(sum, inputs, options);
  EXPECT_EQ(once.outputs[0]->mean, again.outputs[0]->mean);
  EXPECT_EQ(once.outputs[0]->shortest.low, again.outputs[0]->shortest.low);
  options.seed = 2;
  EXPECT_NE(once.outputs[0]->mean, propagate_distributions(sum, inputs, options).outputs[0]->mean);
}

TEST(MonteCarlo, AddingAnInputLeavesTheOtherDrawsAlone) {
  std::vector<Input> inputs(1, input(0.0, Component::normal("", 1.0)));
  const Model first = [](std::span<const double> x) { return std::vector<double>{x[0]}; };
  MonteCarloOptions options;
  options.trials = 1000;
  const double alone = propagate_distributions(first, inputs, options).outputs[0]->mean;
  inputs.push_back(input(0.0, Component::normal("", 1.0)));
  EXPECT_EQ(propagate_distributions(first, inputs, options).outputs[0]->mean, alone);
}

TEST(MonteCarlo, GivesNoOutputThatIsLostTooOften) {
  const std::vector<Input> inputs(1, input(0.0, Component::normal("", 1.0)));
  const double nothing = std::numeric_limits<double>::quiet_NaN();
  const Model model = [&](std::span<const double> x) {
    return std::vector<double>{x[0], x[0] > 1.0 ? nothing : x[0], x[0] > 3.5 ? nothing : x[0]};
  };
  const MonteCarloResult result = propagate_distributions(model, inputs);
  EXPECT_FALSE(result.converged);
  EXPECT_TRUE(result.outputs[0].has_value());
  EXPECT_FALSE(result.outputs[1].has_value());
  EXPECT_NE(result.problems[1].find("not obtained in 15."),
            std::string::npos);  // 15.87 % of a normal lie above one sigma
  ASSERT_TRUE(result.outputs[2].has_value());
  EXPECT_GT(result.outputs[2]->lost, 0U);
}

TEST(MonteCarlo, GivesTheCovarianceOfItsOutputs) {
  const std::vector<Input> inputs = {input(0.0, Component::normal("", 1.0)),
                                     input(0.0, Component::normal("", 2.0))};
  const Model model = [](std::span<const double> x) { return std::vector<double>{x[0] + x[1], x[0] - x[1]}; };
  const MonteCarloResult result = propagate_distributions(model, inputs);
  EXPECT_NEAR(result.covariance(0, 0), 5.0, 0.1);
  EXPECT_NEAR(result.covariance(0, 1), -3.0, 0.1);
}

TEST(Draws, HaveTheStandardDeviationOfTheirComponent) {
  for (const Component& c :
       {Component::normal("", 2.0), Component::rectangular_half_width("", 1.0),
        Component::triangular_half_width("", 1.0), Component::arcsine_half_width("", 1.0)}) {
    const MonteCarloResult result = propagate_distributions(sum, std::vector<Input>{input(0.0, c)});
    EXPECT_NEAR(result.outputs[0]->u, c.u, 0.01 * c.u);
    EXPECT_NEAR(result.outputs[0]->mean, 0.0, 0.015 * c.u);
  }
}

TEST(Draws, OfAStudentComponentHaveItsQuantiles) {
  // JCGM 100:2008, table G.2: 95 % of t with 4 degrees of freedom lie within 2.78, with 10 within 2.23.
  for (const auto& [dof, t95] : {std::pair{4.0, 2.776}, std::pair{10.0, 2.228}}) {
    MonteCarloOptions options;
    options.trials = 400'000;
    const auto result =
        propagate_distributions(sum, std::vector<Input>{input(0.0, Component::student("", 1.0, dof))}, options);
    EXPECT_NEAR(result.outputs[0]->symmetric.high, t95, 0.02);
    EXPECT_NEAR(result.outputs[0]->u, std::sqrt(dof / (dof - 2.0)), 0.03);  // JCGM 101:2008, 6.4.9.4
  }
}

TEST(SampleStatistics, FindTheShortestIntervalOfASkewedSample) {
  std::vector<double> sample;
  for (int i = 0; i < 100000; ++i) {
    sample.push_back(-std::log(
        (i + 0.5) / 100000.0));  // exponential: the shortest 95 % start at zero, JCGM 101:2008, 5.3.4
  }
  const SampleStatistics s = sample_statistics(sample, 0.95);
  EXPECT_NEAR(s.shortest.low, 0.0, 1e-3);
  EXPECT_NEAR(s.shortest.high, -std::log(0.05), 1e-3);
  EXPECT_NEAR(s.symmetric.low, -std::log(0.975), 1e-3);
  EXPECT_NEAR(s.symmetric.high, -std::log(0.025), 1e-3);
  EXPECT_THROW(sample_statistics(std::vector<double>(19, 1.0), 0.95), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::metrology
