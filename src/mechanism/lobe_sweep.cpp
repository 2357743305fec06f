#include "mechanism/lobe_sweep.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include <fmt/format.h>

#include "mechanism/circular.h"

namespace fettle::mechanism {

std::vector<Arc> covered_arcs(std::span<const SweepPoint> points, double period, double greatest_gap) {
  std::vector<double> angles;
  for (const SweepPoint& point : points) {
    angles.push_back(wrap_positive(point.crank_angle, period));
  }
  std::sort(angles.begin(), angles.end());
  if (angles.size() < 2) {
    return {};
  }
  // Start after a gap, so that an arc across the cycle's end stays whole.
  std::size_t start = angles.size();
  for (std::size_t i = 0; i < angles.size(); ++i) {
    const double before = i == 0 ? angles.back() - period : angles[i - 1];
    if (angles[i] - before > greatest_gap) {
      start = i;
      break;
    }
  }
  if (start == angles.size()) {
    return {{angles.front(), angles.front() + period}};
  }
  std::vector<Arc> arcs;
  Arc arc{angles[start], angles[start]};
  for (std::size_t k = 1; k <= angles.size(); ++k) {
    const std::size_t i = (start + k) % angles.size();
    const double next = angles[i] + (start + k >= angles.size() ? period : 0.0);
    if (k == angles.size() || next - arc.to > greatest_gap) {
      if (arc.to > arc.from) {
        arcs.push_back(arc);
      }
      arc = {next, next};
    } else {
      arc.to = next;
    }
  }
  return arcs;
}

SweepFit fit_lobe_sweep(std::span<const SweepPoint> points, const SweepOptions& options) {
  if (!(options.greatest_gap > 0.0) || options.passes < 1) {
    throw std::invalid_argument("SweepOptions: greatest_gap must be positive and passes at least 1");
  }
  metrology::SmoothingOptions smoothing = options.smoothing;
  if (smoothing.period == 0.0) {
    smoothing.period = full_cycle;
  }
  std::vector<double> angles;
  std::vector<double> lifts;
  std::vector<double> u;
  for (const SweepPoint& point : points) {
    if (!(point.angle_u >= 0.0)) {
      throw std::invalid_argument("fit_lobe_sweep: angle_u must not be negative");
    }
    angles.push_back(point.crank_angle);
    lifts.push_back(point.lift);
    u.push_back(point.lift_u);
  }
  // Before the slopes are known, points of the flanks look like outliers.
  metrology::SmoothingOptions first = smoothing;
  first.reject_outliers = smoothing.reject_outliers && options.passes == 1;
  metrology::SplineFit fit = metrology::fit_periodic_spline(angles, lifts, u, first);
  const auto refine = [&] {
    for (std::size_t i = 0; i < points.size(); ++i) {
      u[i] = std::hypot(points[i].lift_u, fit.curve.derivative(angles[i], 1) * points[i].angle_u);
    }
    fit = metrology::fit_periodic_spline(angles, lifts, u, smoothing);
  };
  for (int pass = 1; pass < options.passes && fit.converged; ++pass) {
    refine();
  }
  // A misread point bends the curve it was weighed by.
  if (options.passes > 1 && fit.converged && std::count(fit.outlier.begin(), fit.outlier.end(), true) > 0) {
    refine();
  }
  return {std::move(fit), std::move(u), covered_arcs(points, smoothing.period, options.greatest_gap)};
}

namespace {

struct Shift {
  double slack;
  double weight;
  bool opening;
  double place;  ///< on the forward curve, rad
  double slope;  ///< there, m/rad
};

/// Crank angle nearest `from` at which the curve has the lift, on the flank it stands on; nothing where
/// Newton's method leaves the flank.
std::optional<double> angle_on_flank(const metrology::PeriodicSpline& curve, double lift, double from,
                                     double least_slope) {
  const double sign = curve.derivative(from, 1);
  double x = from;
  for (int i = 0; i < 30; ++i) {
    const double slope = curve.derivative(x, 1);
    if (slope * sign <= 0.0 || std::abs(slope) < 0.2 * least_slope) {
      return std::nullopt;
    }
    const double step = (lift - curve.value(x)) / slope;
    x += step;
    if (std::abs(step) < 1e-12) {
      return x;
    }
  }
  return std::nullopt;
}

std::vector<Shift> flank_shifts(const LobeReduction& forward, const metrology::PeriodicSpline& curve,
                                std::span<const SweepPoint> backward) {
  const double least_slope = 0.25 * std::min(forward.opening_velocity, -forward.closing_velocity);
  std::vector<Shift> shifts;
  for (const SweepPoint& point : backward) {
    const double from_top = wrap_centred(point.crank_angle - forward.top, curve.period());
    const double reading = forward.top + from_top;
    const double slope = curve.derivative(reading, 1);
    if (std::abs(slope) < least_slope) {
      continue;
    }
    const auto same = angle_on_flank(curve, point.lift, reading, least_slope);
    if (!same || std::abs(curve.derivative(*same, 1)) < least_slope) {
      continue;
    }
    const double there = curve.derivative(*same, 1);
    shifts.push_back({*same - reading, there * there, there > 0.0, *same, there});
  }
  return shifts;
}

std::optional<double> mean_of(const std::vector<Shift>& shifts, bool opening) {
  double sum = 0.0;
  double weights = 0.0;
  for (const Shift& shift : shifts) {
    if (shift.opening == opening) {
      sum += shift.weight * shift.slack;
      weights += shift.weight;
    }
  }
  return weights > 0.0 ? std::optional(sum / weights) : std::nullopt;
}

}  // namespace

std::optional<SlackEstimate> slack_between(const LobeReduction& forward,
                                           const metrology::PeriodicSpline& curve,
                                           std::span<const SweepPoint> backward) {
  if (!forward.found) {
    throw std::invalid_argument("slack_between: no lobe was found: " + forward.summary);
  }
  const std::vector<Shift> shifts = flank_shifts(forward, curve, backward);
  if (shifts.size() < 2) {
    return std::nullopt;
  }
  double sum = 0.0;
  double weights = 0.0;
  double squared_weights = 0.0;
  for (const Shift& shift : shifts) {
    sum += shift.weight * shift.slack;
    weights += shift.weight;
    squared_weights += shift.weight * shift.weight;
  }
  SlackEstimate estimate;
  estimate.slack = sum / weights;
  double squares = 0.0;
  for (const Shift& shift : shifts) {
    squares += shift.weight * (shift.slack - estimate.slack) * (shift.slack - estimate.slack);
  }
  // Unbiased for weights known beforehand; effective number of points (sum w)² / sum w².
  const double effective = weights * weights / squared_weights;
  estimate.scatter = std::sqrt(squares / weights * effective / (effective - 1.0));
  estimate.u = estimate.scatter / std::sqrt(effective);
  for (const Shift& shift : shifts) {
    // A curve that is higher by dL is met earlier by dL over its slope.
    estimate.curve_effects.emplace_back(shift.place, -shift.weight / weights / shift.slope);
  }
  estimate.opening_flank = mean_of(shifts, true);
  estimate.closing_flank = mean_of(shifts, false);
  estimate.points = static_cast<int>(shifts.size());
  estimate.summary =
      fmt::format("{} of {} backward points lie on the flanks", shifts.size(), backward.size());
  return estimate;
}

double slack_u(const SlackEstimate& estimate, const metrology::SplineFit& forward) {
  std::vector<metrology::Functional> places;
  Eigen::VectorXd effects(static_cast<Eigen::Index>(estimate.curve_effects.size()));
  for (const auto& [place, effect] : estimate.curve_effects) {
    effects[static_cast<Eigen::Index>(places.size())] = effect;
    places.push_back({place, 0});
  }
  const double variance = effects.dot(forward.covariance(places) * effects);
  return std::hypot(estimate.u, std::sqrt(std::max(variance, 0.0)));
}

}  // namespace fettle::mechanism
