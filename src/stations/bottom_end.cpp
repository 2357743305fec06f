#include "stations/bottom_end.h"

#include "stations/bottom_end_state.h"
#include "stations/diameters.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;

/// Length over diameter of a bearing by its sheet, else by its first reading; nothing where the build does
/// not give the film's load, oil and width, or the shape lies beyond the films that are worked out.
std::optional<double> film_shape(const Observed& observed, const Spot& spot) {
  const build::BearingSet* set = bearing_set(observed.build(), spot.kind);
  if (set == nullptr || !set->width || !set->load || !observed.build().bearings->oil) {
    return std::nullopt;
  }
  std::optional<double> diameter;
  const auto& journals = observed.sources().inventory().at_spot(ReadingKind::journal_diameter, spot);
  if (set->journal) {
    diameter = set->journal->si();
  } else if (!journals.empty()) {
    diameter = observed.reading(journals.front()).diameter->si();
  }
  if (!diameter) {
    return std::nullopt;
  }
  const double shape = set->width->si() / *diameter;
  return shape >= 0.1 && shape <= 4 ? std::optional(shape) : std::nullopt;
}

std::optional<double> least_film(const Observed& observed, const Spot& spot, const BearingState& state,
                                 double clearance) {
  const auto shape = film_shape(observed, spot);
  if (!shape || !state.journal) {
    return std::nullopt;
  }
  const build::BearingSet* set = bearing_set(observed.build(), spot.kind);
  const build::Oil& oil = *observed.build().bearings->oil;
  return observed.sources().memory().journal(*shape)->least_film(
      {*state.journal, set->width->si(), clearance, oil.viscosity.si(), oil.speed.si(), set->load->si()});
}

void add_shape(const Observed& observed, const Spot& spot, std::vector<Valued>& values) {
  const auto& inventory = observed.sources().inventory();
  const auto journal = diameters(observed, inventory.at_spot(ReadingKind::journal_diameter, spot));
  const auto housing = diameters(observed, inventory.at_spot(ReadingKind::housing_bore, spot));
  const auto add = [&](std::string_view quantity, const std::optional<double>& value) {
    if (value) {
      values.push_back({{bearing_id(spot, quantity), where_of(spot), ""}, *value});
    }
  };
  add("journal", mean_diameter(journal));
  add("taper", taper(journal));
  add("out_of_round", out_of_round(journal));
  add("housing_round", out_of_round(housing));
}

Group bearing_group(const Spot& spot) {
  return {[spot](const Observed& observed) {
    std::vector<Valued> values;
    const BearingState state = bearing_state(observed, spot);
    const auto add = [&](std::string_view quantity, double value, const std::string& basis) {
      values.push_back({{bearing_id(spot, quantity), where_of(spot), basis}, value});
    };
    const auto clearance = oil_clearance(state);
    if (clearance) {
      add("clearance", clearance->clearance, clearance->basis);
    }
    add_shape(observed, spot, values);
    if (state.bore && state.housing && state.walls) {
      add("cross_check", *state.bore - (*state.housing - *state.walls), "");
    }
    const auto gauged = state.bore ? state.direct() : state.crossed();
    if (state.strip && gauged) {
      add("strip_check", *state.strip - *gauged, "");
    }
    if (clearance) {
      if (const auto film = least_film(observed, spot, state, clearance->clearance)) {
        add("film", *film, "steady load, speed and oil of the build; clearance at room temperature");
      }
    }
    return values;
  }};
}

std::optional<double> mean_gap(const Observed& observed, const std::vector<int>& readings) {
  if (readings.empty()) {
    return std::nullopt;
  }
  double sum = 0;
  for (const int place : readings) {
    sum += observed.amount(place, Amount::gap);
  }
  return sum / static_cast<double>(readings.size());
}

Group gap_group(ReadingKind kind, const Spot& spot, FindingId id) {
  return {[kind, spot, id](const Observed& observed) {
    std::vector<Valued> values;
    if (const auto gap = mean_gap(observed, observed.sources().inventory().at_spot(kind, spot))) {
      const Where where = spot.kind == SpotKind::engine ? Where{} : where_of(spot);
      values.push_back({{id, where, ""}, *gap});
    }
    return values;
  }};
}

bool read(const Sources& sources, ReadingKind kind, const Spot& spot) {
  return !sources.inventory().at_spot(kind, spot).empty();
}

std::string clearance_needs(const BearingState& state) {
  if (!state.journal) {
    return "the journal's diameter, by micrometer in two directions at both ends";
  }
  return "the bore with the shells in and the cap torqued, in the vertical";
}

}  // namespace

std::vector<Group> bottom_end_station(const Sources& sources) {
  std::vector<Group> groups;
  const auto bearings = all_bearings(sources);
  if (bearings.empty()) {
    return groups;
  }
  for (const Spot& spot : bearings) {
    groups.push_back(bearing_group(spot));
  }
  groups.push_back(gap_group(ReadingKind::end_play, {}, "bottom_end.end_play"));
  for (const Spot& spot : bearings) {
    if (spot.kind == SpotKind::cylinder) {
      groups.push_back(gap_group(ReadingKind::rod_side, spot, "bottom_end.rod_side"));
    }
  }
  return groups;
}

std::vector<Missing> bottom_end_missing(const Sources& sources) {
  std::vector<Missing> missing;
  const auto bearings = all_bearings(sources);
  if (bearings.empty()) {
    return missing;
  }
  const Observed observed(sources, sources.estimates());
  for (const Spot& spot : bearings) {
    const BearingState state = bearing_state(observed, spot);
    if (!oil_clearance(state)) {
      missing.push_back({{bearing_id(spot, "clearance"), where_of(spot), ""}, clearance_needs(state)});
    }
  }
  if (!read(sources, ReadingKind::end_play, {})) {
    missing.push_back(
        {{"bottom_end.end_play", {}, ""}, "the crank levered to and fro against an indicator on its nose"});
  }
  // Two rods on a crankpin are read as a pair: once any is read, nobody is asked for each.
  if (!sources.inventory().at_spots.contains(ReadingKind::rod_side)) {
    missing.push_back(
        {{"bottom_end.rod_side", {1, {}, {}}, ""}, "the side clearance of the rods, by feeler gauge"});
  }
  return missing;
}

}  // namespace fettle::stations
