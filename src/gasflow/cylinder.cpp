#include "gasflow/cylinder.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace fettle::gasflow {

namespace {

constexpr double pi = std::numbers::pi;
constexpr double cycle = 4.0 * pi;

double wrapped(double angle) {
  const double rest = std::fmod(angle, cycle);
  return rest < 0.0 ? rest + cycle : rest;
}

void require(bool holds, const char* message) {
  if (!holds) {
    throw std::invalid_argument(message);
  }
}

/// Mass flux of an isentropic nozzle from stagnation p0, t0 to p (kg/(m2 s); John and Keith, Gas Dynamics,
/// ch. 3).
double nozzle_flux(double p0, double t0, double r, double gamma, double p) {
  const double power = gamma / (gamma - 1.0);
  const double critical = 2.0 / (gamma + 1.0);    // of the temperature
  const double ratio = std::log(p / p0) / power;  // its logarithm in the throat
  const double throat = std::max(ratio, std::log(critical));
  const double speed2 = 2.0 * power * (1.0 - std::exp(throat));
  return p0 / std::sqrt(r * t0) * std::exp(throat / (gamma - 1.0)) * std::sqrt(std::max(speed2, 0.0));
}

}  // namespace

struct Cylinder::Rates {
  double heat;            // to the walls, W
  double blow_by;         // out, kg/s
  double blow_by_energy;  // W
  double blow_by_burned;  // kg/s
};

Cylinder::Cylinder(const GasPair& gas, const CylinderSetup& setup, double angle, const GasState& initial)
    : gas_(gas), setup_(setup), crank_(setup.crank), angle_(wrapped(angle)) {
  require(setup.bore > 0.0 && setup.compression_ratio > 1.0,
          "Cylinder: bore and compression ratio must be possible");
  require(setup.exhaust_opening > setup.intake_closing,
          "Cylinder: the exhaust must open after the intake closed");
  set_burn(setup.burn);
  require(setup.wall_temperature > 0.0 && setup.blow_by_area >= 0.0 && setup.extra_wall_area >= 0.0,
          "Cylinder: wall temperature and areas out of range");
  require(initial.pressure > 0.0 && initial.temperature > 0.0,
          "Cylinder: the gas needs pressure and temperature");
  disc_ = 0.25 * pi * setup.bore * setup.bore;
  swept_ = disc_ * crank_.stroke();
  clearance_ = swept_ / (setup.compression_ratio - 1.0);
  volume_ = volume_at(angle_);
  mass_ = initial.pressure * volume_ / (gas_.gas_constant(initial.burned) * initial.temperature);
  burned_ = mass_ * initial.burned;
  energy_ = mass_ * gas_.energy(initial.temperature, initial.burned);
  pressure_ = initial.pressure;
  temperature_ = initial.temperature;
  shut();
  start_cycle();
}

void Cylinder::set_burn(const std::optional<CylinderSetup::Burn>& burn) {
  require(!burn || (burn->duration > 0.0 && burn->efficiency >= 0.0 && burn->efficiency <= 1.0),
          "Cylinder: a burn needs a duration, and an efficiency within 0 and 1");
  setup_.burn = burn;
}

double Cylinder::volume_at(double angle) const {
  return clearance_ + disc_ * crank_.depth(angle);
}

/// Where the intake closes: the state that Woschni's motored pressure starts from, and its exponent, the mean
/// of a charge that is compressed.
void Cylinder::shut() {
  reference_ = {pressure_, volume_, temperature_};
  motored_exponent_ = gas_.heat_ratio(1.5 * temperature_, std::clamp(burned_ / mass_, 0.0, 1.0));
  fired_ = false;
}

void Cylinder::start_cycle() {
  record_ = {};
  record_.peak_pressure = pressure_;
  record_.peak_angle = angle_;
}

bool Cylinder::passes(double from, double to, double mark) const {
  const double ahead = wrapped(mark - from);
  return ahead > 0.0 && ahead <= to - from;
}

Cylinder::Rates Cylinder::rates(double pressure, double temperature, double volume, double burned,
                                double piston_speed) const {
  Rates r{};
  if (setup_.heat_law != HeatLaw::none) {
    const bool exchanging =
        wrapped(angle_ - setup_.intake_closing) >= setup_.exhaust_opening - setup_.intake_closing;
    // Before the flame there is no pressure but the motored one.
    const double motored =
        fired_ ? reference_.pressure * std::pow(reference_.volume / volume, motored_exponent_) : pressure;
    const double speed = woschni_speed(piston_speed, exchanging, swept_, reference_, pressure, motored);
    const double h =
        setup_.heat_law == HeatLaw::hohenberg ? hohenberg(volume, pressure, temperature, piston_speed)
        : setup_.heat_law == HeatLaw::woschni ? woschni(setup_.bore, pressure, temperature, speed)
                                              : woschni_heywood(setup_.bore, pressure, temperature, speed);
    const double area = 2.0 * disc_ + setup_.extra_wall_area + 4.0 * (volume - clearance_) / setup_.bore;
    r.heat = setup_.heat_factor * h * area * (temperature - setup_.wall_temperature);
  }
  if (setup_.blow_by_area > 0.0) {
    const GasState& below = setup_.crankcase;
    const bool out = pressure >= below.pressure;
    const double t = out ? temperature : below.temperature;
    const double y = out ? burned : below.burned;
    const GasPair::Heats h = gas_.heats(t, y);
    const double flux = nozzle_flux(std::max(pressure, below.pressure), t, h.gas_constant,
                                    h.cp / (h.cp - h.gas_constant), std::min(pressure, below.pressure));
    r.blow_by = (out ? 1.0 : -1.0) * setup_.blow_by_area * flux;
    r.blow_by_energy = r.blow_by * h.enthalpy;
    r.blow_by_burned = r.blow_by * y;
  }
  return r;
}

void Cylinder::solve_state(double mass, double energy, double burned, double volume) {
  const double y = std::clamp(burned / mass, 0.0, 1.0);
  temperature_ = gas_.temperature_from_energy(energy / mass, y, temperature_);
  pressure_ = mass * gas_.gas_constant(y) * temperature_ / volume;
}

/// Fresh charge that burns between two angles, kg.
double Cylinder::burn(double from, double to) {
  if (!setup_.burn) {
    return 0.0;
  }
  const auto& law = *setup_.burn;
  if (passes(from, to, law.start) || from == law.start) {
    charge_ = mass_ - burned_;
    unburned_temperature_ = temperature_;
    burning_ = true;
    fired_ = true;
  }
  if (!burning_) {
    return 0.0;
  }
  const double at = wrapped(from - law.start);
  const double before = at > cycle - (to - from) ? 0.0 : wiebe(at / law.duration, law.a, law.m);
  const double reached = wrapped(to - law.start);
  const double part = wiebe(reached / law.duration, law.a, law.m) - before;
  burning_ = reached < law.duration;
  return std::clamp(part * charge_ * law.efficiency, 0.0, std::max(0.0, mass_ - burned_));
}

void Cylinder::step(double turn, double dt, const EndFlowRate& into) {
  require(turn > 0.0 && turn < 0.5 && dt > 0.0, "Cylinder::step: a step must be short and forward");
  const double to = angle_ + turn;
  const double next_volume = volume_at(to);
  const double mean_speed = 2.0 * crank_.stroke() * turn / (dt * 2.0 * pi);
  const double old_pressure = pressure_;
  const bool was_burning = burning_;
  const double freed = burn(angle_, to);
  const double heat_freed = freed * gas_.heat_of_combustion();
  const double swept = next_volume - volume_;
  const Rates first = rates(pressure_, temperature_, volume_, burned_ / mass_, mean_speed);
  solve_state(
      mass_ + dt * (into.mass - first.blow_by),
      energy_ - pressure_ * swept + dt * (into.energy - first.heat - first.blow_by_energy) + heat_freed,
      burned_ + dt * (into.burned - first.blow_by_burned) + freed, next_volume);
  const double y = std::clamp((burned_ + dt * into.burned + freed) / (mass_ + dt * into.mass), 0.0, 1.0);
  const Rates second = rates(pressure_, temperature_, next_volume, y, mean_speed);
  const auto mean = [&](double a, double b) { return 0.5 * dt * (a + b); };
  const double work = 0.5 * (old_pressure + pressure_) * swept;
  const double heat = mean(first.heat, second.heat);
  const double leak = mean(first.blow_by, second.blow_by);
  const double leak_energy = mean(first.blow_by_energy, second.blow_by_energy);
  mass_ += dt * into.mass - leak;
  energy_ += dt * into.energy - work - heat - leak_energy + heat_freed;
  burned_ += dt * into.burned - mean(first.blow_by_burned, second.blow_by_burned) + freed;
  solve_state(mass_, energy_, burned_, next_volume);
  record_.work += work;
  const double middle = wrapped(angle_ + 0.5 * turn);
  record_.pumping_work += middle < pi || middle >= 3.0 * pi ? work : 0.0;
  record_.wall_heat += heat;
  record_.released += heat_freed;
  record_.energy_in += dt * into.energy;
  record_.mass_in += dt * into.mass;
  record_.fresh_drawn += dt * (into.mass - into.burned);
  record_.blow_by_mass += leak;
  record_.blow_by_energy += leak_energy;
  if (pressure_ > record_.peak_pressure) {
    record_.peak_pressure = pressure_;
    record_.peak_angle = wrapped(to);
  }
  if (was_burning) {
    follow_unburned(old_pressure, angle_, dt);
  }
  const bool shuts = passes(angle_, to, setup_.intake_closing);
  angle_ = wrapped(to);
  volume_ = next_volume;
  if (shuts) {
    shut();
    record_.trapped_mass = mass_;
    record_.trapped_fresh = mass_ - burned_;
    record_.trapped_energy = energy_;
  }
}

/// Isentropic with the step's mean heat capacity: T ∝ p^(R/cp). The integral runs while there is unburned
/// charge.
void Cylinder::follow_unburned(double old_pressure, double old_angle, double dt) {
  const auto& law = *setup_.burn;
  const double before = 1.0 / knock_delay(old_pressure, unburned_temperature_, setup_.octane_number);
  const double cp = gas_.cp(unburned_temperature_, 0.0);
  unburned_temperature_ *= std::pow(pressure_ / old_pressure, gas_.gas_constant(0.0) / cp);
  const double after = 1.0 / knock_delay(pressure_, unburned_temperature_, setup_.octane_number);
  if (wiebe(wrapped(old_angle - law.start) / law.duration, law.a, law.m) < 0.99) {
    record_.knock_integral += 0.5 * dt * (before + after);
  }
}

}  // namespace fettle::gasflow
