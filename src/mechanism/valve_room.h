#pragma once

#include "mechanism/planar.h"
#include "mechanism/slider_crank.h"
#include "mechanism/valve_clearance.h"

namespace fettle::mechanism {

/// A notch cut about the valve's axis with the piston at TDC, and the valve's head in it.
struct ValveNotch {
  double head_radius = 0.0;   ///< of the valve, m; > 0
  double notch_radius = 0.0;  ///< m; > 0
  double valve_angle = 0.0;   ///< of the valve to the bore, rad
  Planar
      offset;  ///< head's centre from the notch's axis at TDC, m: x in the plane of bore and valve, positive
               ///< toward the side the piston carries the notch away from as it goes down; y across it
};

/// Radial gap between head and wall of the notch with the piston `depth` below TDC, m; negative where they
/// cut: notch − head − |offset + (s sin β, 0)|. Counts only while the head stands below the notch's rim. Over
/// a range of depths the least gap is at one of its ends (the distance is convex in depth). Throws
/// std::invalid_argument for radii not above zero or numbers not finite.
double radial_clearance(const ValveNotch& notch, double depth);

/// Head of a valve as its disc seen edge on, in the plane through both valves' axes.
struct ValveHead {
  Planar centre;        ///< of the face, valve closed, m
  Planar opening_axis;  ///< direction in which it opens, any length > 0
  double radius = 0.0;  ///< m; > 0
};

/// Distance of two heads open by the lifts, m; zero where they would cut through one another. Exact for discs
/// without thickness whose axes lie in one plane. Throws std::invalid_argument for impossible heads.
double head_distance(const ValveHead& a, double lift_a, const ValveHead& b, double lift_b);

struct LeastHeadDistance {
  double distance = 0.0;     ///< m; zero: they strike
  double crank_angle = 0.0;  ///< rad from overlap TDC
  bool at_edge = false;
};

/// The least of it over crank angle.
LeastHeadDistance least_head_distance(const ValveHead& a, const ValveMotion& motion_a, const ValveHead& b,
                                      const ValveMotion& motion_b, const ClearanceRange& range = {});

/// What running takes off the clearance found by hand: the piston rises at overlap TDC.
struct RunningParts {
  double crank_speed = 0.0;         ///< ω, rad/s; >= 0
  double reciprocating_mass = 0.0;  ///< piston, pin, rings, locks, small end, kg; >= 0
  double rod_beam_mass = 0.0;       ///< of the rod's beam, kg; half of it stretches it; >= 0
  double rod_area = 0.0;            ///< least section, or that of an even bar of equal stretch, m²; > 0
  double rod_modulus = 0.0;         ///< Pa; > 0 (steel 207e9, aluminium 71e9: Shigley table A-5)
  double bearing_clearances = 0.0;  ///< diametral, of main, rod and pin together, m; >= 0
  double skirt_clearance = 0.0;     ///< diametral, m; >= 0
  double skirt_length = 0.0;        ///< m; > 0
  double notch_distance = 0.0;      ///< of the notch from the pin's axis, m; >= 0
};

struct RunningAllowance {
  double inertia_force = 0.0;    ///< F = m a at TDC, N
  double rod_stretch = 0.0;      ///< F l/(E A), m along the bore
  double bearing_take_up = 0.0;  ///< at most all the clearances: by hand the piston may have hung low, m
  double rock = 0.0;             ///< rise of the notch as the piston tips in its bore, m
  double total = 0.0;            ///< along the bore, m; times the approach factor along the valve
};

/// Gas pressure at overlap TDC, which presses the piston down, is left out. Throws std::invalid_argument for
/// numbers out of range.
RunningAllowance running_allowance(const SliderCrank& crank, const RunningParts& parts);

}  // namespace fettle::mechanism
