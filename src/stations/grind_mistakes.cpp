#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "build/names.h"
#include "quantity/angle.h"
#include "stations/cam_mistakes.h"

namespace fettle::stations {
namespace {

using build::Valve;
constexpr double degree = quantity::radians_per_degree;

/// Mean of one kind of evidence over the lobes of one valve, with the doubt of the worst of them; and how
/// many.
struct OverLobes {
  Doubtful mean;
  std::size_t count = 0;
  std::vector<int> readings;
};

template <class Part>
OverLobes over_lobes(const CamEvidence& evidence, Valve valve, Part part) {
  OverLobes all;
  for (const LobeEvidence& lobe : evidence.lobes) {
    const std::optional<Doubtful> one = lobe.key.valve == valve ? part(lobe) : std::nullopt;
    if (one) {
      all.mean.value += one->value;
      all.mean.expanded = std::max(all.mean.expanded, one->expanded);
      ++all.count;
      all.readings.insert(all.readings.end(), lobe.readings.begin(), lobe.readings.end());
    }
  }
  if (all.count > 0) {
    all.mean.value /= static_cast<double>(all.count);
  }
  return all;
}

/// More than the doubt and more than what is of any consequence.
bool beyond(const Doubtful& value, double consequence) {
  return std::abs(value.value) > std::max(consequence, value.expanded);
}

/// Closing early with the opening right, and the running springs on: the cam is driven past its chain by the
/// springs.
std::optional<Mistake> overrun(const Sources& sources, const CamEvidence& evidence, Valve valve) {
  if (sources.build().springs_fitted != build::SpringsFitted::running) {
    return std::nullopt;
  }
  const auto closing =
      over_lobes(evidence, valve, [](const LobeEvidence& lobe) { return lobe.closing_late; });
  const auto opening =
      over_lobes(evidence, valve, [](const LobeEvidence& lobe) { return lobe.opening_late; });
  if (closing.count == 0 || opening.count == 0) {
    return std::nullopt;
  }
  const Doubtful shortened{closing.mean.value - opening.mean.value, closing.mean.expanded};
  if (shortened.value > 0 || !beyond(shortened, 1.5 * degree)) {
    return std::nullopt;
  }
  return Mistake{
      "cam.overrun", closing.readings, std::nullopt,
      fmt::format(
          "The {} lobes close {} early for when they open, with the running springs on: past the nose the "
          "springs push the cam ahead through the slack of its drive.",
          build::word(valve), degrees_text(-shortened.value)),
      "Take the closing flanks again with light checking springs, or hold the crank against the cam."};
}

std::optional<Mistake> wrong_duration(const CamEvidence& evidence, Valve valve) {
  const auto duration =
      over_lobes(evidence, valve, [](const LobeEvidence& lobe) { return lobe.duration_error; });
  if (duration.count == 0 || !beyond(duration.mean, 2 * degree)) {
    return std::nullopt;
  }
  return Mistake{
      "cam.grind", duration.readings, std::nullopt,
      fmt::format(
          "The {} lobes are {} {} than the card's at the same check lift: another grind, another card, or "
          "lifts counted elsewhere (lobe or valve, with or without lash).",
          build::word(valve), degrees_text(std::abs(duration.mean.value)),
          duration.mean.value > 0 ? "longer" : "shorter"),
      "Compare the number ground into the cam with its card, and the card's check lift with yours."};
}

std::optional<Mistake> wrong_separation(const CamEvidence& evidence) {
  const auto error = separation_error(evidence);
  if (!error || !beyond(*error, 1 * degree)) {
    return std::nullopt;
  }
  std::vector<int> readings;
  for (const LobeEvidence& lobe : evidence.lobes) {
    readings.insert(readings.end(), lobe.readings.begin(), lobe.readings.end());
  }
  return Mistake{
      "cam.separation", std::move(readings), std::nullopt,
      fmt::format(
          "The lobes stand {} {} apart than the card says. No setting of the cam changes that: the grind or "
          "the card is another one, or one kind of lobe was read with another basis.",
          degrees_text(std::abs(error->value)), error->value > 0 ? "farther" : "less far"),
      "Compare the number ground into the cam with its card; read one intake and one exhaust lobe again."};
}

std::optional<Mistake> asymmetric(const CamEvidence& evidence, Valve valve) {
  const auto asymmetry = over_lobes(evidence, valve, [](const LobeEvidence& lobe) { return lobe.asymmetry; });
  const bool agree = std::all_of(evidence.lobes.begin(), evidence.lobes.end(), [&](const LobeEvidence& lobe) {
    return lobe.key.valve != valve || !lobe.asymmetry || lobe.asymmetry->value * asymmetry.mean.value > 0;
  });
  if (asymmetry.count < 2 || !agree || !beyond(asymmetry.mean, 1 * degree)) {
    return std::nullopt;
  }
  return Mistake{
      "cam.asymmetric_lobe", asymmetry.readings, std::nullopt,
      fmt::format(
          "On every {} lobe read, the midpoint at 0.050 in lies {} {} the place of the greatest lift: the "
          "lobes are asymmetric. Midpoint and top are then two different centrelines.",
          build::word(valve), degrees_text(std::abs(asymmetry.mean.value)),
          asymmetry.mean.value > 0 ? "after" : "before"),
      "Ask the card how its centreline is counted, and hold the like against the like."};
}

/// Lift off in proportion while the centre is right; `which` names the lobes it was found on.
std::optional<Mistake> wrong_lift(const Sources& sources, Valve valve, const OverLobes& lift,
                                  const std::string& which, std::optional<int> cylinder) {
  const double ratio = lift.mean.value;
  const auto& rockers = sources.build().rockers;
  const auto rocker =
      rockers ? (valve == Valve::intake ? rockers->intake_ratio : rockers->exhaust_ratio) : std::nullopt;
  constexpr double ratio_match = 0.04;
  const double usual_ratio = rocker.value_or(1.5);
  const bool valve_for_lobe = std::abs(ratio / usual_ratio - 1) < ratio_match;
  const bool lobe_for_valve = std::abs(ratio * usual_ratio - 1) < ratio_match;
  if (valve_for_lobe || lobe_for_valve) {
    return Mistake{
        "cam.valve_for_lobe", lift.readings, cylinder,
        fmt::format(
            "Lift of {} is {:.2f} of the card's, about the rocker's ratio: {} was measured, {} is what "
            "the card counts.",
            which, ratio, valve_for_lobe ? "the valve" : "the lobe",
            valve_for_lobe ? "the lobe" : "the valve"),
        "State where the indicator stood (measured_at), or where the card counts (basis)."};
  }
  // An indicator out of line reads too much, lift over cosine, or too little where its tip cannot slide. Less
  // than this is nobody's fault.
  constexpr double consequence = 0.004;
  if (!beyond({ratio - 1, lift.mean.expanded}, consequence)) {
    return std::nullopt;
  }
  constexpr double most_tilt = 20 * degree;
  const double tilt = std::acos(std::clamp(std::min(ratio, 1 / ratio), 0.0, 1.0));
  if (tilt > most_tilt) {
    return Mistake{
        "cam.lift_off", lift.readings, cylinder,
        fmt::format(
            "Lift of {} is {:.3f} of the card's: another grind, a worn lobe, or an indicator that did not "
            "follow.",
            which, ratio),
        "Read the greatest lift again with the indicator set up anew."};
  }
  return Mistake{
      "cam.indicator_tilt", lift.readings, cylinder,
      fmt::format(
          "Lift of {} is {:.3f} of the card's while the centres are where they should be: an indicator "
          "{:.0f} deg out of line would read so.",
          which, ratio, tilt / degree),
      "Set the indicator's stem in line with the lifter and read the greatest lift again."};
}

/// All lobes of a valve alike, else each lobe that stands out.
std::vector<Mistake> wrong_lifts(const Sources& sources, const CamEvidence& evidence, Valve valve) {
  const auto ratio_of = [](const LobeEvidence& lobe) { return lobe.lift_over_card; };
  const auto all = over_lobes(evidence, valve, ratio_of);
  std::vector<Mistake> mistakes;
  std::vector<Mistake> single;
  for (const LobeEvidence& lobe : evidence.lobes) {
    if (lobe.key.valve == valve && lobe.lift_over_card) {
      const OverLobes one{*lobe.lift_over_card, 1, lobe.readings};
      if (auto mistake = wrong_lift(sources, valve, one, "the " + lobe_text(lobe.key), lobe.key.cylinder)) {
        single.push_back(std::move(*mistake));
      }
    }
  }
  const bool widespread = all.count > 1 && 2 * single.size() > all.count;
  if (!widespread) {
    return single;
  }
  if (auto mistake =
          wrong_lift(sources, valve, all, fmt::format("the {} lobes", build::word(valve)), std::nullopt)) {
    mistakes.push_back(std::move(*mistake));
  }
  return mistakes;
}

}  // namespace

std::vector<Mistake> grind_mistakes(const Sources& sources, const CamEvidence& evidence) {
  std::vector<Mistake> mistakes;
  const auto add = [&](std::optional<Mistake> mistake) {
    if (mistake) {
      mistakes.push_back(std::move(*mistake));
    }
  };
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    auto lifts = wrong_lifts(sources, evidence, valve);
    const bool other_basis = std::any_of(lifts.begin(), lifts.end(),
                                         [](const Mistake& lift) { return lift.id == "cam.valve_for_lobe"; });
    // Lifts counted elsewhere change the durations, a cam running ahead changes durations and midpoints:
    // neither says anything of the grind.
    if (auto running = overrun(sources, evidence, valve)) {
      mistakes.push_back(std::move(*running));
    } else {
      add(other_basis ? std::nullopt : wrong_duration(evidence, valve));
      add(asymmetric(evidence, valve));
    }
    mistakes.insert(mistakes.end(), lifts.begin(), lifts.end());
  }
  add(wrong_separation(evidence));
  return mistakes;
}

}  // namespace fettle::stations
