#include "mechanism/valve_dynamics.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <random>

#include <boost/numeric/odeint.hpp>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "mechanism/lobe_sweep.h"
#include "mechanism/rockers.h"
#include "mechanism/spring_wire.h"
#include "mechanism/valve_oracle.h"
#include "mechanism/valve_pack.h"
#include "mechanism/valve_sets.h"
#include "mechanism/valve_speed.h"

namespace fettle::mechanism::test {
namespace {

using std::numbers::pi;

/// One mass on the cam's stiffness under a nearly constant load: a direct train whose spring hardly counts.
ValveTrain one_mass(double mass, double stiffness, double load) {
  ValveTrain train;
  train.kind = TrainKind::direct;
  train.cam_stiffness = stiffness;
  train.seat_stiffness = 20e6;
  train.contact_damping = 0.0;
  ChainSpring spring;
  spring.load = load;
  spring.rate = 1.0;
  spring.active_mass = 1e-6;
  train.springs = {spring};
  // A third of a spring moves with its end (Rayleigh); half a piece of it does so in the train already.
  train.valve_mass = mass - 1e-6 / 3.0;
  return train;
}

DynamicsOptions traced(int steps) {
  DynamicsOptions options;
  options.least_steps = steps;
  options.traces = true;
  return options;
}

// A mass let go swings as y = y0 + A cos ωt (any textbook of vibrations; Rao, Mechanical Vibrations, ch. 2).
TEST(ValveDynamics, MassLetGoSwingsAsTheClosedFormHasIt) {
  const double mass = 0.1;
  const double stiffness = 2e5;
  const double load = 1000.0;
  const double amplitude = 1e-3;
  const auto constant = spline_through([](double) { return 8e-3; }, 24);
  const RunningCase one{one_mass(mass, stiffness, load), 4000 * rpm};
  DynamicsOptions options = traced(20000);
  ValvePack pack = pack_of(running(constant, 0.0), std::span(&one, 1), options);
  std::vector<valve_kernel::Row> lift(static_cast<std::size_t>(pack.run.steps));
  std::vector<valve_kernel::Row> other(lift.size());
  pack.run.trace_lift = lift.data();
  pack.run.trace_rigid = pack.run.trace_force = pack.run.trace_coil = other.data();
  const double omega = std::sqrt((stiffness + 1.0) / mass);
  const double rest = (stiffness * 8e-3 - load) / (stiffness + 1.0);
  valve_kernel::State state;
  for (int lane = 0; lane < valve_kernel::lanes; ++lane) {
    state.x[0].lane[lane] = rest + amplitude;
    state.a[0].lane[lane] = -omega * omega * amplitude;
    for (int j = 1; j < 12; ++j) {
      state.z[0][j - 1].lane[lane] = (rest + amplitude) * j / 12.0;
    }
  }
  valve_kernel::Seen seen;
  valve_revolve()(pack.train, pack.run, state, seen);
  double greatest = 0.0;
  for (std::size_t i = 0; i < lift.size(); ++i) {
    const double t = pack.crank_step * static_cast<double>(i + 1) / one.speed;
    greatest = std::max(greatest, std::abs(lift[i].lane[3] - rest - amplitude * std::cos(omega * t)));
  }
  EXPECT_GT(omega * 4.0 * pi / one.speed, 6.0 * 2.0 * pi);  // more than six swings
  EXPECT_LT(greatest, 1e-5 * amplitude);
}

// Steady answer to a moving base with damping (Rao, ch. 3): X/Y = sqrt((1 + (2ζr)²)/((1 − r²)² + (2ζr)²)).
TEST(ValveDynamics, ShakenMassAnswersAsTheClosedFormHasIt) {
  const double mass = 0.1;
  const double stiffness = 2e5;
  const double amplitude = 0.1e-3;
  const double omega = std::sqrt(stiffness / mass);
  // One swing of the base a crank revolution.
  const auto base = spline_through([&](double x) { return 8e-3 - amplitude * std::cos(x); }, 240);
  ValveTrain train = one_mass(mass, stiffness, 1000.0);
  for (const double damping : {0.05, 0.2}) {
    train.contact_damping = damping;
    for (const double r : {0.3, 0.8, 1.0, 1.4, 2.5}) {
      const RunningCase one{train, r * omega};
      const auto state =
          run_revolutions(running(base, 2.0 * pi), std::span(&one, 1), 60, traced(4000)).front();
      const auto& lift = state.trace.value().lift;
      const auto [least, greatest] = std::minmax_element(lift.begin(), lift.end());
      const double part = 2.0 * damping * r;
      const double expected = std::sqrt((1.0 + part * part) / (std::pow(1.0 - r * r, 2) + part * part));
      EXPECT_NEAR(0.5 * (*greatest - *least) / amplitude / expected, 1.0, 1e-4) << damping << " " << r;
    }
  }
}

// A base that makes one half-sine bump: while the contact holds, y = A/(1 − r²) (sin Ωt − r sin ωt), r = Ω/ω
// (Harris' Shock and Vibration Handbook, ch. on transient response, from memory; it solves the equation of
// motion, which is what matters).
TEST(ValveDynamics, HalfSineBumpOfTheBase) {
  const double mass = 0.1;
  const double stiffness = 2e6;
  const double height = 5e-3;
  const double omega = std::sqrt(stiffness / mass);
  const auto bump = spline_through(
      [&](double x) { return x > 4.0 && x < 4.0 + pi ? height * std::sin(x - 4.0) : 0.0; }, 8000);
  for (const double r : {0.8, 1.25, 2.0}) {
    const double load = 1e-3;
    const RunningCase one{one_mass(mass, stiffness, load), r * omega};
    const auto state = run_revolutions(running(bump, 2.0 * pi), std::span(&one, 1), 1, traced(40000)).front();
    double greatest = 0.0;
    int compared = 0;
    for (std::size_t i = 0; i < state.trace.value().lift.size(); ++i) {
      const double x = state.trace.value().from + state.trace.value().step * static_cast<double>(i);
      const double t = x - 4.0;  // Ωt
      if (t < 0.0) {
        continue;
      }
      const double y = height / (1.0 - r * r) * (std::sin(t) - r * std::sin(t / r));
      if (t > 0.3 && height * std::sin(t) - y <= 1e-5) {
        break;  // the contact only pushes: from here on the mass flies
      }
      greatest = std::max(greatest, std::abs(state.trace.value().lift[i] - y));
      ++compared;
    }
    EXPECT_GT(compared, 1000);
    EXPECT_LT(greatest, 1e-3 * height) << r;
    EXPECT_GT(state.trace.value().lift.back(), -1e-6);
  }
}

/// Frequency of a spring's first mode between a closed valve that cannot move and its seat, Hz, from the zero
/// crossings of its middle coil.
double coil_frequency(const ChainSpring& spring, int elements) {
  ValveTrain train = one_mass(1e9, 1e6, 1.0);
  train.springs = {spring};
  const auto nothing = spline_through([](double) { return 0.0; }, 24);
  DynamicsOptions options;
  options.elements = elements;
  options.least_steps = 60000;
  const RunningCase one{train, 600 * rpm};
  ValvePack pack = pack_of(running(nothing, 0.0), std::span(&one, 1), options);
  std::vector<valve_kernel::Row> coil(static_cast<std::size_t>(pack.run.steps));
  std::vector<valve_kernel::Row> other(coil.size());
  pack.run.trace_coil = coil.data();
  pack.run.trace_lift = pack.run.trace_rigid = pack.run.trace_force = other.data();
  valve_kernel::State state;
  for (int j = 1; j < elements; ++j) {
    state.z[0][j - 1].lane[0] = 0.1e-3 * std::sin(pi * j / elements);
  }
  valve_kernel::Seen seen;
  valve_revolve()(pack.train, pack.run, state, seen);
  double first = -1.0;
  double last = -1.0;
  int crossings = 0;
  for (std::size_t i = 0; i + 1 < coil.size(); ++i) {
    const double here = coil[i].lane[0];
    const double next = coil[i + 1].lane[0];
    if (here <= 0.0 && next > 0.0) {
      last = static_cast<double>(i) + here / (here - next);
      first = first < 0.0 ? last : first;
      ++crossings;
    }
  }
  return (crossings - 1) / ((last - first) * pack.crank_step / one.speed);
}

// Shigley, Mechanical Engineering Design, eq. 10-25: (1/2) sqrt(k g/W) between fixed ends, the first mode of
// the wave equation. The wire of the check (d 0.177, D 1.085 in, 4.5 active coils, 11.2 Mpsi, 0.284 lb/in3)
// gives 239.07 lbf/in and 463.98 Hz, recomputed.
TEST(ValveDynamics, SpringSurgesAtItsNaturalFrequency) {
  ChainSpring spring;
  spring.rate = 239.07 * 4.4482216152605 / inch;
  spring.active_mass = spring.rate / std::pow(2.0 * 463.98, 2);
  spring.load = 450.0;
  spring.damping_ratio = 1e-4;
  EXPECT_NEAR(coil_frequency(spring, 12) / 463.98, 1.0, 5e-3);
  // What a chain of n pieces is short of it: sin(π/2n)/(π/2n).
  for (const int n : {8, 12, 24}) {
    const double part = pi / (2.0 * n);
    EXPECT_NEAR(coil_frequency(spring, n) / (463.98 * std::sin(part) / part), 1.0, 2e-4) << n;
  }
}

// As the speed goes to zero the train stands at every angle: the rigid lift less what the parts give way.
TEST(ValveDynamics, SlowTurningIsTheStandingTrain) {
  ValveTrain train = street_train();
  const double speed = 20 * rpm;
  const auto state = run_valve(running(street_lobe()), train, std::span(&speed, 1), traced(1440)).front();
  ASSERT_TRUE(state.periodic);
  const auto& trace = state.trace.value();
  const double ratio = 1.5;
  const double give =
      ratio * ratio * (1.0 / train.cam_stiffness + 1.0 / train.link_stiffness) + 1.0 / train.tip_stiffness;
  double greatest = 0.0;
  int compared = 0;
  for (std::size_t i = 0; i < trace.lift.size(); ++i) {
    if (trace.rigid_lift[i] < 0.2e-3) {
      continue;
    }
    double lift = trace.rigid_lift[i];
    for (int round = 0; round < 50; ++round) {
      lift = trace.rigid_lift[i] - give * standing_load(train, lift);
    }
    greatest = std::max(greatest, std::abs(trace.lift[i] - lift));
    ++compared;
  }
  EXPECT_GT(compared, 500);
  EXPECT_LT(greatest, 1e-6);
  EXPECT_NEAR(state.seating_velocity, 0.0, 0.02);
  EXPECT_LT(state.loft, 1e-6);
}

TEST(ValveDynamics, LeverIsTheExactMechanism) {
  const RockerTrain train(street_rocker());
  const double most = 0.32 * inch;
  const auto lever = lever_of(train, most);
  ASSERT_TRUE(lever);
  EXPECT_LT(lever->greatest_error, 1e-8);
  for (int i = 0; i <= 200; ++i) {
    const auto state = train.at(most * i / 200.0);
    EXPECT_NEAR(at(lever->lift_of_rise, state->rise), state->valve_lift, 2e-8);
    EXPECT_NEAR(slope_at(lever->lift_of_rise, state->rise), state->ratio, 2e-5);
    const double q = *lever->arm * std::abs(state->rocker_angle);
    EXPECT_NEAR(at(lever->rise, q), state->rise, 2e-8);
    EXPECT_NEAR(at(lever->lift, q), state->valve_lift, 2e-8);
  }
  EXPECT_FALSE(lever_of(train, 20 * inch));
}

// Undamped, what the lobe gave is what the train holds.
TEST(ValveDynamics, EnergyIsConservedUndamped) {
  ValveTrain train = street_train();
  train.lever = *lever_of(RockerTrain(street_rocker()), 0.32 * inch);
  train.contact_damping = 0.0;
  train.loose_drag = 0.0;
  train.springs.front().damping_ratio = 0.0;
  const RunningCase one{train, 5500 * rpm};
  std::vector<double> errors;
  for (const int steps : {6000, 24000, 96000}) {
    DynamicsOptions options;
    options.least_steps = steps;
    const auto state = run_revolutions(running(street_lobe()), std::span(&one, 1), 1, options).front();
    // The spring is charged with some joules and gives them back.
    const double charged = standing_load(train, 6e-3) * 12e-3;
    errors.push_back(std::abs(state.energy_change - state.cam_work) / charged);
  }
  EXPECT_LT(errors.back(), 1e-6);
  EXPECT_LT(errors[1], 0.2 * errors[0]);  // second order would be a sixteenth
}

/// Keeps contact: a stiff spring at a moderate speed.
ValveTrain firm_train() {
  ValveTrain train = street_train();
  train.lever = *lever_of(RockerTrain(street_rocker()), 0.32 * inch);
  train.springs.front().load = 700.0;
  train.lash = 0.1e-3;
  return train;
}

TEST(ValveDynamics, GeneralIntegratorsAgree) {
  const double speed = 4500 * rpm;
  const ValveTrain train = firm_train();
  const RunningLobe lobe = running(street_lobe());
  constexpr int revolutions = 2;
  constexpr int samples = 720;
  constexpr int per_sample = 160;
  const ValveOracle oracle(lobe, train, speed, 12);
  const OracleTrace cvode = by_cvode(oracle, revolutions, samples, 1e-10);

  // Dormand and Prince's pair of order five from Boost.Odeint, a different method by other authors.
  namespace odeint = boost::numeric::odeint;
  using State = std::vector<double>;
  State y(2 * oracle.places(), 0.0);
  std::vector<double> times{0.0};
  for (int i = 1; i <= samples; ++i) {
    times.push_back(oracle.turn_time() * (revolutions - 1 + static_cast<double>(i) / samples));
  }
  std::vector<double> dopri;
  odeint::integrate_times(
      odeint::make_controlled(1e-12, 1e-9, oracle.turn_time() / 720, odeint::runge_kutta_dopri5<State>()),
      [&](const State& state, State& rate, double t) { oracle(state.data(), rate.data(), t); }, y,
      times.begin(), times.end(), oracle.turn_time() / 2000,
      [&](const State& state, double t) {
        if (t > 0.0) {
          dopri.push_back(state[2]);
        }
      });

  DynamicsOptions options = traced(720 * per_sample);
  const RunningCase one{train, speed};
  const auto fine = run_revolutions(lobe, std::span(&one, 1), revolutions, options).front();
  ASSERT_GT(fine.least_squeeze, 0.0);
  const auto usual = run_revolutions(lobe, std::span(&one, 1), revolutions, DynamicsOptions{}).front();
  double lift = 0.0;
  double lift_dopri = 0.0;
  double force = 0.0;
  double greatest_force = 0.0;
  for (std::size_t i = 0; i < samples; ++i) {
    const std::size_t here = static_cast<std::size_t>(per_sample) * (i + 1) - 1;
    lift = std::max(lift, std::abs(fine.trace.value().lift[here] - cvode.lift[i]));
    lift_dopri = std::max(lift_dopri, std::abs(fine.trace.value().lift[here] - dopri[i]));
    if (fine.trace.value().rigid_lift[here] > 0.0) {
      force = std::max(force, std::abs(fine.trace.value().cam_force[here] - cvode.cam_force[i]));
    }
    greatest_force = std::max(greatest_force, cvode.cam_force[i]);
  }
  EXPECT_LT(lift, 1e-7);
  EXPECT_LT(lift_dopri, 1e-7);
  // While the lash is open the tappet lies on the lobe with its weight alone, where a force says nothing.
  EXPECT_LT(force / greatest_force, 5e-3);
  // With the program's own steps.
  EXPECT_NEAR(usual.greatest_cam_force / fine.greatest_cam_force, 1.0, 2e-3);
}

TEST(ValveDynamics, HalvingTheStepHardlyMovesTheSpeedOfSeparation) {
  const RunningLobe lobe = running(street_lobe());
  const SpeedRange range{3000 * rpm, 9000 * rpm, 250 * rpm};
  const auto usual = first_separation(lobe, street_train(), range);
  DynamicsOptions fine;
  fine.least_steps = 2880;
  fine.step_phase = 0.2;
  const auto finer = first_separation(lobe, street_train(), range, fine);
  ASSERT_TRUE(usual.speed && finer.speed);
  EXPECT_NEAR(*usual.speed / *finer.speed, 1.0, 2e-3);
  DynamicsOptions chain;
  chain.elements = 24;
  const auto longer = first_separation(lobe, street_train(), range, chain);
  EXPECT_NEAR(*usual.speed / *longer.speed, 1.0, 1e-2);
}

// Every ten rpm, a tenth of a band's width, tells whether a search by the springs' damping passed one over.
TEST(ValveDynamics, NoBandOfSurgeIsPassedOver) {
  const RunningLobe lobe = running(street_lobe());
  for (const double spring_mass : {0.045, 0.055, 0.080, 0.110}) {
    ValveTrain train = street_train();
    train.springs.front().active_mass = spring_mass;
    train.contact_damping = 0.05;
    const double width = 2.0 * train.springs.front().damping_ratio;
    const auto found = first_separation(lobe, train, {3000 * rpm, 9000 * rpm, 250 * rpm, width});
    ASSERT_TRUE(found.speed);
    std::vector<double> speeds;
    for (double speed = 3000 * rpm; speed < *found.speed - 5 * rpm; speed += 10 * rpm) {
      speeds.push_back(speed);
    }
    for (const RunningState& state : run_valve(lobe, train, speeds)) {
      EXPECT_GT(state.least_squeeze, 0.0) << state.speed / rpm << " rpm, spring " << spring_mass;
    }
  }
}

// The rigid train leaves the lobe where the springs no longer slow its masses: m y'' = -F, at the nose; the
// elastic one does so somewhat below, and no higher than a little above it.
TEST(ValveDynamics, SeparationLiesNearTheRigidTrains) {
  const ValveTrain train = street_train();
  const RunningLobe lobe = running(street_lobe());
  double rigid = 1e9;
  for (int i = 0; i < 720; ++i) {
    const double x = lobe.top - pi + 2.0 * pi * i / 720.0;
    const double lift = 1.5 * lobe.lift->value(x) - train.lash;
    const double acceleration = 1.5 * lobe.lift->derivative(x, 2);
    if (lift > 0.5e-3 && acceleration < 0.0) {
      rigid = std::min(rigid, std::sqrt(-standing_load(train, lift) / (mass_at_valve(train) * acceleration)));
    }
  }
  const auto found = first_separation(lobe, train, {3000 * rpm, 9000 * rpm, 100 * rpm});
  ASSERT_TRUE(found.speed);
  EXPECT_LT(*found.speed, 1.02 * rigid);
  EXPECT_GT(*found.speed, 0.6 * rigid);
}

TEST(ValveDynamics, LoadThatJustKeepsContactIsOnTheEdge) {
  const ValveTrain train = street_train();
  const RunningLobe lobe = running(street_lobe());
  const double speed = 6500 * rpm;
  const auto load = least_seat_load(lobe, train, speed);
  ASSERT_TRUE(load);
  EXPECT_GT(*load, standing_load(train, 0.0));
  std::vector<RunningCase> cases;
  for (const double part : {0.97, 1.0, 1.03}) {
    cases.push_back({with_seat_load(train, part * *load), speed});
    EXPECT_NEAR(standing_load(cases.back().train, 0.0), part * *load, 1e-9 * *load);
  }
  const auto states = run_valve(lobe, cases);
  EXPECT_LT(states[0].least_squeeze, 0.0);
  EXPECT_NEAR(states[1].least_squeeze, 0.0, 0.5e-6);
  EXPECT_GT(states[2].least_squeeze, 0.0);
}

TEST(ValveDynamics, PairOfHalfSpringsIsOneSpring) {
  const ValveTrain one = street_train();
  ValveTrain pair = one;
  ChainSpring half = one.springs.front();
  half.load *= 0.5;
  half.rate *= 0.5;
  half.active_mass *= 0.5;
  pair.springs = {half, half};
  const RunningCase of_one{one, 4400 * rpm};
  const RunningCase of_pair{pair, 4400 * rpm};
  const auto a = run_revolutions(running(street_lobe()), std::span(&of_one, 1), 2).front();
  const auto b = run_revolutions(running(street_lobe()), std::span(&of_pair, 1), 2).front();
  EXPECT_NEAR(a.greatest_cam_force, b.greatest_cam_force, 1e-3);
  EXPECT_NEAR(a.surge, b.surge, 1e-8);
  EXPECT_NEAR(a.least_squeeze, b.least_squeeze, 1e-9);
}

TEST(ValveDynamics, RubbingCalmsTheSurge) {
  ValveTrain train = street_train();
  train.springs.front().damping_ratio = 0.002;
  const double speed = 5500 * rpm;
  const auto free = run_valve(running(street_lobe()), train, std::span(&speed, 1)).front();
  train.rubbing = 30.0;
  const auto damped = run_valve(running(street_lobe()), train, std::span(&speed, 1)).front();
  EXPECT_LT(damped.surge, 0.9 * free.surge);
  EXPECT_GT(damped.cam_work, free.cam_work);
}

TEST(ValveDynamics, FlungTrainLoftsBouncesAndPumpsItsPlungerUp) {
  ValveTrain train = street_train();
  train.springs.front().load = 250.0;
  const std::array speeds{4000 * rpm, 8500 * rpm};
  const auto states = run_valve(running(street_lobe()), train, speeds);
  EXPECT_GT(states[1].loft, states[0].loft);
  EXPECT_LT(states[1].least_squeeze, 0.0);
  EXPECT_EQ(states[1].least_cam_force, 0.0);
  EXPECT_GT(states[1].seating_velocity, states[0].seating_velocity);

  train.lash = 0.0;
  train.plunger = LifterPlunger{};
  const auto pumped = run_valve(running(street_lobe()), train, speeds);
  // A plunger that follows a flung pushrod holds the valve off its seat afterwards.
  EXPECT_LT(pumped[0].bounce, 0.1e-3);
  EXPECT_GT(std::max(pumped[1].bounce, pumped[1].seating_velocity == 0.0 ? 1.0 : 0.0), 0.1e-3);
}

TEST(ValveDynamics, CasesRunTogetherGiveTheBitsOfCasesAlone) {
  const RunningLobe lobe = running(street_lobe());
  std::vector<RunningCase> cases;
  for (int i = 0; i < 11; ++i) {
    cases.push_back({street_train(), (5000 + 200 * i) * rpm});
    cases.back().train.springs.front().load += 10.0 * i;
  }
  DynamicsOptions options;
  options.least_steps = 3000;  // more than any of the cases asks for, so that all have the same
  const auto all = run_valve(lobe, cases, options);
  ASSERT_EQ(all.size(), cases.size());
  for (std::size_t i = 0; i < cases.size(); ++i) {
    const auto alone = run_valve(lobe, std::span(&cases[i], 1), options).front();
    EXPECT_EQ(all[i].steps, 3000);
    EXPECT_EQ(all[i].greatest_cam_force, alone.greatest_cam_force);
    EXPECT_EQ(all[i].loft, alone.loft);
    EXPECT_EQ(all[i].revolutions, alone.revolutions);
  }
}

TEST(ValveDynamics, EveryInstructionSetGivesTheSameBits) {
  ValveTrain pair = street_train();
  pair.springs.push_back(pair.springs.front());
  pair.rubbing = 20.0;
  ValveTrain plunger = street_train();
  plunger.lash = 0.0;
  plunger.plunger = LifterPlunger{};
  ValveTrain direct = street_train();
  direct.kind = TrainKind::direct;
  ValveTrain lever = street_train();
  lever.kind = TrainKind::lever;
  for (const ValveTrain& train : {street_train(), pair, plunger, direct, lever}) {
    const RunningCase one{train, 6000 * rpm};
    const auto pack = pack_of(running(street_lobe()), std::span(&one, 1), {});
    valve_kernel::State baseline;
    valve_kernel::State best;
    valve_kernel::Seen seen_baseline;
    valve_kernel::Seen seen_best;
    valve_kernel::revolve_baseline()(pack.train, pack.run, baseline, seen_baseline);
    valve_revolve()(pack.train, pack.run, best, seen_best);
    for (int lane = 0; lane < 1; ++lane) {
      EXPECT_EQ(seen_baseline.greatest_cam.lane[lane], seen_best.greatest_cam.lane[lane]);
      EXPECT_EQ(baseline.x[0].lane[lane], best.x[0].lane[lane]);
      EXPECT_EQ(baseline.z[0][5].lane[lane], best.z[0][5].lane[lane]);
    }
  }
}

// What a sweep leaves of the lobe's acceleration is enough: separation goes with its root, so that a tenth of
// the nose's acceleration is a twentieth of the speed.
TEST(ValveDynamics, SweptLobeSeparatesNearWhereTheTrueOneDoes) {
  const SpeedRange range{4000 * rpm, 9000 * rpm, 250 * rpm};
  const auto truth = first_separation(running(street_lobe()), street_train(), range);
  ASSERT_TRUE(truth.speed);
  std::mt19937_64 engine(7);
  for (const double spacing : {2.5, 5.0}) {
    double squares = 0.0;
    double bias = 0.0;
    constexpr int sweeps = 8;
    for (int sweep = 0; sweep < sweeps; ++sweep) {
      // An indicator good to 5 um a reading, a wheel read to a tenth of a degree.
      std::normal_distribution<double> lift_error(0.0, 5e-6);
      std::normal_distribution<double> angle_error(0.0, 0.1 * degree);
      std::vector<SweepPoint> points;
      for (double x = 0.0; x < 720.0; x += spacing) {
        const double angle = x * degree;
        points.push_back({angle, street_lobe().value(angle + angle_error(engine)) + lift_error(engine), 5e-6,
                          0.1 * degree});
      }
      const SweepFit fit = fit_lobe_sweep(points);
      ASSERT_TRUE(fit.fit.converged);
      const LobeReduction reduction = reduce_lobe(fit.fit.curve);
      ASSERT_TRUE(reduction.found && reduction.base_measured);
      const RunningLobe lobe{&fit.fit.curve, reduction.base_level, reduction.top};
      const auto found = first_separation(lobe, street_train(), range);
      ASSERT_TRUE(found.speed);
      const double off = *found.speed / *truth.speed - 1.0;
      squares += off * off / sweeps;
      bias += off / sweeps;
    }
    RecordProperty("percent_at_" + std::to_string(spacing), std::to_string(100.0 * std::sqrt(squares)));
    RecordProperty("bias_at_" + std::to_string(spacing), std::to_string(100.0 * bias));
    EXPECT_LT(std::sqrt(squares), 0.05) << spacing << " bias " << bias;
  }
}

// A lever without mass to speak of and a stiff one is the direct train.
TEST(ValveDynamics, LightStiffLeverIsTheDirectTrain) {
  ValveTrain direct = street_train();
  direct.kind = TrainKind::direct;
  direct.cam_stiffness = 20e6;
  direct.lever = constant_ratio(1.0);
  ValveTrain lever = direct;
  lever.kind = TrainKind::lever;
  lever.lever_mass = 1e-4;
  lever.tip_stiffness = 400e6;
  lever.cam_stiffness = 1.0 / (1.0 / 20e6 - 1.0 / 400e6);
  lever.contact_damping = direct.contact_damping = 0.0;
  lever.settling = direct.settling = 0.0;
  const double speed = 4000 * rpm;
  const RunningCase a{direct, speed};
  const RunningCase b{lever, speed};
  const auto one = run_revolutions(running(street_lobe()), std::span(&a, 1), 1, traced(1440)).front();
  const auto two = run_revolutions(running(street_lobe()), std::span(&b, 1), 1, traced(1440)).front();
  EXPECT_NEAR(two.greatest_cam_force / one.greatest_cam_force, 1.0, 0.03);
}

TEST(ValveDynamics, TappetPressureIsHertzOfTheStandingForceWhenSlow) {
  DynamicsOptions options;
  options.traces = true;
  const double speed = 100 * rpm;
  const RunningLobe lobe = running(street_lobe());
  const auto state = run_valve(lobe, street_train(), std::span(&speed, 1), options).front();
  TappetFace face;
  face.base_radius = 22e-3;
  face.width = 12e-3;
  face.contact_modulus = contact_modulus({}, {});
  const auto contact = tappet_contact(lobe, state, face);
  ASSERT_TRUE(contact);
  double expected = 0.0;
  double where = 0.0;
  for (int i = 0; i < 3600; ++i) {
    const double x = lobe.top + (i - 1800) * 0.1 * degree;
    const double lift = 1.5 * lobe.lift->value(x) - 0.2e-3;
    const double force = lift > 0.0 ? 1.5 * standing_load(street_train(), lift) : 0.0;
    const double radius = face.base_radius + lobe.lift->value(x) + 4.0 * lobe.lift->derivative(x, 2);
    const double pressure = std::sqrt(force / 12e-3 / radius * face.contact_modulus / pi);
    where = pressure > expected ? x : where;
    expected = std::max(expected, pressure);
  }
  EXPECT_NEAR(contact->peak_pressure / expected, 1.0, 0.01);
  EXPECT_NEAR(contact->at, where, 2 * degree);
  EXPECT_GT(contact->nose_film, 0.0);
  face.base_radius = 5e-3;
  EXPECT_FALSE(tappet_contact(lobe, state, face));  // undercut for a flat face
}

TEST(ValveDynamics, WhatCannotRunIsRefused) {
  const double speed = 3000 * rpm;
  const auto refused = [&](auto change) {
    ValveTrain train = street_train();
    change(train);
    EXPECT_THROW(run_valve(running(street_lobe()), train, std::span(&speed, 1)), std::invalid_argument);
    EXPECT_TRUE(valve_train_problem(train));
  };
  refused([](ValveTrain& t) { t.tappet_mass = 0.0; });
  refused([](ValveTrain& t) { t.valve_mass = std::nan(""); });
  refused([](ValveTrain& t) { t.springs.clear(); });
  refused([](ValveTrain& t) { t.springs.front().load = 0.0; });
  refused([](ValveTrain& t) { t.springs.front().travel_to_solid = -1e-3; });
  refused([](ValveTrain& t) { t.lash = -1e-3; });
  refused([](ValveTrain& t) { t.tip_stiffness = 0.0; });
  refused([](ValveTrain& t) { t.plunger = LifterPlunger{}; });  // with lash
  const double still = 0.0;
  EXPECT_THROW(run_valve(running(street_lobe()), street_train(), std::span(&still, 1)),
               std::invalid_argument);
  DynamicsOptions odd;
  odd.elements = 7;
  EXPECT_THROW(run_valve(running(street_lobe()), street_train(), std::span(&speed, 1), odd),
               std::invalid_argument);
}

// A slender bar about its end, m l²/3 (any table of moments of inertia).
TEST(ValveDynamics, BarInertia) {
  EXPECT_NEAR(bar_inertia(0.1, 0.05, 0.0), 0.1 * 0.05 * 0.05 / 3.0, 1e-15);
  EXPECT_NEAR(bar_inertia(0.1, 0.03, 0.03), 0.1 * 0.06 * 0.06 / 12.0, 1e-15);
  EXPECT_THROW(bar_inertia(0.0, 0.03, 0.03), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::mechanism::test
