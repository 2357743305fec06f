#include <algorithm>
#include <cmath>

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

/// Readings on the two flanks at a drop from the top, more than half a turn apart from opening to closing: a
/// nose is narrower than that.
std::vector<int> drops_running_backward(const Sources& sources, const LobeReadings& readings) {
  const Observed observed(sources, sources.estimates());
  for (const int opening : readings.points) {
    for (const int closing : readings.points) {
      const build::Reading& first = observed.reading(opening);
      const build::Reading& second = observed.reading(closing);
      const bool pair = first.below_max && second.below_max && first.side == build::Side::opening &&
                        second.side == build::Side::closing &&
                        same_lift(first.below_max->si(), second.below_max->si());
      if (pair && mechanism::wrap_positive(observed.turned(closing) - observed.turned(opening), full_turn) >
                      full_turn / 2) {
        return {opening, closing};
      }
    }
  }
  return {};
}

/// Lobes whose flanks come in the wrong order by the wheel.
std::vector<int> points_running_backward(const Sources& sources, const CamEvidence& evidence) {
  std::vector<int> against;
  for (const LobeEvidence& lobe : evidence.lobes) {
    // At a check lift the duration of a lobe taken the wrong way round falls far short of the card's.
    const bool short_lobe = lobe.duration_error && lobe.duration_error->value < -60 * degree;
    const auto drops = drops_running_backward(sources, sources.inventory().lobes.at(lobe.key));
    const auto& found = short_lobe ? lobe.readings : drops;
    against.insert(against.end(), found.begin(), found.end());
  }
  return against;
}

std::optional<Mistake> mirrored(const Sources& sources, const CamEvidence& evidence) {
  std::vector<int> against = sweeps_running_backward(sources);
  const auto points = points_running_backward(sources, evidence);
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
  if (auto wheel = mirrored(sources, evidence)) {
    // Nothing further can be said of lobes read on a wheel taken the wrong way round.
    std::erase_if(evidence.lobes, [&](const LobeEvidence& lobe) {
      return std::any_of(lobe.readings.begin(), lobe.readings.end(), [&](int place) {
        return std::find(wheel->readings.begin(), wheel->readings.end(), place) != wheel->readings.end();
      });
    });
    mistakes.push_back(std::move(*wheel));
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
