#include "mechanism/cam_laws.h"

#include <cmath>
#include <numbers>
#include <stdexcept>

namespace fettle::mechanism {

namespace {

constexpr double pi = std::numbers::pi;

double square(double x) {
  return x * x;
}

// Sine rise over b/2, constant over c/2, cosine fall over d/2 of the first half; b + c + d = 1; the second
// half is the first turned about the middle.
struct SineConstantCosine {
  double b;
  double d;

  double peak_acceleration() const {
    return 4.0 * pi * pi / ((pi * pi - 8.0) * (b * b - d * d) - 2.0 * pi * (pi - 2.0) * b + pi * pi);
  }

  RiseState first_half(double x) const {
    const double peak = peak_acceleration();
    const double sine_end = 0.5 * b;
    const double constant_end = 0.5 * (1.0 - d);
    if (x < sine_end) {
      const double k = pi / b;
      return {peak / k * (x - std::sin(k * x) / k), peak / k * (1.0 - std::cos(k * x)),
              peak * std::sin(k * x), peak * k * std::cos(k * x)};
    }
    const double sine_velocity = peak * b / pi;
    const double sine_rise = peak * b / pi * (0.5 * b - b / pi);
    if (x < constant_end) {
      const double u = x - sine_end;
      return {sine_rise + sine_velocity * u + 0.5 * peak * u * u, sine_velocity + peak * u, peak, 0.0};
    }
    const double constant = constant_end - sine_end;
    const double velocity = sine_velocity + peak * constant;
    const double rise_before = sine_rise + sine_velocity * constant + 0.5 * peak * square(constant);
    const double u = x - constant_end;
    const double k = pi / d;
    return {rise_before + velocity * u + peak / square(k) * (1.0 - std::cos(k * u)),
            velocity + peak / k * std::sin(k * u), peak * std::cos(k * u), -peak * k * std::sin(k * u)};
  }

  RiseState at(double x) const {
    if (x <= 0.5) {
      return first_half(x);
    }
    const RiseState mirrored = first_half(1.0 - x);
    return {1.0 - mirrored.s, mirrored.v, -mirrored.a, mirrored.j};
  }
};

RiseState polynomial_345(double x) {
  return {x * x * x * (10.0 + x * (-15.0 + 6.0 * x)), 30.0 * square(x * (1.0 - x)),
          60.0 * x * (1.0 + x * (-3.0 + 2.0 * x)), 60.0 * (1.0 + x * (-6.0 + 6.0 * x))};
}

RiseState polynomial_4567(double x) {
  const double x2 = x * x;
  return {x2 * x2 * (35.0 + x * (-84.0 + x * (70.0 - 20.0 * x))),
          140.0 * x * x2 * (1.0 - x) * square(1.0 - x), 420.0 * x2 * square(1.0 - x) * (1.0 - 2.0 * x),
          840.0 * x * (1.0 + x * (-6.0 + x * (10.0 - 5.0 * x)))};
}

double pitch_radius(const RollerGeometry& geometry, const FollowerPoint& point) {
  if (!(geometry.base_radius > 0.0) || !(geometry.roller_radius > 0.0) ||
      !(std::abs(geometry.offset) < geometry.base_radius + geometry.roller_radius)) {
    throw std::invalid_argument("RollerGeometry: radii must be positive and the offset less than their sum");
  }
  const double prime = geometry.base_radius + geometry.roller_radius;
  return std::sqrt(square(prime) - square(geometry.offset)) + point.s;
}

}  // namespace

RiseState rise(RiseLaw law, double x) {
  if (std::isnan(x)) {
    throw std::invalid_argument("rise: x is not a number");
  }
  if (x < 0.0) {
    return {};
  }
  if (x > 1.0) {
    return {1.0, 0.0, 0.0, 0.0};
  }
  switch (law) {
    case RiseLaw::cycloidal:
      return SineConstantCosine{0.5, 0.5}.at(x);
    case RiseLaw::polynomial_345:
      return polynomial_345(x);
    case RiseLaw::polynomial_4567:
      return polynomial_4567(x);
    case RiseLaw::modified_trapezoid:
      return SineConstantCosine{0.25, 0.25}.at(x);
    case RiseLaw::modified_sine:
      return SineConstantCosine{0.25, 0.75}.at(x);
    case RiseLaw::simple_harmonic:
      return SineConstantCosine{0.0, 1.0}.at(x);
  }
  throw std::invalid_argument("rise: unknown law");
}

double flat_contact_offset(const FollowerPoint& point) {
  return point.v;
}

double flat_curvature_radius(double base_radius, const FollowerPoint& point) {
  if (!(base_radius > 0.0)) {
    throw std::invalid_argument("flat_curvature_radius: the base radius must be positive");
  }
  return base_radius + point.s + point.a;
}

double roller_pitch_curvature_radius(const RollerGeometry& geometry, const FollowerPoint& point) {
  if (geometry.offset != 0.0) {
    throw std::invalid_argument("roller_pitch_curvature_radius: for a follower without offset only");
  }
  const double radius = pitch_radius(geometry, point);
  const double square_sum = square(radius) + square(point.v);
  return square_sum * std::sqrt(square_sum) / (square(radius) + 2.0 * square(point.v) - radius * point.a);
}

double roller_pressure_angle(const RollerGeometry& geometry, const FollowerPoint& point) {
  return std::atan2(point.v - geometry.offset, pitch_radius(geometry, point));
}

RollerSurface roller_surface(const RollerGeometry& geometry, const FollowerPoint& point) {
  const double pitch = roller_pitch_curvature_radius(geometry, point);
  RollerSurface surface;
  surface.cam_radius = pitch - geometry.roller_radius;
  surface.concave = pitch < 0.0;
  surface.undercut = pitch > 0.0 && pitch <= geometry.roller_radius;
  return surface;
}

}  // namespace fettle::mechanism
