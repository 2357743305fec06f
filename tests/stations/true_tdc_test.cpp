#include "stations/true_tdc.h"

#include <gtest/gtest.h>

#include "bench.h"

/// Station True TDC: what wheel readings make of true TDC.
namespace fettle::stations::test {
namespace {

using metrology::Verdict;

constexpr double crank_throw = 0.043;
constexpr double rod = 0.1486;

/// Piston below TDC, m, at a crank angle from it; no pin offset. Heywood, Internal Combustion Engine
/// Fundamentals, ch. 2.
double depth(double from_tdc_deg) {
  const double angle = from_tdc_deg * degree;
  return crank_throw * (1 - std::cos(angle)) + rod -
         std::sqrt(rod * rod - std::pow(crank_throw * std::sin(angle), 2));
}

/// An indicator drop of a depth that is known exactly.
build::Reading drop(Side side, double depth_m, double wheel_deg) {
  build::Reading reading;
  reading.kind = build::ReadingKind::tdc_drop;
  reading.cylinder = 1;
  reading.side = side;
  reading.drop = build::Length::typed(depth_m, fmt::format("{:.6f} mm", depth_m * 1e3));
  reading.wheel = on_wheel(wheel_deg * degree);
  reading.tool = "wheel";
  reading.lift_tool = "dial";
  return reading;
}

build::Build with(std::vector<build::Reading> readings) {
  build::Build build = hand_build();
  build.readings = std::move(readings);
  return build;
}

TEST(TrueTdc, StopMetAtNoughtAndFortyOneStandsAtTwentyAndAHalf) {
  // Arithmetic of the trade: the wheel error is half the sum.
  const Report report = prove(with({stop(Turning::forward, "0 deg"), stop(Turning::backward, "41 deg")}));
  EXPECT_NEAR(degrees(report, "tdc.wheel"), 20.5, 1e-9);
  EXPECT_NE(finding(report, "tdc.wheel").verdict, Verdict::open);
}

TEST(TrueTdc, WheelErrorIsHalfTheDifferenceOfBothSides) {
  // STATIONS 9: error = (b - a) / 2. Read 18 BTDC and 21 ATDC: the wheel's TDC mark stands 1.5 deg early.
  const Report report = prove(with({stop(Turning::forward, "18 BTDC"), stop(Turning::backward, "21 ATDC")}));
  EXPECT_NEAR(degrees(report, "tdc.wheel"), 1.5, 1e-9);
}

TEST(TrueTdc, MidpointIsFoundAcrossTheWheelsZero) {
  const Report report = prove(with({stop(Turning::forward, "340 deg"), stop(Turning::backward, "21 deg")}));
  EXPECT_NEAR(degrees(report, "tdc.wheel"), 0.5, 1e-9);
}

TEST(TrueTdc, DoubtIsTheSameWhereverTheWheelStands) {
  // A wheel set to read 0 at TDC must show no jump there.
  for (const double at_tdc : {0.0, 0.1, 90.0, 180.0, 359.9}) {
    build::Build build = with({stop(Turning::forward, "20 BTDC"), stop(Turning::backward, "20 ATDC")});
    build.tools["wheel"].resolution = angle_measure(0.5);
    for (build::Reading& reading : build.readings) {
      turn_wheel(reading, at_tdc * degree);
    }
    const Report report = prove(build, {.trials = 1000});
    const Finding& tdc = finding(report, "tdc.wheel");
    // Two readings to half a degree, rectangular: 0.5 / sqrt(12) / sqrt(2).
    EXPECT_NEAR(tdc.u / degree, 0.5 / std::sqrt(24), 1e-6) << at_tdc;
    EXPECT_NEAR(tdc.trials->u / tdc.u, 1, 0.1) << at_tdc;
  }
}

TEST(TrueTdc, PinOffsetIsTakenOffTheMidpoint) {
  // Closed form: at a height y the pin stands hypot(y, d) from the crank's centre, leaning atan(d / y); the
  // throw lies symmetrically to that line, by the law of cosines. For r = 43, l = 148.6, d = 1.5 mm and 5 mm
  // of depth TDC is at 0.4486 deg of throw and the stops straddle 0.4606 (recomputed).
  constexpr double offset = 0.0015;
  const double highest = std::sqrt(std::pow(crank_throw + rod, 2) - offset * offset);
  const double tdc = std::atan2(offset, highest);
  const double height = highest - 0.005;
  const double middle = std::atan2(offset, height);
  const double reach = std::hypot(height, offset);
  const double half =
      std::acos((crank_throw * crank_throw + reach * reach - rod * rod) / (2 * crank_throw * reach));
  ASSERT_NEAR(tdc / degree, 0.4486, 5e-5);
  ASSERT_NEAR(middle / degree, 0.4606, 5e-5);

  build::Build build = hand_build();
  build.engine.pin_offset = millimetres(1.5);
  for (const Turning turning : {Turning::forward, Turning::backward}) {
    build.readings.push_back(stop(turning, "0 deg"));
    const double contact = middle + (turning == Turning::forward ? -half : half);
    build.readings.back().wheel = build::WheelMark{contact, fmt::format("{:.9f} deg", contact / degree)};
  }
  EXPECT_NEAR(degrees(prove(build), "tdc.wheel"), tdc / degree, 1e-6);
}

TEST(TrueTdc, StopOnAnotherCylinderIsBroughtHomeByThePhasing) {
  // Firing order 1-3-4-2: cylinder 3 is at TDC half a turn after 1, cylinder 4 with 1.
  for (const auto& [cylinder, from, to] :
       {std::tuple{3, "160.5 deg", "201.5 deg"}, {4, "340.5 deg", "21.5 deg"}}) {
    const Report report =
        prove(with({stop(Turning::forward, from, cylinder), stop(Turning::backward, to, cylinder)}));
    EXPECT_NEAR(degrees(report, "tdc.wheel"), 1, 1e-9) << cylinder;
  }
}

TEST(TrueTdc, PairReadMoreOftenCountsForMore) {
  // Noise of one reading stated, nothing else: four readings of a contact are worth four times one, so that
  // midpoints of 20.0 and 20.5 deg give (20.0 + 4 x 20.5) / 5 = 20.4.
  build::Build build =
      with({stop(Turning::forward, "0 deg", 1, 1), stop(Turning::backward, "40 deg", 1, 1),
            stop(Turning::forward, "0.5 deg", 1, 2), stop(Turning::backward, "40.5 deg", 1, 2)});
  build.tools["wheel"].resolution.reset();
  build.tools["wheel"].noise = angle_measure(0.2);
  // Four readings that scatter by just what was stated: a standard deviation of 0.2.
  const double off = 0.2 * std::sqrt(0.75) * degree;
  for (const int place : {2, 3}) {
    const double mean = at(build, place).wheel->radians;
    at(build, place).wheel = on_wheel(mean - off);
    at(build, place).repeats = {on_wheel(mean + off), on_wheel(mean - off), on_wheel(mean + off)};
  }
  const Report report = prove(build);
  EXPECT_NEAR(degrees(report, "tdc.wheel"), 20.4, 1e-6);
  EXPECT_NEAR(degrees(report, "tdc.shift"), 0.5, 1e-9);
  // u of a mean of 5 midpoints of two readings of 0.2 deg: 0.2 / sqrt(10).
  EXPECT_NEAR(finding(report, "tdc.wheel").u / degree, 0.2 / std::sqrt(10), 1e-6);
}

TEST(TrueTdc, RepeatsAreAveragedAcrossTheWheelsZero) {
  build::Build build = with({stop(Turning::forward, "359.9 deg"), stop(Turning::backward, "41 deg")});
  at(build, 0).repeats = {mark("0.1 deg"), mark("0 deg")};
  EXPECT_NEAR(degrees(prove(build), "tdc.wheel"), 20.5, 1e-9);
}

TEST(TrueTdc, IndicatorDropsAtUnequalHeightsFollowTheMechanism) {
  const Report report =
      prove(with({drop(Side::before, depth(11), 12.5 - 11), drop(Side::after, depth(17), 12.5 + 17)}));
  EXPECT_NEAR(degrees(report, "tdc.wheel"), 12.5, 1e-4);
}

TEST(TrueTdc, DropOnOneSideSufficesWhereTheIndicatorWasZeroedAtTheTop) {
  const Report report = prove(with({drop(Side::before, depth(15), 355)}));
  EXPECT_NEAR(degrees(report, "tdc.wheel"), 10, 1e-3);
}

TEST(TrueTdc, SweepThroughTdcFollowsTheMechanism) {
  build::Reading sweep;
  sweep.kind = build::ReadingKind::tdc_sweep;
  sweep.cylinder = 1;
  sweep.tool = "wheel";
  sweep.lift_tool = "dial";
  for (int from_tdc = -24; from_tdc <= 16; from_tdc += 4) {
    const double height = 0.002 - depth(from_tdc);
    sweep.points.push_back({on_wheel((3.25 + from_tdc) * degree),
                            build::Length::typed(height, fmt::format("{:.6f} mm", height * 1e3))});
  }
  EXPECT_NEAR(degrees(prove(with({sweep})), "tdc.wheel"), 3.25, 1e-3);
}

TEST(TrueTdc, StopDropsAndSweepAreWeighedTogether) {
  build::Build build =
      with({stop(Turning::forward, "0 deg"), stop(Turning::backward, "41 deg"),
            drop(Side::before, depth(12), 20.5 - 12), drop(Side::after, depth(12), 20.5 + 12)});
  const Report report = prove(build);
  EXPECT_NEAR(degrees(report, "tdc.wheel"), 20.5, 1e-4);
  build::Build alone = build;
  alone.readings.resize(2);
  EXPECT_LT(finding(report, "tdc.wheel").u, finding(prove(alone), "tdc.wheel").u);
}

TEST(TrueTdc, WheelThatCountsBackwardIsMirrored) {
  build::Build build = with({stop(Turning::forward, "0 deg"), stop(Turning::backward, "319 deg")});
  build.tools["wheel"].counts = Turning::backward;
  EXPECT_NEAR(degrees(prove(build), "tdc.wheel"), 360 - 20.5, 1e-9);
}

TEST(TrueTdc, WheelThatMostContactsWereReadOnIsTheMainOne) {
  build::Build build =
      with({stop(Turning::forward, "0 deg"), stop(Turning::backward, "41 deg"),
            stop(Turning::forward, "300 deg"), stop(Turning::backward, "341 deg"),
            stop(Turning::forward, "301 deg", 1, 2), stop(Turning::backward, "342 deg", 1, 2)});
  build.tools["other"] = build.tools["wheel"];
  for (int place = 2; place < 6; ++place) {
    at(build, place).tool = "other";
  }
  const Report report = prove(build);
  EXPECT_NEAR(degrees(report, "tdc.wheel"), 321, 1e-6);
  EXPECT_NEAR(degrees(report, "tdc.shift"), 1, 1e-9);
  EXPECT_EQ(finding(report, "tdc.shift").verdict, Verdict::fails) << "passes agree within 1/4 degree";
}

TEST(TrueTdc, NothingReadLeavesItOpenAndSaysWhatToTake) {
  const Report report = prove(with({}));
  const Finding& tdc = finding(report, "tdc.wheel");
  EXPECT_EQ(tdc.verdict, Verdict::open);
  EXPECT_FALSE(tdc.value.has_value());
  EXPECT_NE(tdc.needs.find("stop from both sides"), std::string::npos);
}

TEST(TrueTdc, OneSideReadLeavesItOpenAndAsksForTheOther) {
  for (const Turning turning : {Turning::forward, Turning::backward}) {
    const Report report = prove(with({stop(turning, "0 deg")}));
    const Finding& tdc = finding(report, "tdc.wheel");
    EXPECT_EQ(tdc.verdict, Verdict::open);
    EXPECT_NE(tdc.needs.find("turning the other way"), std::string::npos);
    ASSERT_TRUE(report.next_reading.has_value());
    EXPECT_EQ(report.next_reading->finding, "tdc.wheel");
  }
}

}  // namespace
}  // namespace fettle::stations::test
