#include "mechanism/slider_crank.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <stdexcept>

#include <boost/math/tools/toms748_solve.hpp>

#include "mechanism/circular.h"

namespace fettle::mechanism {

namespace {

double square(double x) {
  return x * x;
}

}  // namespace

std::optional<std::string> geometry_problem(const CrankGeometry& geometry) {
  const auto [r, l, d] = geometry;
  if (!std::isfinite(r) || !std::isfinite(l) || !std::isfinite(d)) {
    return "crank throw, rod length and pin offset must be finite numbers";
  }
  if (r <= 0.0) {
    return "the crank throw must be greater than zero";
  }
  if (l <= r + std::abs(d)) {
    return "the rod is too short for the crank to turn: its length must exceed the throw plus the pin offset";
  }
  return std::nullopt;
}

// φ from true TDC; t = θ_tdc; ψ the rod's angle, which is t at TDC; χ = ψ − t.
struct SliderCrank::Posture {
  double half_sine_squared;      // sin²(φ/2)
  double rod_half_sine_squared;  // sin²(χ/2)
  double cos_throw, sin_throw;   // of θ
  double cos_rod, sin_rod;       // of ψ
  double sin_between;            // sin(θ − ψ)
};

SliderCrank::SliderCrank(const CrankGeometry& geometry) : geometry_(geometry) {
  if (const auto problem = geometry_problem(geometry)) {
    throw std::invalid_argument("SliderCrank: " + *problem);
  }
  const auto [r, l, d] = geometry;
  tdc_ = std::asin(d / (l + r));
  tdc_height_ = std::sqrt((l + r - d) * (l + r + d));
  stroke_ = tdc_height_ - std::sqrt((l - r - d) * (l - r + d));
}

double SliderCrank::bdc_throw_angle() const {
  return std::numbers::pi + std::asin(geometry_.pin_offset / (geometry_.rod_length - geometry_.crank_throw));
}

double SliderCrank::bdc_after_tdc() const {
  return bdc_throw_angle() - tdc_;
}

double SliderCrank::height(double throw_angle) const {
  const auto [r, l, d] = geometry_;
  const double lateral = r * std::sin(throw_angle) - d;
  return r * std::cos(throw_angle) + std::sqrt((l - lateral) * (l + lateral));
}

// The rod's turn χ since TDC follows from l (sinψ − sin t) = −r (sinθ − sin t), every difference of sines
// being taken as a product, so that nothing cancels near TDC.
SliderCrank::Posture SliderCrank::posture(double after_tdc) const {
  const auto [r, l, d] = geometry_;
  const double sin_t = d / (l + r);
  const double cos_t = tdc_height_ / (l + r);
  const double half_sine = std::sin(0.5 * after_tdc);
  const double half_cosine = std::cos(0.5 * after_tdc);
  const double sine_step = 2.0 * (cos_t * half_cosine - sin_t * half_sine) * half_sine;  // sinθ − sin t
  const double rod_step = -r / l * sine_step;                                            // sinψ − sin t
  Posture p{};
  p.half_sine_squared = square(half_sine);
  p.sin_throw = sin_t + sine_step;
  p.cos_throw = cos_t * (1.0 - 2.0 * p.half_sine_squared) - sin_t * 2.0 * half_sine * half_cosine;
  p.sin_rod = sin_t + rod_step;
  p.cos_rod = std::sqrt((1.0 - p.sin_rod) * (1.0 + p.sin_rod));
  const double sin_chi = rod_step * (cos_t + sin_t * (p.sin_rod + sin_t) / (cos_t + p.cos_rod));
  const double cos_chi = p.cos_rod * cos_t + p.sin_rod * sin_t;
  p.rod_half_sine_squared = square(sin_chi) / (2.0 * (1.0 + cos_chi));
  const double sin_phi = 2.0 * half_sine * half_cosine;
  const double cos_phi = 1.0 - 2.0 * p.half_sine_squared;
  p.sin_between = sin_phi * cos_chi - cos_phi * sin_chi;
  return p;
}

PistonMotion SliderCrank::motion(double after_tdc) const {
  const auto [r, l, d] = geometry_;
  const Posture p = posture(after_tdc);
  const double cos_t = tdc_height_ / (l + r);
  const double cos_between = p.cos_throw * p.cos_rod + p.sin_throw * p.sin_rod;
  PistonMotion motion;
  motion.depth = 2.0 / cos_t * (r * p.half_sine_squared + l * p.rod_half_sine_squared);
  motion.velocity = r * p.sin_between / p.cos_rod;
  motion.acceleration =
      r * cos_between / p.cos_rod + square(r * p.cos_throw) / (l * p.cos_rod * square(p.cos_rod));
  return motion;
}

double SliderCrank::depth(double after_tdc) const {
  return motion(after_tdc).depth;
}

double SliderCrank::velocity(double after_tdc) const {
  return motion(after_tdc).velocity;
}

double SliderCrank::acceleration(double after_tdc) const {
  return motion(after_tdc).acceleration;
}

double SliderCrank::rod_angle(double after_tdc) const {
  return std::asin(posture(after_tdc).sin_rod);
}

// Triangle of crank axis, throw and pin: the pin stands at a distance R from the crank axis in a direction
// that depends on the depth alone, and the throw makes the angle β with it on either side.
std::optional<DepthCrossing> SliderCrank::angles_at_depth(double depth) const {
  if (!(depth >= 0.0) || depth > stroke_ * (1.0 + 1e-12)) {
    return std::nullopt;
  }
  const auto [r, l, d] = geometry_;
  const double within = std::min(depth, stroke_);
  const double pin_height = tdc_height_ - within;
  const double reach = std::hypot(d, pin_height);
  const double shortening = within * (tdc_height_ + pin_height) / (l + r + reach);  // l + r − R
  const double half_sine_squared = (l + reach - r) * shortening / (4.0 * reach * r);
  const double beta = 2.0 * std::asin(std::sqrt(std::clamp(half_sine_squared, 0.0, 1.0)));
  const double turned = std::atan2(d * within, pin_height * tdc_height_ + d * d);
  return DepthCrossing{turned - beta, turned + beta};
}

std::optional<double> SliderCrank::dwell(double depth) const {
  const auto crossing = angles_at_depth(depth);
  if (!crossing) {
    return std::nullopt;
  }
  return crossing->after - crossing->before;
}

double SliderCrank::reach_from_span(double span) const {
  if (!(span >= 0.0 && span <= full_turn)) {
    throw std::invalid_argument("SliderCrank: the span between two contacts must lie between 0 and one turn");
  }
  const auto [r, l, d] = geometry_;
  const double lateral = r * std::sin(0.5 * span);
  // Not below the reach of BDC, which rounding could otherwise pass.
  return std::max(l - r, r * std::cos(0.5 * span) + std::sqrt((l - lateral) * (l + lateral)));
}

double SliderCrank::depth_from_span(double span) const {
  const double reach = reach_from_span(span);
  const double d = geometry_.pin_offset;
  const double longest = geometry_.rod_length + geometry_.crank_throw;
  // l + r − R by half angles: 2 r sin²(S/4) + r² sin²(S/2)/(l + sqrt(l² − r² sin²(S/2))).
  const double l = geometry_.rod_length;
  const double lateral = geometry_.crank_throw * std::sin(0.5 * span);
  const double shortening = 2.0 * geometry_.crank_throw * square(std::sin(0.25 * span)) +
                            square(lateral) / (l + std::sqrt((l - lateral) * (l + lateral)));
  const double pin_height = std::sqrt((reach - d) * (reach + d));
  return shortening * (longest + reach) / (tdc_height_ + pin_height);
}

double SliderCrank::stop_midpoint_offset(double span) const {
  return std::asin(geometry_.pin_offset / reach_from_span(span)) - tdc_;
}

namespace {

PeakSpeed peak_between(const SliderCrank& mechanism, double from, double to) {
  std::uintmax_t iterations = 100;
  const auto [low, high] =
      boost::math::tools::toms748_solve([&](double angle) { return mechanism.acceleration(angle); }, from, to,
                                        boost::math::tools::eps_tolerance<double>(50), iterations);
  const double angle = 0.5 * (low + high);
  return {angle, std::abs(mechanism.velocity(angle))};
}

}  // namespace

PeakSpeed SliderCrank::peak_speed_down() const {
  return peak_between(*this, 0.0, bdc_after_tdc());
}

PeakSpeed SliderCrank::peak_speed_up() const {
  return peak_between(*this, bdc_after_tdc() - full_turn, 0.0);
}

}  // namespace fettle::mechanism
