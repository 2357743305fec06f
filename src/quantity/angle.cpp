#include "quantity/angle.h"

#include <cmath>
#include <limits>
#include <stdexcept>

namespace fettle::quantity {
namespace {

constexpr double one_turn = 2 * std::numbers::pi;
constexpr double one_cycle = 2 * one_turn;

void require_finite(double radians) {
  if (!std::isfinite(radians)) {
    throw std::invalid_argument("an angle to be wrapped must be finite");
  }
}

// What rounding can have done to an angle of this size that has been through degrees and back.
double rounding_of(double radians, double period) {
  return 4 * std::numeric_limits<double>::epsilon() * std::fmax(std::abs(radians), period);
}

// To [0, period).
double wrapped(double radians, double period) {
  require_finite(radians);
  double rest = std::fmod(radians, period);
  if (rest < 0) {
    rest += period;
  }
  return period - rest <= rounding_of(radians, period) ? 0.0 : rest;
}

// radians + k * period nearest to the reference.
double nearest(double radians, double reference, double period) {
  require_finite(radians);
  require_finite(reference);
  const double ahead = wrapped(radians - reference, period);
  const double slack = rounding_of(std::fmax(std::abs(radians), std::abs(reference)), period);
  const double turns = std::round((reference + ahead - radians) / period);
  return radians + (ahead > period / 2 + slack ? turns - 1 : turns) * period;
}

}  // namespace

CrankAngle to_crank(WheelAngle wheel, const WheelSetting& setting) {
  const double past = (wheel - setting.at_tdc).radians();
  return CrankAngle::from_radians(setting.numbering == WheelSetting::Numbering::grows_forward ? past : -past);
}

WheelAngle to_wheel(CrankAngle crank, const WheelSetting& setting) {
  const double sign = setting.numbering == WheelSetting::Numbering::grows_forward ? 1 : -1;
  return setting.at_tdc + WheelAngle::from_radians(sign * crank.radians());
}

CrankAngle wrap_360(CrankAngle angle) {
  return CrankAngle::from_radians(wrapped(angle.radians(), one_turn));
}

CrankAngle wrap_720(CrankAngle angle) {
  return CrankAngle::from_radians(wrapped(angle.radians(), one_cycle));
}

CrankAngle wrap_signed(CrankAngle angle) {
  const double rest = wrapped(angle.radians(), one_turn);
  const double half = one_turn / 2;
  const bool past_half = rest > half + rounding_of(angle.radians(), one_turn);
  return CrankAngle::from_radians(past_half ? rest - one_turn : std::fmin(rest, half));
}

WheelAngle wrap_360(WheelAngle angle) {
  return WheelAngle::from_radians(wrapped(angle.radians(), one_turn));
}

CrankAngle nearest_turn(CrankAngle angle, CrankAngle reference) {
  return CrankAngle::from_radians(nearest(angle.radians(), reference.radians(), one_turn));
}

CrankAngle nearest_cycle(CrankAngle angle, CrankAngle reference) {
  return CrankAngle::from_radians(nearest(angle.radians(), reference.radians(), one_cycle));
}

}  // namespace fettle::quantity
