#pragma once

#include <optional>

#include "build/types.h"
#include "stations/report.h"

namespace fettle::stations {

/// The limit in force for a finding: the builder's or the maker's where one was typed (the most particular
/// wins), else common practice for the engine's kind. Nothing where neither says anything.
std::optional<LimitInForce> limit_for(const build::Build& build, const std::string& id, const Where& where);

/// The intake centreline wanted: typed, else the card's. Radians.
std::optional<double> wanted_intake_centreline(const build::Build& build);

/// The exhaust centreline that belongs to it: the card's, moved the other way by what the builder wants of
/// the intake.
std::optional<double> wanted_exhaust_centreline(const build::Build& build);

/// The card's centreline of one lobe in radians, positive for both: as printed, else from its events, else
/// from the other lobe's and the lobe separation.
std::optional<double> card_centreline(const build::Build& build, build::Valve valve);

/// The card's duration of one lobe at a check lift, in radians, printed or from its events there.
std::optional<double> card_duration(const build::Build& build, build::Valve valve, double at);

/// Opening and closing that the card gives at a check lift: signed radians from overlap TDC.
struct CardEvents {
  double opening = 0;
  double closing = 0;
};
std::optional<CardEvents> card_events(const build::Build& build, build::Valve valve, double at);

}  // namespace fettle::stations
