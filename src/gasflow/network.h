#pragma once

#include <cstddef>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "gasflow/gas.h"

namespace fettle::gasflow {

enum class InstructionSet;  // kernel.h

/// Gas somewhere.
struct GasState {
  double pressure = 101325.0;   ///< Pa
  double temperature = 293.15;  ///< K
  double velocity = 0.0;        ///< along the duct, from its left end to its right, m/s
  double burned = 0.0;          ///< mass fraction of burned gas, 0 to 1
};

/// A straight or tapered duct of round section: areas at the faces of its cells, which are equally long.
struct Duct {
  double length = 0.0;                    ///< m, any end correction included; > 0
  std::vector<double> face_areas;         ///< m2, one more than there are cells; at least 5; > 0
  double wall_temperature = 293.15;       ///< K
  std::vector<double> wall_temperatures;  ///< of each cell, K, in place of one for all; empty or one a cell
  double roughness = 0.0;                 ///< height of sand grain, m; >= 0
  bool friction = true;                   ///< Haaland's; without it there is no wall heat either
};
/// Constant area; `taper` from one area to another, the diameter changing linearly.
std::vector<double> constant_areas(double area, std::size_t cells);
std::vector<double> tapered_areas(double first, double last, std::size_t cells);
/// How much longer a pipe of that radius sounds at an open end: 0.6133 a without a flange (Levine and
/// Schwinger 1948), 0.8217 a in an infinite one (Nomura, Yamamura and Inawashiro 1960); m.
double open_end_correction(double radius, bool flanged);

enum class Side { left, right };
struct DuctEnd {
  std::size_t duct = 0;
  Side side = Side::left;
  bool operator==(const DuctEnd&) const = default;
};

struct NetworkOptions {
  double courant = 0.8;        ///< dt (|u| + c)/Δx aimed at, (0, 0.9]
  bool minmod = false;         ///< else the MC limiter, sharper
  double wall_heat = 1.0;      ///< times the heat by Colburn's analogy, St Pr^(2/3) = f/2 with Pr = 0.7; >= 0
  int end_iterations = 3;      ///< Newton steps at an end, warm from the last step; >= 1
  int friction_interval = 16;  ///< steps between two evaluations of the friction factor; >= 1
  std::optional<InstructionSet> instruction_set;  ///< the machine's best unless given
};

/// Out of the duct, while the last step lasted.
struct EndFlowRate {
  double mass = 0.0;    ///< kg/s
  double energy = 0.0;  ///< stagnation enthalpy, sensible, W
  double burned = 0.0;  ///< kg/s
};

struct Totals {
  double mass = 0.0;    ///< kg
  double energy = 0.0;  ///< sensible and kinetic, J
  double burned = 0.0;  ///< kg
};

struct RunSummary {
  double time = 0.0;  ///< s gone through
  std::size_t steps = 0;
  std::optional<std::string> problem;  ///< why it stopped early
};

/// Ducts, what is at their ends, and plenums, moved on in time together.
///
/// Quasi-one-dimensional Euler equations of two gases with cp(T), MUSCL-Hancock and HLLC (cell_kernel.h),
/// second order; ends are quasi-steady and act through the outgoing wave (end_kernel.h). Mass, burned mass
/// and total energy are conserved to rounding: what leaves a duct through an end is exactly what a plenum
/// gets. All ends must be given before the first step. Throws std::invalid_argument for impossible input. No
/// losses in bends; ends have no inertia.
class Network {
 public:
  explicit Network(const GasPair& gas, const NetworkOptions& options = {});
  ~Network();
  Network(Network&&) noexcept;
  Network& operator=(Network&&) noexcept;

  /// `initial` gives the gas at a distance from the left end, m. Returns the duct's number.
  std::size_t add_duct(const Duct& duct, const std::function<GasState(double)>& initial);
  std::size_t add_plenum(double volume, const GasState& initial);  ///< m3
  void close(DuctEnd end);
  /// Gas at rest that nothing changes, or that the caller sets before each step (the atmosphere, a cylinder).
  void open_to(DuctEnd end, const GasState& outside, double area_ratio = 1.0);
  void open_to_plenum(DuctEnd end, std::size_t plenum, double area_ratio = 1.0);

  /// Two to eight pipes that meet (Benson, *The Thermodynamics and Gas Dynamics of Internal-Combustion
  /// Engines*, vol. 1, the constant-pressure junction). With `directions`, radians from any axis in which
  /// each pipe leads away from the junction, the gas entering a pipe loses C ρ u², C = 1.6 - 1.6 θ/167 deg
  /// with θ its angle to the pipe that supplies most, none above 167 deg (Blair, *Design and Simulation of
  /// Four-Stroke Engines*, section 2.14, from memory).
  void join(const std::vector<DuctEnd>& pipes, const std::vector<double>& directions = {});
  /// A step in area between two pipes: into the narrower one without loss, into the wider one with Borda and
  /// Carnot's, ½ ρ (u1 - u2)²; plus `loss` times ρ u² in the pipe that the gas enters.
  void step_in_area(DuctEnd one, DuctEnd other, double loss = 0.0);

  /// Effective area of the restriction (discharge coefficient times throat) over the duct's, within [0, 1].
  void set_area_ratio(DuctEnd end, double ratio);
  void set_outside(DuctEnd end, const GasState& outside);

  /// One step, not longer than `longest`, s; the length taken.
  double step(double longest);
  /// Steps until `time` has gone by, the last one shortened to meet it.
  RunSummary run(double time);

  EndFlowRate flow(DuctEnd end) const;
  std::size_t cells(std::size_t duct) const;
  GasState state(std::size_t duct, std::size_t cell) const;
  double density(std::size_t duct, std::size_t cell) const;
  GasState plenum(std::size_t plenum) const;
  Totals duct_totals() const;
  Totals plenum_totals() const;
  double time() const;
  std::size_t real_cells() const;
  std::vector<DuctEnd> open_ends() const;  ///< those given to open_to
  double area(DuctEnd end) const;          ///< of the duct at its end, m2
  const GasPair& gas() const;

 private:
  class Parts;
  std::unique_ptr<Parts> parts_;
};

}  // namespace fettle::gasflow
