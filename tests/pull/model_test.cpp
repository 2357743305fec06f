// What the model must hold to whatever the engine: balances, symmetry, grid, threads.

#include <algorithm>
#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "pull/correction.h"
#include "pull/plan.h"
#include "pull/pull.h"
#include "small_engine.h"
#include "support/invented_shop.h"

namespace fettle::pull::test {
namespace {

constexpr double pi = std::numbers::pi;

build::Build invented_v8() {
  invented::Shop shop(5);
  return shop.full_build();
}

// Recomputed from the printed formulas at dry 970 mbar and 30 C.
TEST(Correction, HasTheValuesOfSaeAndIso) {
  EXPECT_NEAR(sae_j1349(97000.0, 303.15), 1.034391, 5e-7);
  EXPECT_NEAR(iso_1585(97000.0, 303.15), 1.035075, 5e-7);
  EXPECT_NEAR(sae_j1349(99000.0, 298.15), 1.0, 1e-12);
  EXPECT_NEAR(iso_1585(99000.0, 298.15), 1.0, 1e-12);
  EXPECT_THROW(sae_j1349(0.0, 298.0), std::invalid_argument);
}

// Torricelli's law for air of 1.2 kg/m3: 28 inches of water are 6974.5 Pa and 107.815 m/s.
TEST(Plan, FlowOfABenchIsAnArea) {
  EXPECT_NEAR(effective_area(0.1, 28 * 249.08891, 1.2), 0.1 / 107.8155, 1e-8);
}

// First law and continuity over one cycle of the whole network. With walls that take no heat all energy is
// accounted for by work, combustion, and what passes the open ends.
TEST(Pull, MassAndEnergyCloseOverACycleOfTheWholeNetwork) {
  ModelOptions model;
  model.wall_heat = false;
  const SpeedPoint single = run_one(single_document(), 4000, model);
  EXPECT_TRUE(single.converged) << single.why;
  EXPECT_LT(single.mass_error, 1e-9);
  EXPECT_LT(single.energy_error, 1e-9);

  PullOptions options = at_speeds(3000, 3000);
  options.model = model;
  options.model.most_cycles = 2;  // the balance holds of any cycle
  const auto eight = pull(invented_v8(), options);
  ASSERT_TRUE(eight.result);
  const SpeedPoint& point = eight.result->curves[0].points[0];
  EXPECT_LT(point.mass_error, 1e-9);
  EXPECT_LT(point.energy_error, 1e-9);
}

// Without burning, heat and leaks compression and expansion are one line: pressure at equal angles either
// side of firing TDC is the same (an engine without pin offset).
TEST(Pull, MotoredCompressionIsItsOwnMirror) {
  PullOptions options = at_speeds(2000, 2000);
  options.model.burning = false;
  options.model.wall_heat = false;
  options.model.blow_by = false;
  options.traces = true;
  const PullResult result = run(single_document(), options);
  const SpeedPoint& point = result.curves[0].points[0];
  ASSERT_TRUE(point.trace);
  const Trace& t = *point.trace;
  const auto pressure_at = [&](double angle) {
    const auto above = std::lower_bound(t.angle.begin(), t.angle.end(), angle) - t.angle.begin();
    const auto i = static_cast<std::size_t>(above);
    const double part = (angle - t.angle[i - 1]) / (t.angle[i] - t.angle[i - 1]);
    return t.pressure[i - 1] + part * (t.pressure[i] - t.pressure[i - 1]);
  };
  for (const double away : {20.0, 40.0, 60.0, 80.0}) {
    const double before = pressure_at(2 * pi - away * degree);
    const double after = pressure_at(2 * pi + away * degree);
    EXPECT_NEAR(after / before, 1.0, 2e-3) << away;
  }
  // Isentropic from 60 to 20 degrees before TDC, heat ratio of the charge between 1.30 and 1.40 (NASA
  // polynomials of air and fuel vapour, 500 to 700 K).
  const mechanism::SliderCrank crank({41e-3, 140e-3, 0.0});
  const auto volume = [&](double away) { return 82e-3 / 9.0 + crank.depth(away * degree); };
  const double exponent = std::log(pressure_at(2 * pi - 20 * degree) / pressure_at(2 * pi - 60 * degree)) /
                          std::log(volume(60) / volume(20));
  EXPECT_GT(exponent, 1.30);
  EXPECT_LT(exponent, 1.40);
  EXPECT_LT(point.brake_torque, 0.0);
}

TEST(Pull, TwiceTheCellsChangeTorqueByLessThanHalfAPercent) {
  for (const double speed : {2500.0, 5000.0, 6400.0}) {
    PullOptions options = at_speeds(speed, speed);
    const auto usual = pull(invented_v8(), options);
    options.model.cells = 2.0;
    const auto fine = pull(invented_v8(), options);
    ASSERT_TRUE(usual.result && fine.result);
    const double a = usual.result->curves[0].points[0].brake_torque;
    const double b = fine.result->curves[0].points[0].brake_torque;
    EXPECT_NEAR(a / b, 1.0, 5e-3) << speed;
  }
}

TEST(Pull, DoesNotDependOnTheNumberOfThreads) {
  PullOptions options = at_speeds(2000, 6000, 800);
  options.model.tolerance = 1e-2;
  const auto alone = run(single_document(), options);
  options.threads = 3;
  const auto together = run(single_document(), options);
  ASSERT_EQ(alone.curves[0].points.size(), 6U);
  for (std::size_t i = 0; i < alone.curves[0].points.size(); ++i) {
    EXPECT_EQ(alone.curves[0].points[i].brake_torque, together.curves[0].points[i].brake_torque);
    EXPECT_EQ(alone.curves[0].points[i].steps, together.curves[0].points[i].steps);
  }
}

TEST(Pull, EndsEarlyWhenAsked) {
  std::atomic<bool> cancel{false};
  PullOptions options = at_speeds(2000, 6000, 100);
  options.cancel = &cancel;
  options.progress = [&](const Progress&) { cancel = true; };
  const auto result = run(single_document(), options);
  EXPECT_TRUE(result.cancelled);
  EXPECT_TRUE(result.curves[0].points.back().cylinders.empty());
}

TEST(Pull, SaysWhatItTookWhereTheBuildIsSilent) {
  PullOptions options = at_speeds(3000, 3000);
  options.model.most_cycles = 2;
  auto document = single_document();
  const auto named = [](const PullResult& result, const std::string& text) {
    return std::any_of(result.assumptions.begin(), result.assumptions.end(),
                       [&](const Assumption& a) { return a.text == text; });
  };
  EXPECT_FALSE(named(run(document, options), "length of the intake runners"));
  document["intake"].erase("runner_length");
  document["engine"].erase("compression_ratio");
  const auto result = run(document, options);
  EXPECT_TRUE(named(result, "length of the intake runners"));
  EXPECT_TRUE(named(result, "compression ratio"));
  for (const Assumption& a : result.assumptions) {
    EXPECT_FALSE(a.value.empty()) << a.text;
  }
}

TEST(Pull, RefusesABuildWithoutACam) {
  auto document = single_document();
  document.erase("cam");
  const auto outcome = pull(build_of(document), at_speeds(3000, 3000));
  EXPECT_FALSE(outcome.result);
  ASSERT_EQ(outcome.problems.size(), 1U);
  EXPECT_EQ(outcome.problems[0].place, "cam.card");
  EXPECT_THROW(pull(build_of(single_document()), at_speeds(3000, 2000)), std::invalid_argument);
}

/// The lobes of the invented shop are known: what is read off them must come back as lift of the valves.
TEST(Plan, LiftOfValvesIsThatOfTheLobesRead) {
  invented::Shop shop(5);
  const auto outcome = plan_engine(shop.full_build(), {});
  ASSERT_TRUE(outcome.plan);
  for (const int cylinder : {1, 4, 7}) {
    for (const auto valve : {build::Valve::intake, build::Valve::exhaust}) {
      const auto& c = outcome.plan->cylinders[static_cast<std::size_t>(cylinder) - 1];
      const ValvePlan& plan = valve == build::Valve::intake ? c.intake : c.exhaust;
      double worst = 0.0;
      for (std::size_t i = 0; i < plan.lift.size(); ++i) {
        const double x = 4.0 * pi * static_cast<double>(i) / static_cast<double>(plan.lift.size());
        const double engine = x + c.phase;
        worst = std::max(worst, std::abs(plan.lift[i] - 1.5 * shop.lift({cylinder, valve}, engine)));
      }
      EXPECT_LT(worst, 0.2e-3)
          << cylinder;  // of 11.4 mm: two tenths of a degree where it is steepest, and the seat
      EXPECT_NE(plan.basis.find("sweep"), std::string::npos);
    }
  }
}

}  // namespace
}  // namespace fettle::pull::test
