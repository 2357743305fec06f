#include "mechanism/valve_setting.h"

#include <algorithm>
#include <cmath>
#include <string>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "mechanism/circular.h"
#include "mechanism/lobe_card.h"
#include "mechanism/units.h"

namespace fettle::mechanism::test {
namespace {

CylinderPhases even(std::vector<int> order) {
  return CylinderPhases({std::move(order), {}});
}

// Ramps included: IO 50 BTDC, IC 85 ABDC; EO 88 BBDC, EC 47 ATDC.
OffBase intake() {
  return {-50 * degree, 265 * degree};
}
OffBase exhaust() {
  return {-268 * degree, 47 * degree};
}

std::vector<std::string> names(const std::vector<SettableValve>& valves, const SettingPosition& position) {
  std::vector<std::string> result;
  for (const std::size_t i : position.valves) {
    result.push_back((valves[i].kind == ValveKind::intake ? "I" : "E") + std::to_string(valves[i].cylinder));
  }
  std::sort(result.begin(), result.end());
  return result;
}

void expect_two_positions(const std::vector<int>& order, const std::vector<std::string>& first) {
  const CylinderPhases phases = even(order);
  const auto valves = settable_valves(phases, intake(), exhaust());
  const SettingPlan plan = fewest_positions(phases, valves, 2 * degree);
  ASSERT_EQ(plan.positions.size(), 2U);
  EXPECT_TRUE(plan.proven);
  EXPECT_TRUE(plan.never.empty());
  EXPECT_NEAR(plan.positions[0].crank_angle, 0.0, 1e-9);
  EXPECT_NEAR(plan.positions[1].crank_angle, full_turn, 1e-9);
  EXPECT_EQ(plan.positions[0].firing_cylinder, 1);
  EXPECT_EQ(names(valves, plan.positions[0]), first);
  EXPECT_EQ(plan.positions[0].valves.size() + plan.positions[1].valves.size(), valves.size());
}

// The trade's two-position tables (common practice, no source).
TEST(ValveSetting, TwoPositionsOfAnInlineFour) {
  expect_two_positions({1, 3, 4, 2}, {"E1", "E3", "I1", "I2"});
}

TEST(ValveSetting, TwoPositionsOfAnInlineSix) {
  expect_two_positions({1, 5, 3, 6, 2, 4}, {"E1", "E3", "E5", "I1", "I2", "I4"});
}

TEST(ValveSetting, TwoPositionsOfAVEight) {
  expect_two_positions({1, 8, 4, 3, 6, 5, 7, 2}, {"E1", "E3", "E4", "E8", "I1", "I2", "I5", "I7"});
}

void expect_safe(const std::vector<SettableValve>& valves, const SettingPlan& plan, double margin) {
  std::size_t set = 0;
  for (const auto& position : plan.positions) {
    EXPECT_GE(position.least_margin, margin - 1e-9);
    set += position.valves.size();
    for (const std::size_t i : position.valves) {
      EXPECT_GE(base_margin(valves[i], position.crank_angle), position.least_margin - 1e-12);
    }
  }
  EXPECT_EQ(set + plan.never.size(), valves.size());
}

// The table holds only while IO and EC, ramps included, stay below some 85 degrees (common practice; 90 less
// the margin by the firing interval). Beyond, two positions away from the dead centres may still do.
TEST(ValveSetting, ALongCamNeedsMoreThanTwoDeadCentres) {
  const CylinderPhases phases = even({1, 8, 4, 3, 6, 5, 7, 2});
  const double margin = 2 * degree;
  const auto shorter = settable_valves(phases, {-85 * degree, 290 * degree}, {-292 * degree, 85 * degree});
  for (const auto places : {SettingPlaces::any, SettingPlaces::dead_centres}) {
    const SettingPlan plan = fewest_positions(phases, shorter, margin, places);
    ASSERT_EQ(plan.positions.size(), 2U);
    EXPECT_EQ(plan.positions[0].firing_cylinder, 1);
    expect_safe(shorter, plan, margin);
  }
  const auto valves = settable_valves(phases, {-92 * degree, 290 * degree}, {-292 * degree, 92 * degree});
  const SettingPlan marks = fewest_positions(phases, valves, margin, SettingPlaces::dead_centres);
  EXPECT_GT(marks.positions.size(), 2U);
  EXPECT_TRUE(marks.never.empty());
  expect_safe(valves, marks, margin);
  const SettingPlan wheel = fewest_positions(phases, valves, margin);
  ASSERT_EQ(wheel.positions.size(), 2U);
  EXPECT_FALSE(wheel.positions[0].dead_centre);
  expect_safe(valves, wheel, margin);
}

// Counting: eight intakes 90 degrees apart with 256 degrees of safe base circle: no position reaches more
// than three of them, so that two cannot do.
TEST(ValveSetting, AVeryLongCamNeedsThreePositionsAnywhere) {
  const CylinderPhases phases = even({1, 8, 4, 3, 6, 5, 7, 2});
  const auto valves = settable_valves(phases, {-130 * degree, 330 * degree}, {-330 * degree, 130 * degree});
  const SettingPlan plan = fewest_positions(phases, valves, 2 * degree);
  EXPECT_GE(plan.positions.size(), 3U);
  expect_safe(valves, plan, 2 * degree);
}

TEST(ValveSetting, ASingleIsSetAtItsFiringTdc) {
  const CylinderPhases phases = even({1});
  const auto valves = settable_valves(phases, intake(), exhaust());
  const SettingPlan plan = fewest_positions(phases, valves, 2 * degree);
  ASSERT_EQ(plan.positions.size(), 1U);
  EXPECT_EQ(plan.positions[0].firing_cylinder, 1);
}

TEST(ValveSetting, AnOddFireTwinIsPlannedFromItsPhases) {
  const CylinderPhases phases({{1, 2}, {315 * degree, 405 * degree}});
  const auto valves = settable_valves(phases, intake(), exhaust());
  const SettingPlan plan = fewest_positions(phases, valves, 5 * degree);
  std::size_t set = 0;
  for (const auto& position : plan.positions) {
    set += position.valves.size();
    EXPECT_GE(position.least_margin, 5 * degree - 1e-9);
    EXPECT_TRUE(position.dead_centre);
  }
  EXPECT_EQ(set, 4U);
}

TEST(ValveSetting, AValveWithoutBaseCircleIsNamed) {
  const CylinderPhases phases = even({1, 2});
  const auto valves = settable_valves(phases, {-100 * degree, 600 * degree}, exhaust());
  const SettingPlan plan = fewest_positions(phases, valves, 15 * degree);
  EXPECT_THAT(plan.never, testing::ElementsAre(0U, 2U));
  EXPECT_FALSE(plan.positions.empty());
}

// Independent: can every valve be set at `count` of the positions a degree apart? Ends lie on whole degrees.
bool whole_degrees_suffice(const std::vector<SettableValve>& valves, double margin, std::size_t count,
                           std::vector<bool> done) {
  const auto open = std::find(done.begin(), done.end(), false);
  if (open == done.end()) {
    return true;
  }
  if (count == 0) {
    return false;
  }
  const auto first = static_cast<std::size_t>(open - done.begin());
  for (int x = 0; x < 720; ++x) {
    if (base_margin(valves[first], x * degree) < margin - 1e-9) {
      continue;
    }
    auto next = done;
    for (std::size_t i = 0; i < valves.size(); ++i) {
      next[i] = next[i] || base_margin(valves[i], x * degree) >= margin - 1e-9;
    }
    if (whole_degrees_suffice(valves, margin, count - 1, next)) {
      return true;
    }
  }
  return false;
}

RC_GTEST_PROP(ValveSetting, NoFewerPositionsSuffice, ()) {
  const int cylinders = *rc::gen::inRange(1, 5);
  std::vector<int> order;
  for (int i = 1; i <= cylinders; ++i) {
    order.push_back(i);
  }
  const CylinderPhases phases = even(order);
  std::vector<SettableValve> valves;
  for (int i = 0; i < 2 * cylinders; ++i) {
    const int opens = *rc::gen::inRange(0, 720);
    const int off = *rc::gen::inRange(250, 620);
    valves.push_back({i / 2 + 1, i % 2 == 0 ? ValveKind::intake : ValveKind::exhaust, opens * degree,
                      (opens + off) * degree});
  }
  const double margin = 10 * degree;
  const SettingPlan plan = fewest_positions(phases, valves, margin);
  std::vector<bool> reached(valves.size(), false);
  for (const auto& position : plan.positions) {
    for (const std::size_t i : position.valves) {
      RC_ASSERT(!reached[i]);
      reached[i] = true;
      RC_ASSERT(base_margin(valves[i], position.crank_angle) >= margin - 2e-9);
    }
  }
  RC_ASSERT(std::all_of(reached.begin(), reached.end(), [](bool r) { return r; }));
  if (plan.positions.size() <= 3) {
    RC_ASSERT(!whole_degrees_suffice(valves, margin, plan.positions.size() - 1,
                                     std::vector<bool>(valves.size(), false)));
  }
}

TEST(ValveSetting, MarginIsTheWayToTheNearestRamp) {
  const SettableValve valve{1, ValveKind::intake, 100 * degree, 400 * degree};
  EXPECT_NEAR(base_margin(valve, 410 * degree) / degree, 10.0, 1e-9);
  EXPECT_NEAR(base_margin(valve, 80 * degree) / degree, 20.0, 1e-9);
  EXPECT_NEAR(base_margin(valve, (80 + 1440) * degree) / degree, 20.0, 1e-9);
  EXPECT_NEAR(base_margin(valve, 130 * degree) / degree, -30.0, 1e-9);
  EXPECT_NEAR(base_margin(valve, 250 * degree) / degree, -150.0, 1e-9);
}

// Common practice, no source: intake at its own exhaust's opening, exhaust at its own intake's closing.
TEST(ValveSetting, OneAtATimeGivesWideMargins) {
  const CylinderPhases phases = even({1, 3, 4, 2});
  const auto valves = settable_valves(phases, intake(), exhaust());
  const auto order = one_at_a_time(valves);
  ASSERT_EQ(order.size(), 8U);
  EXPECT_TRUE(std::is_sorted(order.begin(), order.end(),
                             [](const auto& a, const auto& b) { return a.crank_angle < b.crank_angle; }));
  // Cylinder 3 fires at 180: its intake closes 265 after its overlap TDC at 540, that is at 85, less 20.
  EXPECT_EQ(order[0].valve, 5U);
  EXPECT_NEAR(order[0].crank_angle / degree, 65.0, 0.01);
  // Cylinder 1's exhaust opens at 92 degrees, its intake closed at −95.
  EXPECT_EQ(order[1].valve, 0U);
  EXPECT_NEAR(order[1].crank_angle / degree, 92.0, 1e-9);
  EXPECT_NEAR(order[1].margin / degree, 187.0, 1e-9);
  for (const auto& setting : order) {
    EXPECT_GT(setting.margin, 90 * degree);
  }
}

TEST(ValveSetting, OffBaseIsFoundOnAProfile) {
  const auto lobe = synthesise_lobe(
      symmetric_card(0.3 * inch, 108 * degree, {{0.006 * inch, 270 * degree}, {0.050 * inch, 220 * degree}}));
  ASSERT_TRUE(lobe.curve);
  const LiftCurve curve = [&](double x) { return lobe.curve->value(x); };
  const auto events = off_base(curve, 108 * degree, 0.006 * inch);
  ASSERT_TRUE(events);
  EXPECT_NEAR(events->opens / degree, 108.0 - 135.0, 1e-3);
  EXPECT_NEAR(events->closes / degree, 108.0 + 135.0, 1e-3);
  const auto ramps = off_base(curve, 108 * degree, 1e-6);
  EXPECT_LT(ramps->opens, events->opens);
  EXPECT_FALSE(off_base(curve, 108 * degree, 1.0));
  EXPECT_FALSE(off_base(curve, 108 * degree, -1.0));
}

TEST(ValveSetting, ValvesOutOfRangeAreRefused) {
  const CylinderPhases phases = even({1});
  EXPECT_THROW(static_cast<void>(settable_valves(phases, {0.5, 0.4}, exhaust())), std::invalid_argument);
  const auto valves = settable_valves(phases, intake(), exhaust());
  EXPECT_THROW(static_cast<void>(fewest_positions(phases, valves, -0.1)), std::invalid_argument);
  EXPECT_TRUE(fewest_positions(phases, {}, 0.1).positions.empty());
}

}  // namespace
}  // namespace fettle::mechanism::test
