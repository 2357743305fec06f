#pragma once

#include <functional>
#include <optional>

#include "mechanism/cam_laws.h"
#include "metrology/periodic_spline.h"

namespace fettle::mechanism {

/// Lift and its derivatives over *cam* angle, rad, period 2π, as a follower on its line of travel sees them.
using FollowerCurve = std::function<FollowerPoint(double cam_angle)>;

/// The same from a lift curve over crank angle (period 4π), lifts counted from `base_level`, m. Keeps a copy.
FollowerCurve follower_curve(const metrology::PeriodicSpline& lift, double base_level = 0.0);

/// A flat face on the whole lobe: flat tappet or bucket (a bucket is one; its lift is the lobe's less lash).
struct FlatFaceCheck {
  double least_offset = 0.0;     ///< contact from the axis, m; negative on the closing flank
  double greatest_offset = 0.0;  ///< m; positive on the opening flank
  double least_width = 0.0;   ///< of the face: greatest less least offset, m; the contact's width not in it
  double least_round = 0.0;   ///< diameter of a round face about the axis: twice the farther contact, m
  double least_radius = 0.0;  ///< of curvature of the cam, m
  double least_radius_at = 0.0;  ///< cam angle, rad, [0, 2π)
  bool undercut = false;         ///< least radius not above zero: no such cam can be made
};

/// A roller on the whole lobe, without offset.
struct RollerCheck {
  double greatest_pressure_angle = 0.0;  ///< rad, rise or fall
  double pressure_angle_at = 0.0;        ///< cam angle, rad
  double least_convex = 0.0;             ///< least radius of the cam where convex, m
  std::optional<double> least_hollow;  ///< least radius of a concave flank, m (> 0): a grinding wheel must be
                                       ///< smaller; empty where the cam is convex everywhere
  bool undercut = false;               ///< the roller is larger than the pitch curve somewhere
};

/// Extremes over one turn of the cam (grid of 1 degree, refined). Source: Norton, *Cam Design and
/// Manufacturing Handbook*, the chapters on flat-faced and roller followers. They throw
/// std::invalid_argument unless base_radius, roller_radius > 0 and offset is zero.
FlatFaceCheck check_flat_face(const FollowerCurve& curve, double base_radius);
RollerCheck check_roller(const FollowerCurve& curve, const RollerGeometry& geometry);

/// Mean of the speeds with which cam and flat face pass their contact, m/s, signed along the way of the cam's
/// surface: ½ ω (R_b + s + 2 s''), ω > 0 of the cam, rad/s. It drags the oil in; where it passes zero the
/// film breaks down. Source: the contact moves along the face by ds'/dt (plane kinematics).
double flat_entrainment_speed(double cam_speed, double base_radius, const FollowerPoint& point);

}  // namespace fettle::mechanism
