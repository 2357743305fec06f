#pragma once

#include <optional>

#include "gasflow/cylinder_laws.h"
#include "gasflow/gas.h"
#include "gasflow/network.h"
#include "mechanism/slider_crank.h"

namespace fettle::gasflow {

enum class HeatLaw { none, woschni, woschni_heywood, hohenberg };

/// The cylinder's own crank angle x runs from its overlap TDC, radians, period 4π; firing TDC is at 2π
/// (docs/notation.md).
struct CylinderSetup {
  mechanism::CrankGeometry crank;  ///< m
  double bore = 0.0;               ///< m; > 0
  double compression_ratio = 0.0;  ///< > 1

  double intake_closing = 0.0;   ///< x, rad: from there to exhaust opening the gas is shut in
  double exhaust_opening = 0.0;  ///< x, rad; > intake_closing

  struct Burn {
    double start = 0.0;     ///< x, rad
    double duration = 0.0;  ///< rad; > 0
    double a = 5.0;         ///< Wiebe's constants
    double m = 2.0;
    double efficiency = 1.0;  ///< part of the fresh charge's heat that is set free, 0 to 1
  };
  std::optional<Burn> burn;  ///< none: motored

  HeatLaw heat_law = HeatLaw::none;
  double heat_factor = 1.0;
  double wall_temperature = 450.0;  ///< K
  double extra_wall_area = 0.0;     ///< of head and crown beyond two discs of the bore, m2

  double octane_number = 95.0;
  double blow_by_area = 0.0;  ///< effective, past the rings, m2
  GasState crankcase;         ///< what is behind them
};

/// What went through a cylinder since start_cycle().
struct CycleRecord {
  double work = 0.0;            ///< done on the piston, J
  double pumping_work = 0.0;    ///< of it, from π to -π about overlap (exhaust and intake strokes), J
  double wall_heat = 0.0;       ///< lost, J
  double released = 0.0;        ///< by burning, J
  double energy_in = 0.0;       ///< with gas through the valves, J
  double mass_in = 0.0;         ///< net through the valves, kg
  double fresh_drawn = 0.0;     ///< fresh charge gone in less what came back while the intake was open, kg
  double blow_by_mass = 0.0;    ///< kg
  double blow_by_energy = 0.0;  ///< J
  double peak_pressure = 0.0;   ///< Pa
  double peak_angle = 0.0;      ///< x, rad
  double knock_integral = 0.0;  ///< Livengood and Wu's, over the gas not yet burned
  double trapped_mass = 0.0;    ///< at intake closing, kg
  double trapped_fresh = 0.0;   ///< of it, kg
  double trapped_energy = 0.0;  ///< J
};

/// Gas in a cylinder: one zone, open, first law with cp(T); an unburned zone is followed beside it for knock
/// only.
///
/// dU = -p dV - dQ_wall + q dm_burned + Σ h dm, Heun's method (second order), each term kept so that the sums
/// close to rounding. Unburned gas is compressed isentropically from the burn's start (Heywood, section 9.2).
/// Valid while the gas stays in the range of GasPair; throws std::invalid_argument for impossible setups.
class Cylinder {
 public:
  Cylinder(const GasPair& gas, const CylinderSetup& setup, double angle, const GasState& initial);

  /// Moves from `angle` (where the last step ended) by `turn` in `dt`; `into` comes in through the valves.
  void step(double turn, double dt, const EndFlowRate& into);
  void start_cycle();  ///< clears the record
  /// How the next charge burns; throws std::invalid_argument as the constructor does. Takes effect at its
  /// start.
  void set_burn(const std::optional<CylinderSetup::Burn>& burn);

  const CycleRecord& record() const { return record_; }
  const CylinderSetup& setup() const { return setup_; }
  double angle() const { return angle_; }  ///< x in [0, 4π)
  GasState state() const { return {pressure_, temperature_, 0.0, burned_ / mass_}; }
  double volume() const { return volume_; }
  double mass() const { return mass_; }
  double energy() const { return energy_; }
  double burned_mass() const { return burned_; }
  double swept_volume() const { return swept_; }
  double volume_at(double angle) const;  ///< at the cylinder's own crank angle, m3
  double stroke() const { return crank_.stroke(); }
  double unburned_temperature() const { return unburned_temperature_; }  ///< K, while burning

 private:
  struct Rates;
  Rates rates(double pressure, double temperature, double volume, double burned, double piston_speed) const;
  void solve_state(double mass, double energy, double burned, double volume);
  double burn(double from, double to);
  void shut();
  void follow_unburned(double old_pressure, double old_angle, double dt);
  bool passes(double from, double to, double mark) const;

  GasPair gas_;
  CylinderSetup setup_;
  mechanism::SliderCrank crank_;
  double disc_ = 0.0, swept_ = 0.0, clearance_ = 0.0;
  double angle_ = 0.0, volume_ = 0.0, mass_ = 0.0, energy_ = 0.0, burned_ = 0.0;
  double pressure_ = 0.0, temperature_ = 0.0;
  double charge_ = 0.0;  ///< fresh mass when the burn began
  double unburned_temperature_ = 0.0;
  bool burning_ = false;
  bool fired_ = false;  ///< since the intake closed
  WoschniReference reference_;
  double motored_exponent_ = 1.3;
  CycleRecord record_;
};

}  // namespace fettle::gasflow
