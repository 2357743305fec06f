#include "stations/bore_state.h"

#include <algorithm>
#include <array>
#include <numbers>

#include "stations/limits.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
using build::WallMaterial;

constexpr double reference = 293.15;  // K, at which lengths are stated (ISO 1)

/// A reading's diameter brought to 20 C; taken at 20 C where it does not say.
double at_reference(const Observed& observed, int place, WallMaterial material) {
  const double diameter = observed.amount(place, Amount::diameter);
  if (!observed.reading(place).temperature) {
    return diameter;
  }
  const double warmer = observed.amount(place, Amount::temperature) - reference;
  return diameter / (1 + expansion(material) * warmer);
}

/// What has been honed out of its bore since a reading was taken.
double since_read(const Observed& observed, int place, int cylinder) {
  const auto& then = observed.reading(place).honed;
  return honed(observed.build(), cylinder) -
         (then ? then->si() : honed(observed.sources().build(), cylinder));
}

}  // namespace

double expansion(WallMaterial material) {
  constexpr double per_fahrenheit = 1.8;  // per kelvin
  return (material == WallMaterial::aluminium ? 13e-6 : 6e-6) * per_fahrenheit;
}

BoreState bore_state(const Observed& observed, int cylinder) {
  const auto& bores = observed.build().bores;
  const WallMaterial walls = bores ? bores->material.value_or(WallMaterial::iron) : WallMaterial::iron;
  const auto& readings =
      observed.sources().inventory().at_spot(ReadingKind::bore_diameter, {SpotKind::cylinder, cylinder});
  BoreState state;
  state.points = diameters(observed, readings);
  for (std::size_t i = 0; i < readings.size(); ++i) {
    state.points[i].diameter =
        at_reference(observed, readings[i], walls) + since_read(observed, readings[i], cylinder);
  }
  state.piston = piston_diameter(observed, piston_in(observed.build(), cylinder));
  return state;
}

std::optional<double> piston_diameter(const Observed& observed, int piston) {
  const auto& bores = observed.build().bores;
  const WallMaterial material =
      bores ? bores->piston_material.value_or(WallMaterial::aluminium) : WallMaterial::aluminium;
  const auto& readings =
      observed.sources().inventory().at_spot(ReadingKind::piston_diameter, {SpotKind::piston, piston});
  if (readings.empty()) {
    return std::nullopt;
  }
  double sum = 0;
  for (const int place : readings) {
    sum += at_reference(observed, place, material);
  }
  return sum / static_cast<double>(readings.size());
}

std::vector<int> ring_readings(const Observed& observed, ReadingKind kind, int cylinder, build::Ring ring) {
  std::vector<int> readings;
  for (const int place : observed.sources().inventory().at_spot(kind, {SpotKind::cylinder, cylinder})) {
    if (observed.reading(place).ring == ring) {
      readings.push_back(place);
    }
  }
  return readings;
}

std::optional<double> ring_gap(const Observed& observed, int cylinder, build::Ring ring) {
  const auto readings = ring_readings(observed, ReadingKind::ring_gap, cylinder, ring);
  if (readings.empty()) {
    return std::nullopt;
  }
  double sum = 0;
  for (const int place : readings) {
    sum += observed.amount(place, Amount::gap) + std::numbers::pi * since_read(observed, place, cylinder);
  }
  return sum / static_cast<double>(readings.size());
}

std::optional<double> mean_bore(const Observed& observed, int cylinder) {
  const auto& readings =
      observed.sources().inventory().at_spot(ReadingKind::bore_diameter, {SpotKind::cylinder, cylinder});
  return readings.empty() ? std::nullopt : mean_diameter(bore_state(observed, cylinder).points);
}

bool piston_does_not_fit(const Observed& observed, int cylinder, int piston) {
  const auto bore = least_diameter(bore_state(observed, cylinder).points);
  const auto diameter = piston_diameter(observed, piston);
  const auto limit = limit_for(observed.build(), "bore.piston_clearance", {cylinder, {}, {}});
  if (!bore || !diameter || !limit) {
    return false;
  }
  const double clearance = *bore - *diameter;
  return (limit->min && clearance < *limit->min) || (limit->max && clearance > *limit->max);
}

double honed(const build::Build& build, int cylinder) {
  double sum = 0;
  if (build.bores) {
    for (const build::HonedBore& bore : build.bores->honed) {
      sum += bore.cylinder == cylinder ? bore.amount.si() : 0;
    }
  }
  return sum;
}

bool bores_concern(const Sources& sources) {
  constexpr std::array kinds{ReadingKind::bore_diameter, ReadingKind::piston_diameter, ReadingKind::ring_gap,
                             ReadingKind::ring_side};
  return sources.build().bores.has_value() || std::any_of(kinds.begin(), kinds.end(), [&](ReadingKind kind) {
           return sources.inventory().at_spots.contains(kind);
         });
}

}  // namespace fettle::stations
