#include "gasflow/cylinder.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

namespace fettle::gasflow {

namespace {

constexpr double pi = std::numbers::pi;

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
  double cooling;         // coefficient times area over volume, W/(m3 K)
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
  require(!(setup.burn && setup.flame_burn), "Cylinder: a burn is given or computed, not both");
  set_burn(setup.burn);
  if (setup.flame_burn) {
    set_flame_burn(setup.flame_burn);
  }
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
  setup_.flame_burn.reset();
}

void Cylinder::set_flame_burn(const std::optional<CylinderSetup::FlameBurn>& burn) {
  require(!burn || (burn->efficiency >= 0.0 && burn->efficiency <= 1.0),
          "Cylinder: the efficiency of a burn lies within 0 and 1");
  if (burn) {
    const Flame checked(burn->flame);
  }
  setup_.flame_burn = burn;
  setup_.burn.reset();
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
  mixed_ = false;
  burning_ = false;
  part_burned_ = 0.0;
  residual_ = std::clamp(burned_ / mass_, 0.0, 1.0);
  unburned_pressure_ = pressure_;
  unburned_temperature_ = temperature_;
  knock_rate_ = 0.0;
  knock_integral_ = 0.0;
}

bool Cylinder::shut_in() const {
  return wrapped(angle_ - setup_.intake_closing) < setup_.exhaust_opening - setup_.intake_closing;
}

void Cylinder::start_cycle() {
  record_ = {};
  record_.peak_pressure = pressure_;
  record_.peak_angle = angle_;
}

Cylinder::Rates Cylinder::rates(double pressure, double temperature, double volume, double burned,
                                double piston_speed) const {
  Rates r{};
  if (setup_.heat_law != HeatLaw::none) {
    const bool exchanging = !shut_in();
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
    r.cooling = setup_.heat_factor * h * area / volume;
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
  if (zones()) {
    solve_zones(mass, energy, volume);
    temperature_ = pressure_ * volume / (mass * gas_.gas_constant(std::clamp(burned / mass, 0.0, 1.0)));
    return;
  }
  const double y = std::clamp(burned / mass, 0.0, 1.0);
  temperature_ = gas_.temperature_from_energy(energy / mass, y, temperature_);
  pressure_ = mass * gas_.gas_constant(y) * temperature_ / volume;
}

void Cylinder::step(double turn, double dt, const EndFlowRate& into) {
  require(turn > 0.0 && turn < 0.5 && dt > 0.0, "Cylinder::step: a step must be short and forward");
  const double to = angle_ + turn;
  const double next_volume = volume_at(to);
  piston_speed_ = 2.0 * crank_.stroke() * turn / (dt * 2.0 * pi);
  const double old_pressure = pressure_;
  const double part_before = part_burned_;
  const Rates first = rates(pressure_, temperature_, volume_, burned_ / mass_, piston_speed_);
  double freed = burn(angle_, to, dt);
  double heat_freed = freed * gas_.heat_of_combustion();
  const double swept = next_volume - volume_;
  solve_state(
      mass_ + dt * (into.mass - first.blow_by),
      energy_ - pressure_ * swept + dt * (into.energy - first.heat - first.blow_by_energy) + heat_freed,
      burned_ + dt * (into.burned - first.blow_by_burned) + freed, next_volume);
  const double y = std::clamp((burned_ + dt * into.burned + freed) / (mass_ + dt * into.mass), 0.0, 1.0);
  const Rates second = rates(pressure_, temperature_, next_volume, y, piston_speed_);
  if (flame_before_) {
    freed = burn_again(part_before, next_volume);
    heat_freed = freed * gas_.heat_of_combustion();
  }
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
  note_burned(part_before, to, turn);
  if (shut_in()) {
    follow_unburned(0.5 * (first.cooling + second.cooling), dt);
    if (passes(angle_, to, setup_.exhaust_opening) ||
        (part_before < burned_out && part_burned_ >= burned_out)) {
      record_.knock_integral = knock_integral_;
    }
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
  if (zones() && !shut_in()) {
    mixed_ = true;
    solve_state(mass_, energy_, burned_, volume_);
  }
}

}  // namespace fettle::gasflow
