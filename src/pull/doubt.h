#pragma once

#include <vector>

#include "pull/plan.h"

namespace fettle::pull {

/// A finding of the bench that torque depends on.
struct DoubtSource {
  std::string name, finding;
  std::optional<double> u;
  PlanChange step;  ///< half of the difference that the sensitivity is taken over

  double size() const { return step.cam_advance != 0.0 ? step.cam_advance : step.ratio; }
  PlanChange changed(double cam_advance, double times) const {
    return {cam_advance + times * step.cam_advance, times * step.ratio};
  }
};

/// The place of the cam, and the compression ratio where it is read; their doubt from the stations' findings.
std::vector<DoubtSource> doubt_sources(const build::Build& build);

/// Central difference of the torque at `less` and `more`, and what the finding's doubt makes of it.
TorqueDoubt torque_doubt(const DoubtSource& source, const Curve& less, const Curve& more);

}  // namespace fettle::pull
