#pragma once

#include <optional>
#include <string>
#include <vector>

namespace fettle::mechanism {

/// The order in which cylinders fire and the crank angle between firings.
struct FiringPlan {
  std::vector<int> order;         ///< every cylinder number 1..n once
  std::vector<double> intervals;  ///< crank angle from order[i]'s firing TDC to the next one's, rad, the last
                                  ///< leading back to the first; n of them, sum 4π; empty for even fire
};

/// Where a cylinder's throw and bore stand. Both angles in radians, positive in the direction of rotation,
/// from one common line: `throw_angle` with the crank at its zero, `bank_angle` of the bore's axis.
struct CylinderPlace {
  double throw_angle = 0.0;
  double bank_angle = 0.0;
};

/// What is wrong with a plan, in words fit for a builder, one line each; empty if it is sound.
std::vector<std::string> firing_plan_problems(const FiringPlan& plan);

/// Crank angles of the firing TDCs over one cycle, cylinder 1 at zero.
class CylinderPhases {
 public:
  /// Even fire (4π/n apart) or the plan's own intervals. Throws std::invalid_argument if the plan has
  /// problems.
  explicit CylinderPhases(const FiringPlan& plan);

  int cylinders() const { return static_cast<int>(firing_.size()); }
  /// Crank angle of the cylinder's firing TDC after cylinder 1's, rad, in [0, 4π).
  double firing_tdc(int cylinder) const;
  /// Its overlap TDC, one turn from the firing TDC, rad after cylinder 1's *firing* TDC, in [0, 4π).
  double overlap_tdc(int cylinder) const;
  /// Where the cylinder's TDC stands on a wheel numbered in the direction of rotation whose zero is cylinder
  /// 1's TDC, rad, in [0, 2π).
  double crank_phase(int cylinder) const;
  /// The cylinder at overlap TDC when this one fires (within `tolerance`, rad); nothing in engines without
  /// one.
  std::optional<int> companion(int cylinder, double tolerance = 1e-6) const;
  /// Crank angles between successive firings, in the plan's order, rad.
  const std::vector<double>& intervals() const { return intervals_; }

 private:
  std::vector<double> firing_;
  std::vector<double> intervals_;
};

/// Crank angle after the crank's zero at which the cylinder's piston is at TDC without pin offset, rad, in
/// [0, 2π): bank_angle − throw_angle.
double geometric_tdc(const CylinderPlace& place);

/// A cylinder whose throw and bank do not put it at TDC when the plan fires it.
struct PhaseMismatch {
  int cylinder = 0;
  double error = 0.0;  ///< geometric less planned crank phase relative to cylinder 1, rad, in [-π, π)
};

/// Compares the phases with throws and banks; places[i] belongs to cylinder i + 1. Throws
/// std::invalid_argument if the counts differ.
std::vector<PhaseMismatch> phase_mismatches(const CylinderPhases& phases,
                                            const std::vector<CylinderPlace>& places, double tolerance);

/// Firing intervals that a crank and its banks force on a firing order. Each TDC is known to a turn only:
/// every interval is taken in (0, 2π], and where that fills one turn in place of two, the shortest interval
/// (the first of equals) gets the turn that is missing, the most even of the possible firings (a 45-degree
/// twin on one pin fires at 315 and 405). Nothing if the order cannot fire within one cycle. Throws
/// std::invalid_argument if the order is not a permutation of as many cylinders as places.
std::optional<std::vector<double>> intervals_from_geometry(const std::vector<int>& order,
                                                           const std::vector<CylinderPlace>& places);

}  // namespace fettle::mechanism
