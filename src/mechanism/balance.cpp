#include "mechanism/balance.h"

#include <cmath>
#include <stdexcept>

#include "mechanism/circular.h"

namespace fettle::mechanism {

namespace {

using Complex = std::complex<double>;

void require_mass(double mass) {
  if (!(mass >= 0.0 && std::isfinite(mass))) {
    throw std::invalid_argument("balance: masses are finite and not negative");
  }
}

}  // namespace

double bobweight(const PinMasses& masses, double reciprocating_factor, double rotating_factor) {
  for (const double mass :
       {masses.big_end, masses.reciprocating, masses.oil, reciprocating_factor, rotating_factor}) {
    require_mass(mass);
  }
  if (masses.rods < 1) {
    throw std::invalid_argument("bobweight: a pin carries one rod or more");
  }
  return masses.rods * (rotating_factor * masses.big_end + reciprocating_factor * masses.reciprocating) +
         masses.oil;
}

RodSplit rod_split(double big_end, double small_end, double whole) {
  require_mass(big_end);
  require_mass(small_end);
  require_mass(whole);
  return {big_end, small_end, big_end + small_end - whole};
}

// The acceleration is smooth and periodic, so that equal sums converge faster than any power.
std::vector<double> acceleration_harmonics(const CrankGeometry& geometry, int most) {
  if (geometry.pin_offset != 0.0) {
    throw std::invalid_argument("acceleration_harmonics: holds for mechanisms without pin offset");
  }
  if (most < 2 || most > 64) {
    throw std::invalid_argument("acceleration_harmonics: the highest order lies between 2 and 64");
  }
  const SliderCrank crank(geometry);
  constexpr int samples = 512;
  std::vector<double> factors(1, 0.0);
  for (int order = 2; order <= most; order += 2) {
    factors.push_back(0.0);
  }
  for (int i = 0; i < samples; ++i) {
    const double angle = full_turn * i / samples;
    const double share = 2.0 / samples * crank.acceleration(angle) / geometry.crank_throw;
    for (std::size_t j = 0; j < factors.size(); ++j) {
      const double order = j == 0 ? 1.0 : 2.0 * static_cast<double>(j);
      factors[j] += share * std::cos(order * angle);
    }
  }
  return factors;
}

std::vector<ShakingOrder> shaking(const CrankGeometry& geometry, std::span<const BalanceCylinder> cylinders,
                                  double crank_speed, int most) {
  if (!(crank_speed >= 0.0 && std::isfinite(crank_speed))) {
    throw std::invalid_argument("shaking: the crank's speed is finite and not negative");
  }
  const auto factors = acceleration_harmonics(geometry, most);
  const double scale = geometry.crank_throw * crank_speed * crank_speed;
  std::vector<ShakingOrder> orders(factors.size());
  for (std::size_t j = 0; j < factors.size(); ++j) {
    orders[j].order = j == 0 ? 1 : 2 * static_cast<int>(j);
  }
  for (const BalanceCylinder& cylinder : cylinders) {
    require_mass(cylinder.reciprocating_mass);
    if (!std::isfinite(cylinder.throw_angle + cylinder.bank_angle + cylinder.position +
                       cylinder.rotating_mass)) {
      throw std::invalid_argument("shaking: angles, positions and masses must be finite");
    }
    // The piston's own angle is crank + throw − bank; its acceleration away from TDC is toward the crank, so
    // that the engine feels m a along the bore, outward at TDC: cos kα = ½ (e^{ikα} + e^{−ikα}).
    const double phase = cylinder.throw_angle - cylinder.bank_angle;
    const Complex bore = std::polar(1.0, cylinder.bank_angle);
    for (std::size_t j = 0; j < factors.size(); ++j) {
      ShakingOrder& order = orders[j];
      const double half = 0.5 * cylinder.reciprocating_mass * scale * factors[j];
      Complex forward = half * bore * std::polar(1.0, order.order * phase);
      const Complex backward = half * bore * std::polar(1.0, -order.order * phase);
      if (j == 0) {
        forward += cylinder.rotating_mass * scale * std::polar(1.0, cylinder.throw_angle);
      }
      order.force_forward += forward;
      order.force_backward += backward;
      order.moment_forward += cylinder.position * forward;
      order.moment_backward += cylinder.position * backward;
    }
  }
  return orders;
}

TwoPlaneBalance two_plane_balance(const ShakingOrder& first_order, double crank_speed, double plane_a,
                                  double plane_b) {
  if (first_order.order != 1 || !(crank_speed > 0.0) || !(std::abs(plane_b - plane_a) > 0.0) ||
      !std::isfinite(plane_a + plane_b + crank_speed)) {
    throw std::invalid_argument("two_plane_balance: the first order, a speed and two planes are needed");
  }
  const double speed_squared = crank_speed * crank_speed;
  const Complex force = first_order.force_forward;
  const Complex moment = first_order.moment_forward;
  const Complex in_b = -(moment - plane_a * force) / (plane_b - plane_a) / speed_squared;
  const Complex in_a = -force / speed_squared - in_b;
  return {{std::abs(in_a), std::arg(in_a)}, {std::abs(in_b), std::arg(in_b)}};
}

}  // namespace fettle::mechanism
