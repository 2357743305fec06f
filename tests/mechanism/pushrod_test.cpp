#include "mechanism/pushrod.h"

#include <cmath>
#include <numbers>

#include <Eigen/Dense>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "mechanism/units.h"

namespace fettle::mechanism::test {
namespace {

constexpr double pound_force = 4.4482216152605;
constexpr double psi = pound_force / (inch * inch);

PushrodTube tube() {
  return {7.8 * inch, 0.3125 * inch, 0.080 * inch, 30e6 * psi, 100e3 * psi, 7850.0};
}

// Shigley, sections 4-12 and 4-13: 5/16 by 0.080 in tube, 7.8 in, Sy 100 kpsi, E 30 Mpsi, recomputed.
TEST(Pushrod, AFiveSixteenthsTubeBucklesAfterEuler) {
  const PushrodColumn column = pushrod_column(tube());
  EXPECT_NEAR(column.slenderness, 89.73, 5e-3);
  EXPECT_NEAR(column.transition_slenderness, 76.95, 5e-3);
  EXPECT_TRUE(column.euler);
  EXPECT_NEAR(column.buckling_load / pound_force, 2149.0, 0.05);
}

// Independent: lowest eigenvalue of −E I w'' = P w between pins, second differences on 400 intervals.
TEST(Pushrod, EulerIsTheLowestEigenvalueOfTheBentRod) {
  const PushrodColumn column = pushrod_column(tube());
  const Eigen::Index n = 399;
  const double h = tube().length / 400.0;
  Eigen::VectorXd diagonal = Eigen::VectorXd::Constant(n, 2.0 / (h * h));
  Eigen::VectorXd beside = Eigen::VectorXd::Constant(n - 1, -1.0 / (h * h));
  Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> solver;
  solver.computeFromTridiagonal(diagonal, beside, Eigen::EigenvaluesOnly);
  EXPECT_NEAR(tube().elastic_modulus * column.inertia * solver.eigenvalues()(0) / column.buckling_load, 1.0,
              1e-5);
}

TEST(Pushrod, JohnsonMeetsEulerWithEqualSlopeAndYieldsWhenShort) {
  PushrodTube rod = tube();
  const PushrodColumn whole = pushrod_column(rod);
  const double meeting = whole.transition_slenderness * whole.gyration_radius;
  const auto load = [&](double length) {
    rod.length = length;
    return pushrod_column(rod).buckling_load;
  };
  EXPECT_NEAR(load(meeting * (1.0 - 1e-9)) / load(meeting * (1.0 + 1e-9)), 1.0, 1e-8);
  const double h = 1e-4 * meeting;
  const double before = (load(meeting - h) - load(meeting - 2 * h)) / h;
  const double after = (load(meeting + 2 * h) - load(meeting + h)) / h;
  EXPECT_NEAR(before / after, 1.0, 2e-3);
  EXPECT_NEAR(load(1e-6) / (whole.area * rod.yield_strength), 1.0, 1e-6);
}

// Arithmetic of areas; a wall of half the diameter is a solid rod.
TEST(Pushrod, SectionIsTheDifferenceOfTwoCircles) {
  const double outer = 0.3125 * inch;
  const double inner = outer - 0.16 * inch;
  const PushrodColumn column = pushrod_column(tube());
  EXPECT_NEAR(column.area, 0.25 * std::numbers::pi * (outer * outer - inner * inner), 1e-15);
  EXPECT_NEAR(column.inertia / (std::numbers::pi / 64.0 * (std::pow(outer, 4) - std::pow(inner, 4))), 1.0,
              1e-12);
  EXPECT_NEAR(column.axial_stiffness, 30e6 * psi * column.area / (7.8 * inch), 1e-3);
  EXPECT_NEAR(column.mass, 7850.0 * column.area * 7.8 * inch, 1e-12);
  PushrodTube solid = tube();
  solid.wall = 0.5 * solid.outside_diameter;
  EXPECT_NEAR(pushrod_column(solid).gyration_radius, 0.25 * outer, 1e-15);
}

TEST(Pushrod, TubesThatCannotBeAreRefused) {
  PushrodTube bad = tube();
  bad.wall = 0.2 * inch;
  EXPECT_THAT(*pushrod_problem(bad), testing::HasSubstr("wall"));
  bad.wall = std::nan("");
  EXPECT_THROW(static_cast<void>(pushrod_column(bad)), std::invalid_argument);
  EXPECT_THROW(static_cast<void>(pushrod_column(tube(), 0.0)), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::mechanism::test
