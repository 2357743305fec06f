#include "gasflow/engine.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>
#include <utility>

#include <fmt/format.h>

namespace fettle::gasflow {

namespace {

constexpr double cycle = 4.0 * std::numbers::pi;

void require(bool holds, const char* message) {
  if (!holds) {
    throw std::invalid_argument(message);
  }
}

double relative_change(double now, double before) {
  return std::abs(now - before) / std::max({std::abs(now), std::abs(before), 1e-12});
}

void average(double& now, double before) {
  now = 0.5 * (now + before);
}

/// Means of two cycles that take turns; records stay the last one's.
void average(const EngineResult& before, EngineResult& now) {
  average(now.indicated_torque, before.indicated_torque);
  average(now.friction_torque, before.friction_torque);
  average(now.brake_torque, before.brake_torque);
  average(now.brake_power, before.brake_power);
  average(now.fuel_flow, before.fuel_flow);
  for (std::size_t i = 0; i < now.cylinders.size(); ++i) {
    CylinderResult& n = now.cylinders[i];
    const CylinderResult& b = before.cylinders[i];
    average(n.imep, b.imep);
    average(n.pmep, b.pmep);
    average(n.fresh_taken, b.fresh_taken);
    average(n.volumetric_efficiency, b.volumetric_efficiency);
    average(n.residual, b.residual);
    average(n.trapping, b.trapping);
  }
}

}  // namespace

Engine::Engine(Network network, const std::vector<EngineCylinder>& cylinders, std::vector<EngineValve> valves)
    : network_(std::move(network)), valves_(std::move(valves)) {
  require(!cylinders.empty(), "Engine: needs a cylinder");
  for (const EngineCylinder& c : cylinders) {
    cylinders_.emplace_back(network_.gas(), c.setup, -c.phase, c.initial);
  }
  taken_.assign(cylinders_.size(), 0.0);
  for (const Cylinder& c : cylinders_) {
    past_.push_back({c.state().pressure, c.state().temperature});
  }
  open_ends_ = network_.open_ends();
  for (const EngineValve& valve : valves_) {
    require(valve.cylinder < cylinders_.size(), "Engine: a valve names a cylinder that is not there");
    require(valve.effective_area != nullptr, "Engine: a valve needs its opening");
    const auto end = std::find(open_ends_.begin(), open_ends_.end(), valve.end);
    require(end != open_ends_.end(), "Engine: a valve's end must be open, and serve one valve only");
    open_ends_.erase(end);
  }
}

void Engine::set_valves() {
  for (const EngineValve& valve : valves_) {
    const Cylinder& c = cylinders_[valve.cylinder];
    GasState gas = c.state();
    gas.burned = std::clamp(gas.burned, 0.0, 1.0);  // a rounding beyond, from the ducts' reconstruction
    const bool into = network_.flow(valve.end).mass >= 0.0;
    const double area = valve.effective_area(std::fmod(c.angle() + 0.5 * last_turn_, cycle), into);
    network_.set_area_ratio(valve.end, std::clamp(area / network_.area(valve.end), 0.0, 1.0));
    if (area > 0.0) {
      // A fast change (a burn) is not carried on beyond a tenth.
      const Past& past = past_[valve.cylinder];
      gas.pressure *= std::clamp(1.5 - 0.5 * past.pressure / gas.pressure, 0.9, 1.1);
      gas.temperature *= std::clamp(1.5 - 0.5 * past.temperature / gas.temperature, 0.9, 1.1);
      network_.set_outside(valve.end, gas);
    }
  }
  for (std::size_t i = 0; i < cylinders_.size(); ++i) {
    past_[i] = {cylinders_[i].state().pressure, cylinders_[i].state().temperature};
  }
}

double Engine::step(double longest, double speed) {
  set_valves();
  const double dt = network_.step(longest);
  last_turn_ = speed * dt;
  for (std::size_t i = 0; i < cylinders_.size(); ++i) {
    EndFlowRate into;
    for (const EngineValve& valve : valves_) {
      if (valve.cylinder == i) {
        const EndFlowRate flow = network_.flow(valve.end);
        into.mass += flow.mass;
        into.energy += flow.energy;
        into.burned += flow.burned;
        taken_[i] += valve.intake ? dt * (flow.mass - flow.burned) : 0.0;
      }
    }
    cylinders_[i].step(speed * dt, dt, into);
  }
  for (const DuctEnd& end : open_ends_) {
    const EndFlowRate flow = network_.flow(end);
    passed_.mass += dt * flow.mass;
    passed_.energy += dt * flow.energy;
  }
  return dt;
}

Engine::Balance Engine::held() {
  const Totals ducts = network_.duct_totals();
  const Totals boxes = network_.plenum_totals();
  Balance all{ducts.mass + boxes.mass, ducts.energy + boxes.energy};
  for (const Cylinder& c : cylinders_) {
    all.mass += c.mass();
    all.energy += c.energy();
  }
  return all;
}

CylinderResult Engine::result_of(std::size_t i, double energy_before, const EngineOptions& options) const {
  const Cylinder& c = cylinders_[i];
  const CycleRecord& r = c.record();
  CylinderResult result;
  result.record = r;
  result.imep = r.work / c.swept_volume();
  result.pmep = r.pumping_work / c.swept_volume();
  result.fresh_taken = taken_[i];
  result.volumetric_efficiency = taken_[i] / (options.reference_density * c.swept_volume());
  result.residual = r.trapped_mass > 0.0 ? 1.0 - r.trapped_fresh / r.trapped_mass : 0.0;
  result.trapping = taken_[i] > 0.0 ? r.trapped_fresh / taken_[i] : 0.0;
  result.knocks = r.knock_integral >= 1.0;
  result.energy_error =
      c.energy() - (energy_before + r.energy_in + r.released - r.work - r.wall_heat - r.blow_by_energy);
  return result;
}

void Engine::turn_once(const EngineOptions& options, const Watcher& watch, EngineResult& result) {
  const double cycle_time = cycle / options.speed;
  double time = 0.0;
  while (time < cycle_time * (1.0 - 1e-12)) {
    time += step(std::min(options.longest_turn / options.speed, cycle_time - time), options.speed);
    ++result.steps;
    if (watch) {
      watch(std::min(time * options.speed, cycle), *this);
    }
  }
  ++result.cycles;
}

void Engine::sum_up(const EngineOptions& options, const Balance& start, const std::vector<double>& energies,
                    EngineResult& result) {
  const Balance end = held();
  double work = 0.0;
  double blow_by = 0.0;
  double exchanged = 0.0;  // energy that left the gas otherwise than by duct walls
  double drawn = 0.0;
  double friction = 0.0;
  result.cylinders.clear();
  for (std::size_t i = 0; i < cylinders_.size(); ++i) {
    result.cylinders.push_back(result_of(i, energies[i], options));
    const Cylinder& c = cylinders_[i];
    const CycleRecord& r = c.record();
    work += r.work;
    blow_by += r.blow_by_mass;
    exchanged += r.work + r.wall_heat + r.blow_by_energy - r.released;
    drawn += taken_[i];
    friction += options.friction.fmep(r.peak_pressure, c.stroke() * options.speed / std::numbers::pi) *
                c.swept_volume();
  }
  result.mass_error = end.mass - start.mass + passed_.mass + blow_by;
  result.duct_heat = start.energy - end.energy - passed_.energy - exchanged;
  result.indicated_torque = work / cycle;
  result.friction_torque = friction / cycle;
  result.brake_torque = result.indicated_torque - result.friction_torque;
  result.brake_power = result.brake_torque * options.speed;
  result.fuel_flow = drawn * options.speed / cycle * network_.gas().fuel_fraction();
}

double Engine::change_since(const std::vector<CylinderResult>& before, const EngineResult& result) const {
  double change = 0.0;
  for (std::size_t i = 0; i < before.size(); ++i) {
    const CycleRecord& now = result.cylinders[i].record;
    const CycleRecord& was = before[i].record;
    const double least_work = 1e4 * cylinders_[i].swept_volume();  // a tenth of a bar of mean pressure
    change = std::max({change, relative_change(now.trapped_mass, was.trapped_mass),
                       std::abs(now.work - was.work) / std::max(std::abs(now.work), least_work)});
  }
  return change;
}

/// One cycle like the last, or, after some, like the one before that.
bool Engine::settled(const EngineOptions& options, const std::vector<EngineResult>& history,
                     EngineResult& result) const {
  if (history.empty()) {
    return false;
  }
  result.last_change = change_since(history.back().cylinders, result);
  if (result.last_change <= options.tolerance) {
    return true;
  }
  constexpr std::size_t patience = 6;
  constexpr double clearly = 4.0;  // slow settling is no taking of turns
  const std::size_t n = history.size();
  if (n < patience || result.last_change < clearly * options.tolerance ||
      change_since(history[n - 2].cylinders, result) > options.tolerance) {
    return false;
  }
  result.alternates = true;
  average(history.back(), result);
  return true;
}

EngineResult Engine::run(const EngineOptions& options, const Watcher& watch, const Between& between) {
  require(options.speed > 0.0 && options.most_cycles >= 2 && options.tolerance > 0.0 &&
              options.longest_turn > 0.0 && options.longest_turn < 0.1 && options.reference_density > 0.0,
          "EngineOptions: out of range");
  EngineResult result;
  std::vector<EngineResult> history;
  while (result.cycles < options.most_cycles && !result.converged) {
    passed_ = {};
    std::fill(taken_.begin(), taken_.end(), 0.0);
    const Balance start = held();
    std::vector<double> energies;
    for (Cylinder& c : cylinders_) {
      c.start_cycle();
      energies.push_back(c.energy());
    }
    try {
      turn_once(options, watch, result);
    } catch (const std::exception& error) {  // a state that no gas has: report it, with what came before
      result.why = error.what();
      return result;
    }
    sum_up(options, start, energies, result);
    result.converged = settled(options, history, result);
    history.push_back(result);
    if (between && !between(*this, result) && !result.converged) {
      result.why = "stopped from outside";
      return result;
    }
  }
  if (!result.converged) {
    result.why = fmt::format("no cycle like the last after {} cycles: still changing by {:.2g}",
                             result.cycles, result.last_change);
  }
  return result;
}

}  // namespace fettle::gasflow
