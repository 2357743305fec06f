#include "mechanism/film.h"

#include <cmath>
#include <stdexcept>

namespace fettle::mechanism {

FilmThickness line_film(const FilmContact& contact) {
  for (const double number : {contact.load_per_length, contact.radius, contact.modulus, contact.viscosity,
                              contact.pressure_coefficient}) {
    if (!(number > 0.0 && std::isfinite(number))) {
      throw std::invalid_argument(
          "line_film: load, radius, modulus and the oil's numbers must be above zero");
    }
  }
  if (!std::isfinite(contact.entrainment_speed)) {
    throw std::invalid_argument("line_film: the speed must be finite");
  }
  const double stiffness = contact.modulus * contact.radius;
  FilmThickness film;
  film.speed_parameter = contact.viscosity * std::abs(contact.entrainment_speed) / stiffness;
  film.material_parameter = contact.pressure_coefficient * contact.modulus;
  film.load_parameter = contact.load_per_length / stiffness;
  film.least = contact.radius * 2.65 * std::pow(film.speed_parameter, 0.7) *
               std::pow(film.material_parameter, 0.54) * std::pow(film.load_parameter, -0.13);
  return film;
}

double film_ratio(double film, double roughness_a, double roughness_b) {
  const double roughness = std::hypot(roughness_a, roughness_b);
  if (!(roughness > 0.0 && film >= 0.0 && std::isfinite(film + roughness))) {
    throw std::invalid_argument("film_ratio: the roughness must be above zero, the film not below it");
  }
  return film / roughness;
}

}  // namespace fettle::mechanism
