#include "stations/bottom_end_state.h"

#include <algorithm>
#include <array>
#include <stdexcept>

#include <fmt/format.h>

#include "stations/diameters.h"
#include "stations/part_places.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
using build::ShellHalf;

struct BearingIds {
  std::string_view quantity;
  FindingId main, rod;
};
constexpr std::array bearing_ids{
    BearingIds{"clearance", "bottom_end.main_clearance", "bottom_end.rod_clearance"},
    BearingIds{"journal", "bottom_end.main_journal", "bottom_end.rod_journal"},
    BearingIds{"taper", "bottom_end.main_taper", "bottom_end.rod_taper"},
    BearingIds{"out_of_round", "bottom_end.main_out_of_round", "bottom_end.rod_out_of_round"},
    BearingIds{"housing_round", "bottom_end.main_housing_round", "bottom_end.rod_housing_round"},
    BearingIds{"cross_check", "bottom_end.main_cross_check", "bottom_end.rod_cross_check"},
    BearingIds{"strip_check", "bottom_end.main_strip_check", "bottom_end.rod_strip_check"},
    BearingIds{"film", "bottom_end.main_film", "bottom_end.rod_film"},
};

const std::vector<int>& readings_of(const Observed& observed, ReadingKind kind, const Spot& spot) {
  return observed.sources().inventory().at_spot(kind, spot);
}

/// Readings of a housing: those of the main, or of the rod that stands in the cylinder now, wherever it stood
/// when they were taken.
std::vector<int> housing_readings(const Observed& observed, ReadingKind kind, const Spot& spot) {
  const auto found = observed.sources().inventory().at_spots.find(kind);
  if (spot.kind == SpotKind::main || found == observed.sources().inventory().at_spots.end()) {
    return readings_of(observed, kind, spot);
  }
  const int rod = rod_in(observed.build(), spot.number);
  std::vector<int> readings;
  for (const auto& [other, places] : found->second) {
    for (const int place : places) {
      if (other.kind == SpotKind::cylinder && rod_of(observed, observed.reading(place)) == rod) {
        readings.push_back(place);
      }
    }
  }
  return readings;
}

/// A strip lies between one journal and one rod: it counts while they are together.
std::vector<int> strip_readings(const Observed& observed, const Spot& spot) {
  std::vector<int> readings = readings_of(observed, ReadingKind::film_strip, spot);
  if (spot.kind == SpotKind::cylinder) {
    std::erase_if(readings, [&](int place) {
      return rod_of(observed, observed.reading(place)) != rod_in(observed.build(), spot.number);
    });
  }
  return readings;
}

/// By how much a reading that depends on the shells moves because others are fitted now than were then.
double since_read(const Observed& observed, int place, const Spot& spot) {
  const build::Reading& reading = observed.reading(place);
  const double then = reading.shells ? reading.shells->si()
                                     : fitted_shells(observed.sources().build(), spot_of(reading)).pair();
  return fitted_shells(observed.build(), spot).pair() - then;
}

std::optional<double> bore_with_shells(const Observed& observed, const Spot& spot) {
  const auto readings = housing_readings(observed, ReadingKind::bearing_bore, spot);
  std::vector<DiameterAt> points = diameters(observed, readings);
  for (std::size_t i = 0; i < points.size(); ++i) {
    points[i].diameter += since_read(observed, readings[i], spot);
  }
  return vertical_diameter(points);
}

/// Mean wall of one half as a standard shell would have it; a shell whose half was not said counts for both.
std::optional<double> standard_wall(const Observed& observed, const Spot& spot, ShellHalf half) {
  const ShellSizes then = fitted_shells(observed.sources().build(), spot);
  double sum = 0;
  int count = 0;
  for (const int place : readings_of(observed, ReadingKind::shell_wall, spot)) {
    const build::Reading& reading = observed.reading(place);
    if (reading.half && *reading.half != half) {
      continue;
    }
    const double fitted = !reading.half                       ? then.pair()
                          : *reading.half == ShellHalf::upper ? then.upper
                                                              : then.lower;
    // A half gives half of what its pair does.
    sum += observed.amount(place, Amount::wall) + (reading.shells ? reading.shells->si() : fitted) / 2;
    ++count;
  }
  return count == 0 ? std::nullopt : std::optional(sum / count);
}

std::optional<double> both_walls(const Observed& observed, const Spot& spot) {
  auto upper = standard_wall(observed, spot, ShellHalf::upper);
  auto lower = standard_wall(observed, spot, ShellHalf::lower);
  if (!upper && !lower) {
    return std::nullopt;
  }
  upper = upper ? upper : lower;
  lower = lower ? lower : upper;
  return *upper + *lower - fitted_shells(observed.build(), spot).pair();
}

std::optional<double> strip_clearance(const Observed& observed, const Spot& spot) {
  const auto readings = strip_readings(observed, spot);
  if (readings.empty()) {
    return std::nullopt;
  }
  double sum = 0;
  for (const int place : readings) {
    sum += observed.amount(place, Amount::gap) + since_read(observed, place, spot);
  }
  return sum / static_cast<double>(readings.size());
}

}  // namespace

std::optional<double> BearingState::direct() const {
  return bore && journal ? std::optional(*bore - *journal) : std::nullopt;
}

std::optional<double> BearingState::crossed() const {
  return housing && walls && journal ? std::optional(*housing - *walls - *journal) : std::nullopt;
}

BearingState bearing_state(const Observed& observed, const Spot& spot) {
  BearingState state;
  state.journal =
      mean_diameter(diameters(observed, readings_of(observed, ReadingKind::journal_diameter, spot)));
  state.bore = bore_with_shells(observed, spot);
  state.housing =
      vertical_diameter(diameters(observed, housing_readings(observed, ReadingKind::housing_bore, spot)));
  state.walls = both_walls(observed, spot);
  state.strip = strip_clearance(observed, spot);
  return state;
}

std::optional<OilClearance> oil_clearance(const BearingState& state) {
  if (const auto direct = state.direct()) {
    return OilClearance{*direct, "bore with the shells in, less journal"};
  }
  if (const auto crossed = state.crossed()) {
    return OilClearance{*crossed, "housing less two walls less journal"};
  }
  return state.strip ? std::optional(OilClearance{*state.strip, "crushed strip"}) : std::nullopt;
}

const build::BearingSet* bearing_set(const build::Build& build, SpotKind kind) {
  if (!build.bearings) {
    return nullptr;
  }
  const auto& set = kind == SpotKind::main ? build.bearings->main : build.bearings->rod;
  return set ? &*set : nullptr;
}

ShellSizes fitted_shells(const build::Build& build, const Spot& spot) {
  ShellSizes sizes;
  if (const build::BearingSet* set = bearing_set(build, spot.kind)) {
    for (const build::FittedShells& shells : set->fitted) {
      if (shells.number == spot.number) {
        sizes = {shells.upper ? shells.upper->si() : 0, shells.lower ? shells.lower->si() : 0};
      }
    }
  }
  return sizes;
}

std::vector<Spot> all_bearings(const Sources& sources) {
  constexpr std::array kinds{ReadingKind::journal_diameter, ReadingKind::housing_bore,
                             ReadingKind::bearing_bore,     ReadingKind::shell_wall,
                             ReadingKind::film_strip,       ReadingKind::end_play,
                             ReadingKind::rod_side};
  const auto& bearings = sources.build().bearings;
  bool concerned = bearings.has_value();
  int mains = bearings && bearings->mains ? *bearings->mains : 0;
  for (const ReadingKind kind : kinds) {
    const auto found = sources.inventory().at_spots.find(kind);
    if (found == sources.inventory().at_spots.end()) {
      continue;
    }
    concerned = true;
    for (const auto& [spot, readings] : found->second) {
      mains = spot.kind == SpotKind::main ? std::max(mains, spot.number) : mains;
    }
  }
  std::vector<Spot> spots;
  if (!concerned) {
    return spots;
  }
  for (int number = 1; number <= mains; ++number) {
    spots.push_back({SpotKind::main, number});
  }
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    spots.push_back({SpotKind::cylinder, cylinder});
  }
  return spots;
}

Where where_of(const Spot& spot) {
  Where where;
  (spot.kind == SpotKind::main ? where.main : where.cylinder) = spot.number;
  return where;
}

std::string bearing_text(const Spot& spot) {
  return spot.kind == SpotKind::main ? fmt::format("main {}", spot.number)
                                     : fmt::format("the rod of cylinder {}", spot.number);
}

FindingId bearing_id(const Spot& spot, std::string_view quantity) {
  const auto ids = std::find_if(bearing_ids.begin(), bearing_ids.end(),
                                [&](const BearingIds& one) { return one.quantity == quantity; });
  if (ids == bearing_ids.end()) {
    throw std::invalid_argument(fmt::format("bearing_id: bearings have no {}", quantity));
  }
  return spot.kind == SpotKind::main ? ids->main : ids->rod;
}

}  // namespace fettle::stations
