#pragma once

#include <random>

#include "stations/bench.h"

/// Readings of the top end written by hand, and the errors of its tools drawn from one seed.
namespace fettle::stations::test {

inline constexpr double pound_force = 4.4482216152605;

inline build::Force pounds(double value) {
  return build::Force::typed(value * pound_force, fmt::format("{:.4f} lb", value));
}
inline build::Length inches4(double value) {
  return build::Length::typed(value * inch, fmt::format("{:.4f} in", value));
}

inline build::Reading at_valve(build::ReadingKind kind, const LobeKey& key) {
  build::Reading reading;
  reading.kind = kind;
  reading.cylinder = key.cylinder;
  reading.valve = key.valve;
  return reading;
}
inline build::Reading height_of(build::ReadingKind kind, const LobeKey& key, double height_in) {
  build::Reading reading = at_valve(kind, key);
  reading.height = inches4(height_in);
  return reading;
}
inline build::Reading gap_of(build::ReadingKind kind, const LobeKey& key, double gap_in) {
  build::Reading reading = at_valve(kind, key);
  reading.gap = inches4(gap_in);
  return reading;
}
inline build::Reading load_at(const LobeKey& key, double height_in, double load_lbf) {
  build::Reading reading = height_of(build::ReadingKind::spring_load, key, height_in);
  reading.load = pounds(load_lbf);
  return reading;
}

/// Noise of a tool at hand over the one stated, which counts as known with eight degrees of freedom
/// (docs/uncertainty.md): where a finding hangs on one reading, its interval is as wide as that says.
inline double drawn_noise_scale(std::mt19937_64& engine) {
  constexpr double dof = 8;
  return std::sqrt(dof / std::chi_squared_distribution<double>(dof)(engine));
}

/// Errors of one tool: one within ± its permissible error for all readings (in proportion, where it has a
/// range), parallax and steps at each reading, and noise.
class DrawnTool {
 public:
  /// `noise_scale` is the noise of the tool at hand over the one stated.
  DrawnTool(const build::Tool& tool, std::mt19937_64& engine, double noise_scale = 1)
      : tool_(tool), engine_(engine), noise_scale_(noise_scale) {
    shared_ = uniform(figure(tool_.permissible_error));
  }
  double read(double truth) {
    const double shared = tool_.range ? shared_ / tool_.range->si * truth : shared_;
    double seen = truth + shared + uniform(figure(tool_.parallax));
    seen += std::normal_distribution<double>(0, 1)(engine_) * noise_scale_ * figure(tool_.noise);
    const double step = figure(tool_.resolution);
    return step > 0 ? std::round(seen / step) * step : seen;
  }

 private:
  static double figure(const std::optional<build::Measure>& measure) { return measure ? measure->si : 0; }
  double uniform(double half_width) {
    return std::uniform_real_distribution<double>(-1, 1)(engine_) * half_width;
  }
  const build::Tool& tool_;
  std::mt19937_64& engine_;
  double noise_scale_ = 1;
  double shared_ = 0;
};

}  // namespace fettle::stations::test
