#include "mechanism/rocker_train.h"

#include <cmath>
#include <limits>
#include <numbers>

#include <Eigen/Dense>
#include <boost/math/tools/toms748_solve.hpp>
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>
#include <unsupported/Eigen/NonLinearOptimization>

#include "mechanism/rockers.h"
#include "mechanism/units.h"

namespace fettle::mechanism::test {
namespace {

// The invented V8's rocker on its head, which leans over the block.
RockerGeometry v8() {
  RockerGeometry g = street_rocker();
  g.mount_axis = {-0.02, 1.0};
  g.deck_normal = {0.35, 0.94};
  return g;
}

RockerGeometry any_train() {
  RockerGeometry g;
  const auto about = [](double value, double tolerance) {
    return (value + tolerance * *rc::gen::inRange(-100, 101) / 100.0) * inch;
  };
  g.pivot = {about(-1.5, 0.1), about(-0.05, 0.12)};
  g.tip = {about(1.5, 0.15), about(0.4, 0.1)};
  g.tip_radius = about(0.35, 0.2);
  g.cup = {about(-0.95, 0.1), about(0.1, 0.15)};
  g.tappet = {about(-3.0, 0.9), about(-7.3, 0.5)};
  g.tappet_axis = {*rc::gen::inRange(-20, 21) / 100.0, 1.0};
  g.mount_axis = {*rc::gen::inRange(-20, 21) / 100.0, 1.0};
  g.deck_normal = {*rc::gen::inRange(-40, 41) / 100.0, 1.0};
  g.pushrod_length = *pushrod_for_slack(g, *rc::gen::inRange(-40, 21) / 1000.0 * inch);
  return g;
}

// Loop closure written out with body rotation, valve lift, contact and slack as unknowns; knows nothing of
// the closed forms. Rotation matrix and constraint equations only.
struct Loop {
  using Scalar = double;
  using InputType = Eigen::VectorXd;
  using ValueType = Eigen::VectorXd;
  using JacobianType = Eigen::MatrixXd;
  enum { InputsAtCompileTime = Eigen::Dynamic, ValuesAtCompileTime = Eigen::Dynamic };
  RockerGeometry g;
  double tappet_rise = 0.0;  // from the base circle
  int inputs() const { return 3; }
  int values() const { return 3; }
  // Unknowns: rotation of the body as drawn, lift, contact.
  int operator()(const Eigen::VectorXd& x, Eigen::VectorXd& f) const {
    const Eigen::Rotation2Dd turn(x(0));
    const Eigen::Vector2d pivot(g.pivot.x, g.pivot.y);
    const Eigen::Vector2d centre = pivot + turn * Eigen::Vector2d(g.tip.x, g.tip.y);
    const Eigen::Vector2d cup = pivot + turn * Eigen::Vector2d(g.cup.x, g.cup.y);
    const Eigen::Vector2d axis = Eigen::Vector2d(g.tappet_axis.x, g.tappet_axis.y).normalized();
    const Eigen::Vector2d foot = Eigen::Vector2d(g.tappet.x, g.tappet.y) + tappet_rise * axis;
    f(0) = (centre - Eigen::Vector2d(x(2), -x(1))).y() - g.tip_radius;  // circle rests on the tip's face
    f(1) = centre.x() - x(2);
    f(2) = (cup - foot).norm() - g.pushrod_length;
    return 0;
  }
  int df(const Eigen::VectorXd& x, Eigen::MatrixXd& j) const {
    const Eigen::Vector2d pivot(g.pivot.x, g.pivot.y);
    const double c = std::cos(x(0));
    const double s = std::sin(x(0));
    Eigen::Matrix2d spin;
    spin << -s, -c, c, -s;
    const Eigen::Vector2d dt = spin * Eigen::Vector2d(g.tip.x, g.tip.y);
    const Eigen::Vector2d dc = spin * Eigen::Vector2d(g.cup.x, g.cup.y);
    const Eigen::Vector2d cup = pivot + Eigen::Rotation2Dd(x(0)) * Eigen::Vector2d(g.cup.x, g.cup.y);
    const Eigen::Vector2d axis = Eigen::Vector2d(g.tappet_axis.x, g.tappet_axis.y).normalized();
    const Eigen::Vector2d rod = cup - Eigen::Vector2d(g.tappet.x, g.tappet.y) - tappet_rise * axis;
    j.setZero();
    j(0, 0) = dt.y();
    j(0, 1) = 1.0;
    j(1, 0) = dt.x();
    j(1, 2) = -1.0;
    j(2, 0) = rod.normalized().dot(dc);
    return 0;
  }
};

RC_GTEST_PROP(RockerTrain, EveryLiftClosesTheLoopOfAGeneralRootFinder, ()) {
  const RockerGeometry g = any_train();
  const RockerTrain train(g);
  Eigen::VectorXd x = Eigen::VectorXd::Zero(3);
  for (int i = 0; i <= 20; ++i) {
    const double rise = 0.4 * inch * i / 20.0;
    Loop loop{g, train.slack() + rise};
    Eigen::HybridNonLinearSolver<Loop> solver(loop);
    solver.parameters.xtol = 1e-14;
    solver.solve(x);
    Eigen::VectorXd residual(3);
    loop(x, residual);
    RC_ASSERT(residual.cwiseAbs().maxCoeff() < 1e-12);
    const auto state = train.at(rise);
    RC_ASSERT(state.has_value());
    RC_ASSERT(std::abs(state->valve_lift - x(1)) < 1e-9);
    RC_ASSERT(std::abs(state->contact - x(2)) < 1e-9);
  }
}

RC_GTEST_PROP(RockerTrain, RatioIsTheDerivativeOfLift, ()) {
  const RockerTrain train(any_train());
  const double rise = *rc::gen::inRange(20, 380) / 1000.0 * inch;
  const double h = 1e-5;
  const auto lift = [&](double r) { return train.at(r)->valve_lift; };
  const double slope =
      (8.0 * (lift(rise + h) - lift(rise - h)) - lift(rise + 2 * h) + lift(rise - 2 * h)) / (12 * h);
  RC_ASSERT(std::abs(train.at(rise)->ratio - slope) < 1e-8);
  const double contact_slope = (train.at(rise + h)->contact - train.at(rise - h)->contact) / (2 * h);
  const RockerState state = *train.at(rise);
  // The circle's centre moves by slip at radius zero: x' = (tip.y/tip.x) L'.
  const double centre_slip =
      state.slip + train.geometry().tip_radius / (state.contact - train.geometry().pivot.x);
  RC_ASSERT(std::abs(contact_slope - centre_slip * state.ratio) < 1e-6);
}

// Virtual work against statics: a unit force on the valve's tip, the moment about the pivot carried by the
// pushrod, its part along the tappet.
RC_GTEST_PROP(RockerTrain, ForcesBalanceAsVirtualWorkSays, ()) {
  const RockerGeometry g = any_train();
  const RockerTrain train(g);
  const double rise = *rc::gen::inRange(0, 400) / 1000.0 * inch;
  const RockerState state = *train.at(rise);
  const Planar axis = unit(g.tappet_axis);
  const Planar foot = g.tappet + (train.slack() + rise) * axis;
  const double drawn = std::atan2(g.tip.y, g.tip.x);
  const double closed = std::asin((g.tip_radius - g.pivot.y) / length(g.tip));
  const Planar cup = turned(g.cup, closed - state.rocker_angle - drawn);
  const Planar along = unit(g.pivot + cup - foot);
  const double valve_moment = state.contact - g.pivot.x;  // of an upward unit force, anticlockwise
  const double pushrod_moment = cup.x * along.y - cup.y * along.x;
  const double pushrod_force = -valve_moment / pushrod_moment;
  RC_ASSERT(std::abs(pushrod_force - state.pushrod_force) < 1e-10);
  RC_ASSERT(std::abs(pushrod_force * dot(along, axis) - state.ratio) < 1e-10);
  RC_ASSERT(std::abs(std::tan(state.pushrod_angle) - state.tappet_side) < 1e-12);
}

RC_GTEST_PROP(RockerTrain, RiseInvertsLift, ()) {
  const RockerTrain train(any_train());
  const double rise = *rc::gen::inRange(0, 400) / 1000.0 * inch;
  RC_ASSERT(std::abs(train.rise_for_lift(train.at(rise)->valve_lift).value() - rise) < 1e-13);
}

RC_GTEST_PROP(RockerTrain, SweepIsTheRangeOfContacts, ()) {
  const RockerTrain train(any_train());
  const double most = 0.38 * inch;
  double least = HUGE_VAL;
  double greatest = -HUGE_VAL;
  for (int i = 0; i <= 4000; ++i) {
    const double contact = train.at(most * i / 4000.0)->contact;
    least = std::min(least, contact);
    greatest = std::max(greatest, contact);
  }
  const Sweep sweep = *train.sweep(most);
  RC_ASSERT(std::abs(sweep.least - least) < 1e-9);
  RC_ASSERT(std::abs(sweep.greatest - greatest) < 1e-9);
}

// Chord and arc: least sweep of an arm a over a valve lift L is a − sqrt(a² − L²/4), about L²/(8 a), where
// the lift is halved by the level of the pivot; any other height gives more.
TEST(RockerTrain, LeastSweepHalvesTheLift) {
  const double most = 0.35 * inch;
  const auto choice = least_sweep_pushrod(v8(), most, 0.3 * inch);
  ASSERT_TRUE(choice);
  RockerGeometry moved = shifted(v8(), {.pivot_height = choice->pivot_height});
  moved.pushrod_length = choice->pushrod_length;
  const RockerTrain train(moved);
  EXPECT_NEAR(train.slack(), 0.0, 1e-15);
  const double lift = train.at(most)->valve_lift;
  const double arm = length(moved.tip);
  EXPECT_NEAR(choice->sweep.width(), arm - std::sqrt(arm * arm - lift * lift / 4.0), 1e-12);
  EXPECT_NEAR(choice->sweep.width() / (lift * lift / (8.0 * arm)), 1.0, 0.02);
  for (const double other : {-0.02 * inch, 0.02 * inch}) {
    RockerGeometry off = shifted(moved, {.pivot_height = other});
    off.pushrod_length = *pushrod_for_slack(off, 0.0);
    EXPECT_GT(RockerTrain(off).sweep(most)->width(), choice->sweep.width());
  }
}

TEST(RockerTrain, ACentredSweepIsCentred) {
  const double most = 0.35 * inch;
  const double wanted = RockerTrain(v8()).sweep(most)->centre() + 0.01 * inch;
  const auto choice = centred_sweep_pushrod(v8(), most, 0.4 * inch, wanted);
  ASSERT_TRUE(choice);
  RockerGeometry moved = shifted(v8(), {.pivot_height = choice->pivot_height});
  moved.pushrod_length = v8().pushrod_length + choice->longer;
  const Sweep sweep = *RockerTrain(moved).sweep(most);
  EXPECT_NEAR(sweep.centre(), wanted, 1e-10);
  EXPECT_FALSE(centred_sweep_pushrod(v8(), most, 0.1 * inch, 5.0 * inch));
}

// Arithmetic of a level rocker: pivot, tip and cup in one line, pushrod and valve square to it. A pivot
// lowered by x pushes the pushrod down by x (1 + 1/R), a head lowered by x by x, and so on.
TEST(RockerTrain, ShiftsOfALevelTrainMoveTheSlackAsTheTradeReckons) {
  RockerGeometry g;
  g.pivot = {-1.5 * inch, 0.0};
  g.tip = {1.5 * inch, 0.0};
  g.cup = {-1.0 * inch, 0.0};
  g.tappet = {-2.5 * inch, -7.0 * inch};
  g.pushrod_length = 7.0 * inch;
  EXPECT_NEAR(RockerTrain(g).slack(), 0.0, 1e-16);
  EXPECT_NEAR(RockerTrain(g).at(1e-9)->ratio, 1.5, 1e-6);
  const double x = 0.001 * inch;
  const auto slack = [&](const RockerShift& shift) { return RockerTrain(shifted(g, shift)).slack() / x; };
  EXPECT_NEAR(slack({.pivot_height = -x}), -(1.0 + 1.0 / 1.5), 1e-3);
  EXPECT_NEAR(slack({.deck_cut = x}), -1.0, 1e-9);
  EXPECT_NEAR(slack({.head_cut = x}), -1.0, 1e-9);
  EXPECT_NEAR(slack({.gasket = x}), 1.0, 1e-9);
  EXPECT_NEAR(slack({.base_radius = x}), -1.0, 1e-9);
  EXPECT_NEAR(slack({.tip_height = x}), -1.0 / 1.5, 1e-3);
  EXPECT_NEAR(slack({.pushrod = x}), -1.0, 1e-9);
}

// STATIONS: a longer pushrod moves the contact outward (common practice, no source); the pivot is raised with
// it.
TEST(RockerTrain, ALongerPushrodMovesTheContactOutwardOnAStud) {
  RockerGeometry longer = shifted(v8(), {.pivot_height = 0.030 * inch});
  longer.pushrod_length = *pushrod_for_slack(longer, 0.0);
  EXPECT_GT(longer.pushrod_length, v8().pushrod_length);
  EXPECT_GT(RockerTrain(longer).at(0.0)->contact, RockerTrain(v8()).at(0.0)->contact);
}

TEST(RockerTrain, ImpossibleGeometryIsRefusedWithItsReason) {
  RockerGeometry g = v8();
  g.pivot.y = -2.5 * inch;
  EXPECT_THAT(*rocker_problem(g), testing::HasSubstr("closed valve"));
  EXPECT_THROW(RockerTrain{g}, std::invalid_argument);
  g = v8();
  g.pushrod_length = 0.2 * inch;
  EXPECT_THAT(*rocker_problem(g), testing::HasSubstr("pushrod"));
  g = v8();
  g.tip.x = std::numeric_limits<double>::quiet_NaN();
  EXPECT_THAT(*rocker_problem(g), testing::HasSubstr("finite"));
  const RockerTrain train(v8());
  EXPECT_FALSE(train.at(-0.001));
  EXPECT_FALSE(train.at(5.0 * inch));
  EXPECT_FALSE(train.at(std::numeric_limits<double>::quiet_NaN()));
  EXPECT_FALSE(train.rise_for_lift(4.0 * inch));
  EXPECT_THROW(static_cast<void>(least_sweep_pushrod(v8(), 0.3 * inch, 0.0)), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::mechanism::test
