#pragma once

#include <optional>

#include "gasflow/cylinder_laws.h"
#include "gasflow/flame.h"
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
  std::optional<Burn> burn;  ///< none: motored, or by the flame

  /// A burn that is computed in place of one that is given; the cylinder then has two zones while it burns.
  struct FlameBurn {
    double start = 0.0;  ///< x, rad
    FlameSetup flame;
    double efficiency = 1.0;  ///< part of the fresh charge's heat that is set free, 0 to 1
  };
  std::optional<FlameBurn> flame_burn;  ///< not together with `burn`

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
  double knock_integral = 0.0;  ///< Livengood and Wu's, from intake closing, over the gas not yet burned;
                                ///< of the burn that ended last, or of the gas where none did
  double tenth_burned =
      0.0;  ///< x where a tenth of the charge's burn is over, rad; 0: it did not come so far
  double half_burned = 0.0;
  double nine_tenths_burned = 0.0;
  double trapped_mass = 0.0;    ///< at intake closing, kg
  double trapped_fresh = 0.0;   ///< of it, kg
  double trapped_energy = 0.0;  ///< J
};

/// Gas in a cylinder: open thermodynamic system with cp(T).
///
/// dU = -p dV - dQ_wall + q dm_burned + Σ h dm, Heun's method (second order), each term kept so that the sums
/// close to rounding. With a burn that is given, one zone makes the pressure; with a flame, burned and
/// unburned gas have one pressure and together the volume and the energy, from a thousandth burned until the
/// exhaust opens, where they mix. In both, unburned gas is compressed isentropically (Heywood, section 9.2)
/// and loses heat by the cylinder's coefficient through its share of the walls, which is that of the volume.
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
  void set_flame_burn(const std::optional<CylinderSetup::FlameBurn>& burn);

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
  double unburned_temperature() const { return unburned_temperature_; }  ///< K, while the gas is shut in
  /// K; the gas's mean before there is any.
  double burned_temperature() const { return zones() ? burned_temperature_ : temperature_; }
  double charge_burned() const { return part_burned_; }  ///< part of the charge that the burn is through with

 private:
  static constexpr double burned_out = 0.99;  ///< of the charge: no end gas is left to knock
  static double wrapped(double angle);        ///< in [0, 4π)
  struct Rates;
  struct Zones;
  Rates rates(double pressure, double temperature, double volume, double burned, double piston_speed) const;
  void solve_state(double mass, double energy, double burned, double volume);
  Zones zones_at(double pressure, double mass, double volume) const;
  void solve_zones(double mass, double energy, double volume);
  bool zones() const { return fired_ && flame_ && part_burned_ > 1e-3 && !mixed_; }
  double burn(double from, double to, double dt);
  double given_part(double from, double to);
  double flame_part(double dt);
  FlameSurroundings surroundings(double volume, double unburned_temperature) const;
  double burn_again(double part_before, double next_volume);
  void start_burn();
  void shut();
  bool shut_in() const;
  void follow_unburned(double cooling, double dt);
  void note_burned(double before, double to, double turn);
  bool passes(double from, double to, double mark) const;

  GasPair gas_;
  CylinderSetup setup_;
  mechanism::SliderCrank crank_;
  double disc_ = 0.0, swept_ = 0.0, clearance_ = 0.0;
  double angle_ = 0.0, volume_ = 0.0, mass_ = 0.0, energy_ = 0.0, burned_ = 0.0;
  double pressure_ = 0.0, temperature_ = 0.0;
  double charge_ = 0.0;                                          ///< fresh mass when the burn began
  double part_burned_ = 0.0;                                     ///< of it, and of all gas
  double residual_ = 0.0;                                        ///< burned part of the unburned zone
  double efficiency_ = 1.0;                                      ///< of this burn
  double unburned_pressure_ = 0.0, unburned_temperature_ = 0.0;  ///< where the step began
  double burned_temperature_ = 0.0;
  double piston_speed_ = 0.0;
  double knock_rate_ = 0.0;  ///< 1/s, where the step began
  double knock_integral_ = 0.0;
  std::optional<CylinderSetup::Burn> law_;  ///< of this burn
  std::optional<Flame> flame_;              ///< of this burn
  std::optional<Flame> flame_before_;       ///< as the step found it
  FlameSurroundings around_flame_;
  double flame_lit_ = 0.0, flame_time_ = 0.0;
  bool burning_ = false;
  bool fired_ = false;  ///< since the intake closed
  bool mixed_ = false;  ///< since the exhaust opened
  WoschniReference reference_;
  double motored_exponent_ = 1.3;
  CycleRecord record_;
};

}  // namespace fettle::gasflow
