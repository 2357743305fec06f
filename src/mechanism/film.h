#pragma once

namespace fettle::mechanism {

/// A lubricated line contact of two elastic bodies.
struct FilmContact {
  double load_per_length = 0.0;  ///< N/m; > 0
  double radius = 0.0;           ///< R, one over the combined curvature, m; > 0
  double modulus = 0.0;  ///< E' = 2/((1 − ν₁²)/E₁ + (1 − ν₂²)/E₂), twice contact_modulus(), Pa; > 0
  double entrainment_speed = 0.0;     ///< u, mean of the surfaces' speeds past the contact, m/s; any sign
  double viscosity = 0.0;             ///< η₀ at inlet temperature and no pressure, Pa s; > 0
  double pressure_coefficient = 0.0;  ///< α of η = η₀ exp(α p), 1/Pa; > 0
};

struct FilmThickness {
  double least = 0.0;               ///< h, m; zero without entrainment
  double speed_parameter = 0.0;     ///< U = η₀ u/(E' R)
  double material_parameter = 0.0;  ///< G = α E'
  double load_parameter = 0.0;      ///< W = P/(E' R)
};

/// Least film of Dowson and Higginson, H = h/R = 2.65 U^0.7 G^0.54 W^−0.13 (*Elasto-hydrodynamic
/// Lubrication*; in Johnson and in Shigley's references). Steady, isothermal, smooth, flooded; not for a
/// contact whose entrainment passes zero, where squeeze carries the load: it then tells where the film is in
/// danger, not how thick it is. Throws std::invalid_argument for numbers out of range.
FilmThickness line_film(const FilmContact& contact);

/// λ = h/sqrt(σ₁² + σ₂²), film over combined roughness (root mean square, m). Below about 1 the surfaces rub,
/// above about 3 they are apart (common reading of Tallian). Throws std::invalid_argument unless a roughness
/// is above zero.
double film_ratio(double film, double roughness_a, double roughness_b);

}  // namespace fettle::mechanism
