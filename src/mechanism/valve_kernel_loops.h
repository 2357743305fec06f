// The loops of the valve train's kernel; only the valve_kernel_*.cpp include it. Everything has internal
// linkage and nothing of the standard library is called, so that the linker cannot share code that was
// compiled for a better machine than this one. Products and sums are not fused (see CMakeLists.txt): every
// instruction set gives the same bits.

#include "mechanism/valve_kernel.h"

#if defined(__SSE2__)
#include <immintrin.h>
#endif

namespace fettle::mechanism::valve_kernel {
namespace {
// NOLINTBEGIN(misc-definitions-in-headers): of internal linkage, as the first lines say.

#if defined(__AVX512F__)
using Lanes = __m512d;
#elif defined(__AVX2__)
using Lanes = __m256d;
#elif defined(__SSE2__)
using Lanes = __m128d;
#else
using Lanes = double __attribute__((vector_size(16)));
#endif

/// Lanes of a row that are worked on at once; a row is gone through in parts.
constexpr int width = static_cast<int>(sizeof(Lanes) / sizeof(double));

[[gnu::always_inline]] inline Lanes load(const Row& row, int from) {
  Lanes v;
  __builtin_memcpy(&v, row.lane + from, sizeof v);
  return v;
}
[[gnu::always_inline]] inline void store(Row& row, int from, Lanes v) {
  __builtin_memcpy(row.lane + from, &v, sizeof v);
}

// The compiler takes some comparisons of vectors apart, lane by lane, unless it is told. The masked forms of
// 512 bits, since GCC 12 warns of an undefined operand inside the plain ones.
/// a > b ? a : b
[[gnu::always_inline]] inline Lanes larger(Lanes a, Lanes b) {
#if defined(__AVX512F__)
  return _mm512_maskz_max_pd(0xff, a, b);
#elif defined(__AVX2__)
  return _mm256_max_pd(a, b);
#elif defined(__SSE2__)
  return _mm_max_pd(a, b);
#else
  return a > b ? a : b;
#endif
}
/// a < b ? a : b
[[gnu::always_inline]] inline Lanes smaller(Lanes a, Lanes b) {
#if defined(__AVX512F__)
  return _mm512_maskz_min_pd(0xff, a, b);
#elif defined(__AVX2__)
  return _mm256_min_pd(a, b);
#elif defined(__SSE2__)
  return _mm_min_pd(a, b);
#else
  return a < b ? a : b;
#endif
}
/// a > b ? then : otherwise
[[gnu::always_inline]] inline Lanes where_above(Lanes a, Lanes b, Lanes then, Lanes otherwise) {
#if defined(__AVX512F__)
  return _mm512_mask_blend_pd(_mm512_cmp_pd_mask(a, b, _CMP_GT_OQ), otherwise, then);
#elif defined(__AVX2__)
  return _mm256_blendv_pd(otherwise, then, _mm256_cmp_pd(a, b, _CMP_GT_OQ));
#elif defined(__SSE2__)
  const Lanes mask = _mm_cmpgt_pd(a, b);
  return _mm_or_pd(_mm_and_pd(mask, then), _mm_andnot_pd(mask, otherwise));
#else
  return a > b ? then : otherwise;
#endif
}
constexpr Lanes zero = {};
constexpr Lanes one = zero + 1.0;

/// A polynomial without constant and its slope.
struct Mapped {
  Lanes value, slope;
};
[[gnu::always_inline]] inline Mapped mapped(const Row (&c)[polynomial_terms], int from, Lanes x) {
  Lanes value = zero;
  Lanes slope = zero;
  for (int k = polynomial_terms - 1; k >= 0; --k) {
    value = load(c[k], from) + x * value;
    slope = static_cast<double>(k + 1) * load(c[k], from) + x * slope;
  }
  return {x * value, slope};
}

/// Force of a contact that only pushes. The damping sets in over the first micrometres.
[[gnu::always_inline]] inline Lanes push(Lanes squeeze, Lanes rate, Lanes k, Lanes c) {
  constexpr double onset = 1.0 / 2e-6;
  const Lanes force = k * squeeze + c * rate * smaller(one, squeeze * onset);
  return where_above(squeeze, zero, larger(force, zero), zero);
}

struct Forces {
  Lanes cam, link, tip, squeeze;
};

/// One kind of train; N masses before the springs.
template <int Bodies, int Springs>
struct Loop {
  static constexpr int valve = Bodies - 1;
  const Train& t;
  int from;       // first lane of the part of the rows
  int n;          // elements
  double pieces;  // the same
  Lanes h, half_h, speed;
  Lanes x[Bodies], v[Bodies], a[Bodies], p[Bodies];  // p: extrapolated velocity
  Lanes z[Springs][most_elements + 1], w[Springs][most_elements + 1], b[Springs][most_elements + 1],
      u[Springs][most_elements + 1];  // u: extrapolated velocity
  Lanes plunger;

  Loop(const Train& train, const Run& run, const State& state, int first)
      : t(train),
        from(first),
        n(train.elements),
        pieces(static_cast<double>(train.elements)),
        h(load(run.time_step, from)),
        half_h(0.5 * load(run.time_step, from)),
        speed(load(run.speed, from)),
        plunger(load(state.plunger, from)) {
    for (int i = 0; i < Bodies; ++i) {
      x[i] = load(state.x[i], from);
      v[i] = load(state.v[i], from);
      a[i] = load(state.a[i], from);
    }
    for (int s = 0; s < Springs; ++s) {
      z[s][0] = w[s][0] = b[s][0] = u[s][0] = zero;
      for (int j = 1; j < n; ++j) {
        z[s][j] = load(state.z[s][j - 1], from);
        w[s][j] = load(state.w[s][j - 1], from);
        b[s][j] = load(state.b[s][j - 1], from);
      }
    }
  }

  void keep(State& state) const {
    for (int i = 0; i < Bodies; ++i) {
      store(state.x[i], from, x[i]);
      store(state.v[i], from, v[i]);
      store(state.a[i], from, a[i]);
    }
    for (int s = 0; s < Springs; ++s) {
      for (int j = 1; j < n; ++j) {
        store(state.z[s][j - 1], from, z[s][j]);
        store(state.w[s][j - 1], from, w[s][j]);
        store(state.b[s][j - 1], from, b[s][j]);
      }
    }
    store(state.plunger, from, plunger);
  }

  [[gnu::always_inline]] void drift() {
    for (int i = 0; i < Bodies; ++i) {
      v[i] += half_h * a[i];
      x[i] += h * v[i];
      p[i] = v[i] + half_h * a[i];
    }
    for (int s = 0; s < Springs; ++s) {
      for (int j = 1; j < n; ++j) {
        w[s][j] += half_h * b[s][j];
        z[s][j] += h * w[s][j];
        u[s][j] = w[s][j] + half_h * b[s][j];
      }
      z[s][n] = x[valve];
      u[s][n] = p[valve];
    }
  }

  /// Friction on coil j of the first spring: against its neighbour in the other, or against a damper that
  /// stretches evenly.
  [[gnu::always_inline]] Lanes rub(int j) const {
    const Lanes other = Springs == 2 ? u[Springs - 1][j] : p[valve] * (static_cast<double>(j) / pieces);
    const Lanes part = (u[0][j] - other) * load(t.rub_speed, from);
    return load(t.rubbing, from) * larger(-one, smaller(one, part));
  }

  /// Accelerates the coils and gives the springs' force on the valve, toward its seat.
  [[gnu::always_inline]] Lanes coils(bool rubs) {
    Lanes on_valve = zero;
    for (int s = 0; s < Springs; ++s) {
      const Spring& spring = t.spring[s];
      const Lanes load0 = load(spring.load, from);
      const Lanes rate = load(spring.rate, from);
      const Lanes bend = load(spring.bend, from);
      const Lanes solid_at = load(spring.solid_at, from);
      const Lanes solid_rate = load(spring.solid_rate, from);
      const Lanes damping = load(spring.damping, from);
      const Lanes inverse = load(spring.inverse_node_mass, from);
      Lanes below = zero;
      for (int j = 0; j < n; ++j) {
        const Lanes c = pieces * (z[s][j + 1] - z[s][j]);
        const Lanes rate_of_c = pieces * (u[s][j + 1] - u[s][j]);
        const Lanes force =
            load0 + c * (rate + c * bend) + solid_rate * larger(zero, c - solid_at) + damping * rate_of_c;
        if (j > 0) {
          b[s][j] = (force - below) * inverse;
        }
        below = force;
      }
      on_valve += below;
    }
    if (rubs) {
      const Lanes inverse = load(t.spring[0].inverse_node_mass, from);
      for (int j = 1; j < n; ++j) {
        const Lanes friction = rub(j);
        b[0][j] -= friction * inverse;
        if constexpr (Springs == 2) {
          b[1][j] += friction * load(t.spring[1].inverse_node_mass, from);
        } else {
          on_valve -= friction * (static_cast<double>(j) / pieces);
        }
      }
    }
    return on_valve;
  }

  [[gnu::always_inline]] Forces accelerate(double lobe, double lobe_slope, bool rubs) {
    Forces f;
    f.link = zero;
    f.tip = zero;
    const Lanes springs = coils(rubs);
    const Lanes lobe_rate = speed * lobe_slope;
    const Lanes seat = push(load(t.seat_rest, from) - x[valve], -p[valve], load(t.stiffness[3], from),
                            load(t.damping[3], from));
    if constexpr (Bodies == 1) {
      const Lanes cam = lobe - load(t.lash, from) - x[0];
      f.cam = push(cam, lobe_rate - p[0], load(t.stiffness[0], from), load(t.damping[0], from));
      f.squeeze = cam;
      a[0] = (f.cam + seat - springs) * load(t.inverse_mass[2], from);
    } else {
      constexpr int lever = Bodies - 2;
      const Mapped rise = mapped(t.rise, from, x[lever]);
      const Mapped lift = mapped(t.lift, from, x[lever]);
      const Lanes tip = lift.value - load(t.lash, from) - x[valve];
      f.tip =
          push(tip, lift.slope * p[lever] - p[valve], load(t.stiffness[2], from), load(t.damping[2], from));
      const Lanes drag = where_above(zero, tip, load(t.loose_drag, from), zero);
      Lanes driving;
      if constexpr (Bodies == 2) {
        const Lanes cam = lobe - rise.value;
        f.cam =
            push(cam, lobe_rate - rise.slope * p[0], load(t.stiffness[0], from), load(t.damping[0], from));
        f.squeeze = smaller(cam, tip);
        driving = f.cam;
      } else {
        const Lanes cam = lobe - x[0];
        f.cam = push(cam, lobe_rate - p[0], load(t.stiffness[0], from), load(t.damping[0], from));
        const Lanes link = x[0] - rise.value - plunger;
        const Lanes oil =
            push(link, p[0] - rise.slope * p[1], load(t.stiffness[1], from), load(t.damping[1], from));
        f.link = oil + load(t.plunger_spring, from);
        const Lanes creep = where_above(link, zero, load(t.leak, from) * oil, load(t.refill, from) * link);
        plunger =
            larger(load(t.plunger_least, from), smaller(load(t.plunger_most, from), plunger + h * creep));
        f.squeeze = smaller(cam, smaller(link, tip));
        a[0] = (f.cam - f.link - load(t.weight[0], from)) * load(t.inverse_mass[0], from) - drag * p[0];
        driving = f.link;
      }
      a[lever] = (rise.slope * driving - lift.slope * f.tip - load(t.weight[1], from)) *
                     load(t.inverse_mass[1], from) -
                 drag * p[lever];
      a[valve] = (f.tip + seat - springs) * load(t.inverse_mass[2], from);
    }
    return f;
  }

  [[gnu::always_inline]] void kick() {
    for (int i = 0; i < Bodies; ++i) {
      v[i] += half_h * a[i];
    }
    for (int s = 0; s < Springs; ++s) {
      for (int j = 1; j < n; ++j) {
        w[s][j] += half_h * b[s][j];
      }
    }
  }
};

template <int Bodies, int Springs>
void revolve_part(const Train& train, const Run& run, State& state, Seen& seen, int from) {
  constexpr int valve = Bodies - 1;
  constexpr double far = 1e9;
  Loop<Bodies, Springs> loop(train, run, state, from);
  const Lanes watch = load(run.watch, from);
  const Lanes seat_rest = load(train.seat_rest, from);
  const Lanes lash = load(train.lash, from);
  bool rubs = false;
  for (const double friction : train.rubbing.lane) {
    rubs = rubs || friction > 0.0;
  }
  Lanes least_squeeze = zero + far;
  Lanes least_cam = zero + far;
  Lanes greatest_cam = zero;
  Lanes greatest_link = zero;
  Lanes greatest_tip = zero;
  Lanes loft = zero;
  Lanes deflection = zero;
  Lanes seating = zero;
  Lanes bounce = zero;
  Lanes surge = zero;
  Lanes work = zero;
  Lanes seated = zero;
  for (int i = 0; i < run.steps; ++i) {
    const double lobe = run.lobe[i + 1];
    const double slope = run.lobe_slope[i + 1];
    loop.drift();
    const Forces f = loop.accelerate(lobe, slope, rubs);
    loop.kick();

    const Lanes lift = loop.x[valve];
    const Lanes rigid = larger(zero, mapped(train.lift_of_rise, from, zero + lobe).value - lash);
    least_squeeze = where_above(rigid, watch, smaller(least_squeeze, f.squeeze), least_squeeze);
    least_cam = where_above(rigid, watch, smaller(least_cam, f.cam), least_cam);
    loft = where_above(rigid, watch, larger(loft, lift - rigid), loft);
    deflection = where_above(rigid, watch, larger(deflection, rigid - lift), deflection);
    greatest_cam = larger(greatest_cam, f.cam);
    greatest_link = larger(greatest_link, f.link);
    greatest_tip = larger(greatest_tip, f.tip);
    const Lanes coil = loop.z[0][loop.n / 2] - 0.5 * lift;
    surge = larger(surge, larger(coil, -coil));
    if (i > run.top) {
      const Lanes off = lift - seat_rest;
      const Lanes meets = where_above(zero, off, one, zero) * (one - seated);
      seating = where_above(meets, zero, larger(zero, -loop.v[valve]), seating);
      seated = larger(seated, meets);
      bounce = where_above(seated, zero, larger(bounce, off), bounce);
    }
    // The revolution begins and ends on the base circle, where the lobe does no work: the sum is the
    // trapezoid's.
    work += loop.h * f.cam * loop.speed * slope;
    if (run.trace_lift != nullptr) {
      store(run.trace_lift[i], from, lift);
      store(run.trace_rigid[i], from, rigid);
      store(run.trace_force[i], from, f.cam);
      store(run.trace_coil[i], from, coil);
      store(run.trace_gap[i], from, where_above(rigid, watch, larger(zero, -f.squeeze), zero));
    }
  }
  loop.keep(state);
  store(seen.least_squeeze, from, least_squeeze);
  store(seen.least_cam, from, least_cam);
  store(seen.greatest_cam, from, greatest_cam);
  store(seen.greatest_link, from, greatest_link);
  store(seen.greatest_tip, from, greatest_tip);
  store(seen.loft, from, loft);
  store(seen.deflection, from, deflection);
  store(seen.seating, from, seating);
  store(seen.bounce, from, bounce);
  store(seen.surge, from, surge);
  store(seen.work, from, work);
}

template <int Bodies, int Springs>
void revolve_one(const Train& train, const Run& run, State& state, Seen& seen) {
  for (int from = 0; from < lanes; from += width) {
    bool idle = true;
    for (int lane = from; lane < from + width; ++lane) {
      idle = idle && run.idle[lane];
    }
    if (!idle) {
      revolve_part<Bodies, Springs>(train, run, state, seen, from);
    }
  }
}

void revolve(const Train& train, const Run& run, State& state, Seen& seen) {
  const bool pair = train.springs == 2;
  switch (train.bodies) {
    case 1:
      return pair ? revolve_one<1, 2>(train, run, state, seen) : revolve_one<1, 1>(train, run, state, seen);
    case 2:
      return pair ? revolve_one<2, 2>(train, run, state, seen) : revolve_one<2, 1>(train, run, state, seen);
    default:
      return pair ? revolve_one<3, 2>(train, run, state, seen) : revolve_one<3, 1>(train, run, state, seen);
  }
}

// NOLINTEND(misc-definitions-in-headers)
}  // namespace
}  // namespace fettle::mechanism::valve_kernel
