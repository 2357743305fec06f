#pragma once

#include <optional>
#include <string>
#include <vector>

#include "quantity/quantity.h"

/// The parts that the stations Compression, Deck, Fasteners and Balance look at. Plain data, as types.h.
namespace fettle::build {

/// The combustion chamber in the head.
struct Chamber {
  std::optional<quantity::Volume> volume;  ///< as the maker has it; where a chamber was not poured
  std::optional<quantity::Area> area;      ///< open at the head's face: what milling takes off per depth
  std::optional<quantity::Length> milled;  ///< taken off the head's face in all
};

/// The crowns of the pistons. Volumes are net: dish and valve notches less dome, negative for a dome.
struct Crowns {
  std::optional<quantity::Length> compression_height;  ///< pin to the flat of the crown
  std::optional<quantity::Volume> dish;                ///< as the maker has it; 0 for a flat top
  std::optional<quantity::Volume> deepened;            ///< cut out of each crown in all
  std::optional<quantity::Length> land_diameter;       ///< of the land above the top ring
  std::optional<quantity::Length> land_height;
};

/// The deck of the block.
struct Deck {
  std::optional<quantity::Length> height;  ///< crank axis to deck, before anything was cut off it
  std::optional<quantity::Length> cut;     ///< taken off the deck in all
};

/// What is wanted of the compression, and the air it is cranked in.
struct CompressionPlan {
  std::optional<double> wanted_ratio;
  std::optional<quantity::Pressure> barometer;  ///< absolute, at the bench; wins over the altitude
  std::optional<quantity::Length> altitude;     ///< default: sea level
  std::optional<quantity::Temperature> air;     ///< default: 20 C
  std::optional<quantity::RotationalSpeed> cranking_speed;  ///< default: 200 rpm
  std::optional<double> exponent;                           ///< polytropic; default: 1.30
  std::optional<quantity::Area> leak;  ///< effective, of all leaks of a cylinder; default: none
};

enum class FastenerUse { rod, main, head, other };
enum class ThreadKind { unified, metric };
/// State of thread and face, which gives the nut factor.
enum class Finish { black, zinc_plated, lubricated, cadmium_plated };

/// A set of like bolts or studs.
struct Fastener {
  std::optional<FastenerUse> use;  ///< default: other
  quantity::Length diameter = quantity::Length::from_si(0);
  quantity::Length pitch = quantity::Length::from_si(0);
  std::optional<ThreadKind> thread;                ///< default: unified
  std::optional<quantity::Length> shank_diameter;  ///< or waist; default: the nominal one
  std::optional<quantity::Length> shank_length;    ///< under tension
  std::optional<quantity::Length> thread_length;   ///< under tension, in the grip
  std::optional<std::string> grade;                ///< "8", "10.9"
  std::optional<quantity::Pressure> proof_strength;
  std::optional<quantity::Pressure> yield_strength;
  std::optional<quantity::Pressure> modulus;  ///< default: 207 GPa
  std::optional<Finish> finish;               ///< default: lubricated
  std::optional<double> nut_factor;           ///< wins over the finish
  std::optional<int> count;                   ///< in the set
  std::optional<quantity::Length> stretch_least;
  std::optional<quantity::Length> stretch_most;
};

/// Parts that are weighed. Ends of a rod on two scales; the bearing is both shells of one rod. From `valve`
/// on they are of the valve train.
enum class WeighedItem {
  big_end,
  small_end,
  whole_rod,
  rod_bearing,
  piston,
  pin,
  locks,
  rings,

  valve,
  retainer,
  spring,
  rocker,
  pushrod,
  lifter
};

/// Whether a part belongs to the valve train, not to the crank's.
inline bool of_valve_train(WeighedItem item) {
  return item >= WeighedItem::valve;
}

/// What the balance factor is a part of.
enum class FactorOf { reciprocating, all };

/// Metal taken off one part since it was first weighed.
struct TakenOff {
  WeighedItem item = WeighedItem::piston;
  int number = 1;  ///< marked on the piston or the rod
  quantity::Mass amount = quantity::Mass::from_si(0);
};

/// What may be taken off one part of a kind in all.
struct SpareMetal {
  WeighedItem item = WeighedItem::piston;
  quantity::Mass most = quantity::Mass::from_si(0);
};

struct Balance {
  std::optional<double> factor;                    ///< default: 0.5 for a V8 of 90 degrees, else none
  std::optional<FactorOf> factor_of;               ///< default: reciprocating
  std::optional<quantity::Mass> oil;               ///< on one crank pin; default: 5 g
  std::optional<int> rods_a_pin;                   ///< default: 2 in a V, else 1
  std::optional<quantity::Mass> crank_bobweight;   ///< that the crank was balanced to
  std::optional<quantity::Length> bore_spacing;    ///< along the crank
  std::optional<quantity::Length> bank_stagger;    ///< second bank behind the first
  std::optional<quantity::RotationalSpeed> speed;  ///< at which forces are told; default: the redline
  std::vector<TakenOff> taken_off;                 ///< of pistons and ends of rods
  std::vector<SpareMetal> spare;                   ///< default: as usual
};

/// Where on a piston its deck clearance was read.
enum class PistonPlace { on_axis, front, rear, inboard, outboard };

/// When a fastener's length was taken.
enum class BoltStage { before, tight, after };

}  // namespace fettle::build
