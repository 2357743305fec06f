#include "mechanism/spring.h"

#include <cmath>
#include <limits>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "mechanism/units.h"

namespace fettle::mechanism::test {
namespace {

constexpr double pound_force = 4.4482216152605;  // exact: 0.45359237 kg at 9.80665 m/s²
constexpr double pound_per_inch = pound_force / inch;

std::vector<SpringReading> inch_readings(const std::vector<std::pair<double, double>>& pairs) {
  std::vector<SpringReading> readings;
  for (const auto& [height, load] : pairs) {
    readings.push_back({height * inch, load * pound_force});
  }
  return readings;
}

SpringSet single(SpringCharacteristic spring, std::optional<double> solid = {}) {
  return {{{std::move(spring), 0.0, solid}}};
}

// Arithmetic: 110 lbf at 1.800 in and 290 at 1.300 are 360 lbf/in.
TEST(Spring, TwoReadingsGiveTheRateOfArithmetic) {
  const auto readings = inch_readings({{1.8, 110.0}, {1.3, 290.0}});
  const SpringCharacteristic spring(readings, SpringShape::line);
  EXPECT_NEAR(spring.rate(1.5 * inch) / pound_per_inch, 360.0, 1e-9);
  EXPECT_NEAR(spring.load(1.55 * inch) / pound_force, 200.0, 1e-9);
  EXPECT_NEAR(spring.free_height() / inch, 1.8 + 110.0 / 360.0, 1e-12);
  EXPECT_EQ(spring.load(3.0 * inch), 0.0);
  EXPECT_TRUE(spring.measured(1.3 * inch));
  EXPECT_FALSE(spring.measured(1.85 * inch));
}

// Closed form of the regression line, deviations from the means written out in the test.
TEST(Spring, RepeatsAreAveragedByLeastSquares) {
  const auto readings =
      inch_readings({{1.8, 108.0}, {1.8, 113.0}, {1.55, 202.0}, {1.3, 288.0}, {1.3, 293.0}});
  double mean_height = 0.0;
  double mean_load = 0.0;
  for (const auto& reading : readings) {
    mean_height += reading.height / 5.0;
    mean_load += reading.load / 5.0;
  }
  double products = 0.0;
  double squares = 0.0;
  for (const auto& reading : readings) {
    products += (reading.height - mean_height) * (reading.load - mean_load);
    squares += (reading.height - mean_height) * (reading.height - mean_height);
  }
  const SpringCharacteristic spring(readings, SpringShape::line);
  EXPECT_NEAR(spring.rate(1.5 * inch), -products / squares, 1e-8);
  EXPECT_NEAR(spring.load(mean_height), mean_load, 1e-10);
  EXPECT_NEAR(spring.residuals()[2], readings[2].load - spring.load(readings[2].height), 1e-12);
}

RC_GTEST_PROP(Spring, ACurveThroughAQuadraticIsTheQuadraticAndGoesOnStraight, ()) {
  const double rate = *rc::gen::inRange(20, 120) * 1e3;
  const double growth = *rc::gen::inRange(-100, 400) / 100.0 * 2e5;  // N/m²
  const double at = 0.040;
  const auto truth = [&](double h) { return 1500.0 + rate * (at - h) + growth * (at - h) * (at - h); };
  std::vector<SpringReading> readings;
  for (const double h : {0.046, 0.041, 0.037, 0.034}) {
    readings.push_back({h, truth(h)});
  }
  const SpringCharacteristic spring(readings, SpringShape::curve);
  for (const double h : {0.0455, 0.0421, 0.0352}) {
    RC_ASSERT(std::abs(spring.load(h) - truth(h)) < 1e-8);
    RC_ASSERT(std::abs(spring.height_at_load(truth(h)) - h) < 1e-12);
  }
  for (const double end : {0.046, 0.034}) {
    const double step = end > 0.04 ? 1e-3 : -1e-3;
    const double end_rate = rate + 2.0 * growth * (at - end);
    RC_ASSERT(std::abs(spring.load(end + step) - (truth(end) - end_rate * step)) < 1e-8);
    RC_ASSERT(std::abs(spring.height_at_load(spring.load(end + step)) - end - step) < 1e-12);
  }
}

TEST(Spring, LoadsThatFallWhileCompressingAreShownAndRefused) {
  const auto swapped = inch_readings({{1.8, 290.0}, {1.3, 110.0}});
  ASSERT_EQ(load_falls(swapped).size(), 1U);
  EXPECT_NEAR(load_falls(swapped)[0].fall / pound_force, 180.0, 1e-9);
  EXPECT_NEAR(load_falls(swapped)[0].taller / inch, 1.8, 1e-12);
  EXPECT_THAT(spring_problems(swapped, SpringShape::line), testing::ElementsAre(testing::HasSubstr("grow")));
  EXPECT_THROW(SpringCharacteristic(swapped, SpringShape::line), std::invalid_argument);
  const auto one_bad = inch_readings({{1.8, 110.0}, {1.6, 240.0}, {1.5, 220.0}, {1.3, 290.0}});
  ASSERT_EQ(load_falls(one_bad).size(), 1U);
  EXPECT_NEAR(load_falls(one_bad)[0].shorter / inch, 1.5, 1e-12);
  EXPECT_TRUE(spring_problems(one_bad, SpringShape::line).empty());
}

TEST(Spring, ReadingsThatMakeNoCurveAreRefused) {
  const auto same = inch_readings({{1.8, 110.0}, {1.8, 111.0}});
  EXPECT_THAT(spring_problems(same, SpringShape::line), testing::ElementsAre(testing::HasSubstr("heights")));
  EXPECT_EQ(spring_problems(inch_readings({{1.8, 110.0}, {1.3, 290.0}}), SpringShape::curve).size(), 1U);
  EXPECT_EQ(spring_problems({}, SpringShape::line).size(), 1U);
  EXPECT_EQ(spring_problems(inch_readings({{1.8, -1.0}, {1.3, 290.0}}), SpringShape::line).size(), 1U);
  EXPECT_EQ(spring_problems(inch_readings({{1.8, 110}, {std::nan(""), 290.0}}), SpringShape::line).size(),
            1U);
  EXPECT_THROW(static_cast<void>(SpringCharacteristic::from_rate(0.04, 400.0, 0.0)), std::invalid_argument);
}

// Arithmetic: 110 at 1.800 and 360 lbf/in, lift 0.500, solid 1.150, shim 0.030.
TEST(Spring, InstalledLoadsAndMarginsAreArithmetic) {
  const SpringSet set = single(
      SpringCharacteristic::from_rate(1.8 * inch, 110 * pound_force, 360 * pound_per_inch), 1.15 * inch);
  const SpringPlace bare{1.8 * inch, 0.5 * inch, 0.0, 0.55 * inch};
  const InstalledSpring before = install(set, bare);
  EXPECT_NEAR(before.seat_load / pound_force, 110.0, 1e-9);
  EXPECT_NEAR(before.open_load / pound_force, 290.0, 1e-9);
  EXPECT_NEAR(*before.bind_margin / inch, 0.150, 1e-12);
  EXPECT_NEAR(*before.retainer_margin / inch, 0.050, 1e-12);
  SpringPlace shimmed = bare;
  shimmed.shims = 0.030 * inch;
  const InstalledSpring after = install(set, shimmed);
  EXPECT_NEAR(after.seat_load / pound_force, 110.0 + 360.0 * 0.030, 1e-9);
  EXPECT_NEAR(*after.bind_margin / inch, 0.120, 1e-12);
  EXPECT_NEAR(*after.retainer_margin / inch, 0.050, 1e-12);
  EXPECT_NEAR(*shims_for_seat_load(set, 1.8 * inch, 120.8 * pound_force) / inch, 0.030, 1e-12);
  EXPECT_LT(*shims_for_seat_load(set, 1.8 * inch, 100.0 * pound_force), 0.0);
  EXPECT_FALSE(shims_for_seat_load(set, 1.8 * inch, 0.0));
}

TEST(Spring, ANestedSetAddsLoadsAndBindsAtTheFirstSpring) {
  const SpringSet set{
      {{SpringCharacteristic::from_rate(1.8 * inch, 90 * pound_force, 280 * pound_per_inch), 0.0, 1.1 * inch},
       {SpringCharacteristic::from_rate(1.7 * inch, 40 * pound_force, 120 * pound_per_inch), 0.1 * inch,
        1.05 * inch}},
      5.0 * pound_force,
      0.02};
  EXPECT_NEAR(set.load(1.8 * inch) / pound_force, 130.0, 1e-9);
  EXPECT_NEAR(set.rate(1.8 * inch) / pound_per_inch, 400.0, 1e-9);
  EXPECT_NEAR(*set.solid_height() / inch, 1.15, 1e-12);
  EXPECT_NEAR(set.load_compressing(1.8 * inch) / pound_force, 130.0 + 5.0 + 2.6, 1e-9);
  EXPECT_NEAR(set.load_relaxing(1.8 * inch) / pound_force, 130.0 - 5.0 - 2.6, 1e-9);
  for (const double load : {1.0, 20.0, 130.0, 400.0}) {
    EXPECT_NEAR(set.load(*set.height_at_load(load * pound_force)) / pound_force, load, 1e-9);
  }
  EXPECT_FALSE(set.height_at_load(-1.0));
}

TEST(Spring, APlaceWithoutHeightIsRefused) {
  const SpringSet set = single(SpringCharacteristic::from_rate(0.045, 400.0, 6e4));
  EXPECT_THROW(static_cast<void>(install(set, {0.012, 0.013, 0.0, {}})), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(install(set, {0.045, 0.012, -0.001, {}})), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(install(SpringSet{}, {0.045, 0.012, 0.0, {}})), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(install(set, {std::numeric_limits<double>::quiet_NaN(), 0.0, 0.0, {}})),
               std::invalid_argument);
}

}  // namespace
}  // namespace fettle::mechanism::test
