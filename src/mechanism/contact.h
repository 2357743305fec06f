#pragma once

#include <limits>

namespace fettle::mechanism {

/// Elastic constants of one body of a contact.
struct ElasticBody {
  double modulus = 207e9;        ///< E, Pa; > 0 (steel: Shigley table A-5)
  double poisson_ratio = 0.292;  ///< ν, (−1, 0.5]
};

/// Radius of a flat surface.
inline constexpr double flat_surface = std::numeric_limits<double>::infinity();

/// E* of 1/E* = (1 − ν₁²)/E₁ + (1 − ν₂²)/E₂, Pa. Throws std::invalid_argument for constants out of range.
double contact_modulus(const ElasticBody& a, const ElasticBody& b);

/// Combined curvature 1/r₁ + 1/r₂, 1/m; a radius is positive convex, negative concave, infinite flat, not
/// zero.
double combined_curvature(double radius_a, double radius_b);

struct LineContact {
  double half_width = 0.0;     ///< a, m
  double peak_pressure = 0.0;  ///< p₀, Pa
  double mean_pressure = 0.0;  ///< π p₀/4, Pa
  double peak_shear = 0.0;     ///< 0.300 p₀ at 0.786 a below the surface, Pa
  double shear_depth = 0.0;    ///< m
};

/// Hertz, two cylinders with parallel axes: a = sqrt(4 P/(π κ E*)), p₀ = sqrt(P κ E*/π), P the load per
/// length, κ the combined curvature. Elastic, smooth, without friction, half-width small against the radii,
/// ends left out. Source: Johnson, *Contact Mechanics*, section 4.2(c). Throws std::invalid_argument unless
/// load >= 0, length > 0, κ > 0.
LineContact line_contact(double load, double length, double curvature, double contact_modulus);

struct PointContact {
  double semi_major = 0.0;     ///< a, along the lesser curvature, m
  double semi_minor = 0.0;     ///< b, m
  double peak_pressure = 0.0;  ///< p₀ = 3 F/(2 π a b), Pa
  double approach = 0.0;       ///< of the bodies, m
};

/// Hertz, elliptical contact of two bodies whose principal curvatures lie in the same planes: combined
/// curvatures κ' and κ'' (both > 0, either order) in the two. The ellipse's eccentricity is found from
/// Johnson, *Contact Mechanics*, eqs. 4.25 to 4.28, with complete elliptic integrals; no fitted formula.
/// Crowned tappet on a lobe, roller's crown, ball end in a cup. Throws std::invalid_argument unless load >= 0
/// and both curvatures > 0, their ratio at most 1e8.
PointContact point_contact(double load, double curvature_one, double curvature_two, double contact_modulus);

}  // namespace fettle::mechanism
