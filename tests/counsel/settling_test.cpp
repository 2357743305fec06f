// How often a reading has to be taken, against the variance of a mean worked out by hand.

#include "counsel/settling.h"

#include <cmath>

#include <gtest/gtest.h>

namespace fettle::counsel::test {
namespace {

using metrology::Verdict;

/// A clearance of 0.060 mm with a limit of 0.055 mm at least, ± 0.010 mm: the limit lies within the doubt.
stations::Finding too_close(double share_of_reading) {
  stations::Finding finding;
  finding.id = "bore.piston_clearance";
  finding.value = 60e-6;
  finding.expanded = 10e-6;
  finding.limit = stations::LimitInForce{55e-6, std::nullopt, "sheet"};
  finding.verdict = Verdict::too_close;
  finding.shares = {{0, "", "diameter", share_of_reading},
                    {std::nullopt, "bore gauge", "setting", 1 - share_of_reading}};
  return finding;
}

build::Build with_repeats(std::size_t repeats) {
  build::Build build;
  build.tools["bore gauge"] = {};
  build.readings.emplace_back();
  build.readings.front().repeats.resize(repeats);
  return build;
}

TEST(Settling, TakesAsManyReadingsAsBringTheMeanBelowTheMargin) {
  // Half the doubt is wanted, strictly: a mean of four has just half (JCGM 100:2008, 4.2.3), so five.
  const auto settling = settling_of(with_repeats(0), too_close(1));
  ASSERT_TRUE(settling);
  EXPECT_NEAR(settling->wanted, 5e-6, 1e-15);
  EXPECT_EQ(settling->reading, 0);
  EXPECT_EQ(settling->times, 5);
}

TEST(Settling, CountsTheRepeatsThatStand) {
  // A mean of two halves its own u with eight in all, which is just the margin: nine.
  EXPECT_EQ(settling_of(with_repeats(1), too_close(1))->times, 9);
}

TEST(Settling, LeavesTheDoubtAsWantedAndNotWithOneLess) {
  for (const double share : {0.8, 0.9, 0.97}) {
    const auto settling = settling_of(with_repeats(0), too_close(share));
    ASSERT_TRUE(settling && settling->times) << share;
    const auto expanded = [&](int times) { return 10e-6 * std::sqrt(1 - share + share / times); };
    EXPECT_LT(expanded(*settling->times), settling->wanted) << share;
    EXPECT_GE(expanded(*settling->times - 1), settling->wanted) << share;
  }
}

TEST(Settling, NamesTheToolWhereRepeatsDoNotDoIt) {
  // A quarter of the variance is the reading's own: without it 0.87 of the doubt is left, half is wanted.
  const auto settling = settling_of(with_repeats(0), too_close(0.25));
  ASSERT_TRUE(settling);
  EXPECT_FALSE(settling->times);
  EXPECT_EQ(settling->tool, "bore gauge");
  auto assumed = too_close(0.25);
  assumed.shares.back() = {std::nullopt, "cranking", "exponent of compression", 0.75};
  const auto other = settling_of(with_repeats(0), assumed);
  ASSERT_TRUE(other);
  EXPECT_TRUE(other->tool.empty());
  EXPECT_EQ(other->label, "exponent of compression");
}

TEST(Settling, IsForFindingsTooCloseToCall) {
  auto finding = too_close(1);
  finding.verdict = Verdict::holds;
  EXPECT_FALSE(settling_of(with_repeats(0), finding));
  finding.verdict = Verdict::fails;
  EXPECT_FALSE(settling_of(with_repeats(0), finding));
}

}  // namespace
}  // namespace fettle::counsel::test
