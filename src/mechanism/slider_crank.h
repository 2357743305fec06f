#pragma once

#include <optional>
#include <string>

namespace fettle::mechanism {

/// Throw, rod and pin offset of one crank mechanism, metres.
///
/// The piston travels along the bore axis. `pin_offset` d is the distance of the piston pin's line of travel
/// from the crank axis, positive toward the major thrust side (the side on which the throw stands during the
/// power stroke).
struct CrankGeometry {
  double crank_throw = 0.0;  ///< r, half the stroke of an engine without offset, m; > 0
  double rod_length = 0.0;   ///< l, centre to centre, m; > r + |d|
  double pin_offset = 0.0;   ///< d, m

  bool operator==(const CrankGeometry&) const = default;
};

/// Why the geometry cannot turn, in words fit for a builder; nothing if it can.
std::optional<std::string> geometry_problem(const CrankGeometry& geometry);

/// Piston depth and its derivatives with respect to crank angle.
struct PistonMotion {
  double depth = 0.0;         ///< s, below true TDC, m; >= 0
  double velocity = 0.0;      ///< ds/dθ, m/rad; positive going down after TDC
  double acceleration = 0.0;  ///< d²s/dθ², m/rad²
};

/// A crank angle and the depth's rate there.
struct PeakSpeed {
  double after_tdc = 0.0;  ///< crank angle from true TDC, rad
  double speed = 0.0;      ///< |ds/dθ|, m/rad
};

/// Where a given depth is found on either side of true TDC: crank angles from true TDC, rad.
struct DepthCrossing {
  double before = 0.0;  ///< negative
  double after = 0.0;   ///< positive
};

/// Exact kinematics of crank, rod and piston with pin offset.
///
/// Height of the pin above the crank axis: y(θ) = r cosθ + sqrt(l² − (r sinθ − d)²), with the throw angle θ
/// zero where the throw points along the bore toward the head and growing in the direction of rotation. With
/// d ≠ 0 the piston is highest not at θ = 0 but at θ_tdc = asin(d/(l + r)), and lowest at π + asin(d/(l −
/// r)).
///
/// Two frames are used and named: `throw_angle` is θ; `after_tdc` is φ = θ − θ_tdc, crank angle after *true*
/// TDC, the frame of every other part of the project. All angles may be any real number.
///
/// Depths near TDC are computed without cancellation (relative error of a few rounding units down to φ =
/// 1e-8). Rigid parts: rod stretch, bearing clearance and piston rock are left out. Source: Heywood,
/// *Internal Combustion Engine Fundamentals*, ch. 2 (d = 0); with offset, plane geometry.
class SliderCrank {
 public:
  /// Throws std::invalid_argument with geometry_problem()'s words.
  explicit SliderCrank(const CrankGeometry& geometry);

  const CrankGeometry& geometry() const { return geometry_; }
  double tdc_throw_angle() const { return tdc_; }  ///< θ of true TDC, rad
  double bdc_throw_angle() const;                  ///< θ of true BDC, rad, near π
  double bdc_after_tdc() const;                    ///< φ of true BDC, rad; π only without offset
  double stroke() const { return stroke_; }        ///< m
  double height(double throw_angle) const;         ///< y(θ), pin above the crank axis, m
  PistonMotion motion(double after_tdc) const;     ///< all three at once
  double depth(double after_tdc) const;            ///< s(φ), m
  double velocity(double after_tdc) const;         ///< ds/dφ, m/rad
  double acceleration(double after_tdc) const;     ///< d²s/dφ², m/rad²
  double rod_angle(double after_tdc) const;  ///< rod against the bore axis, asin((d − r sinθ)/l), rad

  /// Crank angles from true TDC at which the piston is `depth` below it; nothing if depth is not in [0,
  /// stroke].
  std::optional<DepthCrossing> angles_at_depth(double depth) const;
  /// Total crank angle through which the piston is within `depth` of TDC, rad; nothing outside [0, stroke].
  std::optional<double> dwell(double depth) const;
  /// Depth at which the two crossings are `span` apart; throws std::invalid_argument unless 0 <= span <= 2π.
  double depth_from_span(double span) const;
  /// Where the midpoint of two contacts at equal heights, `span` of crank angle apart, lies after true TDC,
  /// rad. Zero without pin offset. Exact: at equal heights the line from crank to pin is the same, and the
  /// throw stands symmetrically to it. Throws std::invalid_argument unless 0 <= span <= 2π.
  double stop_midpoint_offset(double span) const;
  /// Greatest speed on the way down, and on the way up (negative angle).
  PeakSpeed peak_speed_down() const;
  PeakSpeed peak_speed_up() const;

 private:
  struct Posture;  // sines and cosines of throw and rod at one angle
  Posture posture(double after_tdc) const;
  double reach_from_span(double span) const;

  CrankGeometry geometry_;
  double tdc_ = 0.0;
  double tdc_height_ = 0.0;
  double stroke_ = 0.0;
};

}  // namespace fettle::mechanism
