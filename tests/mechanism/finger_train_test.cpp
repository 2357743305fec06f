#include "mechanism/finger_train.h"

#include <cmath>

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "mechanism/units.h"

namespace fettle::mechanism::test {
namespace {

FingerGeometry any_finger() {
  const auto about = [](double value, double tolerance) {
    return (value + tolerance * *rc::gen::inRange(-100, 101) / 100.0) * millimetre;
  };
  FingerGeometry g;
  g.pivot = {about(-36, 3), about(-1, 1.5)};
  g.tip = {about(36, 2), about(6, 1.5)};
  g.tip_radius = about(8, 2);
  g.roller = {about(20, 3), about(4, 2)};
  g.roller_radius = about(8.5, 1);
  g.cam = {about(-15, 2), about(30, 2)};
  g.base_radius = about(15, 1);
  return g;
}

// Independent: the body is turned by hand; every distance is measured between points.
RC_GTEST_PROP(FingerTrain, ATurnedBodyGivesBackItsRise, ()) {
  const FingerGeometry g = any_finger();
  const FingerTrain train(g);
  const double angle = *rc::gen::inRange(1, 250) / 1000.0;
  const double closed = std::asin((g.tip_radius - g.pivot.y) / length(g.tip)) - std::atan2(g.tip.y, g.tip.x);
  const auto roller = [&](double opened) { return g.pivot + turned(g.roller, closed - opened); };
  const auto face = [&](double opened) {
    return (g.pivot + turned(g.tip, closed - opened)).y - g.tip_radius;
  };
  const double rise = length(roller(angle) - g.cam) - length(roller(0.0) - g.cam);
  const auto state = train.at(rise);
  RC_ASSERT(state.has_value());
  RC_ASSERT(std::abs(state->finger_angle - angle) < 1e-9);
  RC_ASSERT(std::abs(face(0.0)) < 1e-15);
  RC_ASSERT(std::abs(state->valve_lift + face(angle)) < 1e-11);
  RC_ASSERT(std::abs(state->contact - (g.pivot + turned(g.tip, closed - angle)).x) < 1e-11);
  RC_ASSERT(std::abs(train.slack() - (length(roller(0.0) - g.cam) - g.base_radius - g.roller_radius)) <
            1e-15);
  const double h = 1e-6;
  const double slope = (train.at(rise + h)->valve_lift - train.at(rise - h)->valve_lift) / (2 * h);
  RC_ASSERT(std::abs(state->ratio - slope) < 1e-7);
}

// The roller's centre must lie on the cam's pitch curve, turned with the cam: checked from the points alone.
RC_GTEST_PROP(FingerTrain, TheRollerLiesOnThePitchCurve, ()) {
  FingerGeometry g = any_finger();
  const FingerTrain train(g);
  const double most = 6e-3;
  const LiftCurve profile = [=](double phi) { return 0.5 * most * (1.0 + std::cos(phi)); };
  const double cam_angle = *rc::gen::inRange(-120, 121) * degree;
  const CamTurn turn = *rc::gen::inRange(0, 2) == 0 ? CamTurn::anticlockwise : CamTurn::clockwise;
  const auto state = train.at_cam_angle(profile, most, cam_angle, turn);
  RC_ASSERT(state.has_value());
  const double closed = std::asin((g.tip_radius - g.pivot.y) / length(g.tip)) - std::atan2(g.tip.y, g.tip.x);
  const Planar start = g.pivot + turned(g.roller, closed) - g.cam;
  const Planar now = g.pivot + turned(g.roller, closed - state->finger_angle) - g.cam;
  const double swung = std::atan2(cross(start, now), dot(start, now));
  // Pitch radius of the cam in the direction of the roller, the cam having turned.
  const double seen = turn == CamTurn::anticlockwise ? cam_angle - swung : cam_angle + swung;
  RC_ASSERT(std::abs(length(now) - length(start) - profile(seen)) < 1e-10);
}

TEST(FingerTrain, LashIsTakenOffAndImpossibleFingersAreRefused) {
  FingerGeometry g{{-36e-3, -1e-3}, {36e-3, 6e-3}, 8e-3, {20e-3, 4e-3}, 8.5e-3, {-15e-3, 30e-3}, 15e-3};
  const FingerTrain train(g);
  const LiftCurve profile = [](double phi) { return 3e-3 * (1.0 + std::cos(phi)); };
  EXPECT_LT(train.at_cam_angle(profile, 6e-3, 0.5, CamTurn::clockwise, 0.2e-3)->valve_lift,
            train.at_cam_angle(profile, 6e-3, 0.5, CamTurn::clockwise)->valve_lift);
  EXPECT_EQ(train.at_cam_angle(profile, 6e-3, 3.14, CamTurn::clockwise, 0.2e-3)->valve_lift, 0.0);
  EXPECT_THROW(static_cast<void>(train.at_cam_angle(profile, 3e-3, 0.0, CamTurn::clockwise)),
               std::invalid_argument);
  EXPECT_FALSE(train.at(1.0));
  EXPECT_GE(train.sweep(5e-3)->width(), 0.0);
  g.cam = {-15e-3, -60e-3};
  EXPECT_THAT(*finger_problem(g), testing::HasSubstr("push"));
  EXPECT_THROW(FingerTrain{g}, std::invalid_argument);
}

}  // namespace
}  // namespace fettle::mechanism::test
