#include "metrology/least_squares.h"

#include <cmath>
#include <stdexcept>

#include <Eigen/QR>
#include <fmt/format.h>

#include "metrology/noise_scale.h"

namespace fettle::metrology {

void set_scale(LeastSquaresFit& fit, const NoiseScale& scale, Eigen::Index readings,
               Eigen::Index parameters) {
  const double d0 = scale.prior_dof;
  if (!(d0 >= 0.0)) {
    throw std::invalid_argument("the degrees of freedom of the stated noise must not be negative");
  }
  const auto freedom = static_cast<double>(readings - parameters);
  fit.dof = d0 + freedom;
  if (std::isinf(d0)) {
    fit.residual_scale = 1.0;
  } else if (fit.dof > 0.0) {
    fit.residual_scale = std::sqrt((d0 + fit.weighted_rss) / fit.dof);
  } else {
    fit.converged = false;
    fit.covariance.resize(0, 0);
    fit.dof = std::numeric_limits<double>::infinity();
    fit.summary = fmt::format("{} readings for {} parameters leave nothing to judge the noise by", readings,
                              parameters);
    return;
  }
  fit.covariance *= fit.residual_scale * fit.residual_scale;
}

double LeastSquaresFit::u(Eigen::Index i) const {
  if (i < 0 || i >= covariance.rows()) {
    throw std::logic_error("this fit has no covariance for that parameter: " + summary);
  }
  return std::sqrt(std::max(covariance(i, i), 0.0));
}

double LeastSquaresFit::correlation(Eigen::Index i, Eigen::Index k) const {
  const double scale = u(i) * u(k);
  return scale > 0.0 ? covariance(i, k) / scale : 0.0;
}

LeastSquaresFit linear_least_squares(const Eigen::MatrixXd& design, const Eigen::VectorXd& y,
                                     const Eigen::VectorXd& u, const NoiseScale& scale) {
  const Eigen::Index n = design.rows();
  const Eigen::Index p = design.cols();
  if (y.size() != n || (u.size() != 0 && u.size() != n) || p == 0) {
    throw std::invalid_argument("design, readings and uncertainties of a least-squares fit differ in size");
  }
  if (!design.allFinite() || !y.allFinite() || !u.allFinite() || (u.size() != 0 && !(u.minCoeff() > 0.0))) {
    throw std::invalid_argument("a least-squares fit needs finite numbers and positive uncertainties");
  }
  LeastSquaresFit fit;
  if (n < p) {
    fit.summary = fmt::format("{} readings cannot determine {} parameters", n, p);
    return fit;
  }
  const Eigen::VectorXd inverse_u = u.size() == 0 ? Eigen::VectorXd::Ones(n).eval() : u.cwiseInverse().eval();
  Eigen::MatrixXd weighted = inverse_u.asDiagonal() * design;
  Eigen::VectorXd unit(p);
  for (Eigen::Index j = 0; j < p; ++j) {
    const double length = weighted.col(j).stableNorm();
    unit[j] = length > 0.0 ? 1.0 / length : 1.0;
    weighted.col(j) *= unit[j];
  }
  const Eigen::VectorXd right = inverse_u.cwiseProduct(y);
  const Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(weighted);
  if (qr.rank() < p) {
    fit.summary = fmt::format("the readings determine {} of {} parameters", qr.rank(), p);
    return fit;
  }
  // One step of refinement recovers the digits that an ill-conditioned design costs.
  Eigen::VectorXd scaled = qr.solve(right);
  scaled += qr.solve(right - weighted * scaled);
  fit.parameters = unit.cwiseProduct(scaled);
  fit.weighted_rss = (right - weighted * scaled).squaredNorm();
  const Eigen::MatrixXd inverse_r =
      qr.matrixR().topLeftCorner(p, p).triangularView<Eigen::Upper>().solve(Eigen::MatrixXd::Identity(p, p));
  const Eigen::MatrixXd half = unit.asDiagonal() * (qr.colsPermutation() * inverse_r);
  fit.covariance = half * half.transpose();
  fit.converged = true;
  fit.summary = fmt::format("{} parameters from {} readings", p, n);
  set_scale(fit, scale, n, p);
  return fit;
}

}  // namespace fettle::metrology
