#include <functional>
#include <ostream>
#include <string>
#include <vector>

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "build/codec.h"
#include "small_build.h"

namespace fettle::build {
namespace {

using nlohmann::json;

/// One way to spoil a sound document and where the problem must be said to stand.
struct Spoiled {
  std::string name;
  std::string place;
  std::function<void(json&)> spoil;
};

void PrintTo(const Spoiled& spoiled, std::ostream* out) {
  *out << spoiled.name;
}

const std::vector<Spoiled>& spoiled_documents() {
  static const std::vector<Spoiled> cases{
      {"FiringOrderThatIsNoPermutation", "engine.firing_order",
       [](json& d) { d["engine"]["firing_order"] = {1, 8, 4, 3, 6, 5, 7, 7}; }},
      {"FiringOrderTooShort", "engine.firing_order",
       [](json& d) {
         d["engine"]["firing_order"] = {1, 2};
       }},
      {"IntervalsThatDoNotClose", "engine.firing_intervals",
       [](json& d) { d["engine"]["firing_intervals"] = std::vector<std::string>(8, "80 deg"); }},
      {"RodShorterThanTheThrow", "engine.rod_length", [](json& d) { d["engine"]["rod_length"] = "1.6 in"; }},
      {"NegativeBore", "engine.bore", [](json& d) { d["engine"]["bore"] = "-4 in"; }},
      {"UnknownLayout", "engine.layout", [](json& d) { d["engine"]["layout"] = "Q8"; }},
      {"LaterVersion", "fettle", [](json& d) { d["fettle"] = 2; }},
      {"RatioThatIsNone", "engine.compression_ratio",
       [](json& d) { d["engine"]["compression_ratio"] = 0.9; }},
      {"CylinderInTwoCollectors", "exhaust.groups",
       [](json& d) {
         d["exhaust"]["groups"] = {{1, 2, 3, 4}, {4, 5, 6, 7, 8}};
       }},
      {"CylinderInNoCollector", "exhaust.groups",
       [](json& d) {
         d["exhaust"]["groups"] = {{1, 2, 3, 4}, {5, 6, 7}};
       }},
      {"TooManyPipesAtACollector", "exhaust.groups",
       [](json& d) {
         d["exhaust"]["groups"] = std::vector<std::vector<int>>{{1, 2, 3, 4, 5, 6, 7, 8}};
       }},
      {"FlowTableThatGoesBack", "head.intake.flow[1].lift",
       [](json& d) {
         d["head"]["intake"]["flow"] = {{{"lift", "0.2 in"}, {"flow", "120 cfm"}},
                                        {{"lift", "0.1 in"}, {"flow", "60 cfm"}}};
       }},
      {"FlowPointWithoutAFlow", "head.exhaust.flow[0]",
       [](json& d) {
         d["head"]["exhaust"]["flow"] = json::array({{{"lift", "0.2 in"}}});
       }},
      {"LambdaBesideAirFuelRatio", "fuel.lambda",
       [](json& d) {
         d["fuel"] = {{"lambda", 0.9}, {"air_fuel_ratio", 13}};
       }},
      {"OctaneOutOfRange", "fuel.octane", [](json& d) { d["fuel"]["octane"] = 9.3; }},
      {"SparkSpeedsThatGoBack", "ignition.advance[1].speed",
       [](json& d) {
         d["ignition"]["advance"] = {{{"speed", "3000 rpm"}, {"advance", "30 deg"}},
                                     {{"speed", "2000 rpm"}, {"advance", "25 deg"}}};
       }},
      {"RunnerOfNoLength", "intake.runner_length", [](json& d) { d["intake"]["runner_length"] = "0 in"; }},
      {"EmptyName", "name", [](json& d) { d["name"] = " "; }},
      {"CylinderBeyondTheEngine", "readings[0].cylinder", [](json& d) { d["readings"][0]["cylinder"] = 9; }},
      {"ToolThatIsNotThere", "readings[0].tool", [](json& d) { d["readings"][0]["tool"] = "whel"; }},
      {"IndicatorInPlaceOfAWheel", "readings[0].tool", [](json& d) { d["readings"][0]["tool"] = "dial"; }},
      {"ContactWithoutADirection", "readings[0]", [](json& d) { d["readings"][0].erase("turning"); }},
      {"FieldOfAnotherKind", "readings[0].below_max",
       [](json& d) { d["readings"][0]["below_max"] = "0.05 in"; }},
      {"PointWithNeitherLiftNorDrop", "readings[2]", [](json& d) { d["readings"][2].erase("below_max"); }},
      {"PointWithBoth", "readings[2]", [](json& d) { d["readings"][2]["lift"] = "0.05 in"; }},
      {"SideOfAnotherKind", "readings[2].side", [](json& d) { d["readings"][2]["side"] = "before"; }},
      {"PositionNotOffered", "timing_set.fitted", [](json& d) { d["timing_set"]["fitted"] = "3 deg"; }},
      {"ReadingAtAPositionNotOffered", "readings[2].position",
       [](json& d) { d["readings"][2]["position"] = "3 deg"; }},
      {"SameIdTwice", "readings[1].id",
       [](json& d) { d["readings"][0]["id"] = "a", d["readings"][1]["id"] = "a"; }},
      {"WheelGraduatedInInches", "tools.wheel.resolution",
       [](json& d) { d["tools"]["wheel"]["resolution"] = "0.5 in"; }},
      {"NegativeResolution", "tools.dial.resolution",
       [](json& d) { d["tools"]["dial"]["resolution"] = "-0.001 in"; }},
      {"LimitOfAnUnknownFinding", "limits[0].finding",
       [](json& d) { d["limits"][0]["finding"] = "cam.intake_centreline"; }},
      {"LimitInTheWrongUnit", "limits[0]", [](json& d) { d["limits"][0]["min"] = "106 in"; }},
      {"LimitUpsideDown", "limits[0]", [](json& d) { d["limits"][0]["min"] = "111 deg"; }},
      {"DurationThatGrowsWithLift", "cam.card.intake.durations[0]",
       [](json& d) { d["cam"]["card"]["intake"]["durations"][1]["duration"] = "270 deg"; }},
      {"EventThatIsNone", "cam.card.intake.events[0].opening",
       [](json& d) {
         d["cam"]["card"]["intake"]["events"] = {
             {{"at", "0.050 in"}, {"opening", "soon"}, {"closing", "37 ABDC"}}};
       }},
      {"ToolSetOnOneThatIsNotThere", "tools.dial.set_on",
       [](json& d) { d["tools"]["dial"]["set_on"] = "dail"; }},
      {"WheelSetToSize", "tools.wheel.set_on", [](json& d) { d["tools"]["wheel"]["set_on"] = "dial"; }},
      {"ToolSetOnItself", "tools.dial.set_on", [](json& d) { d["tools"]["dial"]["set_on"] = "dial"; }},
      {"MainBeyondTheCrank", "readings[3].main",
       [](json& d) {
         d["bearings"] = {{"mains", 5}};
         d["readings"].push_back({{"kind", "journal_diameter"}, {"main", 6}, {"diameter", "2.448 in"}});
       }},
      {"JournalOfAMainAndOfARod", "readings[3]",
       [](json& d) {
         d["readings"].push_back(
             {{"kind", "journal_diameter"}, {"main", 1}, {"cylinder", 1}, {"diameter", "2.448 in"}});
       }},
      {"JournalOfNothing", "readings[3]",
       [](json& d) {
         d["readings"].push_back({{"kind", "journal_diameter"}, {"diameter", "2.448 in"}});
       }},
      {"JournalInMillimetresTakenForInches", "readings[3].diameter",
       [](json& d) {
         d["readings"].push_back({{"kind", "journal_diameter"}, {"main", 1}, {"diameter", "2.448 mm"}});
       }},
      {"PistonInTwoCylinders", "bores.pistons",
       [](json& d) { d["bores"]["pistons"] = {1, 2, 3, 4, 5, 6, 7, 7}; }},
      {"ShellsOfABearingTwice", "bearings.rod.fitted[1].number",
       [](json& d) {
         d["bearings"]["rod"]["fitted"] = {{{"number", 2}}, {{"number", 2}}};
       }},
      {"BoreHonedOfACylinderThatIsNotThere", "bores.honed[0].cylinder",
       [](json& d) {
         d["bores"]["honed"] = {{{"cylinder", 9}, {"amount", "0.001 in"}}};
       }},
      {"LimitOfAMainForACylinder", "limits[1]",
       [](json& d) {
         d["limits"].push_back({{"finding", "bottom_end.rod_clearance"}, {"main", 1}, {"min", "0.002 in"}});
       }},
      {"SweepTooShort", "readings[3].points",
       [](json& d) {
         d["readings"].push_back({{"kind", "lobe_sweep"},
                                  {"valve", "exhaust"},
                                  {"cylinder", 2},
                                  {"points", {{"0 deg", "0 in"}}}});
       }},

      {"BankThatLeavesACylinderOut", "engine.banks",
       [](json& d) {
         d["engine"]["banks"] = {{1, 3, 5, 7}, {2, 4, 6, 6}};
       }},
      {"BanksOfUnequalLength", "engine.banks",
       [](json& d) {
         d["engine"]["banks"] = {{1, 3, 5, 7, 2}, {4, 6, 8}};
       }},
      {"LandWiderThanTheBore", "crowns.land_diameter",
       [](json& d) { d["crowns"]["land_diameter"] = "101 mm"; }},
      {"BarometerInGaugePressure", "compression.barometer",
       [](json& d) { d["compression"]["barometer"] = "0.1 psi"; }},
      {"BoltWithoutACore", "fasteners.studs.pitch",
       [](json& d) {
         d["fasteners"]["studs"] = {{"diameter", "10 mm"}, {"pitch", "8 mm"}};
       }},
      {"GradeOfNoStandard", "fasteners.studs.grade",
       [](json& d) {
         d["fasteners"]["studs"] = {{"diameter", "10 mm"}, {"pitch", "1.5 mm"}, {"grade", "9"}};
       }},
      {"StretchUpsideDown", "fasteners.studs.stretch_least",
       [](json& d) {
         d["fasteners"]["studs"] = {{"diameter", "10 mm"},
                                    {"pitch", "1.5 mm"},
                                    {"stretch_least", "0.007 in"},
                                    {"stretch_most", "0.006 in"}};
       }},
      {"FastenerThatIsNotThere", "readings[3].fastener",
       [](json& d) {
         d["fasteners"]["studs"] = {{"diameter", "10 mm"}, {"pitch", "1.5 mm"}};
         d["readings"].push_back(
             {{"kind", "bolt_turn"}, {"fastener", "stud"}, {"number", 1}, {"angle", "60 deg"}});
       }},
      {"BoltBeyondItsSet", "readings[3].number",
       [](json& d) {
         d["fasteners"]["studs"] = {{"diameter", "10 mm"}, {"pitch", "1.5 mm"}, {"count", 10}};
         d["readings"].push_back(
             {{"kind", "bolt_turn"}, {"fastener", "studs"}, {"number", 11}, {"angle", "60 deg"}});
       }},
      {"VolumePouredFromAnIndicator", "readings[3].tester",
       [](json& d) {
         d["readings"].push_back(
             {{"kind", "chamber_fill"}, {"cylinder", 1}, {"volume", "64 cc"}, {"tester", "dial"}});
       }},
      {"VolumeReadAgainAsALength", "readings[3].again[0]",
       [](json& d) {
         d["readings"].push_back(
             {{"kind", "chamber_fill"}, {"cylinder", 1}, {"volume", "64 cc"}, {"again", {"64 mm"}}});
       }},
      {"MilledWithoutTheChambersArea", "readings[3].milled",
       [](json& d) {
         d["readings"].push_back(
             {{"kind", "chamber_fill"}, {"cylinder", 1}, {"volume", "64 cc"}, {"milled", "0 in"}});
       }},
      {"BuretteGraduatedInInches", "tools.glass.resolution",
       [](json& d) {
         d["tools"]["glass"] = {{"kind", "burette"}, {"resolution", "0.1 in"}};
       }},
      {"FactorBeyondAll", "balance.factor", [](json& d) { d["balance"]["factor"] = 1.2; }},
      {"LimitOfAPartWhereThereIsNone", "limits[0]", [](json& d) { d["limits"][0]["part"] = "rod bolts"; }},
  };
  return cases;
}

class Validate : public testing::TestWithParam<Spoiled> {};

TEST_P(Validate, SaysWhatIsWrongAndWhere) {
  json document = small_document();
  GetParam().spoil(document);
  const auto problems = read_document(document).problems;
  ASSERT_EQ(problems.size(), 1U) << (problems.empty() ? "nothing was said" : problems[1].message());
  EXPECT_EQ(problems[0].place, GetParam().place) << problems[0].message();
  EXPECT_FALSE(problems[0].given.empty());
  EXPECT_FALSE(problems[0].accepted.empty());
}

INSTANTIATE_TEST_SUITE_P(Spoiled, Validate, testing::ValuesIn(spoiled_documents()),
                         [](const auto& spoiled) { return spoiled.param.name; });

}  // namespace
}  // namespace fettle::build
