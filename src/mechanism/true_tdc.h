#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "mechanism/slider_crank.h"

namespace fettle::mechanism {

/// Wheel readings throughout this header are radians on a 360-degree wheel whose numbers *grow* as the crank
/// turns forward; any real number is taken modulo one turn. A wheel numbered the other way is read as
/// `-wheel`. Results lie in [0, 2π).

/// One pair of readings against a positive stop (or at one indicator height).
struct StopPair {
  double forward = 0.0;   ///< wheel at contact turning forward: before TDC, rad
  double backward = 0.0;  ///< wheel at contact turning backward: after TDC, rad
  double weight = 1.0;    ///< 1/u² of the midpoint, in any unit; > 0
};

struct StopTdc {
  double tdc = 0.0;   ///< wheel reading at true TDC, rad
  double span = 0.0;  ///< crank angle from the forward contact to the backward one, [0, 2π)
};

/// The midpoint of the two contacts less where, by the exact mechanism, it lies after true TDC (the pin
/// offset). The zero of the wheel may lie anywhere, between the contacts too. Throws std::invalid_argument if
/// a reading is not finite.
StopTdc tdc_from_stop(double forward, double backward, const SliderCrank& mechanism);

/// Several pairs together.
struct StopsTdc {
  double tdc = 0.0;               ///< weighted mean on the circle, rad
  std::vector<StopTdc> each;      ///< in the order given
  std::vector<double> residuals;  ///< each tdc less the mean, [-π, π), rad
  double scatter = 0.0;           ///< standard deviation of one pair of mean weight, rad; zero for one pair
};

/// Weighted mean over pairs, which may come from different stop depths. Throws std::invalid_argument if there
/// is no pair, a weight is not positive, or the pairs lie so far round the circle that they have no mean.
StopsTdc tdc_from_stops(std::span<const StopPair> pairs, const SliderCrank& mechanism);

/// Crank angle between the contacts of a stop that holds the piston `depth` below TDC, rad; nothing if the
/// depth is not within the stroke.
std::optional<double> expected_stop_span(double depth, const SliderCrank& mechanism);

enum class Side { before_tdc, after_tdc };

/// One indicator reading of the piston at a wheel reading.
struct DropReading {
  double wheel = 0.0;  ///< rad
  double depth = 0.0;  ///< below the indicator's zero, m; the zero is TDC unless its height is fitted
  Side side = Side::before_tdc;
  double depth_u = 0.0;  ///< standard uncertainty of the depth, m; > 0
  double wheel_u = 0.0;  ///< of the wheel reading, rad; >= 0
};

/// One point of an indicator trace through TDC.
struct TracePoint {
  double wheel = 0.0;     ///< rad
  double height = 0.0;    ///< indicator reading, growing as the piston rises, m; any zero
  double height_u = 0.0;  ///< standard uncertainty, m; > 0
  double wheel_u = 0.0;   ///< rad; >= 0
};

struct TdcFitOptions {
  bool fit_top = true;             ///< the indicator's reading at TDC is unknown; false: it is `top`
  double top = 0.0;                ///< m, used when fit_top is false, and ignored otherwise
  bool fit_scale = false;          ///< the indicator may stand out of line: reads `scale` times the travel
  int most_iterations = 50;        ///< >= 1
  double angle_tolerance = 1e-10;  ///< rad, > 0: converged when a step moves TDC by less
};

/// Least squares of height = top − scale · s(wheel − tdc), weights 1/(u_h² + (s' u_wheel)²) renewed at each
/// step.
struct TdcFit {
  double tdc = 0.0;               ///< rad, [0, 2π)
  double top = 0.0;               ///< indicator reading at TDC, m
  double scale = 1.0;             ///< 1 unless fitted
  Eigen::MatrixXd covariance;     ///< of the fitted ones of (tdc, top, scale), in this order, from the stated
                                  ///< uncertainties; empty if not converged
  std::vector<double> residuals;  ///< height read less height fitted, m
  double chi_squared = 0.0;       ///< of the weighted residuals
  int dof = 0;                    ///< points less fitted numbers
  int iterations = 0;
  bool converged = false;
  std::string summary;  ///< why it stopped
};

/// Fits a swept trace of the exact mechanism by damped Gauss-Newton (Levenberg-Marquardt). The trace may
/// cross the wheel's zero and need not reach TDC or hold both sides, though without both sides a fitted top
/// or scale is poorly determined. Too few points, or points that leave a number undetermined, give converged
/// = false with the reason. Throws std::invalid_argument for numbers that are not finite, height_u <= 0,
/// wheel_u < 0 and options out of range.
TdcFit tdc_from_trace(std::span<const TracePoint> points, const SliderCrank& mechanism,
                      const TdcFitOptions& options = {});

/// The same fit started from drops whose side is known, at equal or unequal heights; by default the indicator
/// was zeroed on TDC (options.fit_top = false, top = 0).
TdcFit tdc_from_drops(std::span<const DropReading> readings, const SliderCrank& mechanism,
                      const TdcFitOptions& options = {.fit_top = false});

}  // namespace fettle::mechanism
