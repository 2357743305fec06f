#include "metrology/line_fit.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include <fmt/format.h>

namespace fettle::metrology {
namespace {

constexpr double bisquare_constant = 4.685;
constexpr double outlier_limit = 3.5;
constexpr int most_rounds = 200;

void check(std::span<const double> x, std::span<const double> y, std::span<const double> u) {
  const auto finite = [](std::span<const double> v) {
    return std::all_of(v.begin(), v.end(), [](double a) { return std::isfinite(a); });
  };
  if (x.size() != y.size() || (!u.empty() && u.size() != x.size())) {
    throw std::invalid_argument("x, y and u of a line fit must have the same length");
  }
  if (!finite(x) || !finite(y) || !finite(u) ||
      std::any_of(u.begin(), u.end(), [](double v) { return v <= 0.0; })) {
    throw std::invalid_argument("a line fit needs finite readings and positive uncertainties");
  }
}

Eigen::VectorXd vector(std::span<const double> v) {
  return Eigen::Map<const Eigen::VectorXd>(v.data(), static_cast<Eigen::Index>(v.size()));
}

double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) {
    return *middle;
  }
  return 0.5 * (*middle + *std::max_element(values.begin(), middle));
}

void set_residuals(LineFit& line, std::span<const double> x, std::span<const double> y) {
  line.residuals.resize(x.size());
  for (std::size_t i = 0; i < x.size(); ++i) {
    line.residuals[i] = y[i] - (line.intercept + line.slope * x[i]);
  }
}

/// A line in terms of a fit whose columns are 1 and x - centre.
LineFit uncentred(const LeastSquaresFit& fit, double centre) {
  LineFit line;
  line.converged = fit.converged;
  line.summary = fit.summary;
  if (fit.parameters.size() == 2) {
    line.slope = fit.parameters[1];
    line.intercept = fit.parameters[0] - line.slope * centre;
  }
  line.residual_scale = fit.residual_scale;
  line.dof = fit.dof;
  line.weighted_rss = fit.weighted_rss;
  if (fit.covariance.rows() == 2) {
    const double slope_variance = fit.covariance(1, 1);
    const double intercept_variance =
        fit.covariance(0, 0) - 2.0 * centre * fit.covariance(0, 1) + centre * centre * slope_variance;
    line.u_slope = std::sqrt(slope_variance);
    line.u_intercept = std::sqrt(std::max(intercept_variance, 0.0));
    const double covariance = fit.covariance(0, 1) - centre * slope_variance;
    const double product = line.u_slope * line.u_intercept;
    line.correlation = product > 0.0 ? std::clamp(covariance / product, -1.0, 1.0) : 0.0;
  }
  return line;
}

/// Least-squares line about the weighted centre of x.
LineFit ordinary(const Eigen::VectorXd& x, const Eigen::VectorXd& y, const Eigen::VectorXd& u,
                 const NoiseScale& scale) {
  const Eigen::VectorXd weight = u.cwiseInverse().cwiseAbs2();
  const double centre = weight.dot(x) / weight.sum();
  Eigen::MatrixXd design(x.size(), 2);
  design.col(0).setOnes();
  design.col(1) = x.array() - centre;
  return uncentred(linear_least_squares(design, y, u, scale), centre);
}

struct Start {
  double intercept;
  double slope;
};

/// Median of all pairwise slopes and of the intercepts it leaves; nothing where all x are the same.
std::optional<Start> theil_sen(std::span<const double> x, std::span<const double> y) {
  std::vector<double> slopes;
  for (std::size_t i = 0; i < x.size(); ++i) {
    for (std::size_t k = i + 1; k < x.size(); ++k) {
      if (x[i] != x[k]) {
        slopes.push_back((y[k] - y[i]) / (x[k] - x[i]));
      }
    }
  }
  if (slopes.empty()) {
    return std::nullopt;
  }
  const double slope = median(std::move(slopes));
  std::vector<double> intercepts(x.size());
  for (std::size_t i = 0; i < x.size(); ++i) {
    intercepts[i] = y[i] - slope * x[i];
  }
  return Start{median(std::move(intercepts)), slope};
}

/// Residuals in units of u.
std::vector<double> scaled_residuals(std::span<const double> x, std::span<const double> y,
                                     std::span<const double> u, const Start& line) {
  std::vector<double> r(x.size());
  for (std::size_t i = 0; i < x.size(); ++i) {
    r[i] = (y[i] - line.intercept - line.slope * x[i]) / u[i];
  }
  return r;
}

double robust_scale(std::vector<double> r) {
  for (double& v : r) {
    v = std::abs(v);
  }
  return 1.4826 * median(std::move(r));
}

double bisquare_weight(double residual, double scale) {
  const double t = residual / (bisquare_constant * scale);
  return std::abs(t) < 1.0 ? (1.0 - t * t) * (1.0 - t * t) : 0.0;
}

/// Correction of the covariance for the reweighting, over residuals that kept a weight (Huber 1981,
/// section 7.6).
double huber_factor(const std::vector<double>& r, double scale) {
  const auto n = static_cast<double>(r.size());
  double psi_squares = 0.0;
  double slope_sum = 0.0;
  double slope_squares = 0.0;
  for (const double v : r) {
    const double t = v / (bisquare_constant * scale);
    const double psi = v * bisquare_weight(v, scale);
    const double slope = (1.0 - t * t) * (1.0 - 5.0 * t * t);
    psi_squares += psi * psi;
    slope_sum += slope;
    slope_squares += slope * slope;
  }
  const double mean = slope_sum / n;
  const double variance = slope_squares / n - mean * mean;
  const double k = 1.0 + 2.0 / n * variance / (mean * mean);
  return k * k * psi_squares / (n - 2.0) / (mean * mean);
}

/// The line and scale at which reweighting came to rest.
struct Rest {
  Start line;
  double scale = 0.0;
  bool settled = false;
};

Rest reweight(std::span<const double> x, std::span<const double> y, std::span<const double> u,
              const Start& start) {
  double size = 0.0;
  for (std::size_t i = 0; i < y.size(); ++i) {
    size = std::max(size, std::abs(y[i]) / u[i]);
  }
  const double rounding =
      std::max(1e-13 * size, std::numeric_limits<double>::min());  // residuals below are no noise
  Rest rest{start};
  for (int round = 0; round < most_rounds && !rest.settled; ++round) {
    const std::vector<double> r = scaled_residuals(x, y, u, rest.line);
    rest.scale = std::max(robust_scale(r), rounding);
    Eigen::VectorXd effective_u(static_cast<Eigen::Index>(x.size()));
    for (std::size_t i = 0; i < x.size(); ++i) {
      // A reading of weight zero keeps a u so large that it cannot matter.
      effective_u[static_cast<Eigen::Index>(i)] =
          u[i] / std::sqrt(std::max(bisquare_weight(r[i], rest.scale), 1e-30));
    }
    const LineFit next =
        ordinary(vector(x), vector(y), effective_u, {std::numeric_limits<double>::infinity()});
    if (!next.converged) {
      return rest;
    }
    const std::vector<double> moved = scaled_residuals(x, y, u, {next.intercept, next.slope});
    double change = 0.0;
    for (std::size_t i = 0; i < r.size(); ++i) {
      change = std::max(change, std::abs(moved[i] - r[i]));
    }
    rest.line = {next.intercept, next.slope};
    rest.settled = change <= 1e-9 * rest.scale || rest.scale <= rounding;
  }
  return rest;
}

/// Standard uncertainties and correlation of the resting line, from the readings that kept a weight.
void set_covariance(LineFit& line, std::span<const double> x, std::span<const double> y,
                    std::span<const double> u, const std::vector<double>& r, double scale) {
  std::vector<double> kept_x;
  std::vector<double> kept_y;
  std::vector<double> kept_u;
  std::vector<double> kept_r;
  for (std::size_t i = 0; i < x.size(); ++i) {
    if (bisquare_weight(r[i], scale) > 0.0) {
      kept_x.push_back(x[i]);
      kept_y.push_back(y[i]);
      kept_u.push_back(u[i]);
      kept_r.push_back(r[i]);
    }
  }
  line.dof = static_cast<double>(kept_r.size()) - 2.0;
  if (!(line.dof > 0.0)) {
    line.converged = false;
    return;
  }
  const LineFit plain =
      ordinary(vector(kept_x), vector(kept_y), vector(kept_u), {std::numeric_limits<double>::infinity()});
  const double inflation = std::sqrt(huber_factor(kept_r, scale));
  line.converged = line.converged && plain.converged && std::isfinite(inflation);
  if (line.converged) {
    line.u_intercept = inflation * plain.u_intercept;
    line.u_slope = inflation * plain.u_slope;
    line.correlation = plain.correlation;
  }
}

}  // namespace

Prediction LineFit::at(double x) const {
  const double variance =
      u_intercept * u_intercept + x * x * u_slope * u_slope + 2.0 * x * correlation * u_intercept * u_slope;
  return {intercept + slope * x, std::sqrt(std::max(variance, 0.0)), dof};
}

std::optional<Prediction> LineFit::x_at(double y) const {
  if (slope == 0.0) {
    return std::nullopt;
  }
  const double x = (y - intercept) / slope;
  return Prediction{x, at(x).u / std::abs(slope), dof};
}

LineFit fit_line(std::span<const double> x, std::span<const double> y, std::span<const double> u,
                 const NoiseScale& scale) {
  check(x, y, u);
  if (x.size() < 2) {
    LineFit line;
    line.summary = "a line needs two or more readings";
    line.residuals.assign(x.size(), 0.0);
    return line;
  }
  const Eigen::VectorXd all_u =
      u.empty() ? Eigen::VectorXd::Ones(static_cast<Eigen::Index>(x.size())).eval() : vector(u);
  LineFit line = ordinary(vector(x), vector(y), all_u, scale);
  set_residuals(line, x, y);
  return line;
}

LineFit fit_line_through_origin(std::span<const double> x, std::span<const double> y,
                                std::span<const double> u, const NoiseScale& scale) {
  check(x, y, u);
  LineFit line;
  if (x.empty()) {
    line.summary = "a line through the origin needs one or more readings";
    return line;
  }
  const LeastSquaresFit fit =
      linear_least_squares(vector(x), vector(y), u.empty() ? Eigen::VectorXd() : vector(u), scale);
  line.converged = fit.converged;
  line.summary = fit.summary;
  line.slope = fit.parameters.size() == 1 ? fit.parameters[0] : 0.0;
  line.u_slope = fit.covariance.size() == 1 ? fit.u(0) : 0.0;
  line.residual_scale = fit.residual_scale;
  line.dof = fit.dof;
  line.weighted_rss = fit.weighted_rss;
  set_residuals(line, x, y);
  return line;
}

LineFit fit_line_robust(std::span<const double> x, std::span<const double> y, std::span<const double> u) {
  check(x, y, u);
  const std::vector<double> ones(x.size(), 1.0);
  const std::span<const double> stated = u.empty() ? std::span<const double>(ones) : u;
  const auto start = x.size() < 4 ? std::nullopt : theil_sen(x, y);
  if (!start) {
    LineFit line = fit_line(x, y, u);
    line.summary += "; an ordinary fit, for want of readings";
    line.robust_weight.assign(x.size(), 1.0);
    line.outlier.assign(x.size(), false);
    return line;
  }
  const Rest rest = reweight(x, y, stated, *start);
  const std::vector<double> r = scaled_residuals(x, y, stated, rest.line);
  LineFit line;
  line.converged = rest.settled;
  line.intercept = rest.line.intercept;
  line.slope = rest.line.slope;
  line.residual_scale = rest.scale;
  for (const double v : r) {
    const double weight = bisquare_weight(v, rest.scale);
    line.robust_weight.push_back(weight);
    line.outlier.push_back(std::abs(v) > outlier_limit * rest.scale);
    line.weighted_rss += weight * v * v;
  }
  set_covariance(line, x, y, stated, r, rest.scale);
  set_residuals(line, x, y);
  line.summary = fmt::format("{} of {} readings stand apart from the line{}",
                             std::count(line.outlier.begin(), line.outlier.end(), true), x.size(),
                             line.converged ? "" : "; the weights did not settle");
  return line;
}

}  // namespace fettle::metrology
