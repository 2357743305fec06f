#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include "gasflow/network_parts.h"

namespace fettle::gasflow {

/// Walls first, then reservoirs, each kind filled up to lanes of eight by idle walls in the padding; then
/// eight places for each junction. Gives the place of each plan.
std::vector<std::size_t> Network::Parts::place_ends() {
  std::vector<std::size_t> place(plans_.size());
  std::size_t next = 0;
  const auto fill = [&](auto belongs) {
    for (std::size_t i = 0; i < plans_.size(); ++i) {
      if (belongs(plans_[i].second.kind)) {
        place[i] = next++;
      }
    }
    next = (next + 7) / 8 * 8;
    return static_cast<long>(next);
  };
  closed_to_ = fill([](EndKind kind) { return kind == EndKind::closed; });
  reservoir_to_ = fill([](EndKind kind) { return kind == EndKind::outside || kind == EndKind::plenum; });
  std::vector<std::size_t> taken(junction_plans_.size(), 0);
  for (std::size_t i = 0; i < plans_.size(); ++i) {
    if (plans_[i].second.kind == EndKind::junction) {
      const std::size_t j = plans_[i].second.number;
      place[i] = next + 8 * j + taken[j]++;
    }
  }
  ends_.count = static_cast<long>(next + 8 * junction_plans_.size());
  return place;
}

void Network::Parts::take_end_arrays(std::size_t count) {
  end_cells_.assign(count, cells_before / 2);
  end_ghosts_.assign(count, cells_before / 2 + 1);
  end_inners_.assign(count, cells_before / 2 - 1);
  end_store_.reserve(30, count);
  end_sign_ = end_store_.take();
  end_mirror_ = end_store_.take();
  ends_.cell = end_cells_.data();
  ends_.ghost = end_ghosts_.data();
  ends_.inner = end_inners_.data();
  ends_.sign = end_sign_;
  ends_.mirror = end_mirror_;
  for (double** row : {&ends_.density, &ends_.velocity, &ends_.pressure, &ends_.burned, &ends_.trace_density,
                       &ends_.trace_velocity, &ends_.trace_pressure, &ends_.trace_burned, &ends_.heat_excess,
                       &ends_.offset, &ends_.slope, &ends_.x, &ends_.flow_mass, &ends_.flow_thrust,
                       &ends_.flow_energy, &ends_.flow_burned}) {
    *row = end_store_.take();
  }
  mutable_ratio_ = end_store_.take();
  for (double*& row : mutable_reservoir_) {
    row = end_store_.take();
  }
  behind_ = {mutable_ratio_,        mutable_reservoir_[0], mutable_reservoir_[1], mutable_reservoir_[2],
             mutable_reservoir_[3], mutable_reservoir_[4], mutable_reservoir_[5]};
  slots_.assign(plans_.size(), 0);
  const GasState idle = ducts_.front().initial.front();
  for (std::size_t s = 0; s < count; ++s) {
    end_sign_[s] = 1.0;
    end_mirror_[s] = 1.0;
    ends_.x[s] = 1.0;
    ends_.density[s] = arena_.now.density[0];
    ends_.pressure[s] = idle.pressure;
    put_reservoir(s, {idle.pressure, idle.temperature, 0.0, 0.0});
  }
}

void Network::Parts::build_ends() {
  const std::vector<std::size_t> place = place_ends();
  const auto count = static_cast<std::size_t>(ends_.count);
  take_end_arrays(count);
  for (std::size_t i = 0; i < plans_.size(); ++i) {
    const auto& [end, plan] = plans_[i];
    const std::size_t s = place[i];
    const DuctRecord& d = ducts_[end.duct];
    const bool right = end.side == Side::right;
    const auto cell = static_cast<long>(right ? d.first + d.cells - 1 : d.first);
    const long outward = right ? 1 : -1;
    end_cells_[s] = cell;
    end_ghosts_[s] = cell + outward;
    end_inners_[s] = cell - outward;
    end_sign_[s] = right ? 1.0 : -1.0;
    end_mirror_[s] = plan.kind == EndKind::closed ? 1.0 : 0.0;
    taper_[cell + outward] = (plan.kind == EndKind::closed ? -1.0 : 1.0) * taper_[cell];
    const GasState& g = right ? d.initial.back() : d.initial.front();
    ends_.density[s] = arena_.now.density[cell];
    ends_.velocity[s] = end_sign_[s] * g.velocity;
    ends_.pressure[s] = g.pressure;
    ends_.burned[s] = g.burned;
    mutable_ratio_[s] = plan.area_ratio;
    slots_[2 * end.duct + (right ? 1 : 0)] = s;
    if (plan.kind == EndKind::outside || plan.kind == EndKind::plenum) {
      restricted_.push_back(static_cast<long>(s));
    }
    if (plan.kind == EndKind::outside) {
      put_reservoir(s, plan.outside);
    } else if (plan.kind == EndKind::plenum) {
      plenum_slots_.emplace_back(s, plan.number);
    }
    flows_.push_back({right ? cell : cell - 1, 0.0, 0.0, 0.0, 0.0});
    flow_slots_.push_back(s);
  }
  build_junctions();
  sort_flows();
}

/// By face, as the tiles come to them.
void Network::Parts::sort_flows() {
  std::vector<std::size_t> by_face(flows_.size());
  std::iota(by_face.begin(), by_face.end(), std::size_t{0});
  std::sort(by_face.begin(), by_face.end(),
            [&](std::size_t a, std::size_t b) { return flows_[a].face < flows_[b].face; });
  const auto flows = flows_;
  const auto slots = flow_slots_;
  for (std::size_t i = 0; i < by_face.size(); ++i) {
    flows_[i] = flows[by_face[i]];
    flow_slots_[i] = slots[by_face[i]];
    flow_areas_.push_back(arena_.face_area[flows_[i].face]);
  }
}

void Network::Parts::build_junctions() {
  double* area = end_store_.take();
  double* recovery = end_store_.take();
  double* accelerates = end_store_.take();
  branch_loss_ = end_store_.take();
  const std::size_t n = junction_plans_.size();
  junction_state_.assign(3 * n, 0.0);
  junctions_ = {static_cast<long>(n),
                reservoir_to_,
                area,
                recovery,
                accelerates,
                branch_loss_,
                junction_state_.data(),
                junction_state_.data() + n,
                junction_state_.data() + 2 * n};
  for (std::size_t j = 0; j < n; ++j) {
    const JunctionPlan& plan = junction_plans_[j];
    for (const DuctEnd& end : plan.pipes) {
      const std::size_t s = slot(end);
      const DuctRecord& d = ducts_[end.duct];
      const GasState& g = end.side == Side::right ? d.initial.back() : d.initial.front();
      junctions_.log_pressure[j] += std::log(g.pressure) / static_cast<double>(plan.pipes.size());
      junctions_.temperature[j] += g.temperature / static_cast<double>(plan.pipes.size());
      junctions_.burned[j] += g.burned / static_cast<double>(plan.pipes.size());
      area[s] = this->area(end);
    }
    if (plan.area_step) {
      for (std::size_t i = 0; i < 2; ++i) {
        const std::size_t s = slot(plan.pipes[i]);
        const double ratio = this->area(plan.pipes[i]) / this->area(plan.pipes[1 - i]);
        recovery[s] = ratio < 1.0 ? ratio * (2.0 - ratio) : 1.0;
        accelerates[s] = 1.0;
        branch_loss_[s] = plan.loss;
      }
    }
  }
}

/// The loss of each pipe by its angle to the pipe that supplied most in the last step.
void Network::Parts::set_angle_losses() {
  for (const JunctionPlan& plan : junction_plans_) {
    if (plan.directions.empty()) {
      continue;
    }
    std::size_t main = 0;
    double most = -1.0;
    for (std::size_t i = 0; i < plan.pipes.size(); ++i) {
      const double flow = ends_.flow_mass[slot(plan.pipes[i])] * area(plan.pipes[i]);
      if (flow > most) {
        most = flow;
        main = i;
      }
    }
    for (std::size_t i = 0; i < plan.pipes.size(); ++i) {
      constexpr double none_above = 167.0 * std::numbers::pi / 180.0;
      const double angle =
          std::abs(std::remainder(plan.directions[i] - plan.directions[main], 2.0 * std::numbers::pi));
      branch_loss_[slot(plan.pipes[i])] = i == main ? 0.0 : std::max(0.0, 1.6 * (1.0 - angle / none_above));
    }
  }
}

}  // namespace fettle::gasflow
