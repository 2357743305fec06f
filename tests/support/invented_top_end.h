#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <span>

#include "stations/report.h"
#include "support/invented_shop.h"

/// The top end of an invented shop's engine: what is true of every spring, valve, mark and lash, and readings
/// of them with the errors of the tools named in the build (draws.h). One seed beside the shop's draws it
/// all.
///
/// The truth about a plan (all uniform): installed heights ± 0.004 in, spring rates ± 1.5 %, solid heights ±
/// 0.003 in, retainer gaps ± 0.010 in, drops ± 0.006 in, marks 0.004 ± 0.008 in off the middle and 0.055 ±
/// 0.008 in wide, rim to notch 0.070 ± 0.008 in, preload 0.55 ± 0.12 turns. Lashes lie within ± 0.0002 in of
/// the plan's; with shims under the buckets within ± 0.0035 in, as after a valve job.
namespace fettle::invented {

class TopEnd {
 public:
  /// With `noise_as_known` each tool's noise differs from the one it states as far as that counts as unknown.
  TopEnd(Shop& shop, std::uint64_t seed, bool noise_as_known = false);

  /// Springs, valves, gasket, lash, followers and the tools of the top end; with shims, those fitted and to
  /// be had.
  void add_parts(build::Build& build) const;

  /// Each adds readings of one valve to a build.
  void read_height(build::Build& build, const stations::LobeKey& key);
  void read_loads(build::Build& build, const stations::LobeKey& key, int loads = 4);
  void read_solid(build::Build& build, const stations::LobeKey& key);
  void read_retainer(build::Build& build, const stations::LobeKey& key);
  /// The drop at TDC, and at angles after overlap TDC by the wheel, degrees.
  void read_drop(build::Build& build, const stations::LobeKey& key);
  void read_drops(build::Build& build, const stations::LobeKey& key, std::span<const double> at_deg);
  void read_notch(build::Build& build, const stations::LobeKey& key);
  void read_mark(build::Build& build, const stations::LobeKey& key);
  void read_preload(build::Build& build, const stations::LobeKey& key);
  void read_lash(build::Build& build, const stations::LobeKey& key);
  void read_shim(build::Build& build, const stations::LobeKey& key);

  /// What is true of a finding of one valve; nothing of those it does not know.
  std::optional<double> truth(const stations::Finding& finding) const;
  /// Lift of the valve, net of lash, m, at a crank angle signed from its own overlap TDC.
  double valve_lift(const stations::LobeKey& key, double angle) const;
  double clearance(const stations::LobeKey& key) const;  ///< to the piston, least, by brute force
  double shim(const stations::LobeKey& key) const { return valves_.at(key).shim; }
  double lash(const stations::LobeKey& key) const { return valves_.at(key).lash; }

 private:
  struct Valve {
    double height = 0, rate = 0, free_length = 0, solid = 0, retainer_gap = 0, drop = 0, notch = 0;
    double mark_offset = 0, mark_width = 0, turns = 0, lash = 0, shim = 0;
  };
  build::Reading at(build::ReadingKind kind, const stations::LobeKey& key);
  ShownBy& tool(const char* name) { return tools_.at(name); }
  double drop_at(const stations::LobeKey& key, double angle) const;
  double closest(const stations::LobeKey& key) const;
  double net_lift(const stations::LobeKey& key) const;
  double load(const Valve& valve, double height) const { return valve.rate * (valve.free_length - height); }
  void draw(const stations::LobeKey& key);
  void add_rockers(build::Build& build) const;

  Shop& shop_;
  Draws draws_;
  std::map<std::string, build::Tool> kit_;
  std::map<std::string, ShownBy> tools_;
  std::map<stations::LobeKey, Valve> valves_;
};

}  // namespace fettle::invented
