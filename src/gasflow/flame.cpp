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
  const double before = burned_;
  const double squeezed = std::cbrt(now.unburned_density / now.density_at_tdc);
  const double laminar = laminar_speed(setup_.fuel, setup_.equivalence_ratio, now.unburned_temperature,
                                       now.pressure, now.residual);
  const double intensity = setup_.turbulence * now.piston_speed * squeezed;
  double relaxation = 0.0;
  if (intensity > 0.0) {
    const double length = setup_.scale * now.height_at_tdc / squeezed;
    const double kinematic = viscosity(now.unburned_temperature) / now.unburned_density;
    relaxation = laminar / std::sqrt(15.0 * kinematic * length / intensity);
  }
  // A small ball grows much in a step.
  const double growth = (intensity + laminar) * now.unburned_density / now.burned_density * dt /
                        std::max(radius_, kernel_radius);
  const int parts = std::clamp(static_cast<int>(std::ceil(growth / 0.1)), 1, 20);
  for (int i = 0; i < parts; ++i) {
    advance(now, laminar, intensity, relaxation, dt / parts);
  }
  burning_ = burned_ < burned_out;
  return burned_ - before;
}

/// One part of a step, by the front in its middle.
void Flame::advance(const FlameSurroundings& now, double laminar, double intensity, double relaxation,
                    double dt) {
  const auto taken_by = [&](double area) {
    return std::min(1.0 - entrained_, now.unburned_density * area / now.mass * (intensity + laminar) * dt);
  };
  const double laminar_share = laminar / (intensity + laminar);
  const double pending = entrained_ - burned_;
  const auto burned_by = [&](double taken) {
    const double by_front = laminar_share * taken;
    if (intensity == 0.0) {
      return by_front;
    }
    return by_front + (pending + 0.5 * (taken - by_front)) * -std::expm1(-dt * relaxation);
  };
  const auto volume = [&](double entrained, double burned) {
    return now.mass * (burned / now.burned_density + (entrained - burned) / now.unburned_density);
  };
  const double guess = taken_by(area_);
  area_ = front(volume(entrained_ + 0.5 * guess, burned_ + 0.5 * burned_by(guess)), now);
  // Where the ball holds the whole chamber, what is left is in its corners.
  const double taken = area_ > 0.0 ? taken_by(area_) : 1.0 - entrained_;
  burned_ = std::min(burned_ + burned_by(taken), entrained_ + taken);
  entrained_ += taken;
}

}  // namespace fettle::gasflow
