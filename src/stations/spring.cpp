#include "stations/spring.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "stations/spring_state.h"
#include "stations/valves.h"

namespace fettle::stations {
namespace {

using build::Valve;

/// Greatest stress and least factor of safety over the springs of a set that works between two heights. The
/// loads are those of the wire, brought to the load that was measured.
struct WireStress {
  double open_stress = 0;
  std::optional<double> fatigue_factor;
};

std::optional<WireStress> wire_stress(const build::SpringSpec& spec,
                                      const mechanism::SpringCharacteristic& read, double seat_height,
                                      double open_height, double wire_error) {
  const WoundSet set = wound_set(spec, read.free_height(), wire_error);
  if (set.springs.empty()) {
    return std::nullopt;
  }
  double wound_seat = 0;
  double wound_open = 0;
  std::vector<std::pair<double, double>> loads;
  for (std::size_t i = 0; i < set.springs.size(); ++i) {
    const auto seat = mechanism::wound_load(set.springs[i], seat_height - set.steps[i]);
    const auto open = mechanism::wound_load(set.springs[i], open_height - set.steps[i]);
    if (!seat || !open) {
      return std::nullopt;
    }
    loads.emplace_back(*seat, *open);
    wound_seat += *seat;
    wound_open += *open;
  }
  if (!(wound_seat > 0 && wound_open > wound_seat)) {
    return std::nullopt;
  }
  WireStress worst;
  for (std::size_t i = 0; i < set.springs.size(); ++i) {
    const double seat = loads[i].first * read.load(seat_height) / wound_seat;
    const double open = loads[i].second * read.load(open_height) / wound_open;
    worst.open_stress = std::max(worst.open_stress, mechanism::wound_stress(set.springs[i], open));
    if (open > seat && seat >= 0) {
      if (const auto fatigue =
              mechanism::spring_fatigue(set.springs[i], set.strengths[i], seat, open, false)) {
        const double factor = std::min(fatigue->goodman, fatigue->yield);
        worst.fatigue_factor = std::min(worst.fatigue_factor.value_or(factor), factor);
      }
    }
  }
  return worst;
}

void add_at_lift(const Observed& observed, const LobeKey& key, const SpringState& state, TdcOfWheels& tdc_of,
                 std::vector<Valued>& values) {
  const auto lift = net_lift(observed, key, tdc_of);
  if (!lift) {
    return;
  }
  const Where where = where_of(key);
  if (state.retainer_gap) {
    values.push_back(
        {{"spring.retainer_margin", where, "lift: " + lift->basis}, *state.retainer_gap - lift->lift});
  }
  if (!state.height) {
    return;
  }
  const double open_height = *state.height - lift->lift;
  if (state.solid_height) {
    const std::string_view between = state.solid_basis.empty() ? "" : "; ";
    values.push_back({{"spring.coil_bind_margin", where,
                       fmt::format("{}{}lift: {}", state.solid_basis, between, lift->basis)},
                      open_height - *state.solid_height});
  }
  if (!state.characteristic || !(open_height > 0)) {
    return;
  }
  const auto& read = *state.characteristic;
  std::string basis(state.characteristic_basis);
  basis += read.measured(open_height) ? "" : ", carried on beyond the heights read";
  values.push_back({{"spring.open_load", where, basis}, read.load(open_height)});
  values.push_back({{"spring.rate", where, std::string(state.characteristic_basis)},
                    (read.load(open_height) - read.load(*state.height)) / lift->lift});
  const build::SpringSpec* spec = spring_spec(observed.build(), key.valve);
  if (spec != nullptr) {
    const double wire_error = observed.sheet_error(SheetFigure::wire_diameter, key.valve);
    if (const auto stress = wire_stress(*spec, read, *state.height, open_height, wire_error)) {
      const std::string wire =
          spec->wire_tolerance ? "wire of the sheet" : "wire of the sheet, no tolerance stated";
      values.push_back({{"spring.open_stress", where, wire}, stress->open_stress});
      if (stress->fatigue_factor) {
        values.push_back({{"spring.fatigue_margin", where, wire + ", not peened"}, *stress->fatigue_factor});
      }
    }
  }
}

Group spring_group(const LobeKey& key) {
  return {[key](const Observed& observed) {
    std::vector<Valued> values;
    const SpringState state = spring_state(observed, key);
    const Where where = where_of(key);
    const build::SpringSpec* spec = spring_spec(observed.build(), key.valve);
    if (state.height) {
      values.push_back({{"spring.installed_height", where, ""}, *state.height});
      if (spec != nullptr && spec->installed_height) {
        values.push_back({{"spring.height_error", where, ""}, *state.height - spec->installed_height->si()});
      }
      if (state.characteristic) {
        values.push_back({{"spring.seat_load", where, std::string(state.characteristic_basis)},
                          state.characteristic->load(*state.height)});
      }
    }
    TdcOfWheels tdc_of(observed);
    add_at_lift(observed, key, state, tdc_of, values);
    return values;
  }};
}

/// Seat loads of all springs of one kind, in the order of the cylinders.
std::vector<double> seat_loads(const Observed& observed, Valve valve) {
  std::vector<double> loads;
  for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
    const SpringState state = spring_state(observed, {cylinder, valve});
    if (state.height && state.characteristic) {
      loads.push_back(state.characteristic->load(*state.height));
    }
  }
  return loads;
}

Group spread_group(Valve valve) {
  return {[valve](const Observed& observed) {
    std::vector<Valued> values;
    const auto loads = seat_loads(observed, valve);
    if (loads.size() > 1) {
      const auto [least, greatest] = std::minmax_element(loads.begin(), loads.end());
      values.push_back({{"spring.seat_load_spread", {{}, valve, {}}, ""}, *greatest - *least});
    }
    return values;
  }};
}

/// Surge of the outermost spring: its wire's frequency, with the rate that was measured in place of the
/// wire's.
Group surge_group(Valve valve) {
  return {[valve](const Observed& observed) {
    std::vector<Valued> values;
    const build::SpringSpec* spec = spring_spec(observed.build(), valve);
    if (spec == nullptr || spec->coils.empty() || spec->coils.front().least_outside_diameter) {
      return values;
    }
    double sum = 0;
    int count = 0;
    for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
      const SpringState state = spring_state(observed, {cylinder, valve});
      if (!state.height || !state.characteristic) {
        continue;
      }
      const WoundSet set = wound_set(*spec, state.characteristic->free_height(),
                                     observed.sheet_error(SheetFigure::wire_diameter, valve));
      if (set.springs.empty()) {
        continue;
      }
      double wound_rate = 0;
      for (const auto& spring : set.springs) {
        wound_rate += mechanism::wound_rate(spring, 0).value_or(0);
      }
      const double measured = state.characteristic->rate(*state.height);
      sum += mechanism::surge_frequency(set.springs.front()) * std::sqrt(measured / wound_rate);
      ++count;
    }
    if (count > 0) {
      const std::string wire =
          spec->wire_tolerance ? "wire of the sheet" : "wire of the sheet, no tolerance stated";
      values.push_back({{"spring.natural_frequency", {{}, valve, {}}, wire + ", rate as measured"},
                        2 * std::numbers::pi * sum / count});
    }
    return values;
  }};
}

}  // namespace

std::vector<Group> spring_station(const Sources& sources) {
  std::vector<Group> groups;
  if (!springs_concern(sources)) {
    return groups;
  }
  for (const LobeKey& key : all_valves(sources)) {
    groups.push_back(spring_group(key));
  }
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    groups.push_back(spread_group(valve));
    groups.push_back(surge_group(valve));
  }
  return groups;
}

std::vector<Missing> spring_missing(const Sources& sources) {
  std::vector<Missing> missing;
  if (!springs_concern(sources)) {
    return missing;
  }
  const Observed observed(sources, sources.estimates());
  TdcOfWheels tdc_of(observed);
  for (const LobeKey& key : all_valves(sources)) {
    const SpringState state = spring_state(observed, key);
    const Where where = where_of(key);
    if (!state.height || !state.characteristic) {
      missing.push_back({{"spring.seat_load", where, ""},
                         !state.height ? "the installed height" : "the load of the spring at two heights"});
    }
    if (!state.height || !state.solid_height || !net_lift(observed, key, tdc_of)) {
      missing.push_back({{"spring.coil_bind_margin", where, ""},
                         !state.height         ? "the installed height"
                         : !state.solid_height ? "the height with the coils touching"
                                               : "the valve's lift: its lobe read, or the card's lift"});
    }
    if (!state.retainer_gap) {
      missing.push_back(
          {{"spring.retainer_margin", where, ""}, "the gap from retainer to seal, valve closed"});
    }
  }
  return missing;
}

}  // namespace fettle::stations
