#pragma once

#include <vector>

#include "gasflow/engine.h"
#include "pull/plan.h"

namespace fettle::pull {

/// An engine ready to run, and where to look in it.
struct Assembled {
  gasflow::Engine engine;
  std::vector<gasflow::DuctEnd> intake_ends;  ///< at the valves, by cylinder
  std::vector<gasflow::DuctEnd> exhaust_ends;
};

/// Part of the charge's heat that is set free: what the walls' gaps and the wrinkles of the flame leave
/// unburned (Heywood, *Internal Combustion Engine Fundamentals*, section 4.9.4, from memory: 95 to 98 % of
/// what the oxygen allows).
inline constexpr double burn_efficiency = 0.96;

/// Ducts, plenum, collectors, valves and cylinders of the plan, gas in it near what it will be at full load.
Assembled assemble(const EnginePlan& plan, const ModelOptions& model);

/// The gases of the plan.
gasflow::GasPair gases_of(const EnginePlan& plan);

/// A cylinder of the plan, without its burn.
gasflow::CylinderSetup cylinder_setup(const EnginePlan& plan, const CylinderPlan& cylinder,
                                      const ModelOptions& model);

}  // namespace fettle::pull
