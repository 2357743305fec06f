#include "mechanism/follower_fit.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace fettle::mechanism {
namespace {

constexpr double grid_step = 0.017453292519943295;  // 1 degree of crank

/// Lift and derivatives over cam angle; the crank turns twice as far.
FollowerPoint point_at(const LobeReduction& reduction, const metrology::PeriodicSpline& curve, double x,
                       double to_lobe) {
  return {to_lobe * (curve.value(x) - reduction.base_level), to_lobe * 2.0 * curve.derivative(x, 1),
          to_lobe * 4.0 * curve.derivative(x, 2)};
}

struct Span {
  double from = 0.0;
  double to = 0.0;
};

/// From the outermost opening to the outermost closing that the curve shows.
std::optional<Span> lobe_span(const LobeReduction& reduction) {
  std::optional<Span> span;
  for (const CheckResult& check : reduction.checks) {
    if (check.opening && check.closing) {
      const Span own{check.opening->angle, check.closing->angle};
      span = span ? Span{std::min(span->from, own.from), std::max(span->to, own.to)} : own;
    }
  }
  return span;
}

/// Row of coefficients whose product is the figure to first order about its place.
Eigen::RowVectorXd gradient_row(const LobeReduction& reduction, const metrology::PeriodicSpline& curve,
                                const FollowerFigure& figure, const FollowerExtreme& least, double to_lobe) {
  const auto slope = [&](double FollowerPoint::*member, double step) {
    FollowerPoint up = least.point;
    FollowerPoint down = least.point;
    up.*member += step;
    down.*member -= step;
    return (figure(up) - figure(down)) / (2.0 * step);
  };
  constexpr double step = 1e-6;  // m; figures are smooth over some millimetres
  Eigen::VectorXd base = Eigen::VectorXd::Zero(curve.coefficients().size());
  double length = 0.0;
  for (const Arc& arc : reduction.base_arcs) {
    base += curve.integral_basis(arc.from, arc.to);
    length += arc.to - arc.from;
  }
  if (length > 0.0) {
    base /= length;
  }
  const double x = least.crank_angle;
  const Eigen::VectorXd row = slope(&FollowerPoint::s, step) * (curve.basis(x) - base) +
                              slope(&FollowerPoint::v, step) * 2.0 * curve.basis(x, 1) +
                              slope(&FollowerPoint::a, step) * 4.0 * curve.basis(x, 2);
  return to_lobe * row.transpose();
}

}  // namespace

std::optional<FollowerExtreme> least_on_lobe(const LobeReduction& reduction, const metrology::SplineFit& fit,
                                             const FollowerFigure& figure, double to_lobe) {
  if (!(to_lobe > 0.0)) {
    throw std::invalid_argument("least_on_lobe: lifts must be scaled by more than nothing");
  }
  const auto span = reduction.found ? lobe_span(reduction) : std::nullopt;
  if (!span) {
    return std::nullopt;
  }
  const auto value_at = [&](double x) { return figure(point_at(reduction, fit.curve, x, to_lobe)); };
  std::optional<double> place;
  double best = 0.0;
  const auto steps = static_cast<int>((span->to - span->from) / grid_step);
  for (int i = 0; i <= steps; ++i) {
    const double x = span->from + i * grid_step;
    const double value = value_at(x);
    if (std::isfinite(value) && (!place || value < best)) {
      place = x;
      best = value;
    }
  }
  if (!place) {
    return std::nullopt;
  }
  const double before = value_at(*place - grid_step);
  const double after = value_at(*place + grid_step);
  const double bend = before - 2.0 * best + after;
  const double shift = std::isfinite(bend) && bend > 0.0 ? 0.5 * (before - after) / bend : 0.0;
  const double refined = *place + std::clamp(shift, -1.0, 1.0) * grid_step;
  if (std::isfinite(value_at(refined)) && value_at(refined) < best) {
    place = refined;
  }
  FollowerExtreme least;
  least.crank_angle = *place;
  least.point = point_at(reduction, fit.curve, *place, to_lobe);
  least.value = value_at(*place);
  const Eigen::MatrixXd row = gradient_row(reduction, fit.curve, figure, least, to_lobe);
  least.u = std::sqrt(std::max(0.0, fit.covariance_of_rows(row)(0, 0)));
  least.dof = fit.dof;
  return std::isfinite(least.u) ? std::optional(least) : std::nullopt;
}

}  // namespace fettle::mechanism
