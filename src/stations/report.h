#pragma once

#include <compare>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <nlohmann/json.hpp>

#include "build/types.h"
#include "metrology/decision.h"

/// What the stations say of a build: findings with their doubt, mistakes recognised, corrections and the next
/// reading. Plain data in SI and radians.
namespace fettle::stations {

/// Tells the instances of one kind of finding apart.
struct Where {
  Where() = default;
  Where(std::optional<int> of_cylinder, std::optional<build::Valve> of_valve, std::optional<double> at_lift,
        std::string of_part = {}, std::optional<int> of_number = {})
      : cylinder(of_cylinder), valve(of_valve), at(at_lift), part(std::move(of_part)), number(of_number) {}

  std::optional<int> cylinder;
  std::optional<build::Valve> valve;
  std::optional<double> at;   ///< check lift, m
  std::string part;           ///< set of fasteners, kind of part weighed, "bank"; empty: none
  std::optional<int> number;  ///< which of that part
  std::optional<int> main;    ///< main bearing, counted from the front

  auto operator<=>(const Where&) const = default;
};

/// What part of a finding's variance comes from one reading, or from one property of one tool.
struct Share {
  std::optional<int> reading;  ///< place in the build's readings, from 0
  std::string tool;            ///< of a property shared by all its readings; else empty
  std::string label;
  double share = 0;
};

struct LimitInForce {
  std::optional<double> min;
  std::optional<double> max;
  std::string source;
};

/// Monte Carlo (JCGM 101) beside the first-order result.
struct TrialResult {
  double mean = 0;
  double u = 0;
  double low = 0;  ///< shortest 95 % coverage interval
  double high = 0;
};

struct Finding {
  std::string id;  ///< of build::finding_kinds()
  Where where;
  std::optional<double> value;  ///< absent while a reading is missing
  double u = 0;                 ///< standard uncertainty
  double dof = 0;               ///< effective degrees of freedom, may be infinite
  double expanded = 0;          ///< for 95 %
  std::optional<LimitInForce> limit;
  std::optional<metrology::Verdict> verdict;  ///< absent where there is a value but no limit
  std::string basis;                          ///< how the value was come by, where there are several ways
  std::string needs;                          ///< what is missing, of an open finding
  std::vector<Share> shares;                  ///< largest first
  std::optional<TrialResult> trials;
};

struct Mistake {
  std::string id;
  std::vector<int> readings;  ///< places in the build's readings
  std::optional<int> cylinder;
  std::string says;     ///< what the numbers show and the likely cause
  std::string do_next;  ///< the next physical action
};

/// A finding before and after a correction.
struct Effect {
  Finding from;
  Finding to;
};

/// One change of the document: what stands at `path` (JSON Pointer, RFC 6901; a reading by its id, else by
/// its place) becomes `value`, as it would be typed.
struct Operation {
  std::string path;
  nlohmann::ordered_json value;  ///< a text nearly always; a list or object where parts are set as a whole
};

struct Correction {
  std::string id;
  std::string says;
  bool recommended = false;
  std::vector<Operation> operations;
  std::vector<Effect> effects;
};

/// One step before and at the first start of an engine that was put together.
struct StartStep {
  std::string id;    ///< "prime", "break_in"
  std::string says;  ///< what to do
  std::string why;
  bool caution = false;           ///< an engine or a person is hurt where it is left out
  std::vector<std::string> open;  ///< ids of findings that this step waits for
};

struct NextReading {
  std::string says;
  std::optional<int> reading;  ///< to take again; absent: one that is missing or a better tool
  std::string tool;
  std::string finding;
  Where where;
  double expanded_from = 0;
  double expanded_to = 0;
};

struct Report {
  std::vector<Finding> findings;
  std::vector<Mistake> mistakes;
  std::vector<Correction> corrections;
  std::optional<NextReading> next_reading;
  std::vector<std::string> assumptions;
  std::vector<StartStep> first_start;  ///< in the order of doing
};

/// The finding of that id and place, or null. Check lifts are the same whatever unit they were typed in.
const Finding* find(const Report& report, std::string_view id, const Where& where);

}  // namespace fettle::stations
