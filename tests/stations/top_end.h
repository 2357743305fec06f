#pragma once

#include <random>

#include "stations/bench.h"
#include "support/draws.h"

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

/// An engine of the standard library shared by several instruments.
class EngineDraws {
 public:
  EngineDraws(std::mt19937_64& engine) : engine_(&engine) {}
  double uniform(double half_width) {
    return std::uniform_real_distribution<double>(-1, 1)(*engine_) * half_width;
  }
  double normal(double u) { return std::normal_distribution<double>(0, 1)(*engine_) * u; }

 private:
  std::mt19937_64* engine_;
};
using DrawnTool = invented::Instrument<EngineDraws>;

}  // namespace fettle::stations::test
