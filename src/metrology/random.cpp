#include "metrology/random.h"

#include <cmath>
#include <numbers>

namespace fettle::metrology {

std::array<std::uint32_t, 4> philox(std::array<std::uint32_t, 4> counter, std::array<std::uint32_t, 2> key) {
  constexpr std::uint64_t multiplier_0 = 0xD2511F53U;
  constexpr std::uint64_t multiplier_1 = 0xCD9E8D57U;
  for (int round = 0; round < 10; ++round) {
    const std::uint64_t product_0 = multiplier_0 * counter[0];
    const std::uint64_t product_1 = multiplier_1 * counter[2];
    counter = {static_cast<std::uint32_t>(product_1 >> 32U) ^ counter[1] ^ key[0],
               static_cast<std::uint32_t>(product_1),
               static_cast<std::uint32_t>(product_0 >> 32U) ^ counter[3] ^ key[1],
               static_cast<std::uint32_t>(product_0)};
    key[0] += 0x9E3779B9U;
    key[1] += 0xBB67AE85U;
  }
  return counter;
}

std::array<double, 2> uniforms(const DrawPlace& place) {
  const auto words =
      philox({static_cast<std::uint32_t>(place.trial), static_cast<std::uint32_t>(place.trial >> 32U),
              place.index, 0U},
             {static_cast<std::uint32_t>(place.seed), static_cast<std::uint32_t>(place.seed >> 32U)});
  const auto to_unit = [](std::uint32_t high, std::uint32_t low) {
    const std::uint64_t bits =
        (std::uint64_t{high} << 20U) | (low >> 12U);  // 52 bits, so that the half is exact
    return (static_cast<double>(bits) + 0.5) * 0x1p-52;
  };
  return {to_unit(words[0], words[1]), to_unit(words[2], words[3])};
}

double standard_normal(const DrawPlace& place) {
  const auto [a, b] = uniforms(place);
  return std::sqrt(-2.0 * std::log(a)) * std::cos(2.0 * std::numbers::pi * b);
}

double draw(const Component& component, const DrawPlace& place) {
  const auto [a, b] = uniforms(place);
  const double u = component.u;
  switch (component.distribution) {
    case Distribution::rectangular:
      return u * std::numbers::sqrt3 * (2.0 * a - 1.0);
    case Distribution::triangular:
      return u * std::sqrt(6.0) * (a + b - 1.0);
    case Distribution::arcsine:
      return u * std::numbers::sqrt2 * std::cos(2.0 * std::numbers::pi * a);
    case Distribution::student_t:
      if (std::isfinite(component.dof)) {
        const double nu = component.dof;
        return u * std::sqrt(nu * std::expm1(-2.0 / nu * std::log(a))) * std::cos(2.0 * std::numbers::pi * b);
      }
      break;
    case Distribution::normal:
      break;
  }
  return u * std::sqrt(-2.0 * std::log(a)) * std::cos(2.0 * std::numbers::pi * b);
}

}  // namespace fettle::metrology
