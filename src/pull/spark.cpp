#include "pull/spark.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <boost/math/tools/minima.hpp>

#include "pull/assemble.h"

namespace fettle::pull {

namespace {

constexpr double pi = std::numbers::pi;
constexpr double degree = pi / 180.0;
constexpr double firing = 2.0 * pi;

}  // namespace

ClosedCycle::ClosedCycle(const EnginePlan& plan, const ModelOptions& model, const CylinderPlan& cylinder,
                         double speed)
    : plan_(&plan),
      burn_model_(model.burn_model),
      gas_(gases_of(plan)),
      setup_(cylinder_setup(plan, cylinder, model)),
      crank_(plan.crank),
      area_(0.25 * pi * plan.bore * plan.bore),
      clearance_(area_ * crank_.stroke() / (cylinder.compression_ratio - 1.0)),
      speed_(speed) {}

Charge ClosedCycle::charge(const gasflow::CycleRecord& record) const {
  const double burned = std::clamp(1.0 - record.trapped_fresh / record.trapped_mass, 0.0, 1.0);
  const double temperature =
      gas_.temperature_from_energy(record.trapped_energy / record.trapped_mass, burned, 400.0);
  const double volume = clearance_ + area_ * crank_.depth(setup_.intake_closing);
  const double pressure = record.trapped_mass * gas_.gas_constant(burned) * temperature / volume;
  return {{pressure, temperature, 0.0, burned}, record.trapped_mass};
}

Charge ClosedCycle::charge_at(const gasflow::GasState& gas) const {
  const double volume = clearance_ + area_ * crank_.depth(setup_.intake_closing);
  return {gas, gas.pressure * volume / (gas_.gas_constant(gas.burned) * gas.temperature)};
}

/// The unfired charge at a crank angle from firing TDC: compressed without heat, with the mean of the heat
/// ratios at both ends.
gasflow::BurnState ClosedCycle::unfired(const Charge& charge, double after_tdc) const {
  const double volume = clearance_ + area_ * crank_.depth(after_tdc);
  const double first_volume = clearance_ + area_ * crank_.depth(setup_.intake_closing);
  const double density = charge.mass / volume;
  const double burned = charge.gas.burned;
  double temperature = charge.gas.temperature;
  for (int i = 0; i < 3; ++i) {
    const double gamma =
        0.5 * (gas_.heat_ratio(charge.gas.temperature, burned) + gas_.heat_ratio(temperature, burned));
    temperature = charge.gas.temperature * std::pow(first_volume / volume, gamma - 1.0);
  }
  const double pressure = density * gas_.gas_constant(burned) * temperature;
  const double moles = burned * gas_.gas_constant(1.0) / gas_.gas_constant(burned);
  gasflow::BurnState state;
  state.piston_speed = crank_.stroke() * speed_ / pi;
  state.viscosity = gasflow::viscosity(temperature) / density;
  state.laminar_speed = gasflow::laminar_speed(plan_->fuel, plan_->equivalence_ratio, temperature, pressure,
                                               std::clamp(moles, 0.0, 1.0));
  state.height = volume / area_;
  state.stroke = crank_.stroke();
  state.flame_travel = 0.5 * setup_.bore + plan_->plug_offset;
  return state;
}

gasflow::CylinderSetup::Burn ClosedCycle::burn(const Charge& charge, double advance) const {
  const auto angles = gasflow::burn_angles(unfired(charge, -advance), unfired(charge, 0.0));
  return gasflow::wiebe_burn(angles, firing - advance, burn_efficiency);
}

void ClosedCycle::set_burn(gasflow::CylinderSetup& setup, const Charge& charge, double advance) const {
  setup.burn.reset();
  setup.flame_burn.reset();
  if (burn_model_ == BurnModel::flame) {
    setup.flame_burn = {firing - advance,
                        {plan_->fuel, plan_->equivalence_ratio, plan_->bore, plan_->plug_offset},
                        burn_efficiency};
  } else {
    setup.burn = burn(charge, advance);
  }
}

ClosedCycle::Outcome ClosedCycle::run(const Charge& charge, double advance) const {
  gasflow::CylinderSetup setup = setup_;
  set_burn(setup, charge, advance);
  gasflow::Cylinder cylinder(gas_, setup, setup.intake_closing, charge.gas);
  const double span = setup.exhaust_opening - setup.intake_closing;
  const auto steps = static_cast<int>(std::ceil(span / (1.5 * degree)));
  const double turn = span / steps;
  for (int i = 0; i < steps; ++i) {
    cylinder.step(turn, turn / speed_, {});
  }
  return {cylinder.record().work, cylinder.record().knock_integral};
}

double ClosedCycle::best_advance(const Charge& charge) const {
  const auto loss = [&](double advance) { return -run(charge, advance).work; };
  constexpr int bits = 9;  // a thousandth of the range
  return boost::math::tools::brent_find_minima(loss, least_advance, most_advance, bits).first;
}

double ClosedCycle::knock_advance(const Charge& charge, double from, double to) const {
  constexpr double stride = 4.0 * degree;
  const auto knocks = [&](double advance) { return run(charge, advance).knock_integral >= 1.0; };
  double low = std::clamp(from - stride, least_advance, most_advance);
  double high = low;
  if (knocks(low)) {
    low = least_advance;
    if (high == low || knocks(low)) {
      return low;
    }
  } else {
    do {
      if (high >= to) {
        return most_advance;
      }
      low = high;
      high = std::min(low + stride, most_advance);
    } while (!knocks(high) && high < most_advance);
    if (high == most_advance && !knocks(high)) {
      return most_advance;
    }
  }
  while (high - low > 0.1 * degree) {
    const double middle = 0.5 * (low + high);
    (knocks(middle) ? high : low) = middle;
  }
  return low;
}

double given_advance(const EnginePlan& plan, double speed) {
  const auto& points = plan.spark;
  const auto above =
      std::find_if(points.begin(), points.end(), [&](const auto& p) { return p.first > speed; });
  if (above == points.begin()) {
    return points.front().second;
  }
  if (above == points.end()) {
    return points.back().second;
  }
  const auto below = above - 1;
  const double part = (speed - below->first) / (above->first - below->first);
  return below->second + part * (above->second - below->second);
}

}  // namespace fettle::pull
