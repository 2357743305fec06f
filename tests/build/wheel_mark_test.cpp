#include "build/wheel_mark.h"

#include <numbers>
#include <string_view>

#include <gtest/gtest.h>

namespace fettle::build {
namespace {

constexpr double degree = std::numbers::pi / 180;

void expect_degrees(std::string_view text, double degrees) {
  const auto mark = parse_wheel(text);
  ASSERT_TRUE(mark) << text;
  EXPECT_NEAR(mark->radians, degrees * degree, 1e-12) << text;
}

TEST(WheelMark, PlainDegreesNeedNoUnit) {
  expect_degrees("346", 346);
  expect_degrees("41.5 deg", 41.5);
  expect_degrees("-13.968 deg", -13.968);
  expect_degrees(" 12° ", 12);
}

// Arithmetic of a wheel numbered from both dead centres.
TEST(WheelMark, DegreesFromADeadCentreCountFromTheWheelsTdcMark) {
  expect_degrees("14 BTDC", -14);
  expect_degrees("14 deg atdc", 14);
  expect_degrees("30 ABDC", 210);
  expect_degrees("30 BBDC", 150);
  expect_degrees("TDC", 0);
  expect_degrees("BDC", 180);
}

TEST(WheelMark, DeadCentreMarksFollowTheRotationWhicheverWayTheNumbersRun) {
  EXPECT_NEAR(parse_wheel("20 BTDC")->number(-1), 20 * degree, 1e-12);
  EXPECT_NEAR(parse_wheel("340")->number(-1), 340 * degree, 1e-12);
  EXPECT_NEAR(parse_wheel("20 BTDC")->number(1), -20 * degree, 1e-12);
}

TEST(WheelMark, OtherTextsAreNotGuessed) {
  for (const std::string_view text :
       {"", "BTDC", "-14 BTDC", "200 ATDC", "0.05 in", "14 B", "14 BTDC 3", "1e9", "nan", "12 TDC"}) {
    EXPECT_FALSE(parse_wheel(text)) << text;
  }
}

}  // namespace
}  // namespace fettle::build
