#pragma once

#include <optional>
#include <string>

#include "mechanism/valve_clearance.h"
#include "mechanism/valve_room.h"
#include "stations/valve_motion.h"

namespace fettle::stations {

/// What is known of one valve and the piston under it.
struct PistonValveState {
  std::optional<mechanism::ValveDrop> drop;  ///< with the gasket fitted now
  std::optional<ValveMotion> motion;
  std::optional<double> clay;  ///< least clearance from clay alone, where no lobe was read, m
  std::string basis;
  double approach = 1;  ///< along-valve approach per travel along the bore
};

PistonValveState piston_valve_state(const Observed& observed, const LobeKey& key, TdcOfWheels& tdc_of);

/// The motion as mechanism/ has it, the cam advanced by so much more, crank rad. Refers to `motion`.
mechanism::ValveMotion motion_advanced(const ValveMotion& motion, double advance);

/// What runs off the clearance at the redline, along the bore, m: nothing where the build does not name rod
/// section, masses and redline.
std::optional<mechanism::RunningAllowance> allowance_at_redline(const Observed& observed);

/// Way in which moving the cam brings this valve nearer the piston: +1 advancing, -1 retarding.
double toward_piston(build::Valve valve);

/// Farthest that the cam is looked at either way, crank rad.
inline constexpr double cam_search = 0.5236;

}  // namespace fettle::stations
