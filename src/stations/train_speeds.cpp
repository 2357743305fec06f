#include "stations/train_speeds.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace fettle::stations {
namespace {

using mechanism::RunningCase;
using mechanism::RunningState;

/// Part of each figure by which it is moved for its slope.
/// Stiffness and damping are not moved: what is assumed of them is in the spread.
constexpr TrainFigures steps{0.02, 0.02, 0.02, 0.02, 0.02, 0.02, 0, 0, 0.02};

constexpr std::size_t place(TrainOutput output) {
  return static_cast<std::size_t>(output);
}

/// A figure moved up and down, at a speed; those that are zero do not move.
std::vector<RunningCase> moved_cases(const TrainSetup& setup, const mechanism::ValveTrain& base,
                                     double speed) {
  std::vector<RunningCase> cases;
  // What the base has that the setup's own train has not: another seat load.
  const double load = mechanism::standing_load(base, 0) / mechanism::standing_load(setup.train, 0);
  TrainSetup about = setup;
  about.train = base;
  about.figures[static_cast<std::size_t>(TrainFigure::seat_load)] *= load;
  for (std::size_t i = 0; i < train_figures; ++i) {
    for (const double way : {1.0, -1.0}) {
      TrainFigures figures = about.figures;
      figures[i] *= 1 + way * steps[i];
      cases.push_back({about.with(figures), speed});
    }
  }
  return cases;
}

/// What is read off a run at the redline.
constexpr std::array<std::pair<TrainOutput, double RunningState::*>, 8> redline_figures{{
    {TrainOutput::least_contact, &RunningState::least_cam_force},
    {TrainOutput::cam_force, &RunningState::greatest_cam_force},
    {TrainOutput::loft, &RunningState::loft},
    {TrainOutput::deflection, &RunningState::deflection},
    {TrainOutput::seating_velocity, &RunningState::seating_velocity},
    {TrainOutput::bounce, &RunningState::bounce},
    {TrainOutput::surge, &RunningState::surge},
    {TrainOutput::link_force, &RunningState::greatest_link_force},
}};

/// Slope of something over every figure, from the pairs of moved_cases().
template <class Figure>
TrainFigures slopes_of(const TrainSetup& setup, const std::vector<RunningState>& states, Figure figure) {
  TrainFigures slopes{};
  for (std::size_t i = 0; i < train_figures; ++i) {
    const double width = 2 * steps[i] * setup.figures[i];
    slopes[i] = width > 0 ? (figure(states[2 * i]) - figure(states[2 * i + 1])) / width : 0;
  }
  return slopes;
}

/// Variant k of what was assumed: an additive recurrence that fills the unit cube evenly, its steps powers of
/// 1/φ, φ the root of x⁵ = x + 1.
TrainFigures variant(const TrainSetup& setup, int k) {
  constexpr double root = 1.1673039782614187;
  TrainFigures figures = setup.figures;
  double step = 1;
  for (std::size_t i = 0; i < train_figures; ++i) {
    if (setup.assumed[i] > 0) {
      step /= root;
      const double place = 0.5 + step * (k + 1);
      figures[i] *= 1 + setup.assumed[i] * (2 * (place - std::floor(place)) - 1);
    }
  }
  return figures;
}

class Working {
 public:
  explicit Working(const TrainSetup& setup) : setup_(setup), lobe_(setup.running()) {}

  TrainSpeeds all() {
    result_.values.fill(std::numeric_limits<double>::quiet_NaN());
    at_redline();
    separation();
    seat_load();
    if (setup_.face) {
      break_in();
    }
    spread();
    return result_;
  }

 private:
  void set(TrainOutput output, double value, const TrainFigures& slopes) {
    result_.values[place(output)] = value;
    result_.slopes[place(output)] = slopes;
  }

  void at_redline() {
    auto cases = moved_cases(setup_, setup_.train, setup_.redline);
    cases.push_back({setup_.train, setup_.redline});
    const auto states = mechanism::run_valve(lobe_, cases);
    const RunningState& own = states.back();
    result_.periodic = own.periodic;
    const auto give = [&](TrainOutput output, double RunningState::*figure) {
      set(output, own.*figure,
          slopes_of(setup_, states, [&](const RunningState& state) { return state.*figure; }));
    };
    for (const auto& [output, figure] : redline_figures) {
      if (output != TrainOutput::link_force || setup_.train.kind == mechanism::TrainKind::pushrod) {
        give(output, figure);
      }
    }
  }

  mechanism::SpeedRange range() const {
    constexpr double rpm = 2 * 3.14159265358979323846 / 60;
    // Half-power width of the outer spring's first surge.
    const double width = 2 * setup_.train.springs.front().damping_ratio;
    return {0.4 * setup_.redline, 2 * setup_.redline, 250 * rpm, std::max(0.01, width)};
  }

  void count(TrainOutput output, double value) {
    const double off = value - result_.values[place(output)];
    if (std::isfinite(off)) {
      squares_[place(output)] += off * off;
      ++counts_[place(output)];
    }
  }

  /// Separation leaps from one band of surge to another: slopes do not tell its doubt, variants do.
  void spread() {
    if (*std::max_element(setup_.assumed.begin(), setup_.assumed.end()) <= 0) {
      return;
    }
    std::vector<RunningCase> cases;
    for (int k = 0; k < train_variants; ++k) {
      const auto train = setup_.with(variant(setup_, k));
      cases.push_back({train, setup_.redline});
      count(TrainOutput::separation, separation_of(train));
      // Half of them tell the load's well enough: each is a search of its own.
      if (k % 2 == 0) {
        count(TrainOutput::seat_load_needed,
              mechanism::least_seat_load(lobe_, train, setup_.redline).value_or(std::nan("")));
      }
    }
    for (const RunningState& state : mechanism::run_valve(lobe_, cases)) {
      for (const auto& [output, figure] : redline_figures) {
        count(output, state.*figure);
      }
    }
    if (setup_.face) {
      count_break_in(std::move(cases));
    }
    for (std::size_t i = 0; i < train_outputs; ++i) {
      result_.spread[i] = counts_[i] > 0 ? std::sqrt(squares_[i] / counts_[i]) : 0;
    }
  }

  /// A variant most often separates near the train itself: there is looked first.
  double separation_of(const mechanism::ValveTrain& train) const {
    mechanism::SpeedRange near = range();
    near.finer = 1;
    near.from = std::max(near.from, 0.75 * result_.values[place(TrainOutput::separation)]);
    auto found =
        near.from < near.to ? mechanism::first_separation(lobe_, train, near) : mechanism::Separation{};
    if (found.at_start) {
      near.from = range().from;
      found = mechanism::first_separation(lobe_, train, near);
    }
    return found.speed.value_or(near.to);
  }

  void count_break_in(std::vector<RunningCase> cases) {
    mechanism::DynamicsOptions options;
    options.traces = true;
    for (RunningCase& one : cases) {
      one.speed = break_in_speed;
    }
    for (const RunningState& state : mechanism::run_valve(lobe_, cases, options)) {
      if (const auto contact = mechanism::tappet_contact(lobe_, state, *setup_.face)) {
        count(TrainOutput::break_in_pressure, contact->peak_pressure);
        count(TrainOutput::break_in_film, contact->nose_film);
      }
    }
  }

  /// Where the least squeeze crosses zero: d(root)/d(figure) = −(dδ/d figure)/(dδ/d root).
  void root(TrainOutput output, double value, std::vector<RunningCase> cases, const RunningCase& above,
            const RunningCase& below, double apart) {
    cases.push_back(above);
    cases.push_back(below);
    const auto states = mechanism::run_valve(lobe_, cases);
    const auto squeeze = [](const RunningState& state) { return state.least_squeeze; };
    const double at_above = states[states.size() - 2].least_squeeze;
    const double at_below = states.back().least_squeeze;
    const double along = (at_above - at_below) / apart;
    TrainFigures slopes{};
    // Where nothing crosses zero there is no root to move: the spread alone tells the doubt.
    if (at_above * at_below < 0) {
      slopes = slopes_of(setup_, states, squeeze);
      for (double& slope : slopes) {
        slope /= -along;
      }
    }
    set(output, value, slopes);
  }

  void separation() {
    const auto found = mechanism::first_separation(lobe_, setup_.train, range());
    result_.separates = found.speed.has_value();
    if (!found.speed) {
      set(TrainOutput::separation, range().to, {});
      return;
    }
    const double speed = *found.speed;
    constexpr double part = 0.004;
    root(TrainOutput::separation, speed, moved_cases(setup_, setup_.train, speed),
         {setup_.train, speed * (1 + part)}, {setup_.train, speed * (1 - part)}, 2 * part * speed);
  }

  void seat_load() {
    const auto load = mechanism::least_seat_load(lobe_, setup_.train, setup_.redline);
    if (!load) {
      return;
    }
    constexpr double part = 0.01;
    const auto with = [&](double factor) {
      return RunningCase{mechanism::with_seat_load(setup_.train, factor * *load), setup_.redline};
    };
    root(TrainOutput::seat_load_needed, *load, moved_cases(setup_, with(1).train, setup_.redline),
         with(1 + part), with(1 - part), 2 * part * *load);
    // What the springs carry now is not what they would need to.
    result_.slopes[place(TrainOutput::seat_load_needed)][static_cast<std::size_t>(TrainFigure::seat_load)] =
        0;
  }

  void break_in() {
    auto cases = moved_cases(setup_, setup_.train, break_in_speed);
    cases.push_back({setup_.train, break_in_speed});
    mechanism::DynamicsOptions options;
    options.traces = true;
    const auto states = mechanism::run_valve(lobe_, cases, options);
    std::vector<mechanism::TappetContact> contacts;
    for (const RunningState& state : states) {
      const auto contact = mechanism::tappet_contact(lobe_, state, *setup_.face);
      if (!contact) {
        return;
      }
      contacts.push_back(*contact);
    }
    const auto give = [&](TrainOutput output, double mechanism::TappetContact::*figure) {
      TrainFigures slopes{};
      for (std::size_t i = 0; i < train_figures; ++i) {
        const double width = 2 * steps[i] * setup_.figures[i];
        slopes[i] = width > 0 ? (contacts[2 * i].*figure - contacts[2 * i + 1].*figure) / width : 0;
      }
      set(output, contacts.back().*figure, slopes);
    };
    give(TrainOutput::break_in_pressure, &mechanism::TappetContact::peak_pressure);
    give(TrainOutput::break_in_film, &mechanism::TappetContact::nose_film);
  }

  const TrainSetup& setup_;
  mechanism::RunningLobe lobe_;
  TrainSpeeds result_;
  std::array<double, train_outputs> squares_{};  // of what the variants are off by
  std::array<int, train_outputs> counts_{};
};

/// All that a result follows from, as bytes.
std::string key_of(const TrainSetup& setup) {
  std::string key;
  const auto add = [&](double number) { key.append(reinterpret_cast<const char*>(&number), sizeof number); };
  const mechanism::ValveTrain& train = setup.train;
  add(static_cast<double>(train.kind));
  for (const double number :
       {train.tappet_mass, train.lever_mass, train.valve_mass, train.cam_stiffness, train.link_stiffness,
        train.tip_stiffness, train.seat_stiffness, train.contact_damping, train.lash, train.rubbing,
        train.settling, train.loose_drag, setup.redline, setup.base_level, setup.top}) {
    add(number);
  }
  for (const auto* polynomial : {&train.lever.rise, &train.lever.lift, &train.lever.lift_of_rise}) {
    std::for_each(polynomial->begin(), polynomial->end(), add);
  }
  for (const auto& spring : train.springs) {
    for (const double number : {spring.load, spring.rate, spring.bend, spring.travel_to_solid.value_or(-1),
                                spring.active_mass, spring.damping_ratio}) {
      add(number);
    }
  }
  add(train.plunger ? train.plunger->preload : -1);
  add(train.plunger ? train.plunger->travel : -1);
  add(setup.face ? setup.face->base_radius : -1);
  add(setup.face ? setup.face->width : -1);
  std::for_each(setup.figures.begin(), setup.figures.end(), add);
  std::for_each(setup.assumed.begin(), setup.assumed.end(), add);
  add(setup.lobe->period());
  add(setup.lobe->origin());
  for (Eigen::Index i = 0; i < setup.lobe->coefficients().size(); ++i) {
    add(setup.lobe->coefficients()[i]);
  }
  return key;
}

}  // namespace

TrainSpeeds work_out_speeds(const TrainSetup& setup) {
  return Working(setup).all();
}

std::shared_ptr<const TrainSpeeds> train_speeds(const TrainSetup& setup, Memory& memory) {
  return memory.trains().get(key_of(setup), [&] { return work_out_speeds(setup); });
}

std::optional<double> TrainRun::value(TrainOutput output) const {
  double value = speeds->values[place(output)];
  if (!std::isfinite(value)) {
    return std::nullopt;
  }
  for (std::size_t i = 0; i < train_figures; ++i) {
    value += speeds->slopes[place(output)][i] * (figures[i] - setup.figures[i]);
  }
  return value + assumed * speeds->spread[place(output)];
}

std::optional<TrainRun> train_run(const Observed& observed, const LobeKey& key) {
  const auto now = train_setup(observed, key);
  if (!now.setup) {
    return std::nullopt;
  }
  const Observed estimated(observed.sources(), observed.sources().estimates(), nullptr, observed.what_if());
  auto standing = train_setup(estimated, key);
  if (!standing.setup) {
    return std::nullopt;
  }
  auto speeds = train_speeds(*standing.setup, observed.sources().memory());
  const auto assumed = observed.sources().train_input();
  return TrainRun{std::move(speeds), std::move(*standing.setup), now.setup->figures,
                  assumed ? observed.input(*assumed) : 0};
}

}  // namespace fettle::stations
