#pragma once

#include <array>
#include <memory>
#include <optional>
#include <vector>

#include "stations/train_state.h"

/// What the dynamics of a train say, worked out once with its slopes, so that the doubt of many readings
/// costs no more runs.
namespace fettle::stations {

enum class TrainOutput {
  separation,  ///< crank rad/s
  least_contact,
  cam_force,
  seat_load_needed,
  loft,
  deflection,
  seating_velocity,
  bounce,
  surge,
  link_force,
  break_in_pressure,
  break_in_film
};
inline constexpr std::size_t train_outputs = 12;

struct TrainSpeeds {
  std::array<double, train_outputs> values{};  ///< NaN where there is none
  std::array<TrainFigures, train_outputs> slopes{};
  std::array<double, train_outputs> spread{};  ///< by what was assumed: a standard deviation about the values
  bool separates = false;                      ///< within twice the redline; else `separation` is that
  bool periodic = false;                       ///< at the redline
};

/// 2000 rpm, at which a new flat tappet is run in.
inline constexpr double break_in_speed = 2000 * 2 * 3.14159265358979323846 / 60;

TrainSpeeds work_out_speeds(const TrainSetup& setup);

/// The same from memory where the setup is known to the bit.
std::shared_ptr<const TrainSpeeds> train_speeds(const TrainSetup& setup, Memory& memory);

/// A train's outputs as its readings stand in `observed`: those at the estimates and their slopes.
struct TrainRun {
  std::shared_ptr<const TrainSpeeds> speeds;
  TrainSetup setup;        ///< at the estimates
  TrainFigures figures{};  ///< as observed
  double assumed = 0;      ///< what was assumed is off by so many standard deviations
  std::optional<double> value(TrainOutput output) const;
};
std::optional<TrainRun> train_run(const Observed& observed, const LobeKey& key);

}  // namespace fettle::stations
