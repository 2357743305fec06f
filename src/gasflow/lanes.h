#pragma once

// Some doubles at once, as many as the instruction set that this file is compiled for takes. Only the
// kernel_*.cpp include it. Everything lies in a namespace of its instruction set, and nothing of the standard
// library is called that the linker might share with code compiled for a lesser machine.

#if defined(__AVX512F__) && defined(__AVX512DQ__)
#define FETTLE_LANES isa_avx512
#elif defined(__AVX2__) && defined(__FMA__)
#define FETTLE_LANES isa_avx2
#elif defined(__SSE2__)
#define FETTLE_LANES isa_sse2
#else
#define FETTLE_LANES isa_plain
#endif

#if defined(__SSE2__)
#include <immintrin.h>
#else
#include <cmath>
#endif

// Forced: a call a lane operation would undo it.
#if defined(__GNUC__)
#define FETTLE_INLINE [[gnu::always_inline]] inline
#else
#define FETTLE_INLINE inline
#endif

namespace fettle::gasflow::FETTLE_LANES {

#if defined(__AVX512F__) && defined(__AVX512DQ__)

// The masked forms with every lane set: GCC 12 warns of an undefined operand inside the plain ones.
struct Lanes {
  static constexpr int size = 8;
  __m512d v;
  Lanes() : v(_mm512_setzero_pd()) {}
  Lanes(double x) : v(_mm512_set1_pd(x)) {}
  explicit Lanes(__m512d x) : v(x) {}
};
struct Mask {
  __mmask8 m;
};
FETTLE_INLINE Lanes load(const double* p) {
  return Lanes(_mm512_loadu_pd(p));
}
FETTLE_INLINE void store(double* p, Lanes a) {
  _mm512_storeu_pd(p, a.v);
}
FETTLE_INLINE Lanes sqrt(Lanes a) {
  return Lanes(_mm512_maskz_sqrt_pd(0xff, a.v));
}
FETTLE_INLINE Lanes min(Lanes a, Lanes b) {
  return Lanes(_mm512_maskz_min_pd(0xff, a.v, b.v));
}
FETTLE_INLINE Lanes max(Lanes a, Lanes b) {
  return Lanes(_mm512_maskz_max_pd(0xff, a.v, b.v));
}
FETTLE_INLINE Lanes abs(Lanes a) {
  return Lanes(_mm512_maskz_andnot_pd(0xff, _mm512_set1_pd(-0.0), a.v));
}
/// The magnitude a, not negative, with the sign of s.
FETTLE_INLINE Lanes signed_as(Lanes a, Lanes s) {
  return Lanes(_mm512_maskz_or_pd(0xff, a.v, _mm512_maskz_and_pd(0xff, _mm512_set1_pd(-0.0), s.v)));
}
FETTLE_INLINE Mask operator<(Lanes a, Lanes b) {
  return {_mm512_cmp_pd_mask(a.v, b.v, _CMP_LT_OQ)};
}
FETTLE_INLINE Mask operator<=(Lanes a, Lanes b) {
  return {_mm512_cmp_pd_mask(a.v, b.v, _CMP_LE_OQ)};
}
FETTLE_INLINE Mask operator|(Mask a, Mask b) {
  return {static_cast<__mmask8>(a.m | b.m)};
}
FETTLE_INLINE Mask operator&(Mask a, Mask b) {
  return {static_cast<__mmask8>(a.m & b.m)};
}
FETTLE_INLINE Mask operator!(Mask a) {
  return {static_cast<__mmask8>(~a.m)};
}
FETTLE_INLINE bool any(Mask a) {
  return a.m != 0;
}
FETTLE_INLINE Lanes select(Mask m, Lanes a, Lanes b) {
  return Lanes(_mm512_mask_blend_pd(m.m, b.v, a.v));
}

#elif defined(__AVX2__) && defined(__FMA__)

struct Lanes {
  static constexpr int size = 4;
  __m256d v;
  Lanes() : v(_mm256_setzero_pd()) {}
  Lanes(double x) : v(_mm256_set1_pd(x)) {}
  explicit Lanes(__m256d x) : v(x) {}
};
struct Mask {
  __m256d m;
};
FETTLE_INLINE Lanes load(const double* p) {
  return Lanes(_mm256_loadu_pd(p));
}
FETTLE_INLINE void store(double* p, Lanes a) {
  _mm256_storeu_pd(p, a.v);
}
FETTLE_INLINE Lanes sqrt(Lanes a) {
  return Lanes(_mm256_sqrt_pd(a.v));
}
FETTLE_INLINE Lanes min(Lanes a, Lanes b) {
  return Lanes(_mm256_min_pd(a.v, b.v));
}
FETTLE_INLINE Lanes max(Lanes a, Lanes b) {
  return Lanes(_mm256_max_pd(a.v, b.v));
}
FETTLE_INLINE Lanes abs(Lanes a) {
  return Lanes(_mm256_andnot_pd(_mm256_set1_pd(-0.0), a.v));
}
FETTLE_INLINE Lanes signed_as(Lanes a, Lanes s) {
  return Lanes(_mm256_or_pd(a.v, _mm256_and_pd(_mm256_set1_pd(-0.0), s.v)));
}
FETTLE_INLINE Mask operator<(Lanes a, Lanes b) {
  return {_mm256_cmp_pd(a.v, b.v, _CMP_LT_OQ)};
}
FETTLE_INLINE Mask operator<=(Lanes a, Lanes b) {
  return {_mm256_cmp_pd(a.v, b.v, _CMP_LE_OQ)};
}
FETTLE_INLINE Mask operator|(Mask a, Mask b) {
  return {_mm256_or_pd(a.m, b.m)};
}
FETTLE_INLINE Mask operator&(Mask a, Mask b) {
  return {_mm256_and_pd(a.m, b.m)};
}
FETTLE_INLINE Mask operator!(Mask a) {
  return {_mm256_xor_pd(a.m, _mm256_castsi256_pd(_mm256_set1_epi64x(-1)))};
}
FETTLE_INLINE bool any(Mask a) {
  return _mm256_movemask_pd(a.m) != 0;
}
FETTLE_INLINE Lanes select(Mask m, Lanes a, Lanes b) {
  return Lanes(_mm256_blendv_pd(b.v, a.v, m.m));
}

#elif defined(__SSE2__)

struct Lanes {
  static constexpr int size = 2;
  __m128d v;
  Lanes() : v(_mm_setzero_pd()) {}
  Lanes(double x) : v(_mm_set1_pd(x)) {}
  explicit Lanes(__m128d x) : v(x) {}
};
struct Mask {
  __m128d m;
};
FETTLE_INLINE Lanes load(const double* p) {
  return Lanes(_mm_loadu_pd(p));
}
FETTLE_INLINE void store(double* p, Lanes a) {
  _mm_storeu_pd(p, a.v);
}
FETTLE_INLINE Lanes sqrt(Lanes a) {
  return Lanes(_mm_sqrt_pd(a.v));
}
FETTLE_INLINE Lanes min(Lanes a, Lanes b) {
  return Lanes(_mm_min_pd(a.v, b.v));
}
FETTLE_INLINE Lanes max(Lanes a, Lanes b) {
  return Lanes(_mm_max_pd(a.v, b.v));
}
FETTLE_INLINE Lanes abs(Lanes a) {
  return Lanes(_mm_andnot_pd(_mm_set1_pd(-0.0), a.v));
}
FETTLE_INLINE Lanes signed_as(Lanes a, Lanes s) {
  return Lanes(_mm_or_pd(a.v, _mm_and_pd(_mm_set1_pd(-0.0), s.v)));
}
FETTLE_INLINE Mask operator<(Lanes a, Lanes b) {
  return {_mm_cmplt_pd(a.v, b.v)};
}
FETTLE_INLINE Mask operator<=(Lanes a, Lanes b) {
  return {_mm_cmple_pd(a.v, b.v)};
}
FETTLE_INLINE Mask operator|(Mask a, Mask b) {
  return {_mm_or_pd(a.m, b.m)};
}
FETTLE_INLINE Mask operator&(Mask a, Mask b) {
  return {_mm_and_pd(a.m, b.m)};
}
FETTLE_INLINE Mask operator!(Mask a) {
  return {_mm_xor_pd(a.m, _mm_castsi128_pd(_mm_set1_epi64x(-1)))};
}
FETTLE_INLINE bool any(Mask a) {
  return _mm_movemask_pd(a.m) != 0;
}
FETTLE_INLINE Lanes select(Mask m, Lanes a, Lanes b) {
  return Lanes(_mm_or_pd(_mm_and_pd(m.m, a.v), _mm_andnot_pd(m.m, b.v)));
}

#else

struct Lanes {
  static constexpr int size = 1;
  double v;
  Lanes() : v(0.0) {}
  Lanes(double x) : v(x) {}
};
struct Mask {
  bool m;
};
FETTLE_INLINE Lanes load(const double* p) {
  return {*p};
}
FETTLE_INLINE void store(double* p, Lanes a) {
  *p = a.v;
}
FETTLE_INLINE Lanes sqrt(Lanes a) {
  return {std::sqrt(a.v)};
}
FETTLE_INLINE Lanes min(Lanes a, Lanes b) {
  return a.v < b.v ? a : b;
}
FETTLE_INLINE Lanes max(Lanes a, Lanes b) {
  return a.v > b.v ? a : b;
}
FETTLE_INLINE Lanes abs(Lanes a) {
  return {std::fabs(a.v)};
}
FETTLE_INLINE Lanes signed_as(Lanes a, Lanes s) {
  return {std::copysign(a.v, s.v)};
}
FETTLE_INLINE Mask operator<(Lanes a, Lanes b) {
  return {a.v < b.v};
}
FETTLE_INLINE Mask operator<=(Lanes a, Lanes b) {
  return {a.v <= b.v};
}
FETTLE_INLINE Mask operator|(Mask a, Mask b) {
  return {a.m || b.m};
}
FETTLE_INLINE Mask operator&(Mask a, Mask b) {
  return {a.m && b.m};
}
FETTLE_INLINE Mask operator!(Mask a) {
  return {!a.m};
}
FETTLE_INLINE bool any(Mask a) {
  return a.m;
}
FETTLE_INLINE Lanes select(Mask m, Lanes a, Lanes b) {
  return m.m ? a : b;
}

#endif

FETTLE_INLINE Lanes operator+(Lanes a, Lanes b) {
  return Lanes(a.v + b.v);
}
FETTLE_INLINE Lanes operator-(Lanes a, Lanes b) {
  return Lanes(a.v - b.v);
}
FETTLE_INLINE Lanes operator*(Lanes a, Lanes b) {
  return Lanes(a.v * b.v);
}
FETTLE_INLINE Lanes operator/(Lanes a, Lanes b) {
  return Lanes(a.v / b.v);
}
FETTLE_INLINE Lanes operator-(Lanes a) {
  return Lanes(-a.v);
}
FETTLE_INLINE Mask operator>(Lanes a, Lanes b) {
  return b < a;
}
FETTLE_INLINE Mask operator>=(Lanes a, Lanes b) {
  return b <= a;
}

}  // namespace fettle::gasflow::FETTLE_LANES
