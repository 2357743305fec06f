#pragma once

namespace fettle::mechanism {

/// Standard laws of a double-dwell rise.
enum class RiseLaw {
  cycloidal,
  polynomial_345,
  polynomial_4567,
  modified_trapezoid,
  modified_sine,
  simple_harmonic
};

/// A rise law at one place, all dimensionless: displacement over the whole rise, and its derivatives with
/// respect to x, the part of the rise's cam angle that has passed.
struct RiseState {
  double s = 0.0;  ///< 0 at x = 0, 1 at x = 1
  double v = 0.0;  ///< ds/dx
  double a = 0.0;  ///< d²s/dx²
  double j = 0.0;  ///< d³s/dx³; right-hand value where the law's jerk steps
};

/// The law at x in [0, 1]; below 0 the dwell before (all zero), above 1 the dwell after (s = 1). NaN throws
/// std::invalid_argument. Multiply by rise h over angle β: s h, v h/β, a h/β², j h/β³.
///
/// Cycloidal, modified trapezoid, modified sine and simple harmonic are members of one family of
/// sine-constant-cosine acceleration. Simple harmonic steps in acceleration at both ends. Source: Norton,
/// *Cam Design and Manufacturing Handbook*, the chapter on double-dwell functions.
RiseState rise(RiseLaw law, double x);

/// Base circle and follower of a radial cam; lengths in metres, derivatives with respect to *cam* angle in
/// radians.
struct FollowerPoint {
  double s = 0.0;  ///< lift, m
  double v = 0.0;  ///< ds/dφ, m/rad
  double a = 0.0;  ///< d²s/dφ², m/rad²
};

/// Flat face: distance of the contact from the follower's axis, m: the geometric velocity ds/dφ, positive
/// toward the side of the cam that moves toward the follower (against the way its surface slides along the
/// face). The face must be at least as wide as the range of it.
double flat_contact_offset(const FollowerPoint& point);

/// Flat face: radius of curvature of the cam at the contact, R_b + s + d²s/dφ², m. Where it is not positive
/// the cam is undercut and cannot be made. Throws std::invalid_argument unless base_radius > 0.
double flat_curvature_radius(double base_radius, const FollowerPoint& point);

/// Roller on a translating follower.
struct RollerGeometry {
  double base_radius = 0.0;    ///< of the cam, m; > 0
  double roller_radius = 0.0;  ///< m; > 0
  double offset = 0.0;  ///< of the follower's axis from the cam's, m, positive so as to lessen the pressure
                        ///< angle of the rise; |offset| < base + roller
};

/// Radius of curvature of the pitch curve (the path of the roller's centre about the cam), m, positive where
/// convex: (R² + v²)^1.5/(R² + 2 v² − R a), R the roller's centre from the cam's axis; infinite at an
/// inflection. For a follower without offset (an offset throws std::invalid_argument).
double roller_pitch_curvature_radius(const RollerGeometry& geometry, const FollowerPoint& point);

/// Angle between the common normal and the follower's travel, rad, positive on the rise:
/// atan((v − e)/(s + sqrt((R_b + R_r)² − e²))).
double roller_pressure_angle(const RollerGeometry& geometry, const FollowerPoint& point);

/// What the roller leaves of the cam at a point of the pitch curve.
struct RollerSurface {
  double cam_radius = 0.0;  ///< m, positive convex, negative concave
  bool undercut = false;  ///< the pitch curve is convex and tighter than the roller: the cam cannot guide it
  bool concave = false;   ///< a hollow flank: a grinding wheel larger than its radius cannot enter
};
RollerSurface roller_surface(const RollerGeometry& geometry, const FollowerPoint& point);

}  // namespace fettle::mechanism
