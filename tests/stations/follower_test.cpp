// Lobes and what runs on them, from sweeps.

#include <map>
#include <numbers>

#include <gtest/gtest.h>

#include "mechanism/cam_laws.h"
#include "mechanism/follower_fit.h"
#include "stations/finger.h"
#include "stations/top_end.h"
#include "stations/valve_motion.h"

namespace fettle::stations::test {
namespace {

using build::ReadingKind;
constexpr double pi = std::numbers::pi;

/// A lobe that rises by the 3-4-5 polynomial in 60 cam degrees, stands 10 and falls likewise (CHECKS: 0.300
/// in; recomputed from Norton's law), swept every crank degree with tools all but exact.
double lobe_345(double cam_deg) {
  constexpr double lift = 0.300 * inch;
  constexpr double half_dwell = 5;
  const double from_top = std::abs(cam_deg) - half_dwell;
  if (from_top <= 0) {
    return lift;
  }
  return from_top >= 60 ? 0
                        : lift * (1 - mechanism::rise(mechanism::RiseLaw::polynomial_345, from_top / 60).s);
}

template <class Lobe>
build::Build swept_build(build::Follower follower, Lobe lobe) {
  build::Build build = hand_build();
  build.cam.emplace();
  build.cam->follower = follower;
  find_tdc(build);
  build::Reading sweep;
  sweep.kind = ReadingKind::lobe_sweep;
  sweep.cylinder = 1;
  sweep.valve = Valve::intake;
  sweep.tool = "wheel";
  sweep.lift_tool = "dial";
  for (int at = -180; at < 540; ++at) {
    build::SweepPoint point;
    point.wheel = on_wheel((108 + at) * degree);
    point.lift = build::Length::from_si(lobe(at / 2.0));
    sweep.points.push_back(point);
  }
  build.readings.push_back(std::move(sweep));
  build.followers.emplace();
  build.followers->intake.emplace();
  return build;
}

double value_of(const Report& report, std::string_view id) {
  return finding(report, id, of(1, Valve::intake)).value.value();
}

// CHECKS, recomputed: 3-4-5 of 0.300 in in 60 cam degrees has v 0.537148 in/rad; on a base of 1.0 in a flat
// face finds a least radius of -0.3001 in: undercut.
TEST(FollowerStation, FlatFaceMustReachTheGreatestVelocityEitherWay) {
  build::Build build = swept_build(build::Follower::flat, lobe_345);
  build.followers->intake->base_circle = inches(2.0);
  build.followers->intake->face_diameter = inches(1.20);
  const Report report = prove(build);
  const double needed = 2 * 0.537148;
  EXPECT_NEAR(value_of(report, "follower.face_needed") / inch, needed, 0.004);
  EXPECT_NEAR(value_of(report, "follower.face_margin") / inch, 0.6 - needed / 2, 0.002);
  EXPECT_EQ(finding(report, "follower.face_margin", of(1, Valve::intake)).verdict, metrology::Verdict::holds);
  // The polynomial's third derivative steps at its ends, and its greatest fall of velocity lies inside.
  EXPECT_NEAR(value_of(report, "follower.cam_radius") / inch, -0.3001, 0.02);
  EXPECT_EQ(mistake_ids(report), Ids{"follower.undercut"});
  build.followers->intake->face_diameter = inches(1.05);
  EXPECT_EQ(finding(prove(build), "follower.face_margin", of(1, Valve::intake)).verdict,
            metrology::Verdict::fails);
}

// CHECKS, recomputed: the same under a roller of 0.375 in radius on the base of 1.0 in: convex cam radius at
// least 0.47993 in, greatest pressure angle 19.481 degrees.
TEST(FollowerStation, RollerIsPushedAsideByItsPressureAngle) {
  build::Build build = swept_build(build::Follower::roller, lobe_345);
  build.followers->intake->base_circle = inches(2.0);
  build.followers->intake->roller_diameter = inches(0.750);
  const Report report = prove(build);
  EXPECT_NEAR(value_of(report, "follower.pressure_angle") / degree, 19.481, 0.06);
  EXPECT_NEAR(value_of(report, "follower.cam_radius") / inch, 0.47993, 0.01);
  EXPECT_EQ(finding(report, "follower.pressure_angle", of(1, Valve::intake)).verdict,
            metrology::Verdict::holds);
  EXPECT_TRUE(mistake_ids(report).empty());
}

// An eccentric circle under a flat face: the face travels as s = e (1 - cos phi), and every radius is that of
// the circle, base + e (plane geometry).
TEST(FollowerStation, EccentricCircleHasOneRadius) {
  constexpr double e = 0.15 * inch;
  build::Build build =
      swept_build(build::Follower::flat, [](double cam_deg) { return e * (1 + std::cos(cam_deg * degree)); });
  build.followers->intake->base_circle = inches(2.0);
  const Report report = prove(build);
  EXPECT_NEAR(value_of(report, "follower.cam_radius") / inch, 1.15, 0.003);
  EXPECT_NEAR(value_of(report, "follower.face_needed") / inch, 2 * 0.15, 0.002);
}

// Hertz, cylinder on a flat: p = sqrt(F E* / (pi L R)) (Johnson, *Contact Mechanics*, section 4.2), with two
// bodies of 207 GPa and 0.292.
TEST(FollowerStation, PressureAtTheNoseIsHertzs) {
  build::Build build = swept_build(
      build::Follower::flat, [](double cam_deg) { return 0.15 * inch * (1 + std::cos(cam_deg * degree)); });
  build.rockers = build::Rockers{1.5, 1.5, {}};
  build.followers->intake->base_circle = inches(2.0);
  build.followers->intake->lobe_width = inches(0.5);
  const LobeKey key{1, Valve::intake};
  build.readings.push_back(height_of(ReadingKind::installed_height, key, 1.700));
  build.readings.push_back(load_at(key, 1.700, 100));
  build.readings.push_back(load_at(key, 1.200, 265));
  const Report report = prove(build);
  const double open = value_of(report, "spring.open_load");
  EXPECT_NEAR(open / pound_force, 100 + 330 * 0.450, 0.5);
  const double modulus = 207e9 / (2 * (1 - 0.292 * 0.292));
  const double radius = value_of(report, "follower.cam_radius");
  EXPECT_NEAR(value_of(report, "follower.contact_pressure") /
                  std::sqrt(1.5 * open * modulus / (pi * 0.5 * inch * radius)),
              1, 1e-6);
}

TEST(FollowerStation, LiftReadAtTheValveIsBroughtToTheLobe) {
  build::Build lobe = swept_build(build::Follower::flat, lobe_345);
  build::Build valve =
      swept_build(build::Follower::flat, [](double cam_deg) { return 1.5 * lobe_345(cam_deg); });
  valve.readings.back().measured_at = build::MeasuredAt::valve;
  valve.rockers = build::Rockers{1.5, 1.5, {}};
  EXPECT_NEAR(value_of(prove(lobe), "follower.face_needed"), value_of(prove(valve), "follower.face_needed"),
              1e-5);
}

TEST(FollowerStation, NothingIsSaidWithoutAFollowerAndASweepIsAskedForWithOne) {
  build::Build build = swept_build(build::Follower::flat, lobe_345);
  build.followers.reset();
  EXPECT_EQ(find(prove(build), "follower.face_needed", of(1, Valve::intake)), nullptr);
  build.followers.emplace();
  build.followers->exhaust.emplace();
  const Finding& open = finding(prove(build), "follower.face_needed", of(1, Valve::exhaust));
  EXPECT_EQ(open.verdict, metrology::Verdict::open);
}

TEST(LeastOnLobe, RefusesAScaleOfNothingAndFindsNothingWhereThereIsNoLobe) {
  const build::Build build = swept_build(build::Follower::flat, lobe_345);
  const Sources sources(build);
  const FittedSweep& sweep = *sources.sweep(2);
  const auto lift = [](const mechanism::FollowerPoint& point) { return -point.s; };
  const auto nowhere = [](const mechanism::FollowerPoint&) { return std::nan(""); };
  const auto& fit = sweep.reduced->fit.fit;
  // The least of minus the lift is minus the greatest lift, with its doubt.
  const auto least = mechanism::least_on_lobe(sweep.reduced->reduction, fit, lift);
  ASSERT_TRUE(least);
  EXPECT_NEAR(-least->value / inch, 0.300, 1e-4);
  EXPECT_GT(least->u, 0);
  EXPECT_FALSE(mechanism::least_on_lobe(sweep.reduced->reduction, fit, nowhere));
  EXPECT_FALSE(mechanism::least_on_lobe({}, fit, lift));
  EXPECT_THROW(mechanism::least_on_lobe(sweep.reduced->reduction, fit, lift, 0), std::invalid_argument);
}

/// A finger by hand: turned until it opens the valve so far, its roller's way from the cam measured.
build::FingerDimensions finger() {
  return {millimetres(36), millimetres(1), millimetres(36.2), millimetres(12),
          millimetres(20), angle(12),      millimetres(17),   millimetres(30)};
}

struct HandFinger {
  double valve_lift(double turned) const { return tip_height(0) - tip_height(turned); }
  double tip_height(double turned) const { return 1 + 36.2 * std::sin(closed() - turned) - 12; }
  double closed() const { return std::asin(11 / 36.2); }
  double from_cam(double turned) const {
    const double direction = closed() - turned + 12 * degree;
    return std::hypot(-36 + 20 * std::cos(direction) + 17, 1 + 20 * std::sin(direction) - 30);
  }
};

TEST(FollowerStation, FingerRatioIsThatOfAFingerTurnedByHand) {
  build::Build build = hand_build();
  build.cam.emplace();
  build.cam->follower = build::Follower::finger;
  build.cam->card.emplace();
  build.cam->card->basis = build::LiftBasis::valve;
  build.cam->card->intake.emplace();
  build.cam->card->intake->lift = millimetres(9);
  build.followers.emplace();
  build.followers->intake.emplace();
  build.followers->intake->base_circle = millimetres(30);
  build.followers->intake->roller_diameter = millimetres(18);
  build.followers->intake->finger = finger();
  const HandFinger hand;
  double low = 0;
  double high = 0.6;
  for (int i = 0; i < 60; ++i) {
    const double middle = (low + high) / 2;
    (hand.valve_lift(middle) < 9 ? low : high) = middle;
  }
  const double ratio = 9 / (hand.from_cam(low) - hand.from_cam(0));
  const Finding& found = finding(prove(build), "follower.finger_ratio", {{}, Valve::intake, {}});
  EXPECT_NEAR(found.value.value(), ratio, 1e-6);
  // Where the build states no ratio, this one stands in; a bucket passes the lobe's lift on as it is.
  EXPECT_NEAR(rocker_ratio(build, Valve::intake), ratio, 1e-6);
  build.cam->follower = build::Follower::bucket;
  EXPECT_EQ(rocker_ratio(build, Valve::intake), 1);
}

TEST(FollowerStation, FingerThatCannotStandSaysWhy) {
  build::Build build = hand_build();
  build.cam.emplace();
  build.cam->follower = build::Follower::finger;
  build.followers.emplace();
  build.followers->intake.emplace();
  build.followers->intake->base_circle = millimetres(30);
  build.followers->intake->roller_diameter = millimetres(18);
  build.followers->intake->finger = finger();
  build.followers->intake->finger->tip_arm = millimetres(5);
  const Finding& found = finding(prove(build), "follower.finger_ratio", {{}, Valve::intake, {}});
  EXPECT_EQ(found.verdict, metrology::Verdict::open);
}

/// Whether the face truly needed lies within the stated interval as often as stated: lobes of the invented
/// shop, read by hand every five degrees.
TEST(FollowerCoverage, FaceNeededHoldsTheTruthAsOftenAsStated) {
  constexpr int draws = 300;
  int inside = 0;
  int radius_inside = 0;
  for (int seed = 1; seed <= draws; ++seed) {
    invented::Shop shop(static_cast<std::uint64_t>(seed) + 500,
                        {.wheel_resolution_deg = 0.1 + 0.05 * (seed % 9)});
    build::Build build = shop.parts();
    const LobeKey key{1, Valve::intake};
    build.readings = {shop.lobe_sweep(key)};
    build.followers.emplace();
    build.followers->intake.emplace();
    build.followers->intake->base_circle = inches(1.5);
    const Report report = prove(build, {.advise = false});
    // Derivatives over cam angle of the true lift, by differences a fifth of a degree of crank wide.
    double fastest = 0;
    double least_radius = 1;
    constexpr double h = 0.1 * degree;
    for (double at = -40; at < 260; at += 0.2) {
      const double x = at * degree;
      const double before = shop.lift(key, x - h);
      const double here = shop.lift(key, x);
      const double after = shop.lift(key, x + h);
      fastest = std::max(fastest, std::abs(after - before) / h);
      least_radius = std::min(least_radius, 0.75 * inch + here + 4 * (after - 2 * here + before) / (h * h));
    }
    const Finding& needed = finding(report, "follower.face_needed", of(1, Valve::intake));
    inside += std::abs(*needed.value - 2 * fastest) <= needed.expanded ? 1 : 0;
    const Finding& radius = finding(report, "follower.cam_radius", of(1, Valve::intake));
    radius_inside += std::abs(*radius.value - least_radius) <= radius.expanded ? 1 : 0;
  }
  fmt::print("  face needed {:.1f} %, least radius {:.1f} %\n", 100.0 * inside / draws,
             100.0 * radius_inside / draws);
  EXPECT_GE(inside, 0.90 * draws);
  EXPECT_GE(radius_inside, 0.90 * draws);
}

}  // namespace
}  // namespace fettle::stations::test
