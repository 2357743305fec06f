#pragma once

#include <optional>
#include <string>
#include <vector>

#include "gasflow/gas.h"
#include "mechanism/slider_crank.h"
#include "pull/pull.h"

/// The build turned into numbers for the simulation, with everything it is silent on filled in and noted.
namespace fettle::pull {

/// Openings of one valve (or of all of one kind in a cylinder) over the cylinder's own crank angle.
struct ValvePlan {
  std::vector<double> lift;    ///< m, evenly spaced over [0, 4π), the first at overlap TDC
  std::vector<double> area;    ///< effective, of all of the kind together, m2
  std::vector<double> turned;  ///< lift as turned by hand, at the same places, before what counts as seated
                               ///< is taken off, m
  double top = 0.0;            ///< where that is greatest, rad from overlap TDC
  double opens = 0.0;          ///< rad from overlap TDC, signed
  double closes = 0.0;         ///< > opens
  std::string basis;           ///< where the lift comes from
};

/// What stands between a valve and the next part: diameters along it.
struct PipePlan {
  double length = 0.0;            ///< m, end correction included
  std::vector<double> at;         ///< distances from the left end, m, rising, first 0, last the length
  std::vector<double> diameters;  ///< m, at those; linear between
  std::vector<double> wall;       ///< temperature at those, K
};

struct CylinderPlan {
  double phase = 0.0;  ///< engine angle of its overlap TDC after cylinder 1's, rad
  double compression_ratio = 0.0;
  ValvePlan intake, exhaust;
};

/// Cylinders that share a collector, and what follows: collector and tail in one, tapered from one to the
/// other.
struct CollectorPlan {
  std::vector<int> cylinders;
  std::optional<PipePlan> pipe;  ///< none: the primary of a lone cylinder ends in the open
};

struct EnginePlan {
  mechanism::CrankGeometry crank;
  double bore = 0.0;
  double plug_offset = 0.0;  ///< m from the bore's axis
  std::vector<CylinderPlan> cylinders;
  PipePlan intake_pipe;   ///< from plenum or bell to the valve
  PipePlan exhaust_pipe;  ///< from the valve to the collector
  std::vector<CollectorPlan> collectors;
  bool individual = false;
  double plenum_volume = 0.0;          ///< m3
  double throttle_area = 0.0;          ///< of all bores, or of one where individual, m2
  double throttle_effective_area = 0;  ///< m2
  gasflow::Fuel fuel;
  double equivalence_ratio = 0.0;
  double octane = 0.0;
  std::vector<std::pair<double, double>> spark;  ///< speed rad/s, advance rad; empty: to be sought
  Ambient ambient;
  double swept() const;  ///< of one cylinder, m3

  std::vector<Assumption> assumptions;
};

/// Whether both valves open, and are shut together through compression and expansion.
bool shut_together(const CylinderPlan& cylinder);

/// Text of the assumption that says how valves move at speed.
inline constexpr const char* valve_motion_at_speed = "valve motion at speed";

struct PlanOutcome {
  std::optional<EnginePlan> plan;
  build::Problems problems;
};

/// What differs from the build.
struct PlanChange {
  double cam_advance = 0.0;  ///< crank rad by which every valve event comes earlier
  double ratio = 0.0;        ///< added to the compression ratio
};
PlanOutcome plan_engine(const build::Build& build, const Ambient& ambient, const PlanChange& change = {});

/// Effective area of an opening that lets `flow` of air (m3/s, at the outside's density) through at a
/// pressure drop: flow/sqrt(2 Δp/ρ), as flow benches are read. Pa, kg/m3.
double effective_area(double flow, double depression, double density);

}  // namespace fettle::pull
