// The part of Sources that fits whole sweeps.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <tbb/parallel_for.h>

#include "mechanism/circular.h"
#include "stations/limits.h"
#include "stations/sources.h"

namespace fettle::stations {

using build::Reading;
using mechanism::full_turn;
using mechanism::wrap_centred;

std::vector<mechanism::SweepPoint> Sources::sweep_points(int place) const {
  const Reading& reading = build_.readings[static_cast<std::size_t>(place)];
  const double sign = counting(place);
  const double lift_u = indicator_u(place);
  const double angle_u = wheel_u(place);
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

void Sources::fit_lobe_sweeps() {
  std::vector<int> places;
  for (std::size_t i = 0; i < build_.readings.size(); ++i) {
    const Reading& reading = build_.readings[i];
    if (reading.kind == build::ReadingKind::lobe_sweep && reading.turning != build::Turning::backward) {
      places.push_back(static_cast<int>(i));
    }
  }
  std::vector<FittedSweep> fitted(places.size());
  tbb::parallel_for(std::size_t{0}, places.size(),
                    [&](std::size_t i) { fitted[i] = fit_lobe_sweep(places[i]); });
  for (std::size_t i = 0; i < places.size(); ++i) {
    sweeps_.emplace(places[i], std::move(fitted[i]));
  }
}

FittedSweep Sources::fit_lobe_sweep(int place) const {
  const Reading& reading = build_.readings[static_cast<std::size_t>(place)];
  FittedSweep fitted;
  fitted.basis = lift_basis(build_, *reading.valve, reading.measured_at.value_or(build::MeasuredAt::lifter));
  std::vector<double> measured_lifts;
  for (const double card_lift : check_lifts(build_, *reading.valve)) {
    if (const double measured = fitted.basis.to_measured(card_lift); measured > 0) {
      measured_lifts.push_back(measured);
      fitted.card_lifts.push_back(card_lift);
    }
  }
  fitted.reduced = memory_->sweep(sweep_points(place), measured_lifts);
  return fitted;
}

void Sources::add_lobe_sweep(int place) {
  FittedSweep& fitted = sweeps_.at(place);
  if (!fitted.reduced->reduction.found) {
    assumptions_.push_back(
        fmt::format("The sweep readings[{}] is not used: {}", place, fitted.reduced->reduction.summary));
    sweeps_.erase(place);
    return;
  }
  fitted.first_mode = inputs_.size();
  for (metrology::Input mode : fitted.reduced->block.inputs) {
    mode.scale_group = static_cast<std::size_t>(place);
    add(std::move(mode), {place, "", "points of the sweep"});
  }
  if (auto drift = metrology::drift_input(indicator_of(place).tool, "drift of the indicator's zero")) {
    fitted.drift = add(std::move(*drift), {place, "", "drift of the indicator's zero"});
  }
  add_follower(place, fitted);
}

void Sources::add_tdc_sweep(int place) {
  const Reading& reading = build_.readings[static_cast<std::size_t>(place)];
  const double sign = counting(place);
  const double height_u = indicator_u(place);
  const double angle_u = wheel_u(place);
  std::vector<mechanism::TracePoint> points;
  for (const build::SweepPoint& point : reading.points) {
    points.push_back({sign * point.wheel.number(sign), point.lift.si(), height_u, angle_u});
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
    auto best = mechanism::slack_between(forward.reduced->reduction, forward.reduced->fit.fit.curve, points);
    // A wheel does not tell which of the two turns of the cycle it is on: the nearer fit is meant.
    for (mechanism::SweepPoint& point : points) {
      point.crank_angle += full_turn;
    }
    const auto other =
        mechanism::slack_between(forward.reduced->reduction, forward.reduced->fit.fit.curve, points);
    if (other && (!best || std::abs(other->slack) < std::abs(best->slack))) {
      best = other;
    }
    if (best) {
      metrology::Input input{"slack", {}, best->slack, std::nullopt};
      input.components.push_back(metrology::Component::normal(
          "points", mechanism::slack_u(*best, forward.reduced->fit.fit), std::max(1, best->points - 1)));
      sweep_slacks_[place] = add(std::move(input), {place, "", "sweep taken backward"});
    }
  }
}

}  // namespace fettle::stations
