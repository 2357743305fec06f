#include "build/validate_readings.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "build/describe.h"
#include "build/layout.h"
#include "build/names.h"
#include "build/reading_rules.h"
#include "build/validate_block.h"
#include "build/validate_short_block.h"
#include "quantity/angle.h"
#include "quantity/text.h"

namespace fettle::build {
namespace {

/// Fewest points of a sweep that a curve can be fitted to with something left to judge it by.
constexpr std::size_t fewest_points = 12;
constexpr std::size_t most_points = 20000;

/// The names of the fields a reading carries.
class FieldsPresent {
 public:
  template <class T>
  void required(std::string_view key, const T& /*member*/, std::string_view /*meaning*/,
                std::string_view /*example*/) {
    present.emplace_back(key);
  }
  template <class T>
  void optional(std::string_view key, const T& member, std::string_view /*meaning*/,
                std::string_view /*example*/) {
    if (has(member)) {
      present.emplace_back(key);
    }
  }
  std::vector<std::string_view> present;

 private:
  template <class T>
  static bool has(const std::optional<T>& member) {
    return member.has_value();
  }
  template <class T>
  static bool has(const std::vector<T>& member) {
    return !member.empty();
  }
};

/// describe() takes its object by reference to serve the reader too; this visitor only looks.
std::vector<std::string_view> fields_of(const Reading& reading) {
  FieldsPresent fields;
  describe(fields, const_cast<Reading&>(reading));
  return std::move(fields.present);
}

bool contains(const std::vector<std::string_view>& list, std::string_view key) {
  return std::find(list.begin(), list.end(), key) != list.end();
}

void check_fields(const Reading& reading, const std::string& place, Problems& problems) {
  const ReadingRule& rule = rule_for(reading.kind);
  const std::string kind(word(reading.kind));
  const std::vector<std::string_view> present = fields_of(reading);
  for (const auto key : rule.required) {
    if (!contains(present, key)) {
      problems.push_back({place, fmt::format("a {} without {}", kind, key),
                          fmt::format("{} with {}", kind, fmt::join(rule.required, ", ")), ""});
    }
  }
  const bool any_of = rule.one_of.empty() || std::any_of(rule.one_of.begin(), rule.one_of.end(),
                                                         [&](auto key) { return contains(present, key); });
  if (!any_of) {
    problems.push_back({place, fmt::format("a {} with none of {}", kind, fmt::join(rule.one_of, ", ")),
                        fmt::format("at least one of {}", fmt::join(rule.one_of, ", ")), ""});
  }
  constexpr std::array<std::string_view, 4> common{"id", "kind", "taken", "by"};
  for (const auto key : present) {
    const bool known = std::find(common.begin(), common.end(), key) != common.end() ||
                       contains(rule.required, key) || contains(rule.optional, key) ||
                       contains(rule.one_of, key);
    if (!known) {
      problems.push_back({fmt::format("{}.{}", place, key), fmt::format("{} in a {}", key, kind),
                          fmt::format("only the fields of a {}: {}", kind, fmt::join(rule.required, ", ")),
                          ""});
    }
  }
  if (reading.side && !rule.sides.empty() &&
      std::find(rule.sides.begin(), rule.sides.end(), *reading.side) == rule.sides.end()) {
    problems.push_back({place + ".side", fmt::format("\"{}\"", word(*reading.side)),
                        fmt::format("{} or {}", word(rule.sides.front()), word(rule.sides.back())), ""});
  }
}

const char* instruments_for(quantity::Dimension dimension) {
  switch (dimension) {
    case quantity::Dimension::angle:
      return "a wheel or an encoder";
    case quantity::Dimension::force:
      return "a load tester";
    case quantity::Dimension::volume:
      return "a burette";
    case quantity::Dimension::mass:
      return "a scale for parts";
    case quantity::Dimension::torque:
      return "a torque wrench";
    case quantity::Dimension::pressure:
      return "a gauge for pressures";
    default:
      return "an indicator or a gauge for lengths";
  }
}

void check_tool(const Build& build, const std::optional<std::string>& name, quantity::Dimension wanted,
                const std::string& place, Problems& problems) {
  if (!name) {
    return;
  }
  const auto found = build.tools.find(*name);
  if (found == build.tools.end()) {
    std::vector<std::string> known;
    for (const auto& [tool_name, tool] : build.tools) {
      known.push_back(tool_name);
    }
    const std::string near = nearest(*name, known);
    problems.push_back({place, fmt::format("\"{}\"", quantity::shown_text(*name)),
                        near.empty() ? fmt::format("a name out of tools: {}", fmt::join(known, ", "))
                                     : fmt::format("a name out of tools (did you mean {}?)", near),
                        ""});
  } else if (measured_by(found->second.kind) != wanted) {
    problems.push_back(
        {place, fmt::format("\"{}\", a {}", *name, word(found->second.kind)), instruments_for(wanted), ""});
  }
}

/// Lengths, loads and turns of the kinds of reading that are taken without a wheel.
void check_amounts(const Reading& reading, const std::string& place, Problems& problems) {
  const auto check = [&](const char* key, const auto& quantity, double least, double most,
                         const char* accepted, const char* example) {
    if (quantity && (quantity->si() < least || quantity->si() > most)) {
      problems.push_back(
          {fmt::format("{}.{}", place, key), fmt::format("\"{}\"", quantity->typed()), accepted, example});
    }
  };
  check("height", reading.height, 0.001, 0.5, "1 to 500 mm", "\"1.700 in\"");
  check("load", reading.load, 0, 20000, "0 to 20 kN", "\"118 lbf\"");
  check("gap", reading.gap, 0, 0.05, "0 to 50 mm", "\"0.080 in\"");
  check("offset", reading.offset, -0.02, 0.02, "-20 to 20 mm", "\"0.010 in\"");
  check("width", reading.width, 0, 0.02, "0 to 20 mm", "\"0.060 in\"");
  check("depth", reading.depth, 0, 0.05, "0 to 50 mm", "\"0.040 in\"");
  check("shim", reading.shim, 0, 0.02, "0 to 20 mm", "\"0.030 in\"");
  check("thickness", reading.thickness, 1e-4, 0.05, "0.1 to 50 mm", "\"2.68 mm\"");
  check("gasket", reading.gasket, 0, 0.02, "0 to 20 mm", "\"0.041 in\"");
  check("pushrod", reading.pushrod, 0.01, 1, "10 mm to 1 m", "\"7.800 in\"");
  if (reading.turns && (*reading.turns < 0 || *reading.turns > 20)) {
    problems.push_back({place + ".turns", fmt::format("{}", *reading.turns), "0 to 20 turns", "0.75"});
  }
  const auto wanted = main_dimension(reading);
  for (std::size_t i = 0; i < reading.again.size(); ++i) {
    if (reading.again[i].dimension != wanted) {
      problems.push_back({fmt::format("{}.again[{}]", place, i),
                          fmt::format("\"{}\"", reading.again[i].typed),
                          fmt::format("{}, as the reading itself", quantity::name_with_article(wanted)),
                          wanted == quantity::Dimension::force    ? "\"118 lbf\""
                          : wanted == quantity::Dimension::length ? "\"1.700 in\""
                                                                  : ""});
    }
  }
}

void check_values(const Reading& reading, const std::string& place, Problems& problems) {
  const auto check = [&](const char* key, const std::optional<Length>& length, double most) {
    if (length && (length->si() <= 0 || length->si() > most)) {
      problems.push_back({fmt::format("{}.{}", place, key), fmt::format("\"{}\"", length->typed()),
                          fmt::format("more than nothing, at most {} mm", most * 1e3), "\"0.050 in\""});
    }
  };
  check("stop_depth", reading.stop_depth, 0.5);
  check("drop", reading.drop, 0.5);
  check("lift", reading.lift, 0.05);
  check("below_max", reading.below_max, 0.05);
  check_amounts(reading, place, problems);
  if (reading.lift && reading.below_max) {
    problems.push_back({place, "both lift and below_max", "one of them: they are different readings", ""});
  }
  if (reading.slack && (reading.slack->si() < 0 || reading.slack->si() > quantity::radians_per_degree * 90)) {
    problems.push_back({place + ".slack", fmt::format("\"{}\"", reading.slack->typed()),
                        "0 to 90 crank degrees", "\"3 deg\""});
  }
  if (!reading.repeats.empty() && !reading.wheel && !reading.slack) {
    problems.push_back(
        {place + ".repeats", "repeats without a wheel reading", "repeats of the wheel, beside wheel", ""});
  }
  if (reading.pass && (*reading.pass < 1 || *reading.pass > 99)) {
    problems.push_back({place + ".pass", fmt::format("{}", *reading.pass), "1 to 99", "2"});
  }
  const bool sweep = reading.kind == ReadingKind::lobe_sweep || reading.kind == ReadingKind::tdc_sweep;
  if (sweep && (reading.points.size() < fewest_points || reading.points.size() > most_points)) {
    problems.push_back({place + ".points", fmt::format("{} points", reading.points.size()),
                        fmt::format("{} to {} points", fewest_points, most_points), ""});
  }
}

/// A lift counted at one end of the rocker and a card that counts at the other need the ratio between them.
void check_basis(const Build& build, const Reading& reading, const std::string& place, Problems& problems) {
  const bool lobe = reading.kind == ReadingKind::lobe_point || reading.kind == ReadingKind::lobe_top ||
                    reading.kind == ReadingKind::lobe_sweep;
  if (!lobe || !reading.valve) {
    return;
  }
  const bool card_at_valve = build.cam && build.cam->card && build.cam->card->basis == LiftBasis::valve;
  const bool direct = build.cam && build.cam->follower == Follower::bucket;
  if (direct || card_at_valve == (reading.measured_at == MeasuredAt::valve)) {
    return;
  }
  const bool intake = *reading.valve == Valve::intake;
  const bool stated = build.rockers && (intake ? build.rockers->intake_ratio : build.rockers->exhaust_ratio);
  const auto& follower = !build.followers ? std::nullopt
                         : intake         ? build.followers->intake
                                          : build.followers->exhaust;
  const bool known =
      stated || (build.cam && build.cam->follower == Follower::finger && follower && follower->finger);
  if (!known) {
    problems.push_back(
        {place + ".measured_at", std::string(word(reading.measured_at.value_or(MeasuredAt::lifter))),
         fmt::format("with rockers.{}_ratio given, since the card counts its lifts at the other end of "
                     "the rocker",
                     word(*reading.valve)),
         R"("rockers": { "intake_ratio": 1.5 })"});
  }
}

void check_reading(const Build& build, const Reading& reading, int cylinders, const std::string& place,
                   Problems& problems) {
  check_fields(reading, place, problems);
  check_values(reading, place, problems);
  if (reading.cylinder && cylinders > 0 && (*reading.cylinder < 1 || *reading.cylinder > cylinders)) {
    problems.push_back(
        {place + ".cylinder", fmt::format("{}", *reading.cylinder), fmt::format("1 to {}", cylinders), "1"});
  }
  if (reading.firing && cylinders > 0 && (*reading.firing < 1 || *reading.firing > cylinders)) {
    problems.push_back(
        {place + ".firing", fmt::format("{}", *reading.firing), fmt::format("1 to {}", cylinders), "1"});
  }
  using quantity::Dimension;
  check_tool(build, reading.tool, Dimension::angle, place + ".tool", problems);
  check_tool(build, reading.lift_tool, Dimension::length, place + ".lift_tool", problems);
  check_tool(build, reading.gauge, Dimension::length, place + ".gauge", problems);
  check_tool(build, reading.tester, tester_dimension(reading), place + ".tester", problems);
  check_block_reading(build, reading, place, problems);
  check_basis(build, reading, place, problems);
  check_short_block_reading(build, reading, place, problems);
  const bool offered =
      !reading.position || (build.timing_set && offers(*build.timing_set, *reading.position));
  if (!offered) {
    problems.push_back({place + ".position", fmt::format("\"{}\"", reading.position->typed()),
                        "one of timing_set.positions", ""});
  }
}

}  // namespace

void check_readings(const Build& build, Problems& problems) {
  const auto layout = parse_layout(build.engine.layout);
  std::set<std::string> ids;
  for (std::size_t i = 0; i < build.readings.size(); ++i) {
    const Reading& reading = build.readings[i];
    const std::string place = fmt::format("readings[{}]", i);
    if (reading.id && !ids.insert(*reading.id).second) {
      problems.push_back({place + ".id",
                          fmt::format("\"{}\" a second time", quantity::shown_text(*reading.id)),
                          "an id that no other reading has", ""});
    }
    check_reading(build, reading, layout ? layout->cylinders : 0, place, problems);
  }
}

bool offers(const TimingSet& set, const Angle& position) {
  constexpr double same = 0.01 * quantity::radians_per_degree;
  if (set.continuous.value_or(false) && !set.positions.empty()) {
    const auto [least, greatest] = std::minmax_element(set.positions.begin(), set.positions.end());
    return position.si() > least->si() - same && position.si() < greatest->si() + same;
  }
  return std::any_of(set.positions.begin(), set.positions.end(),
                     [&](const Angle& offered) { return std::abs(offered.si() - position.si()) < same; });
}

quantity::Dimension measured_by(ToolKind kind) {
  using quantity::Dimension;
  if (kind == ToolKind::degree_wheel || kind == ToolKind::angle_encoder) {
    return Dimension::angle;
  }
  switch (kind) {
    case ToolKind::load_tester:
      return Dimension::force;
    case ToolKind::burette:
      return Dimension::volume;
    case ToolKind::weighing_scale:
      return Dimension::mass;
    case ToolKind::torque_wrench:
      return Dimension::torque;
    case ToolKind::pressure_gauge:
      return Dimension::pressure;
    default:
      return Dimension::length;
  }
}

quantity::Dimension tester_dimension(const Reading& reading) {
  using quantity::Dimension;
  if (reading.volume) {
    return Dimension::volume;
  }
  if (reading.mass) {
    return Dimension::mass;
  }
  if (reading.pressure) {
    return Dimension::pressure;
  }
  return reading.torque ? Dimension::torque : Dimension::force;
}

quantity::Dimension main_dimension(const Reading& reading) {
  const bool by_tester =
      reading.load || reading.volume || reading.mass || reading.pressure || (reading.torque && !reading.size);
  return by_tester ? tester_dimension(reading) : quantity::Dimension::length;
}

bool measures_angle(ToolKind kind) {
  return measured_by(kind) == quantity::Dimension::angle;
}

}  // namespace fettle::build
