#include "mechanism/phasing.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "mechanism/units.h"

namespace fettle::mechanism::test {
namespace {

// Odd cylinders in one bank, even in the other, pairs 1-2, 3-4, 5-6, 7-8 on throws of a cross-plane crank.
std::vector<CylinderPlace> cross_plane_v8() {
  const double throws[] = {0, 90, 270, 180};
  std::vector<CylinderPlace> places;
  for (int cylinder = 1; cylinder <= 8; ++cylinder) {
    places.push_back({throws[(cylinder - 1) / 2] * degree, (cylinder % 2 == 1 ? 45.0 : -45.0) * degree});
  }
  return places;
}

// The commonest V8 firing order on its crank: common practice, no source.
TEST(Phasing, V8FiresEachCylinderAtItsTdc) {
  const CylinderPhases phases({{1, 8, 4, 3, 6, 5, 7, 2}, {}});
  EXPECT_NEAR(phases.firing_tdc(1) / degree, 0, 1e-9);
  EXPECT_NEAR(phases.firing_tdc(8) / degree, 90, 1e-9);
  EXPECT_NEAR(phases.firing_tdc(2) / degree, 630, 1e-9);
  EXPECT_NEAR(phases.crank_phase(2) / degree, 270, 1e-9);
  EXPECT_NEAR(phases.crank_phase(6) / degree, 0, 1e-9);
  EXPECT_EQ(phases.companion(1), 6);
  EXPECT_EQ(phases.companion(8), 5);
  EXPECT_NEAR(phases.overlap_tdc(6) / degree, 0, 1e-9);
  EXPECT_TRUE(phase_mismatches(phases, cross_plane_v8(), 0.01 * degree).empty());
}

TEST(Phasing, ASwappedPairOfTheOrderDisagreesWithTheCrank) {
  const CylinderPhases swapped({{1, 8, 3, 4, 6, 5, 7, 2}, {}});
  const auto mismatches = phase_mismatches(swapped, cross_plane_v8(), 0.5 * degree);
  ASSERT_EQ(mismatches.size(), 2U);
  EXPECT_EQ(mismatches[0].cylinder, 3);
  EXPECT_NEAR(std::abs(mismatches[0].error) / degree, 90, 1e-9);
  EXPECT_EQ(mismatches[1].cylinder, 4);
}

TEST(Phasing, InlineEnginesFromThrowsAlone) {
  // Inline four, flat crank; inline six.
  const std::vector<CylinderPlace> four{{0, 0}, {180 * degree, 0}, {180 * degree, 0}, {0, 0}};
  EXPECT_TRUE(phase_mismatches(CylinderPhases({{1, 3, 4, 2}, {}}), four, 1e-6).empty());
  // Throws counted in the direction of rotation: the one 240 ahead is 120 behind, and reaches the top 120
  // later.
  const std::vector<CylinderPlace> six{
      {0, 0}, {240 * degree, 0}, {120 * degree, 0}, {120 * degree, 0}, {240 * degree, 0}, {0, 0}};
  EXPECT_TRUE(phase_mismatches(CylinderPhases({{1, 5, 3, 6, 2, 4}, {}}), six, 1e-6).empty());
  EXPECT_FALSE(phase_mismatches(CylinderPhases({{1, 4, 2, 6, 3, 5}, {}}), six, 1e-6).empty());
  const auto intervals = intervals_from_geometry({1, 5, 3, 6, 2, 4}, six);
  ASSERT_TRUE(intervals);
  for (const double interval : *intervals) {
    EXPECT_NEAR(interval / degree, 120, 1e-9);
  }
}

TEST(Phasing, NarrowTwinOnOnePinFiresOdd) {
  const std::vector<CylinderPlace> twin{{0, -22.5 * degree}, {0, 22.5 * degree}};
  const auto intervals = intervals_from_geometry({2, 1}, twin);
  ASSERT_TRUE(intervals);
  EXPECT_NEAR((*intervals)[0] / degree, 315, 1e-9);
  EXPECT_NEAR((*intervals)[1] / degree, 405, 1e-9);
  const CylinderPhases phases({{2, 1}, *intervals});
  EXPECT_NEAR(phases.firing_tdc(1), 0, 1e-12);
  EXPECT_NEAR(phases.firing_tdc(2) / degree, 405, 1e-9);
  EXPECT_FALSE(phases.companion(1));
  EXPECT_TRUE(phase_mismatches(phases, twin, 1e-6).empty());
}

TEST(Phasing, SingleCylinderHasNoCompanion) {
  const CylinderPhases phases({{1}, {}});
  EXPECT_EQ(phases.cylinders(), 1);
  EXPECT_FALSE(phases.companion(1));
  EXPECT_NEAR(phases.overlap_tdc(1) / degree, 360, 1e-9);
  EXPECT_NEAR(phases.intervals()[0] / degree, 720, 1e-9);
}

TEST(Phasing, ParallelTwinTogetherOrAlternating) {
  // Both throws in line: a whole turn apart.
  const auto together = intervals_from_geometry({1, 2}, {{0, 0}, {0, 0}});
  ASSERT_TRUE(together);
  EXPECT_NEAR((*together)[0] / degree, 360, 1e-9);
  const auto opposed = intervals_from_geometry({1, 2}, {{0, 0}, {180 * degree, 0}});
  ASSERT_TRUE(opposed);
  EXPECT_NEAR((*opposed)[0] / degree + (*opposed)[1] / degree, 720, 1e-9);
}

TEST(Phasing, OrdersThatCannotFireWithinACycleAreRefused) {
  // Flat crank with an order that goes four half turns too far round.
  const std::vector<CylinderPlace> crank{{0, 0}, {270 * degree, 0}, {180 * degree, 0}, {90 * degree, 0}};
  EXPECT_FALSE(intervals_from_geometry({1, 4, 3, 2}, crank));
}

TEST(Phasing, BadPlansAreToldApart) {
  EXPECT_THAT(firing_plan_problems({{1, 3, 3, 2}, {}}),
              testing::ElementsAre(testing::HasSubstr("cylinder 3 2 times"),
                                   testing::HasSubstr("cylinder 4 0 times")));
  EXPECT_THAT(firing_plan_problems({{}, {}}), testing::SizeIs(1));
  EXPECT_THAT(firing_plan_problems({{1, 2}, {300 * degree, 400 * degree}}),
              testing::ElementsAre(testing::HasSubstr("700")));
  EXPECT_THAT(firing_plan_problems({{1, 2}, {720 * degree}}), testing::SizeIs(1));
  EXPECT_THAT(firing_plan_problems({{1, 2}, {-10 * degree, 730 * degree}}), testing::SizeIs(1));
  EXPECT_TRUE(firing_plan_problems({{1, 2}, {0.0, 720 * degree}}).empty());
  EXPECT_THROW(CylinderPhases({{2, 2}, {}}), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(CylinderPhases({{1}, {}}).firing_tdc(2)), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::mechanism::test
