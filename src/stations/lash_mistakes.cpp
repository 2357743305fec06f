// What readings of lash and of shims give away; common practice, no source.

#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "build/names.h"
#include "mechanism/valve_setting.h"
#include "stations/lash.h"
#include "stations/lash_state.h"
#include "stations/length_text.h"
#include "stations/valves.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
using build::Valve;

constexpr double inch = 0.0254;

/// Turns of a thimble: half a millimetre, or 0.025 in; and how nearly a slip of one is met.
constexpr double metric_turn = 0.5e-3;
constexpr double inch_turn = 0.025 * inch;
constexpr double nearly_a_turn = 0.04e-3;

bool is_a_turn(double difference) {
  return std::abs(std::abs(difference) - metric_turn) < nearly_a_turn ||
         std::abs(std::abs(difference) - inch_turn) < nearly_a_turn;
}

/// All lashes of one kind off by much the same: they were taken at another temperature than the figure is
/// for.
std::vector<Mistake> all_shifted(const Sources& sources, const Report& report) {
  std::vector<Mistake> mistakes;
  constexpr double much = 0.0025 * inch;
  constexpr double alike = 0.003 * inch;
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    std::vector<double> off;
    std::vector<int> readings;
    for (const Finding& finding : report.findings) {
      const bool of_kind = finding.id == "lash.gap" && finding.where.valve == valve && finding.value;
      if (of_kind && finding.limit && finding.limit->min && finding.limit->max) {
        off.push_back(*finding.value - (*finding.limit->min + *finding.limit->max) / 2);
        const auto& places =
            sources.inventory().at(ReadingKind::valve_lash, {*finding.where.cylinder, valve});
        readings.insert(readings.end(), places.begin(), places.end());
      }
    }
    if (off.size() < 3) {
      continue;
    }
    const auto [least, greatest] = std::minmax_element(off.begin(), off.end());
    if ((*least > much || *greatest < -much) && *greatest - *least < alike) {
      mistakes.push_back(
          {"lash.all_shifted", readings, std::nullopt,
           fmt::format("All {} lashes are about {} {} the figure, all alike: that is the temperature, not "
                       "the setting. Iron closes up and aluminium heads open the gap as they warm.",
                       build::word(valve), in_both(std::abs(off.front()), 3), *least > 0 ? "over" : "under"),
           "See whether the figure is for a cold or a hot engine, and take one valve again so."});
    }
  }
  return mistakes;
}

/// A shim that measures one turn of the thimble off what it is marked, or off another reading of it. Shims
/// that were at the valve one after the other are told apart by what each reading says was in place.
std::optional<Mistake> slipped_thimble(const Sources& sources, const LobeKey& key,
                                       const std::vector<int>& places) {
  const auto listed = fitted_bucket_shim(sources.build(), key);
  std::map<std::optional<double>, std::vector<double>> shims;
  for (const int place : places) {
    const build::Reading& reading = sources.build().readings[static_cast<std::size_t>(place)];
    const auto marked = reading.shim ? std::optional(reading.shim->si()) : listed;
    std::vector<double>& read = shims[marked];
    read.push_back(reading.thickness->si());
    for (const auto& again : reading.again) {
      read.push_back(again.si);
    }
    if (marked) {
      read.push_back(*marked);
    }
  }
  for (const auto& [marked, read] : shims) {
    const auto [least, greatest] = std::minmax_element(read.begin(), read.end());
    if (is_a_turn(*greatest - *least)) {
      return Mistake{
          "lash.shim_thimble", places, key.cylinder,
          fmt::format(
              "The shim of the {} valve of cylinder {} stands at {:.3f} and at {:.3f} mm: they lie one "
              "turn of a micrometer's thimble apart.",
              build::word(key.valve), key.cylinder, *least * 1e3, *greatest * 1e3),
          "Measure the shim again and read the sleeve's half-millimetre mark (0.025 in on an inch one) "
          "first."};
    }
  }
  return std::nullopt;
}

/// A lash taken where the lobe was not on its base circle, or no lash at all.
std::optional<Mistake> off_base_circle(const Observed& observed, const Report& report, const LobeKey& key,
                                       int place, TdcOfWheels& tdc_of) {
  const build::Reading& reading = observed.reading(place);
  if (reading.firing) {
    const auto lobe = settable_lobe(observed, report, key, tdc_of);
    const double crank =
        observed.sources().phases().firing_tdc(*reading.firing) - observed.sources().phases().firing_tdc(1);
    if (lobe && mechanism::base_margin(lobe->valve, crank) + lobe->expanded < 0) {
      return Mistake{
          "lash.off_base_circle",
          {place},
          key.cylinder,
          fmt::format(
              "With cylinder {} at its firing TDC the {} valve of cylinder {} is not on its base circle: "
              "the gap read there is not its lash.",
              *reading.firing, build::word(key.valve), key.cylinder),
          "Set this valve at the position that the card below gives for it."};
    }
  }
  constexpr double no_gap = 0.001 * inch;
  const bool solid = !observed.build().lifters || observed.build().lifters->kind == build::LifterKind::solid;
  if (solid && observed.amount(place, Amount::gap) < no_gap) {
    return Mistake{
        "lash.off_base_circle",
        {place},
        key.cylinder,
        fmt::format("The {} valve of cylinder {} shows no gap: its lobe is not on the base circle, or "
                    "the valve is held off its seat.",
                    build::word(key.valve), key.cylinder),
        "Turn the crank a full turn on and see whether there is a gap. If there is none, the valve "
        "does not close."};
  }
  return std::nullopt;
}

}  // namespace

std::vector<Mistake> lash_mistakes(const Sources& sources, const Report& report,
                                   const std::vector<Mistake>& /*earlier*/) {
  std::vector<Mistake> mistakes = all_shifted(sources, report);
  const Observed observed(sources, sources.estimates());
  TdcOfWheels tdc_of(observed);
  for (const LobeKey& key : all_valves(sources)) {
    const auto& shims = sources.inventory().at(ReadingKind::bucket_shim, key);
    if (!shims.empty()) {
      if (auto slipped = slipped_thimble(sources, key, shims)) {
        mistakes.push_back(std::move(*slipped));
      }
    }
    for (const int place : sources.inventory().at(ReadingKind::valve_lash, key)) {
      if (auto off = off_base_circle(observed, report, key, place, tdc_of)) {
        mistakes.push_back(std::move(*off));
      }
    }
  }
  return mistakes;
}

}  // namespace fettle::stations
