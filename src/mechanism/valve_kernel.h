#pragma once

namespace fettle::mechanism {

/// Plain data between valve_dynamics.cpp and its kernel, which is compiled once for each instruction set.
namespace valve_kernel {

inline constexpr int lanes = 8;
inline constexpr int most_elements = 24;
inline constexpr int polynomial_terms = 6;

/// One number for each case run together.
struct alignas(64) Row {
  double lane[lanes] = {};
};

struct Spring {
  Row load, rate, bend;      // of the whole, over its compression from valve closed
  Row solid_at, solid_rate;  // what coils that touch add
  Row damping;               // N s/m of the whole
  Row inverse_node_mass;
};

struct Train {
  int bodies = 3;   // 1 direct, 2 lever, 3 pushrod
  int springs = 1;  // 1 or 2
  int elements = 12;
  Row inverse_mass[3];  // tappet, lever, valve
  Row weight[2];        // of tappet and lever, as forces on their own coordinates
  Row stiffness[4];     // cam, link, tip, seat
  Row damping[4];
  Row seat_rest;  // squeeze of the seat under the springs alone
  Row lash;
  Row loose_drag;
  Row rise[polynomial_terms], lift[polynomial_terms], lift_of_rise[polynomial_terms];
  Row plunger_spring, leak, refill, plunger_least, plunger_most;
  Row rubbing, rub_speed;  // of one coil; speed at which it is full
  Spring spring[2];
};

/// Places, velocities and accelerations; chains from the seat's side up, ends not in them.
struct State {
  Row x[3], v[3], a[3];
  Row z[2][most_elements], w[2][most_elements], b[2][most_elements];
  Row plunger;
};

struct Run {
  Row time_step, speed, watch;
  const double* lobe = nullptr;        // lift at steps + 1 places, m
  const double* lobe_slope = nullptr;  // over crank angle, m/rad
  int steps = 0;
  int top = 0;            // step of the greatest lift
  bool idle[lanes] = {};  // parts of the rows whose lanes are all idle are left as they are
  // Samples of one revolution, `steps` rows each, or null.
  Row* trace_lift = nullptr;
  Row* trace_rigid = nullptr;
  Row* trace_force = nullptr;
  Row* trace_coil = nullptr;
  Row* trace_gap = nullptr;
};

/// Extremes of one revolution.
struct Seen {
  Row least_squeeze, least_cam, greatest_cam, greatest_link, greatest_tip, loft, deflection, seating, bounce,
      surge, work;
};

using Revolve = void (*)(const Train&, const Run&, State&, Seen&);

Revolve revolve_avx512();
Revolve revolve_avx2();
Revolve revolve_baseline();

}  // namespace valve_kernel
}  // namespace fettle::mechanism
