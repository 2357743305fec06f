#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "build/types.h"
#include "pull/plan.h"
#include "pull/silent.h"
#include "stations/sources.h"
#include "stations/true_tdc.h"

namespace fettle::pull {

/// Samples of a valve's lift and area over a cycle.
inline constexpr std::size_t valve_samples = 1440;

/// Sizes of the valves of one kind in a cylinder.
struct ValveSize {
  int count = 1;
  double head = 0.0;           ///< diameter, m
  double throat = 0.0;         ///< m
  double stem = 0.0;           ///< m
  double throat_area() const;  ///< of all of them, less their stems, m2
};

/// Effective area over lift: linear between the points of the flow table, and from nothing at no lift.
class PortFlow {
 public:
  PortFlow(const build::Build& build, build::Valve valve, const ValveSize& size, Silent& silent);
  double area(double lift) const;  ///< m2, of all valves of the kind together

 private:
  ValveSize size_;
  double coefficient_ = 0.0;  ///< used where there is no table
  std::vector<std::pair<double, double>> table_;
};

ValveSize valve_size(const build::Build& build, build::Valve valve, Silent& silent);

/// Moves a valve: `beyond` (of the crank angle from full lift, within 2π either way, rad) comes to its lift
/// as turned by hand, m; areas and the first and last place where it is off its seat follow. A valve that
/// bounces closes with its last bounce.
void move_valve(ValvePlan& plan, const PortFlow& flow, const std::function<double(double)>& beyond);

/// Motion of the valves: from readings where true TDC and a lobe were read, else from the card.
class ValveLifts {
 public:
  ValveLifts(const build::Build& build, double cam_advance);
  /// Nothing where neither readings nor card say how the cam is.
  std::optional<ValvePlan> plan(int cylinder, build::Valve valve, const PortFlow& flow, Silent& silent);

 private:
  double cam_advance_;
  stations::Sources sources_;
  stations::Observed observed_;
  stations::TdcOfWheels tdc_;
};

}  // namespace fettle::pull
