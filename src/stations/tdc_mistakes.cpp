#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "mechanism/circular.h"
#include "quantity/angle.h"
#include "stations/mistakes.h"
#include "stations/true_tdc.h"

namespace fettle::stations {
namespace {

using mechanism::full_turn;
using mechanism::wrap_centred;
using mechanism::wrap_positive;

constexpr double degree = quantity::radians_per_degree;

/// One stop read from both sides.
struct StopEvidence {
  const StopGroup* group = nullptr;
  double span = 0;  ///< from the forward contact to the backward one, [0, 2π)
  double tdc = 0;   ///< of cylinder 1, crank counted forward on the wheel
  double midpoint_u = 0;
  double span_u = 0;
  std::vector<int> readings;
};

double u_of_mean(const Sources& sources, const std::vector<int>& readings) {
  double variance = 0;
  for (const int reading : readings) {
    variance += std::pow(sources.inputs()[*sources.wheel_input(reading)].u(), 2);
  }
  return std::sqrt(variance) / static_cast<double>(readings.size());
}

std::vector<StopEvidence> stops_read_from_both_sides(const Sources& sources) {
  const Observed observed(sources, sources.estimates());
  std::vector<StopEvidence> all;
  for (const StopGroup& group : sources.inventory().stops) {
    if (group.forward.empty() || group.backward.empty()) {
      continue;
    }
    const auto stop = mechanism::tdc_from_stop(observed.mean_turned(group.forward),
                                               observed.mean_turned(group.backward), sources.crank());
    StopEvidence evidence{&group, stop.span, stop.tdc - sources.phases().crank_phase(group.cylinder),
                          0,      0,         group.forward};
    evidence.span_u = std::hypot(u_of_mean(sources, group.forward), u_of_mean(sources, group.backward));
    evidence.midpoint_u = evidence.span_u / 2;
    evidence.readings.insert(evidence.readings.end(), group.backward.begin(), group.backward.end());
    all.push_back(std::move(evidence));
  }
  return all;
}

std::optional<Mistake> same_direction(const StopGroup& group) {
  const auto& twice = group.forward.size() >= 2 ? group.forward : group.backward;
  const bool one_way = group.forward.empty() != group.backward.empty();
  if (!one_way || twice.size() < 2) {
    return std::nullopt;
  }
  return Mistake{
      "tdc.same_direction", twice, group.cylinder,
      fmt::format(
          "Every contact with this stop is recorded as turning {}: a stop must be met from both sides.",
          group.forward.empty() ? "backward" : "forward"),
      "Check the direction of each contact; turn the other way until the piston meets the stop again."};
}

std::optional<Mistake> half_turn_away(const StopEvidence& stop) {
  // A stop holds the piston near TDC: the crank is kept out of the smaller arc. More than half a turn between
  // the contacts puts the midpoint at bottom dead centre.
  if (stop.span <= mechanism::full_turn / 2) {
    return std::nullopt;
  }
  return Mistake{
      "tdc.bottom_dead_centre", stop.readings, stop.group->cylinder,
      fmt::format(
          "From the forward contact to the backward one is {:.1f} deg, more than half a turn: the midpoint "
          "is bottom dead centre, half a turn away. The two directions are swapped, or the wheel is "
          "numbered against the rotation.",
          stop.span / degree),
      "Turn the crank a little forward: the wheel must read on as stated for it. Then meet the stop again "
      "from "
      "both sides and note which way you turned."};
}

std::optional<Mistake> impossible_for_depth(const Sources& sources, const StopEvidence& stop) {
  for (const int place : stop.readings) {
    const auto& depth = sources.build().readings[static_cast<std::size_t>(place)].stop_depth;
    if (!depth) {
      continue;
    }
    const auto expected = mechanism::expected_stop_span(depth->si(), sources.crank());
    // The depth of a stop is known to a hundredth of an inch at best.
    constexpr double depth_doubt = 0.010 * 0.0254;
    const auto more = mechanism::expected_stop_span(depth->si() + depth_doubt, sources.crank());
    const double allowed = expected && more ? (*more - *expected) + 3 * stop.span_u : 0;
    if (expected && std::abs(stop.span - *expected) <= allowed) {
      return std::nullopt;
    }
    return Mistake{
        "tdc.impossible_contact", stop.readings, stop.group->cylinder,
        expected
            ? fmt::format("A stop {} below TDC is met {:.1f} deg apart with this crank and rod; the contacts "
                          "are {:.1f} deg apart. The stop flexed or moved, something else was touched, or "
                          "depth, stroke or rod is entered wrong.",
                          depth->typed(), *expected / degree, stop.span / degree)
            : fmt::format("A stop {} below TDC is beyond the stroke.", depth->typed()),
        "Measure how far the stop reaches in, check that the piston meets nothing else, and read both "
        "contacts "
        "again."};
  }
  return std::nullopt;
}

std::optional<Mistake> too_near_tdc(const StopEvidence& stop) {
  constexpr double least = 30 * degree;  // 15 degrees a side (common practice)
  if (stop.span >= least) {
    return std::nullopt;
  }
  return Mistake{
      "tdc.stop_too_near", stop.readings, stop.group->cylinder,
      fmt::format(
          "The stop is met only {:.1f} deg either side of TDC, where the piston hardly moves: flex of the "
          "stop turns into degrees.",
          stop.span / 2 / degree),
      "Use a longer stop, to be met 15 to 20 deg or more either side."};
}

/// How far the wheel's own error, which goes round once a turn, may set two midpoints apart that stand at
/// different places on it: a wave of amplitude a has a chord of at most 2 a sin(half the angle between).
double wheel_error_between(const Sources& sources, const StopEvidence& a, const StopEvidence& b) {
  const auto permissible = sources.wheel_of(a.readings.front()).tool.permissible_error.value_or(0);
  const auto middle = [&](const StopEvidence& stop) {
    return stop.tdc + sources.phases().crank_phase(stop.group->cylinder);
  };
  return 2 * permissible * std::abs(std::sin((middle(b) - middle(a)) / 2));
}

/// Two readings of stops that cannot both be right.
std::optional<Mistake> disagreement(const Sources& sources, const StopEvidence& a, const StopEvidence& b) {
  if (a.group->wheel != b.group->wheel) {
    return std::nullopt;
  }
  const double moved = wrap_centred(b.tdc - a.tdc, full_turn);
  const double doubt = 3 * std::hypot(a.midpoint_u, b.midpoint_u) + wheel_error_between(sources, a, b);
  const bool same_stop = a.group->cylinder == b.group->cylinder && a.group->stop == b.group->stop;
  const double span_change = b.span - a.span;
  const bool span_changed = same_stop && std::abs(span_change) > 3 * std::hypot(a.span_u, b.span_u);
  std::vector<int> readings = a.readings;
  readings.insert(readings.end(), b.readings.begin(), b.readings.end());
  if (span_changed) {
    return Mistake{
        "tdc.span_changed", readings, a.group->cylinder,
        fmt::format(
            "The same stop was met {:.1f} deg apart one time and {:.1f} deg the other: the stop flexed or "
            "moved, or a valve was touched.",
            a.span / degree, b.span / degree),
        "Tighten the stop, back the valves off, and read both contacts again."};
  }
  if (std::abs(moved) > doubt) {
    return Mistake{
        "tdc.stops_disagree", readings, a.group->cylinder,
        fmt::format(
            "The midpoints of two pairs of contacts differ by {:.2f} deg, more than their doubt of {:.2f}: "
            "the wheel or its pointer slipped between them.",
            std::abs(moved) / degree, doubt / degree),
        "Tighten wheel and pointer, find TDC again, and take every cam reading since the first pair again."};
  }
  return std::nullopt;
}

}  // namespace

std::vector<Mistake> tdc_mistakes(const Sources& sources, const Report& /*report*/) {
  std::vector<Mistake> mistakes;
  const auto add = [&](std::optional<Mistake> mistake) {
    if (mistake) {
      mistakes.push_back(std::move(*mistake));
    }
  };
  for (const StopGroup& group : sources.inventory().stops) {
    add(same_direction(group));
  }
  const auto stops = stops_read_from_both_sides(sources);
  for (std::size_t i = 0; i < stops.size(); ++i) {
    if (auto swapped = half_turn_away(stops[i])) {
      mistakes.push_back(std::move(*swapped));
      continue;
    }
    add(impossible_for_depth(sources, stops[i]));
    add(too_near_tdc(stops[i]));
    for (std::size_t j = 0; j < i; ++j) {
      if (stops[j].span <= full_turn / 2) {
        add(disagreement(sources, stops[j], stops[i]));
      }
    }
  }
  return mistakes;
}

}  // namespace fettle::stations
