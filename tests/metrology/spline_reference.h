#pragma once

#include <cmath>
#include <random>
#include <vector>

#include <Eigen/Dense>

namespace fettle::metrology::reference {

/// Cardinal B-spline of degree p centred at zero by the recurrence on truncated powers' divided differences:
/// independent of the polynomial table under test. De Boor, *A Practical Guide to Splines*, ch. IX (2), with
/// knots at the (half) integers.
inline double cardinal_spline(double t, int degree) {
  const auto b = [](const auto& self, double x, int p, int i) -> double {
    if (p == 0) {
      return x >= i && x < i + 1 ? 1.0 : 0.0;
    }
    return (x - i) / p * self(self, x, p - 1, i) + (i + p + 1 - x) / p * self(self, x, p - 1, i + 1);
  };
  return b(b, t + 0.5 * (degree + 1), degree, 0);
}

/// Derivative of the cardinal B-spline of degree 5 as a central difference of a lower spline.
inline double cardinal_derivative(double t, int order) {
  double sum = 0.0;
  double binomial = 1.0;
  for (int k = 0; k <= order; ++k) {
    sum += (k % 2 == 0 ? 1.0 : -1.0) * binomial * cardinal_spline(t + 0.5 * order - k, 5 - order);
    binomial = binomial * (order - k) / (k + 1);
  }
  return sum;
}

/// Value (or derivative) of the j-th periodic basis spline of `count` at x.
inline double basis(double x, int j, int count, double period, int order = 0) {
  const double h = period / count;
  double t = x / h - j;
  t -= count * std::round(t / count);
  return cardinal_derivative(t, order) / std::pow(h, order);
}

/// Gram matrix of third derivatives over the period, by Gauss-Legendre quadrature (3 points are exact for
/// degree 4) on each knot interval.
inline Eigen::MatrixXd penalty_gram(int count, double period) {
  const double h = period / count;
  const double root = std::sqrt(0.6);
  const double places[] = {0.5 - 0.5 * root, 0.5, 0.5 + 0.5 * root};
  const double weights[] = {5.0 / 18.0, 8.0 / 18.0, 5.0 / 18.0};
  Eigen::MatrixXd gram = Eigen::MatrixXd::Zero(count, count);
  for (int i = 0; i < count; ++i) {
    for (int q = 0; q < 3; ++q) {
      Eigen::VectorXd row(count);
      for (int j = 0; j < count; ++j) {
        row[j] = basis((i + places[q]) * h, j, count, period, 3);
      }
      gram += weights[q] * h * row * row.transpose();
    }
  }
  return gram;
}

/// The penalised fit by dense algebra.
struct DenseFit {
  Eigen::MatrixXd design, normal, inverse;
  Eigen::VectorXd coefficients;
  double effective_parameters, rss;

  DenseFit(const std::vector<double>& x, const std::vector<double>& y, const std::vector<double>& u,
           int count, double period, double penalty) {
    const auto n = static_cast<Eigen::Index>(x.size());
    design.resize(n, count);
    Eigen::VectorXd right(n);
    for (Eigen::Index i = 0; i < n; ++i) {
      const auto k = static_cast<std::size_t>(i);
      for (int j = 0; j < count; ++j) {
        design(i, j) = basis(x[k], j, count, period) / u[k];
      }
      right[i] = y[k] / u[k];
    }
    normal = design.transpose() * design + penalty * penalty_gram(count, period);
    inverse = normal.ldlt().solve(Eigen::MatrixXd::Identity(count, count));
    coefficients = normal.ldlt().solve(design.transpose() * right);
    effective_parameters = (inverse * design.transpose() * design).trace();
    rss = (right - design * coefficients).squaredNorm();
  }
  double cross_validation(double factor) const {
    const auto n = static_cast<double>(design.rows());
    return n * rss / std::pow(n - factor * effective_parameters, 2);
  }
};

/// Independent standard normals, reproducible on one standard library.
inline Eigen::VectorXd normals(std::mt19937_64& engine, Eigen::Index count) {
  std::normal_distribution<double> law;
  Eigen::VectorXd out(count);
  for (auto& v : out) {
    v = law(engine);
  }
  return out;
}

}  // namespace fettle::metrology::reference
