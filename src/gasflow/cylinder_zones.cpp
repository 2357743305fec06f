#include <algorithm>
#include <cmath>
#include <numbers>

#include "gasflow/cylinder.h"

namespace fettle::gasflow {

double Cylinder::wrapped(double angle) {
  constexpr double cycle = 4.0 * std::numbers::pi;
  const double rest = std::fmod(angle, cycle);
  return rest < 0.0 ? rest + cycle : rest;
}

namespace {

/// Energy whose slope goes on straight where the polynomials are not valid: while the one pressure is sought,
/// a small burned zone takes any temperature, and the energy must not turn back.
double straight_energy(const GasPair& gas, double temperature, double burned) {
  const double inside = std::clamp(temperature, 400.0, 3500.0);
  const GasPair::Heats h = gas.heats(inside, burned);
  return h.enthalpy - h.gas_constant * inside + (h.cp - h.gas_constant) * (temperature - inside);
}

}  // namespace

/// What a pressure makes of the two zones.
struct Cylinder::Zones {
  double unburned_temperature, unburned_volume;
  double burned_mass, burned_gas_constant, burned_part, burned_temperature;
  double energy;
};

bool Cylinder::passes(double from, double to, double mark) const {
  const double ahead = wrapped(mark - from);
  return ahead > 0.0 && ahead <= to - from;
}

void Cylinder::start_burn() {
  charge_ = mass_ - burned_;
  residual_ = std::clamp(burned_ / mass_, 0.0, 1.0);
  part_burned_ = 0.0;
  unburned_pressure_ = pressure_;
  unburned_temperature_ = temperature_;
  burning_ = true;
  fired_ = true;
  mixed_ = false;
}

/// Fresh charge that burns between two angles, kg.
double Cylinder::burn(double from, double to, double dt) {
  if (!setup_.burn && !setup_.flame_burn && !burning_) {
    return 0.0;
  }
  if (setup_.burn || setup_.flame_burn) {
    const double start = setup_.burn ? setup_.burn->start : setup_.flame_burn->start;
    if (passes(from, to, start) || from == start) {
      start_burn();
      law_ = setup_.burn;
      flame_.reset();
      efficiency_ = setup_.burn ? setup_.burn->efficiency : setup_.flame_burn->efficiency;
      if (setup_.flame_burn) {
        flame_.emplace(setup_.flame_burn->flame);
        dt *= wrapped(to - start) / (to - from);
      }
    }
  }
  if (!burning_) {
    return 0.0;
  }
  const double part = flame_ ? flame_part(dt) : given_part(from, to);
  part_burned_ += part;
  return std::clamp(part * charge_ * efficiency_, 0.0, std::max(0.0, mass_ - burned_));
}

double Cylinder::given_part(double from, double to) {
  const double at = wrapped(from - law_->start);
  const double before = at > to - from + law_->duration ? 0.0 : wiebe(at / law_->duration, law_->a, law_->m);
  const double reached = wrapped(to - law_->start);
  burning_ = reached < law_->duration;
  return wiebe(reached / law_->duration, law_->a, law_->m) - before;
}

FlameSurroundings Cylinder::surroundings(double volume, double unburned_temperature) const {
  const double r_unburned = gas_.gas_constant(residual_);
  FlameSurroundings now;
  now.pressure = pressure_;
  now.unburned_temperature = unburned_temperature;
  now.unburned_density = pressure_ / (r_unburned * unburned_temperature);
  if (zones()) {
    const Zones z = zones_at(pressure_, mass_, volume);
    now.burned_density = z.burned_mass / (volume - z.unburned_volume);
  } else {  // as hot as burning at constant pressure makes it
    const double y = residual_ + efficiency_ * (1.0 - residual_);
    const double enthalpy =
        gas_.enthalpy(unburned_temperature, residual_) + (y - residual_) * gas_.heat_of_combustion();
    double t = 2300.0;
    for (int i = 0; i < 4; ++i) {
      const GasPair::Heats h = gas_.heats(t, y);
      t += (enthalpy - h.enthalpy) / h.cp;
    }
    now.burned_density = pressure_ / (gas_.gas_constant(y) * t);
  }
  now.residual = residual_ * gas_.gas_constant(1.0) / r_unburned;
  now.mass = mass_;
  now.height = volume / disc_;
  now.density_at_tdc = mass_ / clearance_;
  now.height_at_tdc = clearance_ / disc_;
  now.piston_speed = piston_speed_;
  return now;
}

double Cylinder::flame_part(double dt) {
  around_flame_ = surroundings(volume_, unburned_temperature_);
  double lit = 0.0;
  if (part_burned_ == 0.0) {
    flame_->light(around_flame_);
    lit = flame_->burned();
  }
  flame_before_ = *flame_;
  flame_lit_ = lit;
  flame_time_ = dt;
  return lit + flame_->step(around_flame_, dt);
}

/// The same step again in the mean of the surroundings before and after: Heun's second half. Gives the fresh
/// charge that burned.
double Cylinder::burn_again(double part_before, double next_volume) {
  const double power = gas_.gas_constant(residual_) / gas_.cp(unburned_temperature_, residual_);
  const FlameSurroundings after =
      surroundings(next_volume, unburned_temperature_ * std::pow(pressure_ / unburned_pressure_, power));
  FlameSurroundings mean = around_flame_;
  for (double FlameSurroundings::*which :
       {&FlameSurroundings::pressure, &FlameSurroundings::unburned_temperature,
        &FlameSurroundings::unburned_density, &FlameSurroundings::burned_density,
        &FlameSurroundings::height}) {
    mean.*which = 0.5 * (around_flame_.*which + after.*which);
  }
  flame_ = flame_before_;
  const double part = flame_lit_ + flame_->step(mean, flame_time_);
  burning_ = flame_->burning();
  part_burned_ = part_before + part;
  flame_before_.reset();
  return std::clamp(part * charge_ * efficiency_, 0.0, std::max(0.0, mass_ - burned_));
}

Cylinder::Zones Cylinder::zones_at(double pressure, double mass, double volume) const {
  Zones z{};
  const double r_unburned = gas_.gas_constant(residual_);
  const double power = r_unburned / gas_.cp(unburned_temperature_, residual_);
  z.unburned_temperature = unburned_temperature_ * std::pow(pressure / unburned_pressure_, power);
  const double unburned_mass = mass * (1.0 - part_burned_);
  z.unburned_volume = unburned_mass * r_unburned * z.unburned_temperature / pressure;
  z.burned_mass = mass * part_burned_;
  z.burned_part = residual_ + efficiency_ * (1.0 - residual_);
  z.burned_gas_constant = gas_.gas_constant(z.burned_part);
  z.burned_temperature = pressure * (volume - z.unburned_volume) / (z.burned_mass * z.burned_gas_constant);
  z.energy = unburned_mass * gas_.energy(z.unburned_temperature, residual_) +
             z.burned_mass * straight_energy(gas_, z.burned_temperature, z.burned_part);
  return z;
}

/// The one pressure at which both zones have the volume and the energy: secant steps from the last one.
void Cylinder::solve_zones(double mass, double energy, double volume) {
  double p = pressure_;
  double last_p = 1.001 * p;
  double last_rest = zones_at(last_p, mass, volume).energy - energy;
  for (int i = 0; i < 30; ++i) {
    const Zones z = zones_at(p, mass, volume);
    burned_temperature_ = z.burned_temperature;
    const double rest = z.energy - energy;
    const double slope = (rest - last_rest) / (p - last_p);
    last_p = p;
    last_rest = rest;
    const double step = -rest / slope;
    if (!(std::abs(step) > 1e-12 * p)) {
      break;
    }
    p += std::clamp(step, -0.3 * p, 0.3 * p);
  }
  pressure_ = p;
}

/// Marks where the burn passes its tenth, half and nine tenths.
void Cylinder::note_burned(double before, double to, double turn) {
  const auto note = [&](double part, double& angle) {
    if (part_burned_ >= part && before < part) {
      angle = wrapped(to - turn * (part_burned_ - part) / (part_burned_ - before));
    }
  };
  note(0.1, record_.tenth_burned);
  note(0.5, record_.half_burned);
  note(0.9, record_.nine_tenths_burned);
}

/// Before the burn the unburned gas is all gas; then it is compressed isentropically with the step's mean
/// heat capacity, T ∝ p^(R/cp), and cooled by the walls. `cooling` is coefficient times area over volume,
/// W/(m3 K). The integral runs while there is unburned charge.
void Cylinder::follow_unburned(double cooling, double dt) {
  if (fired_) {
    const double r = gas_.gas_constant(residual_);
    const double cp = gas_.cp(unburned_temperature_, residual_);
    const double density = unburned_pressure_ / (r * unburned_temperature_);
    const double cooled = cooling * (unburned_temperature_ - setup_.wall_temperature) / (density * cp) * dt;
    unburned_temperature_ = unburned_temperature_ * std::pow(pressure_ / unburned_pressure_, r / cp) - cooled;
  } else {
    unburned_temperature_ = temperature_;
  }
  unburned_pressure_ = pressure_;
  const double rate = 1.0 / knock_delay(pressure_, unburned_temperature_, setup_.octane_number);
  if (part_burned_ < burned_out) {
    knock_integral_ += 0.5 * dt * (knock_rate_ + rate);
  }
  knock_rate_ = rate;
}

}  // namespace fettle::gasflow
