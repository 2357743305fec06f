#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "build/block_parts.h"
#include "build/short_block.h"
#include "build/valve_gear.h"
#include "quantity/dimension.h"
#include "quantity/quantity.h"

/// The build: what the parts of one engine should be, what was read off it, and with which tool. Plain data;
/// describe.h says how each part stands in the document, validate.h what must hold between the parts.
namespace fettle::build {

using quantity::Angle;
using quantity::Flow;
using quantity::Force;
using quantity::Length;
using quantity::Mass;
using quantity::Pressure;
using quantity::RotationalSpeed;
using quantity::SpringRate;
using quantity::Volume;

enum class Valve { intake, exhaust };

/// A quantity whose dimension is known only from what was typed (a tool's resolution, a limit).
struct Measure {
  quantity::Dimension dimension = quantity::Dimension::length;
  double si = 0;
  std::string typed;
};

/// What a degree wheel showed: a plain number of degrees ("346", "41.5 deg") or degrees from a dead centre as
/// many wheels are numbered ("14 BTDC"). Radians from its TDC mark, not wrapped: along the wheel's own
/// numbers or, from a dead centre, along the running rotation.
struct WheelMark {
  double radians = 0;
  std::string typed;
  bool from_dead_centre = false;

  /// Along the wheel's own numbers; `counting` is +1 where they grow as the crank turns forward, else -1.
  double number(double counting) const { return from_dead_centre ? counting * radians : radians; }
};

/// Direction of the crank's running rotation, seen from the wheel end.
enum class Rotation { clockwise, counterclockwise };

/// Which column of common practice gives the limits that nobody typed.
enum class Practice { street_pushrod, performance_pushrod, twin_cam, vintage_solid };

struct Engine {
  std::string layout;                   ///< "V8", "inline 6", "flat 4", "V2", "single"
  std::vector<int> firing_order;        ///< a permutation of 1..n
  std::vector<Angle> firing_intervals;  ///< crank angle from each firing to the next; empty: even
  std::optional<Angle> bank_angle;      ///< between the two banks
  Rotation turning = Rotation::clockwise;
  std::optional<Practice> practice;  ///< default: street_pushrod
  Length bore = Length::from_si(0);
  Length stroke = Length::from_si(0);
  Length rod_length = Length::from_si(0);
  std::optional<Length> pin_offset;         ///< positive toward the major thrust side
  std::optional<double> compression_ratio;  ///< static, as the parts should give it
  /// Cylinders of each bank from front to rear, the second bank `bank_angle` on from the first in the
  /// direction of rotation or against it; empty: in line, else not known.
  std::vector<std::vector<int>> banks;
};

enum class Follower { flat, roller, bucket, finger };
/// Where a lift is counted: on the lobe (lifter), or on the valve behind the rocker.
enum class LiftBasis { lobe, valve };

struct CardDuration {
  Length at = Length::from_si(0);
  Angle duration = Angle::from_si(0);
};

struct CardEvent {
  Length at = Length::from_si(0);
  std::string opening;  ///< "14 BTDC": as the card prints it
  std::string closing;  ///< "38 ABDC"
};

struct LobeCard {
  std::optional<Angle>
      centerline;  ///< crank degrees: intake after, exhaust before overlap TDC; both positive
  std::optional<Length> lift;
  std::vector<CardDuration> durations;
  std::vector<CardEvent> events;
};

struct CamCard {
  std::optional<LobeCard> intake;
  std::optional<LobeCard> exhaust;
  std::optional<Angle> lobe_separation;
  std::optional<LiftBasis> basis;  ///< where the card counts lift; default: lobe
};

struct Cam {
  Follower follower = Follower::flat;
  std::optional<CamCard> card;
  std::optional<Angle> wanted_centerline;  ///< intake, as the builder wants it installed; default: the card's
};

/// Which degrees the marks of a timing set are in.
enum class MarkedIn { crank, cam };

struct TimingSet {
  std::vector<Angle> positions;       ///< offered; positive advances the cam
  std::optional<Angle> fitted;        ///< one of them
  std::optional<bool> continuous;     ///< anything between the least and the greatest position can be set
  std::optional<MarkedIn> marked_in;  ///< default: crank
  std::optional<int> cam_teeth;       ///< of the cam's sprocket or gear
  /// Twin cams that are set each by itself: where the exhaust cam stands, `fitted` then being the intake's.
  std::optional<Angle> exhaust_fitted;
};

enum class LifterKind { solid, hydraulic };

/// Where the valve gear is adjusted, which decides what one turn of the thread does.
enum class AdjusterKind { stud_nut, pedestal_bolt, pushrod_screw, none };

struct Lifters {
  LifterKind kind = LifterKind::solid;
  std::optional<bool> checking;  ///< a solid checking lifter stands in for the hydraulic one while reading
  std::optional<Length> plunger_travel;  ///< hydraulic: from the circlip to the bottom
  std::optional<AdjusterKind> adjuster;
  std::optional<Length> thread_pitch;  ///< of the adjuster
};

enum class SpringsFitted { none, checking, running };

enum class WireMaterial { music, oil_tempered, hard_drawn, chrome_vanadium, chrome_silicon };
/// How the ends of a spring are made.
enum class SpringEnds { plain, plain_ground, squared, squared_ground };

/// One coil spring of a set as it is wound.
struct SpringWire {
  Length wire_diameter = Length::from_si(0);
  Length outside_diameter = Length::from_si(0);  ///< at the largest coil
  std::optional<Length> least_outside_diameter;  ///< of the smallest coil, where the spring tapers
  double total_coils = 0;
  std::optional<SpringEnds> ends;  ///< default: squared_ground
  std::optional<Length> free_length;
  std::optional<WireMaterial> material;  ///< default: chrome_silicon
  std::optional<Length> seat_step;       ///< how far its seat stands above that of the outermost spring
};

/// What the springs of one kind of valve should be.
struct SpringSpec {
  std::optional<Length> installed_height;  ///< retainer to spring seat with the valve closed, as wanted
  std::optional<Force> seat_load;          ///< at the installed height
  std::optional<SpringRate> rate;
  std::optional<Length> solid_height;  ///< coil bind
  std::vector<SpringWire> coils;       ///< outermost first
  // What the sheet allows its figures to be off either way; left out, they are taken as exact.
  std::optional<SpringRate> rate_tolerance;
  std::optional<Length> solid_tolerance;
  std::optional<Length> wire_tolerance;  ///< of the wire's diameter, all springs of the set alike
};

struct ShimStock {
  Length thickness = Length::from_si(0);
  std::optional<int> count;  ///< on the shelf; default: as many as wanted
};

/// All shims under one spring together.
struct FittedShims {
  int cylinder = 1;
  Valve valve = Valve::intake;
  Length thickness = Length::from_si(0);
};

struct Springs {
  std::optional<SpringSpec> intake;
  std::optional<SpringSpec> exhaust;
  std::vector<ShimStock> shims;
  std::vector<FittedShims> fitted;
};

struct ValvePart {
  std::optional<Length> head_diameter;
  std::optional<Length> stem_diameter;
  std::optional<Length> length;
  std::optional<Angle> angle;  ///< of its axis to that of the bore
  std::optional<Mass> mass;
};

struct Valves {
  std::optional<ValvePart> intake;
  std::optional<ValvePart> exhaust;
  std::optional<Length>
      spacing;  ///< between the centres of the two heads, closed, where they lean toward each other
};

struct Gasket {
  Length thickness = Length::from_si(0);  ///< crushed, the one fitted now
  std::vector<Length> choices;            ///< crushed thicknesses to be had
  std::optional<Length> bore;
};

enum class RodMaterial { steel, aluminium, titanium };

struct Rods {
  std::optional<RodMaterial> material;       ///< default: steel
  std::optional<quantity::Area> least_area;  ///< of the shank
  std::optional<Mass> reciprocating_mass;    ///< piston, pin, rings, locks and small end of one cylinder
  std::optional<Length> big_end_clearance;
  std::optional<quantity::RotationalSpeed> redline;
  std::vector<int> fitted;  ///< which rod, by its mark, stands in cylinder 1, 2 ...
};

struct Pushrods {
  std::optional<Length> length;  ///< of those fitted now, over the ball ends
  std::vector<Length> choices;   ///< lengths to be had
  std::optional<Length> outside_diameter;
  std::optional<Length> wall;
  std::optional<Pressure> yield_strength;
  std::optional<Length> ball_diameter;  ///< of both ends; default: 5/16 in
  std::optional<Angle> angle;           ///< of their axis to that of the bores; default: 0
};

/// What runs on the valve's tip: a pad that slides, or a roller.
enum class TipKind { pad, roller };

/// One rocker with its pushrod and valve in their plane, the valve closed, the lifter on its base circle and
/// the lash just taken up. Leans are from the valve's axis, positive where the upper end leans toward the
/// valve. Arms end at the centre of the tip's circle and of the pushrod's ball.
struct RockerDimensions {
  Length pivot_to_valve = Length::from_si(0);  ///< from the valve's axis, square to it
  Length pivot_height = Length::from_si(0);    ///< above the valve's tip, along the valve
  Length tip_arm = Length::from_si(0);
  Length cup_arm = Length::from_si(0);
  Angle arm_angle = Angle::from_si(0);  ///< between the arms, over the top of the rocker
  Length tip_radius = Length::from_si(0);
  std::optional<TipKind> tip;  ///< default: pad
  Angle pushrod_lean = Angle::from_si(0);
  std::optional<Angle> lifter_lean;  ///< default: in line with the pushrod
  std::optional<Angle> stud_lean;    ///< of what raises the pivot; default: along the valve
  std::optional<Length> pushrod;     ///< length of the one in place while measuring; default: the one fitted
  // How high the head stood while measuring; default: as it does now.
  std::optional<Length> gasket;  ///< crushed
  std::optional<Length> milled;  ///< off the head by then
  std::optional<Length> cut;     ///< off the deck by then
};

struct RockerGeometry {
  std::optional<RockerDimensions> intake;
  std::optional<RockerDimensions> exhaust;
};

struct Rockers {
  std::optional<double> intake_ratio;
  std::optional<double> exhaust_ratio;
  std::optional<RockerGeometry> geometry;
};

struct Lash {
  std::optional<Length> intake;
  std::optional<Length> exhaust;
};

/// One point of a port's flow table: what flowed at a lift, or the coefficient found there.
struct FlowPoint {
  Length lift = Length::from_si(0);   ///< of the valve
  std::optional<Flow> flow;           ///< at the table's depression
  std::optional<double> coefficient;  ///< of discharge, over the curtain's area, at most the throat's
};

/// The port of one kind of valve. Where a cylinder has several of that kind, length and diameter are of a
/// port that serves them all, and the flow is that of all open together.
struct HeadPort {
  std::optional<int> valves;              ///< of this kind in a cylinder; default: 1
  std::optional<Length> throat_diameter;  ///< under one seat
  std::optional<Length> length;           ///< from the valve to the flange, along its middle
  std::optional<Length> diameter;         ///< at the flange, of a round port of the same area
  std::optional<Pressure> depression;     ///< across port and valve for the flow figures; default: 28 inH2O
  std::vector<FlowPoint> flow;
};

struct Head {
  std::optional<Volume> chamber;
  std::optional<Length> plug_offset;  ///< of the spark plug's gap from the bore's axis
  std::optional<HeadPort> intake;
  std::optional<HeadPort> exhaust;
};

/// All runners from one box behind the throttle, or a throttle for each.
enum class IntakeKind { plenum, individual };

struct Intake {
  std::optional<IntakeKind> kind;         ///< default: plenum
  std::optional<Length> runner_length;    ///< from the head's flange to the plenum or the bell
  std::optional<Length> runner_diameter;  ///< where it begins, at the plenum or the bell
  std::optional<Volume> plenum_volume;
  std::optional<int> throttles;  ///< bores that feed the plenum; individual: one a cylinder
  std::optional<Length> throttle_bore;
  std::optional<Flow> throttle_flow;            ///< of all bores together, as a carburettor is rated
  std::optional<Pressure> throttle_depression;  ///< at which it was rated; default: 1.5 inHg
};

struct Exhaust {
  std::optional<Length> primary_length;    ///< from the head's flange to the collector
  std::optional<Length> primary_diameter;  ///< inside
  std::vector<std::vector<int>> groups;    ///< cylinders that share a collector; default: those of a bank
  std::optional<Length> collector_length;
  std::optional<Length> collector_diameter;
  std::optional<Length> tail_length;
  std::optional<Length> tail_diameter;
};

enum class FuelKind { gasoline, isooctane };

struct Fuel {
  std::optional<FuelKind> kind;          ///< default: gasoline
  std::optional<double> octane;          ///< number of the fuel as the pump states it
  std::optional<double> lambda;          ///< air over what the fuel needs
  std::optional<double> air_fuel_ratio;  ///< by mass; instead of lambda
};

struct SparkPoint {
  RotationalSpeed speed = RotationalSpeed::from_si(0);
  Angle advance = Angle::from_si(0);  ///< before firing TDC
};

struct Ignition {
  std::vector<SparkPoint> advance;  ///< with all of the advance in; empty: the one of best torque is sought
};

/// The shim at one valve's bucket, or that bucket where its own thickness sets the lash.
struct BucketShim {
  int cylinder = 1;
  Valve valve = Valve::intake;
  Length thickness = Length::from_si(0);
};

/// Shims that set the lash of a cam right above the valves.
struct BucketShims {
  std::vector<BucketShim> fitted;
  std::vector<ShimStock> stock;  ///< on the shelf
  std::vector<Length> sizes;     ///< to be bought
};

/// A finger with the valve closed, seen along the cam: pivot on one side of the valve, the cam between. The
/// place on the finger that runs on the cam is a roller, or a pad whose circle counts as one.
struct FingerDimensions {
  Length pivot_to_valve = Length::from_si(0);  ///< pivot from the valve's axis, square to it
  Length pivot_height = Length::from_si(0);    ///< above the valve's tip, along the valve; negative below
  Length tip_arm = Length::from_si(0);         ///< pivot to the centre of the circle that runs on the tip
  Length tip_radius = Length::from_si(0);      ///< of that circle
  Length roller_arm = Length::from_si(0);      ///< pivot to the roller's axle
  Angle arm_angle = Angle::from_si(0);  ///< between the two arms, positive with the roller toward the cam
  Length cam_to_valve = Length::from_si(0);  ///< cam's axis from the valve's, square to it, toward the pivot
  Length cam_height = Length::from_si(0);    ///< cam's axis above the valve's tip
};

/// What runs on the lobes of one kind of valve.
struct FollowerPart {
  std::optional<Length> base_circle;      ///< diameter
  std::optional<Length> face_diameter;    ///< of a flat tappet or bucket, where it is flat
  std::optional<Length> roller_diameter;  ///< of a roller; of a finger's roller, or of its pad's circle
  std::optional<Length> lobe_width;       ///< along the cam: the length of the contact
  std::optional<FingerDimensions> finger;
};

struct Followers {
  std::optional<FollowerPart> intake;
  std::optional<FollowerPart> exhaust;
};

enum class ToolKind {
  degree_wheel,
  angle_encoder,
  dial_indicator,
  digital_indicator,
  micrometer,
  height_micrometer,
  caliper,
  depth_gauge,
  feeler_gauge,
  scale_rule,
  load_tester,

  burette,
  weighing_scale,
  torque_wrench,
  pressure_gauge,
  bore_gauge,
  setting_ring
};

/// The way the crank was turned while a reading was taken: `forward` is the engine's running direction.
enum class Turning { forward, backward };

/// A measuring instrument. Its figures are of the dimension it measures (an angle for a wheel, a force for a
/// load tester, else a length); each is the half width of what may be off, except `noise`, a standard
/// deviation.
struct Tool {
  ToolKind kind = ToolKind::degree_wheel;
  std::optional<Measure> resolution;         ///< step between marks or digits that is read
  std::optional<Measure> permissible_error;  ///< greatest error of the instrument itself
  std::optional<Measure>
      range;  ///< its error grows in proportion to the reading, to the permissible one here
  std::optional<Measure> drift;       ///< how far its zero may wander within one reading or sweep
  std::optional<Measure> parallax;    ///< how far the eye's place may shift a reading
  std::optional<Measure> noise;       ///< standard deviation of one reading repeated
  std::optional<std::string> set_on;  ///< the tool it was set to size on; their errors then go together
  std::optional<Turning> counts;  ///< wheel: the way of turning that makes its reading grow; default forward
};

/// Which flank of the lobe, or which side of TDC, in the order of running rotation.
enum class Side { opening, closing, before, after };

/// Where an indicator stood.
enum class MeasuredAt { lifter, valve };

enum class ReadingKind {
  stop_contact,
  tdc_drop,
  tdc_sweep,
  lobe_point,
  lobe_top,
  lobe_sweep,
  chain_slack,
  spring_load,
  installed_height,
  solid_height,
  retainer_gap,
  valve_drop,
  clay,
  notch_gap,
  tip_mark,
  preload_turns,
  plunger_depth,
  valve_lash,

  bucket_shim,

  chamber_fill,
  dish_fill,
  piston_fill,
  gasket_crush,
  gasket_bore,
  compression_gauge,
  deck_clearance,
  bolt_length,
  bolt_torque,
  bolt_turn,
  part_weight,

  journal_diameter,
  housing_bore,
  bearing_bore,
  shell_wall,
  film_strip,
  end_play,
  rod_side,
  bore_diameter,
  piston_diameter,
  ring_gap,
  ring_side
};

/// Temperature of the engine while a lash was taken.
enum class Warmth { cold, hot };

struct SweepPoint {
  WheelMark wheel;
  Length lift = Length::from_si(0);
};

/// One reading. Which fields go with which kind stands in reading_rules.h.
struct Reading {
  std::optional<std::string> id;  ///< steady name of the reading within its build
  ReadingKind kind = ReadingKind::stop_contact;
  std::optional<int> cylinder;
  std::optional<Valve> valve;
  std::optional<int> main;    ///< main bearing, counted from the front
  std::optional<int> piston;  ///< number marked on the piston
  std::optional<int> rod;     ///< number marked on the rod
  std::optional<Ring> ring;
  std::optional<ShellHalf> half;
  std::optional<Side> side;
  std::optional<MeasuredAt> measured_at;  ///< default: lifter
  std::optional<Turning> turning;
  std::optional<std::string> stop;   ///< name of the stop, where several were used
  std::optional<Length> stop_depth;  ///< how far below TDC the stop holds the piston
  std::optional<Length> drop;        ///< piston below its highest place
  std::optional<Length> lift;        ///< above the base circle
  std::optional<Length> below_max;   ///< down from the top of the lobe
  std::optional<WheelMark> wheel;    ///< what the wheel showed: "41 deg", "14 BTDC"
  std::optional<Angle> slack;        ///< crank turned before the cam followed
  std::vector<WheelMark> repeats;    ///< the same reading taken again
  std::vector<SweepPoint> points;
  std::optional<Length> height;  ///< of a spring, retainer to seat
  std::optional<Force> load;     ///< of a spring
  std::optional<Length> gap;     ///< between two parts
  std::optional<Length> offset;  ///< of a mark from the middle of the valve tip, positive away from the pivot
  std::optional<Length> width;   ///< of a mark
  std::optional<Length> depth;   ///< of a plunger below its highest place
  std::optional<double> turns;   ///< of an adjuster past zero lash

  std::optional<std::string> fastener;       ///< name of its set
  std::optional<int> number;                 ///< which of the set
  std::optional<BoltStage> stage;            ///< when its length was taken
  std::optional<WeighedItem> item;           ///< what was weighed
  std::optional<PistonPlace> place;          ///< on the crown; default: on_axis
  std::optional<Length> below;               ///< piston below the deck at TDC; negative above it
  std::optional<Length> size;                ///< of a part
  std::optional<quantity::Volume> volume;    ///< poured
  std::optional<Mass> mass;                  ///< weighed
  std::optional<Pressure> pressure;          ///< above the air's
  std::optional<quantity::Torque> torque;    ///< at the wrench
  std::optional<Angle> angle;                ///< of a fastener past snug
  std::optional<Length> milled;              ///< off the head while reading; default: what is off now
  std::optional<Length> cut;                 ///< off the deck while reading; default: what is off now
  std::optional<quantity::Volume> deepened;  ///< out of the crown while reading; default: what is out now
  std::optional<Mass> lightened;             ///< off the part by then; default: what is off now

  std::optional<Length> diameter;
  std::optional<Length> wall;   ///< of a bearing shell, at its crown
  std::optional<Length> along;  ///< place along the axis: below the deck, or from the journal's front end
  std::optional<Angle> around;  ///< direction measured in, from the vertical or from the thrust direction
  std::optional<quantity::Temperature> temperature;  ///< of the part; default: 20 C
  std::optional<Length> shells;  ///< size of the shells in place; default: that of those fitted now
  std::optional<Length> honed;   ///< out of the bore by then; default: what has been by now

  std::optional<Length> shim;    ///< all shims in place while reading; default: those fitted now
  std::optional<Length> gasket;  ///< crushed gasket while reading; default: the one fitted now
  std::optional<Length>
      pushrod;  ///< length of the pushrod in place while reading; default: the one fitted now
  std::optional<Warmth> warmth;       ///< default: cold
  std::optional<Length> thickness;    ///< of a shim, as measured
  std::optional<int> firing;          ///< the cylinder that stood at its firing TDC while reading
  std::vector<Measure> again;         ///< the load, else the length of this reading taken again
  std::optional<std::string> gauge;   ///< the instrument that measured the length
  std::optional<std::string> tester;  ///< the one that measured the load
  std::optional<int> pass;            ///< 1 the first time round, 2 when repeated later; default 1
  std::optional<Angle> position;    ///< timing set's position when it was taken; default: the one fitted now
  std::optional<std::string> tool;  ///< the wheel
  std::optional<std::string> lift_tool;  ///< the indicator
  std::optional<std::string> taken;      ///< when: "2026-11-25T10:40:00Z"
  std::optional<std::string> by;
};

/// An accepted interval typed by the builder or off the maker's sheet. It wins over common practice.
struct Limit {
  std::string finding;  ///< an id of docs/findings.md
  std::optional<Valve> valve;
  std::optional<int> cylinder;
  std::optional<Length> at;         ///< check lift, for findings that have one
  std::optional<std::string> part;  ///< a set of fasteners or a kind of part, for findings that have one
  std::optional<Measure> min;
  std::optional<Measure> max;
  std::optional<std::string> source;
  std::optional<int> main = std::nullopt;  ///< main bearing
};

struct Note {
  std::string text;
  std::optional<std::string> taken;
  std::optional<std::string> by;
};

struct Build {
  int fettle = 1;  ///< version of the format
  std::string name;
  Engine engine;
  std::optional<Cam> cam;
  std::optional<TimingSet> timing_set;
  std::optional<Lifters> lifters;
  std::optional<SpringsFitted> springs_fitted;
  std::optional<Rockers> rockers;
  std::optional<Lash> lash;
  std::optional<BucketShims> bucket_shims;
  std::optional<Followers> followers;
  std::optional<Springs> springs;
  std::optional<Valves> valves;
  std::optional<Pushrods> pushrods;
  std::optional<Gasket> gasket;
  std::optional<Rods> rods;
  std::optional<Head> head;
  std::optional<Intake> intake;
  std::optional<Exhaust> exhaust;
  std::optional<Fuel> fuel;
  std::optional<Ignition> ignition;

  std::optional<Chamber> chamber;
  std::optional<Crowns> crowns;
  std::optional<Deck> deck;
  std::optional<CompressionPlan> compression;
  std::map<std::string, Fastener> fasteners;
  std::optional<Balance> balance;

  std::optional<Bearings> bearings;
  std::optional<Bores> bores;

  std::optional<TrainPlan> valve_train;

  std::map<std::string, Tool> tools;
  std::vector<Reading> readings;
  std::vector<Limit> limits;
  std::vector<Note> notes;
};

}  // namespace fettle::build
