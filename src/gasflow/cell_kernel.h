#pragma once

#include "gasflow/kernel.h"
#include "gasflow/lane_math.h"

// Quasi-one-dimensional Euler equations with area, friction and wall heat: MUSCL-Hancock (van Leer 1984;
// Toro, Riemann Solvers and Numerical Methods for Fluid Dynamics, section 14.4) with the HLLC flux (Toro,
// section 10.4).

namespace fettle::gasflow::FETTLE_LANES {

/// Coefficients of one range, every lane alike: fresh gas, and burned less fresh.
struct HeatRange {
  Lanes cp_fresh[5], cp_difference[5];  // powers of T
  Lanes h_fresh[5], h_difference[5];    // the same over 1 to 5
  Lanes zero_fresh, zero_difference;    // constants of the enthalpy
};

struct Heats {
  HeatRange low, high;
  Lanes r_fresh, r_difference;
};

inline Heats heats(const GasTable& g) {
  Heats all;
  const auto fill = [](HeatRange& to, const double* f, const double* b, double zero_f, double zero_b) {
    for (int k = 0; k < 5; ++k) {
      to.cp_fresh[k] = Lanes(f[k]);
      to.cp_difference[k] = Lanes(b[k] - f[k]);
      to.h_fresh[k] = Lanes(f[k] / (k + 1));
      to.h_difference[k] = Lanes((b[k] - f[k]) / (k + 1));
    }
    to.zero_fresh = Lanes(zero_f);
    to.zero_difference = Lanes(zero_b - zero_f);
  };
  fill(all.low, g.fresh.cp_low, g.burned.cp_low, g.fresh.h_low, g.burned.h_low);
  fill(all.high, g.fresh.cp_high, g.burned.cp_high, g.fresh.h_high, g.burned.h_high);
  all.r_fresh = Lanes(g.fresh.gas_constant);
  all.r_difference = Lanes(g.burned.gas_constant - g.fresh.gas_constant);
  return all;
}

struct Thermo {
  Lanes enthalpy;  // of the mixture, J/kg
  Lanes cp;
  Lanes difference;  // burned less fresh enthalpy
};

FETTLE_INLINE Lanes power_series(const Lanes (&a)[5], Lanes t) {
  return a[0] + t * (a[1] + t * (a[2] + t * (a[3] + t * a[4])));
}

FETTLE_INLINE Thermo thermo(const HeatRange& a, Lanes t, Lanes burned) {
  const Lanes difference = a.zero_difference + t * power_series(a.h_difference, t);
  return {a.zero_fresh + t * power_series(a.h_fresh, t) + burned * difference,
          power_series(a.cp_fresh, t) + burned * power_series(a.cp_difference, t), difference};
}

/// Lanes are mostly of one range.
FETTLE_INLINE Thermo thermo(const Heats& g, Lanes t, Lanes burned) {
  const Mask hot = t > Lanes(1000.0);
  if (!any(hot)) {
    return thermo(g.low, t, burned);
  }
  const Thermo high = thermo(g.high, t, burned);
  if (!any(!hot)) {
    return high;
  }
  const Thermo low = thermo(g.low, t, burned);
  return {select(hot, high.enthalpy, low.enthalpy), select(hot, high.cp, low.cp),
          select(hot, high.difference, low.difference)};
}

FETTLE_INLINE Lanes gas_constant(const Heats& g, Lanes burned) {
  return g.r_fresh + burned * g.r_difference;
}

/// Primitive state of a cell. Near it the energy is e = p/((γ − 1) ρ) + offset + slope Y, exact at the cell's
/// own state: γ and offset are frozen for the step, and the fluxes are those of *total* energy, so that it is
/// conserved exactly.
struct Primitive {
  Lanes density, velocity, pressure, burned;
  Lanes inverse_density, temperature, sound, heat_excess, inverse_excess, offset, slope;
  Lanes compressibility;  // 1/c²
};

/// The first part of a state: what needs no property of the gas. `energy` is internal, J/kg.
struct Specific {
  Lanes inverse_density, velocity, burned, energy;
};

FETTLE_INLINE Specific specific(Lanes density, Lanes momentum, Lanes energy, Lanes burned_mass) {
  const Lanes inverse = Lanes(1.0) / density;
  const Lanes u = momentum * inverse;
  return {inverse, u, burned_mass * inverse, energy * inverse - Lanes(0.5) * u * u};
}

/// One Newton step from the temperature of the last step: the search goes on from step to step, and converges
/// quadratically wherever the flow is smooth in time.
FETTLE_INLINE Primitive primitive(const Heats& g, Lanes density, const Specific& cell, Lanes guess) {
  Primitive w;
  w.density = density;
  w.inverse_density = cell.inverse_density;
  w.velocity = cell.velocity;
  w.burned = cell.burned;
  const Lanes e = cell.energy;
  const Thermo h = thermo(g, guess, w.burned);
  const Lanes r = gas_constant(g, w.burned);
  const Lanes cv = h.cp - r;
  // One division for 1/cv, 1/(cv R) and 1/c²; the last serves the limiter only and may lag in temperature.
  const Lanes all = Lanes(1.0) / (cv * h.cp * (r * guess));
  const Lanes inverse = all * h.cp * guess;
  const Lanes inverse_cv = inverse * r;
  w.temperature = guess + (e - (h.enthalpy - r * guess)) * inverse_cv;
  const Lanes rt = r * w.temperature;
  w.pressure = density * rt;
  w.heat_excess = r * inverse_cv;
  w.inverse_excess = cv * (cv * inverse);
  w.sound = sqrt(rt + w.heat_excess * rt);
  w.compressibility = cv * (cv * all);
  w.slope = h.difference - g.r_difference * w.temperature * (Lanes(1.0) + w.inverse_excess);
  w.offset = e - cv * w.temperature - w.slope * w.burned;
  return w;
}

/// Half a limited slope: minmod, or van Leer's monotonised central one (MC). Written without signs: one of
/// the two bounds is zero, both are where the differences disagree.
template <bool minmod>
FETTLE_INLINE Lanes limited(Lanes back, Lanes ahead) {
  const Lanes zero(0.0);
  const Lanes high = max(zero, min(back, ahead));
  const Lanes low = min(zero, max(back, ahead));
  if constexpr (minmod) {
    return Lanes(0.5) * (high + low);
  }
  return max(low, min(high, Lanes(0.25) * (back + ahead)));
}

/// The steeper limiter of what only drifts with the gas (entropy, burned part): MC beside minmod, superbee
/// beside MC. Such a front has nothing that keeps it sharp, while sound waves stay with the milder one and
/// with its order.
template <bool minmod>
FETTLE_INLINE Lanes steeply_limited(Lanes back, Lanes ahead) {
  if constexpr (minmod) {
    return limited<false>(back, ahead);
  }
  const Lanes less = min(back, ahead);
  const Lanes more = max(back, ahead);
  const Lanes half(0.5);
  return max(Lanes(0.0), min(less, half * more)) + min(Lanes(0.0), max(more, half * less));
}

/// Halves of the differences across the cell.
struct Slopes {
  Lanes density, velocity, pressure, burned;
};

/// Of these, what steady isentropic flow has by the cell's taper: du/u = -dA/A/(1 - M²), dp = -ρ u du (John
/// and Keith, Gas Dynamics, ch. 3); damped near sonic speed.
struct SteadySlopes {
  Lanes velocity, pressure;
};

FETTLE_INLINE SteadySlopes steady_slopes(Lanes taper, Lanes density, Lanes velocity, Lanes compressibility) {
  const Lanes square = velocity * velocity;
  const Lanes rest = Lanes(1.0) - square * compressibility;
  const Lanes steep = taper * rest / max(rest * rest, Lanes(0.04));
  return {-(velocity * steep), density * square * steep};
}

/// Of the density the part that belongs to the pressure, dp/c², goes with it; the rest is entropy. Only what
/// differs from steady flow is limited: a kink of the duct is none of the flow's, and would cost it
/// stagnation pressure in first order.
template <bool minmod>
FETTLE_INLINE Slopes slopes(Lanes compressibility, const Lanes (&back)[4], const Lanes (&ahead)[4],
                            const SteadySlopes& before, const SteadySlopes& here, const SteadySlopes& after) {
  const auto unsteady = [&](int k, Lanes SteadySlopes::*part) {
    return here.*part +
           limited<minmod>(back[k] - (before.*part + here.*part), ahead[k] - (here.*part + after.*part));
  };
  const Lanes p = unsteady(2, &SteadySlopes::pressure);
  const Lanes entropy =
      steeply_limited<minmod>(back[0] - compressibility * back[2], ahead[0] - compressibility * ahead[2]);
  return {entropy + compressibility * p, unsteady(1, &SteadySlopes::velocity), p,
          steeply_limited<minmod>(back[3], ahead[3])};
}

/// What half a step changes in a cell, from its slopes (halves of the differences across it), the widening of
/// the duct, friction and heat. half = dt/2; all in one frame.
struct HalfStep {
  Lanes density, velocity, pressure, burned;
};

struct WallTerms {
  Lanes friction;  // 2 f/D
  Lanes heat;      // 2 f/D Pr^(-2/3)
  Lanes r_wall;    // R T_wall
};

FETTLE_INLINE HalfStep half_step(const Primitive& w, const Slopes& d, Lanes half, Lanes inverse_length,
                                 Lanes widening, const WallTerms& wall) {
  const Lanes courant = (half + half) * inverse_length;
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
FETTLE_INLINE Flux physical_flux(Lanes density, Lanes velocity, Lanes pressure, Lanes total, Lanes burned) {
  const Lanes mass = density * velocity;
  return {mass, mass * velocity + pressure, velocity * (total + pressure), mass * burned};
}

/// Speeds of the outer waves: Davis's, and where the linearised pressure between the waves is a tenth or more
/// above a side's, the speed of the shock that it takes (Toro, sections 10.5 and 9.3).
struct WaveSpeeds {
  Lanes left, right;
};

FETTLE_INLINE WaveSpeeds wave_speeds(const Side& l, const Side& r) {
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

/// The waves of a face: outer speeds and the contact's.
struct Fan {
  Lanes left, right, contact;
};

FETTLE_INLINE Fan fan(const Side& l, const Side& r) {
  const auto [s_l, s_r] = wave_speeds(l, r);
  const Lanes m_l = l.density * (s_l - l.velocity);
  const Lanes m_r = r.density * (s_r - r.velocity);
  return {s_l, s_r, (r.pressure - l.pressure + l.velocity * m_l - r.velocity * m_r) / (m_l - m_r)};
}

/// HLLC. The state between the waves moves with the contact, so that its flux is the physical one of that
/// state; outside the waves the state is the side's own. Gas at rest at one pressure gets exactly that.
FETTLE_INLINE Flux hllc(const Side& l, const Side& r, const Fan& waves) {
  const auto& [s_l, s_r, contact] = waves;
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
