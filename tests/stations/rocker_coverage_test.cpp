// Is the truth inside the stated 95 % interval of the rockers' findings as often as stated? Small engines
// whose tools err as their figures say.

#include <cmath>
#include <functional>
#include <map>
#include <numbers>
#include <random>

#include <gtest/gtest.h>

#include "stations/rocker_bench.h"
#include "stations/top_end.h"

namespace fettle::stations::test {
namespace {

using build::Valve;
using nlohmann::json;

json tool(const char* kind, double resolution, double permissible, double noise, const char* unit) {
  const auto text = [&](double figure) { return fmt::format("{} {}", figure, unit); };
  return {{"kind", kind},
          {"resolution", text(resolution)},
          {"permissible_error", text(permissible)},
          {"noise", text(noise)}};
}

/// What an instrument shows of a truth, in inches or pounds.
class Shown {
 public:
  Shown(const build::Build& build, const char* name, std::mt19937_64& engine)
      : tool_(build.tools.at(name), engine),
        unit_(build.tools.at(name).kind == build::ToolKind::load_tester ? lbf : in) {}
  double reading(double truth) { return tool_.read(truth * unit_) / unit_; }

 private:
  DrawnTool tool_;
  double unit_;
};

json with_tools(json document) {
  document["tools"] = {{"scale", tool("scale_rule", 0.002, 0.002, 0.0015, "in")},
                       {"dial", tool("dial_indicator", 0.0005, 0.0002, 0.0002, "in")},
                       {"tester", tool("load_tester", 1, 1.5, 1.2, "lbf")}};
  document["rockers"]["exhaust_ratio"] = 1.5;
  document["cam"]["card"]["exhaust"] = {{"lift", "0.300 in"}};
  document["pushrods"]["outside_diameter"] = "0.3125 in";
  document["pushrods"]["wall"] = "0.080 in";
  return document;
}

struct Count {
  int draws = 0;
  int inside = 0;
};
using Counts = std::map<std::string, Count>;
using Truths = std::map<std::string, double>;  ///< by id, in SI

void count(const json& document, const Truths& truths, const Where& where, Counts& counts) {
  const build::Build build = read(document);
  const Report report = prove(build, {.advise = false});
  for (const auto& [id, truth] : truths) {
    const Finding* finding =
        find(report, id, id == "rocker.pushrod_buckling" ? Where{{}, Valve::exhaust, {}} : where);
    if (finding != nullptr && finding->value) {
      Count& one = counts[id + " " + finding->basis];
      ++one.draws;
      one.inside += std::abs(*finding->value - truth) <= finding->expanded ? 1 : 0;
    }
  }
}

void expect_coverage(const Counts& counts, std::size_t kinds, int draws) {
  EXPECT_EQ(counts.size(), kinds);
  for (const auto& [name, one] : counts) {
    const double share = static_cast<double>(one.inside) / one.draws;
    EXPECT_EQ(one.draws, draws) << name;
    EXPECT_GE(share, 0.92) << name;
    EXPECT_LE(share, 0.98) << name;
    fmt::print("  {:<72}{:6.1f} % of {}\n", name, 100 * share, one.draws);
  }
}

constexpr int draws = 500;
const Where first{1, Valve::intake, {}};

TEST(RockerCoverage, MarksAndThePushrodFromThemHoldTheTruthAsOftenAsStated) {
  const HandRocker hand;
  const Truths truths{{"rocker.mark_offset", 0.015 * in},
                      {"rocker.mark_width", 0.055 * in},
                      {"rocker.pushrod_length", hand.pushrod(hand.raised_for_mark(0.015, 0.300)) * in}};
  std::mt19937_64 engine(1);
  const json parts = with_tools(rocker_document());
  const build::Build build = read(parts);
  Counts counts;
  for (int i = 0; i < draws; ++i) {
    Shown scale(build, "scale", engine);
    json document = parts;
    document["readings"].push_back(mark_reading(scale.reading(0.015), scale.reading(0.055)));
    document["readings"][0]["gauge"] = "scale";
    count(document, truths, first, counts);
  }
  expect_coverage(counts, 3, draws);
}

TEST(RockerCoverage, PreloadHoldsTheTruthAsOftenAsStated) {
  const Truths depths{{"rocker.preload", 0.035 * in}};
  const Truths turned{{"rocker.preload", 0.6 * (1 + 1 / 1.5) / 24 * in}};
  std::mt19937_64 engine(2);
  std::uniform_real_distribution wrench(-1.0 / 16, 1.0 / 16);
  const json parts = with_tools(rocker_document());
  const build::Build build = read(parts);
  Counts counts;
  for (int i = 0; i < draws; ++i) {
    Shown scale(build, "scale", engine);
    json document = parts;
    auto depth = at_valve("plunger_depth");
    depth["depth"] = typed(scale.reading(0.035));
    depth["gauge"] = "scale";
    document["readings"].push_back(depth);
    count(document, depths, first, counts);
    document["readings"].clear();
    // Three settings: one alone, with no error but the wrench's, lies inside its interval always.
    for (int again = 0; again < 3; ++again) {
      auto turns = at_valve("preload_turns");
      turns["turns"] = 0.6 + wrench(engine);
      document["readings"].push_back(turns);
    }
    count(document, turned, first, counts);
  }
  expect_coverage(counts, 2, draws);
}

TEST(RockerCoverage, RatioHoldsTheTruthAsOftenAsStated) {
  std::mt19937_64 engine(3);
  const json parts = with_tools(rocker_document());
  const build::Build build = read(parts);
  Counts counts;
  for (int i = 0; i < draws; ++i) {
    Shown dial(build, "dial", engine);
    // Lifts spread over the dial's steps, so that no draw falls on a step every time.
    const double lobe = 0.300 + std::uniform_real_distribution(-0.002, 0.002)(engine);
    json document = parts;
    document["readings"] = {top_reading("lifter", dial.reading(lobe)),
                            top_reading("valve", dial.reading(1.48 * lobe))};
    for (auto& reading : document["readings"]) {
      reading["lift_tool"] = "dial";
    }
    count(document, {{"rocker.ratio", 1.48}}, first, counts);
  }
  expect_coverage(counts, 1, draws);
}

TEST(RockerCoverage, SweepFromALiftThatWasReadHoldsTheTruthAsOftenAsStated) {
  std::mt19937_64 engine(4);
  json parts = with_tools(rocker_document());
  parts["readings"] = json::array(
      {{{"kind", "stop_contact"}, {"cylinder", 1}, {"turning", "forward"}, {"wheel", "20 BTDC"}},
       {{"kind", "stop_contact"}, {"cylinder", 1}, {"turning", "backward"}, {"wheel", "20 ATDC"}}});
  for (const auto& [side, wheel] : {std::pair{"opening", "1 BTDC"}, std::pair{"closing", "37 ABDC"}}) {
    auto point = at_valve("lobe_point");
    point["side"] = side;
    point["wheel"] = wheel;
    point["lift"] = "0.050 in";
    parts["readings"].push_back(point);
  }
  const build::Build build = read(parts);
  std::map<int, double> widths;  // the same twenty lifts over and over
  Counts counts;
  for (int i = 0; i < draws; ++i) {
    Shown dial(build, "dial", engine);
    const double lobe = 0.300 + 0.0005 * ((i % 20) - 10) / 10;
    const auto known = widths.try_emplace(i % 20, 0.0);
    if (known.second) {
      known.first->second = HandRocker{}.travel(0, lobe).width();
    }
    json document = parts;
    document["readings"].push_back(top_reading("lifter", dial.reading(lobe)));
    document["readings"].back()["lift_tool"] = "dial";
    count(document, {{"rocker.sweep_width", known.first->second * in}}, {{}, Valve::intake, {}}, counts);
  }
  expect_coverage(counts, 1, draws);
}

TEST(RockerCoverage, BucklingHoldsTheTruthAsOftenAsStated) {
  // Euler by hand for 5/16 by 0.080 in between ball centres, steel, over 1.5 times the open load (Shigley
  // 4-12).
  const double outer = 0.3125 * in;
  const double inner = outer - 2 * 0.080 * in;
  const double inertia = std::numbers::pi / 64 * (std::pow(outer, 4) - std::pow(inner, 4));
  const double length = (7.8 - 0.3125) * in;
  const double euler = std::pow(std::numbers::pi / length, 2) * 206.8e9 * inertia;
  std::mt19937_64 engine(5);
  const json parts = with_tools(rocker_document());
  const build::Build build = read(parts);
  Counts counts;
  for (int i = 0; i < draws; ++i) {
    Shown scale(build, "scale", engine);
    Shown tester(build, "tester", engine);
    const double seat = 120 + std::uniform_real_distribution(-2.0, 2.0)(engine);
    const double open = seat + 180;
    json document = parts;
    const auto add = [&](const char* kind, double height, std::optional<double> load) {
      json reading{{"kind", kind}, {"cylinder", 1}, {"valve", "exhaust"}, {"gauge", "scale"}};
      reading["height"] = typed(scale.reading(height));
      if (load) {
        reading["load"] = fmt::format("{} lbf", tester.reading(*load));
        reading["tester"] = "tester";
      }
      document["readings"].push_back(reading);
    };
    add("installed_height", 1.700, {});
    add("spring_load", 1.700, seat);
    add("spring_load", 1.250, open);
    count(document, {{"rocker.pushrod_buckling", euler / (1.5 * open * lbf)}}, first, counts);
  }
  expect_coverage(counts, 1, draws);
}

}  // namespace
}  // namespace fettle::stations::test
