#include "mechanism/rocker_train.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numbers>
#include <stdexcept>

#include <boost/math/tools/toms748_solve.hpp>

#include "mechanism/circular.h"
#include "mechanism/rocker_arm.h"

namespace fettle::mechanism {

namespace {

bool all_finite(const RockerGeometry& g) {
  return finite(g.pivot) && finite(g.tip) && finite(g.cup) && finite(g.tappet) && finite(g.tappet_axis) &&
         finite(g.mount_axis) && finite(g.deck_normal) && std::isfinite(g.tip_radius) &&
         std::isfinite(g.pushrod_length);
}

// Rises t along the axis at which the pushrod reaches from tappet to cup: |cup − tappet − t axis| = length.
// Of the two the one that leaves the tappet below the cup.
std::optional<double> rise_to_reach(const RockerGeometry& g, Planar cup, double pushrod) {
  const Planar axis = unit(g.tappet_axis);
  const Planar between = cup - g.tappet;
  const double across = cross(axis, between);
  const double along = (pushrod - across) * (pushrod + across);
  if (!(along > 0.0)) {
    return std::nullopt;
  }
  return dot(axis, between) - std::sqrt(along);
}

/// Centre of the pushrod's ball with the valve closed: `cup` turned by what brings `tip` to its direction
/// then.
Planar closed_cup(const RockerGeometry& g, double tip_angle) {
  const Planar turn = direction(tip_angle);
  const Planar tip = unit(g.tip);
  const Planar along{dot(turn, tip), cross(tip, turn)};  // cosine and sine between them
  return g.pivot + Planar{along.x * g.cup.x - along.y * g.cup.y, along.y * g.cup.x + along.x * g.cup.y};
}

/// The train with the valve closed into `closed`; why it cannot stand so, or nothing.
const char* close_valve(const RockerGeometry& g, RockerTrain::Closed& closed) {
  if (!all_finite(g)) {
    return "the rocker's dimensions must be finite numbers";
  }
  if (!(g.tip_radius >= 0.0 && g.pushrod_length > 0.0 && length(g.tip) > 0.0 && length(g.cup) > 0.0)) {
    return "rocker arms and pushrod must be longer than zero, the tip's radius not below";
  }
  if (!(length(g.tappet_axis) > 0.0 && length(g.mount_axis) > 0.0 && length(g.deck_normal) > 0.0)) {
    return "the axes of tappet, mount and deck need a direction";
  }
  const auto tip = tip_angle(g.pivot, g.tip, g.tip_radius, 0.0);
  if (!tip) {
    return "the rocker's tip does not reach the closed valve's from this pivot";
  }
  closed.tip_angle = *tip;
  closed.cup = closed_cup(g, *tip);
  const auto slack = rise_to_reach(g, closed.cup, g.pushrod_length);
  if (!slack) {
    return "the pushrod does not reach from tappet to rocker";
  }
  closed.slack = *slack;
  closed.foot = g.tappet + *slack * unit(g.tappet_axis);
  const double sine =
      cross(closed.foot - g.pivot, closed.cup - g.pivot) / (length(closed.foot - g.pivot) * length(g.cup));
  if (!(std::abs(sine) > 1e-6)) {
    return "the pushrod points through the rocker's pivot and cannot turn it";
  }
  return nullptr;
}

}  // namespace

std::optional<std::string> rocker_problem(const RockerGeometry& g) {
  RockerTrain::Closed closed;
  const char* problem = close_valve(g, closed);
  return problem != nullptr ? std::optional<std::string>(problem) : std::nullopt;
}

std::optional<RockerTrain> RockerTrain::standing(const RockerGeometry& geometry) {
  Closed closed;
  return close_valve(geometry, closed) == nullptr ? std::optional(RockerTrain(geometry, closed))
                                                  : std::nullopt;
}

namespace {

RockerTrain::Closed closed_or_throw(const RockerGeometry& geometry) {
  RockerTrain::Closed closed;
  if (const char* problem = close_valve(geometry, closed)) {
    throw std::invalid_argument(std::string("RockerTrain: ") + problem);
  }
  return closed;
}

}  // namespace

RockerTrain::RockerTrain(const RockerGeometry& geometry) : RockerTrain(geometry, closed_or_throw(geometry)) {}

RockerTrain::RockerTrain(const RockerGeometry& geometry, const Closed& closed)
    : geometry_(geometry),
      closed_tip_angle_(closed.tip_angle),
      closed_cup_angle_(std::atan2(closed.cup.y - geometry.pivot.y, closed.cup.x - geometry.pivot.x)),
      side_(cross(closed.foot - geometry.pivot, closed.cup - geometry.pivot) > 0.0 ? 1.0 : -1.0),
      slack_(closed.slack) {}

std::optional<RockerTrain::Posture> RockerTrain::posture(double rise) const {
  if (!(rise >= 0.0 && std::isfinite(rise))) {
    return std::nullopt;
  }
  const RockerGeometry& g = geometry_;
  const Planar axis = unit(g.tappet_axis);
  const Planar foot = g.tappet + (slack_ + rise) * axis;
  const double cup_arm = length(g.cup);
  const auto cup_angle = arm_angle(g.pivot, cup_arm, foot, g.pushrod_length, side_);
  if (!cup_angle) {
    return std::nullopt;
  }
  Posture posture;
  posture.turn = wrap_centred(closed_cup_angle_ - *cup_angle, full_turn);
  posture.tip = length(g.tip) * direction(closed_tip_angle_ - posture.turn);
  const Planar cup = cup_arm * direction(*cup_angle);
  posture.pushrod = (1.0 / g.pushrod_length) * (g.pivot + cup - foot);
  posture.along = dot(posture.pushrod, axis);
  posture.leverage = cross(posture.pushrod, cup);
  if (!(posture.tip.x > 0.0 && posture.ratio() > 0.0)) {
    return std::nullopt;
  }
  return posture;
}

std::optional<RockerState> RockerTrain::at(double rise) const {
  const auto posture = this->posture(rise);
  if (!posture) {
    return std::nullopt;
  }
  const double half = 0.5 * posture->turn;
  const double across = cross(unit(geometry_.tappet_axis), posture->pushrod);
  RockerState state;
  state.rise = rise;
  state.rocker_angle = posture->turn;
  // A difference of sines as a product: small lifts keep their digits.
  state.valve_lift = 2.0 * length(geometry_.tip) * std::cos(closed_tip_angle_ - half) * std::sin(half);
  state.contact = geometry_.pivot.x + posture->tip.x;
  state.ratio = posture->ratio();
  state.slip = (posture->tip.y - geometry_.tip_radius) / posture->tip.x;
  state.pushrod_angle = std::atan2(across, posture->along);
  state.tappet_side = across / posture->along;
  state.pushrod_force = posture->tip.x / posture->leverage;
  return state;
}

std::optional<double> RockerTrain::rise_for_lift(double valve_lift) const {
  const RockerGeometry& g = geometry_;
  // The lift of a closed valve comes out within this of nought, m.
  constexpr double rounding = 1e-15;
  if (!(valve_lift >= -rounding)) {
    return std::nullopt;
  }
  const auto tip = tip_angle(g.pivot, g.tip, g.tip_radius, std::max(valve_lift, 0.0));
  if (!tip) {
    return std::nullopt;
  }
  const Planar cup = length(g.cup) * direction(closed_cup_angle_ + *tip - closed_tip_angle_);
  const auto reached = rise_to_reach(g, g.pivot + cup, g.pushrod_length);
  if (!reached || !posture(std::max(0.0, *reached - slack_))) {
    return std::nullopt;
  }
  return *reached - slack_;
}

std::optional<Sweep> RockerTrain::sweep(double most_rise) const {
  const auto at_full_lift = posture(most_rise);
  const auto at_rest = posture(0.0);
  if (!at_full_lift || !at_rest) {
    return std::nullopt;
  }
  const double open = geometry_.pivot.x + at_full_lift->tip.x;
  const double closed = geometry_.pivot.x + at_rest->tip.x;
  Sweep sweep{std::min(open, closed), std::max(open, closed), closed, open};
  // The contact is farthest out where the tip's circle stands at the pivot's height.
  if (closed_tip_angle_ > 0.0 && closed_tip_angle_ < at_full_lift->turn) {
    sweep.greatest = geometry_.pivot.x + length(geometry_.tip);
  }
  return sweep;
}

RockerGeometry shifted(const RockerGeometry& geometry, const RockerShift& shift) {
  RockerGeometry result = geometry;
  const double head_raised = shift.gasket - shift.deck_cut - shift.head_cut;
  result.tappet = result.tappet + shift.base_radius * unit(geometry.tappet_axis) -
                  head_raised * unit(geometry.deck_normal) - Planar{0.0, shift.tip_height};
  result.pivot =
      result.pivot + shift.pivot_height * unit(geometry.mount_axis) - Planar{0.0, shift.tip_height};
  result.pushrod_length += shift.pushrod;
  return result;
}

std::optional<double> pushrod_for_slack(const RockerGeometry& geometry, double slack) {
  const auto tip = tip_angle(geometry.pivot, geometry.tip, geometry.tip_radius, 0.0);
  if (!tip) {
    return std::nullopt;
  }
  return length(closed_cup(geometry, *tip) - geometry.tappet - slack * unit(geometry.tappet_axis));
}

namespace {

/// The train with its pivot raised and its pushrod chosen so that the slack stays.
class PivotStudy {
 public:
  PivotStudy(const RockerGeometry& geometry, double most_rise)
      : geometry_(geometry), slack_(RockerTrain(geometry).slack()), most_rise_(most_rise) {}

  std::optional<PushrodChoice> at(double height) const {
    RockerGeometry moved = shifted(geometry_, {.pivot_height = height});
    const auto pushrod = pushrod_for_slack(moved, slack_);
    if (!pushrod) {
      return std::nullopt;
    }
    moved.pushrod_length = *pushrod;
    const auto train = RockerTrain::standing(moved);
    const auto sweep = train ? train->sweep(most_rise_) : std::nullopt;
    if (!sweep) {
      return std::nullopt;
    }
    return PushrodChoice{height, *pushrod, *pushrod - geometry_.pushrod_length, *sweep};
  }

 private:
  RockerGeometry geometry_;
  double slack_;
  double most_rise_;
};

/// A scan away from the pivot as it is, one way, for a change of sign of `wanted`.
template <typename Wanted>
class Scan {
 public:
  Scan(const PivotStudy& study, const Wanted& wanted, double step)
      : study_(study), wanted_(wanted), step_(step), far_(study.at(0.0)) {}

  bool ended() const { return !far_; }
  /// The root within the `i`th step, i = 1, 2, ... in turn.
  std::optional<double> root_in_step(int i) {
    const auto near = far_;
    far_ = study_.at(i * step_);
    if (!far_ || wanted_(near->sweep) * wanted_(far_->sweep) > 0.0) {
      return std::nullopt;
    }
    std::uintmax_t iterations = 100;
    const auto [low, high] = boost::math::tools::toms748_solve(
        [&](double height) { return wanted_(study_.at(height)->sweep); },
        std::min(near->pivot_height, far_->pivot_height), std::max(near->pivot_height, far_->pivot_height),
        boost::math::tools::eps_tolerance<double>(48), iterations);
    return 0.5 * (low + high);
  }

 private:
  const PivotStudy& study_;
  const Wanted& wanted_;
  double step_;
  std::optional<PushrodChoice> far_;
};

/// Root of `wanted` of the sweep nearest to the pivot as it is: a scan outward both ways at once.
template <typename Wanted>
std::optional<PushrodChoice> nearest_root(const RockerGeometry& geometry, double most_rise, double range,
                                          Wanted wanted) {
  if (!(range > 0.0 && std::isfinite(range))) {
    throw std::invalid_argument("pushrod choice: the range of the pivot's height must be greater than zero");
  }
  const PivotStudy study(geometry, most_rise);
  constexpr int steps = 64;
  Scan<Wanted> up(study, wanted, range / steps);
  Scan<Wanted> down(study, wanted, -range / steps);
  for (int i = 1; i <= steps; ++i) {
    const auto above = up.ended() ? std::nullopt : up.root_in_step(i);
    const auto below = down.ended() ? std::nullopt : down.root_in_step(i);
    constexpr double none = std::numeric_limits<double>::infinity();
    const double up_to = above.value_or(none);
    const double down_to = below.value_or(-none);
    if (above || below) {
      return study.at(up_to < -down_to ? up_to : down_to);
    }
  }
  return std::nullopt;
}

}  // namespace

std::optional<PushrodChoice> least_sweep_pushrod(const RockerGeometry& geometry, double most_rise,
                                                 double range) {
  return nearest_root(geometry, most_rise, range,
                      [](const Sweep& sweep) { return sweep.open - sweep.closed; });
}

std::optional<PushrodChoice> centred_sweep_pushrod(const RockerGeometry& geometry, double most_rise,
                                                   double range, double centre) {
  return nearest_root(geometry, most_rise, range,
                      [=](const Sweep& sweep) { return sweep.centre() - centre; });
}

}  // namespace fettle::mechanism
