#pragma once

#include "build/valve_gear.h"

/// The part of describe.h for valve_gear.h.
namespace fettle::build {

template <class V>
void describe(V& v, TrainParts& x) {
  v.optional("retainer", x.retainer, "retainer with both locks; a reading of it wins", "28 g");
  v.optional("spring", x.spring, "all springs of one valve; left out: reckoned from their wire", "92 g");
  v.optional("rocker", x.rocker, "rocker or finger alone", "135 g");
  v.optional("rocker_at_tip", x.rocker_at_tip,
             "inertia of rocker or finger as felt at the valve's tip; left out: that of a slender bar of its "
             "weight",
             "32 g");
  v.optional("lifter", x.lifter, "lifter, or bucket with its shim", "95 g");
  v.optional("pushrod", x.pushrod, "pushrod; left out: reckoned from its tube", "58 g");
  v.optional("rocker_stiffness", x.rocker_stiffness,
             "of rocker and stand, by how the valve's tip gives way; left out: 20 kN/mm", "20000 N/mm");
  v.optional("cam_stiffness", x.cam_stiffness, "of lobe, lifter and camshaft; left out: 100 kN/mm",
             "100000 N/mm");
  v.optional("spring_friction", x.spring_friction,
             "of a flat damper, or between nested springs, all coils together; left out: none", "30 N");
}

template <class V>
void describe(V& v, TrainPlan& x) {
  v.optional("intake", x.intake, "moving parts of the intake valves", R"({ "retainer": "28 g" })");
  v.optional("exhaust", x.exhaust, "moving parts of the exhaust valves", R"({ "retainer": "28 g" })");
  v.optional("redline", x.redline, "greatest speed to be run; left out: rods.redline", "6200 rpm");
  v.optional("damping", x.damping, "of the contacts over the critical one; left out: 0.1", "0.1");
}

}  // namespace fettle::build
