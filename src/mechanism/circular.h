#pragma once

#include <cmath>
#include <numbers>

namespace fettle::mechanism {

inline constexpr double full_turn = 2.0 * std::numbers::pi;   ///< one crank revolution, radians
inline constexpr double full_cycle = 4.0 * std::numbers::pi;  ///< four strokes, crank radians

/// The angle equal to `angle` modulo `period` that lies in [0, period). `period` > 0.
inline double wrap_positive(double angle, double period) {
  const double wrapped = angle - period * std::floor(angle / period);
  // A tiny negative angle may round up to the period itself.
  return wrapped < period ? wrapped : 0.0;
}

/// The angle equal to `angle` modulo `period` that lies in [-period/2, period/2). `period` > 0.
inline double wrap_centred(double angle, double period) {
  return wrap_positive(angle + 0.5 * period, period) - 0.5 * period;
}

}  // namespace fettle::mechanism
