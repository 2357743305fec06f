#include "stations/fastener_state.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>
#include <set>
#include <stdexcept>

namespace fettle::stations {
namespace {

using build::BoltStage;
using build::Finish;
using build::Reading;
using build::ReadingKind;

constexpr std::array bolt_kinds{ReadingKind::bolt_length, ReadingKind::bolt_torque, ReadingKind::bolt_turn};

mechanism::ThreadFinish finish_of(Finish finish) {
  switch (finish) {
    case Finish::black:
      return mechanism::ThreadFinish::black;
    case Finish::zinc_plated:
      return mechanism::ThreadFinish::zinc_plated;
    case Finish::lubricated:
      return mechanism::ThreadFinish::lubricated;
    case Finish::cadmium_plated:
      return mechanism::ThreadFinish::cadmium_plated;
  }
  throw std::invalid_argument("finish_of: no such finish");
}

double or_none(const std::optional<quantity::Length>& length) {
  return length ? length->si() : 0;
}

/// Mean of the lengths of one stage, each with its torque.
std::optional<double> mean_length(const Observed& observed, const std::vector<int>& places) {
  if (places.empty()) {
    return std::nullopt;
  }
  double sum = 0;
  for (const int place : places) {
    sum += observed.amount(place, Amount::size);
  }
  return sum / static_cast<double>(places.size());
}

/// Readings taken tight, by the torque typed (0 where none was).
std::map<double, std::vector<int>> by_torque(const Observed& observed, const std::vector<int>& tight) {
  std::map<double, std::vector<int>> groups;
  for (const int place : tight) {
    const Reading& reading = observed.reading(place);
    groups[reading.torque ? reading.torque->si() : 0].push_back(place);
  }
  return groups;
}

/// The means of torque and nut factor over readings that have them.
void take_torque(const Observed& observed, const std::vector<int>& places, BoltReadings& bolt) {
  double torque = 0;
  double factor = 0;
  int count = 0;
  for (const int place : places) {
    if (observed.reading(place).torque) {
      torque += observed.amount(place, Amount::torque);
      factor += observed.amount(place, Amount::nut_factor);
      ++count;
    }
  }
  if (count > 0) {
    bolt.torque = torque / count;
    bolt.nut_factor = factor / count;
  }
}

}  // namespace

double nut_factor_of(const build::Fastener& fastener) {
  return fastener.nut_factor.value_or(
      mechanism::nut_factor(finish_of(fastener.finish.value_or(Finish::lubricated))));
}

std::optional<mechanism::Bolt> bolt_of(const build::Fastener& fastener) {
  const auto form = fastener.thread == build::ThreadKind::metric ? mechanism::ThreadForm::metric
                                                                 : mechanism::ThreadForm::unified;
  constexpr double modulus_of_steel = 207e9;
  const double shank = fastener.shank_diameter ? fastener.shank_diameter->si() : fastener.diameter.si();
  mechanism::Bolt bolt;
  bolt.nominal_diameter = fastener.diameter.si();
  // Validation leaves every thread a core.
  bolt.stress_area = mechanism::tensile_stress_area(form, fastener.diameter.si(), fastener.pitch.si());
  bolt.shank_area = std::numbers::pi / 4 * shank * shank;
  bolt.shank_length = or_none(fastener.shank_length);
  bolt.thread_length = or_none(fastener.thread_length);
  bolt.elastic_modulus = fastener.modulus ? fastener.modulus->si() : modulus_of_steel;
  return mechanism::bolt_problem(bolt) ? std::nullopt : std::optional(bolt);
}

std::optional<mechanism::BoltStrength> strength_of(const build::Fastener& fastener) {
  auto strength = fastener.grade ? mechanism::bolt_strength(*fastener.grade) : std::nullopt;
  if (!strength && fastener.proof_strength && fastener.yield_strength) {
    strength.emplace();
  }
  if (strength && fastener.proof_strength) {
    strength->proof = fastener.proof_strength->si();
  }
  if (strength && fastener.yield_strength) {
    strength->yield = fastener.yield_strength->si();
  }
  return strength;
}

std::optional<double> BoltReadings::stretch() const {
  return before && tight ? std::optional(*tight - *before) : std::nullopt;
}

std::vector<int> readings_of_bolt(const Sources& sources, const BoltKey& key) {
  std::vector<int> places;
  for (const ReadingKind kind : bolt_kinds) {
    for (const int place : sources.inventory().of(kind)) {
      const Reading& reading = sources.build().readings[static_cast<std::size_t>(place)];
      if (reading.fastener == key.set && reading.number == key.number) {
        places.push_back(place);
      }
    }
  }
  return places;
}

std::vector<BoltKey> bolts_read(const Sources& sources) {
  std::set<BoltKey> keys;
  for (const ReadingKind kind : bolt_kinds) {
    for (const int place : sources.inventory().of(kind)) {
      const Reading& reading = sources.build().readings[static_cast<std::size_t>(place)];
      keys.insert({*reading.fastener, *reading.number});
    }
  }
  return {keys.begin(), keys.end()};
}

BoltReadings bolt_readings(const Observed& observed, const BoltKey& key) {
  std::vector<int> before, tight, after, torques;
  BoltReadings bolt;
  double angle = 0;
  int angles = 0;
  for (const int place : readings_of_bolt(observed.sources(), key)) {
    const Reading& reading = observed.reading(place);
    if (reading.kind == ReadingKind::bolt_torque) {
      torques.push_back(place);
    } else if (reading.kind == ReadingKind::bolt_turn) {
      angle += observed.amount(place, Amount::angle);
      ++angles;
    } else {
      (reading.stage == BoltStage::before  ? before
       : reading.stage == BoltStage::tight ? tight
                                           : after)
          .push_back(place);
    }
  }
  if (angles > 0) {
    bolt.angle = angle / angles;
  }
  bolt.before = mean_length(observed, before);
  bolt.after = mean_length(observed, after);
  take_torque(observed, torques, bolt);
  const auto groups = by_torque(observed, tight);
  for (const auto& [torque, places] : groups) {
    bolt.tight = mean_length(observed, places);
    take_torque(observed, places, bolt);
    if (torque > 0 && bolt.before && bolt.torque) {
      bolt.steps.push_back({*bolt.torque, *bolt.tight - *bolt.before});
    }
  }
  return bolt;
}

std::optional<BoltPreload> preload_of(const build::Fastener& fastener, const BoltReadings& readings) {
  const auto bolt = bolt_of(fastener);
  if (const auto stretch = readings.stretch(); stretch && bolt) {
    return BoltPreload{mechanism::preload_from_stretch(*bolt, *stretch), "from the stretch"};
  }
  if (readings.angle && bolt) {
    return BoltPreload{mechanism::preload_from_angle(*bolt, std::numeric_limits<double>::infinity(),
                                                     fastener.pitch.si(), *readings.angle),
                       "from the angle, all of it taken as stretch: at most this"};
  }
  if (readings.torque && readings.nut_factor && *readings.nut_factor > 0) {
    return BoltPreload{
        mechanism::preload_from_torque(*readings.torque, *readings.nut_factor, fastener.diameter.si()),
        "from the torque"};
  }
  return std::nullopt;
}

}  // namespace fettle::stations
