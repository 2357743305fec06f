#include "stations/valve_motion.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include <boost/math/tools/toms748_solve.hpp>
#include <fmt/format.h>

#include "mechanism/circular.h"
#include "quantity/angle.h"
#include "stations/at_estimates.h"
#include "stations/card_lobe.h"
#include "stations/lobe_slopes.h"

namespace fettle::stations {
namespace {

using mechanism::full_cycle;
using mechanism::wrap_centred;

constexpr double degree = quantity::radians_per_degree;

/// A curve with the places of its own events, so that it can be bent to those read.
struct Shape {
  std::shared_ptr<const metrology::PeriodicSpline> curve;
  double base_level = 0;
  double top = 0;
  double max_lift = 0;  ///< on its own basis
  LiftBasis to_card;    ///< from its own basis to the card's
  std::string says;
  /// Where lifts are known to be crossed: starts for those near them.
  const std::vector<mechanism::CheckResult>* checks = nullptr;
};

/// From `top`, where it is above zero, the first place toward `direction` at which it no longer is; nothing
/// within half a cycle if it stays above.
template <class Above>
std::optional<double> flank_end(const Above& above, double top, double direction) {
  constexpr double step = 4 * degree;
  double near = top;
  double at_near = above(near);
  if (!(at_near > 0)) {
    return near;
  }
  while (std::abs(near - top) < full_cycle / 2) {
    const double far = near + direction * step;
    const double at_far = above(far);
    if (!(at_far > 0)) {
      std::uintmax_t iterations = 60;
      const auto close = [](double low, double high) { return high - low < 1e-12; };
      const auto [low, high] =
          direction > 0
              ? boost::math::tools::toms748_solve(above, near, far, at_near, at_far, close, iterations)
              : boost::math::tools::toms748_solve(above, far, near, at_far, at_near, close, iterations);
      return (low + high) / 2;
    }
    near = far;
    at_near = at_far;
  }
  return std::nullopt;
}

/// Newton's method from a place known to be near; nothing where it leads away.
std::optional<double> crossing_near(const Shape& shape, double lift, double start) {
  constexpr double near = 1 * degree;
  double angle = start;
  for (int i = 0; i < 6 && std::abs(angle - start) < near; ++i) {
    const double slope = shape.curve->derivative(angle, 1);
    const double step = (shape.curve->value(angle) - shape.base_level - lift) / slope;
    angle -= step;
    if (std::abs(step) < 1e-12) {
      return angle;
    }
  }
  return std::nullopt;
}

/// Crank angle at which the flank from the top toward `direction` has fallen to a lift above the base.
std::optional<double> crossing(const Shape& shape, double lift, double direction) {
  if (!(lift > 0) || lift >= shape.max_lift) {
    return std::nullopt;
  }
  constexpr double near = 0.02;  // of the lift
  if (shape.checks != nullptr) {
    for (const mechanism::CheckResult& check : *shape.checks) {
      const auto& known = direction < 0 ? check.opening : check.closing;
      if (known && std::abs(check.lift - lift) < near * lift) {
        if (const auto place = crossing_near(shape, lift, known->angle)) {
          return place;
        }
      }
    }
  }
  return flank_end([&](double angle) { return shape.curve->value(angle) - shape.base_level - lift; },
                   shape.top, direction);
}

Shape shape_of_sweep(const Sources& sources, int place, const LobeKey& key) {
  const FittedSweep& fitted = *sources.sweep(place);
  const auto& reduced = fitted.reduced;
  return {std::shared_ptr<const metrology::PeriodicSpline>(reduced, &reduced->fit.fit.curve),
          reduced->reduction.base_level,
          reduced->reduction.top,
          reduced->reduction.max_lift,
          fitted.basis,
          fmt::format("sweep of cylinder {}", key.cylinder),
          &reduced->reduction.checks};
}

Shape shape_of_card(const Observed& observed, build::Valve valve) {
  Memory& memory = observed.sources().memory();
  auto lobe = card_lobe(observed.build(), valve, memory);
  const bool card = lobe != nullptr;
  if (!card) {
    lobe = usual_lobe(expected_centre(observed.build(), valve), memory);
  }
  const auto curve = std::shared_ptr<const metrology::PeriodicSpline>(lobe, &*lobe->curve);
  const double top = expected_centre(observed.build(), valve);
  return {curve,  0,
          top,    curve->value(top),
          {},     card ? "card's shape through what was read" : "a usual lobe's shape through what was read",
          nullptr};
}

/// Places of the shape against those read, rising; events too close together to bend by are left out.
std::vector<ValveMotion::Node> nodes_of(const Shape& shape, const LobeState& state, double scale) {
  std::vector<ValveMotion::Node> nodes;
  for (const LobeEvents& events : state.lifts) {
    const double own = shape.to_card.to_measured(events.at) / scale;
    if (const auto place = crossing(shape, own, -1); place && events.opening) {
      nodes.push_back({*place, *events.opening});
    }
    if (const auto place = crossing(shape, own, +1); place && events.closing) {
      nodes.push_back({*place, *events.closing});
    }
  }
  if (state.top) {
    nodes.push_back({shape.top, *state.top});
  }
  for (const LobeEvents& events : state.drops) {
    const double own = shape.max_lift - events.at / (shape.to_card.factor * scale);
    if (const auto place = crossing(shape, own, -1); place && events.opening && !state.top) {
      nodes.push_back({*place, *events.opening});
    }
    if (const auto place = crossing(shape, own, +1); place && events.closing && !state.top) {
      nodes.push_back({*place, *events.closing});
    }
  }
  std::sort(nodes.begin(), nodes.end(), [](const auto& a, const auto& b) { return a.shape < b.shape; });
  constexpr double apart = 0.5 * degree;
  std::vector<ValveMotion::Node> kept;
  for (const auto& node : nodes) {
    if (kept.empty() || (node.shape - kept.back().shape > apart && node.crank - kept.back().crank > apart)) {
      kept.push_back(node);
    }
  }
  return kept;
}

/// A lobe as it was read, and the shape that stands for it, brought to the valve: lift = factor times the
/// shape's above its base, less the gap.
struct Scaled {
  Shape shape;
  std::shared_ptr<const LobeState> state;
  double scale = 1;  ///< of the shape's lift to the greatest lift read, on the card's basis
  double factor = 1;
  double gap = 0;

  double max_lift() const { return std::max(0.0, factor * shape.max_lift - gap); }
};

/// From the card's basis to the valve: by the rocker and less the lash, unless the card counts at the valve.
bool counts_at_valve(const build::Build& build) {
  return build.cam && build.cam->card && build.cam->card->basis == build::LiftBasis::valve;
}
double to_valve(const build::Build& build, build::Valve valve) {
  return counts_at_valve(build) ? 1 : rocker_ratio(build, valve);
}

std::optional<Scaled> scaled_shape(const Observed& observed, const LobeKey& key, const LobeReadings& readings,
                                   TdcOfWheels& tdc_of) {
  const auto state = read_lobe(observed, key, readings, tdc_of);
  if (!state || !lobe_centre(*state)) {
    return std::nullopt;
  }
  const bool swept = !readings.sweeps.empty() && observed.sources().sweep(readings.sweeps.front()) != nullptr;
  const Shape shape = swept ? shape_of_sweep(observed.sources(), readings.sweeps.front(), key)
                            : shape_of_card(observed, key.valve);
  const double own_max = shape.to_card.factor * shape.max_lift + shape.to_card.factor * shape.to_card.gap;
  const double scale = state->max_lift ? *state->max_lift / own_max : 1;
  const double ratio = to_valve(observed.build(), key.valve);
  const double gap = (counts_at_valve(observed.build()) ? 0 : running_lash(observed.build(), key.valve)) -
                     ratio * scale * shape.to_card.factor * shape.to_card.gap;
  return Scaled{shape, state, scale, ratio * scale * shape.to_card.factor, gap};
}

std::optional<ValveMotion> motion_from(const Scaled& scaled) {
  auto nodes = nodes_of(scaled.shape, *scaled.state, scaled.scale);
  if (nodes.empty()) {
    return std::nullopt;
  }
  ValveMotion motion(scaled.shape.curve, std::move(nodes), scaled.shape.top, scaled.shape.base_level,
                     scaled.factor, scaled.gap);
  motion.basis = scaled.shape.says;
  return motion;
}

/// What `make` makes of the valve's own lobe, else of the lowest other cylinder's of its kind that gives
/// anything.
template <class Made, class Make>
std::optional<Made> of_own_or_other(const Observed& observed, const LobeKey& key, Make make) {
  const auto& lobes = observed.sources().inventory().lobes;
  if (const auto own = lobes.find(key); own != lobes.end()) {
    if (auto made = make(key, own->second)) {
      return made;
    }
  }
  for (const auto& [other, readings] : lobes) {
    if (other.valve == key.valve && other.cylinder != key.cylinder) {
      if (auto made = make(other, readings)) {
        made->basis += fmt::format(", taken from cylinder {}", other.cylinder);
        return made;
      }
    }
  }
  return std::nullopt;
}

/// Straight between the nodes, one for one outside them.
double bent(const std::vector<ValveMotion::Node>& nodes, double angle, double ValveMotion::Node::*from,
            double ValveMotion::Node::*to) {
  const auto next =
      std::find_if(nodes.begin(), nodes.end(), [&](const auto& node) { return node.*from >= angle; });
  if (next == nodes.begin() || next == nodes.end()) {
    const auto& end = next == nodes.begin() ? nodes.front() : nodes.back();
    return end.*to + (angle - end.*from);
  }
  const auto& a = *(next - 1);
  const auto& b = *next;
  return a.*to + (angle - a.*from) / (b.*from - a.*from) * (b.*to - a.*to);
}

}  // namespace

ValveMotion::ValveMotion(std::shared_ptr<const metrology::PeriodicSpline> shape, std::vector<Node> nodes,
                         double shape_top, double base_level, double factor, double gap)
    : shape_(std::move(shape)),
      nodes_(std::move(nodes)),
      base_level_(base_level),
      factor_(factor),
      gap_(gap) {
  if (nodes_.empty()) {
    throw std::invalid_argument("ValveMotion: a shape needs one place at least to be put at");
  }
  // The bending keeps the order of places, so that the shape's top is the motion's.
  top_ = crank_of(shape_top);
  max_lift_ = std::max(0.0, factor_ * (shape_->value(shape_top) - base_level_) - gap_);
}

double ValveMotion::crank_of(double shape_angle) const {
  return bent(nodes_, shape_angle, &Node::shape, &Node::crank);
}

double ValveMotion::shape_angle(double crank_angle) const {
  // The whole cycle is looked at from the middle of what was read.
  const double middle = (nodes_.front().crank + nodes_.back().crank) / 2;
  const double angle = middle + wrap_centred(crank_angle - middle, full_cycle);
  return bent(nodes_, angle, &Node::crank, &Node::shape);
}

double ValveMotion::follower_lift(double crank_angle) const {
  return factor_ * (shape_->value(shape_angle(crank_angle)) - base_level_);
}

double ValveMotion::lift(double crank_angle) const {
  return std::max(0.0, follower_lift(crank_angle) - gap_);
}

ValveMotion::Span ValveMotion::span_above(double least, bool of_valve) const {
  const double level = least + (of_valve ? gap_ : 0);
  const auto above = [&](double angle) { return follower_lift(angle) - level; };
  const auto edge = [&](double direction) {
    return flank_end(above, top_, direction).value_or(top_ + direction * full_cycle / 2);
  };
  return {edge(-1), edge(+1)};
}

ValveMotion::Span ValveMotion::open_span(double least) const {
  return span_above(least, true);
}

ValveMotion::Span ValveMotion::follower_span(double least) const {
  return span_above(least, false);
}

double rocker_ratio(const build::Build& build, build::Valve valve) {
  const bool direct = build.cam && build.cam->follower == build::Follower::bucket;
  return direct ? 1 : stated_ratio(build, valve);
}

double running_lash(const build::Build& build, build::Valve valve) {
  if (!build.lash || (build.lifters && build.lifters->kind == build::LifterKind::hydraulic)) {
    return 0;
  }
  const auto& lash = valve == build::Valve::intake ? build.lash->intake : build.lash->exhaust;
  return lash ? lash->si() : 0;
}

std::optional<ValveMotion> valve_motion(const Observed& observed, const LobeKey& key, TdcOfWheels& tdc_of) {
  if (const auto* unmoved = observed.at_estimates() != nullptr
                                ? observed.at_estimates()->unmoved_motion(key, observed.moved())
                                : nullptr) {
    return *unmoved;
  }
  return of_own_or_other<ValveMotion>(
      observed, key, [&](const LobeKey& lobe, const LobeReadings& readings) -> std::optional<ValveMotion> {
        const auto scaled = scaled_shape(observed, lobe, readings, tdc_of);
        return scaled ? motion_from(*scaled) : std::nullopt;
      });
}

namespace {

/// Greatest lift read of a lobe at the valve: mean of its sweeps' and of those read at the top. Asks for
/// nothing else of the lobe; nothing where it was not read.
std::optional<NetLift> lift_read(const Observed& observed, const LobeKey& key, const LobeReadings& readings) {
  const build::Build& build = observed.build();
  double sum = 0;
  int count = 0;
  bool swept = false;
  for (const int place : readings.sweeps) {
    if (observed.sources().sweep(place) != nullptr) {
      sum += observed.swept_max_lift(place);
      ++count;
      swept = true;
    }
  }
  for (const int place : readings.tops) {
    if (observed.reading(place).lift) {
      const auto end = observed.reading(place).measured_at.value_or(build::MeasuredAt::lifter);
      sum += lift_basis(build, key.valve, end).to_card(observed.lift(place));
      ++count;
    }
  }
  if (count == 0) {
    return std::nullopt;
  }
  const double gap = counts_at_valve(build) ? 0 : running_lash(build, key.valve);
  return NetLift{std::max(0.0, to_valve(build, key.valve) * sum / count - gap),
                 fmt::format("{} of cylinder {}", swept ? "sweep" : "greatest lift", key.cylinder)};
}

}  // namespace

std::optional<NetLift> read_net_lift(const Observed& observed, const LobeKey& key, TdcOfWheels& tdc_of) {
  return of_own_or_other<NetLift>(
      observed, key, [&](const LobeKey& lobe, const LobeReadings& readings) -> std::optional<NetLift> {
        if (auto lift = lift_read(observed, lobe, readings)) {
          return lift;
        }
        const auto scaled = scaled_shape(observed, lobe, readings, tdc_of);
        return scaled ? std::optional(NetLift{scaled->max_lift(), scaled->shape.says}) : std::nullopt;
      });
}

}  // namespace fettle::stations
