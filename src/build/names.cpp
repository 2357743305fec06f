#include "build/names.h"

#include <array>

namespace fettle::build {
namespace {

constexpr std::array<Named<Rotation>, 2> rotations{{
    {Rotation::clockwise, "clockwise", "running rotation as seen from the wheel end"},
    {Rotation::counterclockwise, "counterclockwise", "running rotation as seen from the wheel end"},
}};
constexpr std::array<Named<Practice>, 4> practices{{
    {Practice::street_pushrod, "street_pushrod", "pushrod engine for the street"},
    {Practice::performance_pushrod, "performance_pushrod", "pushrod engine built tighter, for higher speed"},
    {Practice::twin_cam, "twin_cam", "overhead cams"},
    {Practice::vintage_solid, "vintage_solid", "older engine with solid lifters"},
}};
constexpr std::array<Named<Follower>, 4> followers{{
    {Follower::flat, "flat", "flat tappet"},
    {Follower::roller, "roller", "roller lifter"},
    {Follower::bucket, "bucket", "bucket under an overhead cam"},
    {Follower::finger, "finger", "finger follower"},
}};
constexpr std::array<Named<LiftBasis>, 2> bases{{
    {LiftBasis::lobe, "lobe", "lifts counted at the lobe"},
    {LiftBasis::valve, "valve", "lifts counted at the valve"},
}};
constexpr std::array<Named<MarkedIn>, 2> marks{{
    {MarkedIn::crank, "crank", "marks in crank degrees"},
    {MarkedIn::cam, "cam", "marks in cam degrees, twice as many at the crank"},
}};
constexpr std::array<Named<LifterKind>, 2> lifters{{
    {LifterKind::solid, "solid", "solid lifters"},
    {LifterKind::hydraulic, "hydraulic", "hydraulic lifters"},
}};
constexpr std::array<Named<SpringsFitted>, 3> springs{{
    {SpringsFitted::none, "none", "no springs on the valves"},
    {SpringsFitted::checking, "checking", "light springs for checking"},
    {SpringsFitted::running, "running", "the springs the engine will run"},
}};
constexpr std::array<Named<AdjusterKind>, 4> adjusters{{
    {AdjusterKind::stud_nut, "stud_nut", "nut on the rocker's stud"},
    {AdjusterKind::pedestal_bolt, "pedestal_bolt", "bolt that draws the rocker's pedestal down"},
    {AdjusterKind::pushrod_screw, "pushrod_screw", "screw in the rocker above the pushrod"},
    {AdjusterKind::none, "none", "nothing to adjust: the pushrod's length sets it"},
}};
constexpr std::array<Named<TipKind>, 2> tips{{
    {TipKind::pad, "pad", "pad that slides on the valve's tip"},
    {TipKind::roller, "roller", "roller tip"},
}};
constexpr std::array<Named<WireMaterial>, 5> materials{{
    {WireMaterial::music, "music", "music wire"},
    {WireMaterial::oil_tempered, "oil_tempered", "oil-tempered wire"},
    {WireMaterial::hard_drawn, "hard_drawn", "hard-drawn wire"},
    {WireMaterial::chrome_vanadium, "chrome_vanadium", "chrome-vanadium wire"},
    {WireMaterial::chrome_silicon, "chrome_silicon", "chrome-silicon wire"},
}};
constexpr std::array<Named<SpringEnds>, 4> ends{{
    {SpringEnds::plain, "plain", "cut off as wound"},
    {SpringEnds::plain_ground, "plain_ground", "cut off and ground flat"},
    {SpringEnds::squared, "squared", "last coils closed"},
    {SpringEnds::squared_ground, "squared_ground", "last coils closed and ground flat"},
}};
constexpr std::array<Named<IntakeKind>, 2> intakes{{
    {IntakeKind::plenum, "plenum", "all runners from one plenum"},
    {IntakeKind::individual, "individual", "a throttle and a bell for each runner"},
}};
constexpr std::array<Named<FuelKind>, 2> fuels{{
    {FuelKind::gasoline, "gasoline", "gasoline, CH1.87"},
    {FuelKind::isooctane, "isooctane", "isooctane"},
}};
constexpr std::array<Named<RodMaterial>, 3> rods{{
    {RodMaterial::steel, "steel", "steel"},
    {RodMaterial::aluminium, "aluminium", "aluminium alloy"},
    {RodMaterial::titanium, "titanium", "titanium alloy"},
}};
constexpr std::array<Named<Warmth>, 2> warmths{{
    {Warmth::cold, "cold", "engine at room temperature"},
    {Warmth::hot, "hot", "engine just stopped, at running temperature"},
}};
constexpr std::array<Named<ToolKind>, 17> tools{{
    {ToolKind::degree_wheel, "degree_wheel", "graduated wheel on the crank and a pointer"},
    {ToolKind::angle_encoder, "angle_encoder", "electronic angle on the crank"},
    {ToolKind::dial_indicator, "dial_indicator", "indicator with a needle"},
    {ToolKind::digital_indicator, "digital_indicator", "indicator with digits"},
    {ToolKind::micrometer, "micrometer", "micrometer"},
    {ToolKind::height_micrometer, "height_micrometer", "micrometer that stands in for a valve spring"},
    {ToolKind::caliper, "caliper", "sliding caliper"},
    {ToolKind::depth_gauge, "depth_gauge", "depth gauge"},
    {ToolKind::feeler_gauge, "feeler_gauge", "feeler gauges or a set of gauge wires"},
    {ToolKind::scale_rule, "scale_rule", "steel rule"},
    {ToolKind::load_tester, "load_tester", "spring load tester"},
    {ToolKind::burette, "burette", "graduated glass that pours a volume"},
    {ToolKind::weighing_scale, "weighing_scale", "scale for parts"},
    {ToolKind::torque_wrench, "torque_wrench", "torque wrench"},
    {ToolKind::pressure_gauge, "pressure_gauge", "gauge for cylinder pressure"},
    {ToolKind::bore_gauge, "bore_gauge", "bore gauge set to size on another tool"},
    {ToolKind::setting_ring, "setting_ring", "ring, standard or gauge blocks that others are set on"},
}};
constexpr std::array<Named<Turning>, 2> turnings{{
    {Turning::forward, "forward", "the engine's running direction"},
    {Turning::backward, "backward", "against the running direction"},
}};
constexpr std::array<Named<Valve>, 2> valves{{
    {Valve::intake, "intake", "intake valve or its lobe"},
    {Valve::exhaust, "exhaust", "exhaust valve or its lobe"},
}};
constexpr std::array<Named<Side>, 4> sides{{
    {Side::opening, "opening", "lift still growing"},
    {Side::closing, "closing", "lift falling"},
    {Side::before, "before", "before TDC in running rotation"},
    {Side::after, "after", "after TDC in running rotation"},
}};
constexpr std::array<Named<MeasuredAt>, 2> places{{
    {MeasuredAt::lifter, "lifter", "indicator on the lifter, in line with its bore"},
    {MeasuredAt::valve, "valve", "indicator on the valve's retainer, in line with the stem"},
}};
constexpr std::array<Named<ReadingKind>, 41> kinds{{
    {ReadingKind::stop_contact, "stop_contact", "wheel where the piston touches a positive stop"},
    {ReadingKind::tdc_drop, "tdc_drop",
     "wheel where the piston stands a stated drop below its highest place"},
    {ReadingKind::tdc_sweep, "tdc_sweep", "piston height against the wheel through TDC"},
    {ReadingKind::lobe_point, "lobe_point",
     "wheel at a stated lift, or at a stated drop from the top, of one lobe"},
    {ReadingKind::lobe_top, "lobe_top", "greatest lift of one lobe, the wheel there, or both"},
    {ReadingKind::lobe_sweep, "lobe_sweep", "lift of one lobe against the wheel"},
    {ReadingKind::chain_slack, "chain_slack", "crank angle turned before the cam follows"},
    {ReadingKind::spring_load, "spring_load", "load of one spring, or one nested set, at a stated height"},
    {ReadingKind::installed_height, "installed_height",
     "height left for the spring, retainer to seat, valve closed"},
    {ReadingKind::solid_height, "solid_height", "height of one spring with its coils touching"},
    {ReadingKind::retainer_gap, "retainer_gap", "retainer or locks to the stem seal or guide, valve closed"},
    {ReadingKind::valve_drop, "valve_drop",
     "how far the valve can be opened along its stem until it touches the piston, at TDC or where the wheel "
     "shows"},
    {ReadingKind::clay, "clay",
     "least thickness of clay or wax left between valve and piston after two turns"},
    {ReadingKind::notch_gap, "notch_gap", "least gap between the valve's rim and the wall of its notch"},
    {ReadingKind::tip_mark, "tip_mark", "mark that the rocker leaves on the valve's tip over one opening"},
    {ReadingKind::preload_turns, "preload_turns",
     "turns of the adjuster past zero lash, lifter on its base circle"},
    {ReadingKind::plunger_depth, "plunger_depth",
     "hydraulic plunger below its highest place, lifter on its base circle"},
    {ReadingKind::valve_lash, "valve_lash", "gap in the valve gear with the lifter on its base circle"},
    {ReadingKind::bucket_shim, "bucket_shim", "thickness of the shim at a bucket, or of the bucket itself"},
    {ReadingKind::chamber_fill, "chamber_fill",
     "volume poured into a chamber of the head, valves and plug in"},
    {ReadingKind::dish_fill, "dish_fill",
     "volume poured into the dish and notches of a piston, level with its flat"},
    {ReadingKind::piston_fill, "piston_fill",
     "volume poured into the cylinder above a piston that stands a stated depth below the deck"},
    {ReadingKind::gasket_crush, "gasket_crush", "thickness of a head gasket that has been crushed"},
    {ReadingKind::gasket_bore, "gasket_bore", "diameter of the head gasket's opening"},
    {ReadingKind::compression_gauge, "compression_gauge",
     "cranking pressure that a gauge in the plug's hole shows"},
    {ReadingKind::deck_clearance, "deck_clearance", "flat of a piston's crown below the deck at TDC"},
    {ReadingKind::bolt_length, "bolt_length", "length of a bolt or stud before, while and after it is tight"},
    {ReadingKind::bolt_torque, "bolt_torque", "torque at which a bolt or stud came to rest"},
    {ReadingKind::bolt_turn, "bolt_turn", "angle by which a bolt or nut was turned on past snug"},
    {ReadingKind::part_weight, "part_weight", "weight of a moving part"},
    {ReadingKind::journal_diameter, "journal_diameter", "diameter of a main or rod journal"},
    {ReadingKind::housing_bore, "housing_bore", "bore of a main or rod housing, cap torqued, without shells"},
    {ReadingKind::bearing_bore, "bearing_bore", "bore of a main or rod bearing, shells in, cap torqued"},
    {ReadingKind::shell_wall, "shell_wall", "thickness of a bearing shell at its crown"},
    {ReadingKind::film_strip, "film_strip", "oil clearance by a strip crushed between journal and shell"},
    {ReadingKind::end_play, "end_play", "how far the crank can be moved along, both ways together"},
    {ReadingKind::rod_side, "rod_side", "side clearance of a rod, or of the pair of rods on its crankpin"},
    {ReadingKind::bore_diameter, "bore_diameter", "diameter of a bore at one depth in one direction"},
    {ReadingKind::piston_diameter, "piston_diameter", "diameter of a piston at its maker's gauge point"},
    {ReadingKind::ring_gap, "ring_gap", "end gap of a ring, square in the bore it will run in"},
    {ReadingKind::ring_side, "ring_side", "side clearance of a ring in its groove"},
}};
constexpr std::array<Named<FastenerUse>, 4> fastener_uses{{
    {FastenerUse::rod, "rod", "bolts of the connecting rods"},
    {FastenerUse::main, "main", "bolts or studs of the main caps"},
    {FastenerUse::head, "head", "bolts or studs of the head"},
    {FastenerUse::other, "other", "something else"},
}};
constexpr std::array<Named<ThreadKind>, 2> threads{{
    {ThreadKind::unified, "unified", "inch thread"},
    {ThreadKind::metric, "metric", "metric thread"},
}};
constexpr std::array<Named<Finish>, 4> finishes{{
    {Finish::black, "black", "black, dry"},
    {Finish::zinc_plated, "zinc_plated", "zinc plated, dry"},
    {Finish::lubricated, "lubricated", "oiled or with a lubricant"},
    {Finish::cadmium_plated, "cadmium_plated", "cadmium plated"},
}};
constexpr std::array<Named<WeighedItem>, 14> weighed{{
    {WeighedItem::big_end, "big_end", "big end of the rod, its other end hung level"},
    {WeighedItem::small_end, "small_end", "small end of the rod, its other end hung level"},
    {WeighedItem::whole_rod, "whole_rod", "the whole rod with its bolts"},
    {WeighedItem::rod_bearing, "rod_bearing", "both shells of one rod"},
    {WeighedItem::piston, "piston", "the piston alone"},
    {WeighedItem::pin, "pin", "the piston's pin"},
    {WeighedItem::locks, "locks", "both locks of the pin"},
    {WeighedItem::rings, "rings", "the rings of one piston"},

    {WeighedItem::valve, "valve", "the valve alone"},
    {WeighedItem::retainer, "retainer", "the valve's retainer with both locks"},
    {WeighedItem::spring, "spring", "all springs of one valve"},
    {WeighedItem::rocker, "rocker", "the rocker or finger alone"},
    {WeighedItem::pushrod, "pushrod", "the pushrod"},
    {WeighedItem::lifter, "lifter", "the lifter, or the bucket with its shim"},
}};
constexpr std::array<Named<FactorOf>, 2> factors{{
    {FactorOf::reciprocating, "reciprocating", "all of what rotates, and the factor times what reciprocates"},
    {FactorOf::all, "all", "the factor times what rotates and reciprocates together"},
}};
constexpr std::array<Named<PistonPlace>, 5> piston_places{{
    {PistonPlace::on_axis, "on_axis", "over the pin, where the piston cannot rock"},
    {PistonPlace::front, "front", "over the pin, toward the front of the engine"},
    {PistonPlace::rear, "rear", "over the pin, toward the rear of the engine"},
    {PistonPlace::inboard, "inboard", "edge toward the middle of the engine (in line: the intake's side)"},
    {PistonPlace::outboard, "outboard", "edge away from it"},
}};
constexpr std::array<Named<BoltStage>, 3> stages{{
    {BoltStage::before, "before", "free, before it is tightened"},
    {BoltStage::tight, "tight", "tightened"},
    {BoltStage::after, "after", "free again after it was tight"},
}};
constexpr std::array<Named<Ring>, 3> rings{{
    {Ring::top, "top", "top ring"},
    {Ring::second, "second", "second ring"},
    {Ring::oil, "oil", "rail of the oil ring"},
}};
constexpr std::array<Named<ShellHalf>, 2> halves{{
    {ShellHalf::upper, "upper", "the half in block or rod"},
    {ShellHalf::lower, "lower", "the half in the cap"},
}};
constexpr std::array<Named<WallMaterial>, 2> wall_materials{{
    {WallMaterial::iron, "iron", "cast iron"},
    {WallMaterial::aluminium, "aluminium", "aluminium alloy"},
}};

}  // namespace

std::span<const Named<Rotation>> names(Rotation) {
  return rotations;
}
std::span<const Named<Practice>> names(Practice) {
  return practices;
}
std::span<const Named<Follower>> names(Follower) {
  return followers;
}
std::span<const Named<LiftBasis>> names(LiftBasis) {
  return bases;
}
std::span<const Named<MarkedIn>> names(MarkedIn) {
  return marks;
}
std::span<const Named<LifterKind>> names(LifterKind) {
  return lifters;
}
std::span<const Named<AdjusterKind>> names(AdjusterKind) {
  return adjusters;
}
std::span<const Named<TipKind>> names(TipKind) {
  return tips;
}
std::span<const Named<WireMaterial>> names(WireMaterial) {
  return materials;
}
std::span<const Named<SpringEnds>> names(SpringEnds) {
  return ends;
}
std::span<const Named<RodMaterial>> names(RodMaterial) {
  return rods;
}
std::span<const Named<IntakeKind>> names(IntakeKind) {
  return intakes;
}
std::span<const Named<FuelKind>> names(FuelKind) {
  return fuels;
}
std::span<const Named<Warmth>> names(Warmth) {
  return warmths;
}
std::span<const Named<SpringsFitted>> names(SpringsFitted) {
  return springs;
}
std::span<const Named<ToolKind>> names(ToolKind) {
  return tools;
}
std::span<const Named<Turning>> names(Turning) {
  return turnings;
}
std::span<const Named<Valve>> names(Valve) {
  return valves;
}
std::span<const Named<Side>> names(Side) {
  return sides;
}
std::span<const Named<MeasuredAt>> names(MeasuredAt) {
  return places;
}
std::span<const Named<ReadingKind>> names(ReadingKind) {
  return kinds;
}
std::span<const Named<Ring>> names(Ring) {
  return rings;
}
std::span<const Named<ShellHalf>> names(ShellHalf) {
  return halves;
}
std::span<const Named<WallMaterial>> names(WallMaterial) {
  return wall_materials;
}

std::span<const Named<FastenerUse>> names(FastenerUse) {
  return fastener_uses;
}
std::span<const Named<ThreadKind>> names(ThreadKind) {
  return threads;
}
std::span<const Named<Finish>> names(Finish) {
  return finishes;
}
std::span<const Named<WeighedItem>> names(WeighedItem) {
  return weighed;
}
std::span<const Named<FactorOf>> names(FactorOf) {
  return factors;
}
std::span<const Named<PistonPlace>> names(PistonPlace) {
  return piston_places;
}
std::span<const Named<BoltStage>> names(BoltStage) {
  return stages;
}

}  // namespace fettle::build
