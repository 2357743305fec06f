#pragma once

#include <atomic>
#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "build/problem.h"
#include "build/types.h"
#include "quantity/dimension.h"

/// The pull: torque of a build over engine speed, predicted by the gas flow through its pipes, valves and
/// cylinders. A prediction: docs/pull.md says what the model is, docs/validation.md what it was held against
/// and what it was not.
namespace fettle::pull {

/// Air that the engine takes in.
struct Ambient {
  double pressure = 99000.0;     ///< of the dry air, Pa; 80 to 110 kPa
  double vapour_pressure = 0.0;  ///< of the water in it, Pa; >= 0. Displaces air; its heat is left out
  double temperature = 298.15;   ///< K; 250 to 330
  bool operator==(const Ambient&) const = default;
};

/// How a charge burns: Wiebe's law whose angles follow speed, charge and chamber, or a turbulent flame that
/// takes the charge in, with two zones (gasflow/flame.h).
enum class BurnModel { wiebe, flame };

/// What of the model is switched on; for checks of the model itself.
struct ModelOptions {
  double cells = 1.0;   ///< times the usual number of cells along the pipes; 0.5 to 4
  bool burning = true;  ///< off: motored
  BurnModel burn_model = BurnModel::wiebe;
  bool wall_heat = true;  ///< of ducts and cylinders
  bool blow_by = true;
  double tolerance = 1e-3;  ///< change from one cycle to the next at which it ends; > 0
  int most_cycles = 40;     ///< >= 2
  bool operator==(const ModelOptions&) const = default;
};

/// How far a pull has come: called from whichever thread, one at a time.
struct Progress {
  std::size_t done = 0;  ///< operating points
  std::size_t total = 0;
  double speed = 0.0;         ///< of the one just done, rad/s
  double brake_torque = 0.0;  ///< Nm
  std::size_t curve = 0;      ///< in PullOptions::cam; past its end: one run for the doubts
};

struct PullOptions {
  double from = 157.0796326794896619;  ///< crank speeds, rad/s: 1500 rpm
  double to = 680.678408277788534;     ///< 6500 rpm
  double step = 26.179938779914944;    ///< 250 rpm
  std::vector<double> cam = {0.0};  ///< crank rad by which the cam stands earlier than fitted; a curve each
  Ambient ambient;
  unsigned threads = 0;  ///< at most so many at once; 0: as the machine has. Results do not depend on it
  bool doubts = false;   ///< also what the doubt of the readings comes to: two more curves for each source
  bool dynamic = false;  ///< valves as they run at each speed (running_valves.h), not as turned by hand
  bool traces = false;   ///< over crank angle, of one cylinder
  int trace_cylinder = 1;
  ModelOptions model;
  std::function<void(const Progress&)> progress;
  const std::atomic<bool>* cancel = nullptr;  ///< set by the caller to end early
};

/// One cylinder at one speed. Angles in crank rad after its firing TDC.
struct CylinderPoint {
  double imep = 0.0, pmep = 0.0;       ///< Pa; pumping is negative where it costs
  double volumetric_efficiency = 0.0;  ///< dry air taken over what fills the swept volume at ambient
  double residual = 0.0;               ///< mass fraction of burned gas in the charge
  double trapping = 0.0;               ///< fresh charge kept over taken
  double trapped_mass = 0.0;           ///< kg
  double peak_pressure = 0.0;          ///< Pa
  double peak_angle = 0.0;
  double knock_integral = 0.0;       ///< 1: the last of the charge is on the point of igniting by itself
  double exhaust_temperature = 0.0;  ///< mean of what leaves past the valve, by energy, K
  double burn_duration = 0.0;        ///< Wiebe's; of a flame from the spark to nine tenths burned; crank rad
  double half_burned = 0.0;          ///< where half of the charge has burned
};

/// One cylinder over the last cycle; crank angle from its overlap TDC.
struct Trace {
  std::vector<double> angle;                      ///< rad, [0, 4π)
  std::vector<double> volume;                     ///< m3
  std::vector<double> pressure;                   ///< in the cylinder, Pa
  std::vector<double> temperature;                ///< K
  std::vector<double> intake_pressure;            ///< in the port before the valve, Pa
  std::vector<double> exhaust_pressure;           ///< in the port after it, Pa
  std::vector<double> intake_lift, exhaust_lift;  ///< m
};

/// The engine at one speed and full throttle.
struct SpeedPoint {
  double speed = 0.0;  ///< rad/s
  bool converged = false;
  bool alternates = false;  ///< settled to two cycles that take turns, of which the means are given
  std::string why;          ///< where it did not
  int cycles = 0;
  std::size_t steps = 0;
  double last_change = 0.0;
  double brake_torque = 0.0, indicated_torque = 0.0, friction_torque = 0.0;  ///< Nm
  double brake_power = 0.0;                                                  ///< W
  double bmep = 0.0, imep = 0.0, pmep = 0.0, fmep = 0.0;                     ///< Pa
  double volumetric_efficiency = 0.0, residual = 0.0, trapping = 0.0;        ///< means of the cylinders
  double air_flow = 0.0, fuel_flow = 0.0;                                    ///< kg/s
  std::optional<double> fuel_consumption;       ///< brake specific, kg/J; nothing without brake power
  double exhaust_temperature = 0.0;             ///< K
  double peak_pressure = 0.0;                   ///< greatest of the cylinders, Pa
  double advance = 0.0;                         ///< spark before firing TDC, crank rad
  double knock_integral = 0.0;                  ///< greatest of the cylinders
  std::optional<double> knock_advance;          ///< spark at which the worst cylinder would knock, crank rad
  bool spark_held_back = false;                 ///< the spark sought is at that, not at best torque
  double torque_sae = 0.0, torque_iso = 0.0;    ///< brake torque by SAE J1349 and ISO 1585, Nm
  double mass_error = 0.0, energy_error = 0.0;  ///< what the last cycle's balances leave, relative; energy of
                                                ///< the cylinders, and of the ducts too where walls are cold
  std::vector<CylinderPoint> cylinders;
  std::optional<Trace> trace;
};

struct Curve {
  double cam_advance = 0.0;  ///< crank rad earlier than fitted
  std::vector<SpeedPoint> points;
};

/// What the build does not say and the pull took instead.
struct Assumption {
  std::string text;  ///< "length of the intake runners"
  /// Of the value, where it has one; a ratio of 1 for bare numbers.
  std::optional<quantity::Dimension> dimension;
  double si = 0.0;
  std::string value;  ///< as text, metric: "174 mm"
};

/// What the doubt of one finding of the bench comes to in brake torque, first order (JCGM 100:2008, 5.1). It
/// says nothing of how far the model itself is off, which docs/validation.md treats and which is never mixed
/// with it.
struct TorqueDoubt {
  std::string source;       ///< "cam phase", "compression ratio"
  std::string finding;      ///< id of the finding whose doubt it is
  std::optional<double> u;  ///< standard uncertainty of that finding, rad or 1; nothing where it was not read
  struct At {
    double speed = 0.0;              ///< rad/s
    double per_unit = 0.0;           ///< Nm per crank rad by which the cam stands earlier, or per 1 of ratio
    std::optional<double> torque_u;  ///< Nm
  };
  std::vector<At> at;
};

struct PullResult {
  std::vector<Curve> curves;        ///< in the order of PullOptions::cam
  std::vector<TorqueDoubt> doubts;  ///< of the first curve; empty unless asked for
  std::vector<Assumption> assumptions;
  std::vector<std::string> cautions;  ///< what of it is not validated
  double sae_factor = 1.0, iso_factor = 1.0;
  double displacement = 0.0;       ///< of the engine, m3
  double compression_ratio = 0.0;  ///< mean of the cylinders
  bool cancelled = false;
};

/// The result, or why the build cannot be run.
struct PullOutcome {
  std::optional<PullResult> result;
  build::Problems problems;
};

/// Runs every speed of every curve to its periodic state. The build must have passed build::validate(). A
/// pure function: the same build and options give the same numbers whatever the number of threads. Throws
/// std::invalid_argument for options out of range.
PullOutcome pull(const build::Build& build, const PullOptions& options = {});

/// What of a pull is not validated, a sentence each (docs/validation.md).
std::vector<std::string> cautions();

/// The crank speeds that the options ask for, rad/s.
std::vector<double> speeds_of(const PullOptions& options);

}  // namespace fettle::pull
