#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "mechanism/finger_train.h"
#include "mechanism/rocker_train.h"

namespace fettle::mechanism {

/// A valve's train as lumped masses, for valve_dynamics.h. Lengths in m, forces in N, masses in kg. The lobe
/// lifts the tappet by s; a lever turns its rise into valve lift; springs close the valve.

/// How the lobe reaches the valve.
enum class TrainKind {
  direct,  ///< cam on a bucket over the valve: one mass
  lever,   ///< cam on a finger or rocker over the valve: lever and valve
  pushrod  ///< tappet, pushrod, rocker, valve: three masses
};

/// The lever by polynomials without a constant term, index k the coefficient of x^(k+1). q is the lever's
/// turn times the arm that it has toward the cam with the valve closed, so that rise(q) ≈ q near zero.
struct LeverMaps {
  static constexpr std::size_t terms = 6;
  using Polynomial = std::array<double, terms>;
  Polynomial rise{1.0};          ///< of the tappet over q, m
  Polynomial lift{1.0};          ///< of the valve over q, m
  Polynomial lift_of_rise{1.0};  ///< of the valve over the tappet's rise, m
  std::optional<double> arm;     ///< the arm toward the cam, m; known where there is a geometry
  double greatest_error = 0.0;   ///< of the polynomials over the lift they were fitted to, m
};
double at(const LeverMaps::Polynomial& polynomial, double x);
double slope_at(const LeverMaps::Polynomial& polynomial, double x);

/// A lever of one ratio over the whole lift; throws std::invalid_argument unless ratio > 0.
LeverMaps constant_ratio(double ratio);
/// The exact mechanism, fitted at Chebyshev's places from closed to `most_rise` (a tenth more, to hold a
/// valve that is flung). Nothing where the train does not reach so far.
std::optional<LeverMaps> lever_of(const RockerTrain& train, double most_rise);
std::optional<LeverMaps> lever_of(const FingerTrain& train, double most_rise);

/// One coil spring, a chain of equal pieces between seat and retainer.
struct ChainSpring {
  double load = 0.0;                      ///< valve closed, N; >= 0, over all springs > 0
  double rate = 0.0;                      ///< there, N/m; > 0
  double bend = 0.0;                      ///< half the growth of the rate with compression, N/m²
  std::optional<double> travel_to_solid;  ///< from valve closed, m; > 0: coils clash there
  double active_mass = 0.0;               ///< of the coils that work, kg; > 0
  double damping_ratio = 0.01;  ///< of its first surge mode, of the kind that grows with frequency; >= 0
};

/// Hydraulic element between tappet and pushrod.
struct LifterPlunger {
  double oil_stiffness = 30e6;  ///< of the closed chamber, N/m; > 0
  double leak = 7e-7;           ///< leak-down per force, m/(s N); >= 0
  double refill_rate = 5000.0;  ///< with which the check valve lets a slack plunger follow, 1/s; >= 0
  double spring = 25.0;         ///< of the plunger, N; >= 0
  double preload = 0.5e-3;      ///< plunger below its circlip, m; >= 0
  double travel = 3e-3;         ///< circlip to bottom, m; >= preload
};

/// Contacts only push. Each is a stiffness with damping in proportion, `contact_damping` the ratio to
/// critical of the bodies it joins; links are at the place named.
struct ValveTrain {
  TrainKind kind = TrainKind::pushrod;
  double tappet_mass = 0.0;  ///< tappet and half the pushrod; > 0 with a pushrod
  double lever_mass = 0.0;   ///< inertia over arm² toward the cam, half the pushrod with it; > 0 but direct
  double valve_mass = 0.0;   ///< valve, retainer, locks, what of the springs does not surge; bucket; > 0
  LeverMaps lever;
  double cam_stiffness = 100e6;  ///< lobe, tappet and camshaft, N/m; > 0
  double link_stiffness = 40e6;  ///< pushrod with its balls, along it; > 0
  double tip_stiffness = 20e6;   ///< lever and its stand, at the valve; > 0
  double seat_stiffness = 30e6;  ///< valve's head on its seat; > 0
  double contact_damping = 0.1;  ///< >= 0; 0.05 to 0.15 on cam systems (Norton, from memory)
  double lash = 0.0;             ///< at the valve, m; >= 0, nothing with a plunger
  std::optional<LifterPlunger> plunger;
  std::vector<ChainSpring> springs;  ///< one, or a nested pair; outermost first
  double rubbing = 0.0;    ///< friction between the pair, or of a flat damper in the one, all coils together,
                           ///< N; >= 0
  double settling = 9.81;  ///< weight that lays tappet, pushrod and lever on the cam, m/s²; >= 0
  double loose_drag = 500.0;  ///< with which oil slows tappet and lever while the lash is open, 1/s; >= 0
};

/// Why a train cannot run so, in words fit for a builder; nothing if it can.
std::optional<std::string> valve_train_problem(const ValveTrain& train);

/// Load of all springs at a valve lift, standing, N.
double standing_load(const ValveTrain& train, double lift);

/// Masses brought to the valve with the valve closed, a third of the springs with it (a bar whose far end is
/// held; Rayleigh), kg.
double mass_at_valve(const ValveTrain& train);

/// Inertia about its pivot of a lever that weighs `mass`, as a slender straight bar of even section over both
/// arms, kg m²: m (a³ + b³)/(3 (a + b)). Real rockers carry more of their mass at the pivot: an upper bound
/// in most.
double bar_inertia(double mass, double arm_a, double arm_b);

}  // namespace fettle::mechanism
