#pragma once

namespace fettle::mechanism {

/// Preload of a hydraulic tappet: how far its plunger is pushed in with the valve closed and the tappet on
/// the base circle, m along the tappet. A solid tappet's lash at the tappet is the negative of it. All for
/// small movements from zero lash with arms about square to pushrod and valve; RockerTrain::slack() gives the
/// exact figure of a given geometry. Each throws std::invalid_argument for numbers that are not finite and
/// for a pitch or ratio that is not above zero. Source: plane geometry; the thread's pitch is m per turn.

/// What tightens onto the plunger.
enum class Adjuster {
  pivot,       ///< nut on the stud, or the pedestal's bolt: lowers the pivot by pitch a turn, the pushrod by
               ///< pitch (1 + 1/ratio), since the rocker turns about the valve's tip
  pushrod_end  ///< screw in the rocker over the pushrod: lowers it by pitch a turn
};

/// Preload that one turn past zero lash adds, m.
double preload_per_turn(Adjuster adjuster, double thread_pitch, double ratio);

/// Preload after turns past zero lash, m; negative turns give lash at the tappet.
double preload_from_turns(Adjuster adjuster, double turns, double thread_pitch, double ratio);

/// Turns past zero lash that give a preload.
double turns_for_preload(Adjuster adjuster, double preload, double thread_pitch, double ratio);

/// From depths of the plunger below its retainer, free and in place, m.
double preload_from_plunger(double free_depth, double depth_in_place);

/// Preload after the head has come down by `lowered` toward the block along the pushrod (milling, decking, a
/// thinner gasket; m) and the valve's tip stands out by `tip_raised` more (m).
double preload_after(double preload, double lowered, double tip_raised, double ratio);

/// Place of the plunger in its travel, 0 at the retainer, 1 at the bottom; below 0 it has lash, above 1 it
/// is bottomed and holds the valve open. travel > 0.
double plunger_place(double preload, double travel);

/// Lash at the valve when hot from cold, m: each part grows by its expansion coefficient times its length
/// times its rise of temperature. Lash grows with what carries the rocker (head, block) and shrinks with
/// what lies between cam and valve's seat (pushrod, valve).
struct WarmPart {
  double expansion = 0.0;         ///< 1/K
  double length = 0.0;            ///< m, along the valve or the pushrod
  double temperature_rise = 0.0;  ///< K
  bool widens_lash = false;       ///< carries the rocker or the cam; else it fills the gap
  bool at_pushrod = false;        ///< its growth counts at the pushrod: times the ratio at the valve
};
double warm_growth(const WarmPart& part, double ratio);  ///< change of lash at the valve, m

}  // namespace fettle::mechanism
