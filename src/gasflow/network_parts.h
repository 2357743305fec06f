#pragma once

#include <cstdint>
#include <utility>
#include <vector>

#include "gasflow/kernel.h"
#include "gasflow/network.h"

namespace fettle::gasflow {

/// One allocation cut into arrays of doubles, each on a cache line and off the others' sets.
class Store {
 public:
  void reserve(std::size_t arrays, std::size_t cells);
  double* take();

 private:
  std::vector<double> memory_;
  std::size_t stride_ = 0;
  std::size_t used_ = 0;
};

enum class EndKind { closed, outside, plenum, junction };

/// What was asked for at an end.
struct EndPlan {
  EndKind kind = EndKind::closed;
  std::size_t number = 0;  // of the plenum or junction
  GasState outside;
  double area_ratio = 0.0;
};

struct JunctionPlan {
  std::vector<DuctEnd> pipes;
  std::vector<double> directions;  // rad; empty: no loss by angle
  bool area_step = false;
  double loss = 0.0;
};

class Network::Parts {
 public:
  Parts(const GasPair& gas, const NetworkOptions& options);
  bool built() const { return built_; }
  std::size_t plenum_count() const { return plenums_.size(); }
  std::size_t add_duct(const Duct& duct, const std::function<GasState(double)>& initial);
  std::size_t add_plenum(double volume, const GasState& state);
  void add_end(DuctEnd end, const EndPlan& plan);
  void add_junction(const JunctionPlan& plan);
  void set_ratio(DuctEnd end, double ratio);
  void set_outside(DuctEnd end, const GasState& outside);
  double step(double longest);
  EndFlowRate flow(DuctEnd end) const;
  std::size_t cells(std::size_t duct) const { return ducts_.at(duct).cells; }
  GasState state(std::size_t duct, std::size_t cell) const;
  double density(std::size_t duct, std::size_t cell) const;
  GasState plenum(std::size_t plenum) const;
  Totals duct_totals();
  Totals plenum_totals() const;
  double time() const { return time_; }
  std::size_t real_cells() const { return real_cells_; }
  std::vector<DuctEnd> open_ends() const;
  double area(DuctEnd end) const;
  const GasPair& gas() const { return gas_; }

 private:
  struct DuctRecord {
    std::size_t first;  // cell
    std::size_t cells;
    Duct duct;
    std::vector<GasState> initial;
  };
  struct Plenum {
    double volume, mass, energy, burned, temperature;
  };

  void build();
  void build_ends();
  std::vector<std::size_t> place_ends();
  void take_end_arrays(std::size_t count);
  void sort_flows();
  void build_junctions();
  void set_angle_losses();
  void check(const GasState& state) const;
  void put_cell(std::size_t i, const GasState& state);
  void put_reservoir(std::size_t slot, const GasState& state);
  void refresh_plenums();
  void feed_plenums(double dt);
  void solve_ends(double dt);
  void solve_restrictions();
  std::size_t slot(DuctEnd end) const;
  std::size_t restricted(DuctEnd end) const;

  GasPair gas_;
  NetworkOptions options_;
  const Kernels& kernels_;
  Arena arena_{};
  Ends ends_{};
  Reservoirs behind_{};
  Store cell_store_;
  Store end_store_;
  std::vector<long> end_cells_, end_ghosts_, end_inners_;
  std::vector<long> restricted_;               // slots
  std::vector<long> shut_, inward_, outward_;  // of them, in this step
  std::vector<EndFlow> flows_;
  std::vector<std::size_t> flow_slots_;                            // slot of each entry of flows_
  std::vector<double> flow_areas_;                                 // and the area of its face
  std::vector<std::size_t> slots_;                                 // of duct end 2 duct + side
  std::vector<std::pair<std::size_t, std::size_t>> plenum_slots_;  // slot, plenum
  std::vector<std::pair<DuctEnd, EndPlan>> plans_;
  std::vector<JunctionPlan> junction_plans_;
  std::vector<DuctRecord> ducts_;
  std::vector<Plenum> plenums_;
  double* taper_ = nullptr;
  double* end_sign_ = nullptr;
  double* end_mirror_ = nullptr;
  double* mutable_ratio_ = nullptr;
  double* mutable_reservoir_[6] = {};
  Junctions junctions_{};
  std::vector<double> junction_state_;
  double* branch_loss_ = nullptr;
  long closed_to_ = 0;     // slots [0, closed_to_) are walls,
  long reservoir_to_ = 0;  // up to here reservoirs, then eight for each junction
  std::size_t next_cell_ = static_cast<std::size_t>(cells_before);
  std::size_t real_cells_ = 0;
  int next_friction_ = 0;
  double rate_ = 0.0;  // greatest (|u| + c)/Δx found by the last step
  double time_ = 0.0;
  bool built_ = false;
};

}  // namespace fettle::gasflow
