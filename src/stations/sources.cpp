#include "stations/sources.h"

#include <cmath>
#include <stdexcept>

#include <fmt/format.h>

#include "build/names.h"
#include "build/validate_readings.h"
#include "mechanism/circular.h"
#include "quantity/angle.h"

namespace fettle::stations {
namespace {

using build::Build;
using build::Reading;
using build::ReadingKind;
using mechanism::full_turn;
using mechanism::wrap_centred;

constexpr double degree = quantity::radians_per_degree;
constexpr double inch = 0.0254;

mechanism::SliderCrank crank_of(const build::Engine& engine) {
  return mechanism::SliderCrank({.crank_throw = engine.stroke.si() / 2,
                                 .rod_length = engine.rod_length.si(),
                                 .pin_offset = engine.pin_offset ? engine.pin_offset->si() : 0});
}

mechanism::CylinderPhases phases_of(const build::Engine& engine) {
  mechanism::FiringPlan plan{engine.firing_order, {}};
  for (const auto& interval : engine.firing_intervals) {
    plan.intervals.push_back(interval.si());
  }
  return mechanism::CylinderPhases(plan);
}

std::optional<double> si(const std::optional<build::Measure>& measure) {
  return measure ? std::optional(measure->si) : std::nullopt;
}

/// The tool as metrology sees it. A wheel's error goes round once a turn (centring, division); an indicator's
/// stands at every lift above its zero alike.
metrology::Tool tool_of(const build::Tool& tool) {
  const bool angular = build::measures_angle(tool.kind);
  return {.kind = std::string(build::word(tool.kind)),
          .error_form = angular ? metrology::ErrorForm::once_a_turn : metrology::ErrorForm::offset,
          .resolution = si(tool.resolution),
          .permissible_error = si(tool.permissible_error),
          .range = {},
          .drift = si(tool.drift),
          .parallax = si(tool.parallax),
          .noise = si(tool.noise)};
}

/// Stand-ins where a reading names no tool (common practice, no source).
metrology::Tool usual_wheel() {
  return {.kind = "wheel of common practice",
          .error_form = metrology::ErrorForm::once_a_turn,
          .resolution = 0.5 * degree,
          .permissible_error = 0.25 * degree,
          .range = {},
          .drift = {},
          .parallax = 0.25 * degree,
          .noise = {}};
}
metrology::Tool usual_indicator() {
  return {.kind = "indicator of common practice",
          .error_form = metrology::ErrorForm::offset,
          .resolution = 0.001 * inch,
          .permissible_error = 0.001 * inch,
          .range = {},
          .drift = {},
          .parallax = {},
          .noise = {}};
}

/// Standard uncertainty of one reading's independent part; never zero, so that fits can weigh it.
double point_u(const metrology::Tool& tool, double least) {
  const double nothing = 0;
  return std::max(metrology::reading_input(tool, "", std::span(&nothing, 1)).u(), least);
}
constexpr double least_angle_u = 0.001 * degree;
constexpr double least_lift_u = 1e-7;

/// The reduction's features in the order of its covariance; absent ones are zero, as their rows are.
Eigen::VectorXd feature_values(const mechanism::LobeReduction& reduction,
                               const mechanism::LobeCovariance& covariance) {
  Eigen::VectorXd values = Eigen::VectorXd::Zero(covariance.matrix.rows());
  values[mechanism::LobeCovariance::base_level()] = reduction.base_level;
  values[mechanism::LobeCovariance::max_lift()] = reduction.max_lift;
  values[mechanism::LobeCovariance::top()] = reduction.top;
  for (std::size_t i = 0; i < reduction.checks.size(); ++i) {
    const mechanism::CheckResult& check = reduction.checks[i];
    values[mechanism::LobeCovariance::opening(i)] = check.opening ? check.opening->angle : 0;
    values[mechanism::LobeCovariance::closing(i)] = check.closing ? check.closing->angle : 0;
  }
  for (std::size_t i = 0; i < reduction.drops.size(); ++i) {
    const mechanism::DropResult& drop = reduction.drops[i];
    values[covariance.before(i)] = drop.before ? drop.before->angle : 0;
    values[covariance.after(i)] = drop.after ? drop.after->angle : 0;
  }
  return values;
}

/// A reading and its repeats, each brought to within half a turn of the first.
std::vector<double> near_first(const build::WheelMark& first, const std::vector<build::WheelMark>& repeats,
                               double counting) {
  const double number = first.number(counting);
  std::vector<double> values{number};
  for (const auto& repeat : repeats) {
    values.push_back(number + wrap_centred(repeat.number(counting) - number, full_turn));
  }
  return values;
}

}  // namespace

Sources::Sources(const Build& build)
    : build_(build),
      inventory_(take_inventory(build)),
      crank_(crank_of(build.engine)),
      phases_(phases_of(build.engine)) {
  add_tools();
  add_slopes();
  for (std::size_t i = 0; i < build.readings.size(); ++i) {
    add_reading(static_cast<int>(i));
  }
  for (const auto& [key, readings] : inventory_.lobes) {
    add_slack(readings);
  }
}

std::optional<std::size_t> Sources::find(const Places& places, int reading) {
  const auto found = places.find(reading);
  return found == places.end() ? std::nullopt : std::optional(found->second);
}

const FittedSweep* Sources::sweep(int reading) const {
  const auto found = sweeps_.find(reading);
  return found == sweeps_.end() ? nullptr : &found->second;
}

const FittedTdc* Sources::tdc_sweep(int reading) const {
  const auto found = tdc_sweeps_.find(reading);
  return found == tdc_sweeps_.end() ? nullptr : &found->second;
}

const Sources::ToolInUse& Sources::wheel_of(int reading) const {
  return *wheel_of_[static_cast<std::size_t>(reading)];
}

const Sources::ToolInUse& Sources::indicator_of(int reading) const {
  return *indicator_of_[static_cast<std::size_t>(reading)];
}

const LobeSlopes& Sources::slopes(build::Valve valve) const {
  return slopes_.at(valve);
}

double Sources::counting(const std::string& wheel) const {
  const auto found = build_.tools.find(wheel);
  const bool falls = found != build_.tools.end() && found->second.counts == build::Turning::backward;
  return falls ? -1 : 1;
}

std::size_t Sources::add(metrology::Input input, Origin origin) {
  estimates_.push_back(input.estimate);
  inputs_.push_back(std::move(input));
  origins_.push_back(std::move(origin));
  return inputs_.size() - 1;
}

void Sources::add_tools() {
  const auto add_tool = [this](std::map<std::string, ToolInUse>& tools, const std::string& name,
                               const metrology::Tool& tool, bool stated) {
    ToolInUse in_use{tool, inputs_.size(), 0, stated};
    for (metrology::Input& bias : metrology::bias_inputs(tool, name)) {
      const bool angular = &tools == &wheels_;
      const std::string owner = name.empty() ? (angular ? "unnamed wheel" : "unnamed indicator") : name;
      add(std::move(bias),
          {std::nullopt, owner, angular ? "centring and division of the wheel" : "error of the indicator"});
      ++in_use.biases;
    }
    tools.emplace(name, std::move(in_use));
  };
  for (const auto& [name, tool] : build_.tools) {
    add_tool(build::measures_angle(tool.kind) ? wheels_ : indicators_, name, tool_of(tool), true);
  }
  bool unnamed_wheel = false;
  bool unnamed_indicator = false;
  for (const Reading& reading : build_.readings) {
    const bool swept = !reading.points.empty();
    const bool uses_wheel = swept || reading.wheel || reading.slack;
    const bool uses_indicator = swept || reading.drop || reading.lift || reading.below_max;
    unnamed_wheel = unnamed_wheel || (!reading.tool && uses_wheel);
    unnamed_indicator = unnamed_indicator || (!reading.lift_tool && uses_indicator);
  }
  add_tool(wheels_, "", usual_wheel(), false);
  add_tool(indicators_, "", usual_indicator(), false);
  for (const Reading& reading : build_.readings) {
    wheel_of_.push_back(&wheels_.at(reading.tool.value_or("")));
    indicator_of_.push_back(&indicators_.at(reading.lift_tool.value_or("")));
    counting_.push_back(counting(reading.tool.value_or("")));
  }
  if (unnamed_wheel) {
    assumptions_.emplace_back(
        "Wheel readings that name no tool are taken as good to 1/4 deg parallax, read to 1/2 deg, on a wheel "
        "centred "
        "within 1/4 deg (common practice).");
  }
  if (unnamed_indicator) {
    assumptions_.emplace_back(
        "Indicator readings that name no tool are taken as read to 0.001 in on an indicator good to 0.001 in "
        "(common "
        "practice).");
  }
}

metrology::Component Sources::flat_nose(int place) const {
  const Reading& reading = build_.readings[static_cast<std::size_t>(place)];
  const LiftBasis basis =
      lift_basis(build_, *reading.valve, reading.measured_at.value_or(build::MeasuredAt::lifter));
  const double unseen = std::max(point_u(indicator_of(place).tool, least_lift_u), 0.0002 * inch);
  return metrology::Component::rectangular_half_width(
      "flat nose of the lobe", slopes(*reading.valve).nose_half_width(unseen * basis.factor));
}

void Sources::add_slopes() {
  bool usual = false;
  for (const Reading& reading : build_.readings) {
    const bool single =
        reading.kind == ReadingKind::lobe_point || (reading.kind == ReadingKind::lobe_top && reading.wheel);
    if (single && !slopes_.contains(*reading.valve)) {
      const LobeSlopes& slopes =
          slopes_.emplace(*reading.valve, LobeSlopes(build_, *reading.valve)).first->second;
      usual = usual || !slopes.from_card();
    }
  }
  if (usual) {
    assumptions_.emplace_back(
        "Doubt of an indicator is turned into crank degrees by the slope of a usual lobe, since the card "
        "gives no lift "
        "with durations.");
  }
}

void Sources::add_reading(int place) {
  const Reading& reading = build_.readings[static_cast<std::size_t>(place)];
  if (reading.kind == ReadingKind::lobe_sweep) {
    if (reading.turning != build::Turning::backward) {
      add_lobe_sweep(place);
    }
    return;
  }
  if (reading.kind == ReadingKind::tdc_sweep) {
    add_tdc_sweep(place);
    return;
  }
  if (reading.wheel) {
    const auto values = near_first(*reading.wheel, reading.repeats, counting(place));
    metrology::Input wheel = metrology::reading_input(wheel_of(place).tool, "wheel reading", values);
    if (reading.kind == ReadingKind::lobe_top) {
      wheel.components.push_back(flat_nose(place));
    }
    wheel_inputs_[place] = add(std::move(wheel), {place, "", "wheel reading"});
  }
  if (reading.slack) {
    std::vector<double> slacks{reading.slack->si()};
    for (const auto& repeat : reading.repeats) {
      slacks.push_back(repeat.radians);
    }
    // A slack is the difference of two readings of the wheel.
    metrology::Input slack = metrology::reading_input(wheel_of(place).tool, "slack", slacks);
    const auto end_points = slack.components;
    slack.components.insert(slack.components.end(), end_points.begin(), end_points.end());
    slack_inputs_[place] = add(std::move(slack), {place, "", "slack reading"});
  }
  for (const auto* length : {&reading.drop, &reading.lift, &reading.below_max}) {
    if (*length) {
      const double lift = (*length)->si();
      lift_inputs_[place] =
          add(metrology::reading_input(indicator_of(place).tool, "indicator reading", std::span(&lift, 1)),
              {place, "", "indicator reading"});
    }
  }
}

std::vector<mechanism::SweepPoint> Sources::sweep_points(int place) const {
  const Reading& reading = build_.readings[static_cast<std::size_t>(place)];
  const double sign = counting(place);
  const double lift_u = point_u(indicator_of(place).tool, least_lift_u);
  const double angle_u = point_u(wheel_of(place).tool, least_angle_u);
  std::vector<mechanism::SweepPoint> points;
  points.reserve(reading.points.size());
  double angle = sign * reading.points.front().wheel.number(sign);
  for (const build::SweepPoint& point : reading.points) {
    // A wheel shows one turn only: each step is taken the short way round.
    angle += wrap_centred(sign * point.wheel.number(sign) - angle, full_turn);
    points.push_back({angle, point.lift.si(), lift_u, angle_u});
  }
  return points;
}

void Sources::add_lobe_sweep(int place) {
  const Reading& reading = build_.readings[static_cast<std::size_t>(place)];
  mechanism::SweepOptions sweep_options;
  // A misread point is out by many times its doubt; a ramp that the curve cannot quite follow is not misread.
  sweep_options.smoothing.outlier_limit = 6;
  // Ramps are short: rather follow the noise a little than flatten them.
  sweep_options.smoothing.cross_validation_factor = 1;
  const auto points = sweep_points(place);
  // Knots go with the sweep, so that its result does not depend on how the wheel stands on the crank.
  sweep_options.smoothing.origin = points.front().crank_angle;
  FittedSweep fitted{mechanism::fit_lobe_sweep(points, sweep_options), {}, {}, {}, {}, 0, std::nullopt};
  if (!fitted.fit.fit.converged) {
    assumptions_.push_back(
        fmt::format("The sweep readings[{}] is not used: {}", place, fitted.fit.fit.summary));
    return;
  }
  fitted.basis = lift_basis(build_, *reading.valve, reading.measured_at.value_or(build::MeasuredAt::lifter));
  mechanism::ReductionOptions options;
  options.covered = fitted.fit.covered;
  options.check_lifts.clear();
  for (const double card_lift : check_lifts(build_, *reading.valve)) {
    if (const double measured = fitted.basis.to_measured(card_lift); measured > 0) {
      options.check_lifts.push_back(measured);
      fitted.card_lifts.push_back(card_lift);
    }
  }
  fitted.reduction = mechanism::reduce_lobe(fitted.fit.fit.curve, options);
  if (!fitted.reduction.found) {
    assumptions_.push_back(
        fmt::format("The sweep readings[{}] is not used: {}", place, fitted.reduction.summary));
    return;
  }
  add_features(place, fitted);
  sweeps_.emplace(place, std::move(fitted));
}

void Sources::add_features(int place, FittedSweep& fitted) {
  const auto covariance = mechanism::lobe_covariance(fitted.reduction, fitted.fit.fit);
  fitted.block = metrology::independent_inputs(
      {"sweep", feature_values(fitted.reduction, covariance), covariance.matrix, fitted.fit.fit.dof},
      static_cast<std::size_t>(place));
  fitted.first_mode = inputs_.size();
  for (const metrology::Input& mode : fitted.block.inputs) {
    add(mode, {place, "", "points of the sweep"});
  }
  if (auto drift = metrology::drift_input(indicator_of(place).tool, "drift of the indicator's zero")) {
    fitted.drift = add(std::move(*drift), {place, "", "drift of the indicator's zero"});
  }
}

void Sources::add_tdc_sweep(int place) {
  const Reading& reading = build_.readings[static_cast<std::size_t>(place)];
  const double sign = counting(place);
  const double height_u = point_u(indicator_of(place).tool, least_lift_u);
  const double wheel_u = point_u(wheel_of(place).tool, least_angle_u);
  std::vector<mechanism::TracePoint> points;
  for (const build::SweepPoint& point : reading.points) {
    points.push_back({sign * point.wheel.number(sign), point.lift.si(), height_u, wheel_u});
  }
  FittedTdc fitted{mechanism::tdc_from_trace(points, crank_), 0};
  if (!fitted.fit.converged) {
    assumptions_.push_back(fmt::format("The sweep readings[{}] is not used: {}", place, fitted.fit.summary));
    return;
  }
  metrology::Input input{"sweep through TDC", {}, fitted.fit.tdc, std::nullopt};
  // The scatter about the fit counts where it is worse than what the tools were said to do.
  const double scale = std::sqrt(std::max(1.0, fitted.fit.chi_squared / std::max(1, fitted.fit.dof)));
  input.components.push_back(metrology::Component::normal(
      "points", scale * std::sqrt(fitted.fit.covariance(0, 0)), std::max(1, fitted.fit.dof)));
  fitted.input = add(std::move(input), {place, "", "points of the sweep"});
  tdc_sweeps_.emplace(place, std::move(fitted));
}

void Sources::add_slack(const LobeReadings& readings) {
  if (readings.sweeps.empty() || sweep(readings.sweeps.front()) == nullptr) {
    return;
  }
  const FittedSweep& forward = *sweep(readings.sweeps.front());
  for (const int place : readings.backward_sweeps) {
    auto points = sweep_points(place);
    auto best = mechanism::slack_between(forward.reduction, forward.fit.fit.curve, points);
    // A wheel does not tell which of the two turns of the cycle it is on: the nearer fit is meant.
    for (mechanism::SweepPoint& point : points) {
      point.crank_angle += full_turn;
    }
    const auto other = mechanism::slack_between(forward.reduction, forward.fit.fit.curve, points);
    if (other && (!best || std::abs(other->slack) < std::abs(best->slack))) {
      best = other;
    }
    if (best) {
      metrology::Input input{"slack", {}, best->slack, std::nullopt};
      input.components.push_back(metrology::Component::normal(
          "points", mechanism::slack_u(*best, forward.fit.fit), std::max(1, best->points - 1)));
      sweep_slacks_[place] = add(std::move(input), {place, "", "sweep taken backward"});
    }
  }
}

}  // namespace fettle::stations
