#pragma once

#include <span>
#include <vector>

#include "build/problem.h"
#include "build/types.h"
#include "pull/plan.h"

namespace fettle::pull {

/// Why the build's valve train cannot be run, so that its valves' motion is known only as turned by hand;
/// empty: it can. Cheap: nothing is run.
build::Problems running_problems(const build::Build& build);

struct RunningPlans {
  std::vector<EnginePlan> plans;  ///< one for each speed; empty where there are problems
  build::Problems problems;
};

/// The plan with its valves as they move at each crank speed, rad/s, > 0: to the lift as turned by hand comes
/// what the train, run to its periodic state (mechanism/valve_dynamics.h), adds or lacks against the rigid
/// one at the same angle from full lift; nothing below the seat. A valve whose own train is not known (its
/// springs were not read, say) moves as the one of its kind that sits with the least load. Where the motion
/// does not repeat, the last revolution stands. A speed at which a cylinder's valves are never shut together
/// is refused: no cycle can be run so.
RunningPlans run_valves(const build::Build& build, const EnginePlan& plan, std::span<const double> speeds);

}  // namespace fettle::pull
