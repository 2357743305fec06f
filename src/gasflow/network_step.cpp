#include <algorithm>
#include <cmath>
#include <numeric>
#include <stdexcept>

#include "gasflow/network_parts.h"

namespace fettle::gasflow {

namespace {

GasCoefficients coefficients(const PureGas& gas) {
  GasCoefficients c{};
  c.gas_constant = gas.gas_constant;
  std::copy(gas.cp_low.begin(), gas.cp_low.end(), c.cp_low);
  std::copy(gas.cp_high.begin(), gas.cp_high.end(), c.cp_high);
  c.h_low = gas.h_low;
  c.h_high = gas.h_high;
  return c;
}

constexpr double prandtl = 0.7;

/// Past this Courant number a step is taken back and made again.
constexpr double courant_limit = 0.95;

}  // namespace

Network::Parts::Parts(const GasPair& gas, const NetworkOptions& options)
    : gas_(gas),
      options_(options),
      kernels_(kernels(options.instruction_set.value_or(InstructionSet::best))) {
  arena_.gas = {coefficients(gas.fresh()), coefficients(gas.burned())};
  arena_.heat_factor = options.wall_heat * std::pow(prandtl, -2.0 / 3.0);
}

void Network::Parts::put_reservoir(std::size_t s, const GasState& g) {
  mutable_reservoir_[0][s] = g.pressure;
  mutable_reservoir_[1][s] = g.temperature;
  mutable_reservoir_[2][s] = g.burned;
  mutable_reservoir_[3][s] = gas_.enthalpy(g.temperature, g.burned);
  mutable_reservoir_[4][s] = gas_.heat_ratio(g.temperature, g.burned) - 1.0;
  mutable_reservoir_[5][s] = gas_.gas_constant(g.burned);
}

std::size_t Network::Parts::slot(DuctEnd end) const {
  return slots_.at(2 * end.duct + (end.side == Side::right ? 1 : 0));
}

/// The slot of an end that has a restriction.
std::size_t Network::Parts::restricted(DuctEnd end) const {
  const std::size_t s = slot(end);
  if (end_mirror_[s] > 0.5 || static_cast<long>(s) >= reservoir_to_) {
    throw std::invalid_argument("Network: this end has no restriction");
  }
  return s;
}

void Network::Parts::set_ratio(DuctEnd end, double ratio) {
  if (!built_) {
    build();
  }
  mutable_ratio_[restricted(end)] = ratio;
}

void Network::Parts::set_outside(DuctEnd end, const GasState& outside) {
  if (!built_) {
    build();
  }
  check(outside);
  put_reservoir(restricted(end), outside);
}

/// Like with like, as the last step left them, so that lanes go the same way through the kernel.
void Network::Parts::solve_restrictions() {
  shut_.clear();
  inward_.clear();
  outward_.clear();
  for (const long s : restricted_) {
    (mutable_ratio_[s] == 0.0 ? shut_ : ends_.x[s] > 1.0 ? inward_ : outward_).push_back(s);
  }
  for (std::vector<long>* some : {&shut_, &inward_, &outward_}) {
    while (!some->empty() && some->size() % static_cast<std::size_t>(kernels_.lanes) != 0) {
      some->push_back(some->back());
    }
  }
  kernels_.shut(ends_, shut_.data(), static_cast<long>(shut_.size()));
  for (const std::vector<long>* some : {&inward_, &outward_}) {
    kernels_.reservoirs(ends_, behind_, some->data(), static_cast<long>(some->size()),
                        options_.end_iterations);
  }
}

void Network::Parts::solve_ends(double dt) {
  kernels_.traces(arena_, ends_, dt, options_.minmod);
  kernels_.closed(ends_, 0, closed_to_);
  solve_restrictions();
  set_angle_losses();
  kernels_.junctions(arena_, ends_, junctions_, options_.end_iterations);
  for (std::size_t i = 0; i < flows_.size(); ++i) {
    const std::size_t s = flow_slots_[i];
    const double along = ends_.sign[s] * flow_areas_[i];
    flows_[i] = {flows_[i].face, along * ends_.flow_mass[s], ends_.flow_thrust[s],
                 along * ends_.flow_energy[s], along * ends_.flow_burned[s]};
  }
}

double Network::Parts::step(double longest) {
  if (!built_) {
    build();
  }
  if (next_friction_-- == 0) {
    next_friction_ = options_.friction_interval - 1;
    kernels_.friction(arena_);
    for (const DuctRecord& d : ducts_) {
      if (!d.duct.friction) {
        std::fill_n(arena_.friction + d.first, d.cells, 0.0);
      }
    }
  }
  const auto cell_count = static_cast<long>(flows_.size());
  if (rate_ == 0.0) {
    rate_ = kernels_.cells(arena_, 0.0, options_.minmod, flows_.data(), cell_count).rate;
  }
  refresh_plenums();
  double dt = std::min(longest, options_.courant / rate_);
  while (true) {
    solve_ends(dt);
    const CellsResult result = kernels_.cells(arena_, dt, options_.minmod, flows_.data(), cell_count);
    if (!result.sound || !std::isfinite(result.rate)) {
      throw std::runtime_error("Network: a density or temperature is no longer positive");
    }
    rate_ = result.rate;
    if (dt * rate_ <= courant_limit) {
      break;
    }
    dt = options_.courant / rate_;
  }
  std::swap(arena_.now, arena_.next);
  feed_plenums(dt);
  time_ += dt;
  return dt;
}

void Network::Parts::refresh_plenums() {
  for (const auto& [s, i] : plenum_slots_) {
    Plenum& p = plenums_[i];
    const double y = p.burned / p.mass;
    p.temperature = gas_.temperature_from_energy(p.energy / p.mass, y, p.temperature);
    put_reservoir(s, {p.mass * gas_.gas_constant(y) * p.temperature / p.volume, p.temperature, 0.0, y});
  }
}

void Network::Parts::feed_plenums(double dt) {
  for (const auto& [s, i] : plenum_slots_) {
    const long cell = end_cells_[s];
    const double area = arena_.face_area[ends_.sign[s] > 0.0 ? cell : cell - 1];
    Plenum& p = plenums_[i];
    p.mass += dt * area * ends_.flow_mass[s];
    p.energy += dt * area * ends_.flow_energy[s];
    p.burned += dt * area * ends_.flow_burned[s];
  }
}

EndFlowRate Network::Parts::flow(DuctEnd end) const {
  if (!built_) {
    return {};
  }
  const std::size_t s = slot(end);
  const double a = area(end);
  return {a * ends_.flow_mass[s], a * ends_.flow_energy[s], a * ends_.flow_burned[s]};
}

double Network::Parts::area(DuctEnd end) const {
  const Duct& d = ducts_.at(end.duct).duct;
  return end.side == Side::right ? d.face_areas.back() : d.face_areas.front();
}

GasState Network::Parts::state(std::size_t duct, std::size_t cell) const {
  const DuctRecord& d = ducts_.at(duct);
  if (!built_) {
    return d.initial.at(cell);
  }
  if (cell >= d.cells) {
    throw std::invalid_argument("Network::state: there is no such cell");
  }
  const std::size_t i = d.first + cell;
  const double rho = arena_.now.density[i];
  GasState s;
  s.velocity = arena_.now.momentum[i] / rho;
  s.burned = arena_.now.burned[i] / rho;
  s.temperature = gas_.temperature_from_energy(arena_.now.energy[i] / rho - 0.5 * s.velocity * s.velocity,
                                               s.burned, arena_.temperature[i]);
  s.pressure = rho * gas_.gas_constant(s.burned) * s.temperature;
  return s;
}

double Network::Parts::density(std::size_t duct, std::size_t cell) const {
  const GasState s = state(duct, cell);
  return s.pressure / (gas_.gas_constant(s.burned) * s.temperature);
}

GasState Network::Parts::plenum(std::size_t plenum) const {
  const Plenum& p = plenums_.at(plenum);
  const double y = p.burned / p.mass;
  const double t = gas_.temperature_from_energy(p.energy / p.mass, y, p.temperature);
  return {p.mass * gas_.gas_constant(y) * t / p.volume, t, 0.0, y};
}

Totals Network::Parts::duct_totals() {
  if (!built_) {
    build();
  }
  long double mass = 0.0L;
  long double energy = 0.0L;
  long double burned = 0.0L;
  for (const DuctRecord& d : ducts_) {
    for (std::size_t i = d.first; i < d.first + d.cells; ++i) {
      const long double volume = 1.0L / static_cast<long double>(arena_.inverse_volume[i]);
      mass += volume * static_cast<long double>(arena_.now.density[i]);
      energy += volume * static_cast<long double>(arena_.now.energy[i]);
      burned += volume * static_cast<long double>(arena_.now.burned[i]);
    }
  }
  return {static_cast<double>(mass), static_cast<double>(energy), static_cast<double>(burned)};
}

Totals Network::Parts::plenum_totals() const {
  Totals t;
  for (const Plenum& p : plenums_) {
    t.mass += p.mass;
    t.energy += p.energy;
    t.burned += p.burned;
  }
  return t;
}

}  // namespace fettle::gasflow
