// What readings of springs give away; common practice, no source.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "build/names.h"
#include "stations/length_text.h"
#include "stations/spring.h"
#include "stations/spring_state.h"

namespace fettle::stations {
namespace {

using build::ReadingKind;
using build::Valve;
constexpr double inch = 0.0254;

std::string spring_text(const LobeKey& key) {
  return fmt::format("{} spring of cylinder {}", build::word(key.valve), key.cylinder);
}

/// A load that falls although the spring was compressed further, by more than the doubt of two loads.
std::optional<Mistake> load_falls(const Observed& observed, const LobeKey& key,
                                  const std::vector<int>& readings) {
  std::vector<mechanism::SpringReading> points;
  double variance = 0;
  for (const int place : readings) {
    points.push_back({observed.amount(place, Amount::height), observed.amount(place, Amount::load)});
    const double u = observed.sources().inputs()[*observed.sources().amount_input(place, Amount::load)].u();
    variance = std::max(variance, 2 * u * u);
  }
  for (const auto& fall : mechanism::load_falls(points)) {
    if (fall.fall > 2 * std::sqrt(variance)) {
      return Mistake{
          "spring.load_falls", readings, key.cylinder,
          fmt::format("The {} carries less load at {} than at {}: a load or a height is "
                      "mistyped, or the tester stuck.",
                      spring_text(key), in_both(fall.shorter, 3), in_both(fall.taller, 3)),
          "Compress it once to near coil bind, let it out, and take the loads again from tall to short."};
    }
  }
  return std::nullopt;
}

std::optional<Mistake> rate_off_sheet(const Observed& observed, const LobeKey& key,
                                      const std::vector<int>& readings) {
  constexpr double accepted = 0.10;
  const build::SpringSpec* spec = spring_spec(observed.build(), key.valve);
  const SpringState state = spring_state(observed, key);
  if (spec == nullptr || !spec->rate || !state.characteristic || state.characteristic_basis != "loads read") {
    return std::nullopt;
  }
  const auto& read = *state.characteristic;
  const double rate = read.rate((read.shortest() + read.tallest()) / 2);
  const double off = rate / spec->rate->si() - 1;
  if (std::abs(off) <= accepted) {
    return std::nullopt;
  }
  return Mistake{
      "spring.rate_off_sheet", readings, key.cylinder,
      fmt::format(
          "The {} gains {:.0f} % {} load per inch than its sheet says: another spring, a tired one, or "
          "a tester that needs calibrating.",
          spring_text(key), std::abs(off) * 100, off > 0 ? "more" : "less"),
      "Check the part number, and read one other spring of the set on the same tester."};
}

/// All heights of one kind off by much the same and by a good deal: something was left out of the stack.
std::optional<Mistake> left_out_of_height(const Observed& observed, Valve valve) {
  const build::SpringSpec* spec = spring_spec(observed.build(), valve);
  if (spec == nullptr || !spec->installed_height) {
    return std::nullopt;
  }
  std::vector<double> errors;
  std::vector<int> readings;
  for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
    const LobeKey key{cylinder, valve};
    if (const auto height = spring_state(observed, key).height) {
      errors.push_back(*height - spec->installed_height->si());
      const auto& places = observed.sources().inventory().at(ReadingKind::installed_height, key);
      readings.insert(readings.end(), places.begin(), places.end());
    }
  }
  constexpr double much = 0.060 * inch;
  constexpr double alike = 0.030 * inch;
  if (errors.size() < 2) {
    return std::nullopt;
  }
  const auto [least, greatest] = std::minmax_element(errors.begin(), errors.end());
  const bool same_way = *least > much || *greatest < -much;
  if (!same_way || *greatest - *least > alike) {
    return std::nullopt;
  }
  return Mistake{
      "spring.height_basis", readings, std::nullopt,
      fmt::format("All {} springs stand about {} {} than wanted, all alike: was the height taken to the "
                  "step of the retainer on which the spring sits, and with its cup or locator in place?",
                  build::word(valve), in_both(std::abs(errors.front()), 3),
                  *least > 0 ? "taller" : "shorter"),
      "Measure from the spring's seat to the face of the retainer that the spring touches."};
}

/// One seat load far from the others of its kind.
std::vector<Mistake> odd_ones(const Observed& observed, Valve valve) {
  std::vector<std::pair<LobeKey, double>> loads;
  for (int cylinder = 1; cylinder <= observed.sources().phases().cylinders(); ++cylinder) {
    const LobeKey key{cylinder, valve};
    const SpringState state = spring_state(observed, key);
    if (state.height && state.characteristic) {
      loads.emplace_back(key, state.characteristic->load(*state.height));
    }
  }
  std::vector<Mistake> mistakes;
  if (loads.size() < 4) {
    return mistakes;
  }
  std::vector<double> sorted;
  for (const auto& [key, load] : loads) {
    sorted.push_back(load);
  }
  std::sort(sorted.begin(), sorted.end());
  const double middle = sorted[sorted.size() / 2];
  constexpr double odd = 0.20;
  for (const auto& [key, load] : loads) {
    if (std::abs(load - middle) > odd * middle) {
      const auto& heights = observed.sources().inventory().at(ReadingKind::installed_height, key);
      mistakes.push_back(
          {"spring.odd_one", heights, key.cylinder,
           fmt::format("The {} sits at {:.0f} % {} load than its fellows: a seat cut deep, another spring "
                       "or retainer, or a misread height.",
                       spring_text(key), std::abs(load / middle - 1) * 100, load > middle ? "more" : "less"),
           "Measure its height again; then swap the spring with a neighbour and see which of the two "
           "the difference follows."});
    }
  }
  return mistakes;
}

}  // namespace

std::vector<Mistake> spring_mistakes(const Sources& sources, const Report& /*report*/,
                                     const std::vector<Mistake>& /*earlier*/) {
  std::vector<Mistake> mistakes;
  const Observed observed(sources, sources.estimates());
  if (const auto found = sources.inventory().at_valves.find(ReadingKind::spring_load);
      found != sources.inventory().at_valves.end()) {
    for (const auto& [key, readings] : found->second) {
      for (const auto look : {load_falls, rate_off_sheet}) {
        if (auto mistake = look(observed, key, readings)) {
          mistakes.push_back(std::move(*mistake));
          break;
        }
      }
    }
  }
  for (const Valve valve : {Valve::intake, Valve::exhaust}) {
    if (auto mistake = left_out_of_height(observed, valve)) {
      mistakes.push_back(std::move(*mistake));
    }
    for (Mistake& odd : odd_ones(observed, valve)) {
      mistakes.push_back(std::move(odd));
    }
  }
  return mistakes;
}

}  // namespace fettle::stations
