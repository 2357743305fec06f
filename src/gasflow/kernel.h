#pragma once

// What the kernels of gas flow take: plain pointers and numbers, the same for every instruction set. Internal
// to the layer; network.h is the way in.

namespace fettle::gasflow {

/// Cells a tile: its buffers stay in the first-level cache.
inline constexpr long tile_cells = 96;
/// Padding of every array: cells before the first, and past the last that the tiles read.
inline constexpr long cells_before = 8;
inline constexpr long cells_past = 160;

/// cp of one gas, J/(kg K), by powers of T below and above 1000 K, and its enthalpy's constants (gas.h,
/// PureGas).
struct GasCoefficients {
  double gas_constant;
  double cp_low[5];
  double cp_high[5];
  double h_low;
  double h_high;
};

struct GasTable {
  GasCoefficients fresh;
  GasCoefficients burned;
};

/// Conserved quantities a cubic metre: mass kg, momentum kg/(m2 s), sensible and kinetic energy J, burned
/// mass kg.
struct Conserved {
  double* density;
  double* momentum;
  double* energy;
  double* burned;
};

/// All ducts of a network, cells end to end; a duct has one ghost cell at each end. In ghosts and padding
/// `inverse_volume`, `inverse_length` and `friction` are zero, so that they neither change nor count.
struct Arena {
  long size;  ///< cells from cells_before on, a multiple of eight
  Conserved now;
  Conserved next;
  double* temperature;           ///< K, start of the search and its result
  const double* face_area;       ///< of the face between i and i + 1, m2
  const double* inverse_volume;  ///< 1/m3
  const double* inverse_length;  ///< 1/m
  const double* taper;  ///< half of the area's relative change along the cell; a ghost's is its cell's
  double* friction;     ///< 2 f/D, Fanning's f, 1/m
  const double* wall_temperature;  ///< K
  const double* diameter;          ///< hydraulic, m
  const double* roughness;         ///< (height/(3.7 D))^1.11
  GasTable gas;
  double heat_factor;  ///< Stanton number over f/2: Pr^(-2/3)
};

/// Flow through the end face of a duct, along x: mass kg/s, pressure and momentum Pa (a square metre), energy
/// W, burned kg/s.
struct EndFlow {
  long face;
  double mass;
  double thrust;
  double energy;
  double burned;
};

struct CellsResult {
  double rate = 0.0;  ///< greatest (|u| + c)/Δx *before* the step, 1/s; the Courant number is dt times it
  bool sound = true;  ///< every density and temperature was positive and finite before the step
};

/// State at the ends of ducts, outward velocity positive; arrays padded to eight.
struct Ends {
  long count;
  const long* cell;  ///< last real cell
  const long* ghost;
  const long* inner;     ///< neighbour of the last cell
  const double* sign;    ///< +1 at a right end
  const double* mirror;  ///< 1 where a wall closes the duct, else 0
  double* density;       ///< solved at the face in the last step, outward
  double* velocity;
  double* pressure;
  double* burned;
  double* trace_density;  ///< carried to the face and half a step on
  double* trace_velocity;
  double* trace_pressure;
  double* trace_burned;
  double* heat_excess;  ///< γ − 1
  double* offset;       ///< e = p/((γ − 1) ρ) + offset + slope Y
  double* slope;
  double* x;            ///< warm start of the solution
  double* flow_mass;    ///< solved, outward, kg/(m2 s)
  double* flow_thrust;  ///< p + ρ u², Pa
  double* flow_energy;  ///< W/m2
  double* flow_burned;  ///< kg/(m2 s)
};

/// Still gas behind the restriction at an end; arrays as long as the ends.
struct Reservoirs {
  const double* area_ratio;   ///< effective area of the throat over the duct's, 0 to 1
  const double* pressure;     ///< Pa
  const double* temperature;  ///< K
  const double* burned;
  const double* enthalpy;      ///< J/kg
  const double* heat_excess;   ///< γ − 1
  const double* gas_constant;  ///< J/(kg K)
};

/// Junctions, each with eight places among the ends from `first` on. `area`, `recovery` (η), `accelerates`
/// (a) and `loss` (K) are as long as the ends (junction_kernel.h). Padding places have no area.
struct Junctions {
  long count;
  long first;
  const double* area;
  const double* recovery;
  const double* accelerates;
  const double* loss;
  double* log_pressure;  ///< of each junction: warm starts
  double* temperature;
  double* burned;
};

/// Kernels of one instruction set.
struct Kernels {
  const char* name;
  int lanes;
  CellsResult (*cells)(const Arena&, double dt, bool minmod, const EndFlow* ends, long end_count);
  void (*friction)(const Arena&);
  void (*traces)(const Arena&, const Ends&, double dt, bool minmod);
  void (*closed)(const Ends&, long from, long to);
  /// Ends by number, as many as a multiple of `lanes`; a number may come twice.
  void (*shut)(const Ends&, const long* which, long count);
  void (*reservoirs)(const Ends&, const Reservoirs&, const long* which, long count, int iterations);
  void (*junctions)(const Arena&, const Ends&, const Junctions&, int iterations);
};

const Kernels* kernels_avx512();  ///< nullptr where the compiler did not make them
const Kernels* kernels_avx2();
const Kernels* kernels_baseline();

enum class InstructionSet { best, avx512, avx2, baseline };
/// What this machine runs: the best, or the one asked for; throws std::invalid_argument where it cannot run
/// that.
const Kernels& kernels(InstructionSet wanted = InstructionSet::best);
bool runs_here(InstructionSet set);

}  // namespace fettle::gasflow
