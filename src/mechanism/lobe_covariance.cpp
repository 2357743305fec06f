#include <cmath>
#include <stdexcept>

#include "mechanism/lobe.h"

namespace fettle::mechanism {

namespace {

using metrology::PeriodicSpline;

/// Row of the base level: mean of the curve over its arcs.
Eigen::VectorXd base_row(const LobeReduction& reduction, const PeriodicSpline& curve) {
  Eigen::VectorXd row = Eigen::VectorXd::Zero(curve.coefficients().size());
  double length = 0.0;
  for (const Arc& arc : reduction.base_arcs) {
    row += curve.integral_basis(arc.from, arc.to);
    length += arc.to - arc.from;
  }
  if (length > 0.0) {
    row /= length;
  }
  return row;
}

void set_event(Eigen::MatrixXd& rows, Eigen::Index place, const std::optional<LiftCrossing>& event,
               const Eigen::VectorXd& level, const PeriodicSpline& curve) {
  if (event) {
    rows.row(place) = ((level - curve.basis(event->angle)) / event->slope).transpose();
  }
}

}  // namespace

LobeCovariance lobe_covariance(const LobeReduction& reduction, const metrology::SplineFit& fit) {
  if (!reduction.found) {
    throw std::invalid_argument("lobe_covariance: no lobe was found: " + reduction.summary);
  }
  const PeriodicSpline& curve = fit.curve;
  LobeCovariance result;
  result.checks = reduction.checks.size();
  Eigen::MatrixXd rows =
      Eigen::MatrixXd::Zero(result.before(reduction.drops.size()), curve.coefficients().size());
  const Eigen::VectorXd base = base_row(reduction, curve);
  const Eigen::VectorXd at_top = curve.basis(reduction.top);
  rows.row(LobeCovariance::base_level()) = base.transpose();
  rows.row(LobeCovariance::max_lift()) = (at_top - base).transpose();
  rows.row(LobeCovariance::top()) =
      (curve.basis(reduction.top, 1) / -curve.derivative(reduction.top, 2)).transpose();
  for (std::size_t i = 0; i < reduction.checks.size(); ++i) {
    set_event(rows, LobeCovariance::opening(i), reduction.checks[i].opening, base, curve);
    set_event(rows, LobeCovariance::closing(i), reduction.checks[i].closing, base, curve);
  }
  for (std::size_t i = 0; i < reduction.drops.size(); ++i) {
    set_event(rows, result.before(i), reduction.drops[i].before, at_top, curve);
    set_event(rows, result.after(i), reduction.drops[i].after, at_top, curve);
  }
  result.matrix = fit.covariance_of_rows(rows);
  return result;
}

double LobeCovariance::combination_u(const std::vector<std::pair<Eigen::Index, double>>& terms) const {
  double variance = 0.0;
  for (const auto& [i, a] : terms) {
    for (const auto& [j, b] : terms) {
      variance += a * b * matrix(i, j);
    }
  }
  return std::sqrt(std::max(0.0, variance));
}

double LobeCovariance::standard_uncertainty(Eigen::Index feature) const {
  return combination_u({{feature, 1.0}});
}

double LobeCovariance::duration_u(std::size_t check) const {
  return combination_u({{closing(check), 1.0}, {opening(check), -1.0}});
}

double LobeCovariance::centreline_u(std::size_t check) const {
  return combination_u({{closing(check), 0.5}, {opening(check), 0.5}});
}

double LobeCovariance::drop_centreline_u(std::size_t drop) const {
  return combination_u({{before(drop), 0.5}, {after(drop), 0.5}});
}

double LobeCovariance::asymmetry_u(std::size_t check) const {
  return combination_u({{closing(check), 0.5}, {opening(check), 0.5}, {top(), -1.0}});
}

}  // namespace fettle::mechanism
