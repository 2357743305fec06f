#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "gasflow/cylinder.h"
#include "gasflow/network.h"

namespace fettle::gasflow {

/// Angles of the engine run from cylinder 1's overlap TDC; a cylinder's own angle is the engine's less its
/// `phase`.
struct EngineCylinder {
  CylinderSetup setup;
  double phase = 0.0;  ///< engine angle of its overlap TDC, rad
  GasState initial;    ///< gas at the start
};

/// A valve between an end of a duct and a cylinder.
struct EngineValve {
  DuctEnd end;  ///< opened with Network::open_to, which this overrides
  std::size_t cylinder = 0;
  /// Discharge coefficient times opening, m2, of the cylinder's own crank angle in [0, 4π), for flow into the
  /// cylinder (true) or out of it. An area above the duct's counts as the duct's.
  std::function<double(double angle, bool into)> effective_area;
  bool intake = true;
};

struct EngineOptions {
  double speed = 0.0;       ///< of the crank, rad/s; > 0
  int most_cycles = 60;     ///< >= 2
  double tolerance = 1e-3;  ///< change of work and trapped mass from one cycle to the next, relative; > 0
  double longest_turn = 0.0087;    ///< of the crank in one step, rad; > 0
  double reference_density = 1.2;  ///< of dry air or charge for the volumetric efficiency, kg/m3; > 0
  ChenFlynn friction;
};

struct CylinderResult {
  CycleRecord record;        ///< of the last cycle
  double imep = 0.0;         ///< net indicated mean effective pressure, Pa
  double pmep = 0.0;         ///< of the exhaust and intake strokes, Pa; negative where pumping costs
  double fresh_taken = 0.0;  ///< fresh charge in through the intake valves, less what went back, kg
  double volumetric_efficiency = 0.0;  ///< fresh charge taken over reference density times swept volume
  double residual = 0.0;               ///< burned part of what was trapped
  double trapping = 0.0;  ///< fresh charge trapped over taken: less than one where some goes out unburned
  bool knocks = false;
  double energy_error = 0.0;  ///< what the first law leaves over the cycle, J
};

struct EngineResult {
  bool converged = false;
  /// It settled to two cycles that take turns, as strongly tuned pipes can make it: all else is then of the
  /// last cycle but `cylinders`' means and the torques and flows, which are of both.
  bool alternates = false;
  std::string why;  ///< in words, where it did not
  int cycles = 0;
  std::size_t steps = 0;  ///< in all
  double last_change = 0.0;
  std::vector<CylinderResult> cylinders;
  double indicated_torque = 0.0;  ///< Nm
  double friction_torque = 0.0;   ///< Nm
  double brake_torque = 0.0;      ///< Nm
  double brake_power = 0.0;       ///< W
  double fuel_flow = 0.0;         ///< kg/s, with the fresh charge taken
  double mass_error = 0.0;        ///< kg that the last cycle's balance of ducts, boxes and cylinders leaves
  double duct_heat = 0.0;         ///< J a cycle, lost to walls of ducts: what the balance of energy leaves
};

/// Ducts, valves and cylinders moved on together until one cycle is as the last.
///
/// Every step: openings and the cylinders' gas, both brought on to the middle of the step by what they did in
/// the last one, are given to the ducts' ends, the ducts move, and the cylinders get what came through, so
/// that both count the same gas; coupling is second order in a step (0.1 to 1 degree).
class Engine {
 public:
  /// Throws std::invalid_argument for a valve without cylinder or end.
  Engine(Network network, const std::vector<EngineCylinder>& cylinders, std::vector<EngineValve> valves);

  /// Calls of the watcher after every step of the last cycle or of any: engine angle in [0, 4π) and the
  /// engine itself.
  using Watcher = std::function<void(double angle, const Engine&)>;
  /// Called after every cycle with what came of it: may set how the next charges burn; false ends the run.
  using Between = std::function<bool(Engine&, const EngineResult&)>;
  /// Goes on from where the last run ended, at another speed if asked: the start of neighbouring speeds.
  EngineResult run(const EngineOptions& options, const Watcher& watch = {}, const Between& between = {});

  void set_burn(std::size_t cylinder, const std::optional<CylinderSetup::Burn>& burn) {
    cylinders_.at(cylinder).set_burn(burn);
  }

  void set_flame_burn(std::size_t cylinder, const std::optional<CylinderSetup::FlameBurn>& burn) {
    cylinders_.at(cylinder).set_flame_burn(burn);
  }

  const Network& network() const { return network_; }
  const Cylinder& cylinder(std::size_t i) const { return cylinders_.at(i); }
  std::size_t cylinder_count() const { return cylinders_.size(); }

 private:
  struct Balance {
    double mass = 0.0, energy = 0.0;
  };
  double step(double longest, double speed);
  void set_valves();
  Balance held();
  void turn_once(const EngineOptions& options, const Watcher& watch, EngineResult& result);
  void sum_up(const EngineOptions& options, const Balance& start, const std::vector<double>& energies,
              EngineResult& result);
  double change_since(const std::vector<CylinderResult>& before, const EngineResult& result) const;
  bool settled(const EngineOptions& options, const std::vector<EngineResult>& history,
               EngineResult& result) const;
  CylinderResult result_of(std::size_t i, double energy_before, const EngineOptions& options) const;

  Network network_;
  std::vector<Cylinder> cylinders_;
  std::vector<EngineValve> valves_;
  std::vector<DuctEnd> open_ends_;  ///< to the world, not to a cylinder
  struct Past {
    double pressure = 0.0, temperature = 0.0;
  };
  std::vector<Past> past_;  ///< of the cylinders, a step ago
  double last_turn_ = 0.0;
  std::vector<double> taken_;  ///< fresh charge in through the intake valves of each cylinder, kg
  Balance passed_;             ///< out through them and past the rings since the cycle began
};

}  // namespace fettle::gasflow
