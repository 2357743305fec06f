#pragma once

#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "metrology/periodic_spline.h"

namespace fettle::mechanism {

/// A lift curve L(x) is a periodic spline, m, over crank angle x in radians from whatever reference the
/// readings have (signed from overlap TDC, or the wheel counted on through 720 degrees), period 4π. The
/// reduction below works for any period, and moves with the curve.

/// A part of the cycle, from `from` forward to `to`; to − from in (0, period].
struct Arc {
  double from = 0.0;
  double to = 0.0;
};

/// Customary check lifts, m: 0.006, 0.020, 0.050, 0.100, 0.200 in, 0.1 mm and 1 mm.
std::vector<double> customary_check_lifts();

struct ReductionOptions {
  std::vector<double> check_lifts = customary_check_lifts();     ///< above the base circle, m; > 0
  std::vector<double> drops = {0.020 * 0.0254, 0.050 * 0.0254};  ///< below the greatest lift, m; > 0
  double asymmetry_lift = 0.050 * 0.0254;  ///< check lift whose split is held against the top, m; > 0
  std::vector<Arc> covered;                ///< where there are readings; empty: the whole cycle
  double base_lift = 0.1e-3;               ///< the lobe reaches to this above the base circle ..., m; > 0
  double base_margin = 0.5236;             ///< ... and its ramps this much farther, crank rad; >= 0
  double least_base_arc = 0.1745;          ///< less base circle than this is not taken as measured, rad; > 0
  double least_lift = 0.2e-3;              ///< a curve that rises less holds no lobe, m; > 0
};

struct LiftCrossing {
  double angle = 0.0;  ///< rad, counted on from the top without wrapping
  double slope = 0.0;  ///< dL/dx there, m/rad
};

/// One check lift: absent members are not reached, or lie where there are no readings.
struct CheckResult {
  double lift = 0.0;  ///< m above the base circle
  std::optional<LiftCrossing> opening;
  std::optional<LiftCrossing> closing;
  std::optional<double> duration;    ///< closing − opening, rad
  std::optional<double> centreline;  ///< halfway between them, rad
  std::optional<double> area;        ///< between the curve and the check lift, m rad
};

/// A fixed drop either side of the top.
struct DropResult {
  double drop = 0.0;  ///< m
  std::optional<LiftCrossing> before;
  std::optional<LiftCrossing> after;
  std::optional<double> centreline;  ///< halfway between them, rad
};

/// Lobe features of a lift curve. Geometric velocity and acceleration are per radian of *crank*; per radian
/// of cam they are two and four times as much.
struct LobeReduction {
  bool found = false;       ///< false: no lobe, and nothing below it holds
  std::string summary;      ///< what was found wanting, or "complete"
  double base_level = 0.0;  ///< L of the base circle, m: its mean over base_arcs; zero where not measured
  bool base_measured =
      false;  ///< false: too little of the base circle is covered; lifts count from the indicator's zero
  std::vector<Arc> base_arcs;         ///< where base_level was taken
  std::optional<double> base_runout;  ///< greatest less least L over them, m, noise of the curve included
  double max_lift = 0.0;              ///< L(top) − base_level, m
  double top = 0.0;                   ///< angle of greatest lift, rad, [-period/2, period/2)
  std::vector<CheckResult> checks;    ///< in the order asked
  std::vector<DropResult> drops;      ///< in the order asked
  std::optional<double>
      asymmetry;  ///< split at asymmetry_lift less top, rad; positive: the closing flank is the longer
  double opening_velocity = 0.0;    ///< greatest dL/dx, m/rad
  double closing_velocity = 0.0;    ///< least (most negative) dL/dx, m/rad
  double flank_acceleration = 0.0;  ///< greatest d²L/dx², m/rad²
  double nose_acceleration = 0.0;   ///< least (most negative) d²L/dx², m/rad²
};

/// Reduces a lift curve: base circle, top, crossings of each check lift by scan and bracketed root from the
/// top outward, and what follows from them. Throws std::invalid_argument for options out of range.
LobeReduction reduce_lobe(const metrology::PeriodicSpline& curve, const ReductionOptions& options = {});

/// First-order covariance of the features of a lobe reduced from a fit.
struct LobeCovariance {
  /// Features in order: base level, greatest lift, top, then for each check of the reduction its opening and
  /// closing, then for each drop before and after; absent ones have zero rows. Units m and rad.
  Eigen::MatrixXd matrix;
  static Eigen::Index base_level() { return 0; }
  static Eigen::Index max_lift() { return 1; }
  static Eigen::Index top() { return 2; }
  static Eigen::Index opening(std::size_t check) { return 3 + 2 * static_cast<Eigen::Index>(check); }
  static Eigen::Index closing(std::size_t check) { return opening(check) + 1; }
  Eigen::Index before(std::size_t drop) const {
    return opening(checks) + 2 * static_cast<Eigen::Index>(drop);
  }
  Eigen::Index after(std::size_t drop) const { return before(drop) + 1; }

  double standard_uncertainty(Eigen::Index feature) const;
  double duration_u(std::size_t check) const;        ///< of closing − opening, rad
  double centreline_u(std::size_t check) const;      ///< of the split, rad
  double drop_centreline_u(std::size_t drop) const;  ///< rad
  double asymmetry_u(std::size_t check) const;       ///< of split less top, rad

  std::size_t checks = 0;
  double combination_u(const std::vector<std::pair<Eigen::Index, double>>& terms) const;
};

/// Propagates the fit's covariance of coefficients: d(event) = −(dL(event) − d(base))/L'(event), d(top) =
/// −dL'(top)/L''(top), d(greatest lift) = dL(top) − d(base), d(drop event) = −(dL(event) −
/// dL(top))/L'(event). `reduction` must be of fit.curve. Throws std::invalid_argument where no lobe was
/// found, std::logic_error where the fit did not converge.
LobeCovariance lobe_covariance(const LobeReduction& reduction, const metrology::SplineFit& fit);

}  // namespace fettle::mechanism
