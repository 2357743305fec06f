#include "stations/deck_state.h"

#include <algorithm>
#include <array>
#include <numeric>

#include "build/layout.h"
#include "stations/head_height.h"
#include "stations/part_places.h"

namespace fettle::stations {
namespace {

using build::PistonPlace;
using build::ReadingKind;

PistonPlace place_of(const build::Reading& reading) {
  return reading.place.value_or(PistonPlace::on_axis);
}

bool over_the_pin(PistonPlace place) {
  return place != PistonPlace::inboard && place != PistonPlace::outboard;
}

/// Mean over the readings of a cylinder at the places asked for, the deck as it is cut now.
template <class Wanted>
std::optional<double> mean_below(const Observed& observed, int cylinder, Wanted wanted) {
  double sum = 0;
  int count = 0;
  for (const int place : deck_readings(observed.sources(), cylinder)) {
    const build::Reading& reading = observed.reading(place);
    if (!wanted(place_of(reading))) {
      continue;
    }
    const double cut_then = reading.cut ? reading.cut->si() : deck_cut(observed.sources().build());
    sum += observed.amount(place, Amount::below) - (deck_cut(observed.build()) - cut_then);
    ++count;
  }
  return count > 0 ? std::optional(sum / count) : std::nullopt;
}

}  // namespace

std::vector<std::vector<int>> banks_of(const build::Build& build) {
  if (!build.engine.banks.empty()) {
    return build.engine.banks;
  }
  const auto layout = build::parse_layout(build.engine.layout);
  if (!layout || layout->arrangement != build::Arrangement::in_line) {
    return {};
  }
  std::vector<int> bank(static_cast<std::size_t>(layout->cylinders));
  std::iota(bank.begin(), bank.end(), 1);
  return {bank};
}

std::vector<int> deck_readings(const Sources& sources, int cylinder) {
  std::vector<int> places;
  for (const int place : sources.inventory().of(ReadingKind::deck_clearance)) {
    if (sources.build().readings[static_cast<std::size_t>(place)].cylinder == cylinder) {
      places.push_back(place);
    }
  }
  return places;
}

std::optional<DeckClearance> read_deck(const Observed& observed, int cylinder) {
  const auto readings = deck_readings(observed.sources(), cylinder);
  const bool other = std::any_of(readings.begin(), readings.end(), [&](int place) {
    return !piston_stayed(observed, observed.reading(place));
  });
  const std::string with = "read with another piston, taken to stand as high";
  if (const auto below = mean_below(observed, cylinder, over_the_pin)) {
    return DeckClearance{*below, other ? with : "", other};
  }
  const auto edges = mean_below(observed, cylinder, [](PistonPlace) { return true; });
  return edges ? std::optional(
                     DeckClearance{*edges, other ? with : "read at the edges, where the piston rocks", other})
               : std::nullopt;
}

std::optional<double> deck_at(const Observed& observed, int cylinder, PistonPlace place) {
  return mean_below(observed, cylinder, [place](PistonPlace other) { return other == place; });
}

std::optional<double> computed_deck(const Observed& observed) {
  const build::Build& build = observed.build();
  if (!build.deck || !build.deck->height || !build.crowns || !build.crowns->compression_height) {
    return std::nullopt;
  }
  const auto& crank = observed.sources().crank();
  return build.deck->height->si() - deck_cut(build) - crank.height(crank.tdc_throw_angle()) -
         build.crowns->compression_height->si();
}

}  // namespace fettle::stations
