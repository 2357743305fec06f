#include "build/validate_breathing.h"

#include <set>

#include <fmt/format.h>

#include "build/bounds.h"
#include "quantity/angle.h"

namespace fettle::build {
namespace {

constexpr double degree = quantity::radians_per_degree;
constexpr double litre = 1e-3;
constexpr double rpm = 2 * 3.14159265358979323846 / 60;
constexpr double cfm = 0.3048 * 0.3048 * 0.3048 / 60;

const char* const diameters = "5 to 500 mm";
const char* const depressions = "0.1 to 50 kPa";

void check_flow_point(const FlowPoint& point, const std::string& place, Problems& problems) {
  Bounds bounds(place, problems);
  bounds.check("lift", point.lift, 1e-5, 0.05, "more than nothing, at most 50 mm", "\"0.400 in\"");
  if (point.flow.has_value() == point.coefficient.has_value()) {
    problems.push_back({place, point.flow ? "both a flow and a coefficient" : "neither flow nor coefficient",
                        "one of flow and coefficient", "\"flow\": \"205 cfm\""});
  }
  if (point.flow) {
    bounds.check("flow", *point.flow, 1e-3 * cfm, 1e4 * cfm, "more than nothing, at most 10000 cfm",
                 "\"205 cfm\"");
  }
  if (point.coefficient) {
    bounds.check("coefficient", *point.coefficient, 0.01, 1.0, "0.01 to 1", "0.65");
  }
}

void check_port(const HeadPort& port, const std::string& place, Problems& problems) {
  Bounds bounds(place, problems);
  if (port.valves) {
    bounds.check("valves", *port.valves, 1, 3, "1 to 3 valves", "1");
  }
  bounds.check("throat_diameter", port.throat_diameter, 0.005, 0.5, diameters, "\"1.70 in\"");
  bounds.check("length", port.length, 0.005, 2, "5 mm to 2 m", "\"4.0 in\"");
  bounds.check("diameter", port.diameter, 0.005, 0.5, diameters, "\"1.80 in\"");
  bounds.check("depression", port.depression, 100, 50e3, depressions, "\"28 inH2O\"");
  for (std::size_t i = 0; i < port.flow.size(); ++i) {
    const std::string at = fmt::format("{}.flow[{}]", place, i);
    check_flow_point(port.flow[i], at, problems);
    if (i > 0 && !(port.flow[i].lift > port.flow[i - 1].lift)) {
      problems.push_back({at + ".lift", fmt::format("\"{}\"", port.flow[i].lift.typed()),
                          "lifts that grow from one point to the next", ""});
    }
  }
}

void check_intake(const Intake& intake, Problems& problems) {
  Bounds bounds("intake", problems);
  bounds.check("runner_length", intake.runner_length, 0.02, 5, "20 mm to 5 m", "\"7.0 in\"");
  bounds.check("runner_diameter", intake.runner_diameter, 0.005, 0.5, diameters, "\"1.90 in\"");
  bounds.check("plenum_volume", intake.plenum_volume, 0.01 * litre, 1000 * litre, "0.01 to 1000 L",
               "\"2.5 L\"");
  if (intake.throttles) {
    bounds.check("throttles", *intake.throttles, 1, 64, "1 to 64 bores", "4");
  }
  bounds.check("throttle_bore", intake.throttle_bore, 0.005, 0.5, diameters, "\"1.69 in\"");
  bounds.check("throttle_flow", intake.throttle_flow, cfm, 1e5 * cfm, "1 to 100000 cfm", "\"650 cfm\"");
  bounds.check("throttle_depression", intake.throttle_depression, 100, 50e3, depressions, "\"1.5 inHg\"");
}

void check_groups(const Exhaust& exhaust, int cylinders, Bounds& bounds) {
  constexpr std::size_t most_in_group = 7;  // a junction joins eight pipes, the collector among them
  std::set<int> seen;
  bool sound = true;
  for (const auto& group : exhaust.groups) {
    sound = sound && !group.empty() && group.size() <= most_in_group;
    for (const int cylinder : group) {
      sound = sound && cylinder >= 1 && cylinder <= cylinders && seen.insert(cylinder).second;
    }
  }
  if (!exhaust.groups.empty() && (!sound || static_cast<int>(seen.size()) != cylinders)) {
    std::string given;
    for (const auto& group : exhaust.groups) {
      given += fmt::format("{}[{}]", given.empty() ? "" : ",", fmt::join(group, ","));
    }
    bounds.refuse(
        "groups", fmt::format("[{}]", given),
        fmt::format("every cylinder from 1 to {} once, at most {} in a group", cylinders, most_in_group),
        "[[1,3,5,7],[2,4,6,8]]");
  }
}

void check_exhaust(const Exhaust& exhaust, int cylinders, Problems& problems) {
  Bounds bounds("exhaust", problems);
  const char* const lengths = "20 mm to 20 m";
  bounds.check("primary_length", exhaust.primary_length, 0.02, 20, lengths, "\"34 in\"");
  bounds.check("primary_diameter", exhaust.primary_diameter, 0.005, 0.5, diameters, "\"1.62 in\"");
  bounds.check("collector_length", exhaust.collector_length, 0.02, 20, lengths, "\"12 in\"");
  bounds.check("collector_diameter", exhaust.collector_diameter, 0.005, 0.5, diameters, "\"3.0 in\"");
  bounds.check("tail_length", exhaust.tail_length, 0.02, 20, lengths, "\"40 in\"");
  bounds.check("tail_diameter", exhaust.tail_diameter, 0.005, 0.5, diameters, "\"2.5 in\"");
  check_groups(exhaust, cylinders, bounds);
}

void check_fuel(const Fuel& fuel, Problems& problems) {
  Bounds bounds("fuel", problems);
  if (fuel.octane) {
    bounds.check("octane", *fuel.octane, 60.0, 130.0, "60 to 130", "93");
  }
  if (fuel.lambda) {
    bounds.check("lambda", *fuel.lambda, 0.6, 1.6, "0.6 to 1.6", "0.88");
  }
  if (fuel.air_fuel_ratio) {
    bounds.check("air_fuel_ratio", *fuel.air_fuel_ratio, 9.0, 24.0, "9 to 24", "12.8");
  }
  if (fuel.lambda && fuel.air_fuel_ratio) {
    bounds.refuse("lambda", "both lambda and air_fuel_ratio", "one of the two", "0.88");
  }
}

void check_ignition(const Ignition& ignition, Problems& problems) {
  for (std::size_t i = 0; i < ignition.advance.size(); ++i) {
    const SparkPoint& point = ignition.advance[i];
    Bounds bounds(fmt::format("ignition.advance[{}]", i), problems);
    bounds.check("speed", point.speed, 0, 30000 * rpm, "0 to 30000 rpm", "\"3000 rpm\"");
    bounds.check("advance", point.advance, -20 * degree, 80 * degree, "-20 to 80 deg", "\"32 deg\"");
    if (i > 0 && !(point.speed > ignition.advance[i - 1].speed)) {
      bounds.refuse("speed", fmt::format("\"{}\"", point.speed.typed()),
                    "speeds that grow from one point to the next", "");
    }
  }
}

}  // namespace

void check_breathing(const Build& build, int cylinders, Problems& problems) {
  Bounds engine("engine", problems);
  if (build.engine.compression_ratio) {
    engine.check("compression_ratio", *build.engine.compression_ratio, 4.0, 25.0, "4 to 25", "9.8");
  }
  if (build.head) {
    Bounds head("head", problems);
    head.check("chamber", build.head->chamber, 0.1e-6, 100 * litre, "0.1 cc to 100 L", "\"64 cc\"");
    head.check("plug_offset", build.head->plug_offset, 0, 0.5, "0 to 500 mm", "\"0.9 in\"");
    if (build.head->intake) {
      check_port(*build.head->intake, "head.intake", problems);
    }
    if (build.head->exhaust) {
      check_port(*build.head->exhaust, "head.exhaust", problems);
    }
  }
  if (build.intake) {
    check_intake(*build.intake, problems);
  }
  if (build.exhaust) {
    check_exhaust(*build.exhaust, cylinders, problems);
  }
  if (build.fuel) {
    check_fuel(*build.fuel, problems);
  }
  if (build.ignition) {
    check_ignition(*build.ignition, problems);
  }
}

}  // namespace fettle::build
