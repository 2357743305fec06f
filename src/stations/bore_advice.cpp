// What readings of bores, pistons and rings give away; common practice, no source.

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "build/names.h"
#include "stations/bore.h"
#include "stations/bore_state.h"
#include "stations/length_text.h"
#include "stations/limits.h"
#include "stations/slipped_readings.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
using build::Ring;
constexpr double inch = 0.0254;

std::vector<int> all_of(const Sources& sources, ReadingKind kind) {
  std::vector<int> readings;
  const auto found = sources.inventory().at_spots.find(kind);
  if (found != sources.inventory().at_spots.end()) {
    for (const auto& [spot, places] : found->second) {
      readings.insert(readings.end(), places.begin(), places.end());
    }
  }
  return readings;
}

void add_slips(const std::vector<Slip>& found, const char* what, std::vector<Mistake>& mistakes) {
  for (const Slip& slip : found) {
    mistakes.push_back(
        {"bore.slipped_reading", slip.readings, std::nullopt,
         fmt::format(
             "{} of the {} readings {} too {} by just {}: the instrument was misread, or the gauge was "
             "set to another size; the part is not that far off.",
             slip.readings.size(), what, slip.readings.size() == 1 ? "is" : "are",
             slip.slip > 0 ? "great" : "small", slip.of_what),
         "Look at the sleeve again before the thimble, set the gauge anew, and take that reading again."});
  }
}

/// Bore and piston read at different temperatures: brought to 20 C in the sums, but a part is rarely as warm
/// all through as where it was touched.
std::vector<Mistake> temperatures_differ(const Observed& observed) {
  constexpr double apart = 3;  // K
  std::vector<Mistake> mistakes;
  const auto& inventory = observed.sources().inventory();
  for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
    const int piston = piston_in(observed.build(), cylinder);
    double least = 1e9;
    double greatest = -1e9;
    std::vector<int> readings;
    for (const auto& places : {inventory.at_spot(ReadingKind::bore_diameter, {SpotKind::cylinder, cylinder}),
                               inventory.at_spot(ReadingKind::piston_diameter, {SpotKind::piston, piston})}) {
      for (const int place : places) {
        if (observed.reading(place).temperature) {
          const double temperature = observed.amount(place, Amount::temperature);
          least = std::min(least, temperature);
          greatest = std::max(greatest, temperature);
          readings.push_back(place);
        }
      }
    }
    if (greatest - least > apart) {
      const double bore = observed.build().engine.bore.si();
      mistakes.push_back(
          {"bore.temperatures_differ", readings, cylinder,
           fmt::format(
               "Bore and piston of cylinder {} were read {:.0f} degrees C apart. It is allowed for, but an "
               "aluminium piston of this size grows {} in that much, and its skin is not its middle.",
               cylinder, greatest - least,
               in_both(expansion(build::WallMaterial::aluminium) * bore * (greatest - least), 4)),
           "Leave block, pistons and tools in one room overnight, and read both again."});
    }
  }
  return mistakes;
}

double middle_of(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  const std::size_t half = values.size() / 2;
  return values.size() % 2 == 1 ? values[half] : (values[half - 1] + values[half]) / 2;
}

/// A ring's gap less what its bore makes of it, against those of its fellows.
struct GapOfBore {
  int cylinder = 1;
  double left = 0;      ///< gap less pi times the bore, m
  double expanded = 0;  ///< doubt of both
};

/// Rings filed alike differ only by pi times what their bores differ.
std::vector<Mistake> gaps_off(const Observed& observed, const Report& report, Ring ring) {
  constexpr std::size_t fewest = 3;
  constexpr double accepted = 0.002 * inch;
  std::vector<GapOfBore> gaps;
  const std::string id = fmt::format("bore.{}_gap", build::word(ring));
  for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
    const Finding* gap = find(report, id, {cylinder, {}, {}});
    const Finding* bore = find(report, "bore.least", {cylinder, {}, {}});
    if (gap != nullptr && gap->value && bore != nullptr && bore->value) {
      gaps.push_back({cylinder, *gap->value - std::numbers::pi * *bore->value,
                      std::hypot(gap->expanded, std::numbers::pi * bore->expanded)});
    }
  }
  std::vector<Mistake> mistakes;
  if (gaps.size() < fewest) {
    return mistakes;
  }
  std::vector<double> lefts;
  lefts.reserve(gaps.size());
  for (const GapOfBore& gap : gaps) {
    lefts.push_back(gap.left);
  }
  const double middle = middle_of(lefts);
  for (const GapOfBore& gap : gaps) {
    const double off = gap.left - middle;
    if (std::abs(off) > std::max(accepted, gap.expanded)) {
      mistakes.push_back(
          {"bore.gap_off_its_bore", ring_readings(observed, ReadingKind::ring_gap, gap.cylinder, ring),
           gap.cylinder,
           fmt::format(
               "The {} gap of cylinder {} is {} {} than its fellows' and its bore account for: a ring of "
               "another set or another bore, one not square while it was read, or one filed on its own.",
               build::word(ring), gap.cylinder, in_both(std::abs(off), 4), off > 0 ? "wider" : "tighter"),
           "Push the ring in with a piston turned over, and read it again in its own bore."});
    }
  }
  return mistakes;
}

/// Whether practice wants the second ring's gap wider than the top's.
bool second_wider(const build::Build& build) {
  const auto top = limit_for(build, "bore.top_gap", {});
  const auto second = limit_for(build, "bore.second_gap", {});
  return top && second && top->min && second->min && *second->min > *top->min;
}

std::optional<Mistake> second_tighter(const Observed& observed, const Report& report) {
  if (!second_wider(observed.build())) {
    return std::nullopt;
  }
  std::vector<int> readings;
  std::vector<int> cylinders;
  for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
    const Finding* top = find(report, "bore.top_gap", {cylinder, {}, {}});
    const Finding* second = find(report, "bore.second_gap", {cylinder, {}, {}});
    const bool both = top != nullptr && top->value && second != nullptr && second->value;
    if (!both || *top->value - *second->value <= std::hypot(top->expanded, second->expanded)) {
      continue;
    }
    cylinders.push_back(cylinder);
    for (const Ring ring : {Ring::top, Ring::second}) {
      const auto more = ring_readings(observed, ReadingKind::ring_gap, cylinder, ring);
      readings.insert(readings.end(), more.begin(), more.end());
    }
  }
  if (cylinders.empty()) {
    return std::nullopt;
  }
  return Mistake{
      "bore.second_tighter", readings,
      cylinders.size() == 1 ? std::optional(cylinders.front()) : std::nullopt,
      fmt::format(
          "The second ring's gap is tighter than the top's in cylinder {}. Gas that passes the top ring "
          "is then caught between the two and lifts it: were the rings taken for each other?",
          fmt::join(cylinders, ", ")),
      "See which ring is which by its marks and its chamfer, and read both again."};
}

}  // namespace

std::vector<Mistake> bore_mistakes(const Sources& sources, const Report& report,
                                   const std::vector<Mistake>& /*earlier*/) {
  std::vector<Mistake> mistakes;
  if (!bores_concern(sources)) {
    return mistakes;
  }
  const Observed observed(sources, sources.estimates());
  const auto bores = slips(observed, all_of(sources, ReadingKind::bore_diameter));
  const auto pistons = slips(observed, all_of(sources, ReadingKind::piston_diameter));
  add_slips(bores, "bore", mistakes);
  add_slips(pistons, "piston", mistakes);
  const auto append = [&](std::vector<Mistake> more) {
    std::move(more.begin(), more.end(), std::back_inserter(mistakes));
  };
  append(temperatures_differ(observed));
  if (bores.empty()) {  // a bore misread by a turn of the thimble explains any gap
    append(gaps_off(observed, report, Ring::top));
    append(gaps_off(observed, report, Ring::second));
  }
  if (auto mistake = second_tighter(observed, report)) {
    mistakes.push_back(std::move(*mistake));
  }
  return mistakes;
}

}  // namespace fettle::stations
