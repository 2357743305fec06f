#pragma once

#include <array>
#include <cstdint>

#include "metrology/uncertainty.h"

namespace fettle::metrology {

/// Philox 4x32 with ten rounds: a counter-based generator, each block a pure function of counter and key.
/// Salmon, Moraes, Dror and Shaw, "Parallel random numbers: as easy as 1, 2, 3", SC11 (2011).
std::array<std::uint32_t, 4> philox(std::array<std::uint32_t, 4> counter, std::array<std::uint32_t, 2> key);

/// Names one random number: the same seed, trial and index always give the same number, whatever was drawn
/// before or beside it, so that results depend neither on the order of the work nor on the standard library.
struct DrawPlace {
  std::uint64_t seed = 0;
  std::uint64_t trial = 0;
  std::uint32_t index = 0;
};

/// Two independent uniforms in the open interval 0..1.
std::array<double, 2> uniforms(const DrawPlace& place);

/// Standard normal (Box and Muller, Ann. Math. Statist. 29, 1958).
double standard_normal(const DrawPlace& place);

/// A draw of one component's deviation (JCGM 101:2008, 6.4): Student components as u times a Student t
/// (6.4.9; Bailey, Math. Comput. 62, 1994, any dof > 0), all others with standard deviation u. A normal
/// component stays normal whatever its dof.
double draw(const Component& component, const DrawPlace& place);

}  // namespace fettle::metrology
