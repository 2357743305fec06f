// Every route of docs/api.md as a page uses it.

#include <algorithm>

#include <gmock/gmock.h>

#include "build/findings.h"
#include "serve/support.h"
#include "stations/catalogue.h"

namespace fettle::serve {
namespace {

using namespace testing;

class Routes : public ::testing::Test {
 protected:
  RunningServer server;
  Page page{server.port()};
};

TEST_F(Routes, AnEngineIsMadeListedAndRead) {
  EXPECT_EQ(page.get("/api/engines").body, json({{"engines", json::array()}}));
  const auto [id, version] = page.make();
  const Got list = page.get("/api/engines");
  ASSERT_EQ(list.body["engines"].size(), 1U);
  const json& row = list.body["engines"][0];
  EXPECT_EQ(row["id"], id);
  EXPECT_EQ(row["name"], "Invented 5.4");
  EXPECT_EQ(row["layout"], "V8");
  EXPECT_EQ(row["version"], version);
  EXPECT_EQ(row["by"], "Ada");
  ASSERT_TRUE(row["verdicts"].is_object());

  const Got engine = page.get("/api/engines/" + id);
  EXPECT_EQ(engine.status, 200);
  EXPECT_EQ(engine.body["name"], "Invented 5.4");
  EXPECT_EQ(engine.body["can_undo"], nullptr);
  int counted = 0;
  for (const json& finding : engine.body["report"]["findings"]) {
    counted += finding["verdict"].is_null() ? 0 : 1;
  }
  const json& verdicts = row["verdicts"];
  EXPECT_EQ(counted, verdicts["holds"].get<int>() + verdicts["fails"].get<int>() +
                         verdicts["too_close"].get<int>() + verdicts["open"].get<int>());
  EXPECT_FALSE(engine.body["report"].contains("pictures"));
}

// A cylinder is a whole number: 1.0 for 1 is refused although the build with 1 was just read.
TEST_F(Routes, AnotherKindOfNumberIsReadAnew) {
  const auto [id, version] = page.make();
  const Got refused = page.post("/api/engines/" + id + "/changes",
                                {{"base", version},
                                 {"by", "Ada"},
                                 {"device", "bench"},
                                 {"operations", {{{"path", "/readings/r1/cylinder"}, {"value", 1.0}}}}});
  EXPECT_EQ(refused.status, 422);
  EXPECT_EQ(refused.body["error"]["problems"][0]["place"], "readings[0].cylinder");
}

TEST_F(Routes, AStationIsDrawnWhenAsked) {
  const auto [id, version] = page.make();
  const Got tdc = page.get("/api/engines/" + id + "/picture?station=tdc");
  EXPECT_EQ(tdc.status, 200);
  EXPECT_EQ(tdc.body["version"], version);
  EXPECT_EQ(tdc.body["picture"]["contacts"].size(), 2U);
  for (const json& station : page.get("/api/stations").body["stations"]) {
    const Got drawn = page.get("/api/engines/" + id + "/picture?station=" + station["id"].get<std::string>());
    EXPECT_EQ(drawn.status, 200) << station["id"];
    EXPECT_TRUE(drawn.body.contains("picture")) << station["id"];
  }
  EXPECT_EQ(page.get("/api/engines/none/picture?station=tdc").status, 404);
  for (const std::string query : {"", "?station=", "?station=nothing"}) {
    const Got refused = page.get("/api/engines/" + id + "/picture" + query);
    EXPECT_EQ(refused.status, 400) << query;
    EXPECT_EQ(refused.body["error"]["problems"][0]["place"], "station");
  }
}

TEST_F(Routes, ReadingsWithoutAnIdAreGivenOneOfTheirOwn) {
  json document = build::small_document();
  document["readings"][1]["id"] = "r1";
  const auto [id, version] = page.make(document);
  const json readings = page.get("/api/engines/" + id).body["document"]["readings"];
  EXPECT_EQ(readings[0]["id"], "r2");
  EXPECT_EQ(readings[1]["id"], "r1");
  EXPECT_EQ(readings[2]["id"], "r3");
}

TEST_F(Routes, AChangeAnswersWithTheReportAndWhatMoved) {
  const auto [id, version] = page.make();
  const Got answer = page.change(id, version, set("/readings/r1/wheel", "1 deg"));
  ASSERT_EQ(answer.status, 200) << answer.body.dump();
  EXPECT_EQ(answer.body["previous"], version);
  EXPECT_EQ(answer.body["version"], answer.body["entry"]);
  EXPECT_EQ(answer.body["can_undo"]["says"], "reading r1, wheel: 0 deg -> 1 deg");
  EXPECT_EQ(answer.body["can_redo"], nullptr);
  // The middle of 1 and 41 degrees against that of 0 and 41: half a degree, whatever else is at work.
  bool seen = false;
  for (const json& one : answer.body["moved"]) {
    if (one["id"] == "tdc.wheel") {
      seen = true;
      EXPECT_EQ(one["unit"], "rad");
      EXPECT_NEAR(one["to"]["value"].get<double>() - one["from"]["value"].get<double>(), 0.5 * M_PI / 180,
                  1e-6);
    }
  }
  EXPECT_TRUE(seen);
  EXPECT_EQ(page.get("/api/engines/" + id).body["report"], answer.body["report"]);
}

TEST_F(Routes, AChangeThatMovesNothingSaysSo) {
  const auto [id, version] = page.make();
  const Got answer = page.change(id, version, set("/notes", json::array({{{"text", "dowel was loose"}}})));
  ASSERT_EQ(answer.status, 200) << answer.body.dump();
  EXPECT_EQ(answer.body["moved"], json::array());
}

TEST_F(Routes, AReadingIsAppendedWhereThereWasNone) {
  json document = build::small_document();
  document.erase("readings");
  const auto [id, version] = page.make(document);
  const Got answer = page.change(
      id, version,
      set("/readings/r17",
          {{"kind", "stop_contact"}, {"cylinder", 1}, {"turning", "forward"}, {"wheel", "3 deg"}}));
  ASSERT_EQ(answer.status, 200) << answer.body.dump();
  EXPECT_EQ(page.get("/api/engines/" + id).body["document"]["readings"][0]["id"], "r17");
}

TEST_F(Routes, UndoAndRedoAnswerAsChanges) {
  const auto [id, version] = page.make();
  const auto changed = page.change(id, version, set("/readings/r1/wheel", "1 deg")).body["version"];
  const Got undone =
      page.post("/api/engines/" + id + "/undo", {{"base", changed}, {"by", "Bo"}, {"device", "tablet"}});
  ASSERT_EQ(undone.status, 200) << undone.body.dump();
  EXPECT_FALSE(undone.body["moved"].empty());
  EXPECT_EQ(undone.body["can_redo"]["by"], "Ada");
  const json document = page.get("/api/engines/" + id).body["document"];
  EXPECT_EQ(document["readings"][0]["wheel"], "0 deg");
  const Got redone = page.post("/api/engines/" + id + "/redo",
                               {{"base", undone.body["version"]}, {"by", "Bo"}, {"device", "tablet"}});
  ASSERT_EQ(redone.status, 200) << redone.body.dump();
  expect_error(page.post("/api/engines/" + id + "/redo", {{"base", redone.body["version"]}}), 422,
               "nothing_to_do");
}

TEST_F(Routes, TheNameOfAnEngineIsThatOfItsDocument) {
  const auto [id, version] = page.make();
  const Got renamed = page.post("/api/engines/" + id + "/rename", {{"name", "Bench 7"}, {"base", version}});
  ASSERT_EQ(renamed.status, 200) << renamed.body.dump();
  const Got engine = page.get("/api/engines/" + id);
  EXPECT_EQ(engine.body["name"], "Bench 7");
  EXPECT_EQ(engine.body["document"]["name"], "Bench 7");
  EXPECT_EQ(page.get("/api/engines").body["engines"][0]["name"], "Bench 7");
  const Got undone = page.post("/api/engines/" + id + "/undo", {{"base", renamed.body["version"]}});
  EXPECT_EQ(undone.status, 200);
  EXPECT_EQ(page.get("/api/engines/" + id).body["name"], "Invented 5.4");
}

TEST_F(Routes, ACopyHasItsOwnNameAndHistory) {
  const auto [id, version] = page.make();
  const json request{
      {"copy_of", id}, {"name", "Second"}, {"by", "Ada"}, {"device", "phone"}, {"change_key", "copy-1"}};
  const Got copy = page.post("/api/engines", request);
  ASSERT_EQ(copy.status, 201) << copy.body.dump();
  const Got again = page.post("/api/engines", request);
  EXPECT_EQ(again.body["id"], copy.body["id"]);
  EXPECT_EQ(page.get("/api/engines").body["engines"].size(), 2U);
  const std::string other = copy.body["id"];
  const Got engine = page.get("/api/engines/" + other);
  EXPECT_EQ(engine.body["document"]["name"], "Second");
  EXPECT_EQ(engine.body["version"], copy.body["version"]);
  EXPECT_EQ(page.get("/api/engines/" + id).body["document"]["name"], "Invented 5.4");
  expect_error(page.post("/api/engines", {{"copy_of", "nobody"}, {"name", "Third"}}), 404, "not_found");
}

TEST_F(Routes, AnArchivedEngineLeavesTheListAndComesBack) {
  const auto [id, version] = page.make();
  const Got away = page.post("/api/engines/" + id + "/archive", {{"base", version}});
  ASSERT_EQ(away.status, 200) << away.body.dump();
  EXPECT_EQ(away.body["archived"], true);
  EXPECT_TRUE(page.get("/api/engines").body["engines"].empty());
  EXPECT_EQ(page.get("/api/engines?archived=true").body["engines"].size(), 1U);
  expect_error(page.change(id, away.body["version"], set("/name", "X")), 422, "archived");
  const Got back = page.post("/api/engines/" + id + "/restore", {{"base", away.body["version"]}});
  EXPECT_EQ(back.status, 200);
  EXPECT_EQ(page.get("/api/engines").body["engines"].size(), 1U);
}

TEST_F(Routes, WhatIfTellsWhatWouldMoveAndKeepsNothing) {
  const auto [id, version] = page.make();
  const Got before = page.get("/api/engines/" + id);
  const Got answer =
      page.post("/api/engines/" + id + "/what-if", {{"operations", set("/readings/r1/wheel", "1 deg")}});
  ASSERT_EQ(answer.status, 200) << answer.body.dump();
  EXPECT_FALSE(answer.body["moved"].empty());
  EXPECT_NE(answer.body["report"], before.body["report"]);
  EXPECT_EQ(page.get("/api/engines/" + id).body, before.body);
  expect_error(page.post("/api/engines/" + id + "/what-if", {{"operations", set("/engine/bore", 7)}}), 422,
               "unsound");
  expect_error(page.post("/api/engines/" + id + "/what-if", {{"operations", set("/nowhere/at/all", 7)}}), 422,
               "missing");
}

TEST_F(Routes, TheHistoryIsToldNewestFirstAndInPages) {
  auto [id, version] = page.make();
  for (int i = 1; i <= 3; ++i) {
    version = page.change(id, version, set("/readings/r1/wheel", std::to_string(i) + " deg")).body["version"];
  }
  const Got newest = page.get("/api/engines/" + id + "/history?most=2");
  ASSERT_EQ(newest.body["entries"].size(), 2U);
  EXPECT_EQ(newest.body["entries"][0]["entry"], version);
  EXPECT_EQ(newest.body["entries"][0]["operations"],
            json::parse(R"([{"path": "/readings/r1/wheel", "before": "2 deg", "value": "3 deg"}])"));
  const auto last = newest.body["entries"][1]["entry"].get<std::int64_t>();
  const Got older = page.get("/api/engines/" + id + "/history?most=50&before=" + std::to_string(last));
  ASSERT_EQ(older.body["entries"].size(), 2U);
  EXPECT_EQ(older.body["entries"][1]["kind"], "create");
  for (const char* query : {"most=0", "most=x", "most=1001", "before=-1", "before=1e3", "before="}) {
    expect_error(page.get("/api/engines/" + id + "/history?" + query), 400, "bad_request");
  }
}

TEST_F(Routes, TheExportIsABuildThatCanBeTakenInAgain) {
  json document = build::small_document();
  document["name"] = "A \"quoted\"\\name / ..";
  const auto [id, version] = page.make(document);
  const auto result = page.client().Get("/api/engines/" + id + "/export");
  ASSERT_TRUE(result);
  EXPECT_EQ(result->get_header_value("Content-Disposition"), "attachment; filename=\"A_quoted_name.json\"");
  const auto [other, first] = page.make(json::parse(result->body));
  EXPECT_EQ(page.get("/api/engines/" + other).body["document"],
            page.get("/api/engines/" + id).body["document"]);
}

TEST_F(Routes, TheStationsDescribeEveryReadingAndFinding) {
  const json stations = page.get("/api/stations").body["stations"];
  ASSERT_EQ(stations.size(), ::fettle::stations::stations().size());
  std::size_t findings = 0;
  for (const json& station : stations) {
    EXPECT_FALSE(station["how"].empty());
    EXPECT_FALSE(station["cautions"].empty());
    findings += station["findings"].size();
    for (const json& reading : station["readings"]) {
      for (const json& field : reading["fields"]) {
        EXPECT_TRUE(field["type"] != "choice" || field["choices"].size() > 1) << field.dump();
        EXPECT_TRUE(field["type"] != "tool" || !field["tools"].empty()) << field.dump();
      }
    }
  }
  EXPECT_EQ(findings, build::finding_kinds().size());
  // What is read comes last of what is needed, so that Enter takes the reading.
  const auto cam = std::find_if(stations.begin(), stations.end(),
                                [](const json& station) { return station["id"] == "cam"; });
  ASSERT_NE(cam, stations.end());
  const json& point = (*cam)["readings"][0];
  EXPECT_EQ(point["kind"], "lobe_point");
  EXPECT_EQ(point["one_of"], json({"lift", "below_max"}));
  std::vector<std::string> keys;
  for (const json& field : point["fields"]) {
    keys.push_back(field["key"]);
  }
  EXPECT_THAT(keys,
              ::testing::ElementsAre("cylinder", "valve", "side", "lift", "below_max", "wheel", "measured_at",
                                     "turning", "repeats", "pass", "position", "tool", "lift_tool"));
}

TEST_F(Routes, TheSchemaIsThePublishedOne) {
  std::ifstream file(FETTLE_DOCS "/build.schema.json");
  EXPECT_EQ(page.get("/api/schema").body, json::parse(file));
}

TEST_F(Routes, AHeadIsAnsweredWithoutABody) {
  const auto result = page.client().Head("/api/engines");
  ASSERT_TRUE(result);
  EXPECT_EQ(result->status, 200);
  EXPECT_TRUE(result->body.empty());
}

TEST_F(Routes, ADocumentThatIsNoLongerSoundIsStillShownWithItsProblems) {
  // Past the objections, as an older program may have written it.
  json spoilt = build::small_document();
  spoilt["engine"]["bore"] = 7;
  ledger::Ledger raw(server.file());
  const auto made = raw.create("Old", spoilt, {"Ada", "phone", std::nullopt});
  const std::string id = std::get<ledger::Applied>(made).engine;
  const Got engine = page.get("/api/engines/" + id);
  EXPECT_EQ(engine.status, 200);
  EXPECT_EQ(engine.body["document"]["engine"]["bore"], 7);
  EXPECT_EQ(engine.body["problems"][0]["place"], "engine.bore");
  EXPECT_TRUE(engine.body["report"]["findings"].empty());
  // And mended.
  EXPECT_EQ(page.change(id, engine.body["version"], set("/engine/bore", "100 mm")).status, 200);
}

}  // namespace
}  // namespace fettle::serve
