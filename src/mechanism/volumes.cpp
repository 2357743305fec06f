#include "mechanism/volumes.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace fettle::mechanism {

namespace {

double disc(double diameter) {
  return 0.25 * std::numbers::pi * diameter * diameter;
}

bool positive(double number) {
  return number > 0.0 && std::isfinite(number);
}

void require(bool holds, const char* what) {
  if (!holds) {
    throw std::invalid_argument(what);
  }
}

}  // namespace

std::vector<std::string> clearance_problems(const ClearanceParts& parts) {
  std::vector<std::string> problems;
  if (!positive(parts.bore) || !positive(parts.gasket_bore)) {
    problems.emplace_back("bore and gasket bore must be finite and greater than zero");
  }
  if (!(parts.chamber >= 0.0 && parts.gasket >= 0.0 &&
        std::isfinite(parts.chamber + parts.gasket + parts.deck + parts.dish))) {
    problems.emplace_back("chamber and gasket must be finite and not negative, deck and dish finite");
  }
  if (!(parts.land_diameter >= 0.0 && parts.land_diameter <= parts.bore && parts.land_height >= 0.0 &&
        std::isfinite(parts.land_height))) {
    problems.emplace_back("the land above the top ring must fit the bore");
  }
  return problems;
}

double swept_volume(double bore, double stroke) {
  require(positive(bore) && positive(stroke), "swept_volume: bore and stroke must be greater than zero");
  return disc(bore) * stroke;
}

double clearance_volume(const ClearanceParts& parts) {
  const auto problems = clearance_problems(parts);
  if (!problems.empty()) {
    throw std::invalid_argument("clearance_volume: " + problems.front());
  }
  const double crevice =
      parts.land_diameter > 0.0 ? (disc(parts.bore) - disc(parts.land_diameter)) * parts.land_height : 0.0;
  return parts.chamber + disc(parts.gasket_bore) * parts.gasket + disc(parts.bore) * parts.deck + parts.dish +
         crevice;
}

double static_ratio(double swept, double clearance) {
  require(positive(swept) && positive(clearance), "static_ratio: both volumes must be greater than zero");
  return 1.0 + swept / clearance;
}

double clearance_for_ratio(double swept, double ratio) {
  require(positive(swept) && std::isfinite(ratio) && ratio > 1.0,
          "clearance_for_ratio: a ratio is greater than one");
  return swept / (ratio - 1.0);
}

RatioChanges changes_for_ratio(const ClearanceParts& parts, double stroke, double ratio,
                               std::optional<double> chamber_area) {
  const double more = clearance_for_ratio(swept_volume(parts.bore, stroke), ratio) - clearance_volume(parts);
  RatioChanges changes{more / disc(parts.gasket_bore), more / disc(parts.bore), more, more, {}};
  if (chamber_area) {
    require(positive(*chamber_area), "changes_for_ratio: the chamber's area must be greater than zero");
    changes.milling = -more / *chamber_area;
  }
  return changes;
}

double dome_from_fill(double bore, double depth, double fill) {
  require(positive(bore) && depth >= 0.0 && fill >= 0.0 && std::isfinite(depth + fill),
          "dome_from_fill: depth and fill are finite and not negative");
  return disc(bore) * depth - fill;
}

double quench_distance(const ClearanceParts& parts) {
  return parts.deck + parts.gasket;
}

double cylinder_volume(const SliderCrank& crank, double bore, double clearance, double after_tdc) {
  require(positive(bore) && positive(clearance) && std::isfinite(after_tdc),
          "cylinder_volume: bore and clearance volume must be greater than zero");
  return clearance + disc(bore) * crank.depth(after_tdc);
}

double effective_ratio(const SliderCrank& crank, double bore, double clearance, double intake_closing) {
  return cylinder_volume(crank, bore, clearance, intake_closing) / clearance;
}

double standard_pressure(double altitude) {
  require(altitude >= -1000.0 && altitude <= 11000.0,
          "standard_pressure: the altitude lies between -1000 and 11000 m");
  return 101325.0 * std::pow(1.0 - 2.25577e-5 * altitude, 5.25588);
}

namespace {

// Flow of an ideal nozzle per area, kg/(m² s), out of the cylinder (or into it, negative).
double nozzle_flux(double inside, double ambient, double temperature, double ambient_temperature,
                   double gas_constant) {
  constexpr double gamma = 1.4;
  const bool out = inside >= ambient;
  const double upstream = out ? inside : ambient;
  const double heat = out ? temperature : ambient_temperature;
  const double critical = std::pow(2.0 / (gamma + 1.0), gamma / (gamma - 1.0));
  const double ratio = std::max(critical, std::min(inside, ambient) / upstream);
  const double speed = std::pow(ratio, 2.0 / gamma) - std::pow(ratio, (gamma + 1.0) / gamma);
  const double flux = upstream / std::sqrt(gas_constant * heat) *
                      std::sqrt(std::max(0.0, 2.0 * gamma / (gamma - 1.0) * speed));
  return out ? flux : -flux;
}

}  // namespace

double cranking_pressure(const SliderCrank& crank, double bore, double clearance, double intake_closing,
                         const Cranking& cranking) {
  require(
      positive(cranking.ambient_pressure) && positive(cranking.ambient_temperature) &&
          positive(cranking.crank_speed) && positive(cranking.gas_constant) &&
          cranking.polytropic_exponent >= 1.0 && std::isfinite(cranking.polytropic_exponent) &&
          cranking.leak_area >= 0.0 && std::isfinite(cranking.leak_area),
      "cranking_pressure: pressure, temperature, speed must be greater than zero, the exponent one or more");
  const double full = 2.0 * std::numbers::pi;
  require(intake_closing > 0.0 && intake_closing < full,
          "cranking_pressure: the intake closes after overlap TDC and before the next");
  const double n = cranking.polytropic_exponent;
  const double start = cylinder_volume(crank, bore, clearance, intake_closing);
  if (cranking.leak_area == 0.0) {
    return cranking.ambient_pressure * std::pow(start / clearance, n);
  }
  const auto pressure = [&](double angle, double mass) {
    return cranking.ambient_pressure *
           std::pow(mass * start / cylinder_volume(crank, bore, clearance, angle), n);
  };
  // Mass as a part of that at closing; its density then is p/(R T).
  const double first_mass =
      cranking.ambient_pressure * start / (cranking.gas_constant * cranking.ambient_temperature);
  const auto rate = [&](double angle, double mass) {
    const double inside = pressure(angle, mass);
    const double temperature =
        cranking.ambient_temperature * std::pow(inside / cranking.ambient_pressure, (n - 1.0) / n);
    return -cranking.leak_area *
           nozzle_flux(inside, cranking.ambient_pressure, temperature, cranking.ambient_temperature,
                       cranking.gas_constant) /
           (first_mass * cranking.crank_speed);
  };
  constexpr int steps = 400;
  const double h = (full - intake_closing) / steps;
  double mass = 1.0;
  std::vector<double> pressures{cranking.ambient_pressure};
  for (int i = 0; i < steps; ++i) {
    const double angle = intake_closing + i * h;
    const double k1 = rate(angle, mass);
    const double k2 = rate(angle + 0.5 * h, mass + 0.5 * h * k1);
    const double k3 = rate(angle + 0.5 * h, mass + 0.5 * h * k2);
    const double k4 = rate(angle + h, mass + h * k3);
    mass += h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
    require(mass > 0.0, "cranking_pressure: the leak empties the cylinder within a step");
    pressures.push_back(pressure(angle + h, mass));
  }
  const auto top = std::max_element(pressures.begin(), pressures.end());
  if (top == pressures.begin() || std::next(top) == pressures.end()) {
    return *top;
  }
  // With a leak the peak comes before TDC, between two steps: the parabola through the three highest.
  const double before = *std::prev(top) - *top;
  const double after = *std::next(top) - *top;
  return *top - 0.125 * (after - before) * (after - before) / (after + before);
}

}  // namespace fettle::mechanism
