#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "mechanism/valve_train.h"
#include "metrology/periodic_spline.h"

namespace fettle::mechanism {

/// A valve's train as it runs. Equations of motion of the lumped masses of valve_train.h:
///   tappet   m₀ ẍ₀ = F_cam − F_link − m₀ g
///   lever    m₁ q̈ = rise'(q) F_link − lift'(q) F_tip − m₁ g
///   valve    m₂ ÿ = F_tip + F_seat − Σ F_spring,      F = max(0, k δ + c δ̇), nothing while δ <= 0,
/// y the valve's lift from its seat, with δ_cam = s(x) − x₀, δ_link = x₀ − rise(q) − p (p the plunger's
/// giving way), δ_tip = lift(q) − lash − y. The damping sets in over the first two micrometres of δ, so that
/// a force does not jump at touch. A spring is a chain of `elements` pieces of equal law in series; between
/// pieces lie its masses, and pieces that go solid are ten times as stiff. Gas on the valve, friction in
/// guides and bores, the cam's own change of speed, bending and whirl are left out. Integrated by velocity
/// Verlet (second order; damping at the extrapolated velocity, which keeps the order) with equal steps of
/// crank angle, eight speeds or variants at a time, over cam revolutions until the state repeats. Sources:
/// Norton, *Cam Design and Manufacturing Handbook*, chapters on dynamics of cam systems; Hairer, Lubich,
/// Wanner, *Geometric Numerical Integration*, ch. I (from memory).

/// The lobe must be smooth: its acceleration continuous, or a jump of it rings the train at every speed. A
/// PeriodicSpline of degree 5 is (four continuous derivatives); what noise of a sweep leaves in its
/// acceleration is another matter, see the fit's covariance.
struct RunningLobe {
  const metrology::PeriodicSpline* lift = nullptr;  ///< at the follower, m over crank angle, period 4π
  double base_level = 0.0;                          ///< of the base circle, m
  double top = 0.0;                                 ///< crank angle of the greatest lift, rad
};

struct DynamicsOptions {
  int elements = 12;           ///< pieces of a spring; even, 4 to 24
  int least_steps = 1440;      ///< a cam revolution; >= 360
  double step_phase = 0.5;     ///< greatest turn of the fastest mode in a step, rad; (0, 1]
  int most_revolutions = 32;   ///< >= 2
  double tolerance = 2e-7;     ///< change of any place from one revolution to the next, m; > 0
  double watched_part = 0.05;  ///< contact is watched while the valve should be open by this part of its
                               ///< greatest lift; (0, 1)
  bool traces = false;         ///< keep lift, force and spring over the cycle
};

/// Over a cam revolution, at equal crank angles from `from`.
struct RunningTrace {
  double from = 0.0;               ///< crank rad of the first sample
  double step = 0.0;               ///< rad
  std::vector<double> lift;        ///< as run, m
  std::vector<double> rigid_lift;  ///< m
  std::vector<double> cam_force;   ///< between lobe and tappet, N
  std::vector<double> coil;        ///< middle of the outermost spring less half the valve's lift, m
  std::vector<double> gap;         ///< widest of any contact while watched, m; nothing while all touch
};

struct RunningState {
  double speed = 0.0;            ///< crank rad/s
  bool periodic = false;         ///< false: it never repeated; figures are the worst of the last revolutions
  int revolutions = 0;           ///< of the cam, run
  int steps = 0;                 ///< a revolution
  double least_squeeze = 0.0;    ///< least δ of any contact while watched, m; negative: a gap of so much
  double least_cam_force = 0.0;  ///< while watched, N
  double greatest_cam_force = 0.0;   ///< N
  double greatest_link_force = 0.0;  ///< along the pushrod, N; zero without one
  double greatest_tip_force = 0.0;   ///< at the valve's tip, N; zero where direct
  double loft = 0.0;                 ///< greatest lift beyond the rigid one while watched, m; >= 0
  double deflection = 0.0;           ///< greatest lift short of the rigid one while watched, m; >= 0
  double seating_velocity = 0.0;     ///< as it first meets the seat, m/s; >= 0, zero where it never seats
  double bounce = 0.0;               ///< greatest lift off the seat after that, m
  double surge = 0.0;                ///< greatest of |coil|, m
  double cam_work = 0.0;             ///< of the lobe on the train over the revolution, J
  double energy_change = 0.0;        ///< of the train over it, J
  std::optional<RunningTrace> trace;
};

/// One case: a train at a speed. Cases run together must be of one kind and number of springs.
struct RunningCase {
  ValveTrain train;
  double speed = 0.0;  ///< crank rad/s; > 0
};

/// All cases, in their order. The same to the bit whatever instruction set the machine has and however many
/// run together with it at one number of steps. Throws std::invalid_argument for a train with a problem,
/// cases that do not go together, a lobe that is missing or options out of range.
std::vector<RunningState> run_valve(const RunningLobe& lobe, std::span<const RunningCase> cases,
                                    const DynamicsOptions& options = {});

/// The same train at several speeds.
std::vector<RunningState> run_valve(const RunningLobe& lobe, const ValveTrain& train,
                                    std::span<const double> speeds, const DynamicsOptions& options = {});

/// `revolutions` from rest on the base circle without looking for a repeat; figures of the last.
std::vector<RunningState> run_revolutions(const RunningLobe& lobe, std::span<const RunningCase> cases,
                                          int revolutions, const DynamicsOptions& options = {});

}  // namespace fettle::mechanism
