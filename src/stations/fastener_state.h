#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "mechanism/fastener.h"
#include "stations/observed.h"

namespace fettle::stations {

/// Typed, else that of its finish.
double nut_factor_of(const build::Fastener& fastener);

/// The bolt as mechanism/ has it; nothing where the length under tension is not said, or the figures are no
/// bolt.
std::optional<mechanism::Bolt> bolt_of(const build::Fastener& fastener);

/// Typed, else that of its grade.
std::optional<mechanism::BoltStrength> strength_of(const build::Fastener& fastener);

/// One fastener of a set.
struct BoltKey {
  std::string set;
  int number = 1;
  auto operator<=>(const BoltKey&) const = default;
};

/// Lengths at rising torques while it was tightened.
struct StretchStep {
  double torque = 0;   ///< N m
  double stretch = 0;  ///< m
};

/// What was read of one fastener, SI.
struct BoltReadings {
  std::optional<double> before;
  std::optional<double> tight;  ///< at the greatest torque that it was read at, else the mean
  std::optional<double> after;
  std::optional<double> torque;      ///< of `tight`, else the one at which it came to rest
  std::optional<double> nut_factor;  ///< of that torque
  std::optional<double> angle;       ///< past snug
  std::vector<StretchStep> steps;    ///< rising torque, where lengths were read at several

  std::optional<double> stretch() const;
};
BoltReadings bolt_readings(const Observed& observed, const BoltKey& key);

/// The preload and what it was come by; stretch before angle before torque.
struct BoltPreload {
  double force = 0;  ///< N
  std::string basis;
};
std::optional<BoltPreload> preload_of(const build::Fastener& fastener, const BoltReadings& readings);

/// Every fastener that was read, set by set.
std::vector<BoltKey> bolts_read(const Sources& sources);
/// Places of its readings.
std::vector<int> readings_of_bolt(const Sources& sources, const BoltKey& key);

}  // namespace fettle::stations
