#pragma once

#include "gasflow/kernel.h"
#include "gasflow/lane_math.h"

// Quasi-one-dimensional Euler equations with area, friction and wall heat: MUSCL-Hancock (van Leer 1984;
// Toro, Riemann Solvers and Numerical Methods for Fluid Dynamics, section 14.4) with the HLLC flux (Toro,
// section 10.4).

namespace fettle::gasflow::FETTLE_LANES {

struct Thermo {
  Lanes enthalpy;  // of the mixture, J/kg
  Lanes cp;
  Lanes difference;  // burned less fresh enthalpy
};

inline Thermo thermo(const GasTable& g, Lanes t, Lanes burned) {
  const Mask hot = t > Lanes(1000.0);
  const auto pick = [&](double high, double low) { return select(hot, Lanes(high), Lanes(low)); };
  const auto one = [&](const GasCoefficients& c, Lanes& cp) {
    const Lanes a0 = pick(c.cp_high[0], c.cp_low[0]);
    const Lanes a1 = pick(c.cp_high[1], c.cp_low[1]);
    const Lanes a2 = pick(c.cp_high[2], c.cp_low[2]);
    const Lanes a3 = pick(c.cp_high[3], c.cp_low[3]);
    const Lanes a4 = pick(c.cp_high[4], c.cp_low[4]);
    cp = a0 + t * (a1 + t * (a2 + t * (a3 + t * a4)));
    const Lanes series =
        a0 +
        t * (a1 * Lanes(0.5) + t * (a2 * Lanes(1.0 / 3.0) + t * (a3 * Lanes(0.25) + t * (a4 * Lanes(0.2)))));
    return pick(c.h_high, c.h_low) + t * series;
  };
  Lanes cp_fresh;
  Lanes cp_burned;
  const Lanes h_fresh = one(g.fresh, cp_fresh);
  const Lanes h_burned = one(g.burned, cp_burned);
  const Lanes d = h_burned - h_fresh;
  return {h_fresh + burned * d, cp_fresh + burned * (cp_burned - cp_fresh), d};
}

inline Lanes gas_constant(const GasTable& g, Lanes burned) {
  return Lanes(g.fresh.gas_constant) + burned * Lanes(g.burned.gas_constant - g.fresh.gas_constant);
}

/// Primitive state of a cell. Near it the energy is e = p/((γ − 1) ρ) + offset + slope Y, exact at the cell's
/// own state: γ and offset are frozen for the step, and the fluxes are those of *total* energy, so that it is
/// conserved exactly.
struct Primitive {
  Lanes density, velocity, pressure, burned;
  Lanes inverse_density, temperature, sound, heat_excess, inverse_excess, offset, slope;
  Lanes compressibility;  // 1/c²
};

/// One Newton step from the temperature of the last step: the search goes on from step to step, and converges
/// quadratically wherever the flow is smooth in time.
inline Primitive primitive(const GasTable& g, Lanes density, Lanes momentum, Lanes energy, Lanes burned_mass,
                           Lanes guess) {
  Primitive w;
  w.density = density;
  w.inverse_density = Lanes(1.0) / density;
  w.velocity = momentum * w.inverse_density;
  w.burned = burned_mass * w.inverse_density;
  const Lanes e = energy * w.inverse_density - Lanes(0.5) * w.velocity * w.velocity;
  const Thermo h = thermo(g, guess, w.burned);
  const Lanes r = gas_constant(g, w.burned);
  const Lanes cv = h.cp - r;
  const Lanes inverse = Lanes(1.0) / (cv * r);
  const Lanes inverse_cv = inverse * r;
  w.temperature = guess + (e - (h.enthalpy - r * guess)) * inverse_cv;
  const Lanes rt = r * w.temperature;
  const Lanes r_difference(g.burned.gas_constant - g.fresh.gas_constant);
  w.pressure = density * rt;
  w.heat_excess = r * inverse_cv;
  w.inverse_excess = cv * (cv * inverse);
  const Lanes sound2 = rt + w.heat_excess * rt;
  w.sound = sqrt(sound2);
  w.compressibility = Lanes(1.0) / sound2;
  w.slope = h.difference - r_difference * w.temperature * (Lanes(1.0) + w.inverse_excess);
  w.offset = e - cv * w.temperature - w.slope * w.burned;
  return w;
}

/// Limited slope: minmod, or van Leer's monotonised central one (MC).
template <bool minmod>
inline Lanes limited(Lanes back, Lanes ahead) {
  const Lanes small = min(abs(back), abs(ahead));
  Lanes size = small;
  if constexpr (!minmod) {
    size = min(small + small, Lanes(0.5) * abs(back + ahead));
  }
  return select(back * ahead > Lanes(0.0), signed_as(size, back), Lanes(0.0));
}

/// The steeper limiter of what only drifts with the gas (entropy, burned part): MC beside minmod, superbee
/// beside MC. Such a front has nothing that keeps it sharp, while sound waves stay with the milder one and
/// with its order.
template <bool minmod>
inline Lanes steeply_limited(Lanes back, Lanes ahead) {
  if constexpr (minmod) {
    return limited<false>(back, ahead);
  }
  const Lanes a = abs(back);
  const Lanes b = abs(ahead);
  const Lanes small = min(a, b);
  const Lanes size = min(small + small, max(a, b));
  return select(back * ahead > Lanes(0.0), signed_as(size, back), Lanes(0.0));
}

struct Slopes {
  Lanes density, velocity, pressure, burned;
};

/// Of the density the part that belongs to the pressure, dp/c², goes with it; the rest is entropy.
template <bool minmod>
inline Slopes slopes(Lanes compressibility, const Lanes (&back)[4], const Lanes (&ahead)[4]) {
  const Lanes p = limited<minmod>(back[2], ahead[2]);
  const Lanes entropy =
      steeply_limited<minmod>(back[0] - compressibility * back[2], ahead[0] - compressibility * ahead[2]);
  return {entropy + compressibility * p, limited<minmod>(back[1], ahead[1]), p,
          steeply_limited<minmod>(back[3], ahead[3])};
}

/// What half a step changes in a cell, from its slopes (differences across the cell), the widening of the
/// duct, friction and heat. half = dt/2; all in one frame.
struct HalfStep {
  Lanes density, velocity, pressure, burned;
};

struct WallTerms {
  Lanes friction;  // 2 f/D
  Lanes heat;      // 2 f/D Pr^(-2/3)
  Lanes r_wall;    // R T_wall
};

inline HalfStep half_step(const Primitive& w, const Slopes& d, Lanes half, Lanes inverse_length,
                          Lanes widening, const WallTerms& wall) {
  const Lanes courant = half * inverse_length;
  const Lanes u = w.velocity;
  const Lanes stiffness = w.pressure + w.heat_excess * w.pressure;  // γ p
  const Lanes spread = half * widening * u + courant * d.velocity;
  const Lanes drag = wall.friction * abs(u);
  const Lanes warmth = w.heat_excess * abs(u) *
                       (w.density * wall.friction * u * u +
                        wall.heat * (Lanes(1.0) + w.inverse_excess) * (wall.r_wall * w.density - w.pressure));
  const Lanes carried = courant * u;
  return {-(carried * d.density + w.density * spread),
          -(carried * d.velocity + courant * (d.pressure * w.inverse_density) + half * drag * u),
          half * warmth - (carried * d.pressure + stiffness * spread), -(carried * d.burned)};
}

/// Either side of a face.
struct Side {
  Lanes density, velocity, pressure, burned, sound, heat_excess, inverse_excess, offset, slope;
};

struct Flux {
  Lanes mass, thrust, energy, burned;  // a square metre
};

/// The physical flux of a state at a face; `total` is energy a cubic metre.
inline Flux physical_flux(Lanes density, Lanes velocity, Lanes pressure, Lanes total, Lanes burned) {
  const Lanes mass = density * velocity;
  return {mass, mass * velocity + pressure, velocity * (total + pressure), mass * burned};
}

/// Speeds of the outer waves: Davis's, and where the linearised pressure between the waves is a tenth or more
/// above a side's, the speed of the shock that it takes (Toro, sections 10.5 and 9.3).
struct WaveSpeeds {
  Lanes left, right;
};

inline WaveSpeeds wave_speeds(const Side& l, const Side& r) {
  WaveSpeeds s{min(l.velocity - l.sound, r.velocity - r.sound),
               max(l.velocity + l.sound, r.velocity + r.sound)};
  const Lanes between = Lanes(0.5) * (l.pressure + r.pressure) + Lanes(0.125) * (l.velocity - r.velocity) *
                                                                     (l.density + r.density) *
                                                                     (l.sound + r.sound);
  const Lanes lower = min(l.pressure, r.pressure);
  const Mask strong = between > Lanes(1.1) * lower;
  if (any(strong)) {
    const auto speed = [&](const Side& k) {
      const Lanes rise = max(between - k.pressure, Lanes(0.0));
      return sqrt(k.sound * k.sound + (Lanes(1.0) + Lanes(0.5) * k.heat_excess) * rise / k.density);
    };
    s.left = select(strong, l.velocity - speed(l), s.left);
    s.right = select(strong, r.velocity + speed(r), s.right);
  }
  return s;
}

/// HLLC. The state between the waves moves with the contact, so that its flux is the physical one of that
/// state; outside the waves the state is the side's own. Gas at rest at one pressure gets exactly that.
inline Flux hllc(const Side& l, const Side& r) {
  const auto [s_l, s_r] = wave_speeds(l, r);
  const Lanes m_l = l.density * (s_l - l.velocity);
  const Lanes m_r = r.density * (s_r - r.velocity);
  const Lanes contact = (r.pressure - l.pressure + l.velocity * m_l - r.velocity * m_r) / (m_l - m_r);
  const Mask left = contact >= Lanes(0.0);
  const Mask outside = (s_l >= Lanes(0.0)) | (s_r <= Lanes(0.0));
  const Lanes rho = select(left, l.density, r.density);
  const Lanes u = select(left, l.velocity, r.velocity);
  const Lanes p = select(left, l.pressure, r.pressure);
  const Lanes y = select(left, l.burned, r.burned);
  const Lanes s = select(left, s_l, s_r);
  const Lanes g = select(left, l.inverse_excess, r.inverse_excess);
  const Lanes offset = select(left, l.offset, r.offset);
  const Lanes slope = select(left, l.slope, r.slope);
  const Lanes a = s - u;
  const Lanes u_face = select(outside, u, contact);
  const Lanes jump = u_face - u;
  const Lanes inverse = Lanes(1.0) / (s - u_face);
  const Lanes squeeze = a * inverse;
  const Lanes total = g * p + rho * (offset + slope * y + Lanes(0.5) * u * u);
  const Lanes total_face = squeeze * (total + jump * rho * u_face) + jump * p * inverse;
  return physical_flux(rho * squeeze, u_face, p + rho * a * jump, total_face, y);
}

}  // namespace fettle::gasflow::FETTLE_LANES
