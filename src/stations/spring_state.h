#pragma once

#include <optional>
#include <string_view>

#include "mechanism/spring.h"
#include "mechanism/spring_wire.h"
#include "stations/cam_timing.h"
#include "stations/observed.h"
#include "stations/valve_motion.h"

namespace fettle::stations {

/// Greatest lift of a valve: from its lobe as read (or that of another cylinder), else from the card. Nothing
/// where neither says.
std::optional<NetLift> net_lift(const Observed& observed, const LobeKey& key, TdcOfWheels& tdc_of);

/// What is known of one spring.
struct SpringState {
  std::optional<double> height;  ///< installed, with the shims fitted now, m
  std::optional<mechanism::SpringCharacteristic> characteristic;
  std::string_view characteristic_basis;
  std::optional<double> solid_height;
  std::string_view solid_basis;        ///< empty: read
  std::optional<double> retainer_gap;  ///< valve closed, m
};

SpringState spring_state(const Observed& observed, const LobeKey& key);

/// What the springs of one kind of valve should be, or null.
const build::SpringSpec* spring_spec(const build::Build& build, build::Valve valve);

/// Shims under one spring now, m.
double fitted_shims(const build::Build& build, const LobeKey& key);

/// The springs of a specification as wound, outermost first; empty where it names none, or one that cannot be
/// wound so. A single spring without free length takes `free_height`; every wire is thicker by `wire_error`,
/// m, than specified.
struct WoundSet {
  std::vector<mechanism::WoundSpring> springs;
  std::vector<double> steps;  ///< by how much each seat stands above the outermost one's, m
  std::vector<mechanism::WireStrength> strengths;
};
WoundSet wound_set(const build::SpringSpec& spec, double free_height, double wire_error);

/// Whether anything is said or read of springs, so that what is missing is worth saying.
bool springs_concern(const Sources& sources);

}  // namespace fettle::stations
