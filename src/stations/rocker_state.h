#pragma once

#include <optional>
#include <string>
#include <vector>

#include "mechanism/pushrod.h"
#include "mechanism/rocker_train.h"
#include "stations/cam_timing.h"
#include "stations/observed.h"

/// What is known of rockers, pushrods and lifters' plungers. All in metres, pushrods over the ball ends.
namespace fettle::stations {

/// The rocker's dimensions as measured, or null.
const build::RockerDimensions* rocker_dimensions(const build::Build& build, build::Valve valve);

/// Pushrod fitted now; nothing where the build does not say.
std::optional<double> fitted_pushrod(const build::Build& build);

/// Of the pushrod's ball ends: ball centres lie one diameter closer than the length over the ends.
double ball_diameter(const build::Build& build);

/// The fitted pushrod as a column, where the build says what it is made of.
std::optional<mechanism::PushrodTube> pushrod_tube(const build::Build& build);

/// Whether another pushrod moves the pivot with it (a nut on a stud, or nothing said), so that it moves the
/// sweep; else the pivot stays and the plunger or the screw takes it up.
bool pivot_follows(const build::Build& build);

/// The mechanism as measured, in the frame of mechanism::RockerGeometry, with a pushrod in place: the pivot
/// follows it along its stud, or stays, as pivot_follows() says. Nothing where nothing was measured or the
/// pushrod does not fit.
std::optional<mechanism::RockerGeometry> rocker_geometry(const Observed& observed, build::Valve valve,
                                                         double pushrod);
/// The same with the pushrod fitted now, or the one in place when it was measured.
std::optional<mechanism::RockerGeometry> rocker_geometry(const Observed& observed, build::Valve valve);

/// Greatest rise of the lifter with the slack taken up, and how it was come by.
struct TappetRise {
  double rise = 0;
  std::string basis;
};
std::optional<TappetRise> tappet_rise(const Observed& observed, const LobeKey& key,
                                      const mechanism::RockerTrain& train, TdcOfWheels& tdc_of);

/// Valve force to force along the pushrod, and lift to lift: the sheet's ratio, else that of the geometry
/// with the valve closed; nothing without either.
std::optional<double> known_ratio(const Observed& observed, build::Valve valve);

/// The mark on one valve's tip, means of what was read, as it would be with the pushrod fitted now.
struct TipMark {
  double offset = 0;  ///< of its middle, positive away from the pivot
  std::optional<double> width;
  bool moved = false;  ///< brought over from another pushrod by the geometry
};
/// Marks made with another pushrod count only where the geometry can bring them over.
std::optional<TipMark> tip_mark(const Observed& observed, const LobeKey& key, TdcOfWheels& tdc_of);

/// Pushrod that brings the middle of the mark to the middle of the tip, the pivot following on its stud or on
/// shims; nothing where none does.
std::optional<double> central_pushrod(const Observed& observed, const LobeKey& key, const TipMark& mark,
                                      TdcOfWheels& tdc_of);
/// How far a pivot is looked for either way, m.
inline constexpr double pivot_range = 5e-3;

/// Preload that one turn of the adjuster gives; nothing where thread, adjuster or ratio are not known.
std::optional<double> preload_per_turn(const Observed& observed, build::Valve valve);

/// Preload of one plunger, from its depth, else from turns; `basis` says which.
struct Preload {
  double preload = 0;
  std::string basis;
};
std::optional<Preload> plunger_preload(const Observed& observed, const LobeKey& key);

/// Whether anything is said or read of rockers, pushrods or preload.
bool rockers_concern(const Sources& sources);

}  // namespace fettle::stations
