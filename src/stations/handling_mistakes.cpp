#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "build/names.h"
#include "mechanism/circular.h"
#include "quantity/angle.h"
#include "stations/cam_mistakes.h"
#include "stations/cam_timing.h"
#include "stations/length_text.h"
#include "stations/what_if.h"

namespace fettle::stations {
namespace {

using build::Side;
using build::Valve;

constexpr double degree = quantity::radians_per_degree;
constexpr double inch = 0.0254;

std::optional<Mistake> read_backward(const LobeKey& key, const LobeReadings& readings) {
  if (readings.backward_points.empty()) {
    return std::nullopt;
  }
  return Mistake{
      "cam.slack_side", readings.backward_points, key.cylinder,
      fmt::format(
          "The {} was read turning backward: the slack of the cam's drive stands in the reading. It is not "
          "used.",
          lobe_text(key)),
      "Back up well past the place (0.100 in of lift), come forward again, and read it on the way."};
}

/// A lobe read at single points whose closing flank comes early for its card by more than its doubt, while
/// its opening stands as the other lobes' do and these are as long as they should be: the closing reading was
/// taken after backing up. A lobe of another grind is short on both flanks.
std::optional<Mistake> closing_on_slack(const Sources& sources, const CamEvidence& evidence,
                                        const LobeEvidence& lobe) {
  const auto shortened = [](const LobeEvidence& one) {
    return one.opening_late && one.closing_late
               ? std::optional(one.closing_late->value - one.opening_late->value)
               : std::nullopt;
  };
  const auto found = sources.inventory().lobes.find(lobe.key);
  const bool by_points = found != sources.inventory().lobes.end() && found->second.sweeps.empty();
  const auto own = shortened(lobe);
  if (!by_points || !own) {
    return std::nullopt;
  }
  std::vector<double> others;
  std::vector<double> other_openings;
  for (const LobeEvidence& other : evidence.lobes) {
    if (&other != &lobe && shortened(other)) {
      others.push_back(*shortened(other));
      other_openings.push_back(other.opening_late->value);
    }
  }
  if (others.empty()) {
    return std::nullopt;
  }
  const double less = *own - median(others);
  const double opening_off = lobe.opening_late->value - median(other_openings);
  const bool opens_right = std::abs(opening_off) < std::max(-less / 4, lobe.opening_late->expanded);
  if (!opens_right || less > -std::max(1.5 * degree, lobe.closing_late->expanded)) {
    return std::nullopt;
  }
  return Mistake{
      "cam.closing_on_slack", lobe.readings, lobe.key.cylinder,
      fmt::format(
          "The {} closes {} earlier for its opening than the other lobes do: its closing was read after "
          "backing up, and its centre comes out early by half of that.",
          lobe_text(lobe.key), degrees_text(-less)),
      "Back up well past the place (0.100 in of lift), come forward again, and read the closing flank anew."};
}

/// Mean reading on the base circle before and after the lobe, in the order taken.
struct ZeroBeforeAndAfter {
  double before = 0;
  double after = 0;
  double u_per_point = 0;  ///< of their difference, in units of one point's
};

std::optional<ZeroBeforeAndAfter> zero_before_and_after(const Sources& sources, int place) {
  const FittedSweep* fitted = sources.sweep(place);
  if (fitted == nullptr || fitted->reduced->reduction.checks.empty()) {
    return std::nullopt;
  }
  const auto& lowest = fitted->reduced->reduction.checks.front();
  if (!lowest.opening || !lowest.closing) {
    return std::nullopt;
  }
  // Where the zero is lost, the base lies between its two levels and the lowest crossings some degrees too
  // far out: much more than this would leave too few points of a sweep of one turn.
  constexpr double ramp = 22 * degree;
  const double top = fitted->reduced->reduction.top;
  const double from = lowest.opening->angle - top - ramp;
  const double to = lowest.closing->angle - top + ramp;
  const auto points = sources.sweep_points(place);
  const auto nose = std::max_element(points.begin(), points.end(),
                                     [](const auto& a, const auto& b) { return a.lift < b.lift; });
  double sums[2] = {0, 0};
  int counts[2] = {0, 0};
  for (auto point = points.begin(); point != points.end(); ++point) {
    const double from_top = mechanism::wrap_centred(point->crank_angle - top, mechanism::full_cycle);
    if (from_top < from || from_top > to) {
      const int side = point < nose ? 0 : 1;
      sums[side] += point->lift;
      ++counts[side];
    }
  }
  constexpr int fewest = 2;
  if (counts[0] < fewest || counts[1] < fewest) {
    return std::nullopt;
  }
  return ZeroBeforeAndAfter{sums[0] / counts[0], sums[1] / counts[1],
                            std::sqrt(1.0 / counts[0] + 1.0 / counts[1])};
}

std::optional<Mistake> zero_not_regained(const Sources& sources, const LobeKey& key, int place) {
  const auto zeros = zero_before_and_after(sources, place);
  if (!zeros) {
    return std::nullopt;
  }
  const double sunk = zeros->before - zeros->after;
  const double u = sources.sweep_points(place).front().lift_u;
  const double doubt = std::max(0.0008 * inch, 4 * u * zeros->u_per_point);
  if (std::abs(sunk) < doubt) {
    return std::nullopt;
  }
  const auto& lifters = sources.build().lifters;
  const bool can_bleed = lifters && lifters->kind == build::LifterKind::hydraulic &&
                         !lifters->checking.value_or(false) && sunk > 0;
  const std::string found =
      fmt::format("After the {} the indicator does not come back to its zero: it stands {} {}.",
                  lobe_text(key), in_both(std::abs(sunk), 4), sunk > 0 ? "low" : "high");
  if (can_bleed) {
    return Mistake{
        "cam.bleed_down",
        {place},
        key.cylinder,
        found + " A hydraulic lifter bled down under way: lift is short and the closing comes early.",
        "Put a solid checking lifter in its place and sweep the lobe again."};
  }
  return Mistake{"cam.zero_moved",
                 {place},
                 key.cylinder,
                 found + " The indicator or its stand moved during the sweep.",
                 "Clamp the indicator anew, zero it on the base circle, and sweep the lobe again."};
}

/// Points of a sweep that went on past a full cycle against those at the same place one cycle before.
std::optional<Mistake> wheel_moved(const Sources& sources, const LobeKey& key, int place) {
  const auto points = sources.sweep_points(place);
  double weighted = 0;
  double weight = 0;
  for (const auto& late : points) {
    const double earlier = late.crank_angle - mechanism::full_cycle;
    for (std::size_t i = 1; i < points.size(); ++i) {
      const auto& a = points[i - 1];
      const auto& b = points[i];
      if (a.crank_angle <= earlier && earlier < b.crank_angle) {
        const double slope = (b.lift - a.lift) / (b.crank_angle - a.crank_angle);
        const double lift = a.lift + slope * (earlier - a.crank_angle);
        // The lobe is met later by `shift` the second time: lift there is less by slope x shift.
        const double u2 = 2 * (late.lift_u * late.lift_u + slope * slope * late.angle_u * late.angle_u);
        weighted += slope * (lift - late.lift) / u2;
        weight += slope * slope / u2;
      }
    }
  }
  if (weight <= 0) {
    return std::nullopt;
  }
  const double shift = weighted / weight;
  const double doubt = 3 / std::sqrt(weight);
  if (std::abs(shift) < std::max(doubt, 0.5 * degree)) {
    return std::nullopt;
  }
  return Mistake{
      "cam.wheel_moved",
      {place},
      key.cylinder,
      fmt::format(
          "The sweep of the {} does not close: after a full cycle the same lift is met {} away from where "
          "it was. Wheel or pointer moved during the sweep.",
          lobe_text(key), degrees_text(std::abs(shift))),
      "Tighten wheel and pointer, find TDC again, and sweep the lobe again."};
}

/// How far a correction moved the centres of one cam's valves, against how far it should have.
std::optional<Mistake> correction_went_wrong(const Sources& sources, double position,
                                             const std::map<LobeKey, LobeReadings>& before,
                                             const std::vector<build::Valve>& valves) {
  const Observed observed(sources, sources.estimates());
  const build::TimingSet& set = *sources.build().timing_set;
  const double advance =
      crank_advance(set, fitted_position(sources.build(), valves.front())) - crank_advance(set, position);
  TdcOfWheels tdc_of(observed);
  std::vector<double> moved;
  std::vector<int> readings;
  for (const auto& [key, earlier] : before) {
    const auto now = sources.inventory().lobes.find(key);
    const bool of_this_cam = std::find(valves.begin(), valves.end(), key.valve) != valves.end();
    if (!of_this_cam || now == sources.inventory().lobes.end()) {
      continue;
    }
    const auto state_before = read_lobe(observed, key, earlier, tdc_of);
    const auto state_now = read_lobe(observed, key, now->second, tdc_of);
    const auto centre_before = state_before ? lobe_centre(*state_before) : std::nullopt;
    const auto centre_now = state_now ? lobe_centre(*state_now) : std::nullopt;
    if (centre_before && centre_now && centre_before->basis == centre_now->basis) {
      moved.push_back(centre_before->angle - centre_now->angle);
      for (const auto* list : {&now->second.sweeps, &now->second.points}) {
        readings.insert(readings.end(), list->begin(), list->end());
      }
    }
  }
  constexpr double least_move = 1.5 * degree;
  if (moved.empty() || std::abs(advance) < least_move) {
    return std::nullopt;
  }
  const double share = median(moved) / advance;
  const auto near = [&](double expected) { return std::abs(share - expected) < 0.3; };
  const std::string found =
      fmt::format("The cam was to be moved {} {} and the centres moved {} {}.",
                  degrees_text(std::abs(advance)), advance > 0 ? "earlier" : "later",
                  degrees_text(std::abs(median(moved))), median(moved) > 0 ? "earlier" : "later");
  if (near(-1)) {
    return Mistake{"cam.moved_wrong_way", readings, std::nullopt,
                   found + " It was moved the wrong way: the error is doubled.",
                   "Fit the position on the other side of the straight-up mark, and read both lobes again."};
  }
  if (near(2) || near(0.5)) {
    return Mistake{
        "cam.marks_in_other_degrees", readings, std::nullopt,
        found + (near(2) ? " The set's marks are in cam degrees, twice as many at the crank."
                         : " The set's marks are in crank degrees, not cam degrees."),
        "State which degrees the marks are in (timing_set.marked_in), and choose the position again."};
  }
  return std::nullopt;
}

}  // namespace

std::vector<Mistake> handling_mistakes(const Sources& sources, const Report& /*report*/,
                                       const CamEvidence& evidence) {
  std::vector<Mistake> mistakes;
  const auto add = [&](std::optional<Mistake> mistake) {
    if (mistake) {
      mistakes.push_back(std::move(*mistake));
    }
  };
  for (const auto& [key, readings] : sources.inventory().lobes) {
    add(read_backward(key, readings));
    for (const int place : readings.sweeps) {
      add(zero_not_regained(sources, key, place));
      add(wheel_moved(sources, key, place));
    }
  }
  for (const LobeEvidence& lobe : evidence.lobes) {
    add(closing_on_slack(sources, evidence, lobe));
  }
  for (const auto& [position, before] : sources.inventory().earlier_lobes) {
    if (cams_set_apart(sources.build())) {
      add(correction_went_wrong(sources, position, before, {build::Valve::intake}));
      add(correction_went_wrong(sources, position, before, {build::Valve::exhaust}));
    } else {
      add(correction_went_wrong(sources, position, before, {build::Valve::intake, build::Valve::exhaust}));
    }
  }
  return mistakes;
}

}  // namespace fettle::stations
