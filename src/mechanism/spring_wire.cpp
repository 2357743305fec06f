#include "mechanism/spring_wire.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <stdexcept>

#include <boost/math/tools/toms748_solve.hpp>

namespace fettle::mechanism {

namespace {

using std::numbers::pi;

double square(double x) {
  return x * x;
}

double fourth_power(double x) {
  return square(square(x));
}

void require(const WoundSpring& spring) {
  const auto problems = wound_spring_problems(spring);
  if (!problems.empty()) {
    throw std::invalid_argument("WoundSpring: " + problems.front());
  }
}

// Axial distance of neighbouring coils that lie on one another.
double solid_pitch(const WoundPart& part, double wire_diameter) {
  const double sunk = 0.5 * (part.diameter_to - part.diameter_from) / part.coils;
  return std::sqrt(std::max(0.0, square(wire_diameter) - square(sunk)));
}

// Height of what does not work, of a solid spring beyond its active coils' pitches (Table 10-1).
double dead_height(const WoundSpring& spring) {
  switch (spring.ends) {
    case SpringEnds::plain:
    case SpringEnds::plain_ground:
      return spring.wire_diameter;
    case SpringEnds::squared:
      return 3.0 * spring.wire_diameter;
    case SpringEnds::squared_ground:
      return 2.0 * spring.wire_diameter;
  }
  return 0.0;
}

double least_diameter(const WoundPart& part) {
  return std::min(part.diameter_from, part.diameter_to);
}

double greatest_diameter(const WoundPart& part) {
  return std::max(part.diameter_from, part.diameter_to);
}

// The part's coils smaller than this still work under the load.
double working_below(const WoundSpring& spring, const WoundPart& part, double load) {
  const double gap = part.pitch - solid_pitch(part, spring.wire_diameter);
  if (!(load > 0.0)) {
    return HUGE_VAL;
  }
  return std::cbrt(gap * spring.shear_modulus * fourth_power(spring.wire_diameter) / (8.0 * load));
}

struct PartState {
  double flexibility = 0.0;  // m/N
  double solid_coils = 0.0;
};

// ∫ D³ over the working coils; D runs evenly from one end to the other.
PartState part_state(const WoundSpring& spring, const WoundPart& part, double load) {
  const double low = least_diameter(part);
  const double high = greatest_diameter(part);
  const double limit = working_below(spring, part, load);
  if (limit <= low) {
    return {0.0, part.coils};
  }
  const double top = std::min(limit, high);
  const double share = top < high ? (top - low) / (high - low) : 1.0;
  const double mean_cube = 0.25 * (top * top * top + top * top * low + top * low * low + low * low * low);
  return {8.0 * mean_cube * share * part.coils / (spring.shear_modulus * fourth_power(spring.wire_diameter)),
          (1.0 - share) * part.coils};
}

double deflection(const WoundSpring& spring, double load) {
  double sum = 0.0;
  for (const auto& part : spring.parts) {
    const PartState state = part_state(spring, part, load);
    sum += state.flexibility * load;
    sum += state.solid_coils * (part.pitch - solid_pitch(part, spring.wire_diameter));
  }
  return sum;
}

// Load under which the last coil goes solid.
double solid_load(const WoundSpring& spring) {
  double load = 0.0;
  for (const auto& part : spring.parts) {
    const double gap = part.pitch - solid_pitch(part, spring.wire_diameter);
    const double low = least_diameter(part);
    load = std::max(
        load, gap * spring.shear_modulus * fourth_power(spring.wire_diameter) / (8.0 * low * low * low));
  }
  return load;
}

struct WireRow {
  double a;         // MPa mm^m
  double exponent;  // m
  double least;     // mm
  double greatest;  // mm
  bool tempered;
};

WireRow wire_row(WireKind kind) {
  switch (kind) {
    case WireKind::music:
      return {2211.0, 0.145, 0.10, 6.5, false};
    case WireKind::oil_tempered:
      return {1855.0, 0.187, 0.5, 12.7, true};
    case WireKind::hard_drawn:
      return {1783.0, 0.190, 0.7, 12.7, false};
    case WireKind::chrome_vanadium:
      return {2005.0, 0.168, 0.8, 11.1, true};
    case WireKind::chrome_silicon:
      return {1974.0, 0.108, 1.6, 9.5, true};
  }
  throw std::invalid_argument("wire_strength: no such wire");
}

}  // namespace

WireStrength wire_strength(WireKind kind, double wire_diameter, bool set_removed) {
  if (!(wire_diameter > 0.0 && std::isfinite(wire_diameter))) {
    throw std::invalid_argument("wire_strength: the wire's diameter must be finite and greater than zero");
  }
  const WireRow row = wire_row(kind);
  const double millimetres = wire_diameter * 1e3;
  WireStrength strength;
  strength.tensile = row.a * 1e6 / std::pow(millimetres, row.exponent);
  strength.shear_yield =
      strength.tensile * (set_removed ? (row.tempered ? 0.65 : 0.60) : (row.tempered ? 0.50 : 0.45));
  strength.shear_ultimate = 0.67 * strength.tensile;
  strength.tabulated = millimetres >= row.least && millimetres <= row.greatest;
  return strength;
}

double active_coils(SpringEnds ends, double total_coils) {
  switch (ends) {
    case SpringEnds::plain:
      return total_coils;
    case SpringEnds::plain_ground:
      return total_coils - 1.0;
    case SpringEnds::squared:
    case SpringEnds::squared_ground:
      return total_coils - 2.0;
  }
  throw std::invalid_argument("active_coils: no such ends");
}

WoundSpring cylindrical_spring(double wire_diameter, double mean_diameter, double total_coils,
                               double free_height, SpringEnds ends, double shear_modulus, double density) {
  WoundSpring spring{wire_diameter, shear_modulus, density, ends, {}};
  const double active = active_coils(ends, total_coils);
  spring.parts.push_back(
      {active, mean_diameter, mean_diameter, (free_height - dead_height(spring)) / active});
  require(spring);
  return spring;
}

std::vector<std::string> wound_spring_problems(const WoundSpring& spring) {
  std::vector<std::string> problems;
  if (!(spring.wire_diameter > 0.0 && spring.shear_modulus > 0.0 && spring.density > 0.0 &&
        std::isfinite(spring.wire_diameter + spring.shear_modulus + spring.density))) {
    problems.emplace_back("wire diameter, shear modulus and density must be finite and greater than zero");
  }
  if (spring.parts.empty()) {
    problems.emplace_back("the spring has no active coils");
  }
  for (const auto& part : spring.parts) {
    if (!(part.coils > 0.0 &&
          std::isfinite(part.coils + part.diameter_from + part.diameter_to + part.pitch))) {
      problems.emplace_back("every part of the spring needs more than zero active coils, all numbers finite");
    } else if (!(least_diameter(part) > spring.wire_diameter)) {
      problems.emplace_back("the mean coil diameter must be greater than the wire");
    } else if (!(part.pitch > solid_pitch(part, spring.wire_diameter))) {
      problems.emplace_back("the coils lie solid already when the spring is free");
    }
  }
  return problems;
}

double curvature_factor(CurvatureFactor factor, double index) {
  if (!(index > 1.0)) {
    throw std::invalid_argument("curvature_factor: the spring index must be greater than one");
  }
  return factor == CurvatureFactor::wahl ? (4.0 * index - 1.0) / (4.0 * index - 4.0) + 0.615 / index
                                         : (4.0 * index + 2.0) / (4.0 * index - 3.0);
}

double wound_free_height(const WoundSpring& spring) {
  require(spring);
  double height = dead_height(spring);
  for (const auto& part : spring.parts) {
    height += part.coils * part.pitch;
  }
  return height;
}

double wound_solid_height(const WoundSpring& spring) {
  require(spring);
  double height = dead_height(spring);
  for (const auto& part : spring.parts) {
    height += part.coils * solid_pitch(part, spring.wire_diameter);
  }
  return height;
}

double wound_height(const WoundSpring& spring, double load) {
  if (!(load >= 0.0 && std::isfinite(load))) {
    throw std::invalid_argument("wound_height: a load is finite and not negative");
  }
  return wound_free_height(spring) - deflection(spring, load);
}

std::optional<double> wound_load(const WoundSpring& spring, double height) {
  if (!std::isfinite(height)) {
    throw std::invalid_argument("wound_load: a height is finite");
  }
  const double compressed = wound_free_height(spring) - height;
  if (compressed <= 0.0) {
    return 0.0;
  }
  const double most = solid_load(spring);
  if (height <= wound_solid_height(spring) || compressed >= deflection(spring, most)) {
    return std::nullopt;
  }
  std::uintmax_t iterations = 200;
  const auto [low, high] = boost::math::tools::toms748_solve(
      [&](double load) { return deflection(spring, load) - compressed; }, 0.0, most, -compressed,
      deflection(spring, most) - compressed, boost::math::tools::eps_tolerance<double>(51), iterations);
  return 0.5 * (low + high);
}

std::optional<double> wound_rate(const WoundSpring& spring, double load) {
  require(spring);
  double flexibility = 0.0;
  for (const auto& part : spring.parts) {
    flexibility += part_state(spring, part, load).flexibility;
  }
  if (!(flexibility > 0.0)) {
    return std::nullopt;
  }
  return 1.0 / flexibility;
}

// K D grows with D, and the stress at which a coil goes solid falls with D: within a part the coil about to
// go solid, or else its largest, bears the most.
double wound_stress(const WoundSpring& spring, double load, CurvatureFactor factor) {
  require(spring);
  if (!(load >= 0.0 && std::isfinite(load))) {
    throw std::invalid_argument("wound_stress: a load is finite and not negative");
  }
  const double d = spring.wire_diameter;
  double greatest = 0.0;
  for (const auto& part : spring.parts) {
    const double limit = working_below(spring, part, load);
    const double low = least_diameter(part);
    const double diameter = std::clamp(limit, low, greatest_diameter(part));
    const double carried = limit < low ? load * std::pow(limit / low, 3) : load;
    greatest = std::max(greatest,
                        curvature_factor(factor, diameter / d) * 8.0 * carried * diameter / (pi * d * d * d));
  }
  return greatest;
}

double wound_active_mass(const WoundSpring& spring) {
  require(spring);
  const double section = 0.25 * pi * square(spring.wire_diameter);
  double mass = 0.0;
  for (const auto& part : spring.parts) {
    mass += spring.density * section * pi * 0.5 * (part.diameter_from + part.diameter_to) * part.coils;
  }
  return mass;
}

double wound_mass(const WoundSpring& spring) {
  const double active = wound_active_mass(spring);
  const double dead = spring.ends == SpringEnds::plain          ? 0.0
                      : spring.ends == SpringEnds::plain_ground ? 0.5
                                                                : 1.0;  // coils at each end
  const double ends = spring.parts.front().diameter_from + spring.parts.back().diameter_to;
  return active + spring.density * 0.25 * pi * square(spring.wire_diameter) * pi * dead * ends;
}

double surge_frequency(const WoundSpring& spring) {
  require(spring);
  const auto cylinder = [&](const WoundPart& part) {
    return part.diameter_from == part.diameter_to && part.diameter_to == spring.parts.front().diameter_to;
  };
  if (!std::all_of(spring.parts.begin(), spring.parts.end(), cylinder)) {
    throw std::invalid_argument("surge_frequency: the closed form holds for cylindrical springs only");
  }
  return 0.5 * std::sqrt(*wound_rate(spring, 0.0) / wound_active_mass(spring));
}

std::optional<SpringFatigue> spring_fatigue(const WoundSpring& spring, const WireStrength& strength,
                                            double seat_load, double open_load, bool peened) {
  if (!(seat_load >= 0.0 && open_load >= seat_load && open_load > 0.0)) {
    throw std::invalid_argument("spring_fatigue: the open load must be positive and not below the seat load");
  }
  const double zimmerli_amplitude = peened ? 398e6 : 241e6;
  const double zimmerli_mean = peened ? 534e6 : 379e6;
  if (!(strength.shear_ultimate > zimmerli_mean)) {
    return std::nullopt;
  }
  // The stresses, not the loads, are halved: coils that went solid do not follow the load.
  const double least = wound_stress(spring, seat_load);
  const double most = wound_stress(spring, open_load);
  SpringFatigue fatigue;
  fatigue.amplitude = 0.5 * (most - least);
  fatigue.mean = 0.5 * (most + least);
  const double endurance = zimmerli_amplitude / (1.0 - zimmerli_mean / strength.shear_ultimate);
  fatigue.goodman = 1.0 / (fatigue.amplitude / endurance + fatigue.mean / strength.shear_ultimate);
  fatigue.sines = fatigue.amplitude > 0.0 ? zimmerli_amplitude / fatigue.amplitude : HUGE_VAL;
  fatigue.yield = strength.shear_yield / most;
  return fatigue;
}

}  // namespace fettle::mechanism
