#pragma once

#include <numbers>

// Units as the tests' sources print them.
namespace fettle::mechanism::test {

inline constexpr double degree = std::numbers::pi / 180.0;
inline constexpr double inch = 0.0254;
inline constexpr double millimetre = 1e-3;

}  // namespace fettle::mechanism::test
