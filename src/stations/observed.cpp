#include "stations/observed.h"

#include <stdexcept>

#include "mechanism/circular.h"

namespace fettle::stations {

double Observed::value(std::size_t input) const {
  if (used_ != nullptr) {
    (*used_)[input] = true;
  }
  return values_[input];
}

std::array<double, 2> Observed::biases(const Sources::ToolInUse& tool) const {
  std::array<double, 2> biases{};
  for (std::size_t i = 0; i < tool.biases; ++i) {
    biases[i] = value(tool.first_bias + i);
  }
  return biases;
}

double Observed::without_bias(const Sources::ToolInUse& tool, double reading) const {
  const auto values = biases(tool);
  double corrected = metrology::without_bias(tool.tool, reading, std::span(values).first(tool.biases));
  if (tool.setting) {
    corrected -= value(*tool.setting);
  }
  return tool.set_on != nullptr ? without_bias(*tool.set_on, corrected) : corrected;
}

double Observed::without_wheel_error(int place, double wheel) const {
  const Sources::ToolInUse& tool = sources_.wheel_of(place);
  return without_bias(tool, wheel);
}

double Observed::turned(int place) const {
  const auto input = sources_.wheel_input(place);
  if (!input) {
    throw std::invalid_argument("Observed::turned: this reading has no wheel reading");
  }
  return sources_.counting(place) * without_wheel_error(place, value(*input));
}

double Observed::mean_turned(const std::vector<int>& readings) const {
  const double first = turned(readings.front());
  double sum = 0;
  for (const int place : readings) {
    sum += mechanism::wrap_centred(turned(place) - first, mechanism::full_turn);
  }
  return first + sum / static_cast<double>(readings.size());
}

double Observed::lift(int place) const {
  const auto input = sources_.lift_input(place);
  if (!input) {
    throw std::invalid_argument("Observed::lift: this reading has no indicator reading");
  }
  const Sources::ToolInUse& tool = sources_.indicator_of(place);
  return without_bias(tool, value(*input));
}

double Observed::amount(int place, Amount amount) const {
  const auto input = sources_.amount_input(place, amount);
  if (!input) {
    throw std::invalid_argument("Observed::amount: this reading has no such quantity");
  }
  switch (amount) {
    case Amount::turns:
    case Amount::angle:
    case Amount::nut_factor:
      return value(*input);
    case Amount::temperature:
      return reading(place).temperature->si() + value(*input);  // the input is what it was missed by
    case Amount::load:
    case Amount::volume:
    case Amount::mass:
    case Amount::pressure:
    case Amount::torque:
      return without_bias(sources_.tester_of(place), value(*input));
    default:
      return without_bias(sources_.gauge_of(place), value(*input));
  }
}

double Observed::sheet_error(SheetFigure figure, build::Valve valve) const {
  const auto input = sources_.sheet_input(figure, valve);
  return input ? value(*input) : 0;
}

double Observed::slack(int place) const {
  const auto input = sources_.slack_input(place);
  if (!input) {
    throw std::invalid_argument("Observed::slack: this reading has no slack");
  }
  return value(*input);
}

double Observed::swept_tdc(int place) const {
  const FittedTdc* fitted = sources_.tdc_sweep(place);
  if (fitted == nullptr) {
    throw std::invalid_argument("Observed::swept_tdc: this reading has no fitted sweep");
  }
  const double sign = sources_.counting(place);
  return sign * without_wheel_error(place, sign * value(fitted->input));
}

SweptLobe Observed::lobe(int place) const {
  const FittedSweep* fitted = sources_.sweep(place);
  if (fitted == nullptr) {
    throw std::invalid_argument("Observed::lobe: this reading has no fitted sweep");
  }
  std::vector<double> mode_values(fitted->reduced->block.inputs.size());
  for (std::size_t i = 0; i < mode_values.size(); ++i) {
    mode_values[i] = value(fitted->first_mode + i);
  }
  const Eigen::VectorXd features = fitted->reduced->block.values(mode_values);
  const double sign = sources_.counting(place);
  const auto angle = [&](Eigen::Index feature) {
    return sign * without_wheel_error(place, sign * features[feature]);
  };

  // What the indicator shows too much stands on every lift above its zero: the true lift is passed later.
  const Sources::ToolInUse& indicator = sources_.indicator_of(place);
  const double drift = fitted->drift ? value(*fitted->drift) : 0;
  const double excess = -without_bias(indicator, 0.0) + drift;

  const mechanism::LobeReduction& reduction = fitted->reduced->reduction;
  SweptLobe lobe;
  lobe.top = angle(mechanism::LobeCovariance::top());
  lobe.max_lift = fitted->basis.to_card(features[mechanism::LobeCovariance::max_lift()] - excess);
  for (std::size_t i = 0; i < reduction.checks.size(); ++i) {
    const mechanism::CheckResult& check = reduction.checks[i];
    if (check.opening && check.closing) {
      lobe.crossings.push_back(
          {fitted->card_lifts[i],
           angle(mechanism::LobeCovariance::opening(i)) + excess / check.opening->slope,
           angle(mechanism::LobeCovariance::closing(i)) + excess / check.closing->slope});
    }
  }
  return lobe;
}

}  // namespace fettle::stations
