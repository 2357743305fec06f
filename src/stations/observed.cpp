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

const FittedSweep& Observed::fitted_sweep(int place) const {
  const FittedSweep* fitted = sources_.sweep(place);
  if (fitted == nullptr) {
    throw std::invalid_argument("Observed: this reading has no fitted sweep");
  }
  return *fitted;
}

double Observed::feature(const FittedSweep& fitted, Eigen::Index feature) const {
  const metrology::BlockInputs& block = fitted.reduced->block;
  double sum = block.estimate[feature];
  const Eigen::Index modes = block.modes_of(feature);
  for (Eigen::Index mode = 0; mode < modes; ++mode) {
    sum += block.factor(feature, mode) * value(fitted.first_mode + static_cast<std::size_t>(mode));
  }
  return sum;
}

// What the indicator shows too much stands on every lift above its zero: the true lift is passed later.
double Observed::excess_lift(int place, const FittedSweep& fitted) const {
  const double drift = fitted.drift ? value(*fitted.drift) : 0;
  return -without_bias(sources_.indicator_of(place), 0.0) + drift;
}

double Observed::swept_max_lift(int place) const {
  const FittedSweep& fitted = fitted_sweep(place);
  return fitted.basis.to_card(feature(fitted, SweptFeature::max_lift()) - excess_lift(place, fitted));
}

SweptLobe Observed::lobe(int place) const {
  const FittedSweep& fitted = fitted_sweep(place);
  const double sign = sources_.counting(place);
  const auto angle = [&](Eigen::Index which) {
    return sign * without_wheel_error(place, sign * feature(fitted, which));
  };
  const double excess = excess_lift(place, fitted);

  const mechanism::LobeReduction& reduction = fitted.reduced->reduction;
  SweptLobe lobe;
  lobe.top = angle(SweptFeature::top());
  lobe.max_lift = swept_max_lift(place);
  for (std::size_t i = 0; i < reduction.checks.size(); ++i) {
    const mechanism::CheckResult& check = reduction.checks[i];
    if (check.opening && check.closing) {
      lobe.crossings.push_back({fitted.card_lifts[i],
                                angle(SweptFeature::opening(i)) + excess / check.opening->slope,
                                angle(SweptFeature::closing(i)) + excess / check.closing->slope});
    }
  }
  return lobe;
}

}  // namespace fettle::stations
