#pragma once

#include "build/describe_block.h"
#include "build/describe_short_block.h"
#include "build/describe_valve_gear.h"
#include "build/types.h"

/// The shape of the document, said once. Each describe() names the keys of one object, their meaning and an
/// example; reader, writer and schema are visitors of it, so that the three cannot differ.
///
/// A visitor has `required(key, member, meaning, example)` and `optional(...)`. Members of type
/// std::optional, vector and map may be missing from the document whichever of the two names them; others
/// only with optional().
namespace fettle::build {

template <class V>
void describe(V& v, Engine& x) {
  v.required("layout", x.layout, "cylinders and how they stand: V8, inline 6, flat 4, V2, single", "V8");
  v.required("firing_order", x.firing_order, "cylinders in the order they fire", "[1,8,4,3,6,5,7,2]");
  v.optional("firing_intervals", x.firing_intervals,
             "crank angle from each firing to the next, in firing order, 720 degrees in all; left out: even",
             R"(["315 deg","405 deg"])");
  v.optional("bank_angle", x.bank_angle, "angle between the two banks", "90 deg");
  v.optional("turning", x.turning, "running rotation seen from the wheel end; left out: clockwise",
             "clockwise");
  v.optional("practice", x.practice, "which column of common practice gives the limits nobody typed",
             "street_pushrod");
  v.required("bore", x.bore, "cylinder bore", "100.0 mm");
  v.required("stroke", x.stroke, "twice the crank throw", "3.386 in");
  v.required("rod_length", x.rod_length, "between the centres of the rod", "5.85 in");
  v.optional("pin_offset", x.pin_offset,
             "piston pin off the bore's axis, positive toward the major thrust side", "0.060 in");
  v.optional("compression_ratio", x.compression_ratio, "static ratio as the parts should give it", "9.8");
  v.optional("banks", x.banks,
             "cylinders of each bank from front to rear; left out: one bank in line, else not known",
             "[[1,3,5,7],[2,4,6,8]]");
}

template <class V>
void describe(V& v, CardDuration& x) {
  v.required("at", x.at, "check lift", "0.050 in");
  v.required("duration", x.duration, "crank angle between opening and closing at that lift", "218 deg");
}

template <class V>
void describe(V& v, CardEvent& x) {
  v.required("at", x.at, "check lift", "0.050 in");
  v.required("opening", x.opening, "opening as the card prints it", "1 BTDC");
  v.required("closing", x.closing, "closing as the card prints it", "37 ABDC");
}

template <class V>
void describe(V& v, LobeCard& x) {
  v.optional("centerline", x.centerline,
             "installed centreline: intake after, exhaust before overlap TDC, both positive", "108 deg");
  v.optional("lift", x.lift, "greatest lift, on the card's basis", "0.300 in");
  v.optional("durations", x.durations, "durations at check lifts",
             R"([{ "at": "0.050 in", "duration": "218 deg" }])");
  v.optional("events", x.events, "opening and closing at check lifts",
             R"([{ "at": "0.050 in", "opening": "1 BTDC", "closing": "37 ABDC" }])");
}

template <class V>
void describe(V& v, CamCard& x) {
  v.optional("intake", x.intake, "intake lobe", R"({ "centerline": "108 deg" })");
  v.optional("exhaust", x.exhaust, "exhaust lobe", R"({ "centerline": "114 deg" })");
  v.optional("lobe_separation", x.lobe_separation, "half the crank angle between the two centrelines",
             "111 deg");
  v.optional("basis", x.basis, "where the card counts lift; left out: lobe", "lobe");
}

template <class V>
void describe(V& v, Cam& x) {
  v.required("follower", x.follower, "what runs on the lobe", "flat");
  v.optional("card", x.card, "what the cam's card says", R"({ "intake": { "centerline": "108 deg" } })");
  v.optional("wanted_centerline", x.wanted_centerline, "intake centreline wanted; left out: the card's",
             "106 deg");
}

template <class V>
void describe(V& v, TimingSet& x) {
  v.required("positions", x.positions, "positions the set offers; positive advances the cam",
             R"(["-4 deg","0 deg","4 deg"])");
  v.optional("fitted", x.fitted, "the one fitted now", "0 deg");
  v.optional("continuous", x.continuous,
             "true where anything between the least and the greatest position can be set", "false");
  v.optional("marked_in", x.marked_in, "which degrees its marks are in; left out: crank", "crank");
  v.optional("cam_teeth", x.cam_teeth, "teeth of the cam's sprocket or gear", "42");
  v.optional("exhaust_fitted", x.exhaust_fitted,
             "twin cams set each by itself: the exhaust cam's position, fitted then being the intake cam's",
             "0 deg");
}

template <class V>
void describe(V& v, Lifters& x) {
  v.required("kind", x.kind, "solid or hydraulic", "hydraulic");
  v.optional("checking", x.checking, "true while a solid checking lifter stands in for the hydraulic one",
             "true");
  v.optional("plunger_travel", x.plunger_travel, "hydraulic: the plunger's whole travel", "0.180 in");
  v.optional("adjuster", x.adjuster, "where the valve gear is adjusted", "stud_nut");
  v.optional("thread_pitch", x.thread_pitch, "pitch of the adjuster's thread", "0.0417 in");
}

template <class V>
void describe(V& v, SpringWire& x) {
  v.required("wire_diameter", x.wire_diameter, "diameter of the wire", "0.177 in");
  v.required("outside_diameter", x.outside_diameter, "over the largest coil", "1.262 in");
  v.optional("least_outside_diameter", x.least_outside_diameter,
             "over the smallest coil, where the spring tapers", "1.05 in");
  v.required("total_coils", x.total_coils, "coils from end to end, the dead ones at the ends with them",
             "6.5");
  v.optional("ends", x.ends, "how the ends are made; left out: squared_ground", "squared_ground");
  v.optional("free_length", x.free_length, "unloaded", "2.10 in");
  v.optional("material", x.material, "of the wire; left out: chrome_silicon", "chrome_silicon");
  v.optional("seat_step", x.seat_step, "how far its seat stands above that of the outermost spring",
             "0.060 in");
}

template <class V>
void describe(V& v, SpringSpec& x) {
  v.optional("installed_height", x.installed_height,
             "retainer to spring seat with the valve closed, as wanted", "1.700 in");
  v.optional("seat_load", x.seat_load, "load at the installed height", "115 lbf");
  v.optional("rate", x.rate, "load gained for each inch or millimetre of travel", "330 lbf/in");
  v.optional("solid_height", x.solid_height, "height with the coils touching (coil bind)", "1.090 in");
  v.optional("coils", x.coils, "the springs of the set as they are wound, outermost first",
             R"([{ "wire_diameter": "0.177 in", "outside_diameter": "1.262 in", "total_coils": 6.5 }])");
  v.optional("rate_tolerance", x.rate_tolerance, "by how much the sheet lets the rate be off either way",
             "15 lbf/in");
  v.optional("solid_tolerance", x.solid_tolerance,
             "by how much the sheet lets the solid height be off either way", "0.010 in");
  v.optional("wire_tolerance", x.wire_tolerance,
             "by how much the sheet lets the wire's diameter be off either way", "0.001 in");
}

template <class V>
void describe(V& v, ShimStock& x) {
  v.required("thickness", x.thickness, "of one shim", "0.015 in");
  v.optional("count", x.count, "on the shelf; left out: as many as wanted", "16");
}

template <class V>
void describe(V& v, FittedShims& x) {
  v.required("cylinder", x.cylinder, "cylinder's number", "1");
  v.required("valve", x.valve, "whose spring", "intake");
  v.required("thickness", x.thickness, "of all shims under this spring together", "0.030 in");
}

template <class V>
void describe(V& v, Springs& x) {
  v.optional("intake", x.intake, "what the intake springs should be",
             R"({ "installed_height": "1.700 in" })");
  v.optional("exhaust", x.exhaust, "what the exhaust springs should be",
             R"({ "installed_height": "1.700 in" })");
  v.optional("shims", x.shims, "shims on the shelf", R"([{ "thickness": "0.015 in", "count": 16 }])");
  v.optional("fitted", x.fitted, "shims under the springs now; none where a spring is not named",
             R"([{ "cylinder": 1, "valve": "intake", "thickness": "0.030 in" }])");
}

template <class V>
void describe(V& v, ValvePart& x) {
  v.optional("head_diameter", x.head_diameter, "of the head", "1.94 in");
  v.optional("stem_diameter", x.stem_diameter, "of the stem", "0.3415 in");
  v.optional("length", x.length, "over all", "4.91 in");
  v.optional("angle", x.angle, "between the valve's axis and the bore's", "18 deg");
  v.optional("mass", x.mass, "of the valve", "110 g");
}

template <class V>
void describe(V& v, Valves& x) {
  v.optional("intake", x.intake, "intake valves", R"({ "head_diameter": "1.94 in", "angle": "18 deg" })");
  v.optional("exhaust", x.exhaust, "exhaust valves", R"({ "head_diameter": "1.50 in", "angle": "18 deg" })");
  v.optional(
      "spacing", x.spacing,
      "between the centres of the two heads, closed, where the valves lean toward each other as they open",
      "36 mm");
}

template <class V>
void describe(V& v, Pushrods& x) {
  v.optional("length", x.length, "of those fitted now, over the ball ends", "7.800 in");
  v.optional("choices", x.choices, "lengths to be had", R"(["7.750 in","7.800 in","7.850 in"])");
  v.optional("outside_diameter", x.outside_diameter, "of the tube", "0.3125 in");
  v.optional("wall", x.wall, "thickness of the tube's wall", "0.080 in");
  v.optional("yield_strength", x.yield_strength, "of the tube's material; left out: 690 MPa", "690 MPa");
  v.optional("ball_diameter", x.ball_diameter, "of the ball ends; left out: 5/16 in", "0.3125 in");
  v.optional("angle", x.angle, "of their axis to that of the bores; left out: 0", "8 deg");
}

template <class V>
void describe(V& v, Gasket& x) {
  v.required("thickness", x.thickness, "crushed, of the head gasket fitted now", "0.041 in");
  v.optional("choices", x.choices, "crushed thicknesses to be had", R"(["0.028 in","0.041 in","0.051 in"])");
  v.optional("bore", x.bore, "of the gasket's opening", "4.100 in");
}

template <class V>
void describe(V& v, Rods& x) {
  v.optional("material", x.material, "of the connecting rods; left out: steel", "steel");
  v.optional("least_area", x.least_area, "least cross-section of the shank", "200 mm2");
  v.optional("reciprocating_mass", x.reciprocating_mass,
             "piston, pin, rings, locks and small end of one cylinder", "720 g");
  v.optional("big_end_clearance", x.big_end_clearance, "oil clearance taken up at speed", "0.0022 in");
  v.optional("redline", x.redline, "greatest speed to be run", "6200 rpm");
  v.optional("fitted", x.fitted,
             "number marked on the rod in cylinder 1, 2 and so on; left out: 1, 2 and so on", "[1,2,3,4]");
}

template <class V>
void describe(V& v, RockerDimensions& x) {
  v.required("pivot_to_valve", x.pivot_to_valve,
             "centre of the shaft, or of the ball on the stud, from the valve's axis, square to it",
             "1.500 in");
  v.required("pivot_height", x.pivot_height,
             "the same centre above the tip of the closed valve, along the valve; negative below it",
             "0.150 in");
  v.required("tip_arm", x.tip_arm, "that centre to the roller's axle, or to the centre of the pad's circle",
             "1.520 in");
  v.required("cup_arm", x.cup_arm, "that centre to the centre of the pushrod's ball in its cup", "1.000 in");
  v.required("arm_angle", x.arm_angle, "between the two arms, measured over the top of the rocker",
             "160 deg");
  v.required("tip_radius", x.tip_radius, "of the roller or the pad", "0.250 in");
  v.optional("tip", x.tip, "roller or pad; left out: pad", "roller");
  v.required("pushrod_lean", x.pushrod_lean,
             "pushrod to the valve's axis with the valve closed, positive where its upper end leans toward "
             "the valve",
             "8 deg");
  v.optional("lifter_lean", x.lifter_lean,
             "lifter's bore to the valve's axis, counted likewise; left out: in line with the pushrod",
             "5 deg");
  v.optional("stud_lean", x.stud_lean,
             "stud, or whatever raises the pivot, to the valve's axis, counted likewise; left out: 0",
             "0 deg");
  v.optional("pushrod", x.pushrod,
             "length of the pushrod in place while measuring; left out: the one fitted now", "7.800 in");
  v.optional("gasket", x.gasket, "crushed gasket while measuring; left out: the one fitted now", "0.041 in");
  v.optional("milled", x.milled, "off the head's face while measuring; left out: what is off now",
             "0.010 in");
  v.optional("cut", x.cut, "off the deck while measuring; left out: what is off now", "0.005 in");
}

template <class V>
void describe(V& v, RockerGeometry& x) {
  v.optional("intake", x.intake, "intake rockers", R"({ "pivot_to_valve": "1.500 in", ... })");
  v.optional("exhaust", x.exhaust, "exhaust rockers", R"({ "pivot_to_valve": "1.500 in", ... })");
}

template <class V>
void describe(V& v, Rockers& x) {
  v.optional("intake_ratio", x.intake_ratio, "valve lift over lobe lift", "1.5");
  v.optional("exhaust_ratio", x.exhaust_ratio, "valve lift over lobe lift", "1.5");
  v.optional(
      "geometry", x.geometry,
      "how rocker, pushrod and valve stand: valve closed, lifter on its base circle, lash just taken up",
      R"({ "intake": { "pivot_to_valve": "1.500 in", ... } })");
}

template <class V>
void describe(V& v, Lash& x) {
  v.optional("intake", x.intake, "gap at the valve while reading", "0.006 in");
  v.optional("exhaust", x.exhaust, "gap at the valve while reading", "0.008 in");
}

template <class V>
void describe(V& v, FlowPoint& x) {
  v.required("lift", x.lift, "of the valve", "0.400 in");
  v.optional("flow", x.flow, "air through port and valve at the depression; else the coefficient", "205 cfm");
  v.optional("coefficient", x.coefficient,
             "of discharge, over the curtain under the valve, at most over the throat; else the flow",
             "0.65");
}

template <class V>
void describe(V& v, HeadPort& x) {
  v.optional("valves", x.valves, "valves of this kind in a cylinder; left out: 1", "1");
  v.optional("throat_diameter", x.throat_diameter, "under one seat", "1.70 in");
  v.optional("length", x.length, "from the valve to the flange, along the middle of the port", "4.0 in");
  v.optional("diameter", x.diameter, "at the flange; of a port that is not round, the round one of its area",
             "1.80 in");
  v.optional("depression", x.depression, "across port and valve for the flow figures; left out: 28 inH2O",
             "28 inH2O");
  v.optional("flow", x.flow, "flow table, all valves of this kind of a cylinder together",
             R"([{ "lift": "0.400 in", "flow": "205 cfm" }])");
}

template <class V>
void describe(V& v, Head& x) {
  v.optional("chamber", x.chamber, "volume of one chamber, valves and plug in place", "64 cc");
  v.optional("plug_offset", x.plug_offset, "the plug's gap from the bore's axis", "0.9 in");
  v.optional("intake", x.intake, "intake port", R"({ "flow": [{ "lift": "0.400 in", "flow": "205 cfm" }] })");
  v.optional("exhaust", x.exhaust, "exhaust port",
             R"({ "flow": [{ "lift": "0.400 in", "flow": "150 cfm" }] })");
}

template <class V>
void describe(V& v, Intake& x) {
  v.optional("kind", x.kind, "what stands before the runners; left out: plenum", "plenum");
  v.optional("runner_length", x.runner_length, "from the head's flange to the plenum or the bell", "7.0 in");
  v.optional("runner_diameter", x.runner_diameter, "inside, where the runner begins", "1.90 in");
  v.optional("plenum_volume", x.plenum_volume, "between throttle and runners", "2.5 L");
  v.optional("throttles", x.throttles, "bores that feed the plenum", "4");
  v.optional("throttle_bore", x.throttle_bore, "of one throttle", "1.69 in");
  v.optional("throttle_flow", x.throttle_flow, "of all bores together, wide open, as rated", "650 cfm");
  v.optional("throttle_depression", x.throttle_depression, "at which that was rated; left out: 1.5 inHg",
             "1.5 inHg");
}

template <class V>
void describe(V& v, Exhaust& x) {
  v.optional("primary_length", x.primary_length, "from the head's flange to the collector", "34 in");
  v.optional("primary_diameter", x.primary_diameter, "inside", "1.62 in");
  v.optional("groups", x.groups, "cylinders that share a collector; left out: those of a bank",
             "[[1,3,5,7],[2,4,6,8]]");
  v.optional("collector_length", x.collector_length, "to where it narrows or ends", "12 in");
  v.optional("collector_diameter", x.collector_diameter, "inside", "3.0 in");
  v.optional("tail_length", x.tail_length, "of the pipe after each collector; left out: none", "40 in");
  v.optional("tail_diameter", x.tail_diameter, "inside", "2.5 in");
}

template <class V>
void describe(V& v, Fuel& x) {
  v.optional("kind", x.kind, "what is burned; left out: gasoline", "gasoline");
  v.optional("octane", x.octane, "octane number as the pump states it", "93");
  v.optional("lambda", x.lambda, "air over what the fuel needs", "0.88");
  v.optional("air_fuel_ratio", x.air_fuel_ratio, "air over fuel by mass, in place of lambda", "12.8");
}

template <class V>
void describe(V& v, SparkPoint& x) {
  v.required("speed", x.speed, "of the crank", "3000 rpm");
  v.required("advance", x.advance, "of the spark before TDC, full load", "32 deg");
}

template <class V>
void describe(V& v, Ignition& x) {
  v.optional("advance", x.advance, "spark at full load; left out: the spark of best torque is sought",
             R"([{ "speed": "3000 rpm", "advance": "32 deg" }])");
}

template <class V>
void describe(V& v, BucketShim& x) {
  v.required("cylinder", x.cylinder, "cylinder's number", "1");
  v.required("valve", x.valve, "whose bucket", "intake");
  v.required("thickness", x.thickness, "of the shim, or of the bucket where its own thickness sets the lash",
             "2.68 mm");
}

template <class V>
void describe(V& v, BucketShims& x) {
  v.optional("fitted", x.fitted, "the shim at each bucket now",
             R"([{ "cylinder": 1, "valve": "intake", "thickness": "2.68 mm" }])");
  v.optional("stock", x.stock, "shims on the shelf", R"([{ "thickness": "2.70 mm", "count": 1 }])");
  v.optional("sizes", x.sizes, "thicknesses to be bought", R"(["2.60 mm","2.65 mm","2.70 mm"])");
}

template <class V>
void describe(V& v, FingerDimensions& x) {
  v.required("pivot_to_valve", x.pivot_to_valve, "pivot's centre from the valve's axis, square to it",
             "36 mm");
  v.required("pivot_height", x.pivot_height,
             "the same centre above the tip of the closed valve, along the valve; negative below it", "1 mm");
  v.required("tip_arm", x.tip_arm, "that centre to the centre of the circle that runs on the valve's tip",
             "36 mm");
  v.required("tip_radius", x.tip_radius, "of that circle", "12 mm");
  v.required("roller_arm", x.roller_arm,
             "that centre to the roller's axle, or to the centre of the pad's circle", "20 mm");
  v.required("arm_angle", x.arm_angle,
             "between the two arms, positive where the roller lies toward the cam from the tip's arm",
             "12 deg");
  v.required("cam_to_valve", x.cam_to_valve, "cam's axis from the valve's, square to it, toward the pivot",
             "17 mm");
  v.required("cam_height", x.cam_height, "cam's axis above the tip of the closed valve, along the valve",
             "30 mm");
}

template <class V>
void describe(V& v, FollowerPart& x) {
  v.optional("base_circle", x.base_circle, "diameter of the cam's base circle", "34 mm");
  v.optional("face_diameter", x.face_diameter, "flat tappet or bucket: diameter of the face where it is flat",
             "31 mm");
  v.optional("roller_diameter", x.roller_diameter, "of the roller; of a finger's pad, that of its circle",
             "0.750 in");
  v.optional("lobe_width", x.lobe_width, "of the lobe along the cam, or of the roller: the contact's length",
             "12 mm");
  v.optional("finger", x.finger, "how a finger stands with its valve closed",
             R"({ "pivot_to_valve": "36 mm", ... })");
}

template <class V>
void describe(V& v, Followers& x) {
  v.optional("intake", x.intake, "of the intake lobes", R"({ "base_circle": "34 mm" })");
  v.optional("exhaust", x.exhaust, "of the exhaust lobes", R"({ "base_circle": "34 mm" })");
}

template <class V>
void describe(V& v, Tool& x) {
  v.required("kind", x.kind, "what instrument it is", "degree_wheel");
  v.optional("resolution", x.resolution, "step that can be read", "0.5 deg");
  v.optional("permissible_error", x.permissible_error, "greatest error of the instrument itself", "0.001 in");
  v.optional("range", x.range,
             "its error grows in proportion to the reading, to the permissible one here; left out: the same "
             "everywhere",
             "300 lbf");
  v.optional("drift", x.drift, "how far its zero may wander within one reading or sweep", "0.0002 in");
  v.optional("parallax", x.parallax, "how far the eye's place may shift a reading", "0.25 deg");
  v.optional("noise", x.noise, "standard deviation of one reading repeated", "0.0003 in");
  v.optional(
      "set_on", x.set_on,
      "name of the tool it was set to size on: a bore gauge on the micrometer that measured the journal",
      "micrometer");
  v.optional("counts", x.counts, "wheel: the way of turning that makes its reading grow; left out: forward",
             "forward");
}

template <class V>
void describe_reading_place(V& v, Reading& x) {
  v.optional("id", x.id, "steady name of the reading within the build", "r12");
  v.required("kind", x.kind, "what was read", "stop_contact");
  v.optional("cylinder", x.cylinder, "cylinder's number", "1");
  v.optional("main", x.main, "main bearing, counted from the front", "1");
  v.optional("piston", x.piston, "number marked on the piston", "1");
  v.optional("rod", x.rod, "number marked on the rod", "1");
  v.optional("ring", x.ring, "which ring, from the crown down", "top");
  v.optional("half", x.half, "which half of the pair; left out: both alike", "upper");
  v.optional("valve", x.valve, "whose lobe", "intake");
  v.optional("side", x.side, "flank of the lobe, or side of TDC, in running rotation", "opening");
  v.optional("measured_at", x.measured_at, "where the indicator stood; left out: lifter", "lifter");
  v.optional("turning", x.turning, "way the crank was turned while reading", "forward");
}

template <class V>
void describe_reading_of_timing(V& v, Reading& x) {
  v.optional("stop", x.stop, "name of the stop, where several were used", "long stop");
  v.optional("stop_depth", x.stop_depth, "how far below TDC the stop holds the piston", "0.150 in");
  v.optional("drop", x.drop, "piston below its highest place", "0.050 in");
  v.optional("lift", x.lift, "lift above the base circle", "0.050 in");
  v.optional("below_max", x.below_max, "drop from the top of the lobe", "0.050 in");
  v.optional("wheel", x.wheel, "what the wheel showed", "14 BTDC");
  v.optional("slack", x.slack, "crank angle turned before the cam followed", "3 deg");
  v.optional("repeats", x.repeats, "the wheel again, for the same reading taken again",
             R"(["41.5 deg","41 deg"])");
  v.optional("points", x.points, "pairs of wheel and lift in the order taken",
             R"([["0 deg","0.0000 in"],["5 deg","0.0010 in"]])");
}

template <class V>
void describe_reading_of_top_end(V& v, Reading& x) {
  v.optional("height", x.height, "height of the spring, retainer to seat", "1.700 in");
  v.optional("load", x.load, "load of the spring at that height", "118 lbf");
  v.optional("gap", x.gap, "gap between the two parts", "0.080 in");
  v.optional("offset", x.offset,
             "middle of the mark from the middle of the valve tip, positive away from the pivot", "0.010 in");
  v.optional("width", x.width, "width of the mark along the tip", "0.060 in");
  v.optional("depth", x.depth, "plunger below its highest place, or piston below the deck", "0.040 in");
  v.optional("turns", x.turns, "turns of the adjuster past zero lash", "0.75");
}

template <class V>
void describe_reading_of_block(V& v, Reading& x) {
  v.optional("fastener", x.fastener, "name of its set in fasteners", "rod bolts");
  v.optional("number", x.number, "which of the set, counted from 1", "1");
  v.optional("stage", x.stage, "when the length was taken", "tight");
  v.optional("item", x.item, "what was weighed", "piston");
  v.optional("place", x.place, "where on the crown; left out: on_axis", "on_axis");
  v.optional("below", x.below, "piston below the deck at TDC; negative: above it", "0.008 in");
  v.optional("size", x.size, "length or diameter of the part", "1.6500 in");
  v.optional("volume", x.volume, "poured until full", "64.2 cc");
  v.optional("mass", x.mass, "weight of the part", "562 g");
  v.optional("pressure", x.pressure, "greatest that the gauge shows", "165 psi");
  v.optional("torque", x.torque, "at which it was tightened", "45 ft lb");
  v.optional("angle", x.angle, "turned on past snug", "75 deg");
  v.optional("milled", x.milled, "off the head's face while reading; left out: what is off now", "0.010 in");
  v.optional("cut", x.cut, "off the deck while reading; left out: what is off now", "0.005 in");
  v.optional("deepened", x.deepened, "out of the crown while reading; left out: what is out now", "2.0 cc");
  v.optional("lightened", x.lightened, "taken off the part by then; left out: what is off now", "1.5 g");

  v.optional("diameter", x.diameter, "diameter", "2.4480 in");
  v.optional("wall", x.wall, "thickness of the shell at its crown", "0.0735 in");
  v.optional("along", x.along, "place along the axis: below the deck, or from the front end of the journal",
             "1.00 in");
  v.optional("around", x.around,
             "direction measured in: 0 is vertical (along the rod) in a bearing, square to the pin in a bore",
             "60 deg");
  v.optional("temperature", x.temperature, "of the part while reading; left out: 20 C", "68 F");
}

template <class V>
void describe_reading_state(V& v, Reading& x) {
  v.optional(
      "shells", x.shells,
      "size of the shells in place while reading, by what a pair does to the clearance; left out: that "
      "of those fitted now",
      "-0.001 in");
  v.optional("honed", x.honed, "what had been honed out of the bore by then; left out: what has been by now",
             "0 in");
  v.optional("shim", x.shim, "all shims in place while reading; left out: those fitted now", "0.030 in");
  v.optional("gasket", x.gasket, "crushed gasket while reading; left out: the one fitted now", "0.041 in");
  v.optional("pushrod", x.pushrod,
             "length of the pushrod in place while reading; left out: the one fitted now", "7.800 in");
  v.optional("warmth", x.warmth, "engine cold or hot; left out: cold", "cold");
  v.optional("thickness", x.thickness, "of the shim", "2.68 mm");
  v.optional("firing", x.firing, "cylinder that stood at its firing TDC while reading", "1");
}

template <class V>
void describe_reading_taking(V& v, Reading& x) {
  v.optional("again", x.again, "what was read, read again in its own unit", R"(["118 lbf","117 lbf"])");
  v.optional("gauge", x.gauge, "name in tools of the instrument that measured the length",
             "height micrometer");
  v.optional("tester", x.tester,
             "name in tools of the instrument that measured the load, volume, weight, pressure or torque",
             "load tester");
  v.optional("pass", x.pass, "1 the first time round, 2 when repeated later; left out: 1", "2");
  v.optional("position", x.position, "timing set's position when it was read; left out: the one fitted now",
             "0 deg");
  v.optional("tool", x.tool, "name of the wheel in tools", "wheel");
  v.optional("lift_tool", x.lift_tool, "name of the indicator in tools", "dial");
  v.optional("taken", x.taken, "when", "2026-11-25T10:40:00Z");
  v.optional("by", x.by, "who", "Ada");
}

template <class V>
void describe(V& v, Reading& x) {
  describe_reading_place(v, x);
  describe_reading_of_timing(v, x);
  describe_reading_of_top_end(v, x);
  describe_reading_of_block(v, x);
  describe_reading_state(v, x);
  describe_reading_taking(v, x);
}

template <class V>
void describe(V& v, Limit& x) {
  v.required("finding", x.finding, "id of the finding it bounds", "cam.intake_centerline");
  v.optional("valve", x.valve, "only for this valve", "intake");
  v.optional("cylinder", x.cylinder, "only for this cylinder", "1");
  v.optional("main", x.main, "only for this main bearing", "1");
  v.optional("at", x.at, "only at this check lift", "0.050 in");
  v.optional("part", x.part, "only for this set of fasteners or kind of part", "rod bolts");
  v.optional("min", x.min, "least accepted", "106 deg");
  v.optional("max", x.max, "greatest accepted", "110 deg");
  v.optional("source", x.source, "where the limit comes from", "cam card");
}

template <class V>
void describe(V& v, Note& x) {
  v.required("text", x.text, "what is to be remembered", "dowel was loose");
  v.optional("taken", x.taken, "when", "2026-11-25T10:40:00Z");
  v.optional("by", x.by, "who", "Ada");
}

template <class V>
void describe(V& v, Build& x) {
  v.required("fettle", x.fettle, "version of the format: 1", "1");
  v.required("name", x.name, "the engine's name on the bench", "Invented 5.4");
  v.required("engine", x.engine, "the engine's geometry and order", R"({ "layout": "V8", ... })");
  v.optional("cam", x.cam, "the cam and its card", R"({ "follower": "flat" })");
  v.optional("timing_set", x.timing_set, "how the cam can be moved", R"({ "positions": ["0 deg"] })");
  v.optional("lifters", x.lifters, "lifters", R"({ "kind": "hydraulic" })");
  v.optional("springs_fitted", x.springs_fitted, "which springs were on while the cam was read", "checking");
  v.optional("rockers", x.rockers, "rockers; their ratios are needed where lift is read at the valve",
             R"({ "intake_ratio": 1.5 })");
  v.optional("lash", x.lash, "gap at the valves while reading", R"({ "intake": "0.006 in" })");
  v.optional("bucket_shims", x.bucket_shims, "shims that set the lash of a cam above the valves",
             R"({ "sizes": ["2.60 mm","2.65 mm"] })");
  v.optional("followers", x.followers, "what runs on the lobes",
             R"({ "intake": { "base_circle": "34 mm", "face_diameter": "31 mm" } })");
  v.optional("springs", x.springs, "valve springs and their shims",
             R"({ "intake": { "installed_height": "1.700 in" } })");
  v.optional("valves", x.valves, "valves", R"({ "intake": { "head_diameter": "1.94 in" } })");
  v.optional("pushrods", x.pushrods, "pushrods", R"({ "length": "7.800 in" })");
  v.optional("gasket", x.gasket, "head gasket", R"({ "thickness": "0.041 in" })");
  v.optional("rods", x.rods, "connecting rods and what they carry", R"({ "material": "steel" })");
  v.optional("head", x.head, "chamber and ports", R"({ "chamber": "64 cc" })");
  v.optional("intake", x.intake, "what feeds the head", R"({ "runner_length": "7.0 in" })");
  v.optional("exhaust", x.exhaust, "pipes after the head", R"({ "primary_length": "34 in" })");
  v.optional("fuel", x.fuel, "what is burned", R"({ "octane": 93 })");
  v.optional("ignition", x.ignition, "when the spark comes",
             R"({ "advance": [{ "speed": "3000 rpm", "advance": "32 deg" }] })");
  v.optional("chamber", x.chamber, "combustion chambers", R"({ "volume": "64 cc" })");
  v.optional("crowns", x.crowns, "crowns of the pistons", R"({ "dish": "5.0 cc" })");
  v.optional("deck", x.deck, "deck of the block", R"({ "height": "9.025 in" })");
  v.optional("compression", x.compression, "what is wanted of the compression, and the air",
             R"({ "wanted_ratio": 9.6 })");
  v.optional("fasteners", x.fasteners, "sets of bolts and studs by name",
             R"({ "rod bolts": { "diameter": "0.4375 in", "pitch": "0.0500 in" } })");
  v.optional("balance", x.balance, "how the crank is balanced", R"({ "factor": 0.5 })");
  v.optional("bearings", x.bearings, "main and rod bearings, their shells and their oil",
             R"({ "mains": 5, "main": { "journal": "2.4485 in" } })");
  v.optional("bores", x.bores, "bores and the pistons in them", R"({ "material": "iron" })");
  v.optional("valve_train", x.valve_train, "what moves between cam and valve, and how fast it is to run",
             R"({ "intake": { "retainer": "28 g", "rocker": "135 g" }, "redline": "6200 rpm" })");
  v.optional("tools", x.tools, "instruments by name",
             R"({ "wheel": { "kind": "degree_wheel", "resolution": "0.5 deg" } })");
  v.optional("readings", x.readings, "everything that was read", R"([{ "kind": "stop_contact", ... }])");
  v.optional("limits", x.limits, "accepted intervals; they win over common practice",
             R"([{ "finding": "cam.intake_centerline", "min": "106 deg" }])");
  v.optional("notes", x.notes, "remarks", R"([{ "text": "dowel was loose" }])");
}

}  // namespace fettle::build
