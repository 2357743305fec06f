#include "gasflow/network.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include <fmt/format.h>

#include "gasflow/network_parts.h"

namespace fettle::gasflow {

namespace {

double diameter(double area) {
  return 2.0 * std::sqrt(area / std::numbers::pi);
}

void require(bool holds, const char* message) {
  if (!holds) {
    throw std::invalid_argument(message);
  }
}

}  // namespace

std::vector<double> constant_areas(double area, std::size_t cells) {
  return std::vector<double>(cells + 1, area);
}

std::vector<double> tapered_areas(double first, double last, std::size_t cells) {
  std::vector<double> areas(cells + 1);
  for (std::size_t i = 0; i <= cells; ++i) {
    const double along = static_cast<double>(i) / static_cast<double>(cells);
    const double root = std::sqrt(first) + along * (std::sqrt(last) - std::sqrt(first));
    areas[i] = root * root;
  }
  return areas;
}

double open_end_correction(double radius, bool flanged) {
  return (flanged ? 0.8217 : 0.6133) * radius;
}

Network::Network(const GasPair& gas, const NetworkOptions& options)
    : parts_(std::make_unique<Parts>(gas, options)) {
  require(options.courant > 0.0 && options.courant <= 0.9, "NetworkOptions: courant must lie in (0, 0.9]");
  require(options.end_iterations >= 1 && options.friction_interval >= 1,
          "NetworkOptions: counts must be at least one");
}

Network::~Network() = default;
Network::Network(Network&&) noexcept = default;
Network& Network::operator=(Network&&) noexcept = default;

std::size_t Network::add_duct(const Duct& duct, const std::function<GasState(double)>& initial) {
  require(!parts_->built(), "Network: ducts must be added before the first step");
  require(duct.face_areas.size() >= 5 && duct.length > 0.0, "Duct: needs a length and at least four cells");
  require(std::all_of(duct.face_areas.begin(), duct.face_areas.end(),
                      [](double a) { return a > 0.0 && a < 1e6; }),
          "Duct: every area must be positive");
  require(duct.wall_temperature > 0.0 && duct.roughness >= 0.0,
          "Duct: wall temperature or roughness out of range");
  require(duct.wall_temperatures.empty() || duct.wall_temperatures.size() + 1 == duct.face_areas.size(),
          "Duct: wall temperatures for every cell, or none");
  require(std::all_of(duct.wall_temperatures.begin(), duct.wall_temperatures.end(),
                      [](double t) { return t > 0.0; }),
          "Duct: wall temperature or roughness out of range");
  return parts_->add_duct(duct, initial);
}

std::size_t Network::add_plenum(double volume, const GasState& initial) {
  require(volume > 0.0, "Network: a plenum needs a volume");
  return parts_->add_plenum(volume, initial);
}

void Network::close(DuctEnd end) {
  parts_->add_end(end, {EndKind::closed, 0, {}, 0.0});
}

void Network::open_to(DuctEnd end, const GasState& outside, double area_ratio) {
  require(area_ratio >= 0.0 && area_ratio <= 1.0, "Network: an area ratio must lie within 0 and 1");
  parts_->add_end(end, {EndKind::outside, 0, outside, area_ratio});
}

void Network::open_to_plenum(DuctEnd end, std::size_t plenum, double area_ratio) {
  require(area_ratio >= 0.0 && area_ratio <= 1.0, "Network: an area ratio must lie within 0 and 1");
  require(plenum < parts_->plenum_count(), "Network: there is no such plenum");
  parts_->add_end(end, {EndKind::plenum, plenum, {}, area_ratio});
}

void Network::join(const std::vector<DuctEnd>& pipes, const std::vector<double>& directions) {
  require(pipes.size() >= 2 && pipes.size() <= 8, "Network: a junction takes two to eight pipes");
  require(directions.empty() || directions.size() == pipes.size(),
          "Network: one direction for each pipe, or none");
  parts_->add_junction({pipes, directions, false, 0.0});
}

void Network::step_in_area(DuctEnd one, DuctEnd other, double loss) {
  require(loss >= 0.0, "Network: a loss cannot be negative");
  parts_->add_junction({{one, other}, {}, true, loss});
}

void Network::set_area_ratio(DuctEnd end, double ratio) {
  require(ratio >= 0.0 && ratio <= 1.0, "Network: an area ratio must lie within 0 and 1");
  parts_->set_ratio(end, ratio);
}

void Network::set_outside(DuctEnd end, const GasState& outside) {
  parts_->set_outside(end, outside);
}

double Network::step(double longest) {
  require(longest > 0.0, "Network::step: needs a positive time");
  return parts_->step(longest);
}

RunSummary Network::run(double time) {
  RunSummary summary;
  while (summary.time < time) {
    try {
      const double left = time - summary.time;
      const double dt = parts_->step(left);
      summary.time = dt >= left ? time : summary.time + dt;
      ++summary.steps;
    } catch (const std::runtime_error& error) {
      summary.problem = error.what();
      return summary;
    }
  }
  return summary;
}

EndFlowRate Network::flow(DuctEnd end) const {
  return parts_->flow(end);
}

std::size_t Network::cells(std::size_t duct) const {
  return parts_->cells(duct);
}

GasState Network::state(std::size_t duct, std::size_t cell) const {
  return parts_->state(duct, cell);
}

double Network::density(std::size_t duct, std::size_t cell) const {
  return parts_->density(duct, cell);
}

GasState Network::plenum(std::size_t plenum) const {
  return parts_->plenum(plenum);
}

Totals Network::duct_totals() const {
  return parts_->duct_totals();
}

Totals Network::plenum_totals() const {
  return parts_->plenum_totals();
}

double Network::time() const {
  return parts_->time();
}

std::size_t Network::real_cells() const {
  return parts_->real_cells();
}

std::vector<DuctEnd> Network::open_ends() const {
  return parts_->open_ends();
}

double Network::area(DuctEnd end) const {
  return parts_->area(end);
}

const GasPair& Network::gas() const {
  return parts_->gas();
}

// ----------------------------------------------------------------------------------------------------------
// arrays

void Store::reserve(std::size_t arrays, std::size_t cells) {
  // Bases off the multiples of 4096 bytes, which the cache would put into the same sets: 27 lines apart.
  stride_ = (cells + 511) / 512 * 512 + 216;
  memory_.assign(arrays * stride_ + 8, 0.0);
  used_ = 0;
}

double* Store::take() {
  const auto address = reinterpret_cast<std::uintptr_t>(memory_.data());
  const std::size_t first = (64 - address % 64) % 64 / sizeof(double);
  return memory_.data() + first + stride_ * used_++;
}

std::size_t Network::Parts::add_duct(const Duct& duct, const std::function<GasState(double)>& initial) {
  const std::size_t n = duct.face_areas.size() - 1;
  const double dx = duct.length / static_cast<double>(n);
  const std::size_t first = next_cell_ + 1;
  ducts_.push_back({first, n, duct, {}});
  ducts_.back().initial.reserve(n);
  for (std::size_t i = 0; i < n; ++i) {
    ducts_.back().initial.push_back(initial((static_cast<double>(i) + 0.5) * dx));
    check(ducts_.back().initial.back());
  }
  next_cell_ += n + 2;
  real_cells_ += n;
  return ducts_.size() - 1;
}

std::size_t Network::Parts::add_plenum(double volume, const GasState& s) {
  check(s);
  const double mass = s.pressure * volume / (gas_.gas_constant(s.burned) * s.temperature);
  plenums_.push_back(
      {volume, mass, mass * gas_.energy(s.temperature, s.burned), mass * s.burned, s.temperature});
  return plenums_.size() - 1;
}

void Network::Parts::add_end(DuctEnd end, const EndPlan& plan) {
  require(!built_, "Network: ends must be given before the first step");
  require(end.duct < ducts_.size(), "Network: there is no such duct");
  const bool taken =
      std::any_of(plans_.begin(), plans_.end(), [&](const auto& other) { return other.first == end; });
  require(!taken, "Network: this end is given already");
  if (plan.kind == EndKind::outside) {
    check(plan.outside);
  }
  plans_.emplace_back(end, plan);
}

void Network::Parts::add_junction(const JunctionPlan& plan) {
  for (const DuctEnd& end : plan.pipes) {
    add_end(end, {EndKind::junction, junction_plans_.size(), {}, 0.0});
  }
  junction_plans_.push_back(plan);
}

std::vector<DuctEnd> Network::Parts::open_ends() const {
  std::vector<DuctEnd> open;
  for (const auto& [end, plan] : plans_) {
    if (plan.kind == EndKind::outside) {
      open.push_back(end);
    }
  }
  return open;
}

void Network::Parts::check(const GasState& s) const {
  const bool sound = s.pressure > 0.0 && s.temperature > 0.0 && s.burned >= 0.0 && s.burned <= 1.0 &&
                     std::isfinite(s.velocity) && std::isfinite(s.pressure) && std::isfinite(s.temperature);
  if (!sound) {
    throw std::invalid_argument(
        fmt::format("Network: a gas state must have positive pressure and temperature, and a burned part "
                    "within 0 and 1, not {} Pa, {} K, {}",
                    s.pressure, s.temperature, s.burned));
  }
}

void Network::Parts::put_cell(std::size_t i, const GasState& s) {
  const double rho = s.pressure / (gas_.gas_constant(s.burned) * s.temperature);
  arena_.now.density[i] = rho;
  arena_.now.momentum[i] = rho * s.velocity;
  arena_.now.energy[i] = rho * (gas_.energy(s.temperature, s.burned) + 0.5 * s.velocity * s.velocity);
  arena_.now.burned[i] = rho * s.burned;
  arena_.temperature[i] = s.temperature;
}

void Network::Parts::build() {
  require(plans_.size() == 2 * ducts_.size() && !ducts_.empty(),
          "Network: every duct needs something at both ends");
  arena_.size = static_cast<long>((next_cell_ - cells_before + 7) / 8 * 8);
  const auto total = static_cast<std::size_t>(arena_.size + cells_before + cells_past);
  cell_store_.reserve(18, total);
  for (Conserved* c : {&arena_.now, &arena_.next}) {
    *c = {cell_store_.take(), cell_store_.take(), cell_store_.take(), cell_store_.take()};
  }
  arena_.temperature = cell_store_.take();
  double* face_area = cell_store_.take();
  double* inverse_volume = cell_store_.take();
  double* inverse_length = cell_store_.take();
  taper_ = cell_store_.take();
  arena_.friction = cell_store_.take();
  double* wall_temperature = cell_store_.take();
  double* hydraulic = cell_store_.take();
  double* roughness = cell_store_.take();
  arena_.face_area = face_area;
  arena_.inverse_volume = inverse_volume;
  arena_.inverse_length = inverse_length;
  arena_.taper = taper_;
  arena_.wall_temperature = wall_temperature;
  arena_.diameter = hydraulic;
  arena_.roughness = roughness;
  const GasState still = ducts_.front().initial.front();
  for (std::size_t i = 0; i < total; ++i) {
    put_cell(i, {still.pressure, still.temperature, 0.0, 0.0});
    face_area[i] = 1.0;
    hydraulic[i] = 1.0;
    wall_temperature[i] = still.temperature;
  }
  for (const DuctRecord& d : ducts_) {
    const double dx = d.duct.length / static_cast<double>(d.cells);
    for (std::size_t i = 0; i <= d.cells; ++i) {
      face_area[d.first - 1 + i] = d.duct.face_areas[i];
    }
    for (std::size_t i = 0; i < d.cells; ++i) {
      const std::size_t cell = d.first + i;
      const double a = d.duct.face_areas[i];
      const double b = d.duct.face_areas[i + 1];
      // A cone between the faces.
      const double volume = dx * (a + b + std::sqrt(a * b)) / 3.0;
      put_cell(cell, d.initial[i]);
      inverse_volume[cell] = 1.0 / volume;
      inverse_length[cell] = 1.0 / dx;
      taper_[cell] = 0.5 * (b - a) * dx / volume;
      hydraulic[cell] = diameter(volume / dx);
      wall_temperature[cell] =
          d.duct.wall_temperatures.empty() ? d.duct.wall_temperature : d.duct.wall_temperatures[i];
      roughness[cell] = std::pow(d.duct.roughness / (3.7 * hydraulic[cell]), 1.11);
    }
    put_cell(d.first - 1, d.initial.front());
    put_cell(d.first + d.cells, d.initial.back());
  }
  // The padding is read on both sides of a swap and never written again.
  std::copy_n(arena_.now.density, total, arena_.next.density);
  std::copy_n(arena_.now.momentum, total, arena_.next.momentum);
  std::copy_n(arena_.now.energy, total, arena_.next.energy);
  std::copy_n(arena_.now.burned, total, arena_.next.burned);
  next_friction_ = 0;
  build_ends();
  built_ = true;
}

}  // namespace fettle::gasflow
