#include "mechanism/preload.h"

#include <cmath>

#include <gtest/gtest.h>

#include "mechanism/rocker_train.h"
#include "mechanism/units.h"

namespace fettle::mechanism::test {
namespace {

// Arithmetic of the threads: 3/8-24 and 7/16-20 nuts at a ratio of 1.5.
TEST(Preload, OneTurnOfAStudNut) {
  EXPECT_NEAR(preload_per_turn(Adjuster::pivot, inch / 24.0, 1.5) / inch, 0.070, 6e-4);
  EXPECT_NEAR(preload_per_turn(Adjuster::pivot, inch / 20.0, 1.5) / inch, 0.083, 5e-4);
  EXPECT_NEAR(preload_per_turn(Adjuster::pushrod_end, inch / 24.0, 1.5) / inch, 1.0 / 24.0, 1e-12);
  EXPECT_NEAR(preload_from_turns(Adjuster::pivot, 0.5, inch / 24.0, 1.5) / inch, 0.0347, 5e-5);
  EXPECT_NEAR(turns_for_preload(Adjuster::pivot, 0.030 * inch, inch / 24.0, 1.5), 0.432, 1e-9);
}

// Against the exact train, with arms square: the rule is its derivative.
TEST(Preload, TheRuleIsTheDerivativeOfTheExactTrain) {
  RockerGeometry g;
  g.pivot = {-1.5 * inch, 0.0};
  g.tip = {1.5 * inch, 0.0};
  g.cup = {-1.0 * inch, 0.0};
  g.tappet = {-2.5 * inch, -7.0 * inch};
  g.pushrod_length = 7.0 * inch;
  const double turn = inch / 24.0;
  const double small = 1e-3;
  const double exact = -(RockerTrain(shifted(g, {.pivot_height = -small * turn})).slack() -
                         RockerTrain(shifted(g, {.pivot_height = small * turn})).slack()) /
                       (2.0 * small);
  EXPECT_NEAR(exact / preload_per_turn(Adjuster::pivot, turn, 1.5), 1.0, 1e-6);
  const double raised = -(RockerTrain(shifted(g, {.tip_height = 1e-6})).slack() -
                          RockerTrain(shifted(g, {.tip_height = -1e-6})).slack()) /
                        2.0;
  EXPECT_NEAR(preload_after(0.0, 0.0, 1e-6, 1.5) / raised, 1.0, 1e-6);
  EXPECT_NEAR(preload_after(1e-3, 0.2e-3, 0.0, 1.5), 1.2e-3, 1e-18);
}

// Common practice, no source: half a turn past zero lash puts a plunger of 0.070 in travel about mid-travel.
TEST(Preload, HalfATurnIsAboutMidTravel) {
  const double preload = preload_from_turns(Adjuster::pivot, 0.5, inch / 24.0, 1.5);
  EXPECT_NEAR(plunger_place(preload, 0.070 * inch), 0.5, 0.01);
  EXPECT_GT(plunger_place(preload_from_plunger(0.010 * inch, 0.090 * inch), 0.070 * inch), 1.0);
  EXPECT_LT(plunger_place(preload_from_plunger(0.010 * inch, 0.008 * inch), 0.070 * inch), 0.0);
}

TEST(Preload, GrowthOfAPartIsItsExpansion) {
  EXPECT_NEAR(warm_growth({23e-6, 0.1, 80.0, true, false}, 1.5), 184e-6, 1e-12);
  EXPECT_NEAR(warm_growth({11.5e-6, 0.2, 70.0, false, true}, 1.5), -241.5e-6, 1e-12);
}

TEST(Preload, ThreadsAndRatiosThatAreNoneAreRefused) {
  EXPECT_THROW(static_cast<void>(preload_per_turn(Adjuster::pivot, 0.0, 1.5)), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(preload_per_turn(Adjuster::pivot, 1e-3, -1.5)), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(preload_from_turns(Adjuster::pivot, std::nan(""), 1e-3, 1.5)),
               std::invalid_argument);
  EXPECT_THROW(static_cast<void>(plunger_place(1e-3, 0.0)), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::mechanism::test
