#include "build/findings.h"

#include <array>

namespace fettle::build {
namespace {

using quantity::Dimension;

constexpr std::array<FindingKind, 16> kinds{{
    {"tdc.wheel", Dimension::angle, false, false, false, "True TDC on the wheel",
     "wheel reading when cylinder 1 stands at true TDC: all stop contacts, drops and sweeps together, "
     "corrected for "
     "pin offset"},
    {"tdc.shift", Dimension::angle, false, false, false, "TDC, last pass less first",
     "true TDC from the latest pass less true TDC from the first pass, on the wheel, in crank degrees"},
    {"cam.intake_centerline", Dimension::angle, true, false, false, "Intake centreline",
     "crank degrees from overlap TDC to the centre of the intake lobe: midway between opening and closing at "
     "the check "
     "lift named in the finding's basis"},
    {"cam.exhaust_centerline", Dimension::angle, true, false, false, "Exhaust centreline",
     "crank degrees from the centre of the exhaust lobe to overlap TDC"},
    {"cam.lobe_separation", Dimension::angle, true, false, false, "Lobe separation",
     "half the crank angle between the two lobe centres: (intake centreline + exhaust centreline) / 2"},
    {"cam.advance", Dimension::angle, true, false, false, "Advance",
     "(exhaust centreline - intake centreline) / 2; positive is advanced"},
    {"cam.duration", Dimension::angle, true, true, true, "Duration",
     "crank degrees between opening and closing at the check lift"},
    {"cam.opening", Dimension::angle, true, true, true, "Opening",
     "signed crank degrees from overlap TDC to the rise through the check lift"},
    {"cam.closing", Dimension::angle, true, true, true, "Closing",
     "signed crank degrees from overlap TDC to the fall through the check lift"},
    {"cam.overlap", Dimension::angle, true, false, true, "Overlap",
     "crank degrees both valves are above the check lift: exhaust closing - intake opening"},
    {"cam.lobe_lift", Dimension::length, true, true, false, "Greatest lift",
     "top of the lobe above its base circle, where the card counts it"},
    {"cam.asymmetry", Dimension::angle, true, true, false, "Asymmetry",
     "midpoint at the check lift less the place of the greatest lift; positive when the closing flank is the "
     "longer"},
    {"cam.phase_error", Dimension::angle, false, false, false, "Cam position, measured less wanted",
     "mean over the cylinders read of intake centreline less the wanted one; positive is retarded"},
    {"cam.lobe_phase_scatter", Dimension::angle, false, true, false, "Scatter of lobe phase",
     "greatest less least centreline over the cylinders read"},
    {"cam.chain_slack", Dimension::angle, false, false, false, "Timing slack",
     "crank degrees turned before the cam follows, from forward and backward readings or read directly"},
    {"cam.duration_error", Dimension::angle, true, true, true, "Duration, measured less card",
     "duration less the card's at the same check lift"},
}};

}  // namespace

std::span<const FindingKind> finding_kinds() {
  return kinds;
}

const FindingKind* finding_kind(std::string_view id) {
  for (const FindingKind& kind : kinds) {
    if (kind.id == id) {
      return &kind;
    }
  }
  return nullptr;
}

}  // namespace fettle::build
