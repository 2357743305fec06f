#include "mechanism/valve_room.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <stdexcept>

#include "mechanism/grid_minimum.h"

namespace fettle::mechanism {

namespace {

struct Segment {
  Planar from;
  Planar to;
};

double distance(Planar point, const Segment& segment) {
  const Planar along = segment.to - segment.from;
  const double part = std::clamp(dot(point - segment.from, along) / dot(along, along), 0.0, 1.0);
  return length(point - segment.from - part * along);
}

bool crossing(const Segment& a, const Segment& b) {
  const auto apart = [](const Segment& line, const Segment& other) {
    const Planar along = line.to - line.from;
    return cross(along, other.from - line.from) * cross(along, other.to - line.from) > 0.0;
  };
  const double parallel = cross(a.to - a.from, b.to - b.from);
  return parallel != 0.0 && !apart(a, b) && !apart(b, a);
}

Segment face(const ValveHead& head, double lift) {
  const Planar axis = unit(head.opening_axis);
  const Planar centre = head.centre + lift * axis;
  const Planar across = head.radius * Planar{-axis.y, axis.x};
  return {centre - across, centre + across};
}

void require(const ValveHead& head) {
  if (!finite(head.centre) || !finite(head.opening_axis) || !(length(head.opening_axis) > 0.0) ||
      !(head.radius > 0.0 && std::isfinite(head.radius))) {
    throw std::invalid_argument("head_distance: a head needs a centre, a direction and a radius above zero");
  }
}

}  // namespace

double radial_clearance(const ValveNotch& notch, double depth) {
  if (!(notch.head_radius > 0.0 && notch.notch_radius > 0.0 && finite(notch.offset) &&
        std::isfinite(notch.head_radius + notch.notch_radius + notch.valve_angle + depth))) {
    throw std::invalid_argument("radial_clearance: radii must be above zero and all numbers finite");
  }
  const Planar apart = notch.offset + Planar{depth * std::sin(notch.valve_angle), 0.0};
  return notch.notch_radius - notch.head_radius - length(apart);
}

double head_distance(const ValveHead& a, double lift_a, const ValveHead& b, double lift_b) {
  require(a);
  require(b);
  if (!std::isfinite(lift_a) || !std::isfinite(lift_b)) {
    throw std::invalid_argument("head_distance: lifts must be finite");
  }
  const Segment first = face(a, lift_a);
  const Segment second = face(b, lift_b);
  if (crossing(first, second)) {
    return 0.0;
  }
  return std::min({distance(first.from, second), distance(first.to, second), distance(second.from, first),
                   distance(second.to, first)});
}

LeastHeadDistance least_head_distance(const ValveHead& a, const ValveMotion& motion_a, const ValveHead& b,
                                      const ValveMotion& motion_b, const ClearanceRange& range) {
  const GridMinimum least = grid_minimum(
      [&](double x) { return head_distance(a, valve_lift(motion_a, x), b, valve_lift(motion_b, x)); },
      range.from, range.to);
  return {least.value, least.x, least.at_edge};
}

RunningAllowance running_allowance(const SliderCrank& crank, const RunningParts& parts) {
  const std::array not_negative{parts.crank_speed,        parts.reciprocating_mass, parts.rod_beam_mass,
                                parts.bearing_clearances, parts.skirt_clearance,    parts.notch_distance};
  const std::array positive{parts.rod_area, parts.rod_modulus, parts.skirt_length};
  const auto good = [](double number) { return number >= 0.0 && std::isfinite(number); };
  if (!std::all_of(not_negative.begin(), not_negative.end(), good) ||
      !std::all_of(positive.begin(), positive.end(),
                   [&](double number) { return good(number) && number > 0.0; })) {
    throw std::invalid_argument(
        "running_allowance: rod section, modulus and skirt length must be above zero, nothing below it");
  }
  RunningAllowance allowance;
  const double acceleration = crank.acceleration(0.0) * parts.crank_speed * parts.crank_speed;
  allowance.inertia_force = (parts.reciprocating_mass + 0.5 * parts.rod_beam_mass) * acceleration;
  allowance.rod_stretch =
      allowance.inertia_force * crank.geometry().rod_length / (parts.rod_modulus * parts.rod_area);
  allowance.bearing_take_up = parts.bearing_clearances;
  allowance.rock = parts.skirt_clearance / parts.skirt_length * parts.notch_distance;
  allowance.total = allowance.rod_stretch + allowance.bearing_take_up + allowance.rock;
  return allowance;
}

}  // namespace fettle::mechanism
