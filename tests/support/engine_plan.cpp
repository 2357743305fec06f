#include "support/engine_plan.h"

namespace fettle::invented {
namespace {

constexpr double in = 0.0254;
constexpr double mm = 1e-3;
constexpr double lbf = 4.4482216152605;
constexpr double cc = 1e-6;
constexpr double gram = 1e-3;
constexpr double psi = 6894.757293168;

EnginePlan make_v8() {
  EnginePlan plan;
  plan.name = "Invented 5.4, bench 2";
  plan.layout = "V8";
  plan.firing_order = {1, 8, 4, 3, 6, 5, 7, 2};
  plan.bank_angle_deg = 90;
  plan.bore = 3.97 * in;
  plan.stroke = 3.44 * in;
  plan.rod_length = 5.86 * in;
  plan.pin_offset = 0.045 * in;
  plan.rocker_ratio = 1.5;
  plan.rockers_measured = true;
  plan.gasket = 0.040 * in;
  plan.intake = {.centre_deg = 108,
                 .lobe_lift = 0.2980 * in,
                 .card = {{0.006 * in, 264}, {0.050 * in, 212}, {0.200 * in, 122}},
                 .installed_height = 1.700 * in,
                 .spring_rate = 330 * lbf / in,
                 .free_length = 1.993 * in,
                 .solid_height = 1.168 * in,
                 .retainer_gap = 0.560 * in,
                 .drop = 0.262 * in,
                 .angle_deg = 15,
                 .head_diameter = 1.94 * in,
                 .base_circle = 1.600 * in,
                 .face_diameter = 0.900 * in,
                 .lobe_width = 0.480 * in};
  plan.exhaust = plan.intake;
  plan.exhaust.centre_deg = 114;
  plan.exhaust.lobe_lift = 0.3050 * in;
  plan.exhaust.card = {{0.006 * in, 272}, {0.050 * in, 221}, {0.200 * in, 131}};
  plan.exhaust.solid_height = 1.157 * in;
  plan.exhaust.drop = 0.290 * in;
  plan.exhaust.head_diameter = 1.50 * in;
  return plan;
}

EnginePlan make_whole_v8() {
  EnginePlan plan = make_v8();
  plan.banks = {{1, 3, 5, 7}, {2, 4, 6, 8}};
  plan.block = {.mains = 5,
                .main_journal = 2.4500 * in,
                .main_width = 0.82 * in,
                .main_clearance = 0.0023 * in,
                .rod_journal = 2.1000 * in,
                .rod_width = 0.84 * in,
                .rod_clearance = 0.0022 * in,
                .piston_clearance = 0.0023 * in,
                .top_gap = 0.0169 * in,
                .second_gap = 0.0198 * in,
                .ring_side = 0.0022 * in,
                .compression_height = 1.560 * in,
                .deck_clearance = 0.005 * in,
                .chamber = 69 * cc,
                .chamber_area = 82e-4,
                .dish = 8 * cc,
                .gasket_bore = 4.06 * in,
                .bore_spacing = 4.40 * in,
                .big_end = 428 * gram,
                .small_end = 176 * gram,
                .piston = 538 * gram,
                .pin = 142 * gram,
                .rings = 34 * gram,
                .locks = 3 * gram,
                .rod_bearing = 44 * gram,
                .bolt_diameter = 0.3750 * in,
                .bolt_pitch = in / 24,
                .bolt_shank = 1.40 * in,
                .bolt_thread = 0.60 * in,
                .bolt_stretch = 0.0059 * in,
                .bolt_torque_ft_lb = 51,
                .balance_factor = {},
                .bank_stagger = 0.90 * in,
                .cranking_pressure = 166 * psi,
                .redline_rpm = 5000,
                .intake_valve = 112 * gram,
                .exhaust_valve = 98 * gram,
                .retainer = 24 * gram,
                .spring = 104 * gram,
                .rocker = 128 * gram,
                .pushrod = 52 * gram,
                .lifter = 96 * gram};
  return plan;
}

EnginePlan make_six() {
  EnginePlan plan;
  plan.name = "Invented vintage six";
  plan.layout = "inline 6";
  plan.firing_order = {1, 5, 3, 6, 2, 4};
  plan.practice = build::Practice::vintage_solid;
  plan.bore = 3.44 * in;
  plan.stroke = 4.12 * in;
  plan.rod_length = 7.10 * in;
  plan.hydraulic = false;
  plan.rocker_ratio = 1.5;
  plan.rockers_measured = true;
  plan.gasket = 0.055 * in;
  plan.intake = {.centre_deg = 109,
                 .lobe_lift = 0.2460 * in,
                 .card = {{0.008 * in, 246}, {0.050 * in, 192}, {0.150 * in, 118}},
                 .lash = 0.012 * in,
                 .installed_height = 1.780 * in,
                 .spring_rate = 250 * lbf / in,
                 .free_length = 2.020 * in,
                 .solid_height = 1.300 * in,
                 .retainer_gap = 0.480 * in,
                 .drop = 0.300 * in,
                 .angle_deg = 0,
                 .head_diameter = 1.62 * in,
                 .base_circle = 1.700 * in,
                 .face_diameter = 1.000 * in,
                 .lobe_width = 0.560 * in};
  plan.exhaust = plan.intake;
  plan.exhaust.centre_deg = 112;
  plan.exhaust.lobe_lift = 0.2500 * in;
  plan.exhaust.card = {{0.008 * in, 250}, {0.050 * in, 196}, {0.150 * in, 121}};
  plan.exhaust.lash = 0.017 * in;
  plan.exhaust.drop = 0.310 * in;
  plan.exhaust.head_diameter = 1.44 * in;
  return plan;
}

EnginePlan make_four() {
  EnginePlan plan;
  plan.name = "Invented twin-cam four";
  plan.layout = "inline 4";
  plan.firing_order = {1, 3, 4, 2};
  plan.practice = build::Practice::twin_cam;
  plan.metric = true;
  plan.bore = 84.5 * mm;
  plan.stroke = 82.0 * mm;
  plan.rod_length = 139.0 * mm;
  plan.pin_offset = 0.5 * mm;
  plan.follower = build::Follower::bucket;
  plan.hydraulic = false;
  plan.cams_apart = true;
  plan.gasket = 1.10 * mm;
  plan.spacing = 36.0 * mm;
  plan.bucket_shims = true;
  plan.intake = {.centre_deg = 104,
                 .lobe_lift = 9.00 * mm,
                 .card = {{0.20 * mm, 280}, {1.00 * mm, 238}, {5.00 * mm, 150}},
                 .lash = 0.20 * mm,
                 .installed_height = 34.0 * mm,
                 .spring_rate = 46e3,
                 .free_length = 39.3 * mm,
                 .solid_height = 23.93 * mm,
                 .retainer_gap = 11.2 * mm,
                 .drop = 5.2 * mm,
                 .angle_deg = 21,
                 .head_diameter = 33.0 * mm,
                 .base_circle = 40.0 * mm,
                 .face_diameter = 32.0 * mm,
                 .lobe_width = 12.0 * mm};
  plan.exhaust = plan.intake;
  plan.exhaust.centre_deg = 106;
  plan.exhaust.lobe_lift = 8.80 * mm;
  plan.exhaust.card = {{0.20 * mm, 276}, {1.00 * mm, 234}, {5.00 * mm, 146}};
  plan.exhaust.lash = 0.28 * mm;
  plan.exhaust.solid_height = 24.21 * mm;
  plan.exhaust.drop = 5.6 * mm;
  plan.exhaust.head_diameter = 28.5 * mm;
  return plan;
}

EnginePlan make_twin() {
  EnginePlan plan;
  plan.name = "Invented odd-fire twin";
  plan.layout = "V2";
  plan.firing_order = {1, 2};
  plan.firing_intervals_deg = {410, 310};
  plan.bank_angle_deg = 50;
  plan.banks = {{1}, {2}};
  plan.bore = 3.62 * in;
  plan.stroke = 4.04 * in;
  plan.rod_length = 7.36 * in;
  plan.hydraulic = false;
  plan.rocker_ratio = 1.5;
  plan.rockers_measured = true;
  plan.gasket = 0.031 * in;
  plan.intake = {.centre_deg = 104,
                 .lobe_lift = 0.2900 * in,
                 .card = {{0.010 * in, 262}, {0.050 * in, 222}, {0.150 * in, 148}},
                 .lash = 0.006 * in,
                 .installed_height = 1.680 * in,
                 .spring_rate = 310 * lbf / in,
                 .free_length = 1.990 * in,
                 .solid_height = 1.150 * in,
                 .retainer_gap = 0.570 * in,
                 .drop = 0.318 * in,
                 .angle_deg = 24,
                 .head_diameter = 1.86 * in,
                 .base_circle = 1.420 * in,
                 .face_diameter = 0.960 * in,
                 .lobe_width = 0.520 * in};
  plan.exhaust = plan.intake;
  plan.exhaust.centre_deg = 108;
  plan.exhaust.lobe_lift = 0.2840 * in;
  plan.exhaust.card = {{0.010 * in, 266}, {0.050 * in, 226}, {0.150 * in, 150}};
  plan.exhaust.lash = 0.008 * in;
  plan.exhaust.drop = 0.330 * in;
  plan.exhaust.solid_height = 1.168 * in;
  plan.exhaust.head_diameter = 1.60 * in;
  plan.block = {.mains = 2,
                .main_journal = 1.7500 * in,
                .main_width = 0.90 * in,
                .main_clearance = 0.0022 * in,
                .rod_journal = 1.6250 * in,
                .rod_width = 0.75 * in,
                .rod_clearance = 0.0023 * in,
                .piston_clearance = 0.0024 * in,
                .top_gap = 0.0154 * in,
                .second_gap = 0.0190 * in,
                .ring_side = 0.0022 * in,
                .compression_height = 1.780 * in,
                .deck_clearance = 0.014 * in,
                .chamber = 74 * cc,
                .chamber_area = 58e-4,
                .dish = 3.5 * cc,
                .gasket_bore = 3.70 * in,
                .bore_spacing = 1.0 * in,
                .big_end = 402 * gram,
                .small_end = 186 * gram,
                .piston = 418 * gram,
                .pin = 112 * gram,
                .rings = 38 * gram,
                .locks = 3 * gram,
                .rod_bearing = 46 * gram,
                .bolt_diameter = 0.3125 * in,
                .bolt_pitch = in / 24,
                .bolt_shank = 1.30 * in,
                .bolt_thread = 0.55 * in,
                .bolt_stretch = 0.0059 * in,
                .bolt_torque_ft_lb = 27,
                .balance_factor = 0.55,
                .bank_stagger = 1.0 * in,
                .cranking_pressure = 168 * psi,
                .redline_rpm = 4000,
                .intake_valve = 88 * gram,
                .exhaust_valve = 80 * gram,
                .retainer = 22 * gram,
                .spring = 96 * gram,
                .rocker = 118 * gram,
                .pushrod = 58 * gram,
                .lifter = 92 * gram};
  return plan;
}

}  // namespace

const EnginePlan& pushrod_v8() {
  static const EnginePlan plan = make_v8();
  return plan;
}

const EnginePlan& whole_pushrod_v8() {
  static const EnginePlan plan = make_whole_v8();
  return plan;
}

const EnginePlan& vintage_six() {
  static const EnginePlan plan = make_six();
  return plan;
}

const EnginePlan& twin_cam_four() {
  static const EnginePlan plan = make_four();
  return plan;
}

const EnginePlan& odd_fire_twin() {
  static const EnginePlan plan = make_twin();
  return plan;
}

}  // namespace fettle::invented
