#include "mechanism/follower.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "mechanism/circular.h"
#include "mechanism/grid_minimum.h"

namespace fettle::mechanism {

namespace {

void require_curve(const FollowerCurve& curve) {
  if (!curve) {
    throw std::invalid_argument("follower: there is no lift curve");
  }
}

}  // namespace

FollowerCurve follower_curve(const metrology::PeriodicSpline& lift, double base_level) {
  return [lift, base_level](double cam_angle) {
    const double x = 2.0 * cam_angle;
    return FollowerPoint{lift.value(x) - base_level, 2.0 * lift.derivative(x, 1),
                         4.0 * lift.derivative(x, 2)};
  };
}

FlatFaceCheck check_flat_face(const FollowerCurve& curve, double base_radius) {
  require_curve(curve);
  const auto least = [](const auto& f) { return grid_minimum(f, 0.0, full_turn); };
  FlatFaceCheck check;
  check.least_offset = least([&](double x) { return flat_contact_offset(curve(x)); }).value;
  check.greatest_offset = -least([&](double x) { return -flat_contact_offset(curve(x)); }).value;
  check.least_width = check.greatest_offset - check.least_offset;
  check.least_round = 2.0 * std::max(check.greatest_offset, -check.least_offset);
  const GridMinimum radius = least([&](double x) { return flat_curvature_radius(base_radius, curve(x)); });
  check.least_radius = radius.value;
  check.least_radius_at = wrap_positive(radius.x, full_turn);
  check.undercut = !(radius.value > 0.0);
  return check;
}

// Curvatures, not radii, are followed: they pass an inflection smoothly.
RollerCheck check_roller(const FollowerCurve& curve, const RollerGeometry& geometry) {
  require_curve(curve);
  const auto pitch_curvature = [&](double x) {
    return 1.0 / roller_pitch_curvature_radius(geometry, curve(x));
  };
  RollerCheck check;
  const GridMinimum steepest = grid_minimum(
      [&](double x) { return -std::abs(roller_pressure_angle(geometry, curve(x))); }, 0.0, full_turn);
  check.greatest_pressure_angle = -steepest.value;
  check.pressure_angle_at = wrap_positive(steepest.x, full_turn);
  const double tightest = -grid_minimum([&](double x) { return -pitch_curvature(x); }, 0.0, full_turn).value;
  check.least_convex = 1.0 / tightest - geometry.roller_radius;
  check.undercut = !(check.least_convex > 0.0);
  const double hollowest = grid_minimum(pitch_curvature, 0.0, full_turn).value;
  if (hollowest < 0.0) {
    check.least_hollow = -1.0 / hollowest + geometry.roller_radius;
  }
  return check;
}

double flat_entrainment_speed(double cam_speed, double base_radius, const FollowerPoint& point) {
  if (!(cam_speed > 0.0 && base_radius > 0.0)) {
    throw std::invalid_argument("flat_entrainment_speed: cam speed and base circle must be above zero");
  }
  return 0.5 * cam_speed * (base_radius + point.s + 2.0 * point.a);
}

}  // namespace fettle::mechanism
