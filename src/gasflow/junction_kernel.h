#pragma once

#include "gasflow/end_kernel.h"

// Pipes that meet at a point. One pressure belongs to the junction; every pipe's face is linked to it by its
// outgoing wave (end_kernel.h) and by
//   supplier (gas leaves the pipe):  p (1 + η (B - 1)) = p_j
//   collector (gas enters it):       p (1 + a (B - 1)) + K ρ w² = p_j
// with B the ratio of stagnation to static pressure at the face. η = a = 0 is Benson's junction of constant
// pressure, K its loss by angle; a = 1 with η from the areas is a step. What the suppliers bring is mixed and
// shared: mass, energy and burned mass of collectors are exactly those of suppliers.

namespace fettle::gasflow::FETTLE_LANES {

FETTLE_INLINE double sum(Lanes a) {
  alignas(64) double some[Lanes::size];
  store(some, a);
  double total = 0.0;
  for (const double x : some) {
    total += x;
  }
  return total;
}

/// Working numbers of the eight places of one junction.
struct Branches {
  static constexpr int size = 8;
  alignas(64) double x[size], flow[size], rate[size], enthalpy[size], density[size], pressure[size],
      velocity[size];
};

struct Mixture {
  double temperature, burned, enthalpy, gas_constant, cp;
};

/// Gas leaving the pipe: one Newton step of x for p (1 + η (B - 1)) = p_j, and d flow/d ln p_j.
FETTLE_INLINE void supply(const Stopped& s, const Trace& t, Lanes log_p, Lanes recovery, Lanes& x,
                          Lanes& flow, Lanes& rate, Lanes& rho, Lanes& p, Lanes& u) {
  const Lanes one(1.0);
  const Lanes steep = s.gamma * s.n;
  const Lanes critical = Lanes(2.0) / (s.gamma + one);
  const Lanes target = exp(log_p);
  for (int i = 0; i < 2; ++i) {
    const Lanes mach = s.n * (one - x) / x;
    const Lanes square = one + mach * mach / s.n;
    const Lanes dynamic = exp(Lanes(0.5) * steep * log(square));
    p = exp(s.log_pressure + steep * log(x));
    const Lanes lift = one + recovery * (dynamic - one);
    const Lanes d_dynamic = -(dynamic * steep * mach) / (square * x * x);
    rate = p * (steep / x * lift + recovery * d_dynamic);
    x = max(critical, min(one, x + (target - p * lift) / rate));
  }
  const Lanes grown = s.log_ratio + log(x);
  p = t.pressure * exp(steep * grown);
  rho = t.density * exp(s.n * grown);
  u = s.n * s.sound * (one - x);
  flow = rho * u;
  const Lanes per_x = flow * s.n / x - rho * s.n * s.sound;
  rate = select(x <= critical, Lanes(0.0), per_x * target / rate);
}

/// Gas entering the pipe with the mixture's stagnation enthalpy; the flow is negative.
FETTLE_INLINE void collect(const Stopped& s, const Mixture& m, Lanes log_p, Lanes accelerates, Lanes loss,
                           Lanes& x, Lanes& flow, Lanes& rate, Lanes& rho, Lanes& p, Lanes& u) {
  const Lanes one(1.0);
  const Lanes steep = s.gamma * s.n;
  const Lanes slope = s.n * s.sound;
  const Lanes r(m.gas_constant);
  const Lanes cp(m.cp);
  const Lanes power = cp / r;
  const Lanes target = exp(log_p);
  const Lanes warm(m.temperature);
  const Lanes fastest = sqrt(Lanes(2.0) * r * warm / (Lanes(2.0) - r / cp));  // sonic, T = 2 T0/(γ + 1)
  const Lanes high = one + fastest / slope;
  for (int i = 0; i < 2; ++i) {
    const Lanes w = slope * (x - one);
    const Lanes t = warm - Lanes(0.5) * w * w / cp;
    const Lanes dynamic = exp(power * log(warm / t));
    p = exp(s.log_pressure + steep * log(x));
    const Lanes lift = one + accelerates * (dynamic - one) + loss * w * w / (r * t);
    const Lanes d_lift =
        slope * (accelerates * dynamic * power * w / (cp * t) + Lanes(2.0) * loss * w * warm / (r * t * t));
    rate = p * (steep / x * lift + d_lift);
    x = max(one, min(high, x + (target - p * lift) / rate));
  }
  const Lanes w = slope * (x - one);
  const Lanes t = warm - Lanes(0.5) * w * w / cp;
  p = exp(s.log_pressure + steep * log(x));
  rho = p / (r * t);
  u = -w;
  flow = rho * u;
  const Lanes per_x = flow * steep / x - rho * slope - rho * w * w * slope / (cp * t);
  rate = per_x * target / rate;
}

/// Solves places [from, from + 8) of the ends. Padding places have no area.
inline void junction(const Arena& arena, const Ends& ends, const Junctions& at, long j, int iterations) {
  const long from = at.first + 8 * j;
  Branches b;
  double log_p = at.log_pressure[j];
  Mixture m{at.temperature[j], at.burned[j], 0.0, 0.0, 0.0};
  const Heats gas = heats(arena.gas);
  double out = 0.0;
  double in = 0.0;
  for (int i = 0; i < iterations; ++i) {
    const Thermo h = thermo(gas, Lanes(m.temperature), Lanes(m.burned));
    alignas(64) double lane[Lanes::size];
    store(lane, h.cp);
    m.cp = lane[0];
    m.gas_constant = arena.gas.fresh.gas_constant +
                     m.burned * (arena.gas.burned.gas_constant - arena.gas.fresh.gas_constant);
    double flow = 0.0;
    double rate = 0.0;
    double heat = 0.0;
    double burned = 0.0;
    out = in = 0.0;
    for (long k = 0; k < 8; k += Lanes::size) {
      const long e = from + k;
      const Trace t = trace_at(ends, e);
      const Stopped s = stopped(t);
      const Lanes area = load(at.area + e);
      const Lanes start = load(ends.x + e);
      const Mask supplies = Lanes(log_p) < s.log_pressure;
      Lanes xs = min(start, Lanes(1.0));
      Lanes xc = max(start, Lanes(1.0));
      Lanes f1, r1, d1, p1, u1, f2, r2, d2, p2, u2;
      supply(s, t, Lanes(log_p), load(at.recovery + e), xs, f1, r1, d1, p1, u1);
      collect(s, m, Lanes(log_p), load(at.accelerates + e), load(at.loss + e), xc, f2, r2, d2, p2, u2);
      store(ends.x + e, select(supplies, xs, xc));
      const Lanes f = area * select(supplies, f1, f2);
      store(b.flow + k, f);
      store(b.density + k, select(supplies, d1, d2));
      store(b.pressure + k, select(supplies, p1, p2));
      store(b.velocity + k, select(supplies, u1, u2));
      // Stagnation enthalpy of what this pipe brings: from total energy, as the flux has it.
      const Lanes h0 = (total_energy(t, d1, u1, p1) + p1) / d1;
      const Lanes brought = max(f, Lanes(0.0));
      flow += sum(f);
      rate += sum(area * select(supplies, r1, r2));
      out += sum(brought);
      in += sum(max(-f, Lanes(0.0)));
      heat += sum(brought * h0);
      burned += sum(brought * t.burned);
    }
    if (out > 0.0) {
      m.burned = burned / out;
      m.enthalpy = heat / out;
      store(lane, thermo(gas, Lanes(m.temperature), Lanes(m.burned)).enthalpy);
      m.temperature += (m.enthalpy - lane[0]) / m.cp;
    }
    const double step = rate < 0.0 ? -flow / rate : 0.0;
    log_p += step > 0.3 ? 0.3 : (step < -0.3 ? -0.3 : step);
  }
  const bool flows = out > 0.0 && in > 0.0;
  at.log_pressure[j] = log_p;
  at.temperature[j] = m.temperature;
  at.burned[j] = m.burned;
  const double share = flows ? out / in : 0.0;
  for (long k = 0; k < 8; ++k) {
    const long e = from + k;
    const bool supplies = b.flow[k] > 0.0;
    const double area = at.area[e];
    double mass = flows && area > 0.0 ? b.flow[k] / area : 0.0;
    ends.density[e] = b.density[k];
    ends.velocity[e] = b.velocity[k];
    ends.pressure[e] = b.pressure[k];
    ends.burned[e] = supplies ? ends.trace_burned[e] : m.burned;
    double energy = 0.0;
    if (supplies) {
      const double rho = b.density[k];
      const double u = b.velocity[k];
      const double total = b.pressure[k] / ends.heat_excess[e] +
                           rho * (ends.offset[e] + ends.slope[e] * ends.trace_burned[e] + 0.5 * u * u);
      energy = mass * (total + b.pressure[k]) / rho;
    } else {
      mass *= share;
      energy = mass * m.enthalpy;
    }
    ends.flow_mass[e] = mass;
    ends.flow_energy[e] = energy;
    ends.flow_burned[e] = mass * ends.burned[e];
    ends.flow_thrust[e] = b.pressure[k] + mass * b.velocity[k];
  }
}

inline void junctions(const Arena& arena, const Ends& ends, const Junctions& at, int iterations) {
  for (long j = 0; j < at.count; ++j) {
    junction(arena, ends, at, j, iterations);
  }
}

}  // namespace fettle::gasflow::FETTLE_LANES
