#include "stations/valve_motion.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include <fmt/format.h>

#include "mechanism/circular.h"
#include "quantity/angle.h"
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
};

/// Crank angle at which the flank from the top toward `direction` has fallen to a lift above the base.
std::optional<double> crossing(const Shape& shape, double lift, double direction) {
  if (!(lift > 0) || lift >= shape.max_lift) {
    return std::nullopt;
  }
  constexpr double step = 1 * degree;
  const auto above = [&](double angle) { return shape.curve->value(angle) - shape.base_level - lift; };
  double near = shape.top;
  double far = shape.top;
  while (above(far) > 0) {
    near = far;
    far += direction * step;
    if (std::abs(far - shape.top) > full_cycle / 2) {
      return std::nullopt;
    }
  }
  for (int i = 0; i < 60; ++i) {
    const double middle = (near + far) / 2;
    (above(middle) > 0 ? near : far) = middle;
  }
  return (near + far) / 2;
}

Shape shape_of_sweep(const Sources& sources, int place, const LobeKey& key) {
  const FittedSweep& fitted = *sources.sweep(place);
  const auto& reduced = fitted.reduced;
  return {std::shared_ptr<const metrology::PeriodicSpline>(reduced, &reduced->fit.fit.curve),
          reduced->reduction.base_level,
          reduced->reduction.top,
          reduced->reduction.max_lift,
          fitted.basis,
          fmt::format("sweep of cylinder {}", key.cylinder)};
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
  return {curve, 0,
          top,   curve->value(top),
          {},    card ? "card's shape through what was read" : "a usual lobe's shape through what was read"};
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

std::optional<ValveMotion> motion_from(const Observed& observed, const LobeKey& key,
                                       const LobeReadings& readings, TdcOfWheels& tdc_of) {
  const auto state = read_lobe(observed, key, readings, tdc_of);
  if (!state || !lobe_centre(*state)) {
    return std::nullopt;
  }
  const bool swept = !readings.sweeps.empty() && observed.sources().sweep(readings.sweeps.front()) != nullptr;
  const Shape shape = swept ? shape_of_sweep(observed.sources(), readings.sweeps.front(), key)
                            : shape_of_card(observed, key.valve);
  const double own_max = shape.to_card.factor * shape.max_lift + shape.to_card.factor * shape.to_card.gap;
  const double scale = state->max_lift ? *state->max_lift / own_max : 1;
  auto nodes = nodes_of(shape, *state, scale);
  if (nodes.empty()) {
    return std::nullopt;
  }
  // From the card's basis to the valve: by the rocker and less the lash, unless the card counts at the valve.
  const bool at_valve = observed.build().cam && observed.build().cam->card &&
                        observed.build().cam->card->basis == build::LiftBasis::valve;
  const double ratio = at_valve ? 1 : rocker_ratio(observed.build(), key.valve);
  const double gap = (at_valve ? 0 : running_lash(observed.build(), key.valve)) -
                     ratio * scale * shape.to_card.factor * shape.to_card.gap;
  ValveMotion motion(shape.curve, std::move(nodes), shape.base_level, ratio * scale * shape.to_card.factor,
                     gap);
  motion.basis = shape.says;
  return motion;
}

}  // namespace

ValveMotion::ValveMotion(std::shared_ptr<const metrology::PeriodicSpline> shape, std::vector<Node> nodes,
                         double base_level, double factor, double gap)
    : shape_(std::move(shape)),
      nodes_(std::move(nodes)),
      base_level_(base_level),
      factor_(factor),
      gap_(gap) {
  if (nodes_.empty()) {
    throw std::invalid_argument("ValveMotion: a shape needs one place at least to be put at");
  }
  // Greatest lift: among samples, then by parabola; smooth in the nodes.
  constexpr double step = 1 * degree;
  const double middle = (nodes_.front().crank + nodes_.back().crank) / 2;
  double best = middle;
  for (double angle = middle - 120 * degree; angle <= middle + 120 * degree; angle += step) {
    best = follower_lift(angle) > follower_lift(best) ? angle : best;
  }
  const double before = follower_lift(best - step);
  const double at = follower_lift(best);
  const double after = follower_lift(best + step);
  const double bend = before - 2 * at + after;
  const double shift = bend < 0 ? 0.5 * (before - after) / bend : 0;
  top_ = best + shift * step;
  max_lift_ = std::max(0.0, follower_lift(top_) - gap_);
}

double ValveMotion::shape_angle(double crank_angle) const {
  // The whole cycle is looked at from the middle of what was read.
  const double middle = (nodes_.front().crank + nodes_.back().crank) / 2;
  const double angle = middle + wrap_centred(crank_angle - middle, full_cycle);
  if (angle <= nodes_.front().crank) {
    return nodes_.front().shape + (angle - nodes_.front().crank);
  }
  if (angle >= nodes_.back().crank) {
    return nodes_.back().shape + (angle - nodes_.back().crank);
  }
  std::size_t i = 1;
  while (nodes_[i].crank < angle) {
    ++i;
  }
  const Node& a = nodes_[i - 1];
  const Node& b = nodes_[i];
  return a.shape + (angle - a.crank) / (b.crank - a.crank) * (b.shape - a.shape);
}

double ValveMotion::follower_lift(double crank_angle) const {
  return factor_ * (shape_->value(shape_angle(crank_angle)) - base_level_);
}

double ValveMotion::lift(double crank_angle) const {
  return std::max(0.0, follower_lift(crank_angle) - gap_);
}

ValveMotion::Span ValveMotion::span_above(double least, bool of_valve) const {
  constexpr double step = 1 * degree;
  const auto above = [&](double angle) { return follower_lift(angle) - (of_valve ? gap_ : 0) > least; };
  const auto edge = [&](double direction) {
    double near = top_;
    double far = top_;
    while (above(far) && std::abs(far - top_) < full_cycle / 2) {
      near = far;
      far += direction * step;
    }
    for (int i = 0; i < 50; ++i) {
      const double middle = (near + far) / 2;
      (above(middle) ? near : far) = middle;
    }
    return (near + far) / 2;
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
  const auto& lobes = observed.sources().inventory().lobes;
  if (const auto own = lobes.find(key); own != lobes.end()) {
    if (auto motion = motion_from(observed, key, own->second, tdc_of)) {
      return motion;
    }
  }
  for (const auto& [other, readings] : lobes) {
    if (other.valve == key.valve && other.cylinder != key.cylinder) {
      if (auto motion = motion_from(observed, other, readings, tdc_of)) {
        motion->basis += fmt::format(", taken from cylinder {}", other.cylinder);
        return motion;
      }
    }
  }
  return std::nullopt;
}

}  // namespace fettle::stations
