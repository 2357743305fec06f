#include "mechanism/contact.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <stdexcept>

#include <boost/math/special_functions/ellint_1.hpp>
#include <boost/math/special_functions/ellint_2.hpp>
#include <boost/math/special_functions/ellint_d.hpp>
#include <boost/math/tools/toms748_solve.hpp>

namespace fettle::mechanism {

namespace {

using std::numbers::pi;

double plane_compliance(const ElasticBody& body) {
  const double nu = body.poisson_ratio;
  if (!(body.modulus > 0.0 && std::isfinite(body.modulus) && nu > -1.0 && nu <= 0.5)) {
    throw std::invalid_argument("contact: a modulus is above zero, Poisson's ratio between −1 and 0.5");
  }
  return (1.0 - nu * nu) / body.modulus;
}

// With q = b/a: D = (K − E)/e², and ((1/q²) E − K)/e² = B as it stands in Johnson 4.26, with no difference
// that vanishes: E/q² − K = (E − q² K)/q², and E − q² K = e² (K − D).
struct EllipseShape {
  double major = 0.0;  // (K − E)/e²
  double minor = 0.0;  // (E/q² − K)/e²
  double k = 0.0;
};

EllipseShape shape(double q) {
  const double e = std::sqrt((1.0 - q) * (1.0 + q));
  const double k = boost::math::ellint_1(e);
  const double d = boost::math::ellint_d(e);
  return {d, (k - d) / (q * q), k};
}

// Axis ratio of the ellipse whose curvatures have this ratio (>= 1).
double axis_ratio(double curvature_ratio) {
  const auto off = [&](double log_q) {
    const EllipseShape s = shape(std::exp(log_q));
    return std::log(s.minor / s.major) - std::log(curvature_ratio);
  };
  // The curvatures' ratio grows faster than 1/q and slower than 1/q².
  const double low = -std::log(curvature_ratio) - 1.0;
  const double high = -1e-9;
  if (off(high) >= 0.0) {
    return 1.0;
  }
  std::uintmax_t iterations = 100;
  const auto [from, to] = boost::math::tools::toms748_solve(
      off, low, high, boost::math::tools::eps_tolerance<double>(50), iterations);
  return std::exp(0.5 * (from + to));
}

}  // namespace

double contact_modulus(const ElasticBody& a, const ElasticBody& b) {
  return 1.0 / (plane_compliance(a) + plane_compliance(b));
}

double combined_curvature(double radius_a, double radius_b) {
  if (radius_a == 0.0 || radius_b == 0.0 || std::isnan(radius_a) || std::isnan(radius_b)) {
    throw std::invalid_argument("combined_curvature: a radius is not zero");
  }
  return 1.0 / radius_a + 1.0 / radius_b;
}

LineContact line_contact(double load, double length, double curvature, double modulus) {
  if (!(load >= 0.0 && length > 0.0 && curvature > 0.0 && modulus > 0.0 &&
        std::isfinite(load + length + curvature + modulus))) {
    throw std::invalid_argument("line_contact: load not below zero; length, curvature, modulus above it");
  }
  const double per_length = load / length;
  LineContact contact;
  contact.half_width = std::sqrt(4.0 * per_length / (pi * curvature * modulus));
  contact.peak_pressure = std::sqrt(per_length * curvature * modulus / pi);
  contact.mean_pressure = 0.25 * pi * contact.peak_pressure;
  contact.peak_shear = 0.300 * contact.peak_pressure;
  contact.shear_depth = 0.786 * contact.half_width;
  return contact;
}

PointContact point_contact(double load, double curvature_one, double curvature_two, double modulus) {
  const double lesser = std::min(curvature_one, curvature_two);
  const double greater = std::max(curvature_one, curvature_two);
  if (!(load >= 0.0 && lesser > 0.0 && modulus > 0.0 && greater <= 1e8 * lesser &&
        std::isfinite(load + greater + modulus))) {
    throw std::invalid_argument("point_contact: load not below zero; curvatures and modulus above it");
  }
  const double q = axis_ratio(greater / lesser);
  const EllipseShape s = shape(q);
  PointContact contact;
  // κ/2 = p₀/E* (b/a²) D with p₀ = 3 F/(2 π a b).
  contact.semi_major = std::cbrt(3.0 * load * s.major / (pi * modulus * lesser));
  contact.semi_minor = q * contact.semi_major;
  if (load > 0.0) {
    contact.peak_pressure = 3.0 * load / (2.0 * pi * contact.semi_major * contact.semi_minor);
    contact.approach = contact.peak_pressure / modulus * contact.semi_minor * s.k;
  }
  return contact;
}

}  // namespace fettle::mechanism
