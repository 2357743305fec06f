#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "build/names.h"
#include "mechanism/circular.h"
#include "quantity/angle.h"
#include "stations/cam_mistakes.h"
#include "stations/lift_basis.h"
#include "stations/limits.h"
#include "stations/observed.h"

namespace fettle::stations {
namespace {

using build::Valve;
using mechanism::full_turn;
using mechanism::wrap_centred;

constexpr double degree = quantity::radians_per_degree;
/// A cam that is merely mistimed is not this far off; another lobe is.
constexpr double least_identity_error = 24 * degree;
/// How near the error must come to the one another lobe would show: the cam itself may be some degrees off.
constexpr double match = 9 * degree;

struct Candidate {
  std::string id;
  double error = 0;
  std::string says;
};

/// Every other lobe that could have been read in place of this one, with the lateness it would show.
std::vector<Candidate> other_lobes(const Sources& sources, const LobeKey& key) {
  std::vector<Candidate> all;
  const auto& phases = sources.phases();
  for (int cylinder = 1; cylinder <= phases.cylinders(); ++cylinder) {
    const double error =
        wrap_centred(phases.crank_phase(cylinder) - phases.crank_phase(key.cylinder), full_turn);
    if (cylinder != key.cylinder && std::abs(error) > least_identity_error) {
      all.push_back({"cam.wrong_cylinder", error,
                     fmt::format("as the {} lobe of cylinder {} would", build::word(key.valve), cylinder)});
    }
  }
  const auto intake = card_centreline(sources.build(), Valve::intake);
  const auto exhaust = card_centreline(sources.build(), Valve::exhaust);
  if (intake && exhaust) {
    const bool is_intake = key.valve == Valve::intake;
    all.push_back(
        {"cam.other_valve", wrap_centred((is_intake ? -1 : 1) * (*intake + *exhaust), full_turn),
         fmt::format("as the {} lobe of the same cylinder would", is_intake ? "exhaust" : "intake")});
  }
  return all;
}

/// Everything that true TDC was found from.
std::vector<int> tdc_readings(const Inventory& inventory) {
  std::vector<int> all = inventory.tdc_sweeps;
  for (const StopGroup& stop : inventory.stops) {
    all.insert(all.end(), stop.forward.begin(), stop.forward.end());
    all.insert(all.end(), stop.backward.begin(), stop.backward.end());
  }
  for (const DropGroup& drops : inventory.drops) {
    all.insert(all.end(), drops.readings.begin(), drops.readings.end());
  }
  std::sort(all.begin(), all.end());
  return all;
}

/// By how much every lobe of several cylinders is late alike.
std::optional<double> lateness_of_all(const CamEvidence& evidence) {
  std::vector<double> errors;
  std::set<int> cylinders;
  for (const LobeEvidence& lobe : evidence.lobes) {
    if (lobe.lateness) {
      const double first = errors.empty() ? lobe.lateness->value : errors.front();
      errors.push_back(first + wrap_centred(lobe.lateness->value - first, full_turn));
      cylinders.insert(lobe.key.cylinder);
    }
  }
  if (cylinders.size() < 2) {
    return std::nullopt;
  }
  const double common = median(errors);
  const bool alike = std::all_of(errors.begin(), errors.end(),
                                 [&](double error) { return std::abs(error - common) < match; });
  return alike ? std::optional(wrap_centred(common, full_turn)) : std::nullopt;
}

/// All lobes of several cylinders off by as much as another cylinder's would be: not every lobe was mistaken,
/// but true TDC.
std::optional<Mistake> tdc_of_another_cylinder(const Sources& sources, const CamEvidence& evidence) {
  const auto common = lateness_of_all(evidence);
  if (!common || std::abs(*common) < least_identity_error) {
    return std::nullopt;
  }
  const auto& phases = sources.phases();
  for (int cylinder = 2; cylinder <= phases.cylinders(); ++cylinder) {
    if (std::abs(wrap_centred(*common + phases.crank_phase(cylinder), full_turn)) < match) {
      return Mistake{
          "tdc.wrong_cylinder", tdc_readings(sources.inventory()), std::nullopt,
          fmt::format("Every lobe stands {} {}, as if true TDC had been found on another cylinder than "
                      "was said: cylinder {} in place of cylinder 1, say.",
                      degrees_text(std::abs(*common)), *common > 0 ? "late" : "early", cylinder),
          "Look which piston the stop or indicator stands on, and state that cylinder."};
    }
  }
  return std::nullopt;
}

std::optional<Mistake> other_lobe(const Sources& sources, const LobeEvidence& lobe) {
  if (!lobe.lateness) {
    return std::nullopt;
  }
  const double error = wrap_centred(lobe.lateness->value, full_turn);
  if (std::abs(error) < least_identity_error) {
    return std::nullopt;
  }
  std::vector<Candidate> candidates = other_lobes(sources, lobe.key);
  const auto distance = [&](const Candidate& c) {
    return std::abs(wrap_centred(error - c.error, full_turn));
  };
  const auto best =
      std::min_element(candidates.begin(), candidates.end(),
                       [&](const Candidate& a, const Candidate& b) { return distance(a) < distance(b); });
  if (best == candidates.end() || distance(*best) > match) {
    return std::nullopt;
  }
  return Mistake{best->id, lobe.readings, lobe.key.cylinder,
                 fmt::format("The {} stands {} {}, {}.", lobe_text(lobe.key), degrees_text(std::abs(error)),
                             error > 0 ? "late" : "early", best->says),
                 "Turn until that cylinder's own valves rock about overlap, find the lobe from there, and "
                 "read it again. A "
                 "wheel cannot tell a cylinder from its companion, one turn later: only the label can."};
}

/// The forward sweeps of a wheel that its readings run against: the numbers fall while the crank is said to
/// turn forward.
std::vector<int> sweeps_running_backward(const Sources& sources) {
  std::vector<int> against;
  for (const auto& [key, readings] : sources.inventory().lobes) {
    for (const int place : readings.sweeps) {
      const auto points = sources.sweep_points(place);
      if (points.back().crank_angle < points.front().crank_angle) {
        against.push_back(place);
      }
    }
  }
  return against;
}

/// The two flanks of a lobe read at the same lift, or at the same drop from the top.
struct Flanks {
  int opening = 0;
  int closing = 0;
  double apart = 0;  ///< from opening to closing as the wheel counts, [0, 2π)
};

std::vector<Flanks> flanks_of(const Observed& observed, const LobeReadings& readings) {
  const auto same = [](const std::optional<build::Length>& a, const std::optional<build::Length>& b) {
    return a.has_value() == b.has_value() && (!a || same_lift(a->si(), b->si()));
  };
  std::vector<Flanks> all;
  for (const int opening : readings.points) {
    for (const int closing : readings.points) {
      const build::Reading& first = observed.reading(opening);
      const build::Reading& second = observed.reading(closing);
      if (first.side == build::Side::opening && second.side == build::Side::closing &&
          same(first.lift, second.lift) && same(first.below_max, second.below_max)) {
        all.push_back(
            {opening, closing,
             mechanism::wrap_positive(observed.turned(closing) - observed.turned(opening), full_turn)});
      }
    }
  }
  return all;
}

/// Whether the flanks are as far apart as those of the card's lobe would be on a wheel taken the wrong way
/// round: the rest of a turn. At a drop from the top that is more than half a turn, and a nose is narrower.
bool run_backward(const build::Build& build, Valve valve, const build::Reading& reading,
                  const Flanks& flanks) {
  if (reading.below_max) {
    return flanks.apart > full_turn / 2;
  }
  const auto basis = lift_basis(build, valve, reading.measured_at.value_or(build::MeasuredAt::lifter));
  for (const double lift : check_lifts(build, valve)) {
    const auto card = card_duration(build, valve, lift);
    if (card && same_lift(lift, basis.to_card(reading.lift->si()))) {
      const double to_mirrored = std::abs(flanks.apart - (full_turn - *card));
      return to_mirrored < match && std::abs(flanks.apart - *card) > 2 * match;
    }
  }
  return false;
}

/// Readings on flanks that come in the wrong order by the wheel.
std::vector<int> points_running_backward(const Sources& sources) {
  const Observed observed(sources, sources.estimates());
  std::vector<int> against;
  for (const auto& [key, readings] : sources.inventory().lobes) {
    for (const Flanks& flanks : flanks_of(observed, readings)) {
      if (run_backward(sources.build(), key.valve, observed.reading(flanks.opening), flanks)) {
        against.insert(against.end(), {flanks.opening, flanks.closing});
      }
    }
  }
  return against;
}

std::optional<Mistake> mirrored(const Sources& sources) {
  std::vector<int> against = sweeps_running_backward(sources);
  const auto points = points_running_backward(sources);
  against.insert(against.end(), points.begin(), points.end());
  if (against.empty()) {
    return std::nullopt;
  }
  return Mistake{"cam.wheel_mirrored", std::move(against), std::nullopt,
                 "The wheel's numbers fall while the crank is said to turn forward: every reading x stands "
                 "for 360 - x. The "
                 "wheel is numbered against the rotation, or these were taken turning backward.",
                 "Turn the crank forward and look: if the numbers fall, state it for the wheel (counts: "
                 "backward); if they "
                 "grow, these readings were taken backward: say so and take them again forward."};
}

}  // namespace

std::vector<Mistake> identity_mistakes(const Sources& sources, CamEvidence& evidence) {
  std::vector<Mistake> mistakes;
  if (auto wheel = mirrored(sources)) {
    // Nothing further can be said of lobes read on a wheel taken the wrong way round.
    std::erase_if(evidence.lobes, [&](const LobeEvidence& lobe) {
      return std::any_of(lobe.readings.begin(), lobe.readings.end(), [&](int place) {
        return std::find(wheel->readings.begin(), wheel->readings.end(), place) != wheel->readings.end();
      });
    });
    mistakes.push_back(std::move(*wheel));
  }
  if (auto tdc = tdc_of_another_cylinder(sources, evidence)) {
    mistakes.push_back(std::move(*tdc));
    for (LobeEvidence& lobe : evidence.lobes) {
      lobe.lateness.reset();
    }
    evidence.separation_errors.clear();
    return mistakes;
  }
  std::erase_if(evidence.lobes, [&](const LobeEvidence& lobe) {
    auto mistake = other_lobe(sources, lobe);
    if (!mistake) {
      return false;
    }
    mistakes.push_back(std::move(*mistake));
    return true;
  });
  return mistakes;
}

}  // namespace fettle::stations
