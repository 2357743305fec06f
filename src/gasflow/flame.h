#pragma once

#include "gasflow/gas.h"

namespace fettle::gasflow {

/// The part of a ball that lies in a disc-shaped chamber: surface within it, m2, and volume, m3. The ball's
/// centre is the plug, on the roof and `offset` off the bore's axis; the piston is `height` below, all m.
/// Gauss's rule over the height, 12 points. Throws std::invalid_argument unless height and bore are positive
/// and 0 <= offset < bore/2.
struct BallInDisc {
  double area = 0.0, volume = 0.0;
};
BallInDisc ball_in_disc(double radius, double height, double bore, double offset);

/// A turbulent flame by entrainment (Blizard and Keck, SAE 740191; Tabaczynski, Ferguson and Radhakrishnan,
/// SAE 770647; Heywood, *Internal Combustion Engine Fundamentals*, section 14.4.2; all from memory):
///   dm_e/dt = ρ_u A (u' + S_L)                     charge that the front takes in
///   dm_b/dt = ρ_u A S_L + (m_e - m_b)/τ            charge that burns, τ = λ/S_L
/// A is the surface of a ball about the plug that holds burned gas and what was taken in, S_L the laminar
/// speed, λ = sqrt(15 ν L/u') Taylor's scale (Tabaczynski, with A = 1 in λ²/L² = 15/(A Re)). Turbulence at
/// TDC: u' is half of the mean piston speed in chambers without swirl, L a fifth of the chamber's height
/// (Heywood, section 8.2.2, from memory); from there rapid distortion: u' with the cube root of the unburned
/// density, L with its inverse. Nothing is fitted. No swirl, tumble or squish, and the front is no smaller
/// than the eddies.
struct FlameSetup {
  Fuel fuel;
  double equivalence_ratio = 1.0;
  double bore = 0.0;         ///< m
  double plug_offset = 0.0;  ///< m off the bore's axis, < bore/2
  double turbulence = 0.5;   ///< u' at TDC over the mean piston speed; >= 0, 0: laminar
  double scale = 0.2;        ///< L over the chamber's height at TDC; > 0
};

/// What surrounds the flame.
struct FlameSurroundings {
  double pressure = 0.0;              ///< Pa
  double unburned_temperature = 0.0;  ///< K
  double unburned_density = 0.0;      ///< kg/m3
  double burned_density = 0.0;        ///< kg/m3
  double residual = 0.0;              ///< mole fraction of burned gas in the unburned charge
  double mass = 0.0;                  ///< of all gas, kg
  double height = 0.0;                ///< of the chamber now, m
  double density_at_tdc = 0.0;        ///< of the charge there, unfired, kg/m3
  double height_at_tdc = 0.0;         ///< m
  double piston_speed = 0.0;          ///< mean, m/s
};

/// Its progress, as parts of the mass of all gas.
class Flame {
 public:
  /// Throws std::invalid_argument for impossible setups.
  explicit Flame(const FlameSetup& setup);

  /// A kernel of burned gas, a ball of 1 mm radius (a spark's gap: common practice, no source).
  void light(const FlameSurroundings& now);
  void put_out() { burning_ = false; }
  /// Goes on for `dt` (second order); the part of all gas that burned in it.
  double step(const FlameSurroundings& now, double dt);

  bool burning() const { return burning_; }  ///< until a thousandth is left
  double entrained() const { return entrained_; }
  double burned() const { return burned_; }
  double area() const { return area_; }  ///< of the front in the last step, m2

 private:
  double front(double volume, const FlameSurroundings& now);
  void advance(const FlameSurroundings& now, double laminar, double intensity, double relaxation, double dt);

  FlameSetup setup_;
  bool burning_ = false;
  double entrained_ = 0.0, burned_ = 0.0;
  double radius_ = 0.0, area_ = 0.0;
};

}  // namespace fettle::gasflow
