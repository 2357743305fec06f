#include "stations/cam_evidence.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "build/names.h"
#include "quantity/angle.h"
#include "stations/lift_basis.h"
#include "stations/limits.h"
#include "stations/what_if.h"

namespace fettle::stations {
namespace {

using build::Valve;

std::optional<Doubtful> value_of(const Report& report, std::string_view id, const Where& where) {
  const Finding* finding = find(report, id, where);
  if (finding == nullptr || !finding->value) {
    return std::nullopt;
  }
  return Doubtful{*finding->value, finding->expanded};
}

std::vector<int> all_readings(const LobeReadings& lobe) {
  std::vector<int> all = lobe.sweeps;
  for (const auto* list : {&lobe.points, &lobe.tops}) {
    all.insert(all.end(), list->begin(), list->end());
  }
  return all;
}

/// The check lift to hold against the card: 0.050 in where the card has it, else its lowest.
std::optional<double> card_check_lift(const build::Build& build, Valve valve) {
  if (card_duration(build, valve, main_check_lift)) {
    return main_check_lift;
  }
  for (const double lift : check_lifts(build, valve)) {
    if (card_duration(build, valve, lift)) {
      return lift;
    }
  }
  return std::nullopt;
}

std::optional<double> card_lift(const build::Build& build, Valve valve) {
  if (!build.cam || !build.cam->card) {
    return std::nullopt;
  }
  const auto& card = valve == Valve::intake ? build.cam->card->intake : build.cam->card->exhaust;
  return card && card->lift ? std::optional(card->lift->si()) : std::nullopt;
}

void compare_events(const build::Build& build, const Report& report, double advance, LobeEvidence& lobe) {
  const auto at = card_check_lift(build, lobe.key.valve);
  if (!at) {
    return;
  }
  const Where where{lobe.key.cylinder, lobe.key.valve, at};
  lobe.duration_error = value_of(report, "cam.duration_error", where);
  const auto card = card_events(build, lobe.key.valve, *at);
  const auto opening = value_of(report, "cam.opening", where);
  const auto closing = value_of(report, "cam.closing", where);
  if (card && opening && closing) {
    lobe.opening_late = Doubtful{opening->value - card->opening + advance, opening->expanded};
    lobe.closing_late = Doubtful{closing->value - card->closing + advance, closing->expanded};
  }
}

LobeEvidence evidence_of(const build::Build& build, const Report& report, const LobeKey& key,
                         const LobeReadings& readings) {
  LobeEvidence lobe;
  lobe.key = key;
  lobe.readings = all_readings(readings);
  const double advance =
      build.timing_set ? crank_advance(*build.timing_set, fitted_position(build, key.valve)) : 0;
  const bool intake = key.valve == Valve::intake;
  const auto centre =
      value_of(report, intake ? "cam.intake_centerline" : "cam.exhaust_centerline", {key.cylinder, {}, {}});
  const auto card = card_centreline(build, key.valve);
  if (centre && card) {
    lobe.lateness = Doubtful{(intake ? 1 : -1) * (centre->value - *card) + advance, centre->expanded};
  }
  compare_events(build, report, advance, lobe);
  const auto lift = value_of(report, "cam.lobe_lift", {key.cylinder, key.valve, {}});
  if (const auto wanted = card_lift(build, key.valve); wanted && lift) {
    lobe.lift_over_card = Doubtful{lift->value / *wanted, lift->expanded / *wanted};
  }
  lobe.asymmetry = value_of(report, "cam.asymmetry", {key.cylinder, key.valve, {}});
  return lobe;
}

}  // namespace

CamEvidence gather_cam_evidence(const Sources& sources, const Report& report) {
  const build::Build& build = sources.build();
  CamEvidence evidence;
  for (const auto& [key, readings] : sources.inventory().lobes) {
    evidence.lobes.push_back(evidence_of(build, report, key, readings));
  }
  const auto intake = card_centreline(build, Valve::intake);
  const auto exhaust = card_centreline(build, Valve::exhaust);
  if (!intake || !exhaust || cams_set_apart(build)) {
    return evidence;  // of two cams the separation is how they stand, not how they were ground
  }
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    if (const auto separation = value_of(report, "cam.lobe_separation", {cylinder, {}, {}})) {
      evidence.separation_errors[cylinder] = {separation->value - (*intake + *exhaust) / 2,
                                              separation->expanded};
    }
  }
  return evidence;
}

std::optional<Doubtful> separation_error(const CamEvidence& evidence) {
  std::vector<double> errors;
  double expanded = 0;
  for (const auto& [cylinder, error] : evidence.separation_errors) {
    const auto lobes = std::count_if(
        evidence.lobes.begin(), evidence.lobes.end(),
        [cylinder = cylinder](const LobeEvidence& lobe) { return lobe.key.cylinder == cylinder; });
    if (lobes == 2) {
      errors.push_back(error.value);
      expanded = std::max(expanded, error.expanded);
    }
  }
  return errors.empty() ? std::nullopt : std::optional(Doubtful{median(errors), expanded});
}

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  const std::size_t middle = values.size() / 2;
  return values.size() % 2 == 1 ? values[middle] : (values[middle - 1] + values[middle]) / 2;
}

std::string degrees_text(double radians, int decimals) {
  return fmt::format("{:.{}f} deg", radians / quantity::radians_per_degree, decimals);
}

std::string lobe_text(const LobeKey& key) {
  return fmt::format("{} lobe of cylinder {}", build::word(key.valve), key.cylinder);
}

}  // namespace fettle::stations
