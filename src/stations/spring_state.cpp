#include "stations/spring_state.h"

#include <algorithm>
#include <array>

#include "stations/at_estimates.h"
#include "stations/valve_motion.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
using build::Valve;

/// Shear moduli (Shigley, *Mechanical Engineering Design*, table 10-5, from memory: 11.2 Mpsi for the alloy
/// and oil-tempered wires, 11.6 to 12.0 for music wire, 11.5 for hard-drawn).
double shear_modulus(build::WireMaterial material) {
  switch (material) {
    case build::WireMaterial::music:
      return 81.0e9;
    case build::WireMaterial::hard_drawn:
      return 79.3e9;
    default:
      return 77.2e9;
  }
}
constexpr double steel_density = 7850;  // kg/m3

mechanism::WireKind wire_kind(build::WireMaterial material) {
  switch (material) {
    case build::WireMaterial::music:
      return mechanism::WireKind::music;
    case build::WireMaterial::oil_tempered:
      return mechanism::WireKind::oil_tempered;
    case build::WireMaterial::hard_drawn:
      return mechanism::WireKind::hard_drawn;
    case build::WireMaterial::chrome_vanadium:
      return mechanism::WireKind::chrome_vanadium;
    case build::WireMaterial::chrome_silicon:
      break;
  }
  return mechanism::WireKind::chrome_silicon;
}

mechanism::SpringEnds ends_of(build::SpringEnds ends) {
  switch (ends) {
    case build::SpringEnds::plain:
      return mechanism::SpringEnds::plain;
    case build::SpringEnds::plain_ground:
      return mechanism::SpringEnds::plain_ground;
    case build::SpringEnds::squared:
      return mechanism::SpringEnds::squared;
    case build::SpringEnds::squared_ground:
      break;
  }
  return mechanism::SpringEnds::squared_ground;
}

std::optional<double> mean_amount(const Observed& observed, ReadingKind kind, const LobeKey& key,
                                  Amount amount) {
  const auto& readings = observed.sources().inventory().at(kind, key);
  if (readings.empty()) {
    return std::nullopt;
  }
  double sum = 0;
  for (const int place : readings) {
    sum += observed.amount(place, amount);
  }
  return sum / static_cast<double>(readings.size());
}

/// Mean height with the shims fitted now: a reading taken over other shims is brought over to them.
std::optional<double> installed_height(const Observed& observed, const LobeKey& key) {
  const auto& readings = observed.sources().inventory().at(ReadingKind::installed_height, key);
  if (readings.empty()) {
    return std::nullopt;
  }
  const double now = fitted_shims(observed.build(), key);
  const double when_read = fitted_shims(observed.sources().build(), key);
  double sum = 0;
  for (const int place : readings) {
    const auto& shim = observed.reading(place).shim;
    sum += observed.amount(place, Amount::height) + (shim ? shim->si() : when_read) - now;
  }
  return sum / static_cast<double>(readings.size());
}

bool tapers(const build::SpringSpec* spec) {
  return spec != nullptr && std::any_of(spec->coils.begin(), spec->coils.end(), [](const auto& coil) {
           return coil.least_outside_diameter.has_value();
         });
}

void add_characteristic(const Observed& observed, const LobeKey& key, SpringState& state) {
  const build::SpringSpec* spec = spring_spec(observed.build(), key.valve);
  std::vector<mechanism::SpringReading> readings;
  for (const int place : observed.sources().inventory().at(ReadingKind::spring_load, key)) {
    readings.push_back({observed.amount(place, Amount::height), observed.amount(place, Amount::load)});
  }
  for (const auto shape : {mechanism::SpringShape::curve, mechanism::SpringShape::line}) {
    const bool wanted = shape == mechanism::SpringShape::line || tapers(spec);
    state.characteristic = wanted ? mechanism::SpringCharacteristic::of(readings, shape) : std::nullopt;
    if (state.characteristic) {
      state.characteristic_basis = "loads read";
      return;
    }
  }
  if (!readings.empty() && readings.front().load > 0 && spec != nullptr && spec->rate &&
      spec->rate->si() > 0) {
    state.characteristic = mechanism::SpringCharacteristic::from_rate(
        readings.front().height, readings.front().load,
        spec->rate->si() + observed.sheet_error(SheetFigure::spring_rate, key.valve));
    state.characteristic_basis = spec->rate_tolerance
                                     ? "one load read, rate of the maker's sheet, with its tolerance"
                                     : "one load read, rate of the maker's sheet, no tolerance stated";
  }
}

}  // namespace

std::optional<NetLift> net_lift(const Observed& observed, const LobeKey& key, TdcOfWheels& tdc_of) {
  if (auto lift = read_net_lift(observed, key, tdc_of)) {
    return lift;
  }
  const auto& cam = observed.build().cam;
  if (!cam || !cam->card) {
    return std::nullopt;
  }
  const auto& card = key.valve == Valve::intake ? cam->card->intake : cam->card->exhaust;
  if (!card || !card->lift) {
    return std::nullopt;
  }
  const bool at_valve = cam->card->basis == build::LiftBasis::valve;
  const double ratio = at_valve ? 1 : rocker_ratio(observed.build(), key.valve);
  return NetLift{ratio * card->lift->si() - (at_valve ? 0 : running_lash(observed.build(), key.valve)),
                 "the card's lift"};
}

SpringState spring_state(const Observed& observed, const LobeKey& key) {
  if (const auto* unmoved = observed.at_estimates() != nullptr
                                ? observed.at_estimates()->unmoved_spring(key, observed.moved())
                                : nullptr) {
    return *unmoved;
  }
  SpringState state;
  state.height = installed_height(observed, key);
  state.solid_height = mean_amount(observed, ReadingKind::solid_height, key, Amount::height);
  state.retainer_gap = mean_amount(observed, ReadingKind::retainer_gap, key, Amount::gap);
  const build::SpringSpec* spec = spring_spec(observed.build(), key.valve);
  if (!state.solid_height && spec != nullptr && spec->solid_height) {
    state.solid_height =
        spec->solid_height->si() + observed.sheet_error(SheetFigure::solid_height, key.valve);
    state.solid_basis = spec->solid_tolerance ? "solid height of the sheet, with its tolerance"
                                              : "solid height of the sheet, no tolerance stated";
  }
  add_characteristic(observed, key, state);
  return state;
}

const build::SpringSpec* spring_spec(const build::Build& build, Valve valve) {
  if (!build.springs) {
    return nullptr;
  }
  const auto& spec = valve == Valve::intake ? build.springs->intake : build.springs->exhaust;
  return spec ? &*spec : nullptr;
}

double fitted_shims(const build::Build& build, const LobeKey& key) {
  if (!build.springs) {
    return 0;
  }
  double sum = 0;
  for (const build::FittedShims& shims : build.springs->fitted) {
    sum += shims.cylinder == key.cylinder && shims.valve == key.valve ? shims.thickness.si() : 0;
  }
  return sum;
}

WoundSet wound_set(const build::SpringSpec& spec, double free_height, double wire_error) {
  WoundSet set;
  for (const build::SpringWire& wire : spec.coils) {
    const auto material = wire.material.value_or(build::WireMaterial::chrome_silicon);
    const double d = wire.wire_diameter.si() + wire_error;
    const bool alone = spec.coils.size() == 1;
    if (!(d > 0) || (!wire.free_length && !alone)) {
      return {};
    }
    const auto ends = ends_of(wire.ends.value_or(build::SpringEnds::squared_ground));
    const double mean = wire.outside_diameter.si() - d;
    auto spring = mechanism::cylindrical_spring(d, mean, wire.total_coils,
                                                wire.free_length ? wire.free_length->si() : free_height, ends,
                                                shear_modulus(material), steel_density);
    if (wire.least_outside_diameter && !spring.parts.empty()) {
      spring.parts.front().diameter_to = wire.least_outside_diameter->si() - d;
    }
    if (!mechanism::wound_spring_problems(spring).empty()) {
      return {};
    }
    set.springs.push_back(std::move(spring));
    set.steps.push_back(wire.seat_step ? wire.seat_step->si() : 0);
    set.strengths.push_back(mechanism::wire_strength(wire_kind(material), d));
  }
  return set;
}

bool springs_concern(const Sources& sources) {
  constexpr std::array kinds{ReadingKind::spring_load, ReadingKind::installed_height,
                             ReadingKind::solid_height, ReadingKind::retainer_gap};
  return sources.build().springs.has_value() ||
         std::any_of(kinds.begin(), kinds.end(),
                     [&](ReadingKind kind) { return sources.inventory().at_valves.contains(kind); });
}

}  // namespace fettle::stations
