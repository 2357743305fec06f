#pragma once

#include "gasflow/cell_kernel.h"

// Ends of ducts. Every velocity here is outward. The wave that comes out of the duct links what the face can
// be: along it u + 2 c/(γ − 1) and the entropy keep, of a compression too (an error of third order in a
// shock).
//
// With X0 = 1 + (γ − 1) u/(2 c) the gas stopped at the face would have c X0; x = c_face/(c X0) is one at a
// closed end, below it where gas leaves (2/(γ + 1) at sonic speed), above it where gas enters: u_face = (1 −
// x) 2 c X0/(γ − 1).

namespace fettle::gasflow::FETTLE_LANES {

FETTLE_INLINE Lanes gather(const double* values, const long* index) {
#if defined(__AVX512F__) && defined(__AVX512DQ__)
  return Lanes(_mm512_set_pd(values[index[7]], values[index[6]], values[index[5]], values[index[4]],
                             values[index[3]], values[index[2]], values[index[1]], values[index[0]]));
#elif defined(__AVX2__) && defined(__FMA__)
  return Lanes(_mm256_set_pd(values[index[3]], values[index[2]], values[index[1]], values[index[0]]));
#elif defined(__SSE2__)
  return Lanes(_mm_set_pd(values[index[1]], values[index[0]]));
#else
  return Lanes(values[index[0]]);
#endif
}

FETTLE_INLINE void scatter(double* values, const long* index, Lanes from) {
  alignas(64) double some[Lanes::size];
  store(some, from);
  for (int i = 0; i < Lanes::size; ++i) {
    values[index[i]] = some[i];
  }
}

inline Primitive gathered(const Arena& a, const Heats& gas, const long* index) {
  const Lanes rho = gather(a.now.density, index);
  const Specific s =
      specific(rho, gather(a.now.momentum, index), gather(a.now.energy, index), gather(a.now.burned, index));
  return primitive(gas, rho, s, gather(a.temperature, index));
}

/// Fills the ghosts (the wall's mirror, else the line through the cell and the face as last solved) and
/// brings the state of the last cell to its face and half a step on.
template <bool minmod>
void traces_loop(const Arena& arena, const Ends& ends, double dt) {
  const Heats gas = heats(arena.gas);
  for (long e = 0; e < ends.count; e += Lanes::size) {
    const long* cell = ends.cell + e;
    const Lanes sign = load(ends.sign + e);
    Primitive w = gathered(arena, gas, cell);
    const Primitive in = gathered(arena, gas, ends.inner + e);
    w.velocity = sign * w.velocity;
    const Mask mirror = load(ends.mirror + e) > Lanes(0.5);
    const auto beyond = [&](const double* face, Lanes here) {
      const Lanes f = load(face + e);
      return f + (f - here);
    };
    Lanes rho = beyond(ends.density, w.density);
    Lanes p = beyond(ends.pressure, w.pressure);
    const Mask far = (rho < Lanes(0.3) * w.density) | (p < Lanes(0.3) * w.pressure);
    rho = select(mirror, w.density, select(far, load(ends.density + e), rho));
    p = select(mirror, w.pressure, select(far, load(ends.pressure + e), p));
    const Lanes u =
        select(mirror, -w.velocity, select(far, load(ends.velocity + e), beyond(ends.velocity, w.velocity)));
    const Lanes y = select(mirror, w.burned, load(ends.burned + e));
    const Lanes t = p / (rho * gas_constant(gas, y));
    const Lanes energy = thermo(gas, t, y).enthalpy - p / rho;
    scatter(arena.now.density, ends.ghost + e, rho);
    scatter(arena.now.momentum, ends.ghost + e, sign * rho * u);
    scatter(arena.now.energy, ends.ghost + e, rho * (energy + Lanes(0.5) * u * u));
    scatter(arena.now.burned, ends.ghost + e, rho * y);
    scatter(arena.temperature, ends.ghost + e, t);

    const Lanes back[] = {w.density - in.density, w.velocity - sign * in.velocity, w.pressure - in.pressure,
                          w.burned - in.burned};
    const Lanes ahead[] = {rho - w.density, u - w.velocity, p - w.pressure, y - w.burned};
    const Lanes taper = sign * gather(arena.taper, cell);
    const SteadySlopes inner = steady_slopes(sign * gather(arena.taper, ends.inner + e), in.density,
                                             sign * in.velocity, in.compressibility);
    const SteadySlopes own = steady_slopes(taper, w.density, w.velocity, w.compressibility);
    const SteadySlopes outer = steady_slopes(select(mirror, -taper, taper), rho, u,
                                             w.compressibility * w.pressure / p * rho / w.density);
    const Slopes d = slopes<minmod>(w.compressibility, back, ahead, inner, own, outer);
    long before[Lanes::size];
    for (int i = 0; i < Lanes::size; ++i) {
      before[i] = cell[i] - 1;
    }
    const Lanes widening = sign * (gather(arena.face_area, cell) - gather(arena.face_area, before)) *
                           gather(arena.inverse_volume, cell);
    const Lanes drag = gather(arena.friction, cell);
    const WallTerms wall{drag, Lanes(arena.heat_factor) * drag,
                         gas_constant(gas, w.burned) * gather(arena.wall_temperature, cell)};
    HalfStep h = half_step(w, d, Lanes(0.5 * dt), gather(arena.inverse_length, cell), widening, wall);
    const Lanes least_density = w.density + h.density - abs(d.density);
    const Lanes least_pressure = w.pressure + h.pressure - abs(d.pressure);
    const Mask steep = (least_density < Lanes(0.1) * w.density) | (least_pressure < Lanes(0.1) * w.pressure);
    const auto carried = [&](Lanes here, Lanes change, Lanes across) {
      return here + select(steep, Lanes(0.0), change + across);
    };
    store(ends.trace_density + e, carried(w.density, h.density, d.density));
    store(ends.trace_velocity + e, carried(w.velocity, h.velocity, d.velocity));
    store(ends.trace_pressure + e, carried(w.pressure, h.pressure, d.pressure));
    store(ends.trace_burned + e, carried(w.burned, h.burned, d.burned));
    store(ends.heat_excess + e, w.heat_excess);
    store(ends.offset + e, w.offset);
    store(ends.slope + e, w.slope);
  }
}

inline void traces(const Arena& arena, const Ends& ends, double dt, bool minmod) {
  minmod ? traces_loop<true>(arena, ends, dt) : traces_loop<false>(arena, ends, dt);
}

struct Trace {
  Lanes density, velocity, pressure, burned, excess, offset, slope, sound;
};

inline Trace trace_at(const Ends& ends, long e) {
  Trace t{load(ends.trace_density + e),  load(ends.trace_velocity + e),
          load(ends.trace_pressure + e), load(ends.trace_burned + e),
          load(ends.heat_excess + e),    load(ends.offset + e),
          load(ends.slope + e),          Lanes(0.0)};
  t.sound = sqrt((Lanes(1.0) + t.excess) * t.pressure / t.density);
  return t;
}

/// The same of ends here and there.
inline Trace trace_at(const Ends& ends, const long* which) {
  Trace t{gather(ends.trace_density, which),  gather(ends.trace_velocity, which),
          gather(ends.trace_pressure, which), gather(ends.trace_burned, which),
          gather(ends.heat_excess, which),    gather(ends.offset, which),
          gather(ends.slope, which),          Lanes(0.0)};
  t.sound = sqrt((Lanes(1.0) + t.excess) * t.pressure / t.density);
  return t;
}

inline Lanes total_energy(const Trace& t, Lanes density, Lanes velocity, Lanes pressure) {
  return pressure / t.excess + density * (t.offset + t.slope * t.burned + Lanes(0.5) * velocity * velocity);
}

inline void put(const Ends& ends, long e, Lanes rho, Lanes u, Lanes p, Lanes y, const Flux& f) {
  store(ends.density + e, rho);
  store(ends.velocity + e, u);
  store(ends.pressure + e, p);
  store(ends.burned + e, y);
  store(ends.flow_mass + e, f.mass);
  store(ends.flow_thrust + e, f.thrust);
  store(ends.flow_energy + e, f.energy);
  store(ends.flow_burned + e, f.burned);
}

inline void put(const Ends& ends, const long* which, Lanes rho, Lanes u, Lanes p, Lanes y, const Flux& f) {
  scatter(ends.density, which, rho);
  scatter(ends.velocity, which, u);
  scatter(ends.pressure, which, p);
  scatter(ends.burned, which, y);
  scatter(ends.flow_mass, which, f.mass);
  scatter(ends.flow_thrust, which, f.thrust);
  scatter(ends.flow_energy, which, f.energy);
  scatter(ends.flow_burned, which, f.burned);
}

/// A wall: a shock where gas runs against it (Toro, section 6.3.3), a rarefaction where it runs away.
FETTLE_INLINE Lanes wall_pressure(const Trace& t) {
  const Lanes mach = t.velocity / t.sound;
  const Lanes gamma = Lanes(1.0) + t.excess;
  const Lanes k = Lanes(0.25) * (gamma + Lanes(1.0)) * mach;
  const Lanes shock = Lanes(1.0) + gamma * mach * (k + sqrt(Lanes(1.0) + k * k));
  const Lanes stopped = max(Lanes(1.0) + Lanes(0.5) * t.excess * mach, Lanes(1e-3));
  const Lanes rarefaction = exp(Lanes(2.0) * gamma / t.excess * log(stopped));
  return t.pressure * select(mach > Lanes(0.0), shock, rarefaction);
}

/// Ends [from, to): walls.
inline void closed(const Ends& ends, long from, long to) {
  for (long e = from; e < to; e += Lanes::size) {
    const Trace t = trace_at(ends, e);
    const Lanes p = wall_pressure(t);
    put(ends, e, t.density, Lanes(0.0), p, t.burned, {Lanes(0.0), p, Lanes(0.0), Lanes(0.0)});
  }
}

/// Restrictions that are shut, by number.
inline void shut(const Ends& ends, const long* which, long count) {
  for (long i = 0; i < count; i += Lanes::size) {
    const Trace t = trace_at(ends, which + i);
    const Lanes p = wall_pressure(t);
    put(ends, which + i, t.density, Lanes(0.0), p, t.burned, {Lanes(0.0), p, Lanes(0.0), Lanes(0.0)});
    scatter(ends.x, which + i, Lanes(1.0));
  }
}

/// One end's unknown x and what does not change while it is sought.
struct Stopped {
  Lanes n;  // 2/(γ − 1)
  Lanes gamma;
  Lanes sound;         // c X0
  Lanes log_ratio;     // ln X0
  Lanes log_pressure;  // of the stopped gas
};

inline Stopped stopped(const Trace& t) {
  Stopped s;
  s.n = Lanes(2.0) / t.excess;
  s.gamma = Lanes(1.0) + t.excess;
  const Lanes x0 = max(Lanes(1.0) + Lanes(0.5) * t.excess * t.velocity / t.sound, Lanes(0.05));
  s.sound = t.sound * x0;
  s.log_ratio = log(x0);
  s.log_pressure = log(t.pressure) + s.gamma * s.n * s.log_ratio;
  return s;
}

/// Newton's step of a function of x kept in [low, high]; no step where the slope vanishes (at the sonic end).
inline Lanes bounded_step(Lanes x, Lanes value, Lanes rate, Lanes low, Lanes high) {
  const Mask flat = abs(rate) < Lanes(1e-12);
  const Lanes next = x - select(flat, Lanes(0.0), value / select(flat, Lanes(1.0), rate));
  return max(low, min(high, next));
}

/// Gas leaving through a throat of `ratio` of the duct's area into gas at pressure p_r: isentropic from the
/// face to the throat, which is at p_r or choked. b = (p_r/p_stopped)^((γ − 1)/(2 γ)). Lengths of speed are c
/// X0. Squared, because the square stays smooth where the flow ceases.
inline Lanes leaving(const Stopped& s, Lanes ratio, Lanes log_b, Lanes x, int iterations) {
  const Lanes b2 = exp(Lanes(2.0) * log_b);
  const Lanes free_density = exp(Lanes(2.0) * s.n * log_b);  // of the throat at p_r, squared
  const Lanes critical = Lanes(2.0) / (s.gamma + Lanes(1.0));
  const Lanes one(1.0);
  // The flow into a duct that is not set moving bounds the root; x^n is at least (2/(γ + 1))^n > 1/2.6.
  const Mask still_choked = b2 < critical;
  const Lanes most = ratio * sqrt(select(still_choked, exp(s.n * log(critical)) * (one - critical),
                                         free_density * (one - b2)) /
                                  s.n);
  const Lanes low = max(critical, one - Lanes(2.6) * most);
  x = max(low, min(x, one - Lanes(0.02) * most));
  for (int i = 0; i < iterations; ++i) {
    const Lanes rest = one - x;
    const Lanes total = x * x + s.n * rest * rest;
    const Lanes total_rate = Lanes(2.0) * (x - s.n * rest);
    const Lanes sonic = critical * total;
    const Mask choked = b2 < sonic;
    const Lanes throat = select(choked, sonic, b2);
    Lanes density = free_density;
    if (any(choked)) {
      density = select(choked, exp(s.n * log(sonic)), free_density);
    }
    const Lanes flow = ratio * ratio * density * s.n * (total - throat);
    const Lanes flow_rate =
        select(choked, flow * (s.n + one) * total_rate / total, ratio * ratio * density * s.n * total_rate);
    const Lanes face_density = exp(Lanes(2.0) * s.n * log(x));
    const Lanes face = face_density * s.n * s.n * rest * rest;
    const Lanes face_rate = Lanes(2.0) * face_density * s.n * s.n * rest * (s.n * rest / x - one);
    x = bounded_step(x, face - flow, face_rate - flow_rate, low, one);
  }
  return x;
}

struct Source {
  Lanes log_pressure, temperature, gas_constant, cp, excess;
};

/// What the throat passes inward at the pressure of the face, squared, (kg/(m2 s))², and d/d ln p of it.
struct Throat {
  Lanes flow, rate;
};

/// What of it does not change with the face's pressure.
struct ThroatLimits {
  Lanes kappa, critical, critical_density;  // (γ − 1)/γ; T/T0 and density at sonic speed
  Lanes heat, ratio2, gas_temperature;      // 2 cp T0; (throat/duct)²; R T0
};

FETTLE_INLINE ThroatLimits throat_limits(const Source& r, Lanes ratio) {
  ThroatLimits t;
  t.kappa = r.excess / (Lanes(1.0) + r.excess);
  t.critical = Lanes(2.0) / (r.excess + Lanes(2.0));
  t.gas_temperature = r.gas_constant * r.temperature;
  t.critical_density = exp(r.log_pressure + log(t.critical) / r.excess) / t.gas_temperature;
  t.heat = Lanes(2.0) * r.cp * r.temperature;
  t.ratio2 = ratio * ratio;
  return t;
}

FETTLE_INLINE Throat throat_inward(const Source& r, const ThroatLimits& c, Lanes log_pressure,
                                   Lanes pressure) {
  const Lanes one(1.0);
  const Lanes still = min(exp(c.kappa * (log_pressure - r.log_pressure)), one);
  const Mask choked = still < c.critical;
  const Lanes t = select(choked, c.critical, still);
  const Lanes density = select(choked, c.critical_density, pressure / (c.gas_temperature * still));
  const Lanes scale = c.ratio2 * density * density * c.heat;
  const Lanes rate = scale * c.kappa * (Lanes(2.0) * (one - t) / r.excess - t);
  return {scale * (one - t), select(choked, Lanes(0.0), rate)};
}

struct Entry {
  Lanes x, least_pressure;
};

/// Gas entering from the reservoir: isentropic to the throat, whose pressure is the face's or the critical
/// one; its energy is kept to the face. (p w)² = J² R² (T0 − w²/(2 cp))² with w the speed inward. Where the
/// face is sonic no wave comes to it from the duct, and its pressure is what passes the throat's flow.
inline Entry entering(const Stopped& s, const Source& r, Lanes ratio, Lanes x, int iterations) {
  const Lanes one(1.0);
  const Lanes slope = s.n * s.sound;  // dw/dx
  const ThroatLimits limits = throat_limits(r, ratio);
  const Lanes top = exp((r.log_pressure - s.log_pressure) / (s.gamma * s.n));
  const Lanes fastest = sqrt(limits.heat * (one - limits.critical));
  // The pressure at the face only rises from that of the stopped gas, and the throat's flow falls with it.
  const Lanes still = exp(s.log_pressure);
  const Lanes most =
      sqrt(throat_inward(r, limits, s.log_pressure, still).flow) * limits.gas_temperature / still;
  const Lanes high = max(min(top, one + min(fastest, most) / slope), one);
  x = min(high, max(x, one + Lanes(0.02) * (high - one)));
  const Lanes unit = one / exp(Lanes(2.0) * r.log_pressure);
  for (int i = 0; i < iterations; ++i) {
    const Lanes rise = s.gamma * s.n / x;  // d ln p/dx
    const Lanes log_pressure = s.log_pressure + s.gamma * s.n * log(x);
    const Lanes pressure = exp(log_pressure);
    const Throat j = throat_inward(r, limits, log_pressure, pressure);
    const Lanes w = slope * (x - one);
    const Lanes rt = r.gas_constant * (r.temperature - Lanes(0.5) * w * w / r.cp);
    const Lanes value = pressure * pressure * w * w - j.flow * rt * rt;
    const Lanes rate = Lanes(2.0) * pressure * pressure * w * (slope + w * rise) - j.rate * rise * rt * rt +
                       Lanes(2.0) * j.flow * rt * r.gas_constant * w * slope / r.cp;
    x = bounded_step(x, value * unit, rate * unit, one, high);
  }
  const Lanes w = slope * (x - one);
  const Mask sonic = w > Lanes(0.999) * fastest;
  if (!any(sonic)) {
    return {x, Lanes(0.0)};
  }
  const Lanes rt = r.gas_constant * (r.temperature - Lanes(0.5) * w * w / r.cp);
  const Lanes critical_flow = limits.ratio2 * limits.critical_density * limits.critical_density *
                              limits.heat * (one - limits.critical);
  return {x, select(sonic, sqrt(critical_flow) * rt / max(w, Lanes(1.0)), Lanes(0.0))};
}

/// Open restrictions by number; quickest where lanes flow the same way.
inline void reservoirs(const Ends& ends, const Reservoirs& behind, const long* which, long count,
                       int iterations) {
  for (long i = 0; i < count; i += Lanes::size) {
    const long* e = which + i;
    const Trace t = trace_at(ends, e);
    const Stopped s = stopped(t);
    const Lanes ratio = gather(behind.area_ratio, e);
    Source r{log(gather(behind.pressure, e)), gather(behind.temperature, e), gather(behind.gas_constant, e),
             Lanes(0.0), gather(behind.heat_excess, e)};
    r.cp = r.gas_constant * (Lanes(1.0) + Lanes(1.0) / r.excess);
    const Lanes log_b = (r.log_pressure - s.log_pressure) / (s.gamma * s.n);
    const Mask out = log_b < Lanes(0.0);
    const Lanes start = gather(ends.x, e);
    Lanes x_out(1.0);
    Entry in{Lanes(1.0), Lanes(0.0)};
    if (any(out)) {
      x_out = leaving(s, ratio, min(log_b, Lanes(0.0)), min(start, Lanes(1.0)), iterations);
    }
    if (any(!out)) {
      in = entering(s, r, ratio, max(start, Lanes(1.0)), iterations);
    }
    const Lanes x = select(out, x_out, in.x);
    scatter(ends.x, e, x);
    const Lanes grown = s.log_ratio + log(x);
    const Lanes along = t.pressure * exp(s.gamma * s.n * grown);
    const Lanes p = select(out, along, max(along, in.least_pressure));
    const Lanes u = s.n * s.sound * (Lanes(1.0) - x);
    const Lanes y_r = gather(behind.burned, e);
    const Lanes rho_out = t.density * exp(s.n * grown);
    const Lanes rho_in = p / (r.gas_constant * (r.temperature - Lanes(0.5) * u * u / r.cp));
    const Mask straight =
        (t.velocity >= t.sound) & (ratio >= Lanes(0.999));  // supersonic: nothing comes back
    const Lanes rho = select(straight, t.density, select(out, rho_out, rho_in));
    const Lanes u_f = select(straight, t.velocity, u);
    const Lanes p_f = select(straight, t.pressure, p);
    const Mask own = straight | out;
    const Lanes y = select(own, t.burned, y_r);
    Flux f = physical_flux(rho, u_f, p_f, total_energy(t, rho, u_f, p_f), y);
    f.energy = select(own, f.energy, f.mass * gather(behind.enthalpy, e));
    put(ends, e, rho, u_f, p_f, y, f);
  }
}

}  // namespace fettle::gasflow::FETTLE_LANES
