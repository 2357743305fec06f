#pragma once

#include <array>
#include <cstddef>

namespace fettle::metrology::spline_basis {

/// Cardinal B-spline of degree 5 over one knot interval: row a is the polynomial, in the place f within the
/// interval (0..1), of the spline centred at knot a - 2 counted from the interval's left knot. De Boor, *A
/// Practical Guide to Splines*, ch. IX.
inline constexpr std::array<std::array<double, 6>, 6> polynomials_times_120 = {{{1, -5, 10, -10, 5, -1},
                                                                                {26, -50, 20, 20, -20, 5},
                                                                                {66, 0, -60, 0, 30, -10},
                                                                                {26, 50, 20, -20, -20, 10},
                                                                                {1, 5, 10, 10, 5, -5},
                                                                                {0, 0, 0, 0, 0, 1}}};

/// Integral of b'''(t) b'''(t - m) over all t for m = 0..5: minus the sixth difference of b at the integers.
inline constexpr std::array<double, 6> third_derivative_gram = {552.0 / 120.0, -330.0 / 120.0, 0.0,
                                                                75.0 / 120.0,  -20.0 / 120.0,  -1.0 / 120.0};

/// Derivative of order 0..5 of sum p_k f^k.
inline double polynomial_derivative(const std::array<double, 6>& p, double f, int order) {
  double sum = 0.0;
  for (int k = 5; k >= order; --k) {
    double falling = 1.0;
    for (int q = 0; q < order; ++q) {
      falling *= k - q;
    }
    sum = sum * f + falling * p[static_cast<std::size_t>(k)];
  }
  return sum;
}

/// Integral of sum p_k f^k from 0 to f.
inline double polynomial_integral(const std::array<double, 6>& p, double f) {
  double sum = 0.0;
  for (std::size_t k = 6; k-- > 0;) {
    sum = sum * f + p[k] / static_cast<double>(k + 1);
  }
  return sum * f;
}

/// Values of the six splines alive at place f of an interval.
inline std::array<double, 6> values(double f) {
  std::array<double, 6> out{};
  for (std::size_t a = 0; a < 6; ++a) {
    out[a] = polynomial_derivative(polynomials_times_120[a], f, 0) / 120.0;
  }
  return out;
}

/// Coefficient index of the a-th spline alive over an interval, among `count` cyclic coefficients.
inline std::size_t alive(std::size_t interval, std::size_t a, std::size_t count) {
  return (interval + a + count - 2) % count;
}

struct Place {
  double periods;        ///< whole periods taken off
  std::size_t interval;  ///< 0..count - 1
  double fraction;       ///< place within the interval, 0..1
};

/// Where t lies, measured in knot spacings from the first knot. Throws std::invalid_argument where t is not
/// finite.
Place locate(double t, std::size_t count);

}  // namespace fettle::metrology::spline_basis
