#include "gasflow/flame.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include <boost/math/quadrature/gauss.hpp>

#include "gasflow/burn_duration.h"

namespace fettle::gasflow {

namespace {

constexpr double pi = std::numbers::pi;
constexpr double kernel_radius = 1e-3;
constexpr double burned_out = 0.999;

/// Half of the angle of a circle of radius s, its centre `offset` off the axis, that lies in the bore; and
/// the area of the circle within it.
struct Slice {
  double half_angle, area;
};

Slice slice(double s, double bore_radius, double offset) {
  if (s + offset <= bore_radius) {
    return {pi, pi * s * s};
  }
  if (s >= bore_radius + offset) {
    return {0.0, pi * bore_radius * bore_radius};
  }
  // Two circles that cut one another: lens.
  const double cosine = (offset * offset + s * s - bore_radius * bore_radius) / (2.0 * offset * s);
  const double at_axis = (offset * offset + bore_radius * bore_radius - s * s) / (2.0 * offset * bore_radius);
  const double half_angle = std::acos(std::clamp(cosine, -1.0, 1.0));
  const double other = std::acos(std::clamp(at_axis, -1.0, 1.0));
  const double triangles = s * offset * std::sin(half_angle);
  return {half_angle, s * s * half_angle + bore_radius * bore_radius * other - triangles};
}

void require(bool holds, const char* message) {
  if (!holds) {
    throw std::invalid_argument(message);
  }
}

}  // namespace

BallInDisc ball_in_disc(double radius, double height, double bore, double offset) {
  require(height > 0.0 && bore > 0.0 && offset >= 0.0 && offset < 0.5 * bore && radius >= 0.0,
          "ball_in_disc: sizes must be positive, and the centre within the bore");
  if (radius == 0.0) {
    return {};
  }
  // Depth z of a slice as R sin φ: the ball's outline is smooth in φ. dz = R cos φ dφ, and the ball's surface
  // between two depths is R 2 half_angle dz.
  const double last = radius <= height ? 0.5 * pi : std::asin(height / radius);
  double volume = 0.0;
  const auto belt = [&](double phi) {
    const Slice cut = slice(radius * std::cos(phi), 0.5 * bore, offset);
    const double depth = radius * std::cos(phi);
    volume = cut.area * depth;
    return 2.0 * cut.half_angle * radius * depth;
  };
  BallInDisc result;
  using Rule = boost::math::quadrature::gauss<double, 12>;
  const auto add = [&](double place, double weight) {
    const double area = belt(0.5 * last * (1.0 + place));
    result.area += 0.5 * last * weight * area;
    result.volume += 0.5 * last * weight * volume;
  };
  for (std::size_t i = 0; i < Rule::abscissa().size(); ++i) {
    add(Rule::abscissa()[i], Rule::weights()[i]);
    add(-Rule::abscissa()[i], Rule::weights()[i]);
  }
  return result;
}

Flame::Flame(const FlameSetup& setup) : setup_(setup) {
  require(setup.bore > 0.0 && setup.plug_offset >= 0.0 && setup.plug_offset < 0.5 * setup.bore,
          "Flame: the plug must lie within the bore");
  require(setup.turbulence >= 0.0 && setup.scale > 0.0 && setup.equivalence_ratio > 0.0,
          "Flame: turbulence, its scale or the mixture out of range");
}

void Flame::light(const FlameSurroundings& now) {
  radius_ = kernel_radius;
  const BallInDisc ball = ball_in_disc(radius_, now.height, setup_.bore, setup_.plug_offset);
  area_ = ball.area;
  burned_ = entrained_ = ball.volume * now.burned_density / now.mass;
  last_entrained_ = 0.0;
  burning_ = true;
}

/// Surface of the front that holds a volume: Newton's iteration of the radius, dV/dR being the surface.
double Flame::front(double volume, const FlameSurroundings& now) {
  const double all = 0.25 * pi * setup_.bore * setup_.bore * now.height;
  if (volume >= (1.0 - 1e-6) * all) {
    return 0.0;
  }
  BallInDisc ball{};
  for (int i = 0; i < 8; ++i) {
    ball = ball_in_disc(radius_, now.height, setup_.bore, setup_.plug_offset);
    const double missing = volume - ball.volume;
    if (std::abs(missing) <= 1e-6 * volume) {
      break;
    }
    const double least = 1e-3 * radius_ * radius_;  // where the front nearly vanishes
    radius_ = std::clamp(radius_ + missing / std::max(ball.area, least), 0.5 * radius_, 1.3 * radius_);
  }
  return ball.area;
}

double Flame::step(const FlameSurroundings& now, double dt) {
  if (!burning_) {
    return 0.0;
  }
  const double pending = entrained_ - burned_;
  // The front as it will be in the middle of the step.
  const double volume =
      now.mass * (burned_ / now.burned_density + (pending + 0.5 * last_entrained_) / now.unburned_density);
  area_ = front(volume, now);
  const double laminar = laminar_speed(setup_.fuel, setup_.equivalence_ratio, now.unburned_temperature,
                                       now.pressure, now.residual);
  const double squeezed = std::cbrt(now.unburned_density / now.density_at_tdc);
  const double intensity = setup_.turbulence * now.piston_speed * squeezed;
  const double flux = now.unburned_density * area_ / now.mass;
  const double taken = std::min(1.0 - entrained_, flux * (intensity + laminar) * dt);
  const double by_front = intensity > 0.0 ? std::min(taken, flux * laminar * dt) : taken;
  double by_eddies = pending;
  if (intensity > 0.0) {
    const double length = setup_.scale * now.height_at_tdc / squeezed;
    const double viscosity_now = viscosity(now.unburned_temperature) / now.unburned_density;
    const double taylor = std::sqrt(15.0 * viscosity_now * length / intensity);
    const double relaxed = -std::expm1(-dt * laminar / taylor);
    by_eddies = (pending + 0.5 * (taken - by_front)) * relaxed;
  }
  const double part = std::min(by_front + by_eddies, entrained_ + taken - burned_);
  entrained_ += taken;
  burned_ += part;
  last_entrained_ = taken;
  burning_ = burned_ < burned_out;
  return part;
}

}  // namespace fettle::gasflow
