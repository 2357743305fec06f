#include "stations/piston_valve_state.h"

#include <cmath>

#include "mechanism/circular.h"
#include "stations/head_height.h"
#include "stations/what_if.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
using build::Valve;

double valve_angle(const build::Build& build, Valve valve) {
  if (!build.valves) {
    return 0;
  }
  const auto& part = valve == Valve::intake ? build.valves->intake : build.valves->exhaust;
  return part && part->angle ? part->angle->si() : 0;
}

/// Crank angle of a drop from its cylinder's TDC: where the wheel showed, or TDC itself. Nothing without true
/// TDC on that wheel.
std::optional<double> angle_of(const Observed& observed, int place, TdcOfWheels& tdc_of) {
  const build::Reading& reading = observed.reading(place);
  if (!reading.wheel) {
    return 0;
  }
  const auto tdc = tdc_of(reading.tool.value_or(""));
  if (!tdc) {
    return std::nullopt;
  }
  const double own = *tdc + observed.sources().phases().crank_phase(*reading.cylinder);
  return mechanism::wrap_centred(observed.turned(place) - own, mechanism::full_turn);
}

std::vector<mechanism::ValveDropReading> drops_of(const Observed& observed, const LobeKey& key,
                                                  double approach, TdcOfWheels& tdc_of) {
  std::vector<mechanism::ValveDropReading> drops;
  for (const int place : observed.sources().inventory().at(ReadingKind::valve_drop, key)) {
    if (const auto angle = angle_of(observed, place, tdc_of)) {
      const double higher = head_higher(observed, observed.reading(place));
      drops.push_back({*angle, observed.lift(place) + approach * higher});
    }
  }
  return drops;
}

/// Clay of this valve taken with the cam where it stands now, brought to the head as it stands now.
std::optional<double> clay_of(const Observed& observed, const LobeKey& key, double approach) {
  constexpr double same = 1e-4;
  double sum = 0;
  int count = 0;
  const double fitted = fitted_position(observed.sources().build(), key.valve);
  for (const int place : observed.sources().inventory().at(ReadingKind::clay, key)) {
    const build::Reading& reading = observed.reading(place);
    if (reading.position && std::abs(reading.position->si() - fitted) > same) {
      continue;
    }
    sum += observed.amount(place, Amount::gap) + approach * head_higher(observed, reading);
    ++count;
  }
  return count > 0 ? std::optional(sum / count) : std::nullopt;
}

/// The drop that leaves so much clay between this valve, moving as it was read, and the piston.
mechanism::ValveDrop drop_from_clay(const Observed& observed, const LobeKey& key, double clay,
                                    double approach) {
  const Observed as_read = observed.as_read();
  TdcOfWheels tdc_of(as_read);
  const auto motion = valve_motion(as_read, key, tdc_of);
  const mechanism::ValveDropReading none{0, 0};
  const mechanism::ValveDrop bare(observed.sources().crank(), approach, std::span(&none, 1));
  const auto least = mechanism::least_clearance(bare, motion_advanced(*motion, 0));
  const mechanism::ValveDropReading at_tdc{0, clay - least.clearance};
  return {observed.sources().crank(), approach, std::span(&at_tdc, 1)};
}

}  // namespace

PistonValveState piston_valve_state(const Observed& observed, const LobeKey& key, TdcOfWheels& tdc_of) {
  PistonValveState state;
  const double angle = valve_angle(observed.build(), key.valve);
  state.approach = mechanism::approach_factor(angle, angle);
  const auto drops = drops_of(observed, key, state.approach, tdc_of);
  const auto clay = clay_of(observed, key, state.approach);
  if (drops.empty() && !clay) {
    return state;
  }
  state.motion = valve_motion(observed, key, tdc_of);
  if (!drops.empty()) {
    state.drop.emplace(observed.sources().crank(), state.approach, drops);
    state.basis = drops.size() == 1 ? "one drop" : "drops";
  } else if (state.motion) {
    state.drop = drop_from_clay(observed, key, *clay, state.approach);
    state.basis = "clay";
  } else {
    state.clay = clay;
    state.basis = "clay";
  }
  if (state.motion) {
    state.basis += ", lift: " + state.motion->basis;
  }
  return state;
}

mechanism::ValveMotion motion_advanced(const ValveMotion& motion, double advance) {
  return {[&motion](double angle) { return motion.lift(angle); }, 1.0, 0.0, advance};
}

std::optional<mechanism::RunningAllowance> allowance_at_redline(const Observed& observed) {
  const auto& rods = observed.build().rods;
  if (!rods || !rods->redline || !rods->least_area || !rods->reciprocating_mass ||
      !(rods->least_area->si() > 0)) {
    return std::nullopt;
  }
  mechanism::RunningParts parts;
  parts.crank_speed = rods->redline->si();
  parts.reciprocating_mass = rods->reciprocating_mass->si();
  parts.rod_area = rods->least_area->si();
  // Moduli: Shigley, *Mechanical Engineering Design*, table A-5 (titanium alloys 114 GPa, from memory).
  switch (rods->material.value_or(build::RodMaterial::steel)) {
    case build::RodMaterial::steel:
      parts.rod_modulus = 207e9;
      break;
    case build::RodMaterial::aluminium:
      parts.rod_modulus = 71e9;
      break;
    case build::RodMaterial::titanium:
      parts.rod_modulus = 114e9;
      break;
  }
  parts.bearing_clearances = rods->big_end_clearance ? rods->big_end_clearance->si() : 0;
  parts.skirt_length = observed.build().engine.bore.si();  // without skirt clearance it has no part
  return mechanism::running_allowance(observed.sources().crank(), parts);
}

double toward_piston(Valve valve) {
  return valve == Valve::intake ? 1 : -1;
}

}  // namespace fettle::stations
