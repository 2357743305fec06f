#pragma once

#include <cstddef>
#include <vector>

#include "pull/assemble.h"
#include "pull/plan.h"
#include "pull/spark.h"

namespace fettle::pull {

/// What the last cycle trapped: the first guess of the next speed.
struct SparkMemory {
  std::vector<Charge> charges;  ///< of each cylinder; empty before the first
  std::size_t worst = 0;        ///< the cylinder nearest to knock
};

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
  SparkMemory memory_;
};

}  // namespace fettle::pull
