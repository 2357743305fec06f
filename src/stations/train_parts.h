#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "mechanism/valve_train.h"
#include "stations/observed.h"

/// The parts that train_state.h puts a valve's train together from.
namespace fettle::stations {

/// What the build says of one kind of valve's moving parts; nothing said: all empty. Needs build.valve_train.
const build::TrainParts& train_parts(const build::Build& build, build::Valve valve);

/// Weight of a part: its own cylinder's, else one weighed for all, else the mean of the others of its kind.
std::optional<double> weighed_part(const Observed& observed, build::WeighedItem item, const LobeKey& key);

/// The lobe at the follower: swept at the lifter or at the valve, else the card's.
struct TrainLobe {
  std::shared_ptr<const metrology::PeriodicSpline> curve;
  double base_level = 0;
  double top = 0;
  double acceleration = 1;  ///< the true one over the curve's
  bool synthesised = false;
  std::string says;
};

std::optional<TrainLobe> train_lobe(const Observed& observed, const LobeKey& key, double ratio);

/// Springs in place: one, or a nested pair whose wire is known.
struct TrainSprings {
  std::vector<mechanism::ChainSpring> chain;
  double idle_mass = 0;  ///< moves with the retainer
  std::string needs;
};

TrainSprings train_springs(const Observed& observed, const LobeKey& key, double lift);

}  // namespace fettle::stations
