#pragma once

#include <optional>
#include <string>
#include <vector>

#include "build/types.h"

/// Engines that are not there: what the invented shop builds. All dimensions are invented. Lengths in m,
/// angles in degrees, loads in N: as a plan is written, so are its documents, in inches or in millimetres.
namespace fettle::invented {

/// A row of the card.
struct CardRow {
  double at = 0;  ///< check lift, m
  double duration_deg = 0;
};

/// One kind of valve and what moves it.
struct ValvePlan {
  double centre_deg = 0;  ///< of the lobe on the card: intake after, exhaust before overlap TDC
  double lobe_lift = 0;   ///< m
  std::vector<CardRow> card;
  double lash = 0;  ///< m; nought with hydraulic lifters
  double installed_height = 0, spring_rate = 0, free_length = 0, solid_height = 0;  ///< m, N/m
  double retainer_gap = 0;                                                          ///< valve closed, m
  double drop = 0;                                            ///< of the valve to the piston at TDC, m
  double angle_deg = 0;                                       ///< of the valve to the bore
  double head_diameter = 0;                                   ///< m
  double base_circle = 0, face_diameter = 0, lobe_width = 0;  ///< m
};

/// The short block and what is weighed of it. Lengths in m, volumes in m³, masses in kg.
struct BlockPlan {
  int mains = 0;
  double main_journal = 0, main_width = 0, main_clearance = 0;
  double rod_journal = 0, rod_width = 0, rod_clearance = 0;
  double piston_clearance = 0, top_gap = 0, second_gap = 0, ring_side = 0;
  double compression_height = 0, deck_clearance = 0;
  double chamber = 0, chamber_area = 0, dish = 0, gasket_bore = 0;
  double bore_spacing = 0;
  double big_end = 0, small_end = 0, piston = 0, pin = 0, rings = 0, locks = 0, rod_bearing = 0;
  double bolt_diameter = 0, bolt_pitch = 0, bolt_shank = 0, bolt_thread = 0, bolt_stretch = 0;
  double bolt_torque_ft_lb = 0;
  std::optional<double> balance_factor;  ///< none: that of practice
  double bank_stagger = 0;
  double cranking_pressure = 0;  ///< above the air's, Pa
  double redline_rpm = 0;
  double intake_valve = 0, exhaust_valve = 0, retainer = 0, spring = 0, rocker = 0, pushrod = 0, lifter = 0;
};

struct EnginePlan {
  std::string name, layout;
  std::vector<int> firing_order;
  std::vector<double> firing_intervals_deg;  ///< empty: even
  std::vector<std::vector<int>> banks;
  std::optional<double> bank_angle_deg;
  build::Practice practice = build::Practice::street_pushrod;
  bool metric = false;
  double bore = 0, stroke = 0, rod_length = 0;
  std::optional<double> pin_offset;
  build::Follower follower = build::Follower::flat;
  bool hydraulic = true;
  bool cams_apart = false;  ///< intake and exhaust on cams of their own, on slotted sprockets
  double rocker_ratio = 1;
  bool rockers_measured = false;  ///< their geometry, that of the top end's papers
  double gasket = 0;              ///< crushed, m
  std::optional<double> spacing;  ///< of the heads, m
  bool bucket_shims = false;
  ValvePlan intake, exhaust;
  std::optional<BlockPlan> block;

  const ValvePlan& of(build::Valve valve) const { return valve == build::Valve::intake ? intake : exhaust; }
  int cylinders() const { return static_cast<int>(firing_order.size()); }
};

/// A pushrod V8 with hydraulic lifters: 1-8-4-3-6-5-7-2.
const EnginePlan& pushrod_v8();
/// The same with its banks and its short block.
const EnginePlan& whole_pushrod_v8();
/// A vintage inline six with solid lifters, its lash set hot: 1-5-3-6-2-4.
const EnginePlan& vintage_six();
/// A twin-cam four with shims under its buckets, one valve of a kind a cylinder: 1-3-4-2.
const EnginePlan& twin_cam_four();
/// An odd-fire V-twin of 50 degrees, both rods side by side on one pin, solid lifters: 1-2, 410 and 310
/// degrees apart.
const EnginePlan& odd_fire_twin();

}  // namespace fettle::invented
