#pragma once

#include "gasflow/lanes.h"

// Logarithm and exponential of lanes, for finite positive arguments and |x| < 700; relative error some 1e-15.

namespace fettle::gasflow::FETTLE_LANES {

/// x = m 2^e with m in [1, 2).
struct Split {
  Lanes mantissa;
  Lanes exponent;
};

#if defined(__AVX512F__) && defined(__AVX512DQ__)

FETTLE_INLINE Split split(Lanes x) {
  return {Lanes(_mm512_maskz_getmant_pd(0xff, x.v, _MM_MANT_NORM_1_2, _MM_MANT_SIGN_src)),
          Lanes(_mm512_maskz_getexp_pd(0xff, x.v))};
}
FETTLE_INLINE Lanes nearest(Lanes x) {
  return Lanes(_mm512_maskz_roundscale_pd(0xff, x.v, _MM_FROUND_TO_NEAREST_INT | _MM_FROUND_NO_EXC));
}
FETTLE_INLINE Lanes scale(Lanes x, Lanes whole) {
  return Lanes(_mm512_maskz_scalef_pd(0xff, x.v, whole.v));
}

#elif defined(__SSE2__)

// Whole numbers ride in the low bits of a double of known exponent.
constexpr double whole_bits = 4503599627370496.0;  // 2^52

#if defined(__AVX2__) && defined(__FMA__)
FETTLE_INLINE Split split(Lanes x) {
  const __m256i bits = _mm256_castpd_si256(x.v);
  const __m256i fraction = _mm256_and_si256(bits, _mm256_set1_epi64x(0x000fffffffffffff));
  const __m256i one = _mm256_set1_epi64x(0x3ff0000000000000);
  const __m256i biased =
      _mm256_or_si256(_mm256_srli_epi64(bits, 52), _mm256_castpd_si256(_mm256_set1_pd(whole_bits)));
  return {Lanes(_mm256_castsi256_pd(_mm256_or_si256(fraction, one))),
          Lanes(_mm256_castsi256_pd(biased)) - Lanes(whole_bits + 1023.0)};
}
FETTLE_INLINE Lanes nearest(Lanes x) {
  return Lanes(_mm256_round_pd(x.v, _MM_FROUND_TO_NEAREST_INT | _MM_FROUND_NO_EXC));
}
FETTLE_INLINE Lanes scale(Lanes x, Lanes whole) {
  const Lanes biased = whole + Lanes(whole_bits + 1023.0);
  return x * Lanes(_mm256_castsi256_pd(_mm256_slli_epi64(_mm256_castpd_si256(biased.v), 52)));
}
#else
FETTLE_INLINE Split split(Lanes x) {
  const __m128i bits = _mm_castpd_si128(x.v);
  const __m128i fraction = _mm_and_si128(bits, _mm_set1_epi64x(0x000fffffffffffff));
  const __m128i one = _mm_set1_epi64x(0x3ff0000000000000);
  const __m128i biased = _mm_or_si128(_mm_srli_epi64(bits, 52), _mm_castpd_si128(_mm_set1_pd(whole_bits)));
  return {Lanes(_mm_castsi128_pd(_mm_or_si128(fraction, one))),
          Lanes(_mm_castsi128_pd(biased)) - Lanes(whole_bits + 1023.0)};
}
FETTLE_INLINE Lanes nearest(Lanes x) {
  const Lanes shift(1.5 * whole_bits);
  return (x + shift) - shift;
}
FETTLE_INLINE Lanes scale(Lanes x, Lanes whole) {
  const Lanes biased = whole + Lanes(whole_bits + 1023.0);
  return x * Lanes(_mm_castsi128_pd(_mm_slli_epi64(_mm_castpd_si128(biased.v), 52)));
}
#endif

#else

FETTLE_INLINE Split split(Lanes x) {
  int e = 0;
  const double m = std::frexp(x.v, &e);
  return {{2.0 * m}, {static_cast<double>(e - 1)}};
}
FETTLE_INLINE Lanes nearest(Lanes x) {
  return {std::nearbyint(x.v)};
}
FETTLE_INLINE Lanes scale(Lanes x, Lanes whole) {
  return {std::ldexp(x.v, static_cast<int>(whole.v))};
}

#endif

/// ln m = 2 artanh((m - 1)/(m + 1)) by its series, m brought into [1/√2, √2].
FETTLE_INLINE Lanes log(Lanes x) {
  const Split parts = split(x);
  const Mask upper = parts.mantissa > Lanes(1.4142135623730951);
  const Lanes m = select(upper, Lanes(0.5) * parts.mantissa, parts.mantissa);
  const Lanes e = select(upper, parts.exponent + Lanes(1.0), parts.exponent);
  const Lanes s = (m - Lanes(1.0)) / (m + Lanes(1.0));
  const Lanes q = s * s;
  Lanes sum(2.0 / 19.0);
  constexpr double odd[] = {17.0, 15.0, 13.0, 11.0, 9.0, 7.0, 5.0, 3.0};
  for (const double k : odd) {
    sum = sum * q + Lanes(2.0 / k);
  }
  return e * Lanes(0.6931471805599453) + (s * Lanes(2.0) + s * (q * sum));
}

/// 2^k times Taylor's series of what is left, within ln 2/2.
FETTLE_INLINE Lanes exp(Lanes x) {
  const Lanes k = nearest(x * Lanes(1.4426950408889634));
  const Lanes r = (x - k * Lanes(0.69314718036912382)) - k * Lanes(1.9082149292705877e-10);
  Lanes sum(1.0 / 6227020800.0);
  constexpr double factorials[] = {479001600.0, 39916800.0, 3628800.0, 362880.0, 40320.0, 5040.0,
                                   720.0,       120.0,      24.0,      6.0,      2.0,     1.0};
  for (const double f : factorials) {
    sum = sum * r + Lanes(1.0 / f);
  }
  return scale(sum * r + Lanes(1.0), k);
}

}  // namespace fettle::gasflow::FETTLE_LANES
