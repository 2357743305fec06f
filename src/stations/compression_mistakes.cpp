// What readings of volumes give away; common practice, no source.

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "stations/cam_evidence.h"
#include "stations/compression.h"
#include "stations/compression_state.h"
#include "stations/length_text.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;

constexpr double cc = 1e-6;
constexpr double inch = 0.0254;

/// Fills of one chamber that differ by more than a steady hand makes them: a valve that leaks, or air under
/// the plate.
std::optional<Mistake> fills_scatter(const Sources& sources, int cylinder) {
  constexpr double accepted = 0.5 * cc;
  std::vector<double> fills;
  const auto places = readings_of(sources, ReadingKind::chamber_fill, cylinder);
  for (const int place : places) {
    const build::Reading& reading = sources.build().readings[static_cast<std::size_t>(place)];
    if (reading.milled) {
      continue;  // of another state of the head
    }
    fills.push_back(reading.volume->si());
    for (const auto& again : reading.again) {
      fills.push_back(again.si);
    }
  }
  if (fills.size() < 2) {
    return std::nullopt;
  }
  const auto [least, greatest] = std::minmax_element(fills.begin(), fills.end());
  if (*greatest - *least <= accepted) {
    return std::nullopt;
  }
  return Mistake{
      "compression.fills_scatter", places, cylinder,
      fmt::format("The fills of the chamber of cylinder {} differ by {:.1f} cc: air under the plate, "
                  "a valve or plug that leaks, or grease squeezed in.",
                  cylinder, (*greatest - *least) / cc),
      "Dry it, seal valves and plate anew with a thin smear, tilt until the air is out, and pour "
      "three fills that agree within half a cc."};
}

/// One chamber far from the middle of the others.
std::vector<Mistake> odd_chambers(const Observed& observed) {
  constexpr double odd = 1.0 * cc;
  const Sources& sources = observed.sources();
  std::vector<std::pair<int, double>> chambers;
  std::vector<double> all;
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    const auto chamber = cylinder_room(observed, cylinder).chamber;
    if (chamber && chamber->basis.empty()) {
      chambers.emplace_back(cylinder, chamber->value);
      all.push_back(chamber->value);
    }
  }
  std::vector<Mistake> mistakes;
  if (all.size() < 3) {
    return mistakes;
  }
  const double middle = median(all);
  for (const auto& [cylinder, volume] : chambers) {
    if (std::abs(volume - middle) <= odd) {
      continue;
    }
    const bool large = volume > middle;
    mistakes.push_back(
        {"compression.odd_chamber", readings_of(sources, ReadingKind::chamber_fill, cylinder), cylinder,
         fmt::format("The chamber of cylinder {} holds {:.1f} cc {} than the middle of the others: {}.",
                     cylinder, std::abs(volume - middle) / cc, large ? "more" : "less",
                     large ? "a sunk valve or a deeper seat" : "another valve, or air under the plate"),
         "Measure how deep its valves stand, and pour it again."});
  }
  return mistakes;
}

std::optional<Mistake> gasket_under_bore(const Observed& observed) {
  double over = 0;  // of the largest bore over the opening
  for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
    const auto room = cylinder_room(observed, cylinder);
    over = std::max(over, room.bore.value - room.gasket_bore.value);
  }
  if (!(over > 0)) {
    return std::nullopt;
  }
  return Mistake{"compression.gasket_under_bore", observed.sources().inventory().of(ReadingKind::gasket_bore),
                 std::nullopt,
                 fmt::format("The gasket's opening is {} smaller than the bore: it would stand in the "
                             "cylinder, be burnt, and glow.",
                             in_both(over, 3)),
                 "Measure the opening crushed, or fit a gasket with a larger one."};
}

/// A ratio from a closing well off the seat flatters.
std::optional<Mistake> closing_off_seat(const Observed& observed) {
  constexpr double far_off = 0.035 * inch;
  TdcOfWheels tdc_of(observed);
  for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
    const auto closing = intake_closing(observed, cylinder, tdc_of);
    if (!closing || closing->at < far_off || !cylinder_room(observed, cylinder).clearance_volume) {
      continue;
    }
    return Mistake{
        "compression.closing_off_seat",
        {},
        std::nullopt,
        fmt::format("The intake's closing is known at {} only. The valve stays open for many degrees more, "
                    "so that the ratio from intake closing and the cranking pressure are flattered.",
                    in_both(closing->at, 3)),
        "Read the closing at 0.006 in, or take the duration at 0.006 in or on the seat from the card."};
  }
  return std::nullopt;
}

/// A dome reckoned from a fill that comes out as twice the sheet's: it was taken off twice.
std::optional<Mistake> dome_twice(const Observed& observed, int cylinder) {
  const auto& crowns = observed.build().crowns;
  const auto fills = readings_of(observed.sources(), ReadingKind::piston_fill, cylinder);
  if (!crowns || !crowns->dish || fills.empty()) {
    return std::nullopt;
  }
  constexpr double told_apart = 2.0 * cc;
  const double sheet = crowns->dish->si();
  const auto crown = cylinder_room(observed, cylinder).crown;
  if (!crown || std::abs(sheet) < told_apart) {
    return std::nullopt;
  }
  const double off = std::abs(crown->value / (2 * sheet) - 1);
  constexpr double much_the_same = 0.15;
  if (off > much_the_same) {
    return std::nullopt;
  }
  return Mistake{
      "compression.dome_twice", fills, cylinder,
      fmt::format(
          "The fill above the piston of cylinder {} gives a {} of {:.1f} cc, twice the sheet's {:.1f}: it "
          "was counted twice, in the fill and again beside it.",
          cylinder, sheet < 0 ? "dome" : "dish", std::abs(crown->value) / cc, std::abs(sheet) / cc),
      "Enter the volume as poured, with nothing added or taken off, and the depth of the flat below the "
      "deck."};
}

}  // namespace

std::vector<Mistake> compression_mistakes(const Sources& sources, const Report& /*report*/,
                                          const std::vector<Mistake>& /*earlier*/) {
  std::vector<Mistake> mistakes;
  if (!compression_concerns(sources)) {
    return mistakes;
  }
  const Observed observed(sources, sources.estimates());
  const auto keep = [&](std::optional<Mistake> mistake) {
    if (mistake) {
      mistakes.push_back(std::move(*mistake));
    }
  };
  for (int cylinder = 1; cylinder <= sources.phases().cylinders(); ++cylinder) {
    keep(fills_scatter(sources, cylinder));
    keep(dome_twice(observed, cylinder));
  }
  for (Mistake& odd : odd_chambers(observed)) {
    mistakes.push_back(std::move(odd));
  }
  keep(gasket_under_bore(observed));
  keep(closing_off_seat(observed));
  return mistakes;
}

}  // namespace fettle::stations
