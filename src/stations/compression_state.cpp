#include "stations/compression_state.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "stations/bore_state.h"
#include "stations/deck_state.h"
#include "stations/head_height.h"
#include "stations/limits.h"
#include "stations/valve_motion.h"
#include "stations/what_if.h"

namespace fettle::stations {
namespace {

using build::Build;
using build::ReadingKind;
using build::Valve;

constexpr double inch = 0.0254;

std::optional<Known> chamber_of(const Observed& observed, int cylinder) {
  const Build& now = observed.build();
  const Build& when_read = observed.sources().build();
  const double area = now.chamber && now.chamber->area ? now.chamber->area->si() : 0;
  double sum = 0;
  const auto fills = readings_of(observed.sources(), ReadingKind::chamber_fill, cylinder);
  for (const int place : fills) {
    const auto& then = observed.reading(place).milled;
    const double since = milled(now) - (then ? then->si() : milled(when_read));
    sum += observed.amount(place, Amount::volume) - area * since;
  }
  if (!fills.empty()) {
    return Known{sum / static_cast<double>(fills.size()), ""};
  }
  if (now.chamber && now.chamber->volume) {
    return Known{now.chamber->volume->si() - area * milled(now), "chamber as its maker has it"};
  }
  return std::nullopt;
}

/// Readings of one kind of one piston, wherever it stood.
std::vector<int> fills_of(const Observed& observed, ReadingKind kind, int piston) {
  std::vector<int> places;
  for (const int place : observed.sources().inventory().of(kind)) {
    if (piston_of(observed, observed.reading(place)) == piston) {
      places.push_back(place);
    }
  }
  return places;
}

std::optional<Known> crown_of(const Observed& observed, int piston) {
  const Build& now = observed.build();
  const auto since = [&](int place) {
    const auto& then = observed.reading(place).deepened;
    return deepened(now) - (then ? then->si() : deepened(observed.sources().build()));
  };
  double sum = 0;
  int count = 0;
  for (const int place : fills_of(observed, ReadingKind::dish_fill, piston)) {
    sum += observed.amount(place, Amount::volume) + since(place);
    ++count;
  }
  for (const int place : fills_of(observed, ReadingKind::piston_fill, piston)) {
    const double depth = std::max(0.0, observed.amount(place, Amount::depth));
    const double fill = std::max(0.0, observed.amount(place, Amount::volume));
    const double bore = bore_of(observed, *observed.reading(place).cylinder).value;
    sum += since(place) - mechanism::dome_from_fill(bore, depth, fill);
    ++count;
  }
  if (count > 0) {
    return Known{sum / count, ""};
  }
  if (now.crowns && now.crowns->dish) {
    return Known{now.crowns->dish->si() + deepened(now), "crown as its maker has it"};
  }
  return std::nullopt;
}

std::optional<Known> deck_of(const Observed& observed, int cylinder) {
  if (const auto read = read_deck(observed, cylinder)) {
    return Known{read->below, read->basis.empty()  ? ""
                              : read->other_piston ? "deck read with another piston"
                                                   : "deck read where the piston rocks"};
  }
  if (const auto computed = computed_deck(observed)) {
    return Known{*computed, "deck from the parts"};
  }
  return std::nullopt;
}

/// The gasket fitted: as measured where one of its kind was, else what the build says it crushes to.
std::optional<Known> gasket_of(const Observed& observed) {
  constexpr double same = 1e-6;
  const auto& fitted = observed.build().gasket;
  const auto& when_read = observed.sources().build().gasket;
  double sum = 0;
  int count = 0;
  for (const int place : observed.sources().inventory().of(ReadingKind::gasket_crush)) {
    const auto& typed = observed.reading(place).gasket;
    const double measured_one = typed ? typed->si() : when_read ? when_read->thickness.si() : 0;
    if (!fitted || std::abs(measured_one - fitted->thickness.si()) < same) {
      sum += observed.amount(place, Amount::size);
      ++count;
    }
  }
  if (count > 0) {
    return Known{sum / count, ""};
  }
  return fitted ? std::optional(Known{fitted->thickness.si(), "gasket as said to crush"}) : std::nullopt;
}

Known gasket_bore_of(const Observed& observed, double bore) {
  const auto& readings = observed.sources().inventory().of(ReadingKind::gasket_bore);
  if (const auto mean = mean_amount(observed, readings, Amount::size)) {
    return {*mean, ""};
  }
  const Build& build = observed.build();
  if (build.gasket && build.gasket->bore) {
    return {build.gasket->bore->si(), "gasket bore as its maker has it"};
  }
  return {bore, "gasket bore taken as the cylinder's"};
}

/// The least check lift at which the card has the intake's closing, at or under the seat's.
std::optional<double> card_seat_lift(const Build& build) {
  if (!build.cam || !build.cam->card || !build.cam->card->intake) {
    return std::nullopt;
  }
  std::optional<double> least;
  const auto look = [&](double at) { least = std::min(least.value_or(at), at); };
  for (const auto& one : build.cam->card->intake->durations) {
    look(one.at.si());
  }
  for (const auto& one : build.cam->card->intake->events) {
    look(one.at.si());
  }
  return least;
}

std::string lift_text(double lift) {
  return fmt::format("{:.3f} in", lift / inch);
}

std::optional<IntakeClosing> closing_read(const Observed& observed, const LobeKey& key,
                                          const LobeReadings& readings, TdcOfWheels& tdc_of) {
  const auto state = read_lobe(observed, key, readings, tdc_of);
  if (!state) {
    return std::nullopt;
  }
  for (const LobeEvents& events : state->lifts) {
    if (!events.closing) {
      continue;
    }
    IntakeClosing closing{
        *events.closing, events.at, true,
        fmt::format("intake closing at {}, read on cylinder {}", lift_text(events.at), key.cylinder)};
    const auto seat = card_seat_lift(observed.build());
    if (events.at > seat_check_lift && seat && *seat <= seat_check_lift) {
      const auto from = card_events(observed.build(), Valve::intake, events.at);
      const auto to = card_events(observed.build(), Valve::intake, *seat);
      if (from && to) {
        closing.angle += to->closing - from->closing;
        closing.at = *seat;
        closing.basis = fmt::format("intake closing at {}: read at {} on cylinder {}, carried on by the card",
                                    lift_text(*seat), lift_text(events.at), key.cylinder);
      }
    }
    return closing;
  }
  return std::nullopt;
}

/// What the card says, with the timing set in the position fitted.
std::optional<IntakeClosing> closing_of_card(const Observed& observed) {
  const Build& build = observed.build();
  const auto at = card_seat_lift(build);
  const auto events = at ? card_events(build, Valve::intake, *at) : std::nullopt;
  if (!events) {
    return std::nullopt;
  }
  const double advance = (build.timing_set ? crank_advance(*build.timing_set, fitted_position(build)) : 0) +
                         observed.what_if().cam_advance;
  return IntakeClosing{events->closing - advance, *at, false,
                       fmt::format("intake closing at {} by the card, not read", lift_text(*at))};
}

}  // namespace

std::string CylinderRoom::basis() const {
  std::vector<std::string_view> said;
  for (const auto* one : {&chamber, &crown, &deck, &gasket}) {
    if (*one && !(*one)->basis.empty()) {
      said.push_back((*one)->basis);
    }
  }
  if (!gasket_bore.basis.empty()) {
    said.push_back(gasket_bore.basis);
  }
  if (!bore.basis.empty()) {
    said.push_back(bore.basis);
  }
  return fmt::format("{}", fmt::join(said, ", "));
}

Known bore_of(const Observed& observed, int cylinder) {
  if (const auto read = mean_bore(observed, cylinder); read && *read > 0) {
    return {*read, "bore as read"};
  }
  return {observed.build().engine.bore.si() + honed(observed.build(), cylinder), ""};
}

double swept_by(const Observed& observed, int cylinder) {
  return mechanism::swept_volume(bore_of(observed, cylinder).value, observed.sources().crank().stroke());
}

std::optional<double> ratio_of(const Observed& observed, int cylinder, const CylinderRoom& room) {
  return room.clearance_volume
             ? std::optional(mechanism::static_ratio(swept_by(observed, cylinder), *room.clearance_volume))
             : std::nullopt;
}

CylinderRoom cylinder_room(const Observed& observed, int cylinder) {
  return cylinder_room(observed, cylinder, piston_in(observed.build(), cylinder));
}

CylinderRoom cylinder_room(const Observed& observed, int cylinder, int piston) {
  CylinderRoom room;
  room.bore = bore_of(observed, cylinder);
  room.chamber = chamber_of(observed, cylinder);
  room.crown = crown_of(observed, piston);
  room.deck = deck_of(observed, cylinder);
  room.gasket = gasket_of(observed);
  room.gasket_bore = gasket_bore_of(observed, room.bore.value);
  if (!room.chamber || !room.crown || !room.deck || !room.gasket) {
    return room;
  }
  const Build& build = observed.build();
  mechanism::ClearanceParts parts;
  parts.bore = room.bore.value;
  parts.chamber = room.chamber->value;
  parts.gasket_bore = room.gasket_bore.value;
  parts.gasket = room.gasket->value;
  parts.deck = room.deck->value;
  parts.dish = room.crown->value;
  if (build.crowns && build.crowns->land_diameter && build.crowns->land_height) {
    parts.land_diameter = build.crowns->land_diameter->si();
    parts.land_height = build.crowns->land_height->si();
  }
  if (mechanism::clearance_problems(parts).empty()) {
    room.parts = parts;
    const double volume = mechanism::clearance_volume(parts);
    room.clearance_volume = volume > 0 ? std::optional(volume) : std::nullopt;
  }
  return room;
}

std::optional<IntakeClosing> intake_closing(const Observed& observed, int cylinder, TdcOfWheels& tdc_of) {
  constexpr double full = 2 * std::numbers::pi;
  const auto within = [](const std::optional<IntakeClosing>& closing) {
    return closing && closing->angle > 0 && closing->angle < full;
  };
  const auto& lobes = observed.sources().inventory().lobes;
  if (const auto own = lobes.find({cylinder, Valve::intake}); own != lobes.end()) {
    if (auto closing = closing_read(observed, own->first, own->second, tdc_of); within(closing)) {
      return closing;
    }
  }
  for (const auto& [key, readings] : lobes) {
    if (key.valve != Valve::intake || key.cylinder == cylinder) {
      continue;
    }
    if (auto closing = closing_read(observed, key, readings, tdc_of); within(closing)) {
      return closing;
    }
  }
  auto closing = closing_of_card(observed);
  return within(closing) ? closing : std::nullopt;
}

mechanism::Cranking cranking_of(const Observed& observed) {
  mechanism::Cranking cranking;
  if (const auto input = observed.sources().exponent_input()) {
    cranking.polytropic_exponent = std::max(1.0, observed.input(*input));
  }
  cranking.crank_speed = 200 * 2 * std::numbers::pi / 60;
  if (const auto& plan = observed.build().compression) {
    if (plan->barometer || plan->altitude) {
      cranking.ambient_pressure =
          plan->barometer ? plan->barometer->si() : mechanism::standard_pressure(plan->altitude->si());
    }
    cranking.ambient_temperature = plan->air ? plan->air->si() : cranking.ambient_temperature;
    cranking.crank_speed = plan->cranking_speed ? plan->cranking_speed->si() : cranking.crank_speed;
    cranking.leak_area = plan->leak ? plan->leak->si() : 0;
  }
  return cranking;
}

std::vector<int> readings_of(const Sources& sources, ReadingKind kind, int cylinder) {
  std::vector<int> places;
  for (const int place : sources.inventory().of(kind)) {
    if (sources.build().readings[static_cast<std::size_t>(place)].cylinder == cylinder) {
      places.push_back(place);
    }
  }
  return places;
}

std::optional<double> mean_amount(const Observed& observed, const std::vector<int>& readings, Amount amount) {
  if (readings.empty()) {
    return std::nullopt;
  }
  double sum = 0;
  for (const int place : readings) {
    sum += observed.amount(place, amount);
  }
  return sum / static_cast<double>(readings.size());
}

bool compression_concerns(const Sources& sources) {
  constexpr std::array kinds{ReadingKind::chamber_fill, ReadingKind::dish_fill,
                             ReadingKind::piston_fill,  ReadingKind::gasket_crush,
                             ReadingKind::gasket_bore,  ReadingKind::compression_gauge};
  return sources.build().compression || std::any_of(kinds.begin(), kinds.end(), [&](ReadingKind kind) {
           return !sources.inventory().of(kind).empty();
         });
}

}  // namespace fettle::stations
