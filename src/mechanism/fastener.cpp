#include "mechanism/fastener.h"

#include <cmath>
#include <numbers>
#include <stdexcept>

namespace fettle::mechanism {

namespace {

constexpr double kpsi = 6.894757293168e6;  // Pa, exact to the digits shown
constexpr double megapascal = 1e6;

void require(const Bolt& bolt) {
  if (const auto problem = bolt_problem(bolt)) {
    throw std::invalid_argument("Bolt: " + *problem);
  }
}

void require_positive(double number, const char* what) {
  if (!(number > 0.0 && std::isfinite(number))) {
    throw std::invalid_argument(what);
  }
}

void require_finite(double number, const char* what) {
  if (!std::isfinite(number)) {
    throw std::invalid_argument(what);
  }
}

}  // namespace

double tensile_stress_area(ThreadForm form, double nominal_diameter, double pitch) {
  const double core = nominal_diameter - (form == ThreadForm::unified ? 0.9743 : 0.9382) * pitch;
  if (!(core > 0.0 && pitch > 0.0 && std::isfinite(core))) {
    throw std::invalid_argument(
        "tensile_stress_area: diameter and pitch must be above zero and leave a core");
  }
  return 0.25 * std::numbers::pi * core * core;
}

double nut_factor(ThreadFinish finish) {
  switch (finish) {
    case ThreadFinish::black:
      return 0.30;
    case ThreadFinish::zinc_plated:
      return 0.20;
    case ThreadFinish::lubricated:
      return 0.18;
    case ThreadFinish::cadmium_plated:
      return 0.16;
  }
  throw std::invalid_argument("nut_factor: no such finish");
}

std::optional<BoltStrength> bolt_strength(const std::string& grade) {
  if (grade == "5") {
    return BoltStrength{85 * kpsi, 92 * kpsi, 120 * kpsi};
  }
  if (grade == "8") {
    return BoltStrength{120 * kpsi, 130 * kpsi, 150 * kpsi};
  }
  if (grade == "8.8") {
    return BoltStrength{580 * megapascal, 640 * megapascal, 800 * megapascal};
  }
  if (grade == "10.9") {
    return BoltStrength{830 * megapascal, 940 * megapascal, 1040 * megapascal};
  }
  if (grade == "12.9") {
    return BoltStrength{970 * megapascal, 1100 * megapascal, 1220 * megapascal};
  }
  return std::nullopt;
}

std::optional<std::string> bolt_problem(const Bolt& bolt) {
  for (const double number :
       {bolt.nominal_diameter, bolt.stress_area, bolt.shank_area, bolt.elastic_modulus}) {
    if (!(number > 0.0 && std::isfinite(number))) {
      return "a bolt's diameter, areas and modulus must be finite and greater than zero";
    }
  }
  const double stretched = bolt.shank_length + bolt.thread_length;
  if (!(bolt.shank_length >= 0.0 && bolt.thread_length >= 0.0 && stretched > 0.0 &&
        std::isfinite(stretched))) {
    return "no length of the bolt is under tension";
  }
  return std::nullopt;
}

double bolt_stiffness(const Bolt& bolt) {
  require(bolt);
  return bolt.elastic_modulus / (bolt.shank_length / bolt.shank_area + bolt.thread_length / bolt.stress_area);
}

double preload_from_torque(double torque, double factor, double nominal_diameter) {
  require_finite(torque, "preload_from_torque: the torque must be finite");
  require_positive(factor, "preload_from_torque: the nut factor must be above zero");
  require_positive(nominal_diameter, "preload_from_torque: the diameter must be above zero");
  return torque / (factor * nominal_diameter);
}

double torque_for_preload(double preload, double factor, double nominal_diameter) {
  require_finite(preload, "torque_for_preload: the preload must be finite");
  require_positive(factor, "torque_for_preload: the nut factor must be above zero");
  require_positive(nominal_diameter, "torque_for_preload: the diameter must be above zero");
  return preload * factor * nominal_diameter;
}

double preload_from_stretch(const Bolt& bolt, double stretch) {
  require_finite(stretch, "preload_from_stretch: the stretch must be finite");
  return bolt_stiffness(bolt) * stretch;
}

double stretch_for_preload(const Bolt& bolt, double preload) {
  require_finite(preload, "stretch_for_preload: the preload must be finite");
  return preload / bolt_stiffness(bolt);
}

double preload_from_angle(const Bolt& bolt, double member_stiffness, double pitch, double angle) {
  require_positive(pitch, "preload_from_angle: the pitch must be above zero");
  require_finite(angle, "preload_from_angle: the angle must be finite");
  if (!(member_stiffness > 0.0)) {
    throw std::invalid_argument("preload_from_angle: the members' stiffness must be above zero");
  }
  const double advance = pitch * angle / (2.0 * std::numbers::pi);
  return advance / (1.0 / bolt_stiffness(bolt) + 1.0 / member_stiffness);
}

BoltState bolt_state(const Bolt& bolt, const BoltStrength& strength, double preload) {
  require(bolt);
  require_finite(preload, "bolt_state: the preload must be finite");
  require_positive(strength.proof, "bolt_state: the proof strength must be above zero");
  require_positive(strength.yield, "bolt_state: the yield strength must be above zero");
  BoltState state;
  state.preload = preload;
  state.stress = preload / bolt.stress_area;
  state.proof_part = state.stress / strength.proof;
  state.yield_margin = 1.0 - state.stress / strength.yield;
  return state;
}

std::optional<double> shown_nut_factor(const Bolt& bolt, double torque, double stretch) {
  require_finite(torque, "shown_nut_factor: the torque must be finite");
  const double preload = preload_from_stretch(bolt, stretch);
  if (!(preload > 0.0)) {
    return std::nullopt;
  }
  return torque / (preload * bolt.nominal_diameter);
}

}  // namespace fettle::mechanism
