#pragma once

#include <complex>
#include <span>
#include <string>
#include <vector>

#include "mechanism/slider_crank.h"

namespace fettle::mechanism {

/// Bobweight for one crank pin, kg: rotating_factor × (big ends with bearings) + reciprocating_factor ×
/// (piston, pin, locks, rings, small end of every rod on the pin) + oil. 90-degree V8: factors 1 and 0.5 with
/// two rods a pin, which is 2 (big end) + one set of reciprocating parts (common practice). Throws
/// std::invalid_argument for negative masses or no rod.
struct PinMasses {
  double big_end = 0.0;        ///< of one rod with its bearing, kg
  double reciprocating = 0.0;  ///< of one cylinder, kg
  int rods = 1;                ///< on the pin
  double oil = 0.0;            ///< kg
};
double bobweight(const PinMasses& masses, double reciprocating_factor, double rotating_factor = 1.0);

/// Rotating and reciprocating parts of a rod from the weights of its ends on two scales, kg; their sum should
/// be the whole rod's, and `closure` is what it differs by.
struct RodSplit {
  double big_end = 0.0;
  double small_end = 0.0;
  double closure = 0.0;  ///< big + small − whole, kg
};
RodSplit rod_split(double big_end, double small_end, double whole);

/// Factors of the piston's acceleration over r ω²: cos θ + λ₂ cos 2θ + λ₄ cos 4θ + λ₆ cos 6θ + ..., of a
/// mechanism without pin offset: orders 1, 2, 4, 6, ... up to `most` >= 2. Exact by Fourier sums of the
/// closed form. λ₂ = λ + λ³/4 + 15 λ⁵/128 + ... with λ = r/l (Heywood; Taylor, *The Internal Combustion
/// Engine*).
std::vector<double> acceleration_harmonics(const CrankGeometry& geometry, int most);

/// A cylinder of the engine.
struct BalanceCylinder {
  double throw_angle = 0.0;  ///< of its crank pin with the crank at zero, rad, in the direction of rotation
  double bank_angle = 0.0;   ///< of its bore, rad, the same way
  double position = 0.0;     ///< along the crank, m
  double reciprocating_mass = 0.0;  ///< kg; >= 0
  double rotating_mass = 0.0;       ///< at the crank pin that is not balanced, kg; negative: counterweight
};

/// Shaking of one order k: the force turns as two vectors of constant length, one with the crank and one
/// against it, at k times its speed: F = forward e^{+ikθ} + backward e^{−ikθ} in the plane across the crank,
/// x along bank angle zero, y a quarter turn in the direction of rotation. Moments: the same of position
/// times force. N and N m; the moment is about position zero and independent of it where the force is zero.
struct ShakingOrder {
  int order = 1;
  std::complex<double> force_forward, force_backward;
  std::complex<double> moment_forward, moment_backward;
  double greatest_force() const { return std::abs(force_forward) + std::abs(force_backward); }
  double greatest_moment() const { return std::abs(moment_forward) + std::abs(moment_backward); }
};

/// Shaking forces and moments of any layout at a crank speed, rad/s, for orders 1, 2, 4, 6, ... up to `most`.
/// A piston pushed along its bore by inertia acts on the engine with −m a. All cylinders have the geometry;
/// rods' own rotation and gas forces (which balance within the engine but for torque) are left out. Throws
/// std::invalid_argument for offsets, masses or speeds out of range.
std::vector<ShakingOrder> shaking(const CrankGeometry& geometry, std::span<const BalanceCylinder> cylinders,
                                  double crank_speed, int most = 4);

/// Counterweight in two planes that cancels the forward part of order 1: mass × radius, kg m, and its angle
/// with the crank at zero, rad, in plane a and b (positions, m, apart).
struct Counterweight {
  double mass_radius = 0.0;
  double angle = 0.0;
};
struct TwoPlaneBalance {
  Counterweight a;
  Counterweight b;
};
TwoPlaneBalance two_plane_balance(const ShakingOrder& first_order, double crank_speed, double plane_a,
                                  double plane_b);

}  // namespace fettle::mechanism
