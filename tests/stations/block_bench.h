#pragma once

#include <array>
#include <map>
#include <numbers>
#include <random>

#include <nlohmann/json.hpp>

#include "build/codec.h"
#include "stations/top_end.h"

/// Readings of volumes, decks, fasteners and weights written by hand, and the errors of their tools.
namespace fettle::stations::test {

inline constexpr double cc = 1e-6;
inline constexpr double gram = 1e-3;
inline constexpr double psi = 6894.757293168;
inline constexpr double foot_pound = 1.3558179483314;

inline quantity::Volume ccs(double value) {
  return quantity::Volume::typed(value * cc, fmt::format("{:.4f} cc", value));
}
inline build::Mass grams(double value) {
  return build::Mass::typed(value * gram, fmt::format("{:.3f} g", value));
}
inline build::Measure measure(double value, double unit, const char* name, quantity::Dimension dimension) {
  return {dimension, value * unit, fmt::format("{:g} {}", value, name)};
}

/// A tool of that kind with no figures, which is taken as exact.
inline build::Tool exact(build::ToolKind kind) {
  build::Tool tool;
  tool.kind = kind;
  return tool;
}

inline build::Reading of_part(build::ReadingKind kind, std::optional<int> cylinder = {}) {
  build::Reading reading;
  reading.kind = kind;
  reading.cylinder = cylinder;
  return reading;
}
inline build::Reading poured(build::ReadingKind kind, int cylinder, double volume_cc) {
  build::Reading reading = of_part(kind, cylinder);
  reading.volume = ccs(volume_cc);
  reading.tester = "burette";
  return reading;
}
inline build::Reading deck_at_tdc(int cylinder, double below_in,
                                  std::optional<build::PistonPlace> place = {}) {
  build::Reading reading = of_part(build::ReadingKind::deck_clearance, cylinder);
  reading.below = inches4(below_in);
  reading.place = place;
  reading.gauge = "dial";
  return reading;
}
inline build::Reading sized(build::ReadingKind kind, double size_in) {
  build::Reading reading = of_part(kind);
  reading.size = inches4(size_in);
  reading.gauge = "dial";
  return reading;
}
inline build::Reading bolt_length(int number, build::BoltStage stage, double size_in,
                                  std::optional<double> torque_ft_lb = {}) {
  build::Reading reading = sized(build::ReadingKind::bolt_length, size_in);
  reading.fastener = "rod bolts";
  reading.number = number;
  reading.stage = stage;
  if (torque_ft_lb) {
    reading.torque =
        quantity::Torque::typed(*torque_ft_lb * foot_pound, fmt::format("{:.3f} ft lb", *torque_ft_lb));
    reading.tester = "wrench";
  }
  return reading;
}
inline build::Reading weighed(build::WeighedItem item, std::optional<int> cylinder, double mass_g) {
  build::Reading reading = of_part(build::ReadingKind::part_weight, cylinder);
  reading.item = item;
  reading.mass = grams(mass_g);
  reading.tester = "scale";
  return reading;
}

/// An inline four of 4.000 by 3.480 in with rods of 5.700 in, and tools that do not err.
inline build::Build block_build() {
  build::Build build = hand_build();
  build.engine.bore = inches(4.0);
  build.engine.stroke = inches(3.48);
  build.engine.rod_length = inches(5.7);
  build.tools["dial"] = exact(build::ToolKind::dial_indicator);
  build.tools["wheel"] = exact(build::ToolKind::degree_wheel);
  build.tools["burette"] = exact(build::ToolKind::burette);
  build.tools["scale"] = exact(build::ToolKind::weighing_scale);
  build.tools["wrench"] = exact(build::ToolKind::torque_wrench);
  build.tools["gauge"] = exact(build::ToolKind::pressure_gauge);
  return build;
}

/// The same with chambers, decks, dishes and a gasket, near 9.3 to 1.
inline build::Build volumes_build() {
  build::Build build = block_build();
  build.gasket = build::Gasket{inches(0.041), {}, inches(4.1)};
  build.crowns.emplace();
  build.crowns->dish = ccs(5);
  build.compression.emplace();
  const std::array chambers{64.0, 64.2, 63.9, 64.1};
  for (int cylinder = 1; cylinder <= 4; ++cylinder) {
    build.readings.push_back(poured(build::ReadingKind::chamber_fill, cylinder,
                                    chambers.at(static_cast<std::size_t>(cylinder - 1))));
    build.readings.push_back(deck_at_tdc(cylinder, 0.020));
  }
  return build;
}

/// TDC and an intake lobe that closes 62 degrees after BDC at 0.006 in.
inline void read_intake(build::Build& build, const std::string& closing = "62 ABDC", double lift_in = 0.006) {
  find_tdc(build);
  read_lobe(build, {1, Valve::intake}, lift_in, "18 BTDC", closing);
}

inline double value_of(const Report& report, std::string_view id, const Where& where = {}) {
  return finding(report, id, where).value.value();
}

inline Where of_fastener(const std::string& set, std::optional<int> number = {}) {
  return {{}, {}, {}, set, number};
}

/// The build as it stands when the operations of a correction are accepted. Readings without an id are named
/// by their place.
inline build::Build accepted(const build::Build& build, const Correction& correction) {
  nlohmann::json document = build::write_build(build);
  for (const Operation& operation : correction.operations) {
    document[nlohmann::json::json_pointer(operation.path)] = nlohmann::json(operation.value);
  }
  const build::ReadBuild read = build::read_document(document);
  if (!read.build) {
    throw std::runtime_error(read.problems.front().message());
  }
  return *read.build;
}

inline const Correction& correction(const Report& report, std::string_view id) {
  for (const Correction& one : report.corrections) {
    if (one.id == id) {
      return one;
    }
  }
  throw std::runtime_error(fmt::format("no correction {}", id));
}

/// Every effect that a correction promises is what comes of accepting it.
inline void expect_kept(const build::Build& build, const Correction& correction) {
  const Report after = prove(accepted(build, correction), {.advise = false});
  for (const Effect& effect : correction.effects) {
    const double promised = effect.to.value.value();
    EXPECT_NEAR(value_of(after, effect.to.id, effect.to.where), promised, 1e-9 * std::abs(promised) + 1e-13)
        << effect.to.id;
  }
}

/// The same engine with its cylinders numbered anew: number i becomes `to[i - 1]`.
inline build::Build renumbered(build::Build build, const std::vector<int>& to) {
  const auto renamed = [&](int cylinder) { return to.at(static_cast<std::size_t>(cylinder - 1)); };
  for (int& cylinder : build.engine.firing_order) {
    cylinder = renamed(cylinder);
  }
  for (auto& bank : build.engine.banks) {
    for (int& cylinder : bank) {
      cylinder = renamed(cylinder);
    }
  }
  for (auto& reading : build.readings) {
    if (reading.cylinder) {
      reading.cylinder = renamed(*reading.cylinder);
    }
  }
  return build;
}

/// Findings of the one report are those of the other with the cylinders numbered anew.
inline void expect_renumbered(const Report& before, const Report& after, const std::vector<int>& to) {
  ASSERT_EQ(before.findings.size(), after.findings.size());
  for (const Finding& one : before.findings) {
    if (one.id.starts_with("cam.") && !one.value) {
      continue;  // where no lobe was read, that of cylinder 1 is asked for
    }
    Where where = one.where;
    if (where.cylinder) {
      where.cylinder = to.at(static_cast<std::size_t>(*where.cylinder - 1));
    }
    const Finding* other = find(after, one.id, where);
    ASSERT_NE(other, nullptr) << one.id;
    ASSERT_EQ(one.value.has_value(), other->value.has_value()) << one.id;
    if (one.value) {
      EXPECT_NEAR(*one.value, *other->value, 1e-9 * std::max(1.0, std::abs(*one.value))) << one.id;
      EXPECT_NEAR(one.u, other->u, 1e-6 * one.u + 1e-15) << one.id;
    }
  }
}

/// How often stated intervals hold what is true.
class Coverage {
 public:
  void count(const Report& report, const std::string& id, const Where& where, double truth) {
    const Finding& found = finding(report, id, where);
    ++all_[id];
    inside_[id] += std::abs(found.value.value() - truth) <= found.expanded ? 1 : 0;
  }
  void expect(int draws) {
    for (const auto& [id, count] : all_) {
      const double share = static_cast<double>(inside_[id]) / count;
      EXPECT_EQ(count, draws) << id;
      EXPECT_GE(share, 0.92) << id;
      EXPECT_LE(share, 0.98) << id;
      fmt::print("  {:<44}{:6.1f} %\n", id, 100 * share);
    }
  }

 private:
  std::map<std::string, int> inside_, all_;
};

}  // namespace fettle::stations::test
