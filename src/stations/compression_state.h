#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "mechanism/volumes.h"
#include "stations/cam_timing.h"
#include "stations/observed.h"

namespace fettle::stations {

/// A figure and how it was come by; empty: read.
struct Known {
  double value = 0;
  std::string_view basis;  ///< of static text
};

/// What is known of the room above one piston at TDC, the parts as they are now. SI.
struct CylinderRoom {
  std::optional<Known> chamber;  ///< m³
  std::optional<Known> crown;    ///< net of dish less dome, m³
  std::optional<Known> deck;     ///< m
  std::optional<Known> gasket;   ///< crushed, m
  Known gasket_bore;             ///< m
  Known bore;                    ///< m

  /// All of them, where nothing is missing and they can be the parts of an engine.
  std::optional<mechanism::ClearanceParts> parts;
  /// Of `parts`, m³; nothing unless more than none is left.
  std::optional<double> clearance_volume;
  std::string basis() const;  ///< of all that was not read, and of a bore that was
};

CylinderRoom cylinder_room(const Observed& observed, int cylinder);
/// The same with another piston in it, by its mark.
CylinderRoom cylinder_room(const Observed& observed, int cylinder, int piston);

/// Bore of a cylinder: the mean of what was read, with what has been honed out since, else the build's.
Known bore_of(const Observed& observed, int cylinder);

/// What the piston of a cylinder sweeps in that bore, m³.
double swept_by(const Observed& observed, int cylinder);

/// 1 + swept over clearance; nothing while either is not known.
std::optional<double> ratio_of(const Observed& observed, int cylinder, const CylinderRoom& room);

/// Where the intake valve of a cylinder closes: signed crank radians from overlap TDC.
struct IntakeClosing {
  double angle = 0;
  double at = 0;  ///< check lift, on the card's basis, m
  bool measured = false;
  std::string basis;
};

/// Check lifts above this are not a closing on the seat (common practice, no source).
inline constexpr double seat_check_lift = 0.012 * 0.0254;

/// At the least check lift at which the closing is known: as read, else carried on to the seat by the card's
/// own difference, else the card's with the timing set as fitted. A cylinder whose lobe was not read takes
/// that of the lowest one that was.
std::optional<IntakeClosing> intake_closing(const Observed& observed, int cylinder, TdcOfWheels& tdc_of);

/// The air at the bench and the starter, as typed or usual, with the exponent as observed.
mechanism::Cranking cranking_of(const Observed& observed);

/// Readings of one kind of one cylinder.
std::vector<int> readings_of(const Sources& sources, build::ReadingKind kind, int cylinder);

/// Mean of an amount over those; nothing where there are none.
std::optional<double> mean_amount(const Observed& observed, const std::vector<int>& readings, Amount amount);

/// Whether anything is said or read of volumes and pressures, so that what is missing is worth saying.
bool compression_concerns(const Sources& sources);

}  // namespace fettle::stations
