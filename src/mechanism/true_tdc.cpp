#include "mechanism/true_tdc.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include <Eigen/Cholesky>
#include <Eigen/Eigenvalues>
#include <fmt/format.h>

#include "mechanism/circular.h"

namespace fettle::mechanism {

namespace {

void require(bool condition, const char* message) {
  if (!condition) {
    throw std::invalid_argument(message);
  }
}

/// Weighted mean of angles on the turn; throws if they have none.
double circular_mean(std::span<const double> angles, std::span<const double> weights) {
  double cosine = 0.0;
  double sine = 0.0;
  double total = 0.0;
  for (std::size_t i = 0; i < angles.size(); ++i) {
    cosine += weights[i] * std::cos(angles[i]);
    sine += weights[i] * std::sin(angles[i]);
    total += weights[i];
  }
  require(std::hypot(cosine, sine) > 1e-6 * total,
          "true TDC: the readings lie all round the wheel and have no mean");
  const double direction = std::atan2(sine, cosine);
  // The direction of the resultant is refined to the arithmetic mean, which is what least squares gives.
  double offset = 0.0;
  for (std::size_t i = 0; i < angles.size(); ++i) {
    offset += weights[i] * wrap_centred(angles[i] - direction, full_turn);
  }
  return wrap_positive(direction + offset / total, full_turn);
}

}  // namespace

StopTdc tdc_from_stop(double forward, double backward, const SliderCrank& mechanism) {
  require(std::isfinite(forward) && std::isfinite(backward), "tdc_from_stop: the readings must be finite");
  const double span = wrap_positive(backward - forward, full_turn);
  const double midpoint = forward + 0.5 * span;
  return {wrap_positive(midpoint - mechanism.stop_midpoint_offset(span), full_turn), span};
}

StopsTdc tdc_from_stops(std::span<const StopPair> pairs, const SliderCrank& mechanism) {
  require(!pairs.empty(), "tdc_from_stops: no pair of readings");
  StopsTdc result;
  std::vector<double> angles;
  std::vector<double> weights;
  for (const StopPair& pair : pairs) {
    require(std::isfinite(pair.weight) && pair.weight > 0.0, "tdc_from_stops: weights must be positive");
    result.each.push_back(tdc_from_stop(pair.forward, pair.backward, mechanism));
    angles.push_back(result.each.back().tdc);
    weights.push_back(pair.weight);
  }
  result.tdc = circular_mean(angles, weights);
  double weighted_squares = 0.0;
  double total = 0.0;
  for (std::size_t i = 0; i < angles.size(); ++i) {
    const double residual = wrap_centred(angles[i] - result.tdc, full_turn);
    result.residuals.push_back(residual);
    weighted_squares += weights[i] * residual * residual;
    total += weights[i];
  }
  if (pairs.size() > 1) {
    const auto count = static_cast<double>(pairs.size());
    result.scatter = std::sqrt(weighted_squares / (count - 1.0) * count / total);
  }
  return result;
}

std::optional<double> expected_stop_span(double depth, const SliderCrank& mechanism) {
  return mechanism.dwell(depth);
}

namespace {

void check_options(const TdcFitOptions& options) {
  require(options.most_iterations >= 1, "TdcFitOptions: most_iterations must be at least 1");
  require(options.angle_tolerance > 0.0, "TdcFitOptions: angle_tolerance must be positive");
  require(std::isfinite(options.top), "TdcFitOptions: top must be finite");
}

void check_points(std::span<const TracePoint> points) {
  for (const TracePoint& point : points) {
    require(std::isfinite(point.wheel) && std::isfinite(point.height),
            "true TDC: the readings must be finite");
    require(std::isfinite(point.height_u) && point.height_u > 0.0, "true TDC: height_u must be positive");
    require(std::isfinite(point.wheel_u) && point.wheel_u >= 0.0, "true TDC: wheel_u must not be negative");
  }
}

/// Numbers in the order (tdc, top, scale); the fitted ones are listed.
struct Model {
  double tdc = 0.0;
  double top = 0.0;
  double scale = 1.0;

  Model moved(const Eigen::VectorXd& step, const TdcFitOptions& options) const {
    Model next = *this;
    Eigen::Index place = 0;
    next.tdc += step[place++];
    if (options.fit_top) {
      next.top += step[place++];
    }
    if (options.fit_scale) {
      next.scale += step[place];
    }
    return next;
  }
};

struct Linearised {
  Eigen::MatrixXd normal;
  Eigen::VectorXd gradient;
  double chi_squared = 0.0;
};

Eigen::Index fitted_numbers(const TdcFitOptions& options) {
  return 1 + (options.fit_top ? 1 : 0) + (options.fit_scale ? 1 : 0);
}

/// Weights at the model: each point's doubt in height, the wheel's share by the slope there.
std::vector<double> weights_at(const Model& model, std::span<const TracePoint> points,
                               const SliderCrank& mechanism) {
  std::vector<double> weights;
  weights.reserve(points.size());
  for (const TracePoint& point : points) {
    const double from_wheel = model.scale * mechanism.velocity(point.wheel - model.tdc) * point.wheel_u;
    weights.push_back(1.0 / (point.height_u * point.height_u + from_wheel * from_wheel));
  }
  return weights;
}

Linearised linearise(const Model& model, std::span<const TracePoint> points, std::span<const double> weights,
                     const SliderCrank& mechanism, const TdcFitOptions& options) {
  const Eigen::Index count = fitted_numbers(options);
  Linearised result{Eigen::MatrixXd::Zero(count, count), Eigen::VectorXd::Zero(count), 0.0};
  Eigen::VectorXd row(count);
  for (std::size_t i = 0; i < points.size(); ++i) {
    const PistonMotion motion = mechanism.motion(points[i].wheel - model.tdc);
    const double residual = points[i].height - (model.top - model.scale * motion.depth);
    Eigen::Index place = 0;
    row[place++] = model.scale * motion.velocity;  // dh/dtdc
    if (options.fit_top) {
      row[place++] = 1.0;
    }
    if (options.fit_scale) {
      row[place] = -motion.depth;
    }
    result.normal.noalias() += weights[i] * row * row.transpose();
    result.gradient += weights[i] * residual * row;
    result.chi_squared += weights[i] * residual * residual;
  }
  return result;
}

/// Inverse of the normal matrix; nothing where it is singular to working precision once scaled to unit
/// diagonal.
std::optional<Eigen::MatrixXd> inverse_of(const Eigen::MatrixXd& normal) {
  if (!(normal.diagonal().minCoeff() > 0.0)) {
    return std::nullopt;
  }
  const Eigen::VectorXd scaling = normal.diagonal().cwiseSqrt().cwiseInverse();
  const Eigen::MatrixXd scaled = scaling.asDiagonal() * normal * scaling.asDiagonal();
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> eigen(scaled);
  if (eigen.info() != Eigen::Success || eigen.eigenvalues().minCoeff() < 1e-11) {
    return std::nullopt;
  }
  const Eigen::MatrixXd inverse = eigen.eigenvectors() * eigen.eigenvalues().cwiseInverse().asDiagonal() *
                                  eigen.eigenvectors().transpose();
  return scaling.asDiagonal() * inverse * scaling.asDiagonal();
}

/// One damped step; the damping is raised until chi-squared (with the weights held) falls.
/// Returns the change of TDC, or nothing if no step helps.
std::optional<double> damped_step(Model& model, double& damping, std::span<const TracePoint> points,
                                  const SliderCrank& mechanism, const TdcFitOptions& options) {
  const std::vector<double> weights = weights_at(model, points, mechanism);
  const Linearised here = linearise(model, points, weights, mechanism, options);
  for (int attempt = 0; attempt < 30; ++attempt) {
    Eigen::MatrixXd damped = here.normal;
    damped.diagonal() *= 1.0 + damping;
    const Eigen::LDLT<Eigen::MatrixXd> solver(damped);
    const Eigen::VectorXd step = solver.solve(here.gradient);
    if (solver.info() == Eigen::Success && step.allFinite()) {
      const Model next = model.moved(step, options);
      const double chi_squared = linearise(next, points, weights, mechanism, options).chi_squared;
      // Rounding may keep chi-squared, a sum of squares of standard deviations, from falling at the very
      // minimum.
      if (chi_squared <= here.chi_squared * (1.0 + 1e-12) + 1e-12) {
        damping = std::max(1e-12, damping * 0.1);
        model = next;
        return std::abs(step[0]);
      }
    }
    damping *= 10.0;
  }
  return std::nullopt;
}

void finish(TdcFit& fit, const Model& model, std::span<const TracePoint> points, const SliderCrank& mechanism,
            const TdcFitOptions& options) {
  fit.tdc = wrap_positive(model.tdc, full_turn);
  fit.top = model.top;
  fit.scale = model.scale;
  fit.dof = static_cast<int>(points.size()) - static_cast<int>(fitted_numbers(options));
  for (const TracePoint& point : points) {
    fit.residuals.push_back(point.height -
                            (model.top - model.scale * mechanism.depth(point.wheel - model.tdc)));
  }
  const Linearised last = linearise(model, points, weights_at(model, points, mechanism), mechanism, options);
  fit.chi_squared = last.chi_squared;
  if (!fit.converged) {
    return;
  }
  if (const auto covariance = inverse_of(last.normal)) {
    fit.covariance = *covariance;
  } else {
    fit.converged = false;
    fit.summary = "the points do not determine all the fitted numbers";
  }
}

TdcFit fit_from(Model model, std::span<const TracePoint> points, const SliderCrank& mechanism,
                const TdcFitOptions& options) {
  TdcFit fit;
  if (points.size() < static_cast<std::size_t>(fitted_numbers(options))) {
    fit.summary =
        fmt::format("{} points are too few to fit {} numbers", points.size(), fitted_numbers(options));
    return fit;
  }
  double damping = 1e-3;
  fit.summary = fmt::format("not converged in {} iterations", options.most_iterations);
  while (fit.iterations < options.most_iterations && !fit.converged) {
    ++fit.iterations;
    const auto change = damped_step(model, damping, points, mechanism, options);
    if (!change) {
      fit.summary = "no step lessens the residuals";
      break;
    }
    if (*change < options.angle_tolerance && damping < 1e-2) {
      fit.converged = true;
      fit.summary = fmt::format("converged in {} iterations", fit.iterations);
    }
  }
  finish(fit, model, points, mechanism, options);
  return fit;
}

/// Best start of a coarse search round the wheel: at each trial the top (if fitted) follows by linear least
/// squares.
Model coarse_start(std::span<const TracePoint> points, const SliderCrank& mechanism,
                   const TdcFitOptions& options) {
  constexpr int trials = 144;
  Model best;
  double least = std::numeric_limits<double>::infinity();
  for (int trial = 0; trial < trials; ++trial) {
    Model model{full_turn * trial / trials, options.top, 1.0};
    double total = 0.0;
    double sum = 0.0;
    double squares = 0.0;
    for (const TracePoint& point : points) {
      const double weight = 1.0 / (point.height_u * point.height_u);
      const double top = point.height + mechanism.depth(point.wheel - model.tdc);
      total += weight;
      sum += weight * (top - points.front().height);
      squares += weight * (top - points.front().height) * (top - points.front().height);
    }
    const double mean = options.fit_top ? sum / total : options.top - points.front().height;
    const double cost = squares - 2.0 * mean * sum + mean * mean * total;
    if (cost < least) {
      least = cost;
      best = model;
      best.top = points.front().height + mean;
    }
  }
  return best;
}

}  // namespace

TdcFit tdc_from_trace(std::span<const TracePoint> points, const SliderCrank& mechanism,
                      const TdcFitOptions& options) {
  check_options(options);
  check_points(points);
  if (points.empty()) {
    return fit_from({}, points, mechanism, options);
  }
  return fit_from(coarse_start(points, mechanism, options), points, mechanism, options);
}

TdcFit tdc_from_drops(std::span<const DropReading> readings, const SliderCrank& mechanism,
                      const TdcFitOptions& options) {
  check_options(options);
  std::vector<TracePoint> points;
  std::vector<double> angles;
  std::vector<double> weights;
  for (const DropReading& reading : readings) {
    points.push_back({reading.wheel, -reading.depth, reading.depth_u, reading.wheel_u});
    check_points({&points.back(), 1});
    const double depth =
        std::clamp(reading.depth + (options.fit_top ? 0.0 : options.top), 0.0, mechanism.stroke());
    if (const auto crossing = mechanism.angles_at_depth(depth)) {
      const double after = reading.side == Side::before_tdc ? crossing->before : crossing->after;
      angles.push_back(reading.wheel - after);
      weights.push_back(1.0);
    }
  }
  if (angles.empty()) {
    TdcFit fit;
    fit.summary = "no readings";
    return fit;
  }
  return fit_from({circular_mean(angles, weights), options.top, 1.0}, points, mechanism, options);
}

}  // namespace fettle::mechanism
