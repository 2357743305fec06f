#include "mechanism/valve_pack.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

namespace fettle::mechanism {

namespace {

using valve_kernel::lanes;
using valve_kernel::Row;
using valve_kernel::State;
using valve_kernel::Train;

constexpr double cycle = 4.0 * std::numbers::pi;
constexpr double never = 1e9;             // m: a spring that does not go solid
constexpr double solid_stiffening = 9.0;  // coils that touch are ten times as stiff
constexpr double clash_phase = 1.2;       // greatest turn of coils that touch in a step, rad
constexpr double full_rub_speed = 0.02;   // m/s between coils from which friction is full

double square(double x) {
  return x * x;
}

double together(double a, double b) {
  return a * b / (a + b);
}

struct Stiffnesses {
  double cam, link, tip, seat;
};

Stiffnesses stiffnesses_of(const ValveTrain& train) {
  const double link =
      train.plunger ? together(train.link_stiffness, train.plunger->oil_stiffness) : train.link_stiffness;
  return {train.cam_stiffness, link, train.tip_stiffness, train.seat_stiffness};
}

/// Squared frequencies, 1/s², no less than that of the fastest mode of any part held by its neighbours.
double fastest_squared(const ValveTrain& train, int elements) {
  const Stiffnesses k = stiffnesses_of(train);
  const double ratio = train.lever.lift[0] / train.lever.rise[0];
  double fastest = 0.0;
  double spring = 0.0;
  for (const ChainSpring& one : train.springs) {
    fastest = std::max(fastest, square(2.0 * elements) * one.rate / one.active_mass);
    spring += elements * one.rate;
  }
  const double last = train.kind == TrainKind::direct ? k.cam : k.tip;
  fastest = std::max(fastest, (std::max(last, k.seat) + spring) / train.valve_mass);
  if (train.kind != TrainKind::direct) {
    const double driver = train.kind == TrainKind::lever ? k.cam : k.link;
    fastest = std::max(fastest, (driver + square(ratio) * k.tip) / train.lever_mass);
  }
  if (train.kind == TrainKind::pushrod) {
    fastest = std::max(fastest, (k.cam + k.link) / train.tappet_mass);
  }
  return fastest;
}

int steps_for(const RunningCase& one, const DynamicsOptions& options) {
  const double turn = cycle / one.speed;
  double steps = turn * std::sqrt(fastest_squared(one.train, options.elements)) / options.step_phase;
  for (const ChainSpring& spring : one.train.springs) {
    if (spring.travel_to_solid) {
      const double clash =
          2.0 * options.elements * std::sqrt((1.0 + solid_stiffening) * spring.rate / spring.active_mass);
      steps = std::max(steps, turn * clash / clash_phase);
    }
  }
  constexpr double most = 4e6;
  return std::max(options.least_steps, static_cast<int>(std::ceil(std::min(steps, most))));
}

void set_polynomial(Row (&rows)[valve_kernel::polynomial_terms], const LeverMaps::Polynomial& polynomial,
                    int lane) {
  static_assert(LeverMaps::terms == valve_kernel::polynomial_terms);
  for (std::size_t k = 0; k < LeverMaps::terms; ++k) {
    rows[k].lane[lane] = polynomial[k];
  }
}

void set_contacts(Train& into, const ValveTrain& train, int lane) {
  const Stiffnesses k = stiffnesses_of(train);
  const double ratio = train.lever.lift[0] / train.lever.rise[0];
  const double lever_at_valve = train.lever_mass / square(ratio);
  const bool direct = train.kind == TrainKind::direct;
  const double on_cam = direct                           ? train.valve_mass
                        : train.kind == TrainKind::lever ? train.lever_mass
                                                         : train.tappet_mass;
  const double on_link =
      train.kind == TrainKind::pushrod ? together(train.tappet_mass, train.lever_mass) : 0.0;
  const double on_tip = direct ? 0.0 : together(lever_at_valve, train.valve_mass);
  const std::array stiffness{k.cam, k.link, k.tip, k.seat};
  const std::array mass{on_cam, on_link, on_tip, train.valve_mass};
  for (std::size_t i = 0; i < stiffness.size(); ++i) {
    into.stiffness[i].lane[lane] = stiffness[i];
    into.damping[i].lane[lane] = 2.0 * train.contact_damping * std::sqrt(stiffness[i] * mass[i]);
  }
}

void set_springs(Train& into, const ValveTrain& train, int elements, int lane) {
  for (std::size_t s = 0; s < train.springs.size(); ++s) {
    const ChainSpring& spring = train.springs[s];
    valve_kernel::Spring& row = into.spring[s];
    row.load.lane[lane] = spring.load;
    row.rate.lane[lane] = spring.rate;
    row.bend.lane[lane] = spring.bend;
    row.solid_at.lane[lane] = spring.travel_to_solid.value_or(never);
    row.solid_rate.lane[lane] = spring.travel_to_solid ? solid_stiffening * spring.rate : 0.0;
    // First mode between fixed ends: ω = π sqrt(k/m); damping in proportion to stiffness.
    const double first = std::numbers::pi * std::sqrt(spring.rate / spring.active_mass);
    row.damping.lane[lane] = 2.0 * spring.damping_ratio * spring.rate / first;
    row.inverse_node_mass.lane[lane] = elements / spring.active_mass;
  }
  into.rubbing.lane[lane] = train.rubbing / (elements - 1);
  into.rub_speed.lane[lane] = 1.0 / full_rub_speed;
}

void set_lane(ValvePack& pack, const RunningCase& one, const DynamicsOptions& options, double most_lobe,
              int lane) {
  const ValveTrain& train = one.train;
  Train& into = pack.train;
  // Half a piece of each spring moves with the retainer.
  double valve = train.valve_mass;
  for (const ChainSpring& spring : train.springs) {
    valve += 0.5 * spring.active_mass / options.elements;
  }
  const bool direct = train.kind == TrainKind::direct;
  into.inverse_mass[0].lane[lane] = train.kind == TrainKind::pushrod ? 1.0 / train.tappet_mass : 0.0;
  into.inverse_mass[1].lane[lane] = direct ? 0.0 : 1.0 / train.lever_mass;
  into.inverse_mass[2].lane[lane] = 1.0 / valve;
  into.weight[0].lane[lane] = train.settling * train.tappet_mass;
  into.weight[1].lane[lane] = train.settling * train.lever_mass;
  set_contacts(into, train, lane);
  set_springs(into, train, options.elements, lane);
  into.seat_rest.lane[lane] = standing_load(train, 0.0) / train.seat_stiffness;
  into.lash.lane[lane] = train.lash;
  into.loose_drag.lane[lane] = train.loose_drag;
  set_polynomial(into.rise, train.lever.rise, lane);
  set_polynomial(into.lift, train.lever.lift, lane);
  set_polynomial(into.lift_of_rise, train.lever.lift_of_rise, lane);
  if (train.plunger) {
    into.plunger_spring.lane[lane] = train.plunger->spring;
    into.leak.lane[lane] = train.plunger->leak;
    into.refill.lane[lane] = train.plunger->refill_rate;
    into.plunger_least.lane[lane] = -train.plunger->preload;
    into.plunger_most.lane[lane] = train.plunger->travel - train.plunger->preload;
  }
  pack.run.speed.lane[lane] = one.speed;
  pack.run.time_step.lane[lane] = pack.crank_step / one.speed;
  pack.run.watch.lane[lane] = options.watched_part * (at(train.lever.lift_of_rise, most_lobe) - train.lash);
}

double contact_energy(double stiffness, double squeeze) {
  return squeeze > 0.0 ? 0.5 * stiffness * squeeze * squeeze : 0.0;
}

double spring_energy(const ValvePack& pack, const State& state, int s, double lift, int lane) {
  const Train& train = pack.train;
  const valve_kernel::Spring& spring = train.spring[s];
  const int n = train.elements;
  const double node = 1.0 / spring.inverse_node_mass.lane[lane];
  double energy = 0.0;
  double below = 0.0;
  for (int j = 0; j < n; ++j) {
    const double above = j + 1 < n ? state.z[s][j].lane[lane] : lift;
    const double c = n * (above - below);
    const double solid = std::max(0.0, c - spring.solid_at.lane[lane]);
    energy += (c * (spring.load.lane[lane] +
                    c * (spring.rate.lane[lane] / 2.0 + c * spring.bend.lane[lane] / 3.0)) +
               0.5 * spring.solid_rate.lane[lane] * solid * solid) /
              n;
    energy += j + 1 < n ? 0.5 * node * square(state.w[s][j].lane[lane]) : 0.0;
    below = above;
  }
  return energy;
}

double at_lane(const Row (&rows)[valve_kernel::polynomial_terms], double x, int lane) {
  LeverMaps::Polynomial polynomial;
  for (std::size_t k = 0; k < LeverMaps::terms; ++k) {
    polynomial[k] = rows[k].lane[lane];
  }
  return at(polynomial, x);
}

}  // namespace

ValvePack pack_of(const RunningLobe& lobe, std::span<const RunningCase> cases,
                  const DynamicsOptions& options) {
  ValvePack pack;
  pack.from = lobe.top - cycle / 2.0;
  int steps = 0;
  for (const RunningCase& one : cases) {
    steps = std::max(steps, steps_for(one, options));
  }
  pack.crank_step = cycle / steps;
  const auto places = static_cast<std::size_t>(steps) + 1;
  pack.lobe.resize(places);
  pack.lobe_slope.resize(places);
  for (std::size_t i = 0; i < places; ++i) {
    const double x = pack.from + pack.crank_step * static_cast<double>(i);
    pack.lobe[i] = lobe.lift->value(x) - lobe.base_level;
    pack.lobe_slope[i] = lobe.lift->derivative(x, 1);
  }
  pack.lobe_at_start = pack.lobe.front();
  const TrainKind kind = cases.front().train.kind;
  pack.train.bodies = kind == TrainKind::direct ? 1 : kind == TrainKind::lever ? 2 : 3;
  pack.train.springs = static_cast<int>(cases.front().train.springs.size());
  pack.train.elements = options.elements;
  const double most_lobe = lobe.lift->value(lobe.top) - lobe.base_level;
  for (int lane = 0; lane < lanes; ++lane) {
    const auto which = std::min(static_cast<std::size_t>(lane), cases.size() - 1);
    set_lane(pack, cases[which], options, most_lobe, lane);
    pack.run.idle[lane] = static_cast<std::size_t>(lane) >= cases.size();
  }
  pack.run.lobe = pack.lobe.data();
  pack.run.lobe_slope = pack.lobe_slope.data();
  pack.run.steps = steps;
  pack.run.top = steps / 2;
  return pack;
}

double energy_of(const ValvePack& pack, const State& state, int lane) {
  const Train& train = pack.train;
  const int valve = train.bodies - 1;
  const auto place = [&](int body) { return state.x[body].lane[lane]; };
  const double lift = place(valve);
  const double lash = train.lash.lane[lane];
  double energy = 0.0;
  for (int body = 0; body < train.bodies; ++body) {
    const int kind = body == valve ? 2 : train.bodies == 2 ? 1 : body;
    energy += 0.5 * square(state.v[body].lane[lane]) / train.inverse_mass[kind].lane[lane];
    energy += kind < 2 ? train.weight[kind].lane[lane] * place(body) : 0.0;
  }
  for (int s = 0; s < train.springs; ++s) {
    energy += spring_energy(pack, state, s, lift, lane);
  }
  const auto squeeze = [&](int contact, double amount) {
    energy += contact_energy(train.stiffness[contact].lane[lane], amount);
  };
  squeeze(3, train.seat_rest.lane[lane] - lift);
  if (train.bodies == 1) {
    squeeze(0, pack.lobe_at_start - lash - lift);
    return energy;
  }
  const double turn = place(valve - 1);
  const double rise = at_lane(train.rise, turn, lane);
  squeeze(2, at_lane(train.lift, turn, lane) - lash - lift);
  if (train.bodies == 2) {
    squeeze(0, pack.lobe_at_start - rise);
  } else {
    squeeze(0, pack.lobe_at_start - place(0));
    squeeze(1, place(0) - rise - state.plunger.lane[lane]);
    energy -= train.plunger_spring.lane[lane] * (place(0) - rise);
  }
  return energy;
}

valve_kernel::Revolve valve_revolve() {
#ifdef FETTLE_VALVE_KERNELS_X86
  static const valve_kernel::Revolve chosen = [] {
    if (__builtin_cpu_supports("avx512f") != 0 && __builtin_cpu_supports("avx512dq") != 0 &&
        __builtin_cpu_supports("avx512vl") != 0) {
      return valve_kernel::revolve_avx512();
    }
    return __builtin_cpu_supports("avx2") != 0 ? valve_kernel::revolve_avx2()
                                               : valve_kernel::revolve_baseline();
  }();
  return chosen;
#else
  return valve_kernel::revolve_baseline();
#endif
}

}  // namespace fettle::mechanism
