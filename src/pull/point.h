#pragma once

#include <atomic>

#include "pull/assemble.h"
#include "pull/plan.h"

namespace fettle::pull {

/// One engine at one speed after another: each starts from where the last one ended.
class PointRunner {
 public:
  /// `fastest` of the speeds to come, rad/s: it decides how fine the cells are.
  PointRunner(const EnginePlan& plan, const PullOptions& options, double fastest);

  /// Runs to the periodic state at a crank speed, rad/s.
  SpeedPoint run(double speed);

 private:
  const EnginePlan& plan_;
  const PullOptions& options_;
  Assembled assembled_;
};

}  // namespace fettle::pull
