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

/// What an instrument shows of a truth: one error within ± its permissible error for all readings (in
/// proportion, where it has a range), parallax, noise and steps at each.
class ShownBy {
 public:
  ShownBy(const build::Tool& tool, Draws& draws) : tool_(tool), draws_(&draws) {
    shared_ = draws.uniform(figure(tool.permissible_error));
  }
  double operator()(double truth) {
    const double shared = tool_.range ? shared_ / tool_.range->si * truth : shared_;
    double seen = truth + shared + draws_->uniform(figure(tool_.parallax));
    seen += draws_->normal(figure(tool_.noise));
    const double step = figure(tool_.resolution);
    return step > 0 ? std::round(seen / step) * step : seen;
  }

 private:
  static double figure(const std::optional<build::Measure>& measure) { return measure ? measure->si : 0; }
  build::Tool tool_;
  Draws* draws_;
  double shared_ = 0;
};

}  // namespace fettle::invented
