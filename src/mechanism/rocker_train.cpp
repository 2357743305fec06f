#include "mechanism/rocker_train.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
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

std::optional<Planar> closed_cup(const RockerGeometry& g) {
  const auto tip = tip_angle(g.pivot, g.tip, g.tip_radius, 0.0);
  if (!tip) {
    return std::nullopt;
  }
  return g.pivot + turned(g.cup, *tip - std::atan2(g.tip.y, g.tip.x));
}

}  // namespace

std::optional<std::string> rocker_problem(const RockerGeometry& g) {
  if (!all_finite(g)) {
    return "the rocker's dimensions must be finite numbers";
  }
  if (!(g.tip_radius >= 0.0 && g.pushrod_length > 0.0 && length(g.tip) > 0.0 && length(g.cup) > 0.0)) {
    return "rocker arms and pushrod must be longer than zero, the tip's radius not below";
  }
  if (!(length(g.tappet_axis) > 0.0 && length(g.mount_axis) > 0.0 && length(g.deck_normal) > 0.0)) {
    return "the axes of tappet, mount and deck need a direction";
  }
  const auto cup = closed_cup(g);
  if (!cup) {
    return "the rocker's tip does not reach the closed valve's from this pivot";
  }
  const auto slack = rise_to_reach(g, *cup, g.pushrod_length);
  if (!slack) {
    return "the pushrod does not reach from tappet to rocker";
  }
  const Planar foot = g.tappet + *slack * unit(g.tappet_axis);
  const double sine = cross(foot - g.pivot, *cup - g.pivot) / (length(foot - g.pivot) * length(g.cup));
  if (!(std::abs(sine) > 1e-6)) {
    return "the pushrod points through the rocker's pivot and cannot turn it";
  }
  return std::nullopt;
}

RockerTrain::RockerTrain(const RockerGeometry& geometry) : geometry_(geometry) {
  if (const auto problem = rocker_problem(geometry)) {
    throw std::invalid_argument("RockerTrain: " + *problem);
  }
  const Planar cup = *closed_cup(geometry);
  closed_tip_angle_ = *tip_angle(geometry.pivot, geometry.tip, geometry.tip_radius, 0.0);
  closed_cup_angle_ = std::atan2(cup.y - geometry.pivot.y, cup.x - geometry.pivot.x);
  slack_ = *rise_to_reach(geometry, cup, geometry.pushrod_length);
  const Planar foot = geometry.tappet + slack_ * unit(geometry.tappet_axis);
  side_ = cross(foot - geometry.pivot, cup - geometry.pivot) > 0.0 ? 1.0 : -1.0;
}

std::optional<RockerState> RockerTrain::at(double rise) const {
  if (!(rise >= 0.0 && std::isfinite(rise))) {
    return std::nullopt;
  }
  const RockerGeometry& g = geometry_;
  const Planar axis = unit(g.tappet_axis);
  const Planar foot = g.tappet + (slack_ + rise) * axis;
  const auto cup_angle = arm_angle(g.pivot, length(g.cup), foot, g.pushrod_length, side_);
  if (!cup_angle) {
    return std::nullopt;
  }
  const double turn = wrap_centred(closed_cup_angle_ - *cup_angle, full_turn);
  const double tip_direction = closed_tip_angle_ - turn;
  const Planar tip{length(g.tip) * std::cos(tip_direction), length(g.tip) * std::sin(tip_direction)};
  if (!(tip.x > 0.0)) {
    return std::nullopt;
  }
  const Planar cup{length(g.cup) * std::cos(*cup_angle), length(g.cup) * std::sin(*cup_angle)};
  const Planar pushrod = (1.0 / g.pushrod_length) * (g.pivot + cup - foot);
  const double along = dot(pushrod, axis);
  const double leverage = cross(pushrod, cup);  // of the pushrod about the pivot, positive where it opens
  RockerState state;
  state.rise = rise;
  state.rocker_angle = turn;
  // A difference of sines as a product: small lifts keep their digits.
  state.valve_lift = 2.0 * length(g.tip) * std::cos(closed_tip_angle_ - 0.5 * turn) * std::sin(0.5 * turn);
  state.contact = g.pivot.x + tip.x;
  state.ratio = tip.x * along / leverage;
  state.slip = (tip.y - g.tip_radius) / tip.x;
  state.pushrod_angle = std::atan2(cross(axis, pushrod), along);
  state.tappet_side = cross(axis, pushrod) / along;
  state.pushrod_force = tip.x / leverage;
  if (!(state.ratio > 0.0)) {
    return std::nullopt;
  }
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
  const double cup_angle = closed_cup_angle_ + *tip - closed_tip_angle_;
  const Planar cup{length(g.cup) * std::cos(cup_angle), length(g.cup) * std::sin(cup_angle)};
  const auto reached = rise_to_reach(g, g.pivot + cup, g.pushrod_length);
  if (!reached || !at(std::max(0.0, *reached - slack_))) {
    return std::nullopt;
  }
  return *reached - slack_;
}

std::optional<Sweep> RockerTrain::sweep(double most_rise) const {
  const auto open = at(most_rise);
  const auto closed = at(0.0);
  if (!open || !closed) {
    return std::nullopt;
  }
  Sweep sweep{std::min(open->contact, closed->contact), std::max(open->contact, closed->contact),
              closed->contact, open->contact};
  // The contact is farthest out where the tip's circle stands at the pivot's height.
  if (closed_tip_angle_ > 0.0 && closed_tip_angle_ < open->rocker_angle) {
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
  const auto cup = closed_cup(geometry);
  if (!cup) {
    return std::nullopt;
  }
  return length(*cup - geometry.tappet - slack * unit(geometry.tappet_axis));
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
    if (rocker_problem(moved)) {
      return std::nullopt;
    }
    const auto sweep = RockerTrain(moved).sweep(most_rise_);
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

// Root of `wanted` of the sweep nearest to the pivot as it is: a scan outward both ways, then bracketed.
template <typename Wanted>
std::optional<PushrodChoice> nearest_root(const RockerGeometry& geometry, double most_rise, double range,
                                          Wanted wanted) {
  if (!(range > 0.0 && std::isfinite(range))) {
    throw std::invalid_argument("pushrod choice: the range of the pivot's height must be greater than zero");
  }
  const PivotStudy study(geometry, most_rise);
  constexpr int steps = 64;
  std::optional<PushrodChoice> best;
  for (const double way : {1.0, -1.0}) {
    auto last = study.at(0.0);
    for (int i = 1; i <= steps && last; ++i) {
      const double height = way * range * i / steps;
      auto next = study.at(height);
      if (next && wanted(last->sweep) * wanted(next->sweep) <= 0.0) {
        std::uintmax_t iterations = 100;
        const auto [low, high] = boost::math::tools::toms748_solve(
            [&](double h) { return wanted(study.at(h)->sweep); }, std::min(last->pivot_height, height),
            std::max(last->pivot_height, height), boost::math::tools::eps_tolerance<double>(48), iterations);
        const double root = 0.5 * (low + high);
        if (!best || std::abs(root) < std::abs(best->pivot_height)) {
          best = study.at(root);
        }
        break;
      }
      last = next;
    }
  }
  return best;
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
