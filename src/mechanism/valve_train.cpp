#include "mechanism/valve_train.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <stdexcept>

#include <Eigen/Dense>

namespace fettle::mechanism {

namespace {

/// What a lever does at one rise.
struct LeverPoint {
  double rise = 0.0;
  double turn = 0.0;
  double lift = 0.0;
};

bool positive(double x) {
  return std::isfinite(x) && x > 0.0;
}

bool not_negative(double x) {
  return std::isfinite(x) && x >= 0.0;
}

/// Least squares of y over x without a constant; the greatest residual beside it.
std::pair<LeverMaps::Polynomial, double> fitted(const std::vector<double>& x, const std::vector<double>& y) {
  const double scale = *std::max_element(x.begin(), x.end());
  const auto rows = static_cast<Eigen::Index>(x.size());
  Eigen::MatrixXd powers(rows, static_cast<Eigen::Index>(LeverMaps::terms));
  Eigen::VectorXd values(rows);
  for (Eigen::Index i = 0; i < rows; ++i) {
    const double u = x[static_cast<std::size_t>(i)] / scale;
    double power = 1.0;
    for (Eigen::Index k = 0; k < powers.cols(); ++k) {
      power *= u;
      powers(i, k) = power;
    }
    values(i) = y[static_cast<std::size_t>(i)];
  }
  const Eigen::VectorXd found = powers.colPivHouseholderQr().solve(values);
  LeverMaps::Polynomial polynomial{};
  double power = 1.0;
  for (std::size_t k = 0; k < LeverMaps::terms; ++k) {
    power *= scale;
    polynomial[k] = found(static_cast<Eigen::Index>(k)) / power;
  }
  return {polynomial, (powers * found - values).cwiseAbs().maxCoeff()};
}

std::optional<LeverMaps> lever_through(const std::function<std::optional<LeverPoint>(double)>& point,
                                       double most_rise) {
  constexpr int places = 24;
  const double reach = 1.1 * most_rise;
  std::vector<double> rise;
  std::vector<double> turn;
  std::vector<double> lift;
  for (int i = 0; i < places; ++i) {
    const double x = 0.5 * reach * (1.0 - std::cos(std::numbers::pi * (i + 0.5) / places));
    const auto found = point(x);
    if (!found) {
      return std::nullopt;
    }
    rise.push_back(found->rise);
    turn.push_back(std::abs(found->turn));
    lift.push_back(found->lift);
  }
  // The arm of the closed lever: the first coefficient of rise over turn.
  const double arm = fitted(turn, rise).first[0];
  if (!positive(arm)) {
    return std::nullopt;
  }
  std::transform(turn.begin(), turn.end(), turn.begin(), [arm](double angle) { return arm * angle; });
  LeverMaps maps;
  double error = 0.0;
  std::tie(maps.rise, error) = fitted(turn, rise);
  maps.greatest_error = error;
  std::tie(maps.lift, error) = fitted(turn, lift);
  maps.greatest_error = std::max(maps.greatest_error, error);
  std::tie(maps.lift_of_rise, error) = fitted(rise, lift);
  maps.greatest_error = std::max(maps.greatest_error, error);
  maps.arm = arm;
  return maps;
}

std::optional<std::string> spring_trouble(const ValveTrain& train) {
  if (train.springs.empty() || train.springs.size() > 2) {
    return "a valve has one spring or a nested pair";
  }
  double load = 0.0;
  for (const ChainSpring& spring : train.springs) {
    if (!not_negative(spring.load) || !positive(spring.rate) || !std::isfinite(spring.bend) ||
        !positive(spring.active_mass) || !not_negative(spring.damping_ratio)) {
      return "a spring needs a load that is not negative, a rate and a mass above zero";
    }
    if (spring.travel_to_solid && !positive(*spring.travel_to_solid)) {
      return "a spring is solid with its valve closed";
    }
    load += spring.load;
  }
  return load > 0.0 ? std::nullopt : std::optional<std::string>("the springs do not close the valve");
}

}  // namespace

double at(const LeverMaps::Polynomial& polynomial, double x) {
  double value = 0.0;
  for (std::size_t k = LeverMaps::terms; k-- > 0;) {
    value = x * (polynomial[k] + value);
  }
  return value;
}

double slope_at(const LeverMaps::Polynomial& polynomial, double x) {
  double value = 0.0;
  for (std::size_t k = LeverMaps::terms; k-- > 0;) {
    value = static_cast<double>(k + 1) * polynomial[k] + x * value;
  }
  return value;
}

LeverMaps constant_ratio(double ratio) {
  if (!positive(ratio)) {
    throw std::invalid_argument("constant_ratio: the ratio must be finite and greater than zero");
  }
  LeverMaps maps;
  maps.lift[0] = ratio;
  maps.lift_of_rise[0] = ratio;
  return maps;
}

std::optional<LeverMaps> lever_of(const RockerTrain& train, double most_rise) {
  return positive(most_rise) ? lever_through(
                                   [&train](double rise) -> std::optional<LeverPoint> {
                                     const auto state = train.at(rise);
                                     if (!state) {
                                       return std::nullopt;
                                     }
                                     return LeverPoint{rise, state->rocker_angle, state->valve_lift};
                                   },
                                   most_rise)
                             : std::nullopt;
}

std::optional<LeverMaps> lever_of(const FingerTrain& train, double most_rise) {
  return positive(most_rise) ? lever_through(
                                   [&train](double rise) -> std::optional<LeverPoint> {
                                     const auto state = train.at(rise);
                                     if (!state) {
                                       return std::nullopt;
                                     }
                                     return LeverPoint{rise, state->finger_angle, state->valve_lift};
                                   },
                                   most_rise)
                             : std::nullopt;
}

std::optional<std::string> valve_train_problem(const ValveTrain& train) {
  const bool pushrod = train.kind == TrainKind::pushrod;
  if (!positive(train.valve_mass) || (pushrod && !positive(train.tappet_mass)) ||
      (train.kind != TrainKind::direct && !positive(train.lever_mass))) {
    return "every mass of the train must be finite and greater than zero";
  }
  for (const double stiffness :
       {train.cam_stiffness, train.link_stiffness, train.tip_stiffness, train.seat_stiffness}) {
    if (!positive(stiffness)) {
      return "every stiffness of the train must be finite and greater than zero";
    }
  }
  if (!not_negative(train.contact_damping) || !not_negative(train.lash) || !not_negative(train.rubbing) ||
      !not_negative(train.settling) || !not_negative(train.loose_drag)) {
    return "damping, lash, rubbing, settling and drag must be finite and not negative";
  }
  if (!positive(train.lever.rise[0]) || !positive(train.lever.lift[0]) ||
      !positive(train.lever.lift_of_rise[0])) {
    return "the lever must open the valve as the tappet rises";
  }
  if (train.plunger) {
    const LifterPlunger& plunger = *train.plunger;
    if (!pushrod || train.lash > 0.0) {
      return "a hydraulic element needs a pushrod and leaves no lash";
    }
    if (!positive(plunger.oil_stiffness) || !not_negative(plunger.leak) ||
        !not_negative(plunger.refill_rate) || !not_negative(plunger.spring) ||
        !not_negative(plunger.preload) || !(plunger.travel >= plunger.preload)) {
      return "the plunger's preload must lie within its travel, and its figures must not be negative";
    }
  }
  return spring_trouble(train);
}

double standing_load(const ValveTrain& train, double lift) {
  double load = 0.0;
  for (const ChainSpring& spring : train.springs) {
    load += spring.load + lift * (spring.rate + lift * spring.bend);
  }
  return load;
}

double mass_at_valve(const ValveTrain& train) {
  const double ratio = train.lever.lift_of_rise[0];
  double mass = train.valve_mass;
  if (train.kind != TrainKind::direct) {
    mass += train.lever_mass / (ratio * ratio);
  }
  if (train.kind == TrainKind::pushrod) {
    mass += train.tappet_mass / (ratio * ratio);
  }
  for (const ChainSpring& spring : train.springs) {
    mass += spring.active_mass / 3.0;
  }
  return mass;
}

double bar_inertia(double mass, double arm_a, double arm_b) {
  if (!positive(mass) || !not_negative(arm_a) || !not_negative(arm_b) || !positive(arm_a + arm_b)) {
    throw std::invalid_argument("bar_inertia: the mass and one of the arms must be greater than zero");
  }
  return mass * (arm_a * arm_a * arm_a + arm_b * arm_b * arm_b) / (3.0 * (arm_a + arm_b));
}

}  // namespace fettle::mechanism
