// What textbooks say of breathing and burning: which way things go, and about how much.

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "gasflow/burn_duration.h"
#include "pull/assemble.h"
#include "pull/plan.h"
#include "pull/pull.h"
#include "pull/spark.h"
#include "small_engine.h"
#include "support/invented_shop.h"

namespace fettle::pull::test {
namespace {

/// Speed of the greatest volumetric efficiency: centre of what lies within a twentieth of it.
double best_speed(const PullResult& result) {
  double weight = 0.0;
  double sum = 0.0;
  double best = 0.0;
  for (const SpeedPoint& p : result.curves[0].points) {
    best = std::max(best, p.volumetric_efficiency);
  }
  for (const SpeedPoint& p : result.curves[0].points) {
    const double w = std::max(0.0, p.volumetric_efficiency - 0.95 * best);
    weight += w;
    sum += w * p.speed;
  }
  return sum / weight;
}

// Heywood, Internal Combustion Engine Fundamentals, section 6.2.2: longer runners move the peak of ram
// filling to lower speed.
TEST(Trend, LongerRunnersBringThePeakDown) {
  auto document = single_document();
  PullOptions options = at_speeds(2500, 6000, 500);
  options.model.tolerance = 5e-3;
  document["intake"]["runner_length"] = "150 mm";
  const double shorter = best_speed(run(document, options));
  document["intake"]["runner_length"] = "600 mm";
  const double longer = best_speed(run(document, options));
  EXPECT_LT(longer, shorter - 300 * rpm);
}

// Section 6.2.3 and figure 6-12: an intake that closes earlier fills better at low speed and worse at high;
// the same of the whole cam advanced.
TEST(Trend, EarlierClosingGivesLowSpeedAndTakesHigh) {
  PullOptions options = at_speeds(1800, 6800, 5000);
  options.cam = {-10 * degree, 10 * degree};
  const auto result = run(single_document(), options);
  const auto& late = result.curves[0].points;
  const auto& early = result.curves[1].points;
  EXPECT_GT(early[0].volumetric_efficiency, late[0].volumetric_efficiency);
  EXPECT_LT(early[1].volumetric_efficiency, late[1].volumetric_efficiency);
  EXPECT_GT(early[0].brake_torque, late[0].brake_torque);
  EXPECT_LT(early[1].brake_torque, late[1].brake_torque);
}

// Section 6.4: more overlap leaves more burned gas in the charge at low speed and part load, where there is
// most time for it and the intake's pressure lowest; at full load little is left (figure 6-19).
TEST(Trend, OverlapLeavesMoreBurnedGasAtLowSpeed) {
  auto document = single_document();
  const double at_full_load = run_one(document, 1200).residual;
  document["intake"] = {{"kind", "plenum"},        {"plenum_volume", "3 L"},    {"throttles", 1},
                        {"throttle_bore", "5 mm"}, {"runner_length", "300 mm"}, {"runner_diameter", "42 mm"}};
  const double little = run_one(document, 1200).residual;
  document["cam"]["card"]["intake"]["centerline"] = "98 deg";
  document["cam"]["card"]["exhaust"]["centerline"] = "98 deg";
  const double much = run_one(document, 1200).residual;
  EXPECT_GT(much, 1.2 * little);
  EXPECT_GT(little, 1.5 * at_full_load);
}

// Section 6.2.2 and figure 6-9: where the way in chokes, filling falls with speed. Mean air speed through the
// bore is 150 m/s at 5500 rpm, its peaks near sonic.
TEST(Trend, AChokedIntakeFillsLess) {
  auto document = single_document();
  const double open = run_one(document, 5500).volumetric_efficiency;
  document["intake"]["throttle_bore"] = "15 mm";
  const double slow = run_one(document, 2500).volumetric_efficiency;
  const double fast = run_one(document, 5500).volumetric_efficiency;
  EXPECT_LT(fast, 0.8 * open);
  EXPECT_LT(fast, 0.85 * slow);
}

// Sections 9.1 and 15.2: the spark of best torque puts half of the burn near 10 degrees after TDC and peak
// pressure near 16; near the best, torque hardly changes.
TEST(Spark, OfBestTorqueBurnsHalfByTenDegreesAfterTdc) {
  auto document = single_document();
  document.erase("ignition");
  document["fuel"]["octane"] = 120;
  const SpeedPoint p = run_one(document, 3000);
  EXPECT_FALSE(p.spark_held_back);
  EXPECT_NEAR(p.cylinders[0].half_burned, 10 * degree, 5 * degree);
  EXPECT_NEAR(p.cylinders[0].peak_angle, 16 * degree, 5 * degree);
  document["fuel"]["octane"] = 75;
  const SpeedPoint knocking = run_one(document, 1500);
  EXPECT_TRUE(knocking.spark_held_back);
  EXPECT_NEAR(knocking.knock_integral, 1.0, 0.1);
  ASSERT_TRUE(knocking.knock_advance);
  EXPECT_NEAR(*knocking.knock_advance, knocking.advance, 1 * degree);
}

// The law must have the angles it was made for, by its own definition: 1 - exp(-a y^(m+1)).
TEST(Burn, WiebeHasTheAnglesAskedFor) {
  const auto burn = gasflow::wiebe_burn({25 * degree, 31 * degree}, 0.0, 1.0);
  EXPECT_NEAR(gasflow::wiebe(25 * degree / burn.duration, burn.a, burn.m), 0.1, 1e-12);
  EXPECT_NEAR(gasflow::wiebe(56 * degree / burn.duration, burn.a, burn.m), 0.9, 1e-12);
}

// Metghalchi and Keck's correlation as in Heywood, section 9.3.4 (constants from memory): at 298 K and 1 atm
// gasoline burns fastest at an equivalence ratio of 1.21 with 30.5 cm/s; isooctane at 1.13 with 26.3 cm/s.
// Factor at 700 K and 20 atm for isooctane at 1: (700/298)^2.18 20^-0.16. A fifth of burned gas by moles
// takes 1 - 2.06 0.2^0.77.
TEST(Burn, LaminarSpeedIsThatOfTheCorrelation) {
  EXPECT_NEAR(gasflow::laminar_speed(gasflow::gasoline, 1.21, 298.0, 101325.0, 0.0), 0.305, 1e-9);
  EXPECT_NEAR(gasflow::laminar_speed(gasflow::isooctane, 1.13, 298.0, 101325.0, 0.0), 0.263, 1e-9);
  const double plain = 0.263 - 0.847 * 0.13 * 0.13;
  EXPECT_NEAR(gasflow::laminar_speed(gasflow::isooctane, 1.0, 700.0, 20 * 101325.0, 0.0),
              plain * std::pow(700.0 / 298.0, 2.18) * std::pow(20.0, -0.16), 1e-9);
  EXPECT_NEAR(gasflow::laminar_speed(gasflow::isooctane, 1.13, 298.0, 101325.0, 0.2),
              0.263 * (1 - 2.06 * std::pow(0.2, 0.77)), 1e-9);
  EXPECT_THROW(gasflow::laminar_speed(gasflow::gasoline, 1.0, -1.0, 1e5, 0.0), std::invalid_argument);
}

// Hires, Tabaczynski and Novak: both angles with the cube root of speed. Heywood, section 9.3.2, gives
// about 1.6 from 1000 to 4000 rpm, the fourth part's cube root being 1.59.
TEST(Burn, AnglesGrowWithTheCubeRootOfSpeed) {
  gasflow::BurnState state{8.8, 4e-6, 0.7, 0.019, 0.088, 0.07};
  const auto slow = gasflow::burn_angles(state, state);
  state.piston_speed *= 4.0;
  const auto fast = gasflow::burn_angles(state, state);
  EXPECT_NEAR(fast.development / slow.development, std::cbrt(4.0), 1e-12);
  EXPECT_NEAR(fast.rapid / slow.rapid, std::cbrt(4.0), 1e-12);
}

/// An invented V8 of 5.6 litres with two valves a cylinder against the ranges of handbooks for such engines.
TEST(Plausible, InventedEightLiesInTheRangesOfSuchEngines) {
  invented::Shop shop(5);
  PullOptions options = at_speeds(2500, 5500, 1500);
  const auto outcome = pull(shop.full_build(), options);
  ASSERT_TRUE(outcome.result);
  const auto& points = outcome.result->curves[0].points;
  const auto best = std::max_element(points.begin(), points.end(), [](const auto& a, const auto& b) {
    return a.brake_torque < b.brake_torque;
  });
  // Heywood, section 2.7 (from memory): naturally aspirated spark-ignition engines reach 850 to 1050 kPa at
  // the speed of most torque.
  EXPECT_GT(best->bmep, 850e3);
  EXPECT_LT(best->bmep, 1050e3);
  // Section 2.10 (from memory): 80 to 90 %; tuned pipes, as here, go above.
  EXPECT_GT(best->volumetric_efficiency, 0.80);
  EXPECT_LT(best->volumetric_efficiency, 1.0);
  // Section 2.8 (from memory): about 270 g/kWh at best; richer than stoichiometric by 14 % takes more.
  ASSERT_TRUE(best->fuel_consumption);
  EXPECT_GT(*best->fuel_consumption * 3.6e9, 250.0);
  EXPECT_LT(*best->fuel_consumption * 3.6e9, 320.0);
  for (const SpeedPoint& p : points) {
    // Motored friction of spark-ignition engines, section 13.5: 0.97 + 0.15 N + 0.05 N² bar, pumping with it.
    const double thousands = p.speed / rpm / 1000.0;
    const double motored = 1e5 * (0.97 + 0.15 * thousands + 0.05 * thousands * thousands);
    EXPECT_NEAR((p.fmep - p.pmep) / motored, 1.0, 0.35) << p.speed / rpm;
    EXPECT_LT(p.residual, 0.12);  // section 6.4: 3 to 7 % at full load
    EXPECT_GT(p.exhaust_temperature, 900.0);
    EXPECT_LT(p.exhaust_temperature, 1400.0);
  }
}

}  // namespace
}  // namespace fettle::pull::test
