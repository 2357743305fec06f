#include "mechanism/shim_choice.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "mechanism/units.h"

namespace fettle::mechanism::test {
namespace {

ShimmableSpring linear(double bare_load, double rate, double thickest = 0.060 * inch) {
  return {[=](double stack) { return bare_load + rate * stack; }, thickest};
}

struct Brute {
  int shims = std::numeric_limits<int>::max();
  double spread = 0.0;
};

// Every spring tries every stack, without any cleverness: counts used so far, loads so far.
void try_all(const std::vector<ShimStock>& stock, const std::vector<ShimmableSpring>& springs,
             const ShimLimits& limits, std::size_t spring, std::vector<int> left, int used, double low,
             double high, Brute& best) {
  if (spring == springs.size()) {
    if (used < best.shims || (used == best.shims && high - low < best.spread)) {
      best = {used, high - low};
    }
    return;
  }
  const int most = limits.most_per_stack;
  for (int a = 0; a <= std::min(most, left[0]); ++a) {
    for (int b = 0; b <= std::min(most - a, left[1]); ++b) {
      const double stack = a * stock[0].thickness + b * stock[1].thickness;
      const double load = springs[spring].seat_load(stack);
      if (stack > springs[spring].thickest_stack + 1e-12 || load < limits.least_load ||
          load > limits.greatest_load) {
        continue;
      }
      try_all(stock, springs, limits, spring + 1, {left[0] - a, left[1] - b}, used + a + b,
              std::min(low, load), std::max(high, load), best);
    }
  }
}

RC_GTEST_PROP(ShimChoice, FewestShimsAndLeastSpreadAgreeWithTryingAll, ()) {
  const std::vector<ShimStock> stock{{0.015 * inch, *rc::gen::inRange(0, 5)},
                                     {0.030 * inch, *rc::gen::inRange(0, 4)}};
  std::vector<ShimmableSpring> springs;
  const int count = *rc::gen::inRange(1, 6);
  for (int i = 0; i < count; ++i) {
    springs.push_back(linear(*rc::gen::inRange(430, 520), 60e3));
  }
  const ShimLimits limits{480.0, static_cast<double>(*rc::gen::inRange(490, 560)), 2};
  Brute best;
  try_all(stock, springs, limits, 0, {stock[0].count, stock[1].count}, 0, HUGE_VAL, -HUGE_VAL, best);
  const ShimChoice choice = choose_shims(stock, springs, limits);
  RC_ASSERT(choice.proven);
  RC_ASSERT(choice.found == (best.shims != std::numeric_limits<int>::max()));
  if (!choice.found) {
    RC_ASSERT(choice.stacks.empty());
    return;
  }
  RC_ASSERT(choice.shims == best.shims);
  RC_ASSERT(std::abs(choice.spread - best.spread) < 1e-9);
  std::vector<int> used(2, 0);
  for (std::size_t i = 0; i < springs.size(); ++i) {
    double stack = 0.0;
    for (const std::size_t shim : choice.stacks[i].shims) {
      ++used[shim];
      stack += stock[shim].thickness;
    }
    RC_ASSERT(std::abs(stack - choice.stacks[i].thickness) < 1e-15);
    RC_ASSERT(std::abs(choice.stacks[i].seat_load - springs[i].seat_load(stack)) < 1e-9);
    RC_ASSERT(choice.stacks[i].seat_load >= limits.least_load &&
              choice.stacks[i].seat_load <= limits.greatest_load);
  }
  RC_ASSERT(used[0] <= stock[0].count && used[1] <= stock[1].count);
}

TEST(ShimChoice, ASpringThatCannotBeBroughtInIsNamedWithItsShortfall) {
  const std::vector<ShimStock> stock{{0.5e-3, 4}};
  const std::vector<ShimmableSpring> springs{linear(500.0, 60e3, 1.5e-3), linear(380.0, 60e3, 1.1e-3),
                                             linear(560.0, 60e3, 1.5e-3)};
  const ShimChoice choice = choose_shims(stock, springs, {480.0, 530.0, 3});
  EXPECT_FALSE(choice.found);
  ASSERT_EQ(choice.unreachable.size(), 2U);
  EXPECT_EQ(choice.unreachable[0].spring, 1U);
  EXPECT_NEAR(choice.unreachable[0].off, 380.0 + 60.0 - 480.0, 1e-9);
  EXPECT_NEAR(choice.unreachable[0].nearest.thickness, 1.0e-3, 1e-15);
  EXPECT_EQ(choice.unreachable[1].spring, 2U);
  EXPECT_NEAR(choice.unreachable[1].off, 30.0, 1e-9);
}

TEST(ShimChoice, AnEmptyDrawerSaysWhatItLacks) {
  const std::vector<ShimStock> stock{{0.5e-3, 1}};
  const std::vector<ShimmableSpring> springs{linear(460.0, 60e3), linear(465.0, 60e3)};
  const ShimChoice choice = choose_shims(stock, springs, {480.0, 530.0, 3});
  EXPECT_FALSE(choice.found);
  EXPECT_TRUE(choice.unreachable.empty());
  ASSERT_EQ(choice.missing.size(), 1U);
  EXPECT_EQ(choice.missing[0].count, 1);
}

TEST(ShimChoice, ASetOfSixteenIsProven) {
  const std::vector<ShimStock> stock{
      {0.015 * inch, 16}, {0.030 * inch, 16}, {0.060 * inch, 8}, {0.010 * inch, 6}, {0.020 * inch, 6}};
  std::vector<ShimmableSpring> springs;
  for (int i = 0; i < 16; ++i) {
    springs.push_back(linear(440.0 + 7.0 * (i * 5 % 16), 60e3));
  }
  const ShimChoice choice = choose_shims(stock, springs, {500.0, 560.0, 3});
  EXPECT_TRUE(choice.found) << choice.summary;
  EXPECT_TRUE(choice.proven);
  // The nine springs below 500 N need one shim each at the least, and one is enough for each.
  EXPECT_EQ(choice.shims, 9);
}

TEST(ShimChoice, LimitsOutOfOrderAreRefused) {
  const std::vector<ShimmableSpring> springs{linear(460.0, 60e3)};
  const std::vector<ShimStock> good{{0.5e-3, 1}};
  const std::vector<ShimStock> bad{{-0.5e-3, 1}};
  EXPECT_THROW(static_cast<void>(choose_shims(good, springs, {530.0, 480.0, 3})), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(choose_shims(bad, springs, {480.0, 530.0, 3})), std::invalid_argument);
  const std::vector<ShimmableSpring> broken{{[](double) { return std::nan(""); }, 1e-3}};
  EXPECT_THROW(static_cast<void>(choose_shims(good, broken, {480.0, 530.0, 3})), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::mechanism::test
