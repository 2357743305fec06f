#include "quantity/angle.h"

#include <cmath>
#include <limits>
#include <type_traits>

#include <gtest/gtest.h>

namespace fettle::quantity {
namespace {

CrankAngle crank(double degrees) {
  return CrankAngle::from_degrees(degrees);
}

template <typename A, typename B>
concept Addable = requires(A a, B b) {
  a + b;
};
template <typename A, typename B>
concept Comparable = requires(A a, B b) {
  a < b;
};

static_assert(Addable<CrankAngle, CrankAngle>);
static_assert(!Addable<CrankAngle, CamAngle>, "crank and cam degrees cannot be mixed");
static_assert(!Addable<CrankAngle, WheelAngle>);
static_assert(!Comparable<CamAngle, CrankAngle>);
static_assert(!std::is_convertible_v<CamAngle, CrankAngle>);
static_assert(!std::is_convertible_v<double, CrankAngle>, "a bare number has no scale");

TEST(Angle, ConvertsBetweenDegreesAndRadians) {
  EXPECT_DOUBLE_EQ(crank(180).radians(), std::numbers::pi);
  EXPECT_DOUBLE_EQ(CamAngle::from_radians(std::numbers::pi / 2).degrees(), 90);
}

TEST(Angle, TheCamTurnsAtHalfSpeed) {
  EXPECT_DOUBLE_EQ(to_crank(CamAngle::from_degrees(54)).degrees(), 108);
  EXPECT_DOUBLE_EQ(to_cam(crank(108)).degrees(), 54);
}

TEST(Angle, AWheelReadsAgainstItsSetting) {
  const WheelSetting set_at_two{WheelAngle::from_degrees(2), WheelSetting::Numbering::grows_forward};
  EXPECT_NEAR(to_crank(WheelAngle::from_degrees(12), set_at_two).degrees(), 10, 1e-13);
  EXPECT_NEAR(to_wheel(crank(10), set_at_two).degrees(), 12, 1e-13);

  const WheelSetting mirrored{WheelAngle::from_degrees(2), WheelSetting::Numbering::falls_forward};
  EXPECT_NEAR(to_crank(WheelAngle::from_degrees(352), mirrored).degrees(), -350, 1e-12);
  EXPECT_NEAR(wrap_360(to_crank(WheelAngle::from_degrees(352), mirrored)).degrees(), 10, 1e-12);
  EXPECT_NEAR(wrap_360(to_wheel(crank(10), mirrored)).degrees(), 352, 1e-12);
}

TEST(Wrap, ToOneTurnIncludesZeroAndNotTheFullTurn) {
  EXPECT_EQ(wrap_360(crank(0)).degrees(), 0);
  EXPECT_EQ(wrap_360(crank(360)).degrees(), 0);
  EXPECT_EQ(wrap_360(crank(-360)).degrees(), 0);
  EXPECT_EQ(wrap_360(crank(1080)).degrees(), 0);
  EXPECT_EQ(wrap_360(crank(-1e-18)).degrees(), 0);
  EXPECT_NEAR(wrap_360(crank(-14)).degrees(), 346, 1e-12);
  EXPECT_NEAR(wrap_360(crank(359.999)).degrees(), 359.999, 1e-12);
}

TEST(Wrap, ToOneCycle) {
  EXPECT_NEAR(wrap_720(crank(-14)).degrees(), 706, 1e-12);
  EXPECT_NEAR(wrap_720(crank(360)).degrees(), 360, 1e-12);
  EXPECT_EQ(wrap_720(crank(1440)).degrees(), 0);
}

TEST(Wrap, SignedIncludesTheUpperHalfTurnAndNotTheLower) {
  EXPECT_NEAR(wrap_signed(crank(180)).degrees(), 180, 1e-12);
  EXPECT_NEAR(wrap_signed(crank(-180)).degrees(), 180, 1e-12);
  EXPECT_NEAR(wrap_signed(crank(540)).degrees(), 180, 1e-12);
  EXPECT_NEAR(wrap_signed(crank(346)).degrees(), -14, 1e-12);
  EXPECT_LE(wrap_signed(crank(-180)).radians(), std::numbers::pi);
}

TEST(Wrap, FindsTheBranchNearestToAReference) {
  EXPECT_NEAR(nearest_turn(crank(346), crank(0)).degrees(), -14, 1e-12);
  EXPECT_NEAR(nearest_turn(crank(128), crank(-232)).degrees(), -232, 1e-12);
  EXPECT_NEAR(nearest_turn(crank(0), crank(180)).degrees(), 360, 1e-12);
  EXPECT_NEAR(nearest_cycle(crank(346), crank(0)).degrees(), 346, 1e-12);
  EXPECT_NEAR(nearest_cycle(crank(706), crank(0)).degrees(), -14, 1e-12);
}

TEST(Wrap, RefusesAnAngleThatIsNotFinite) {
  EXPECT_THROW(wrap_360(CrankAngle::from_radians(std::nan(""))), std::invalid_argument);
  EXPECT_THROW(nearest_turn(crank(1), CrankAngle::from_radians(HUGE_VAL)), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::quantity
