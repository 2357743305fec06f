#include <gtest/gtest.h>

#include "bench.h"

/// Mistakes in where the lobes stand: the wrong lobe, a wheel numbered the other way, a tooth out, one lobe
/// off. Clean readings of an invented engine, spoiled in one way each. Signatures are common practice, no
/// source.
namespace fettle::stations::test {
namespace {

using invented::Shop;

constexpr LobeKey intake_1{1, Valve::intake};
constexpr LobeKey exhaust_1{1, Valve::exhaust};

/// As a lobe of another cylinder or valve would be recorded under this one's name.
void record_as(std::vector<build::Reading>& readings, std::size_t from, const LobeKey& key) {
  for (std::size_t i = from; i < readings.size(); ++i) {
    readings[i].cylinder = key.cylinder;
    readings[i].valve = key.valve;
  }
}

void drop_lobe(build::Build& build, const LobeKey& key) {
  std::erase_if(build.readings, [&](const build::Reading& reading) {
    return reading.cylinder == key.cylinder && reading.valve == key.valve;
  });
}

/// The build with one lobe's readings taken on another lobe.
void mistake_lobe(build::Build& build, Shop& shop, const LobeKey& said, const LobeKey& real, bool swept) {
  drop_lobe(build, said);
  const std::size_t from = build.readings.size();
  if (swept) {
    build.readings.push_back(shop.lobe_sweep(real));
  } else {
    point_lobe(build, shop, real);
  }
  record_as(build.readings, from, said);
}

TEST(CamMistakes, CleanSweepsAccuseNobody) {
  for (const double late : {0.0, 3.6}) {
    for (int seed = 1; seed <= clean_seeds; ++seed) {
      Shop shop(static_cast<std::uint64_t>(seed), cam_late(late));
      for (const auto& mistake : prove(shop.full_build()).mistakes) {
        ADD_FAILURE() << late << " late, seed " << seed << ": " << mistake.id << ": " << mistake.says;
      }
    }
  }
}

TEST(CamMistakes, CleanPointsAccuseNobody) {
  for (const double late : {0.0, 3.6}) {
    for (int seed = 1; seed <= clean_seeds; ++seed) {
      Shop shop(static_cast<std::uint64_t>(seed), cam_late(late));
      for (const auto& mistake : prove(point_build(shop, {1, 6})).mistakes) {
        ADD_FAILURE() << late << " late, seed " << seed << ": " << mistake.id << ": " << mistake.says;
      }
    }
  }
}

TEST(CamMistakes, WheelStatedToCountBackwardAccusesNobody) {
  invented::ShopOptions options;
  options.counts_forward = false;
  for (int seed = 1; seed <= clean_seeds; ++seed) {
    Shop shop(static_cast<std::uint64_t>(seed), options);
    EXPECT_EQ(mistake_ids(prove(shop.full_build())), Ids{});
    EXPECT_EQ(mistake_ids(prove(point_build(shop, {1, 6}))), Ids{});
  }
}

TEST(CamMistakes, LateCamWithTdcFoundOnceMayBeTdc) {
  for (int seed = 1; seed <= clean_seeds; ++seed) {
    Shop late(static_cast<std::uint64_t>(seed), cam_late(3.6));
    const Report report = prove(point_build(late, {1, 6}, false));
    EXPECT_EQ(mistake_ids(report), Ids{"cam.phase_or_tdc"});
    Shop right(static_cast<std::uint64_t>(seed), cam_late(0));
    EXPECT_EQ(mistake_ids(prove(point_build(right, {1, 6}, false))), Ids{});
  }
}

TEST(CamMistakes, LobeOfAnotherCylinderOfTheV8IsNamed) {
  // Firing order 1-8-4-3-6-5-7-2: 8 stands 90 deg after 1, 4 half a turn, 3 270 deg.
  for (const int real : {8, 4, 3, 5, 7, 2}) {
    for (const bool swept : {true, false}) {
      for (int seed = 1; seed <= 5; ++seed) {
        Shop shop(static_cast<std::uint64_t>(seed));
        build::Build build = swept ? shop.full_build() : point_build(shop, {1, 6});
        if (swept) {  // The sweep backward is the right lobe's.
          std::erase_if(build.readings, [](const build::Reading& reading) {
            return reading.valve && reading.turning == Turning::backward;
          });
        }
        mistake_lobe(build, shop, intake_1, {real, Valve::intake}, swept);
        const Report report = prove(build);
        ASSERT_EQ(mistake_ids(report), Ids{"cam.wrong_cylinder"}) << real << (swept ? " swept" : " points");
        const Mistake& mistake = only(report, "cam.wrong_cylinder");
        EXPECT_EQ(mistake.cylinder, 1);
        EXPECT_EQ(mistake.readings, readings_of(build, intake_1));
      }
    }
  }
}

TEST(CamMistakes, CompanionCylinderCannotBeSeenOnAWheel) {
  // 6 is the companion of 1: one whole turn later.
  Shop shop(3);
  build::Build build = point_build(shop, {1, 2});
  mistake_lobe(build, shop, intake_1, {6, Valve::intake}, false);
  EXPECT_EQ(mistake_ids(prove(build)), Ids{});
}

TEST(CamMistakes, ExhaustLobeReadAsIntakeIsNamed) {
  for (const bool swept : {true, false}) {
    for (int seed = 1; seed <= clean_seeds / 3; ++seed) {
      Shop shop(static_cast<std::uint64_t>(seed));
      build::Build build = swept ? shop.full_build() : point_build(shop, {1, 6});
      if (swept) {
        std::erase_if(build.readings, [](const build::Reading& reading) {
          return reading.valve && reading.turning == Turning::backward;
        });
      }
      mistake_lobe(build, shop, intake_1, exhaust_1, swept);
      const Report report = prove(build);
      ASSERT_EQ(mistake_ids(report), Ids{"cam.other_valve"}) << (swept ? " swept" : " points");
      EXPECT_EQ(only(report, "cam.other_valve").cylinder, 1);
      EXPECT_EQ(only(report, "cam.other_valve").readings, readings_of(build, intake_1));
      // The trade's tell: the "intake centreline" is about 114 before TDC, and reads near 250.
      EXPECT_NEAR(degrees(report, "cam.intake_centerline", of(1)), 360 - 114 + 3.6, 1.5);
    }
  }
}

TEST(CamMistakes, IntakeLobeReadAsExhaustIsNamedOnACylinderReadAlone) {
  Shop shop(8);
  build::Build build = point_build(shop, {1});
  mistake_lobe(build, shop, exhaust_1, intake_1, false);
  const Report report = prove(build);
  EXPECT_EQ(mistake_ids(report), Ids{"cam.other_valve"});
  EXPECT_EQ(only(report, "cam.other_valve").readings, readings_of(build, exhaust_1));
}

TEST(CamMistakes, LobeOfAnotherCylinderOfASixIsNamed) {
  // Written by hand: inline six 1-5-3-6-2-4, ICL 108, 212 deg at 0.050 in. 5 stands 120 deg after 1.
  for (const double off : {120.0, 240.0}) {
    build::Build build = hand_build();
    build.engine.layout = "inline 6";
    build.engine.firing_order = {1, 5, 3, 6, 2, 4};
    build.cam.emplace().card.emplace().intake = build::LobeCard{angle(108), {}, {}, {}};
    find_tdc(build);
    read_lobe(build, intake_1, 0.050, fmt::format("{} deg", 2 + off), fmt::format("{} deg", 214 + off));
    const Report report = prove(build);
    EXPECT_EQ(mistake_ids(report), Ids{"cam.wrong_cylinder"});
    EXPECT_NE(only(report, "cam.wrong_cylinder").says.find(off < 180 ? "120.0 deg late" : "120.0 deg early"),
              std::string::npos);
  }
}

TEST(CamMistakes, SweepsOnAMirroredWheelAreToldFromTheirOrder) {
  for (int seed = 1; seed <= 3; ++seed) {
    Shop shop(static_cast<std::uint64_t>(seed));
    build::Build build = shop.full_build();
    for (build::Reading& reading : build.readings) {
      mirror_wheel(reading);
    }
    const Report report = prove(build);
    EXPECT_EQ(mistake_ids(report), (Ids{"cam.wheel_mirrored", "tdc.bottom_dead_centre"}));
    EXPECT_EQ(only(report, "cam.wheel_mirrored").readings.size(), 16U);
    // Only the wheel was stated wrongly.
    build.tools["wheel"].counts = Turning::backward;
    EXPECT_EQ(mistake_ids(prove(build)), Ids{});
  }
}

TEST(CamMistakes, PointsOnAMirroredWheelAreToldFromTheirSpan) {
  for (int seed = 1; seed <= clean_seeds; ++seed) {
    Shop shop(static_cast<std::uint64_t>(seed));
    build::Build build = point_build(shop, {1, 6});
    for (build::Reading& reading : build.readings) {
      mirror_wheel(reading);
    }
    const Report report = prove(build);
    EXPECT_EQ(mistake_ids(report), (Ids{"cam.wheel_mirrored", "tdc.bottom_dead_centre"}));
    build.tools["wheel"].counts = Turning::backward;
    EXPECT_EQ(mistake_ids(prove(build)), Ids{});
  }
}

TEST(CamMistakes, DropsFromTheTopOnAMirroredWheelAreToldFromTheirSpan) {
  Shop shop(2);
  build::Build build = shop.parts();
  shop_stop(build, shop, 1);
  shop_stop(build, shop, 2);
  for (const LobeKey& key : {intake_1, exhaust_1}) {
    build.readings.push_back(shop.lobe_point(key, Side::opening, 0.050, true));
    build.readings.push_back(shop.lobe_point(key, Side::closing, 0.050, true));
  }
  EXPECT_EQ(mistake_ids(prove(build)), Ids{});
  for (int place = 4; place < 8; ++place) {
    mirror_wheel(at(build, place));
  }
  const Report report = prove(build);
  EXPECT_EQ(mistake_ids(report), Ids{"cam.wheel_mirrored"});
  EXPECT_EQ(only(report, "cam.wheel_mirrored").readings, (std::vector<int>{4, 5, 6, 7}));
}

TEST(CamMistakes, CamSetOneToothOverIsNamed) {
  // 42 teeth: 720 / 42 = 17.14 crank degrees each (arithmetic).
  for (const double teeth : {-2.0, -1.0, 1.0}) {
    for (int seed = 1; seed <= 5; ++seed) {
      Shop shop(static_cast<std::uint64_t>(seed), cam_late(teeth * 720 / 42 + 1.5));
      const build::Build swept = shop.full_build();
      for (const build::Build& build : {swept, point_build(shop, {1, 6}), point_build(shop, {1, 6}, false)}) {
        const Report report = prove(build);
        ASSERT_EQ(mistake_ids(report), Ids{"cam.tooth_out"}) << teeth;
        const std::string& says = only(report, "cam.tooth_out").says;
        EXPECT_NE(says.find(teeth > 0 ? "late" : "early"), std::string::npos);
        EXPECT_NE(says.find(std::abs(teeth) > 1 ? "2 of the cam's 42 teeth are 34.3"
                                                : "1 of the cam's 42 teeth is 17.1"),
                  std::string::npos)
            << says;
      }
    }
  }
}

TEST(CamMistakes, OneLobeThatStandsOffIsNamedAlone) {
  for (const double off : {-4.0, 4.0}) {
    for (int seed = 1; seed <= clean_seeds / 3; ++seed) {
      Shop shop(static_cast<std::uint64_t>(seed));
      build::Build build = shop.full_build();
      turn_wheel(sweep_of(build, {5, Valve::exhaust}), off * degree);
      const Report report = prove(build);
      ASSERT_EQ(mistake_ids(report), Ids{"cam.one_lobe_off"});
      const Mistake& mistake = only(report, "cam.one_lobe_off");
      EXPECT_EQ(mistake.cylinder, 5);
      EXPECT_EQ(mistake.readings, readings_of(build, {5, Valve::exhaust}));
      EXPECT_NE(mistake.says.find(off > 0 ? "late" : "early"), std::string::npos);
    }
  }
}

}  // namespace
}  // namespace fettle::stations::test
