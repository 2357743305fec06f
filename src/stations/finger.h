#pragma once

#include <optional>
#include <string>

#include "build/types.h"
#include "mechanism/finger_train.h"

namespace fettle::stations {

/// What runs on the lobes of one kind of valve, or null.
const build::FollowerPart* follower_part(const build::Build& build, build::Valve valve);

/// The finger of one kind of valve; nothing where the build measures none, or one that cannot stand.
std::optional<mechanism::FingerTrain> finger_of(const build::Build& build, build::Valve valve);

/// Why the finger that the build gives cannot stand; nothing where it can or there is none.
std::optional<std::string> finger_trouble(const build::Build& build, build::Valve valve);

/// Rise of the roller from the cam that opens the valve so far, m; nothing where the finger cannot.
std::optional<double> finger_rise(const mechanism::FingerTrain& finger, double valve_lift);

/// Valve lift over the roller's rise up to the card's lift, or up to 8 mm at the valve where there is no
/// card; nothing without a finger.
std::optional<double> finger_ratio(const build::Build& build, build::Valve valve);

}  // namespace fettle::stations
