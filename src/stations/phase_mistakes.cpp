#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "quantity/angle.h"
#include "stations/cam_mistakes.h"
#include "stations/what_if.h"

namespace fettle::stations {
namespace {

constexpr double degree = quantity::radians_per_degree;
/// Lateness that installing by the marks may leave (common practice): less is no mistake, only to be
/// corrected.
constexpr double ordinary = 2 * degree;
constexpr double ordinary_duration = 2 * degree;

std::vector<const LobeEvidence*> with_lateness(const CamEvidence& evidence) {
  std::vector<const LobeEvidence*> lobes;
  for (const LobeEvidence& lobe : evidence.lobes) {
    if (lobe.lateness) {
      lobes.push_back(&lobe);
    }
  }
  return lobes;
}

std::vector<int> readings_of(const std::vector<const LobeEvidence*>& lobes) {
  std::vector<int> readings;
  for (const LobeEvidence* lobe : lobes) {
    readings.insert(readings.end(), lobe->readings.begin(), lobe->readings.end());
  }
  return readings;
}

std::string late_text(double lateness) {
  return fmt::format("{} {}", degrees_text(std::abs(lateness)), lateness > 0 ? "late" : "early");
}

/// Lateness common to all lobes, with the doubt of the worst of them (what they share, TDC above all, does
/// not average).
Doubtful common_lateness(const std::vector<const LobeEvidence*>& lobes) {
  std::vector<double> values;
  double expanded = 0;
  for (const LobeEvidence* lobe : lobes) {
    values.push_back(lobe->lateness->value);
    expanded = std::max(expanded, lobe->lateness->expanded);
  }
  return {median(values), expanded};
}

std::optional<Mistake> tooth_out(const Sources& sources, const std::vector<const LobeEvidence*>& lobes,
                                 const Doubtful& common) {
  const auto& set = sources.build().timing_set;
  if (!set || !set->cam_teeth) {
    return std::nullopt;
  }
  const double tooth = 4 * std::numbers::pi / *set->cam_teeth;
  const double teeth = std::round(common.value / tooth);
  const double left_over = std::abs(common.value - teeth * tooth);
  if (teeth == 0 || left_over > std::max(tooth / 3, common.expanded)) {
    return std::nullopt;
  }
  return Mistake{
      "cam.tooth_out", readings_of(lobes), std::nullopt,
      fmt::format("The whole cam stands {}; {:.0f} of the cam's {} teeth {} {}.", late_text(common.value),
                  std::abs(teeth), *set->cam_teeth, std::abs(teeth) > 1 ? "are" : "is",
                  degrees_text(std::abs(teeth) * tooth)),
      "Look at the timing marks with cylinder 1 at TDC, and set the chain or gears over by that many teeth."};
}

/// Durations and lobe separation are the card's, yet both centrelines are off: the cam's place, or TDC.
std::optional<Mistake> phase_or_tdc(const Report& report, const CamEvidence& evidence,
                                    const std::vector<const LobeEvidence*>& lobes, const Doubtful& common) {
  const auto separation = separation_error(evidence);
  const bool separation_right =
      !separation || std::abs(separation->value) <= std::max(1.0 * degree, separation->expanded);
  const bool durations_right = std::all_of(lobes.begin(), lobes.end(), [](const LobeEvidence* lobe) {
    return !lobe->duration_error || std::abs(lobe->duration_error->value) <=
                                        std::max(ordinary_duration, lobe->duration_error->expanded);
  });
  const Finding* repeated = find(report, "tdc.shift", {});
  const bool tdc_proved = repeated != nullptr && repeated->verdict != metrology::Verdict::fails;
  const bool both_valves = std::any_of(lobes.begin(), lobes.end(), [&](const LobeEvidence* lobe) {
    return lobe->key.valve != lobes.front()->key.valve;
  });
  const bool off = std::abs(common.value) > ordinary + common.expanded;
  if (!off || !both_valves || !separation_right || !durations_right || tdc_proved) {
    return std::nullopt;
  }
  return Mistake{
      "cam.phase_or_tdc", readings_of(lobes), std::nullopt,
      fmt::format(
          "Durations and lobe separation are the card's, yet every centre stands {}: the cam is phased so, "
          "or true TDC is off by as much. Cam readings cannot tell the two apart.",
          late_text(common.value)),
      "Read the stop again from both sides (as pass 2) before you move the cam."};
}

std::vector<Mistake> one_lobe_off(const std::vector<const LobeEvidence*>& lobes) {
  std::vector<Mistake> mistakes;
  constexpr std::size_t fewest = 4;
  if (lobes.size() < fewest) {
    return mistakes;
  }
  const Doubtful common = common_lateness(lobes);
  for (const LobeEvidence* lobe : lobes) {
    // Valves are held against their own kind where there are enough: a wrong lobe separation is not one
    // lobe's fault.
    std::vector<double> kind;
    for (const LobeEvidence* other : lobes) {
      if (other != lobe && other->key.valve == lobe->key.valve) {
        kind.push_back(other->lateness->value);
      }
    }
    const double usual = kind.size() >= 2 ? median(kind) : common.value;
    const double off = lobe->lateness->value - usual;
    if (std::abs(off) > ordinary + lobe->lateness->expanded) {
      mistakes.push_back(
          {"cam.one_lobe_off", lobe->readings, lobe->key.cylinder,
           fmt::format("The {} stands {} against the others, which agree: its reading, the lobe's indexing, "
                       "or its lifter bore.",
                       lobe_text(lobe->key), late_text(off)),
           "Read this lobe again with the indicator set up anew, in line with the lifter."});
    }
  }
  return mistakes;
}

/// The lobes of intake and exhaust apart, where there are any.
std::vector<std::vector<const LobeEvidence*>> by_valve(const std::vector<const LobeEvidence*>& lobes) {
  std::vector<std::vector<const LobeEvidence*>> cams;
  for (const build::Valve valve : {build::Valve::intake, build::Valve::exhaust}) {
    std::vector<const LobeEvidence*> own;
    for (const LobeEvidence* lobe : lobes) {
      if (lobe->key.valve == valve) {
        own.push_back(lobe);
      }
    }
    if (!own.empty()) {
      cams.push_back(std::move(own));
    }
  }
  return cams;
}

}  // namespace

std::vector<Mistake> phase_mistakes(const Sources& sources, const Report& report,
                                    const CamEvidence& evidence) {
  std::vector<Mistake> mistakes;
  const auto lobes = with_lateness(evidence);
  if (lobes.empty()) {
    return mistakes;
  }
  if (cams_set_apart(sources.build())) {
    for (const auto& cam : by_valve(lobes)) {
      if (auto tooth = tooth_out(sources, cam, common_lateness(cam))) {
        mistakes.push_back(std::move(*tooth));
      }
    }
  } else if (const Doubtful common = common_lateness(lobes); auto tooth = tooth_out(sources, lobes, common)) {
    mistakes.push_back(std::move(*tooth));
  } else if (auto phase = phase_or_tdc(report, evidence, lobes, common)) {
    mistakes.push_back(std::move(*phase));
  }
  for (Mistake& lobe : one_lobe_off(lobes)) {
    mistakes.push_back(std::move(lobe));
  }
  return mistakes;
}

}  // namespace fettle::stations
