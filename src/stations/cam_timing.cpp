#include "stations/cam_timing.h"

#include <algorithm>
#include <cmath>

#include "build/names.h"
#include "stations/at_estimates.h"
#include "stations/limits.h"
#include "stations/true_tdc.h"

namespace fettle::stations {
namespace {

using build::Valve;

/// The wheel that a lobe's readings were taken on.
std::string wheel_of(const build::Build& build, const LobeReadings& readings) {
  for (const auto* list : {&readings.sweeps, &readings.points, &readings.tops}) {
    for (const int place : *list) {
      const build::Reading& reading = build.readings[static_cast<std::size_t>(place)];
      if (reading.kind != build::ReadingKind::lobe_top || reading.wheel) {
        return reading.tool.value_or("");
      }
    }
  }
  return "";
}

void add_lobe_findings(const build::Build& build, const LobeState& state, const LobeKey& key,
                       std::vector<Valued>& values) {
  const Where where{key.cylinder, key.valve, std::nullopt};
  if (const auto centre = lobe_centre(state)) {
    const bool intake = key.valve == Valve::intake;
    values.push_back(
        {{intake ? "cam.intake_centerline" : "cam.exhaust_centerline", {key.cylinder, {}, {}}, centre->basis},
         centreline(*centre, key.valve)});
  }
  for (const LobeEvents& events : state.lifts) {
    const Where at{key.cylinder, key.valve, events.at};
    if (events.opening) {
      values.push_back({{"cam.opening", at, ""}, *events.opening});
    }
    if (events.closing) {
      values.push_back({{"cam.closing", at, ""}, *events.closing});
    }
    if (events.opening && events.closing) {
      const double duration = *events.closing - *events.opening;
      values.push_back({{"cam.duration", at, ""}, duration});
      if (const auto card = card_duration(build, key.valve, events.at)) {
        values.push_back({{"cam.duration_error", at, ""}, duration - *card});
      }
    }
  }
  if (state.max_lift) {
    values.push_back({{"cam.lobe_lift", where, ""}, *state.max_lift});
  }
  const LobeEvents* main = events_at(state, main_check_lift);
  if (main != nullptr && midpoint(*main) && state.top) {
    values.push_back({{"cam.asymmetry", where, "midpoint at 0.050 in less place of the greatest lift"},
                      *midpoint(*main) - *state.top});
  }
}

void add_cylinder_findings(int cylinder, const CylinderLobes& lobes, std::vector<Valued>& values) {
  if (!lobes.intake || !lobes.exhaust) {
    return;
  }
  const auto intake = lobe_centre(*lobes.intake);
  const auto exhaust = lobe_centre(*lobes.exhaust);
  if (intake && exhaust) {
    const double icl = centreline(*intake, Valve::intake);
    const double ecl = centreline(*exhaust, Valve::exhaust);
    values.push_back({{"cam.lobe_separation", {cylinder, {}, {}}, ""}, (icl + ecl) / 2});
    values.push_back({{"cam.advance", {cylinder, {}, {}}, ""}, (ecl - icl) / 2});
  }
  for (const LobeEvents& events : lobes.intake->lifts) {
    const LobeEvents* other = events_at(*lobes.exhaust, events.at);
    if (events.opening && other != nullptr && other->closing) {
      values.push_back({{"cam.overlap", {cylinder, {}, events.at}, ""}, *other->closing - *events.opening});
    }
  }
}

/// Both lobes of one cylinder, as far as they were read.
Group cylinder_group(int cylinder) {
  return {[cylinder](const Observed& observed) {
    std::vector<Valued> values;
    values.reserve(64);
    CylinderLobes lobes;
    TdcOfWheels tdc_of(observed);
    for (const Valve valve : {Valve::intake, Valve::exhaust}) {
      const LobeKey key{cylinder, valve};
      const auto& all = observed.sources().inventory().lobes;
      const auto found = all.find(key);
      if (found == all.end()) {
        continue;
      }
      auto state = read_lobe(observed, key, found->second, tdc_of);
      if (state) {
        add_lobe_findings(observed.build(), *state, key, values);
        (valve == Valve::intake ? lobes.intake : lobes.exhaust) = std::move(state);
      }
    }
    add_cylinder_findings(cylinder, lobes, values);
    return values;
  }};
}

/// Centrelines of all cylinders read of one valve.
std::vector<double> all_centrelines(const Observed& observed, Valve valve) {
  std::vector<double> all;
  TdcOfWheels tdc_of(observed);
  for (const auto& [key, readings] : observed.sources().inventory().lobes) {
    if (key.valve != valve) {
      continue;
    }
    if (const auto state = read_lobe(observed, key, readings, tdc_of)) {
      if (const auto centre = lobe_centre(*state)) {
        all.push_back(centreline(*centre, valve));
      }
    }
  }
  return all;
}

Group phase_group() {
  return {[](const Observed& observed) {
    std::vector<Valued> values;
    const auto intake = all_centrelines(observed, Valve::intake);
    const auto wanted = wanted_intake_centreline(observed.build());
    if (!intake.empty() && wanted) {
      double sum = 0;
      for (const double centre : intake) {
        sum += centre;
      }
      values.push_back({{"cam.phase_error", {}, ""}, sum / static_cast<double>(intake.size()) - *wanted});
    }
    return values;
  }};
}

Group scatter_group(Valve valve) {
  return {[valve](const Observed& observed) {
    std::vector<Valued> values;
    const auto all = all_centrelines(observed, valve);
    if (all.size() > 1) {
      const auto [least, greatest] = std::minmax_element(all.begin(), all.end());
      values.push_back({{"cam.lobe_phase_scatter", {{}, valve, {}}, ""}, *greatest - *least});
    }
    return values;
  }};
}

Group slack_group() {
  return {[](const Observed& observed) {
    const auto& sources = observed.sources();
    double sum = 0;
    int count = 0;
    for (const int place : sources.inventory().slack) {
      sum += observed.slack(place);
      ++count;
    }
    for (const auto& [backward, input] : sources.sweep_slacks()) {
      sum += observed.input(input);
      ++count;
    }
    if (count == 0) {
      return std::vector<Valued>{};
    }
    return std::vector<Valued>{{{"cam.chain_slack", {}, ""}, sum / count}};
  }};
}

bool readings_are_of_now(const Observed& observed, const LobeKey& key, const LobeReadings& readings) {
  const auto& lobes = observed.sources().inventory().lobes;
  const auto found = lobes.find(key);
  return found != lobes.end() && &found->second == &readings;
}

}  // namespace

std::shared_ptr<const LobeState> read_lobe(const Observed& observed, const LobeKey& key,
                                           const LobeReadings& readings, TdcOfWheels& tdc_of) {
  // Only lobes as the set stands now are remembered: those of earlier positions are other readings.
  const bool now = observed.at_estimates() != nullptr && readings_are_of_now(observed, key, readings);
  if (const auto* unmoved = now ? observed.at_estimates()->unmoved(key, observed.moved()) : nullptr) {
    return *unmoved;
  }
  const auto work_out = [&]() -> std::shared_ptr<const LobeState> {
    const auto tdc = tdc_of(wheel_of(observed.build(), readings));
    return tdc ? std::make_shared<const LobeState>(
                     lobe_state(observed, key, readings, *tdc + observed.what_if().advance(key.valve)))
               : nullptr;
  };
  if (now && observed.moved().size() == 1) {
    const std::size_t input = observed.moved().front();
    return observed.at_estimates()->with_moved(key, input, observed.input(input), work_out);
  }
  return work_out();
}

double centreline(const LobeCentre& centre, Valve valve) {
  return valve == Valve::intake ? centre.angle : -centre.angle;
}

std::vector<Group> cam_timing_station(const Sources& sources) {
  std::vector<Group> groups;
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    groups.push_back(cylinder_group(cylinder));
  }
  groups.push_back(phase_group());
  groups.push_back(scatter_group(Valve::intake));
  groups.push_back(scatter_group(Valve::exhaust));
  groups.push_back(slack_group());
  return groups;
}

}  // namespace fettle::stations
