// What marks, ratios and preload give away; common practice, no source.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "build/names.h"
#include "stations/length_text.h"
#include "stations/limits.h"
#include "stations/prove.h"
#include "stations/rocker.h"
#include "stations/rocker_state.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
using build::Valve;
constexpr double inch = 0.0254;

std::string valve_text(const LobeKey& key) {
  return fmt::format("{} valve of cylinder {}", build::word(key.valve), key.cylinder);
}

const Finding* found(const Report& report, std::string_view id, const LobeKey& key) {
  const Finding* finding = find(report, id, {key.cylinder, key.valve, {}});
  return finding != nullptr && finding->value ? finding : nullptr;
}

/// A wide mark in the middle of the tip: centred by chance, with the rocker far from the square position.
std::optional<Mistake> wide_and_centred(const Observed& observed, const Report& report, const LobeKey& key) {
  const Finding* width = found(report, "rocker.mark_width", key);
  const Finding* offset = found(report, "rocker.mark_offset", key);
  const bool wide = width != nullptr && width->limit && width->limit->max &&
                    *width->value - width->expanded > *width->limit->max;
  const bool centred = offset != nullptr && offset->limit && offset->limit->max &&
                       std::abs(*offset->value) <= *offset->limit->max;
  if (!wide || !centred) {
    return std::nullopt;
  }
  std::string next =
      "Measure with an adjustable pushrod: take the length at which the mark is narrowest, then look whether "
      "it still lies in the middle.";
  TdcOfWheels tdc_of(observed);
  if (const auto geometry = rocker_geometry(observed, key.valve)) {
    const mechanism::RockerTrain train(*geometry);
    const auto rise = tappet_rise(observed, key, train, tdc_of);
    const auto least = rise ? mechanism::least_sweep_pushrod(*geometry, rise->rise, pivot_range)
                            : std::optional<mechanism::PushrodChoice>{};
    if (least) {
      next = fmt::format(
          "The geometry has its least sweep, {}, with a pushrod {} {}: try that, and mark the tip again.",
          in_both(least->sweep.width(), 3), in_both(std::abs(least->longer), 3),
          least->longer > 0 ? "longer" : "shorter");
    }
  }
  return Mistake{"rocker.mark_wide", observed.sources().inventory().at(ReadingKind::tip_mark, key),
                 key.cylinder,
                 fmt::format("The mark on the {} is {} wide although it lies in the middle: the pushrod is "
                             "far from the length that stands the rocker square at half lift.",
                             valve_text(key), in_both(*width->value, 3)),
                 next};
}

/// The outer edge of the mark close to the edge of the tip; the tip is as wide as the stem, where it is
/// given.
std::optional<Mistake> toward_an_edge(const Observed& observed, const Report& report, const LobeKey& key) {
  constexpr double usual_tip = 11.0 / 32 * inch;
  constexpr double rim = 0.030 * inch;  // chamfer and what must be left beside the mark
  const Finding* offset = found(report, "rocker.mark_offset", key);
  if (offset == nullptr) {
    return std::nullopt;
  }
  const Finding* width = found(report, "rocker.mark_width", key);
  const auto& valves = observed.build().valves;
  const auto part = !valves ? std::nullopt : key.valve == Valve::intake ? valves->intake : valves->exhaust;
  const double tip = part && part->stem_diameter ? part->stem_diameter->si() : usual_tip;
  const double reach = std::abs(*offset->value) + (width != nullptr ? *width->value / 2 : 0);
  const double doubt = std::hypot(offset->expanded, width != nullptr ? width->expanded / 2 : 0);
  if (reach - doubt <= tip / 2 - rim) {
    return std::nullopt;
  }
  return Mistake{
      "rocker.mark_at_edge", observed.sources().inventory().at(ReadingKind::tip_mark, key), key.cylinder,
      fmt::format("The mark on the {} runs to within {} of the tip's edge, {} the pivot: the rocker pushes "
                  "the stem sideways and the guide wears.",
                  valve_text(key), in_both(std::max(0.0, tip / 2 - reach), 3),
                  *offset->value > 0 ? "away from" : "toward"),
      "Check that stud or stand is straight and the right rocker is fitted; then try another pushrod length "
      "and mark the tip again."};
}

/// Valve lift short of the sheet's ratio by more than doubt, and by more than rockers are made to.
std::optional<Mistake> ratio_short(const Sources& sources, const Report& report, const LobeKey& key) {
  constexpr double made_to = 0.01;
  const build::Build& build = sources.build();
  const Finding* ratio = found(report, "rocker.ratio", key);
  const auto sheet = !build.rockers               ? std::nullopt
                     : key.valve == Valve::intake ? build.rockers->intake_ratio
                                                  : build.rockers->exhaust_ratio;
  if (ratio == nullptr || !sheet || *sheet - *ratio->value <= std::max(ratio->expanded, made_to * *sheet)) {
    return std::nullopt;
  }
  const bool bleeds = build.lifters && build.lifters->kind == build::LifterKind::hydraulic &&
                      !build.lifters->checking.value_or(false);
  const bool pressed = build.springs_fitted == build::SpringsFitted::running;
  std::string likely = bleeds    ? "The hydraulic plunger gives way while you read. "
                       : pressed ? "With running springs pushrod and rocker bend. "
                                 : "";
  const auto& lobe = sources.inventory().lobes.at(key);
  std::vector<int> readings = lobe.sweeps;
  readings.insert(readings.end(), lobe.tops.begin(), lobe.tops.end());
  return Mistake{
      "rocker.ratio_short", readings, key.cylinder,
      fmt::format("The {} lifts {:.3f} times its lobe, the sheet says {:.3f}. {}Lash that was not typed, "
                  "parts that bend, an indicator out of line with the valve, or another rocker.",
                  valve_text(key), *ratio->value, *sheet, likely),
      bleeds ? "Put a solid checking lifter in and read both lifts again."
             : "Take the lash up to nothing, set the indicator in line with the valve's stem, and read both "
               "lifts again with checking springs."};
}

std::optional<Mistake> beyond_travel(const Sources& sources, const Report& report, const LobeKey& key) {
  const auto& lifters = sources.build().lifters;
  const Finding* preload = found(report, "rocker.preload", key);
  if (!lifters || !lifters->plunger_travel || preload == nullptr ||
      *preload->value <= lifters->plunger_travel->si()) {
    return std::nullopt;
  }
  std::vector<int> readings = sources.inventory().at(ReadingKind::plunger_depth, key);
  if (readings.empty()) {
    readings = sources.inventory().at(ReadingKind::preload_turns, key);
  }
  return Mistake{
      "rocker.preload_beyond_travel", readings, key.cylinder,
      fmt::format("The preload of the {} comes to {}, its plunger has {} of travel: it stands on the bottom "
                  "and holds the valve open.",
                  valve_text(key), in_both(*preload->value, 3), in_both(lifters->plunger_travel->si(), 3)),
      "Do not turn the engine with it. Back the adjuster off to zero lash with the lifter on its base "
      "circle, "
      "wait for the plunger to come up, and count the turns anew."};
}

/// The rule of turns and the accepted band do not go together on this thread.
std::optional<Mistake> turn_beyond_band(const Observed& observed, const Report& report, Valve valve) {
  const auto limit = limit_for(observed.build(), "rocker.preload", {std::nullopt, valve, std::nullopt});
  const auto per_turn = preload_per_turn(observed, valve);
  if (!limit || !limit->max || !per_turn || *per_turn <= *limit->max) {
    return std::nullopt;
  }
  std::vector<int> readings;
  for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
    const LobeKey key{cylinder, valve};
    const Finding* preload = found(report, "rocker.preload", key);
    const auto& turns = observed.sources().inventory().at(ReadingKind::preload_turns, key);
    if (preload != nullptr && *preload->value - preload->expanded > *limit->max) {
      readings.insert(readings.end(), turns.begin(), turns.end());
    }
  }
  if (readings.empty()) {
    return std::nullopt;
  }
  return Mistake{"rocker.turn_beyond_band", readings, std::nullopt,
                 fmt::format("One turn of this thread is {} of preload on the {} side, and {} to {} is "
                             "accepted: a rule of one turn does not hold here.",
                             in_both(*per_turn, 3), build::word(valve), in_both(limit->min.value_or(0), 3),
                             in_both(*limit->max, 3)),
                 fmt::format("Set {:.2f} to {:.2f} turns past zero lash.", limit->min.value_or(0) / *per_turn,
                             *limit->max / *per_turn)};
}

}  // namespace

std::vector<Mistake> rocker_mistakes(const Sources& sources, const Report& report,
                                     const std::vector<Mistake>& /*earlier*/) {
  std::vector<Mistake> mistakes;
  const Observed observed(sources, sources.estimates());
  const auto keep = [&](std::optional<Mistake> mistake) {
    if (mistake) {
      mistakes.push_back(std::move(*mistake));
    }
  };
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    for (const Valve valve : {Valve::intake, Valve::exhaust}) {
      const LobeKey key{cylinder, valve};
      keep(wide_and_centred(observed, report, key));
      keep(toward_an_edge(observed, report, key));
      keep(ratio_short(sources, report, key));
      keep(beyond_travel(sources, report, key));
    }
  }
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    keep(turn_beyond_band(observed, report, valve));
  }
  return mistakes;
}

}  // namespace fettle::stations
