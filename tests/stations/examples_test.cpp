// The example engines: what the shop knows of them lies in what is stated, and nothing looks wrong that is
// not.

#include <fstream>
#include <set>
#include <sstream>

#include <gtest/gtest.h>

#include "build/codec.h"
#include "stations/bench.h"
#include "stations/catalogue.h"
#include "stations/lash.h"
#include "stations/lash_state.h"
#include "stations/report_json.h"
#include "stations/valves.h"
#include "support/example_engines.h"

namespace fettle::stations::test {
namespace {

using build::ReadingKind;
using invented::ExampleEngine;

std::string file_text(const std::string& name) {
  std::ifstream stream(std::string(FETTLE_EXAMPLES) + "/" + name);
  std::ostringstream text;
  text << stream.rdbuf();
  return text.str();
}

build::Build read_example(const std::string& name) {
  const auto read = build::read_build(std::string_view(file_text(name)));
  if (!read.build || !read.problems.empty()) {
    throw std::runtime_error(name + ": " + (read.problems.empty() ? "" : read.problems.front().message()));
  }
  return *read.build;
}

TEST(Examples, FilesAreWhatTheShopWrites) {
  for (const auto& example : invented::example_files()) {
    EXPECT_EQ(file_text(example.file), build::write_build(example.make(example.seed).build).dump(2) + "\n")
        << example.file << ": write it anew with tools/invent";
  }
}

/// True centre of a lobe at 0.050 in, as the trade counts it.
double true_centreline(const invented::Shop& shop, const LobeKey& key) {
  const double lift = 0.050 * inch;
  const double middle = (shop.event(key, Side::opening, lift) + shop.event(key, Side::closing, lift)) / 2;
  return key.valve == Valve::intake ? middle : -middle;
}

std::optional<double> truth_of(const ExampleEngine& engine, const Finding& finding) {
  if (finding.id == "tdc.wheel") {
    return engine.shop->truth().tdc_on_wheel;
  }
  if (finding.id == "cam.intake_centerline") {
    return true_centreline(*engine.shop, {*finding.where.cylinder, Valve::intake});
  }
  if (finding.id == "cam.exhaust_centerline") {
    return true_centreline(*engine.shop, {*finding.where.cylinder, Valve::exhaust});
  }
  if (const auto top_end = engine.top_end->truth(finding)) {
    return top_end;
  }
  return engine.block ? engine.block->truth(finding) : std::nullopt;
}

/// Valves whose lobe nobody swept move by another's, whose scatter is no part of their doubt.
bool by_another_lobe(const build::Build& build, const Finding& finding) {
  return finding.id == "piston_valve.clearance" &&
         std::none_of(build.readings.begin(), build.readings.end(), [&](const auto& reading) {
           return reading.kind == ReadingKind::lobe_sweep && reading.cylinder == finding.where.cylinder &&
                  reading.valve == finding.where.valve;
         });
}

void expect_truth_inside(const ExampleEngine& engine, const Report& report, std::size_t fewest) {
  std::size_t known = 0;
  std::size_t inside = 0;
  for (const Finding& finding : report.findings) {
    const auto truth = finding.value ? truth_of(engine, finding) : std::nullopt;
    if (!truth || by_another_lobe(engine.build, finding)) {
      continue;
    }
    double error = *finding.value - *truth;
    if (finding.id == "tdc.wheel") {
      error = mechanism::wrap_centred(error, mechanism::full_turn);
    }
    ++known;
    inside += std::abs(error) <= finding.expanded ? 1U : 0U;
    EXPECT_LE(std::abs(error), 2.5 * finding.expanded)
        << finding.id << " cylinder " << finding.where.cylinder.value_or(0);
  }
  EXPECT_GE(known, fewest);
  // Many findings of one engine share a tool, so that they go astray together.
  EXPECT_GE(static_cast<double>(inside), 0.88 * static_cast<double>(known));
}

TEST(Examples, VintageSixProvesWithoutMistakesAndHoldsTheTruth) {
  const ExampleEngine engine = invented::example_six(3);
  const Report report = prove(read_example("invented-vintage-six.json"));
  EXPECT_TRUE(mistake_ids(report).empty());
  expect_truth_inside(engine, report, 120);
  for (const Finding& one : report.findings) {
    EXPECT_NE(one.verdict, metrology::Verdict::fails) << one.id;
  }
}

TEST(Examples, TwinCamFourProvesWithoutMistakesAndHoldsTheTruth) {
  const ExampleEngine engine = invented::example_four(4);
  const Report report = prove(read_example("invented-twin-cam.json"));
  EXPECT_TRUE(mistake_ids(report).empty());
  expect_truth_inside(engine, report, 80);
}

/// Every station but those named has something to say of it, and nothing is left to read.
void expect_every_station(const Report& report, const std::set<std::string_view>& without = {}) {
  for (const Station& station : stations()) {
    if (without.contains(station.id)) {
      continue;
    }
    EXPECT_TRUE(std::any_of(report.findings.begin(), report.findings.end(), [&](const Finding& one) {
      return station_of(one.id) == station.id && one.value;
    })) << station.id;
  }
  for (const Finding& one : report.findings) {
    EXPECT_NE(one.verdict, metrology::Verdict::open) << one.id << ": " << one.needs;
  }
}

// Its second cylinder fires 410 degrees after the first: what is read of it counts from its own TDC.
TEST(Examples, OddFireTwinProvesEveryStationAndHoldsTheTruth) {
  const ExampleEngine engine = invented::example_twin(6);
  const Report report = prove(read_example("invented-odd-twin.json"));
  EXPECT_TRUE(mistake_ids(report).empty());
  expect_truth_inside(engine, report, 70);
  expect_every_station(report);
  for (const Finding& one : report.findings) {
    EXPECT_NE(one.verdict, metrology::Verdict::fails) << one.id;
  }
}

TEST(Examples, FullV8HasOverNineHundredReadingsAndHoldsTheTruth) {
  const ExampleEngine engine = invented::example_full_v8(6);
  const build::Build build = read_example("invented-v8-full.json");
  EXPECT_GT(build.readings.size(), 900U);
  const Report report = prove(build);
  EXPECT_TRUE(mistake_ids(report).empty());
  expect_truth_inside(engine, report, 260);
  expect_every_station(report, {"lash"});  // its lifters are hydraulic: there is none to read
}

const Correction& correction(const Report& report, std::string_view id) {
  const auto found = std::find_if(report.corrections.begin(), report.corrections.end(),
                                  [&](const Correction& one) { return one.id == id; });
  if (found == report.corrections.end()) {
    throw std::runtime_error(fmt::format("no correction {}", id));
  }
  return *found;
}

const Effect* effect(const Correction& correction, std::string_view id, const Where& where) {
  const auto found = std::find_if(correction.effects.begin(), correction.effects.end(), [&](const auto& one) {
    return one.from.id == id && one.from.where == where;
  });
  return found == correction.effects.end() ? nullptr : &*found;
}

// Late by 2.6 the intake cam is advanced, early by 1.8 the exhaust cam is retarded: their centres close, and
// both clearances and the valves' distance shrink.
TEST(TwinCams, ClosingTheCentresUsesBothClearancesAndTheValvesDistance) {
  const Report report = prove(read_example("invented-twin-cam.json"));
  const Correction& both = correction(report, "cam.positions");
  EXPECT_TRUE(both.recommended);
  for (const Where& where : {of(1, Valve::intake), of(1, Valve::exhaust)}) {
    const Effect* clearance = effect(both, "piston_valve.clearance", where);
    ASSERT_NE(clearance, nullptr);
    EXPECT_LT(*clearance->to.value, *clearance->from.value);
  }
  const Effect* between = effect(both, "piston_valve.between_valves", of(1));
  ASSERT_NE(between, nullptr);
  EXPECT_LT(*between->to.value, *between->from.value - 0.1e-3);
  for (const char* id : {"cam.intake_centerline", "cam.exhaust_centerline"}) {
    const Effect* centre = effect(both, id, of(1));
    ASSERT_NE(centre, nullptr);
    EXPECT_LT(*centre->to.value, *centre->from.value) << id;
  }
}

TEST(TwinCams, MovingOneCamLeavesTheOthersValvesAlone) {
  const Report report = prove(read_example("invented-twin-cam.json"));
  const Correction& intake = correction(report, "cam.position_intake");
  EXPECT_NE(effect(intake, "piston_valve.clearance", of(1, Valve::intake)), nullptr);
  EXPECT_EQ(effect(intake, "piston_valve.clearance", of(1, Valve::exhaust)), nullptr);
  EXPECT_EQ(effect(intake, "cam.exhaust_centerline", of(1)), nullptr);
  EXPECT_NE(effect(intake, "piston_valve.between_valves", of(1)), nullptr);
  EXPECT_EQ(intake.operations.back().path, "/timing_set/fitted");
  EXPECT_EQ(correction(report, "cam.position_exhaust").operations.back().path, "/timing_set/exhaust_fitted");
}

/// The least distance of two discs seen edge on, by brute force: points along both, every half degree of
/// crank.
double brute_distance(const ExampleEngine& engine, int cylinder) {
  const auto& plan = engine.shop->plan();
  const auto edge = [&](const LobeKey& key, double side, double along, double lift) {
    const auto& valve = plan.of(key.valve);
    const double lean = valve.angle_deg * degree;
    const double x = side * *plan.spacing / 2 - side * lift * std::sin(lean);
    const double y = -lift * std::cos(lean);
    return std::pair{x + along * std::cos(lean) * valve.head_diameter / 2,
                     y - side * along * std::sin(lean) * valve.head_diameter / 2};
  };
  double least = 1;
  for (double at = -60; at <= 60; at += 0.5) {
    const LobeKey intake{cylinder, Valve::intake};
    const LobeKey exhaust{cylinder, Valve::exhaust};
    const double intake_lift = engine.top_end->valve_lift(intake, at * degree);
    const double exhaust_lift = engine.top_end->valve_lift(exhaust, at * degree);
    // Inner halves of both discs, their rims with them.
    for (int one = 0; one <= 100; ++one) {
      for (int other = 0; other <= 100; ++other) {
        const auto a = edge(intake, -1, one / 100.0, intake_lift);
        const auto b = edge(exhaust, +1, -other / 100.0, exhaust_lift);
        least = std::min(least, std::hypot(a.first - b.first, a.second - b.second));
      }
    }
  }
  return least;
}

TEST(TwinCams, ValveToValveIsThatOfBruteForce) {
  const ExampleEngine engine = invented::example_four(4);
  const Report report = prove(read_example("invented-twin-cam.json"), {.advise = false});
  for (const int cylinder : {1, 3}) {
    const Finding& between = finding(report, "piston_valve.between_valves", of(cylinder));
    EXPECT_GT(between.expanded, 0);
    EXPECT_NEAR(*between.value, brute_distance(engine, cylinder), between.expanded + 5e-6);
  }
}

/// The valves that stand the farther from their ramps at cylinder 1's firing TDC than a turn later.
std::set<std::string> valves_at_firing_one(const build::Build& build) {
  const Sources sources(build);
  const Report report = prove(sources, {.advise = false});
  const Observed observed(sources, sources.estimates());
  TdcOfWheels tdc_of(observed);
  std::set<std::string> valves;
  for (const LobeKey& key : all_valves(sources)) {
    const auto lobe = settable_lobe(observed, report, key, tdc_of);
    const double now = mechanism::base_margin(lobe->valve, 0);
    const double a_turn_later = mechanism::base_margin(lobe->valve, mechanism::full_turn);
    EXPECT_GT(std::max(now, a_turn_later), lobe->expanded);
    if (now > a_turn_later) {
      valves.insert((key.valve == Valve::intake ? "I" : "E") + std::to_string(key.cylinder));
    }
  }
  return valves;
}

// The trade's tables of two positions (common practice, no source), cylinder 1 at its firing TDC, the rest a
// turn later: 1-5-3-6-2-4: I1 E1 I2 I4 E3 E5; 1-3-4-2: I1 E1 I2 E3.
TEST(Examples, SettingPositionsAreThoseOfTheTrade) {
  EXPECT_EQ(valves_at_firing_one(read_example("invented-vintage-six.json")),
            (std::set<std::string>{"I1", "E1", "I2", "I4", "E3", "E5"}));
  EXPECT_EQ(valves_at_firing_one(read_example("invented-twin-cam.json")),
            (std::set<std::string>{"I1", "E1", "I2", "E3"}));
}

// Of all pairs of positions the card takes the one with most to spare: two, a turn apart, that reach every
// valve.
TEST(Examples, TwoPositionsServeBothEngines) {
  for (const char* file : {"invented-vintage-six.json", "invented-twin-cam.json"}) {
    const build::Build build = read_example(file);
    const Sources sources(build);
    const auto card = lash_picture(sources, prove(sources, {.advise = false}));
    const auto& positions = card["plan"]["positions"];
    ASSERT_EQ(positions.size(), 2U) << file;
    EXPECT_EQ(positions[0]["valves"].size() + positions[1]["valves"].size(),
              2 * build.engine.firing_order.size());
    EXPECT_TRUE(card["plan"]["never"].empty());
  }
}

}  // namespace
}  // namespace fettle::stations::test
