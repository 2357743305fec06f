#pragma once

#include <cmath>

namespace fettle::gasflow::test {

/// Exact solution of Riemann's problem of a perfect gas: Toro, *Riemann Solvers and Numerical Methods for
/// Fluid Dynamics*, chapter 4. Independent of the solver under test.
struct RiemannState {
  double rho = 0.0;
  double u = 0.0;
  double p = 0.0;
};

class ExactRiemann {
 public:
  ExactRiemann(const RiemannState& left, const RiemannState& right, double gamma)
      : l_(left), r_(right), g_(gamma) {
    double p = 0.5 * (l_.p + r_.p);
    for (int i = 0; i < 200; ++i) {
      const double f = value(p, l_) + value(p, r_) + r_.u - l_.u;
      const double next = std::max(1e-12, p - f / (rate(p, l_) + rate(p, r_)));
      if (std::abs(next - p) < 1e-15 * p) {
        break;
      }
      p = next;
    }
    p_ = p;
    u_ = 0.5 * (l_.u + r_.u + value(p, r_) - value(p, l_));
  }

  double star_pressure() const { return p_; }
  double star_velocity() const { return u_; }
  double star_density_left() const { return star_density(l_); }
  double star_density_right() const { return star_density(r_); }

  /// State on the ray x/t = s.
  RiemannState at(double s) const {
    if (s <= u_) {
      return side(l_, s, 1.0);
    }
    RiemannState mirrored = side({r_.rho, -r_.u, r_.p}, -s, -1.0);
    mirrored.u = -mirrored.u;
    return mirrored;
  }

 private:
  double sound(const RiemannState& k) const { return std::sqrt(g_ * k.p / k.rho); }
  double value(double p, const RiemannState& k) const {
    if (p > k.p) {
      const double a = 2.0 / ((g_ + 1.0) * k.rho);
      const double b = (g_ - 1.0) / (g_ + 1.0) * k.p;
      return (p - k.p) * std::sqrt(a / (p + b));
    }
    return 2.0 * sound(k) / (g_ - 1.0) * (std::pow(p / k.p, (g_ - 1.0) / (2.0 * g_)) - 1.0);
  }
  double rate(double p, const RiemannState& k) const {
    if (p > k.p) {
      const double a = 2.0 / ((g_ + 1.0) * k.rho);
      const double b = (g_ - 1.0) / (g_ + 1.0) * k.p;
      return std::sqrt(a / (p + b)) * (1.0 - (p - k.p) / (2.0 * (p + b)));
    }
    return std::pow(p / k.p, -(g_ + 1.0) / (2.0 * g_)) / (k.rho * sound(k));
  }
  double star_density(const RiemannState& k) const {
    const double ratio = p_ / k.p;
    const double m = (g_ - 1.0) / (g_ + 1.0);
    return ratio > 1.0 ? k.rho * (ratio + m) / (m * ratio + 1.0) : k.rho * std::pow(ratio, 1.0 / g_);
  }
  // The left wave; the right one mirrored (`direction` -1), with the velocity of the contact mirrored too.
  RiemannState side(const RiemannState& k, double s, double direction) const {
    const double c = sound(k);
    const double u_star = direction * u_;
    const RiemannState star{star_density(k), u_star, p_};
    if (p_ > k.p) {
      const double speed = k.u - c * std::sqrt((g_ + 1.0) / (2.0 * g_) * p_ / k.p + (g_ - 1.0) / (2.0 * g_));
      return s < speed ? k : star;
    }
    const double c_star = c * std::pow(p_ / k.p, (g_ - 1.0) / (2.0 * g_));
    if (s < k.u - c) {
      return k;
    }
    if (s > u_star - c_star) {
      return star;
    }
    const double f = 2.0 / (g_ + 1.0) + (g_ - 1.0) / ((g_ + 1.0) * c) * (k.u - s);
    return {k.rho * std::pow(f, 2.0 / (g_ - 1.0)), 2.0 / (g_ + 1.0) * (c + 0.5 * (g_ - 1.0) * k.u + s),
            k.p * std::pow(f, 2.0 * g_ / (g_ - 1.0))};
  }

  RiemannState l_;
  RiemannState r_;
  double g_;
  double p_ = 0.0;
  double u_ = 0.0;
};

}  // namespace fettle::gasflow::test
