#pragma once

#include <optional>

#include "quantity/quantity.h"

/// The parts that the station Valve train at speed looks at. Plain data, as types.h.
namespace fettle::build {

/// Moving parts of one kind of valve, from the maker's sheet; what is weighed wins. The valve's own mass
/// stands with the valves.
struct TrainParts {
  std::optional<quantity::Mass> retainer;                ///< with both locks
  std::optional<quantity::Mass> spring;                  ///< all springs of one valve; default: of their wire
  std::optional<quantity::Mass> rocker;                  ///< or finger, alone
  std::optional<quantity::Mass> rocker_at_tip;           ///< its inertia as felt at the valve's tip
  std::optional<quantity::Mass> lifter;                  ///< tappet, or bucket
  std::optional<quantity::Mass> pushrod;                 ///< default: of its tube
  std::optional<quantity::SpringRate> rocker_stiffness;  ///< with its stand, at the valve; default: 20 kN/mm
  std::optional<quantity::SpringRate> cam_stiffness;     ///< lobe, lifter and camshaft; default: 100 kN/mm
  std::optional<quantity::Force> spring_friction;  ///< of a damper or between nested springs; default: none
};

struct TrainPlan {
  std::optional<TrainParts> intake;
  std::optional<TrainParts> exhaust;
  std::optional<quantity::RotationalSpeed> redline;  ///< default: rods.redline
  std::optional<double> damping;                     ///< of the contacts, over critical; default: 0.1
};

}  // namespace fettle::build
