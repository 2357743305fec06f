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
  alignas(64) double flow[size], density[size], pressure[size], velocity[size];
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
  const Lanes mach = s.n * (one - x) / x;
  const Lanes square = one + mach * mach / s.n;
  const Lanes dynamic = exp(Lanes(0.5) * steep * log(square));
  p = exp(s.log_pressure + steep * log(x));
  const Lanes lift = one + recovery * (dynamic - one);
  const Lanes d_dynamic = -(dynamic * steep * mach) / (square * x * x);
  rate = p * (steep / x * lift + recovery * d_dynamic);
  x = max(critical, min(one, x + (target - p * lift) / rate));
  const Lanes grown = s.log_ratio + log(x);
  p = t.pressure * exp(steep * grown);
  rho = t.density * exp(s.n * grown);
  u = s.n * s.sound * (one - x);
  flow = rho * u;
  const Lanes per_x = flow * s.n / x - rho * s.n * s.sound;
  rate = select(x <= critical, Lanes(0.0), per_x * target / rate);
}

/// The same without recovery: the face has the junction's pressure, or is sonic.
FETTLE_INLINE void supply(const Stopped& s, const Trace& t, Lanes log_p, Lanes& x, Lanes& flow, Lanes& rate,
                          Lanes& rho, Lanes& p, Lanes& u) {
  const Lanes one(1.0);
  const Lanes critical = Lanes(2.0) / (s.gamma + one);
  Lanes z = min((log_p - s.log_pressure) / (s.gamma * s.n), Lanes(0.0));
  x = exp(z);
  const Mask sonic = x <= critical;
  if (any(sonic)) {
    x = max(x, critical);
    z = max(z, log(critical));
  }
  rho = t.density * exp(s.n * (s.log_ratio + z));
  p = t.pressure * exp(s.gamma * s.n * (s.log_ratio + z));
  u = s.n * s.sound * (one - x);
  flow = rho * u;
  rate = select(sonic, Lanes(0.0), (flow - rho * s.sound * x) / s.gamma);
}

/// Gas entering the pipe with the mixture's stagnation enthalpy; the flow is negative.
template <bool speeds_up>
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
  const Lanes guess = slope * (x - one);
  const Lanes at_guess = warm - Lanes(0.5) * guess * guess / cp;
  p = exp(s.log_pressure + steep * log(x));
  Lanes lift = one + loss * guess * guess / (r * at_guess);
  Lanes d_lift = slope * Lanes(2.0) * loss * guess * warm / (r * at_guess * at_guess);
  if constexpr (speeds_up) {
    const Lanes dynamic = exp(power * log(warm / at_guess));
    lift = lift + accelerates * (dynamic - one);
    d_lift = d_lift + slope * accelerates * dynamic * power * guess / (cp * at_guess);
  }
  rate = p * (steep / x * lift + d_lift);
  x = max(one, min(high, x + (target - p * lift) / rate));
  const Lanes w = slope * (x - one);
  const Lanes t = warm - Lanes(0.5) * w * w / cp;
  p = exp(s.log_pressure + steep * log(x));
  rho = p / (r * t);
  u = -w;
  flow = rho * u;
  const Lanes per_x = flow * steep / x - rho * slope - rho * w * w * slope / (cp * t);
  rate = per_x * target / rate;
}

/// One pipe's answer to a pressure of the junction.
struct Answer {
  Lanes x, flow, rate, density, pressure, velocity;
};

/// Benson's junction: the pressure at every face is the junction's, so that x is known at once.
FETTLE_INLINE Answer answer_plain(const Stopped& s, const Trace& t, const Mixture& m, Lanes log_p,
                                  double pressure) {
  const Lanes one(1.0);
  const Lanes z = (log_p - s.log_pressure) / (s.gamma * s.n);
  const Lanes critical = Lanes(2.0) / (s.gamma + one);
  const Lanes x = max(critical, exp(z));
  const Lanes u = s.n * s.sound * (one - x);
  const Mask supplies = z < Lanes(0.0);
  const Mask sonic = x <= critical;
  Lanes grown = z;
  if (any(sonic)) {
    grown = max(z, log(critical));
  }
  const Lanes rho_out = t.density * exp(s.n * (s.log_ratio + grown));
  const Lanes warm = Lanes(m.temperature) - Lanes(0.5) * u * u / Lanes(m.cp);
  const Lanes p = select(sonic, exp(s.log_pressure + s.gamma * s.n * grown), Lanes(pressure));
  const Lanes rho_in = p / (Lanes(m.gas_constant) * warm);
  const Lanes rho = select(supplies, rho_out, rho_in);
  const Lanes du = -s.sound * x / s.gamma;  // d u/d ln p
  const Lanes d_rho = select(supplies, rho / s.gamma, rho + rho * u * du / (Lanes(m.cp) * warm));
  return {x, rho * u, select(sonic, Lanes(0.0), rho * du + d_rho * u), rho, p, u};
}

/// What a junction's pipes need of the general answer.
struct Need {
  bool recovery = false, accelerates = false, loss = false;
  bool plain() const { return !recovery && !accelerates && !loss; }
};

/// `there` tells the pipes from padding.
FETTLE_INLINE Answer answer(const Need& need, const Stopped& s, const Trace& t, const Mixture& m, Lanes log_p,
                            Lanes recovery, Lanes accelerates, Lanes loss, Lanes start, Mask there) {
  const Mask supplies = log_p < s.log_pressure;
  Answer a{min(start, Lanes(1.0)), {}, {}, Lanes(1.0), {}, {}};
  if (any(supplies & there)) {
    if (need.recovery) {
      supply(s, t, log_p, recovery, a.x, a.flow, a.rate, a.density, a.pressure, a.velocity);
    } else {
      supply(s, t, log_p, a.x, a.flow, a.rate, a.density, a.pressure, a.velocity);
    }
  }
  const Mask collects = (!supplies) & there;
  if (!any(collects)) {
    return a;
  }
  Answer b{max(start, Lanes(1.0)), {}, {}, {}, {}, {}};
  if (need.accelerates) {
    collect<true>(s, m, log_p, accelerates, loss, b.x, b.flow, b.rate, b.density, b.pressure, b.velocity);
  } else {
    collect<false>(s, m, log_p, accelerates, loss, b.x, b.flow, b.rate, b.density, b.pressure, b.velocity);
  }
  if (!any(supplies & there)) {
    return b;
  }
  return {select(supplies, a.x, b.x),
          select(supplies, a.flow, b.flow),
          select(supplies, a.rate, b.rate),
          select(supplies, a.density, b.density),
          select(supplies, a.pressure, b.pressure),
          select(supplies, a.velocity, b.velocity)};
}

/// What the suppliers bring in, `out` kg/s, is shared by the collectors as they would take it, `in` kg/s.
inline void share_out(const Ends& ends, const Junctions& at, const Branches& b, const Mixture& m, long from,
                      double out, double in) {
  const bool flows = out > 0.0 && in > 0.0;
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

/// What any of the places [from, from + 8) asks for.
inline Need need_of(const Junctions& at, long from) {
  Need need;
  for (long e = from; e < from + 8; e += Lanes::size) {
    need.recovery = need.recovery || any(load(at.recovery + e) > Lanes(0.0));
    need.accelerates = need.accelerates || any(load(at.accelerates + e) > Lanes(0.0));
    need.loss = need.loss || any(load(at.loss + e) > Lanes(0.0));
  }
  return need;
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
  constexpr long vectors = 8 / Lanes::size;
  Trace traces[vectors];
  Stopped stops[vectors];
  for (long v = 0; v < vectors; ++v) {
    traces[v] = trace_at(ends, from + v * Lanes::size);
    stops[v] = stopped(traces[v]);
  }
  const Need need = need_of(at, from);
  for (int i = 0; i < iterations; ++i) {
    const Thermo h = thermo(gas, Lanes(m.temperature), Lanes(m.burned));
    alignas(64) double lane[Lanes::size];
    store(lane, h.cp);
    m.cp = lane[0];
    m.gas_constant = arena.gas.fresh.gas_constant +
                     m.burned * (arena.gas.burned.gas_constant - arena.gas.fresh.gas_constant);
    store(lane, exp(Lanes(log_p)));
    const double pressure = lane[0];
    Lanes flow, rate, heat, burned, out_lanes, in_lanes;
    for (long v = 0; v < vectors; ++v) {
      const long k = v * Lanes::size;
      const long e = from + k;
      const Trace& t = traces[v];
      const Lanes area = load(at.area + e);
      const Answer a = need.plain() ? answer_plain(stops[v], t, m, Lanes(log_p), pressure)
                                    : answer(need, stops[v], t, m, Lanes(log_p), load(at.recovery + e),
                                             load(at.accelerates + e), load(at.loss + e), load(ends.x + e),
                                             area > Lanes(0.0));
      store(ends.x + e, a.x);
      const Lanes f = area * a.flow;
      store(b.flow + k, f);
      store(b.density + k, a.density);
      store(b.pressure + k, a.pressure);
      store(b.velocity + k, a.velocity);
      // Stagnation enthalpy of what this pipe brings: from total energy, as the flux has it.
      const Lanes h0 = (total_energy(t, a.density, a.velocity, a.pressure) + a.pressure) / a.density;
      const Lanes brought = max(f, Lanes(0.0));
      flow = flow + f;
      rate = rate + area * a.rate;
      out_lanes = out_lanes + brought;
      in_lanes = in_lanes + (brought - f);
      heat = heat + brought * h0;
      burned = burned + brought * t.burned;
    }
    out = sum(out_lanes);
    in = sum(in_lanes);
    if (out > 0.0) {
      m.burned = sum(burned) / out;
      m.enthalpy = sum(heat) / out;
      store(lane, thermo(gas, Lanes(m.temperature), Lanes(m.burned)).enthalpy);
      m.temperature += (m.enthalpy - lane[0]) / m.cp;
    }
    const double total_rate = sum(rate);
    const double step = total_rate < 0.0 ? -sum(flow) / total_rate : 0.0;
    log_p += step > 0.3 ? 0.3 : (step < -0.3 ? -0.3 : step);
  }
  at.log_pressure[j] = log_p;
  at.temperature[j] = m.temperature;
  at.burned[j] = m.burned;
  share_out(ends, at, b, m, from, out, in);
}

inline void junctions(const Arena& arena, const Ends& ends, const Junctions& at, int iterations) {
  for (long j = 0; j < at.count; ++j) {
    junction(arena, ends, at, j, iterations);
  }
}

}  // namespace fettle::gasflow::FETTLE_LANES
