#include "stations/train_parts.h"

#include <algorithm>
#include <array>

#include "stations/card_lobe.h"
#include "stations/spring_state.h"
#include "stations/train_state.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
using build::Valve;
using build::WeighedItem;

constexpr double working_part = 0.7;  // of a spring that was weighed and whose wire is not known

std::shared_ptr<const metrology::PeriodicSpline> scaled(
    const std::shared_ptr<const metrology::PeriodicSpline>& curve, double factor) {
  return factor == 1 ? curve
                     : std::make_shared<const metrology::PeriodicSpline>(
                           curve->with_coefficients(factor * curve->coefficients()));
}

std::optional<TrainLobe> swept_lobe(const Observed& observed, const LobeKey& key, double ratio) {
  const auto& lobes = observed.sources().inventory().lobes;
  const auto of = [&](const LobeKey& one) -> std::optional<TrainLobe> {
    const auto found = lobes.find(one);
    if (found == lobes.end()) {
      return std::nullopt;
    }
    for (const int place : found->second.sweeps) {
      const FittedSweep* fitted = observed.sources().sweep(place);
      if (fitted == nullptr || !fitted->reduced->reduction.base_measured) {
        continue;
      }
      const bool at_valve = observed.reading(place).measured_at == build::MeasuredAt::valve;
      const double factor = at_valve ? 1 / ratio : 1;
      TrainLobe lobe;
      lobe.curve = scaled(
          std::shared_ptr<const metrology::PeriodicSpline>(fitted->reduced, &fitted->reduced->fit.fit.curve),
          factor);
      lobe.base_level = factor * fitted->reduced->reduction.base_level;
      lobe.top = fitted->reduced->reduction.top;
      const auto nose = fitted->follower.find(FollowerFeature::nose_acceleration);
      if (nose != fitted->follower.end()) {
        lobe.acceleration = observed.input(nose->second) / observed.sources().estimates()[nose->second];
      }
      lobe.says = "lobe as swept";
      return lobe;
    }
    return std::nullopt;
  };
  if (auto own = of(key)) {
    return own;
  }
  for (const auto& [other, readings] : lobes) {
    if (other.valve == key.valve) {
      if (auto lobe = of(other)) {
        return lobe;
      }
    }
  }
  return std::nullopt;
}

}  // namespace

const build::TrainParts& train_parts(const build::Build& build, Valve valve) {
  static const build::TrainParts none;
  const auto& parts = valve == Valve::intake ? build.valve_train->intake : build.valve_train->exhaust;
  return parts ? *parts : none;
}

std::optional<double> weighed_part(const Observed& observed, WeighedItem item, const LobeKey& key) {
  std::array<double, 3> sums{};
  std::array<int, 3> counts{};
  for (const int place : observed.sources().inventory().of(ReadingKind::part_weight)) {
    const build::Reading& reading = observed.reading(place);
    if (reading.item != item || (reading.valve && reading.valve != key.valve)) {
      continue;
    }
    const std::size_t rank = !reading.cylinder ? 1 : *reading.cylinder == key.cylinder ? 0 : 2;
    sums[rank] += observed.amount(place, Amount::mass);
    ++counts[rank];
  }
  for (std::size_t rank = 0; rank < counts.size(); ++rank) {
    if (counts[rank] > 0) {
      return sums[rank] / counts[rank];
    }
  }
  return std::nullopt;
}

std::optional<TrainLobe> train_lobe(const Observed& observed, const LobeKey& key, double ratio) {
  if (auto swept = swept_lobe(observed, key, ratio)) {
    return swept;
  }
  const auto card = card_lobe(observed.build(), key.valve, observed.sources().memory());
  if (!card || !card->curve) {
    return std::nullopt;
  }
  const bool at_valve = observed.build().cam->card->basis == build::LiftBasis::valve;
  TrainLobe lobe;
  const std::shared_ptr<const metrology::PeriodicSpline> curve(card, &*card->curve);
  lobe.curve = scaled(curve, at_valve ? 1 / ratio : 1);
  // The greatest lift stands between the start and the end of lift.
  constexpr int steps = 720;
  lobe.top = card->lift_start;
  for (int i = 1; i < steps; ++i) {
    const double x = card->lift_start + i * (card->lift_end - card->lift_start) / steps;
    lobe.top = curve->value(x) > curve->value(lobe.top) ? x : lobe.top;
  }
  lobe.synthesised = true;
  lobe.says = "lobe of the card, synthesised";
  return lobe;
}

TrainSprings train_springs(const Observed& observed, const LobeKey& key, double lift) {
  TrainSprings springs;
  const SpringState state = spring_state(observed, key);
  if (!state.height || !state.characteristic) {
    springs.needs = !state.height ? "the spring's installed height" : "the spring's load at two heights";
    return springs;
  }
  const auto& read = *state.characteristic;
  const build::SpringSpec* spec = spring_spec(observed.build(), key.valve);
  const WoundSet wound =
      spec != nullptr
          ? wound_set(*spec, read.free_height(), observed.sheet_error(SheetFigure::wire_diameter, key.valve))
          : WoundSet{};
  double mass = 0;
  double active = 0;
  for (const auto& spring : wound.springs) {
    mass += mechanism::wound_mass(spring);
    active += mechanism::wound_active_mass(spring);
  }
  auto whole = weighed_part(observed, WeighedItem::spring, key);
  const auto& typed = train_parts(observed.build(), key.valve).spring;
  whole = whole || !typed ? whole : std::optional(typed->si());
  if (!whole && !(mass > 0)) {
    springs.needs = "the weight of a spring, or its wire (springs.coils)";
    return springs;
  }
  const double part = mass > 0 ? active / mass : working_part;
  const double weight = whole.value_or(mass);
  springs.idle_mass = 0.5 * (1 - part) * weight;
  const double rate = read.rate(*state.height);
  const double bend = lift > 0 ? (read.rate(*state.height - lift) - rate) / (2 * lift) : 0;
  const std::size_t count = wound.springs.size() == 2 ? 2 : 1;
  double all_rates = 0;
  std::array<double, 2> rates{1, 0};
  for (std::size_t i = 0; i < count && count == 2; ++i) {
    rates[i] = mechanism::wound_rate(wound.springs[i], 0).value_or(1);
  }
  all_rates = rates[0] + rates[1];
  for (std::size_t i = 0; i < count; ++i) {
    mechanism::ChainSpring spring;
    // Loads and rates read are those of the set; its springs share them as their wires' rates do.
    const double share = rates[i] / all_rates;
    spring.load = share * read.load(*state.height);
    spring.rate = share * rate;
    spring.bend = share * bend;
    spring.active_mass =
        part * weight * (count == 2 ? mechanism::wound_active_mass(wound.springs[i]) / active : 1.0);
    if (state.solid_height && *state.solid_height < *state.height) {
      spring.travel_to_solid = *state.height - *state.solid_height;
    }
    springs.chain.push_back(spring);
  }
  return springs;
}

}  // namespace fettle::stations
