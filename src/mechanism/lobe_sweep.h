#pragma once

#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "mechanism/lobe.h"
#include "metrology/periodic_spline.h"

namespace fettle::mechanism {

/// One point of a lobe trace.
struct SweepPoint {
  double crank_angle = 0.0;  ///< rad, in the frame of the curve wanted
  double lift = 0.0;         ///< m
  double lift_u = 0.0;       ///< standard uncertainty of the lift, m; > 0
  double angle_u = 0.0;      ///< of the crank angle, independent from point to point, rad; >= 0
};

struct SweepOptions {
  double greatest_gap = 0.2618;  ///< farther apart than this, two points leave a gap between them, rad; > 0
  int passes = 2;                ///< of the fit: the first finds the slopes for the weights of the next; >= 1
  metrology::SmoothingOptions smoothing = {};  ///< period 0 stands for one cycle, 4π
};

struct SweepFit {
  metrology::SplineFit fit;
  std::vector<double> effective_u;  ///< sqrt(lift_u² + (L' angle_u)²) of each point in the last pass, m
  std::vector<Arc> covered;         ///< where there are points; ReductionOptions::covered
};

/// Fits a lift curve through a sweep taken forward. The doubt of the wheel enters each point's weight through
/// the slope of the lobe there, known from the pass before. Throws std::invalid_argument as
/// fit_periodic_spline does and for options out of range; too few points give fit.converged = false.
SweepFit fit_lobe_sweep(std::span<const SweepPoint> points, const SweepOptions& options = {});

/// Arcs between neighbouring points no farther apart than `greatest_gap`; one arc of a whole period where all
/// are. A lone point covers nothing.
std::vector<Arc> covered_arcs(std::span<const SweepPoint> points, double period, double greatest_gap);

/// Play of the cam drive, from points taken turning backward on a lobe known from a forward sweep.
struct SlackEstimate {
  double slack = 0.0;  ///< crank angle by which the crank must turn back farther for the same lift, rad; >= 0
                       ///< in a sound drive
  double u = 0.0;      ///< standard uncertainty of the mean from the scatter, rad
  double scatter = 0.0;                 ///< standard deviation of one point, rad
  std::optional<double> opening_flank;  ///< slack from the points of one flank, rad: the two differ where the
  std::optional<double> closing_flank;  ///< indicator's zero moved between the passes
  int points = 0;                       ///< used: on a flank, with at least a quarter of the greatest slope
  /// Places on the forward curve that it was counted from, rad, and by how much the slack grows when the
  /// curve is higher there, rad/m.
  std::vector<std::pair<double, double>> curve_effects;
  std::string summary;
};

/// Mean angular shift between the passes, each point weighted by its squared slope. Nothing with fewer than
/// two points on the flanks. Throws std::invalid_argument if the reduction found no lobe.
std::optional<SlackEstimate> slack_between(const LobeReduction& forward,
                                           const metrology::PeriodicSpline& curve,
                                           std::span<const SweepPoint> backward);

/// Standard uncertainty of a slack with the doubt of the forward curve in it, rad; `forward` is the fit that
/// the estimate was counted from.
double slack_u(const SlackEstimate& estimate, const metrology::SplineFit& forward);

}  // namespace fettle::mechanism
