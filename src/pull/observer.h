#pragma once

#include <optional>
#include <vector>

#include "pull/assemble.h"
#include "pull/plan.h"

namespace fettle::pull {

/// Looks on while the engine turns; what it holds is of the last cycle.
class Observer {
 public:
  Observer(const EnginePlan& plan, const Assembled& assembled, double speed, std::optional<int> traced);

  /// After a step: `angle` of the engine since the cycle began, rad.
  void look(double angle, const gasflow::Engine& engine);

  /// Mean of what left past the exhaust valves, by its enthalpy, K; zero before a cycle.
  double exhaust_temperature() const;
  double exhaust_temperature(std::size_t cylinder) const;
  /// In the order of the cylinder's own crank angle.
  std::optional<Trace> trace() const;

 private:
  struct Sum {
    double mass = 0.0, energy = 0.0, burned = 0.0;
  };
  void keep(const gasflow::Engine& engine);
  double temperature_of(const Sum& sum) const;

  const EnginePlan& plan_;
  gasflow::GasPair gas_;
  std::vector<gasflow::DuctEnd> intake_ends_, exhaust_ends_;
  double speed_;
  std::optional<std::size_t> traced_;
  double last_angle_ = 0.0;
  double next_sample_ = 0.0;
  std::vector<Sum> exhaust_;
  Trace trace_;
};

}  // namespace fettle::pull
