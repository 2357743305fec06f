#pragma once

#include <cmath>

namespace fettle::mechanism {

/// A place or direction in the plane, m or none.
struct Planar {
  double x = 0.0;
  double y = 0.0;

  bool operator==(const Planar&) const = default;
};

inline Planar operator+(Planar a, Planar b) {
  return {a.x + b.x, a.y + b.y};
}
inline Planar operator-(Planar a, Planar b) {
  return {a.x - b.x, a.y - b.y};
}
inline Planar operator*(double factor, Planar a) {
  return {factor * a.x, factor * a.y};
}
inline double dot(Planar a, Planar b) {
  return a.x * b.x + a.y * b.y;
}
/// Positive where b lies anticlockwise of a.
inline double cross(Planar a, Planar b) {
  return a.x * b.y - a.y * b.x;
}
inline double length(Planar a) {
  return std::sqrt(dot(a, a));  // metres: neither too great nor too small to be squared
}
inline Planar unit(Planar a) {
  return (1.0 / length(a)) * a;
}
/// Unit vector at `angle` anticlockwise of x, rad.
inline Planar direction(double angle) {
  return {std::cos(angle), std::sin(angle)};
}
/// Turned anticlockwise by `angle`, rad.
inline Planar turned(Planar a, double angle) {
  const double c = std::cos(angle);
  const double s = std::sin(angle);
  return {c * a.x - s * a.y, s * a.x + c * a.y};
}
inline bool finite(Planar a) {
  return std::isfinite(a.x) && std::isfinite(a.y);
}

}  // namespace fettle::mechanism
