#include "build/reading_rules.h"

#include <stdexcept>

namespace fettle::build {

namespace {

std::vector<ReadingRule> rules_of_timing() {
  return {
      {ReadingKind::stop_contact,
       {"cylinder", "turning", "wheel"},
       {"stop", "stop_depth", "repeats", "pass", "tool"},
       {},
       {}},
      {ReadingKind::tdc_drop,
       {"cylinder", "side", "drop", "wheel"},
       {"turning", "repeats", "pass", "tool", "lift_tool"},
       {},
       {Side::before, Side::after}},
      {ReadingKind::tdc_sweep, {"cylinder", "points"}, {"turning", "pass", "tool", "lift_tool"}, {}, {}},
      {ReadingKind::lobe_point,
       {"cylinder", "valve", "side", "wheel"},
       {"measured_at", "turning", "repeats", "pass", "position", "tool", "lift_tool"},
       {"lift", "below_max"},
       {Side::opening, Side::closing}},
      {ReadingKind::lobe_top,
       {"cylinder", "valve"},
       {"measured_at", "turning", "repeats", "pass", "position", "tool", "lift_tool"},
       {"wheel", "lift"},
       {}},
      {ReadingKind::lobe_sweep,
       {"cylinder", "valve", "points"},
       {"measured_at", "turning", "pass", "position", "tool", "lift_tool"},
       {},
       {}},
      {ReadingKind::chain_slack, {"slack"}, {"repeats", "pass", "tool"}, {}, {}},
  };
}

std::vector<ReadingRule> rules_of_top_end() {
  return {
      {ReadingKind::spring_load,
       {"cylinder", "valve", "height", "load"},
       {"again", "tester", "gauge"},
       {},
       {}},
      {ReadingKind::installed_height, {"cylinder", "valve", "height"}, {"shim", "again", "gauge"}, {}, {}},
      {ReadingKind::solid_height, {"cylinder", "valve", "height"}, {"again", "gauge"}, {}, {}},
      {ReadingKind::retainer_gap, {"cylinder", "valve", "gap"}, {"again", "gauge"}, {}, {}},
      {ReadingKind::valve_drop,
       {"cylinder", "valve", "drop"},
       {"wheel", "gasket", "milled", "cut", "tool", "lift_tool"},
       {},
       {}},
      {ReadingKind::clay,
       {"cylinder", "valve", "gap"},
       {"again", "position", "gasket", "milled", "cut", "gauge"},
       {},
       {}},
      {ReadingKind::notch_gap, {"cylinder", "valve", "gap"}, {"again", "gauge"}, {}, {}},
      {ReadingKind::tip_mark,
       {"cylinder", "valve", "offset"},
       {"width", "pushrod", "gasket", "milled", "cut", "again", "gauge"},
       {},
       {}},
      {ReadingKind::preload_turns,
       {"cylinder", "valve", "turns"},
       {"pushrod", "gasket", "milled", "cut"},
       {},
       {}},
      {ReadingKind::plunger_depth,
       {"cylinder", "valve", "depth"},
       {"pushrod", "gasket", "milled", "cut", "again", "gauge"},
       {},
       {}},
      {ReadingKind::valve_lash,
       {"cylinder", "valve", "gap"},
       {"warmth", "firing", "shim", "again", "gauge"},
       {},
       {}},
      {ReadingKind::bucket_shim, {"cylinder", "valve", "thickness"}, {"shim", "again", "gauge"}, {}, {}},
  };
}

std::vector<ReadingRule> rules_of_volumes_and_fasteners() {
  return {
      {ReadingKind::chamber_fill, {"cylinder", "volume"}, {"again", "milled", "tester"}, {}, {}},
      {ReadingKind::dish_fill, {"cylinder", "volume"}, {"piston", "again", "deepened", "tester"}, {}, {}},
      {ReadingKind::piston_fill,
       {"cylinder", "depth", "volume"},
       {"piston", "again", "deepened", "tester", "gauge"},
       {},
       {}},
      {ReadingKind::gasket_crush, {"size"}, {"gasket", "again", "gauge"}, {}, {}},
      {ReadingKind::gasket_bore, {"size"}, {"again", "gauge"}, {}, {}},
      {ReadingKind::compression_gauge, {"cylinder", "pressure"}, {"again", "tester"}, {}, {}},
      {ReadingKind::deck_clearance,
       {"cylinder", "below"},
       {"place", "piston", "again", "cut", "gauge"},
       {},
       {}},
      {ReadingKind::bolt_length,
       {"fastener", "number", "stage", "size"},
       {"torque", "again", "gauge", "tester"},
       {},
       {}},
      {ReadingKind::bolt_torque, {"fastener", "number", "torque"}, {"again", "tester"}, {}, {}},
      {ReadingKind::bolt_turn, {"fastener", "number", "angle"}, {}, {}, {}},
      {ReadingKind::part_weight,
       {"item", "mass"},
       {"cylinder", "valve", "piston", "rod", "lightened", "again", "tester"},
       {},
       {}},
  };
}

std::vector<ReadingRule> rules_of_bottom_end() {
  return {
      {ReadingKind::journal_diameter,
       {"diameter"},
       {"along", "around", "again", "gauge"},
       {"main", "cylinder"},
       {}},
      {ReadingKind::housing_bore,
       {"diameter"},
       {"rod", "along", "around", "again", "gauge"},
       {"main", "cylinder"},
       {}},
      {ReadingKind::bearing_bore,
       {"diameter"},
       {"rod", "along", "around", "shells", "again", "gauge"},
       {"main", "cylinder"},
       {}},
      {ReadingKind::shell_wall, {"wall"}, {"half", "shells", "again", "gauge"}, {"main", "cylinder"}, {}},
      {ReadingKind::film_strip, {"gap"}, {"rod", "shells", "again", "gauge"}, {"main", "cylinder"}, {}},
      {ReadingKind::end_play, {"gap"}, {"again", "gauge"}, {}, {}},
      {ReadingKind::rod_side, {"cylinder", "gap"}, {"again", "gauge"}, {}, {}},
      {ReadingKind::bore_diameter,
       {"cylinder", "diameter"},
       {"along", "around", "temperature", "honed", "again", "gauge"},
       {},
       {}},
      {ReadingKind::piston_diameter, {"piston", "diameter"}, {"temperature", "again", "gauge"}, {}, {}},
      {ReadingKind::ring_gap, {"cylinder", "ring", "gap"}, {"honed", "again", "gauge"}, {}, {}},
      {ReadingKind::ring_side, {"cylinder", "ring", "gap"}, {"again", "gauge"}, {}, {}},
  };
}

std::vector<ReadingRule> all_rules() {
  std::vector<ReadingRule> all;
  for (auto&& part :
       {rules_of_timing(), rules_of_top_end(), rules_of_volumes_and_fasteners(), rules_of_bottom_end()}) {
    all.insert(all.end(), part.begin(), part.end());
  }
  return all;
}

}  // namespace

const ReadingRule& rule_for(ReadingKind kind) {
  static const std::vector<ReadingRule> rules = all_rules();
  for (const ReadingRule& rule : rules) {
    if (rule.kind == kind) {
      return rule;
    }
  }
  throw std::invalid_argument("rule_for: a kind of reading without a rule");
}

}  // namespace fettle::build
