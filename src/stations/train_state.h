#pragma once

#include <array>
#include <memory>
#include <optional>
#include <string>

#include "mechanism/valve_speed.h"
#include "stations/observed.h"

/// What is known of a valve's train as it runs.
namespace fettle::stations {

/// What of a train the readings (and what was assumed) may move; SI, the last three factors of one.
enum class TrainFigure {
  valve_mass,   ///< all that moves with the valve but the springs
  lever_mass,   ///< rocker or finger toward the cam, half the pushrod with it; zero where direct
  tappet_mass,  ///< with half the pushrod; zero without one
  seat_load,    ///< of all springs, valve closed
  rate,         ///< there
  spring_mass,  ///< of the coils that work
  stiffness,    ///< of all that was assumed of it
  damping,
  lobe  ///< acceleration of the lobe over what its curve has
};
inline constexpr std::size_t train_figures = 9;
using TrainFigures = std::array<double, train_figures>;

/// Trains run with other values of what was assumed, for the doubt of it.
inline constexpr int train_variants = 16;

struct TrainSetup {
  mechanism::ValveTrain train;  ///< with the figures
  TrainFigures figures{};
  std::shared_ptr<const metrology::PeriodicSpline> lobe;  ///< at the follower
  double base_level = 0;
  double top = 0;
  double redline = 0;                         ///< rad/s
  std::optional<mechanism::TappetFace> face;  ///< of a flat tappet
  TrainFigures assumed{};                     ///< half widths of factors, of what was assumed; zero: known
  std::optional<double> buckling_load;        ///< of the pushrod
  std::string basis;                          ///< where the lobe came from, what was assumed

  mechanism::RunningLobe running() const { return {lobe.get(), base_level, top}; }
  /// The train with other figures.
  mechanism::ValveTrain with(const TrainFigures& other) const;
};

/// A train that can be run, or what is missing for it.
struct TrainKnown {
  std::optional<TrainSetup> setup;
  std::string needs;
};
TrainKnown train_setup(const Observed& observed, const LobeKey& key);

/// Whether the build asks for the train at speed: it has a valve_train and a redline.
bool train_concerns(const build::Build& build);
std::optional<double> train_redline(const build::Build& build);

/// The valve of a kind whose springs are read and sit with the least load; of springs not read, the first
/// cylinder's.
LobeKey weakest_valve(const Sources& sources, build::Valve valve);

}  // namespace fettle::stations
