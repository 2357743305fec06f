#include <gtest/gtest.h>

#include "bench.h"

/// Mistakes in finding true TDC: clean readings of an invented engine, spoiled in one way each. Every
/// signature is common practice, no source.
namespace fettle::stations::test {
namespace {

using invented::Shop;

/// The stop met in two passes, 41.6 degrees apart.
build::Build two_passes(Shop& shop) {
  build::Build build = shop.parts();
  shop_stop(build, shop, 1);
  shop_stop(build, shop, 2);
  return build;
}

TEST(TdcMistakes, CleanContactsAccuseNobody) {
  for (int seed = 1; seed <= 10 * clean_seeds; ++seed) {
    Shop shop(static_cast<std::uint64_t>(seed));
    build::Build build = two_passes(shop);
    // The wheel's own error is another one on another cylinder: no slip.
    shop_stop(build, shop, 1, 8);
    shop_stop(build, shop, 1, 3);
    for (const auto& mistake : prove(build).mistakes) {
      ADD_FAILURE() << "seed " << seed << ": " << mistake.id << ": " << mistake.says;
    }
  }
}

TEST(TdcMistakes, WheelThatSlippedBetweenPassesIsToldByItsMidpoint) {
  for (int seed = 1; seed <= clean_seeds; ++seed) {
    Shop shop(static_cast<std::uint64_t>(seed));
    build::Build build = two_passes(shop);
    turn_wheel(at(build, 2), 1.5 * degree);
    turn_wheel(at(build, 3), 1.5 * degree);
    const Report report = prove(build);
    EXPECT_EQ(mistake_ids(report), Ids{"tdc.stops_disagree"});
    EXPECT_EQ(only(report, "tdc.stops_disagree").readings, (std::vector<int>{0, 1, 2, 3}));
    EXPECT_NEAR(degrees(report, "tdc.shift"), 1.5, 0.4);
    EXPECT_EQ(finding(report, "tdc.shift").verdict, metrology::Verdict::fails);
  }
}

TEST(TdcMistakes, SlippedWheelDoesNotAccuseTheLobes) {
  Shop shop(5, cam_late(0));
  build::Build build = shop.full_build();
  const int last = static_cast<int>(build.readings.size()) - 1;
  turn_wheel(at(build, last - 1), 1.5 * degree);
  turn_wheel(at(build, last), 1.5 * degree);
  const Report report = prove(build);
  EXPECT_EQ(mistake_ids(report), Ids{"tdc.stops_disagree"});
  EXPECT_EQ(only(report, "tdc.stops_disagree").readings, (std::vector<int>{0, 1, last - 1, last}));
}

TEST(TdcMistakes, StopThatMovedIsToldByItsSpan) {
  for (int seed = 1; seed <= clean_seeds; ++seed) {
    Shop shop(static_cast<std::uint64_t>(seed));
    build::Build build = shop.parts();
    build.readings = {shop.stop(Turning::forward, 41.6, 1), shop.stop(Turning::backward, 41.6, 1),
                      shop.stop(Turning::forward, 44.0, 2), shop.stop(Turning::backward, 44.0, 2)};
    const Report report = prove(build);
    EXPECT_EQ(mistake_ids(report), Ids{"tdc.span_changed"});
    EXPECT_EQ(only(report, "tdc.span_changed").readings, (std::vector<int>{0, 1, 2, 3}));
  }
}

TEST(TdcMistakes, TwoStopsOfDifferentLengthAreNoChangeOfSpan) {
  Shop shop(3);
  build::Build build = shop.parts();
  build.readings = {shop.stop(Turning::forward, 41.6, 1), shop.stop(Turning::backward, 41.6, 1),
                    shop.stop(Turning::forward, 60.0, 1), shop.stop(Turning::backward, 60.0, 1)};
  at(build, 2).stop = "long";
  at(build, 3).stop = "long";
  EXPECT_EQ(mistake_ids(prove(build)), Ids{});
}

TEST(TdcMistakes, SpanMustFitTheStopsDepth) {
  for (int seed = 1; seed <= clean_seeds; ++seed) {
    Shop shop(static_cast<std::uint64_t>(seed));
    build::Build build = two_passes(shop);
    const double depth = shop.crank().depth_from_span(41.6 * degree) / inch;
    at(build, 0).stop_depth = inches(depth);
    EXPECT_EQ(mistake_ids(prove(build)), Ids{}) << "the right depth";
    at(build, 0).stop_depth = inches(depth + 0.050);
    const Report report = prove(build);
    EXPECT_EQ(mistake_ids(report), Ids{"tdc.impossible_contact"});
    EXPECT_EQ(only(report, "tdc.impossible_contact").readings, (std::vector<int>{0, 1}));
    EXPECT_EQ(only(report, "tdc.impossible_contact").cylinder, 1);
  }
}

TEST(TdcMistakes, StopDeeperThanTheStrokeIsImpossible) {
  Shop shop(1);
  build::Build build = two_passes(shop);
  at(build, 0).stop_depth = inches(3.6);
  EXPECT_EQ(mistake_ids(prove(build)), Ids{"tdc.impossible_contact"});
}

TEST(TdcMistakes, SwappedDirectionsGiveBottomDeadCentre) {
  for (int seed = 1; seed <= clean_seeds; ++seed) {
    Shop shop(static_cast<std::uint64_t>(seed));
    build::Build build = shop.parts();
    shop_stop(build, shop);
    std::swap(*at(build, 0).turning, *at(build, 1).turning);
    const Report report = prove(build);
    EXPECT_EQ(mistake_ids(report), Ids{"tdc.bottom_dead_centre"});
    EXPECT_EQ(only(report, "tdc.bottom_dead_centre").cylinder, 1);
  }
}

TEST(TdcMistakes, SwappedDirectionsDoNotAccuseTheLobes) {
  Shop shop(2, cam_late(0));
  build::Build swept = shop.full_build();
  build::Build pointed = point_build(shop, {1, 2}, false);
  for (build::Build* build : {&swept, &pointed}) {
    for (build::Reading& reading : build->readings) {
      if (reading.kind == build::ReadingKind::stop_contact) {
        reading.turning = *reading.turning == Turning::forward ? Turning::backward : Turning::forward;
      }
    }
    EXPECT_EQ(mistake_ids(prove(*build)), Ids{"tdc.bottom_dead_centre"});
  }
}

TEST(TdcMistakes, OnePassWithSwappedDirectionsIsNotTakenForASlippedWheel) {
  Shop shop(4);
  build::Build build = two_passes(shop);
  std::swap(*at(build, 0).turning, *at(build, 1).turning);
  const Report report = prove(build);
  EXPECT_EQ(mistake_ids(report), Ids{"tdc.bottom_dead_centre"});
  auto readings = only(report, "tdc.bottom_dead_centre").readings;
  std::sort(readings.begin(), readings.end());
  EXPECT_EQ(readings, (std::vector<int>{0, 1}));

  build::Build second = two_passes(shop);
  std::swap(*at(second, 2).turning, *at(second, 3).turning);
  EXPECT_EQ(mistake_ids(prove(second)), Ids{"tdc.bottom_dead_centre"});
}

TEST(TdcMistakes, ContactsRecordedInTheSameDirectionTwiceAreNamed) {
  for (const Turning turning : {Turning::forward, Turning::backward}) {
    Shop shop(1);
    build::Build build = shop.parts();
    shop_stop(build, shop);
    at(build, 0).turning = turning;
    at(build, 1).turning = turning;
    const Report report = prove(build);
    EXPECT_EQ(mistake_ids(report), Ids{"tdc.same_direction"});
    EXPECT_EQ(only(report, "tdc.same_direction").readings, (std::vector<int>{0, 1}));
  }
}

TEST(TdcMistakes, OneContactAloneIsNotYetAMistake) {
  Shop shop(1);
  build::Build build = shop.parts();
  build.readings = {shop.stop(Turning::forward, 41.6)};
  EXPECT_EQ(mistake_ids(prove(build)), Ids{});
}

TEST(TdcMistakes, StopMetCloserThanFifteenDegreesIsTooNear) {
  Shop shop(1);
  build::Build build = shop.parts();
  build.readings = {shop.stop(Turning::forward, 24), shop.stop(Turning::backward, 24)};
  EXPECT_EQ(mistake_ids(prove(build)), Ids{"tdc.stop_too_near"});
  build.readings = {shop.stop(Turning::forward, 32), shop.stop(Turning::backward, 32)};
  EXPECT_EQ(mistake_ids(prove(build)), Ids{});
}

TEST(TdcMistakes, StopOnAnotherCylinderThanStatedIsNotBlamedOnEveryLobe) {
  for (const int cylinder : {8, 4, 3}) {
    Shop shop(6);
    build::Build build = shop.full_build();
    std::vector<int> contacts;
    for (std::size_t i = 0; i < build.readings.size(); ++i) {
      build::Reading& reading = build.readings[i];
      if (reading.kind == build::ReadingKind::stop_contact) {
        turn_wheel(reading, shop.phases().crank_phase(cylinder));
        contacts.push_back(static_cast<int>(i));
      }
    }
    const Report report = prove(build);
    EXPECT_EQ(mistake_ids(report), Ids{"tdc.wrong_cylinder"}) << cylinder;
    EXPECT_EQ(only(report, "tdc.wrong_cylinder").readings, contacts);
  }
}

}  // namespace
}  // namespace fettle::stations::test
