#pragma once

#include "gasflow/cell_kernel.h"

namespace fettle::gasflow::FETTLE_LANES {

/// Working arrays of one tile: index j stands for cell (start of the tile) - 8 + j. The loops run ahead of
/// one another: primitive states by two lanes of eight, face states by one; what they have ready beyond the
/// tile is handed on.
struct Tile {
  static constexpr long length = 216;  // rows 27 cache lines apart, none in step with another's sets
  struct alignas(64) Row {
    double at[length];
  };
  Row density, velocity, pressure, burned, sound, heat_excess, inverse_excess, offset, slope, inverse_density,
      compressibility;
  Row steady_velocity, steady_pressure;
  Row left_density, left_velocity, left_pressure, left_burned;      // at the cell's left face
  Row right_density, right_velocity, right_pressure, right_burned;  // at its right face
  Row mass, thrust, energy, burned_flow;                            // through the cell's right face
};

struct Watch {
  Lanes rate{0.0};
  Mask sound;
};

/// Each stage of a cell is a loop of its own: the chains of divisions and roots are long, and short bodies
/// let the machine have several of them on the way at once.
FETTLE_INLINE void specifics(const Arena& arena, Tile& t, long cell, long j) {
  const Lanes rho = load(arena.now.density + cell);
  const Specific s = specific(rho, load(arena.now.momentum + cell), load(arena.now.energy + cell),
                              load(arena.now.burned + cell));
  store(t.density.at + j, rho);
  store(t.inverse_density.at + j, s.inverse_density);
  store(t.velocity.at + j, s.velocity);
  store(t.burned.at + j, s.burned);
  store(t.offset.at + j, s.energy);  // until the next stage takes it
}

FETTLE_INLINE void primitives(const Arena& arena, const Heats& gas, Tile& t, long cell, long j,
                              Watch& watch) {
  const Lanes rho = load(t.density.at + j);
  const Specific s{load(t.inverse_density.at + j), load(t.velocity.at + j), load(t.burned.at + j),
                   load(t.offset.at + j)};
  const Primitive w = primitive(gas, rho, s, load(arena.temperature + cell));
  store(arena.temperature + cell, w.temperature);
  watch.rate = max((abs(w.velocity) + w.sound) * load(arena.inverse_length + cell), watch.rate);
  watch.sound = watch.sound & (w.pressure > Lanes(0.0)) & (w.pressure < Lanes(1e300)) & (rho > Lanes(0.0));
  store(t.pressure.at + j, w.pressure);
  store(t.sound.at + j, w.sound);
  store(t.heat_excess.at + j, w.heat_excess);
  store(t.inverse_excess.at + j, w.inverse_excess);
  store(t.offset.at + j, w.offset);
  store(t.slope.at + j, w.slope);
  store(t.compressibility.at + j, w.compressibility);
  const SteadySlopes steady = steady_slopes(load(arena.taper + cell), rho, w.velocity, w.compressibility);
  store(t.steady_velocity.at + j, steady.velocity);
  store(t.steady_pressure.at + j, steady.pressure);
}

template <bool minmod>
FETTLE_INLINE void faces(const Arena& arena, const Heats& gas, Tile& t, long cell, long j, Lanes half) {
  Primitive w;
  w.density = load(t.density.at + j);
  w.velocity = load(t.velocity.at + j);
  w.pressure = load(t.pressure.at + j);
  w.burned = load(t.burned.at + j);
  w.heat_excess = load(t.heat_excess.at + j);
  w.inverse_excess = load(t.inverse_excess.at + j);
  w.inverse_density = load(t.inverse_density.at + j);
  const double* const rows[] = {t.density.at, t.velocity.at, t.pressure.at, t.burned.at};
  const Lanes here[] = {w.density, w.velocity, w.pressure, w.burned};
  Lanes back[4];
  Lanes ahead[4];
  for (int k = 0; k < 4; ++k) {
    back[k] = here[k] - load(rows[k] + j - 1);
    ahead[k] = load(rows[k] + j + 1) - here[k];
  }
  const auto steady = [&](long k) {
    return SteadySlopes{load(t.steady_velocity.at + k), load(t.steady_pressure.at + k)};
  };
  Slopes d =
      slopes<minmod>(load(t.compressibility.at + j), back, ahead, steady(j - 1), steady(j), steady(j + 1));
  const Lanes widening =
      (load(arena.face_area + cell) - load(arena.face_area + cell - 1)) * load(arena.inverse_volume + cell);
  const Lanes friction = load(arena.friction + cell);
  const WallTerms wall{friction, Lanes(arena.heat_factor) * friction,
                       gas_constant(gas, w.burned) * load(arena.wall_temperature + cell)};
  HalfStep h = half_step(w, d, half, load(arena.inverse_length + cell), widening, wall);
  const Lanes least_density = w.density + h.density - abs(d.density);
  const Lanes least_pressure = w.pressure + h.pressure - abs(d.pressure);
  const Mask steep = (least_density < Lanes(0.1) * w.density) | (least_pressure < Lanes(0.1) * w.pressure);
  if (any(steep)) {  // first order where a face would come near a vacuum
    Lanes* const changes[] = {&d.density, &d.velocity, &d.pressure, &d.burned,
                              &h.density, &h.velocity, &h.pressure, &h.burned};
    for (Lanes* x : changes) {
      *x = select(steep, Lanes(0.0), *x);
    }
  }
  const auto both = [&](Lanes middle, Lanes across, double* left, double* right) {
    store(left + j, middle - across);
    store(right + j, middle + across);
  };
  both(w.density + h.density, d.density, t.left_density.at, t.right_density.at);
  both(w.velocity + h.velocity, d.velocity, t.left_velocity.at, t.right_velocity.at);
  both(w.pressure + h.pressure, d.pressure, t.left_pressure.at, t.right_pressure.at);
  both(w.burned + h.burned, d.burned, t.left_burned.at, t.right_burned.at);
}

FETTLE_INLINE Side left_of(const Tile& t, long j) {
  return {load(t.right_density.at + j),  load(t.right_velocity.at + j), load(t.right_pressure.at + j),
          load(t.right_burned.at + j),   load(t.sound.at + j),          load(t.heat_excess.at + j),
          load(t.inverse_excess.at + j), load(t.offset.at + j),         load(t.slope.at + j)};
}

FETTLE_INLINE Side right_of(const Tile& t, long j) {
  const long k = j + 1;
  return {load(t.left_density.at + k),   load(t.left_velocity.at + k), load(t.left_pressure.at + k),
          load(t.left_burned.at + k),    load(t.sound.at + k),         load(t.heat_excess.at + k),
          load(t.inverse_excess.at + k), load(t.offset.at + k),        load(t.slope.at + k)};
}

/// The waves wait where the flows will be put.
FETTLE_INLINE void fans(Tile& t, long j) {
  const Fan waves = fan(left_of(t, j), right_of(t, j));
  store(t.mass.at + j, waves.left);
  store(t.thrust.at + j, waves.right);
  store(t.energy.at + j, waves.contact);
}

FETTLE_INLINE void fluxes(const Arena& arena, Tile& t, long cell, long j) {
  const Fan waves{load(t.mass.at + j), load(t.thrust.at + j), load(t.energy.at + j)};
  const Flux f = hllc(left_of(t, j), right_of(t, j), waves);
  const Lanes area = load(arena.face_area + cell);
  store(t.mass.at + j, area * f.mass);
  store(t.thrust.at + j, f.thrust);
  store(t.energy.at + j, area * f.energy);
  store(t.burned_flow.at + j, area * f.burned);
}

/// The pressure of the cell at the half step is taken off both thrusts, which puts the pressure on the
/// widening walls into the difference: gas at rest stays so exactly.
FETTLE_INLINE void update(const Arena& arena, const Heats& gas, const Tile& t, long cell, long j, Lanes dt) {
  const Lanes rho = Lanes(0.5) * (load(t.left_density.at + j) + load(t.right_density.at + j));
  const Lanes u = Lanes(0.5) * (load(t.left_velocity.at + j) + load(t.right_velocity.at + j));
  const Lanes p = Lanes(0.5) * (load(t.left_pressure.at + j) + load(t.right_pressure.at + j));
  const Lanes step = dt * load(arena.inverse_volume + cell);
  const Lanes friction = load(arena.friction + cell) * abs(u);
  const Lanes r_wall = gas_constant(gas, load(t.burned.at + j)) * load(arena.wall_temperature + cell);
  const Lanes heat =
      Lanes(arena.heat_factor) * friction * (Lanes(1.0) + load(t.inverse_excess.at + j)) * (r_wall * rho - p);
  const auto change = [&](const double* row) { return step * (load(row + j) - load(row + j - 1)); };
  store(arena.next.density + cell, load(arena.now.density + cell) - change(t.mass.at));
  const Lanes push = load(arena.face_area + cell) * (load(t.thrust.at + j) - p) -
                     load(arena.face_area + cell - 1) * (load(t.thrust.at + j - 1) - p);
  store(arena.next.momentum + cell, load(arena.now.momentum + cell) - step * push - dt * friction * rho * u);
  store(arena.next.energy + cell, load(arena.now.energy + cell) - change(t.energy.at) + dt * heat);
  store(arena.next.burned + cell, load(arena.now.burned + cell) - change(t.burned_flow.at));
}

FETTLE_INLINE void hand_on(Tile& t) {
  constexpr long n = Lanes::size;
  Tile::Row* const states[] = {&t.density,        &t.velocity,        &t.pressure,        &t.burned,
                               &t.sound,          &t.heat_excess,     &t.inverse_excess,  &t.offset,
                               &t.slope,          &t.inverse_density, &t.compressibility, &t.steady_velocity,
                               &t.steady_pressure};
  for (Tile::Row* row : states) {
    for (long j = 0; j < 24; j += n) {
      store(row->at + j, load(row->at + tile_cells + j));
    }
  }
  Tile::Row* const later[] = {&t.left_density,  &t.left_velocity,  &t.left_pressure,  &t.left_burned,
                              &t.right_density, &t.right_velocity, &t.right_pressure, &t.right_burned,
                              &t.mass,          &t.thrust,         &t.energy,         &t.burned_flow};
  for (Tile::Row* row : later) {
    for (long j = 0; j < 16; j += n) {
      store(row->at + j, load(row->at + tile_cells + j));
    }
  }
}

template <bool minmod>
CellsResult cells_loop(const Arena& given, double dt, const EndFlow* ends, long end_count) {
  constexpr long n = Lanes::size;
  const Arena arena = given;  // its own copy: lanes stored might change the caller's
  const Lanes half(0.5 * dt);
  const Heats gas = heats(arena.gas);
  Tile t;
  Watch watch{Lanes(0.0), Lanes(0.0) <= Lanes(0.0)};
  for (long j = 0; j < 24; j += n) {
    specifics(arena, t, j, j);
    primitives(arena, gas, t, j, j, watch);
  }
  for (long j = 8; j < 16; j += n) {
    faces<minmod>(arena, gas, t, j, j, half);
  }
  Tile::Row* const flows[] = {&t.mass, &t.thrust, &t.energy, &t.burned_flow};
  for (Tile::Row* row : flows) {
    row->at[7] = 0.0;  // before the first cell there is padding only
  }
  long end = 0;
  const long past = cells_before + arena.size;
  for (long start = cells_before; start < past; start += tile_cells) {
    const long count = past - start < tile_cells ? past - start : tile_cells;
    const long shift = start - 8;
    for (long j = 24; j < count + 24; j += n) {
      specifics(arena, t, shift + j, j);
    }
    for (long j = 24; j < count + 24; j += n) {
      primitives(arena, gas, t, shift + j, j, watch);
    }
    for (long j = 16; j < count + 16; j += n) {
      faces<minmod>(arena, gas, t, shift + j, j, half);
    }
    for (long j = 8; j < count + 8; j += n) {
      fans(t, j);
    }
    for (long j = 8; j < count + 8; j += n) {
      fluxes(arena, t, shift + j, j);
    }
    for (; end < end_count && ends[end].face < start + count; ++end) {
      const long j = ends[end].face - shift;
      t.mass.at[j] = ends[end].mass;
      t.thrust.at[j] = ends[end].thrust;
      t.energy.at[j] = ends[end].energy;
      t.burned_flow.at[j] = ends[end].burned;
    }
    for (long j = 8; j < count + 8; j += n) {
      update(arena, gas, t, shift + j, j, Lanes(dt));
    }
    hand_on(t);
  }
  alignas(64) double rates[n];
  store(rates, watch.rate);
  CellsResult result;
  for (const double rate : rates) {
    result.rate = rate > result.rate ? rate : result.rate;
  }
  result.sound = !any(!watch.sound);
  return result;
}

inline CellsResult cells(const Arena& arena, double dt, bool minmod, const EndFlow* ends, long end_count) {
  return minmod ? cells_loop<true>(arena, dt, ends, end_count)
                : cells_loop<false>(arena, dt, ends, end_count);
}

/// Haaland's explicit form of Colebrook's friction (Journal of Fluids Engineering 105, 1983): 1/√f = -3.6
/// log10(6.9/Re + (e/(3.7 D))^1.11), Fanning's f. Below Re 2300, where the drag on a gas is of no weight, f
/// is kept at its value there.
inline void friction(const Arena& arena) {
  for (long i = 0; i < cells_before + arena.size; i += Lanes::size) {
    const Lanes t = load(arena.temperature + i);
    const Lanes viscosity = Lanes(1.458e-6) * t * sqrt(t) / (t + Lanes(110.4));
    const Lanes diameter = load(arena.diameter + i);
    const Lanes reynolds = max(abs(load(arena.now.momentum + i)) * diameter / viscosity, Lanes(2300.0));
    const Lanes root =
        Lanes(-3.6 / 2.302585092994046) * log(Lanes(6.9) / reynolds + load(arena.roughness + i));
    const Lanes f = Lanes(2.0) / (root * root * diameter);
    store(arena.friction + i, select(load(arena.inverse_length + i) > Lanes(0.0), f, Lanes(0.0)));
  }
}

}  // namespace fettle::gasflow::FETTLE_LANES
