#include "mechanism/pushrod.h"

#include <cmath>
#include <numbers>
#include <stdexcept>

namespace fettle::mechanism {

namespace {

using std::numbers::pi;

double square(double x) {
  return x * x;
}

}  // namespace

std::optional<std::string> pushrod_problem(const PushrodTube& tube) {
  for (const double number : {tube.length, tube.outside_diameter, tube.wall, tube.elastic_modulus,
                              tube.yield_strength, tube.density}) {
    if (!(number > 0.0 && std::isfinite(number))) {
      return "all dimensions and properties of a pushrod must be finite and greater than zero";
    }
  }
  if (tube.wall > 0.5 * tube.outside_diameter) {
    return "the pushrod's wall is thicker than half its diameter";
  }
  return std::nullopt;
}

PushrodColumn pushrod_column(const PushrodTube& tube, double end_fixity) {
  if (const auto problem = pushrod_problem(tube)) {
    throw std::invalid_argument("pushrod_column: " + *problem);
  }
  if (!(end_fixity > 0.0 && std::isfinite(end_fixity))) {
    throw std::invalid_argument("pushrod_column: the end fixity must be greater than zero");
  }
  const double bore = tube.outside_diameter - 2.0 * tube.wall;
  PushrodColumn column;
  column.area = pi * tube.wall * (tube.outside_diameter - tube.wall);
  column.inertia = column.area * (square(tube.outside_diameter) + square(bore)) / 16.0;
  column.gyration_radius = 0.25 * std::sqrt(square(tube.outside_diameter) + square(bore));
  column.slenderness = tube.length / column.gyration_radius;
  const double fixed_modulus = end_fixity * tube.elastic_modulus;
  column.transition_slenderness = pi * std::sqrt(2.0 * fixed_modulus / tube.yield_strength);
  column.euler = column.slenderness > column.transition_slenderness;
  column.buckling_load =
      column.euler
          ? square(pi / tube.length) * fixed_modulus * column.inertia
          : column.area * (tube.yield_strength -
                           square(tube.yield_strength * column.slenderness / (2.0 * pi)) / fixed_modulus);
  column.axial_stiffness = tube.elastic_modulus * column.area / tube.length;
  column.mass = tube.density * column.area * tube.length;
  return column;
}

}  // namespace fettle::mechanism
