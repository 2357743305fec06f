#include "build/findings.h"

#include <array>

namespace fettle::build {
namespace {

using quantity::Dimension;

constexpr std::array<FindingKind, 72> kinds{{
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
    {"spring.installed_height", Dimension::length, true, true, false, "Installed height",
     "height left for the spring with the valve closed, shims fitted now taken off"},
    {"spring.rate", Dimension::rate, true, true, false, "Spring rate",
     "load gained for each unit of travel between seat and open, from the loads read"},
    {"spring.seat_load", Dimension::force, true, true, false, "Seat load",
     "load of the spring at its installed height"},
    {"spring.open_load", Dimension::force, true, true, false, "Open load",
     "load of the spring at full valve lift"},
    {"spring.coil_bind_margin", Dimension::length, true, true, false, "Travel left before coil bind",
     "installed height less net valve lift less solid height"},
    {"spring.retainer_margin", Dimension::length, true, true, false, "Retainer to seal at full lift",
     "gap between retainer and seal, valve closed, less net valve lift"},
    {"spring.seat_load_spread", Dimension::force, false, true, false, "Spread of seat load",
     "greatest less least seat load over the springs read"},
    {"spring.open_stress", Dimension::pressure, true, true, false, "Shear stress of the wire, open",
     "corrected shear stress of the most loaded wire at full valve lift"},
    {"spring.fatigue_margin", Dimension::ratio, true, true, false, "Safety against fatigue",
     "factor by which the stresses between seat and open could grow before the wire would not last"},
    {"spring.natural_frequency", Dimension::speed, false, true, false, "Natural frequency of the spring",
     "first surge frequency of the outer spring between fixed ends, in cycles a minute"},
    {"spring.height_error", Dimension::length, true, true, false, "Installed height, measured less wanted",
     "installed height less the one wanted"},
    {"rocker.ratio", Dimension::ratio, true, true, false, "Rocker ratio, measured",
     "greatest valve lift over greatest lobe lift where both were read"},
    {"rocker.mark_offset", Dimension::length, true, true, false, "Middle of the mark on the tip",
     "middle of the mark from the middle of the valve tip, positive away from the pivot"},
    {"rocker.mark_width", Dimension::length, true, true, false, "Width of the mark",
     "how far the rocker travels across the valve tip over one opening"},
    {"rocker.sweep_width", Dimension::length, false, true, false, "Sweep, computed",
     "travel of the contact along the valve tip over one opening, from the geometry"},
    {"rocker.pushrod_length", Dimension::length, true, true, false, "Pushrod for a central sweep",
     "length that brings the sweep to the middle of the tip, from the mark read and the geometry"},
    {"rocker.pushrod_buckling", Dimension::ratio, false, true, false, "Pushrod against buckling",
     "load at which the pushrod buckles over the open spring load at the pushrod"},
    {"rocker.preload", Dimension::length, true, true, false, "Plunger preload",
     "hydraulic plunger below its highest place with the lifter on its base circle"},
    {"piston_valve.drop", Dimension::length, true, true, false, "Drop at TDC",
     "how far the valve can be opened along its stem at overlap TDC before it meets the piston"},
    {"piston_valve.clearance", Dimension::length, true, true, false, "Least clearance to the piston",
     "least distance along the valve between its head and the piston over the whole cycle, turned by hand"},
    {"piston_valve.closest", Dimension::angle, true, true, false, "Where it is closest",
     "signed crank degrees from overlap TDC to the least clearance"},
    {"piston_valve.clearance_at_speed", Dimension::length, true, true, false, "Clearance left at speed",
     "least clearance less what rod stretch and taken-up play use at the redline"},
    {"piston_valve.cam_room", Dimension::angle, true, true, false, "Cam movement left",
     "crank degrees the cam may be moved toward the piston (intake: advanced, exhaust: retarded) before the "
     "least clearance comes down to its limit"},
    {"piston_valve.radial", Dimension::length, true, true, false, "Rim to notch",
     "least gap between the valve rim and the wall of its notch"},
    {"piston_valve.between_valves", Dimension::length, true, false, false, "Valve to valve",
     "least distance between the heads of intake and exhaust valve around overlap"},
    {"lash.gap", Dimension::length, true, true, false, "Lash",
     "gap in the valve gear with the lifter on its base circle, as read"},
    {"lash.scatter", Dimension::length, false, true, false, "Lash, greatest less least",
     "greatest less least lash over the valves of one kind"},
    {"bottom_end.main_clearance", Dimension::length, false, false, false, "Oil clearance, mains",
     "bore of the main bearing in the vertical less its journal: measured with the shells in, else from "
     "housing and walls, else by strip",
     true},
    {"bottom_end.main_journal", Dimension::length, false, false, false, "Journal, mains",
     "mean diameter of the main journal over all places and directions read", true},
    {"bottom_end.main_taper", Dimension::length, false, false, false, "Taper of the journal, mains",
     "greatest less least mean diameter over the places read along the journal", true},
    {"bottom_end.main_out_of_round", Dimension::length, false, false, false, "Journal out of round, mains",
     "greatest less least diameter over the directions read at one place, at the worst place", true},
    {"bottom_end.main_housing_round", Dimension::length, false, false, false, "Housing out of round, mains",
     "greatest less least bore of the housing over the directions read", true},
    {"bottom_end.main_cross_check", Dimension::length, false, false, false, "Direct less cross-check, mains",
     "bearing bore measured with the shells in, less housing bore and two walls", true},
    {"bottom_end.main_strip_check", Dimension::length, false, false, false, "Strip less gauge, mains",
     "clearance by crushed strip less that by gauge and micrometer", true},
    {"bottom_end.main_film", Dimension::length, false, false, false, "Least oil film, mains",
     "thinnest oil film under the steady load, speed and viscosity of the build: a comparison of clearances, "
     "not the least film of the cycle",
     true},
    {"bottom_end.rod_clearance", Dimension::length, true, false, false, "Oil clearance, rods",
     "bore of the rod bearing in the vertical less its journal: measured with the shells in, else from "
     "housing and walls, else by strip"},
    {"bottom_end.rod_journal", Dimension::length, true, false, false, "Journal, rods",
     "mean diameter of the rod journal over all places and directions read"},
    {"bottom_end.rod_taper", Dimension::length, true, false, false, "Taper of the journal, rods",
     "greatest less least mean diameter over the places read along the journal"},
    {"bottom_end.rod_out_of_round", Dimension::length, true, false, false, "Journal out of round, rods",
     "greatest less least diameter over the directions read at one place, at the worst place"},
    {"bottom_end.rod_housing_round", Dimension::length, true, false, false, "Housing out of round, rods",
     "greatest less least bore of the housing over the directions read"},
    {"bottom_end.rod_cross_check", Dimension::length, true, false, false, "Direct less cross-check, rods",
     "bearing bore measured with the shells in, less housing bore and two walls"},
    {"bottom_end.rod_strip_check", Dimension::length, true, false, false, "Strip less gauge, rods",
     "clearance by crushed strip less that by gauge and micrometer"},
    {"bottom_end.rod_film", Dimension::length, true, false, false, "Least oil film, rods",
     "thinnest oil film under the steady load, speed and viscosity of the build: a comparison of clearances, "
     "not the least film of the cycle"},
    {"bottom_end.end_play", Dimension::length, false, false, false, "Crank end play",
     "movement of the crank along its axis"},
    {"bottom_end.rod_side", Dimension::length, true, false, false, "Rod side clearance",
     "side clearance of the rod, or of the pair on its crankpin"},
    {"bore.least", Dimension::length, true, false, false, "Least bore",
     "least diameter read in the bore, at 20 C"},
    {"bore.piston_clearance", Dimension::length, true, false, false, "Piston to wall",
     "least bore less the diameter of the piston fitted in it, both at 20 C"},
    {"bore.running_clearance", Dimension::length, true, false, false, "Piston to wall, running",
     "the same at the running temperatures of the build"},
    {"bore.taper", Dimension::length, true, false, false, "Taper of the bore",
     "greatest less least mean diameter over the depths read"},
    {"bore.out_of_round", Dimension::length, true, false, false, "Bore out of round",
     "greatest less least diameter over the directions read at one depth, at the worst depth"},
    {"bore.top_gap", Dimension::length, true, false, false, "End gap, top ring",
     "end gap of the ring in its bore"},
    {"bore.second_gap", Dimension::length, true, false, false, "End gap, second ring",
     "end gap of the ring in its bore"},
    {"bore.oil_gap", Dimension::length, true, false, false, "End gap, oil rail",
     "end gap of the ring in its bore"},
    {"bore.top_side", Dimension::length, true, false, false, "Side clearance, top ring",
     "clearance of the ring in its groove"},
    {"bore.second_side", Dimension::length, true, false, false, "Side clearance, second ring",
     "clearance of the ring in its groove"},
    {"bore.displacement", Dimension::volume, false, false, false, "Displacement",
     "swept volume of all cylinders by the mean of each bore as read"},
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
