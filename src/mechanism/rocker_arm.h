#pragma once

#include <algorithm>
#include <cmath>
#include <optional>

#include "mechanism/planar.h"

namespace fettle::mechanism {

/// What rockers and fingers share, in the frame of RockerGeometry.

/// Direction, rad in (−π/2, π/2), of the arm from pivot to the tip's circle when the circle rests on the tip
/// of a valve open by `lift`; nothing where the arm does not reach.
inline std::optional<double> tip_angle(Planar pivot, Planar tip, double tip_radius, double lift) {
  const double sine = (tip_radius - lift - pivot.y) / length(tip);
  if (!(std::abs(sine) < 1.0)) {
    return std::nullopt;
  }
  return std::asin(sine);
}

/// Direction of an arm about the pivot whose end is `distance` from `foot`; of the two the one on the side
/// (+1 anticlockwise, −1 clockwise) of the line from pivot to foot. By the half angle, which keeps its digits
/// everywhere: tan²(γ/2) = ((d − (R − a)) (d + (R − a)))/((R + a − d) (R + a + d)).
inline std::optional<double> arm_angle(Planar pivot, double arm, Planar foot, double distance, double side) {
  const Planar line = foot - pivot;
  const double reach = length(line);
  const double above = (distance - (reach - arm)) * (distance + (reach - arm));
  const double below = (reach + arm - distance) * (reach + arm + distance);
  if (!(above > 0.0 && below > 0.0)) {
    return std::nullopt;
  }
  const double half = std::atan2(std::sqrt(above), std::sqrt(below));
  return std::atan2(line.y, line.x) + side * 2.0 * half;
}

}  // namespace fettle::mechanism
