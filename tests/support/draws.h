#pragma once

#include <cmath>
#include <cstdint>
#include <numbers>
#include <random>

#include "build/types.h"

namespace fettle::invented {

/// Random numbers that are the same on every machine: none of a standard library's distributions.
class Draws {
 public:
  explicit Draws(std::uint64_t seed) : engine_(seed) {}

  /// Within ± half_width, all alike.
  double uniform(double half_width) {
    const double unit = static_cast<double>(engine_() >> 11) * 0x1p-53;  // 53 random bits
    return half_width * (2 * unit - 1);
  }
  double normal(double u) {
    const double radius = std::sqrt(-2 * std::log(0.5 + 0.5 * uniform(1 - 1e-12)));
    return u * radius * std::cos(uniform(std::numbers::pi));
  }

 private:
  std::mt19937_64 engine_;
};

/// Noise of an instrument at hand over the one stated, which counts as known with eight degrees of freedom
/// (docs/uncertainty.md): where a finding hangs on one reading, its interval is as wide as that says.
template <class Random>
double drawn_noise_scale(Random random) {
  constexpr int dof = 8;
  double chi_squared = 0;
  for (int i = 0; i < dof; ++i) {
    const double one = random.normal(1);
    chi_squared += one * one;
  }
  return std::sqrt(dof / chi_squared);
}

/// What an instrument shows of a truth: one error within ± its permissible error for all readings (in
/// proportion, where it has a range), parallax, noise and steps at each. `Random` is a value with uniform()
/// and normal() as of Draws.
template <class Random>
class Instrument {
 public:
  /// `noise_scale` is the noise of the instrument at hand over the one stated.
  Instrument(const build::Tool& tool, Random random, double noise_scale = 1)
      : tool_(tool), random_(random), noise_scale_(noise_scale) {
    shared_ = random_.uniform(figure(tool.permissible_error));
  }
  double read(double truth) {
    const double shared = tool_.range ? shared_ / tool_.range->si * truth : shared_;
    double seen = truth + shared + random_.uniform(figure(tool_.parallax));
    seen += random_.normal(noise_scale_ * figure(tool_.noise));
    const double step = figure(tool_.resolution);
    return step > 0 ? std::round(seen / step) * step : seen;
  }

 private:
  static double figure(const std::optional<build::Measure>& measure) { return measure ? measure->si : 0; }
  build::Tool tool_;
  Random random_;
  double noise_scale_;
  double shared_ = 0;
};

/// Draws shared by several instruments.
class SharedDraws {
 public:
  SharedDraws(Draws& draws) : draws_(&draws) {}
  double uniform(double half_width) { return draws_->uniform(half_width); }
  double normal(double u) { return draws_->normal(u); }

 private:
  Draws* draws_;
};
using ShownBy = Instrument<SharedDraws>;

}  // namespace fettle::invented
