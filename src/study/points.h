#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "study/law.h"
#include "study/study.h"

namespace fettle::study {

/// The numbers of every draw: draw k is a pure function of design, seed and k, so that it does not matter who
/// works it out, or when.
///
/// - grid: k counted in mixed radix, the last number fastest;
/// - random: one block of Philox a number, keyed by seed and draw (metrology/random.h);
/// - sobol: the k-th point of a Sobol sequence after the origin (Boost.Random; direction numbers of Joe and
///   Kuo, SIAM J. Sci. Comput. 30, 2008), each coordinate's bits shifted by a random word of its own keyed by
///   the seed (a digital shift: Owen, in Monte Carlo and Quasi-Monte Carlo Methods, 1998, section 2);
/// - sobol with indices, d numbers: draws in sets of d + 2 at one point of 2 d coordinates, A its first half
///   and B its second: A, B, then A with the i-th number of B for each i (Saltelli et al., Comput. Phys.
///   Commun. 181, 2010, table 2).
class Points {
 public:
  /// Throws std::invalid_argument for a law without values or more numbers than the sequence has coordinates.
  Points(Drawing drawing, bool indices, std::uint64_t seed, std::vector<Law> laws);
  ~Points();
  Points(Points&&) noexcept;
  Points(const Points&) = delete;
  Points& operator=(const Points&) = delete;
  Points& operator=(Points&&) = delete;

  /// Values of draw k, one a law. Not const: the sequence remembers where it stands, which no value depends
  /// on.
  void at(std::uint64_t draw, std::span<double> values);

  /// Points of a grid; 0 where there are more than fit a word.
  static std::uint64_t grid_size(std::span<const Law> laws);

 private:
  struct Sequence;
  void unit_point(std::uint64_t point, std::span<double> unit);

  Drawing drawing_;
  bool indices_;
  std::uint64_t seed_;
  std::vector<Law> laws_;
  std::vector<double> unit_;
  std::unique_ptr<Sequence> sequence_;
};

}  // namespace fettle::study
