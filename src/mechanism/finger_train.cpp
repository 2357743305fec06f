#include "mechanism/finger_train.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <stdexcept>

#include <boost/math/tools/toms748_solve.hpp>

#include "mechanism/circular.h"
#include "mechanism/rocker_arm.h"

namespace fettle::mechanism {

namespace {

Planar polar(double radius, double angle) {
  return {radius * std::cos(angle), radius * std::sin(angle)};
}

std::optional<Planar> closed_roller(const FingerGeometry& g) {
  const auto tip = tip_angle(g.pivot, g.tip, g.tip_radius, 0.0);
  if (!tip) {
    return std::nullopt;
  }
  return g.pivot + turned(g.roller, *tip - std::atan2(g.tip.y, g.tip.x));
}

}  // namespace

std::optional<std::string> finger_problem(const FingerGeometry& g) {
  if (!finite(g.pivot) || !finite(g.tip) || !finite(g.roller) || !finite(g.cam) ||
      !std::isfinite(g.tip_radius + g.roller_radius + g.base_radius)) {
    return "the finger's dimensions must be finite numbers";
  }
  if (!(g.tip_radius >= 0.0 && g.roller_radius > 0.0 && g.base_radius > 0.0 && length(g.tip) > 0.0 &&
        length(g.roller) > 0.0)) {
    return "the finger's arms, roller and base circle must be greater than zero";
  }
  const auto roller = closed_roller(g);
  if (!roller) {
    return "the finger's tip does not reach the closed valve's from this pivot";
  }
  const Planar push = *roller - g.cam;
  if (!(length(push) > 0.0) || !(cross(unit(push), *roller - g.pivot) > 1e-6 * length(g.roller))) {
    return "the cam does not push the finger toward the valve's opening";
  }
  return std::nullopt;
}

FingerTrain::FingerTrain(const FingerGeometry& geometry) : geometry_(geometry) {
  if (const auto problem = finger_problem(geometry)) {
    throw std::invalid_argument("FingerTrain: " + *problem);
  }
  const Planar roller = *closed_roller(geometry);
  const Planar arm = roller - geometry.pivot;
  closed_tip_angle_ = *tip_angle(geometry.pivot, geometry.tip, geometry.tip_radius, 0.0);
  closed_roller_angle_ = std::atan2(arm.y, arm.x);
  closed_distance_ = length(roller - geometry.cam);
  closed_line_ = std::atan2(roller.y - geometry.cam.y, roller.x - geometry.cam.x);
  slack_ = closed_distance_ - geometry.base_radius - geometry.roller_radius;
  side_ = cross(geometry.cam - geometry.pivot, arm) > 0.0 ? 1.0 : -1.0;
}

std::optional<FingerState> FingerTrain::at(double rise) const {
  if (!(rise >= 0.0 && std::isfinite(rise))) {
    return std::nullopt;
  }
  const FingerGeometry& g = geometry_;
  const auto roller_angle = arm_angle(g.pivot, length(g.roller), g.cam, closed_distance_ + rise, side_);
  if (!roller_angle) {
    return std::nullopt;
  }
  const double turn = wrap_centred(closed_roller_angle_ - *roller_angle, full_turn);
  const Planar tip = polar(length(g.tip), closed_tip_angle_ - turn);
  const Planar arm = polar(length(g.roller), *roller_angle);
  const Planar line = g.pivot + arm - g.cam;
  FingerState state;
  state.rise = rise;
  state.finger_angle = turn;
  state.valve_lift = 2.0 * length(g.tip) * std::cos(closed_tip_angle_ - 0.5 * turn) * std::sin(0.5 * turn);
  state.contact = g.pivot.x + tip.x;
  state.ratio = tip.x * length(line) / cross(line, arm);
  state.swing = wrap_centred(std::atan2(line.y, line.x) - closed_line_, full_turn);
  if (!(tip.x > 0.0 && state.ratio > 0.0)) {
    return std::nullopt;
  }
  return state;
}

std::optional<FingerState> FingerTrain::at_cam_angle(const LiftCurve& profile, double most_profile,
                                                     double cam_angle, CamTurn turn, double lash) const {
  if (!profile || !(most_profile > 0.0 && lash >= 0.0 && std::isfinite(most_profile + lash + cam_angle))) {
    throw std::invalid_argument(
        "FingerTrain: a profile, its greatest lift and a lash not below zero are needed");
  }
  const double way = turn == CamTurn::anticlockwise ? -1.0 : 1.0;
  if (!at(most_profile)) {
    return std::nullopt;
  }
  // What the rise lacks of the profile where the roller then stands; not below zero at the greatest lift.
  const auto lacking = [&](double rise) {
    const double lift = profile(cam_angle + way * at(rise)->swing);
    if (!std::isfinite(lift) || lift > most_profile * (1.0 + 1e-9)) {
      throw std::invalid_argument("FingerTrain: the profile passes its greatest lift or gives no number");
    }
    return rise - std::max(0.0, lift - lash);
  };
  const double at_rest = lacking(0.0);
  if (at_rest >= 0.0) {
    return at(0.0);
  }
  const double at_most = lacking(most_profile);
  if (at_most <= 0.0) {
    return at(most_profile);
  }
  std::uintmax_t iterations = 100;
  const auto [low, high] =
      boost::math::tools::toms748_solve(lacking, 0.0, most_profile, at_rest, at_most,
                                        boost::math::tools::eps_tolerance<double>(50), iterations);
  return at(0.5 * (low + high));
}

std::optional<Sweep> FingerTrain::sweep(double most_rise) const {
  const auto open = at(most_rise);
  const auto closed = at(0.0);
  if (!open || !closed) {
    return std::nullopt;
  }
  Sweep sweep{std::min(open->contact, closed->contact), std::max(open->contact, closed->contact),
              closed->contact, open->contact};
  if (closed_tip_angle_ > 0.0 && closed_tip_angle_ < open->finger_angle) {
    sweep.greatest = geometry_.pivot.x + length(geometry_.tip);
  }
  return sweep;
}

}  // namespace fettle::mechanism
