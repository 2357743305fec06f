// The pull over HTTP: what is asked for is run and told of as it goes, and is what the library gives; bounds
// hold.

#include <fmt/format.h>

#include "build/codec.h"
#include "pull/pull_json.h"
#include "pull/small_engine.h"
#include "serve/support.h"

namespace fettle::serve {
namespace {

using namespace testing;
using pull::test::degree;
using pull::test::rpm;
using pull::test::single_document;

class PullRoutes : public ::testing::Test {
 protected:
  static ServerOptions small_bounds() {
    ServerOptions options;
    options.pulls.kept = 2;
    options.pulls.waiting = 2;
    return options;
  }
  void SetUp() override { std::tie(id, version) = page.make(single_document()); }

  [[nodiscard]] std::string pulls() const { return "/api/engines/" + id + "/pulls"; }
  static json two_speeds() { return {{"from", "3000 rpm"}, {"to", "4000 rpm"}, {"step", "1000 rpm"}}; }
  /// More than any test waits for.
  static json long_one() {
    return {{"from", "2000 rpm"},
            {"to", "3500 rpm"},
            {"step", "10 rpm"},
            {"by", "Ada"},
            {"variants", json::array({{{"title", "long"}}})}};
  }
  std::string start(const json& body) {
    const Got started = page.post(pulls(), body);
    EXPECT_EQ(started.status, 202) << started.body.dump();
    return started.body.value("id", "");
  }
  json await(const std::string& pull, const std::vector<std::string>& states) {
    const auto until = std::chrono::steady_clock::now() + std::chrono::seconds(120);
    for (;;) {
      const Got got = page.get("/api/pulls/" + pull);
      const json& now = got.body;
      EXPECT_EQ(got.status, 200) << now.dump();
      if (got.status != 200 ||
          std::find(states.begin(), states.end(), now.value("state", "")) != states.end() ||
          std::chrono::steady_clock::now() > until) {
        return now;
      }
      std::this_thread::sleep_for(std::chrono::milliseconds(20));
    }
  }
  json ended(const std::string& pull) { return await(pull, {"done", "failed", "cancelled"}); }
  void cancel(const std::string& pull) {
    EXPECT_EQ(page.post("/api/pulls/" + pull + "/cancel", json::object()).status, 200);
    ended(pull);
  }

  RunningServer server{small_bounds()};
  Page page{server.port()};
  std::string id;
  std::int64_t version = 0;
};

/// Of one variant, straight from the library.
pull::PullResult straight(const json& document, double cam_degrees, bool doubts = false) {
  pull::PullOptions options = pull::test::at_speeds(3000, 4000);
  options.cam = {cam_degrees * degree};
  options.traces = true;
  options.doubts = doubts;
  return pull::test::run(document, options);
}

TEST_F(PullRoutes, TheResultIsThatOfTheLibraryForEveryVariant) {
  json body = two_speeds();
  const json longer = set("/exhaust/primary_length", "900 mm");
  body["doubts"] = true;
  body["by"] = "Ada";
  body["variants"] = {{{"title", "as it is"}},
                      {{"title", "advanced"}, {"cam", "4 deg"}},
                      {{"title", "longer primaries"}, {"operations", longer}}};
  const json started = page.post(pulls(), body).body;
  EXPECT_EQ(started["version"], version);
  EXPECT_EQ(started["by"], "Ada");
  EXPECT_EQ(started["total"], 6);
  const json done = ended(started["id"]);
  ASSERT_EQ(done["state"], "done") << done.dump();
  EXPECT_EQ(done["done"], done["total"]);
  EXPECT_FALSE(done["stale"]);
  EXPECT_NEAR(done["order"]["from"].get<double>(), 3000 * rpm, 1e-9);
  EXPECT_EQ(done["order"]["variants"][2]["operations"], longer);
  json changed = single_document();
  changed["exhaust"]["primary_length"] = "900 mm";
  const pull::PullResult wanted[] = {straight(single_document(), 0.0, true), straight(single_document(), 4.0),
                                     straight(changed, 0.0)};
  ASSERT_EQ(done["results"].size(), 3U);
  for (std::size_t i = 0; i < 3; ++i) {
    const json whole = json(pull::pull_json(wanted[i], pull::Traces::left_out));
    const json& given = done["results"][i];
    EXPECT_EQ(given["points"], whole["curves"][0]["points"]) << i;
    for (const char* key : {"doubts", "assumptions", "cautions", "sae_factor", "iso_factor",
                            "compression_ratio", "prediction"}) {
      EXPECT_EQ(given[key], whole[key]) << i << " " << key;
    }
  }
  EXPECT_FALSE(done["results"][0]["doubts"].empty());
  EXPECT_TRUE(done["results"][1]["doubts"].empty());
  EXPECT_NE(done["results"][0]["points"], done["results"][2]["points"]);
  const json trace =
      page.get("/api/pulls/" + done["id"].get<std::string>() + "/trace?variant=1&point=1").body;
  EXPECT_EQ(trace["trace"], json(pull::trace_json(*wanted[1].curves[0].points[1].trace)));
  EXPECT_EQ(trace["cylinder"], 1);
  EXPECT_NEAR(trace["speed"].get<double>(), 4000 * rpm, 1e-9);
}

TEST_F(PullRoutes, AirAndDefaultsAreTaken) {
  json body = two_speeds();
  body["to"] = "3000 rpm";
  body["air"] = {{"pressure", "960 hPa"}, {"vapour_pressure", "10 hPa"}, {"temperature", "30 C"}};
  const json done = ended(start(body));
  ASSERT_EQ(done["state"], "done") << done.dump();
  pull::PullOptions options = pull::test::at_speeds(3000, 3000);
  options.ambient = {96000.0, 1000.0, 303.15};
  const auto point = pull::test::run(single_document(), options).curves.front().points.front();
  EXPECT_EQ(done["results"][0]["points"][0]["brake_torque"], point.brake_torque);
  EXPECT_EQ(done["order"]["variants"][0]["title"], "as it is");
}

TEST_F(PullRoutes, ThoseWhoListenAreToldOfEveryPointAndOfTheEnd) {
  RawConnection listener(server.port());
  listener.send(fmt::format("GET /api/events HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\r\n", server.port()));
  listener.read_until(": listening\n\n");
  const std::string pull = start(two_speeds());
  const std::string text =
      listener.read_until("\"state\":\"done\",\"done\":2,\"total\":2", std::chrono::seconds(120));
  EXPECT_NE(
      text.find(fmt::format("event: pull\ndata: {{\"pull\":\"{}\",\"engine\":\"{}\",\"state\":\"running\","
                            "\"done\":0,\"total\":2,\"point\":null}}\n\n",
                            pull, id)),
      std::string::npos)
      << text;
  EXPECT_NE(text.find("\"done\":1,\"total\":2,\"point\":{\"variant\":0,\"speed\":"), std::string::npos)
      << text;
  EXPECT_NE(text.find("\"state\":\"done\",\"done\":2,\"total\":2"), std::string::npos) << text;
  // What passes by is no entry of the ledger: it must not move the place from which a listener goes on.
  for (auto at = text.find("event: pull\n"); at != std::string::npos;
       at = text.find("event: pull\n", at + 1)) {
    const std::string event = text.substr(at, text.find("\n\n", at) - at);
    EXPECT_EQ(event.find("id: "), std::string::npos) << event;
  }
}

TEST_F(PullRoutes, OneThatRunsIsCancelledAndGivesNoResult) {
  const std::string pull = start(long_one());
  await(pull, {"running"});
  const Got answer = page.post("/api/pulls/" + pull + "/cancel", {{"by", "Ada"}});
  EXPECT_EQ(answer.status, 200);
  const json now = ended(pull);
  EXPECT_EQ(now["state"], "cancelled");
  EXPECT_LT(now["done"], now["total"]);
  EXPECT_EQ(now["results"], nullptr);
  expect_error(page.get("/api/pulls/" + pull + "/trace?variant=0&point=0"), 404, "not_found");
  // Again: nothing more happens.
  EXPECT_EQ(page.post("/api/pulls/" + pull + "/cancel", json::object()).body["state"], "cancelled");
}

TEST_F(PullRoutes, ReadingsAreTakenAndAPullGrowsOldWhileItRuns) {
  const std::string first = start(two_speeds());
  EXPECT_FALSE(ended(first)["stale"]);
  const std::string pull = start(long_one());
  await(pull, {"running"});
  const Got changed = page.change(id, version, set("/exhaust/primary_length", "800 mm"));
  EXPECT_EQ(changed.status, 200) << changed.body.dump();
  const json now = page.get("/api/pulls/" + pull).body;
  EXPECT_EQ(now["state"], "running");
  EXPECT_TRUE(now["stale"]);
  EXPECT_EQ(now["version"], version);
  EXPECT_TRUE(page.get("/api/pulls/" + first).body["stale"]);
  const json list = page.get(pulls()).body;
  EXPECT_EQ(list["version"], changed.body["version"]);
  ASSERT_EQ(list["pulls"].size(), 2U);
  EXPECT_EQ(list["pulls"][0]["id"], pull);
  EXPECT_TRUE(list["pulls"][1]["stale"]);
  cancel(pull);
}

TEST_F(PullRoutes, ThoseThatWaitAreFewAndCanBeCancelled) {
  const std::string running = start(long_one());
  await(running, {"running"});
  const std::string waiting = start(long_one());
  const std::string last = start(long_one());
  EXPECT_EQ(page.get("/api/pulls/" + last).body["state"], "waiting");
  expect_error(page.post(pulls(), long_one()), 503, "too_many");
  EXPECT_EQ(page.post("/api/pulls/" + waiting + "/cancel", json::object()).body["state"], "cancelled");
  const std::string next = start(two_speeds());
  cancel(last);
  cancel(running);
  EXPECT_EQ(ended(next)["state"], "done");
}

TEST_F(PullRoutes, OnlyTheLastAreKept) {
  std::vector<std::string> all;
  for (int i = 0; i < 3; ++i) {
    json body = two_speeds();
    body["to"] = "3000 rpm";
    all.push_back(start(body));
    EXPECT_EQ(ended(all.back())["state"], "done");
  }
  expect_error(page.get("/api/pulls/" + all[0]), 404, "not_found");
  EXPECT_EQ(page.get("/api/pulls/" + all[1]).status, 200);
  EXPECT_EQ(page.get(pulls()).body["pulls"].size(), 2U);
}

TEST_F(PullRoutes, AServerThatStopsWaitsForNoPull) {
  auto other = std::make_unique<RunningServer>();
  Page there(other->port());
  const auto [engine, made] = there.make(single_document());
  EXPECT_EQ(there.post("/api/engines/" + engine + "/pulls", long_one()).status, 202);
  EXPECT_EQ(there.post("/api/engines/" + engine + "/pulls", long_one()).status, 202);
  other.reset();  // ended_as_asked_ is looked at there; all of it would take minutes
}

TEST_F(PullRoutes, WhatABuildLacksIsNamedBeforeAnythingRuns) {
  json document = single_document();
  document.erase("cam");
  const auto [bare, made] = page.make(document);
  const Got refused = page.post("/api/engines/" + bare + "/pulls", two_speeds());
  expect_error(refused, 422, "not_ready");
  EXPECT_EQ(refused.body["error"]["problems"][0]["place"], "cam.card");
  const json list = page.get("/api/engines/" + bare + "/pulls").body;
  EXPECT_EQ(list["problems"][0]["place"], "cam.card");
  EXPECT_TRUE(list["pulls"].empty());
  const json ready = page.get(pulls()).body;
  EXPECT_TRUE(ready["problems"].empty());
  EXPECT_FALSE(ready["assumptions"].empty());
  EXPECT_FALSE(ready["cautions"].empty());
}

TEST_F(PullRoutes, WhatIsAskedWronglyIsAnsweredClearly) {
  for (const std::string body : {"", "{", "[]", "7", "\xff", "{\"from\":1,\"from\":2}"}) {
    expect_error(got(page.client().Post(pulls(), body, "application/json")), 400, "bad_request");
    expect_error(got(page.client().Post("/api/pulls/x/cancel", body, "application/json")), 400,
                 "bad_request");
  }
  const json wrong = {{"from", "100 rpm"},
                      {"to", 6500},
                      {"step", "5 mm"},
                      {"doubts", "yes"},
                      {"trace_cylinder", 0},
                      {"air", {{"pressure", "3 bar"}, {"temperature", "-60 C"}, {"wind", 1}}},
                      {"variants", {7, {{"cam", "90 deg"}}, {{"title", 5}, {"operations", json::object()}}}},
                      {"colour", "red"}};
  const Got answer = page.post(pulls(), wrong);
  expect_error(answer, 400, "bad_request");
  std::vector<std::string> places;
  for (const json& problem : answer.body["error"]["problems"]) {
    places.push_back(problem["place"]);
    EXPECT_FALSE(problem["accepted"].get<std::string>().empty());
  }
  EXPECT_THAT(places,
              ::testing::IsSupersetOf({"from", "to", "step", "doubts", "trace_cylinder", "air.pressure",
                                       "air.temperature", "air.wind", "variants[0]", "variants[1].cam",
                                       "variants[2].title", "variants[2].operations", "colour"}));
  expect_error(page.post(pulls(), {{"from", "5000 rpm"}, {"to", "4000 rpm"}}), 400, "bad_request");
  expect_error(page.post(pulls(), {{"step", "10 rpm"}}), 400, "bad_request");  // too many points
  expect_error(page.post(pulls(), {{"variants", json::array()}}), 400, "bad_request");
  expect_error(page.post(pulls(), {{"trace_cylinder", 2}}), 400, "bad_request");
  const auto trying = [&](const json& operations) {
    return page.post(pulls(), {{"variants", json::array({{{"operations", operations}}})}});
  };
  expect_error(trying(set("/engine/bore", "-3 mm")), 422, "unsound");
  expect_error(trying(set("/engine/bores", "88 mm")), 422, "unsound");
  expect_error(trying(set("/readings/7/9", 1)), 422, "missing");
}

TEST_F(PullRoutes, WhatIsNotThereIsSaidToBeMissing) {
  expect_error(page.get("/api/engines/none/pulls"), 404, "not_found");
  expect_error(page.post("/api/engines/none/pulls", two_speeds()), 404, "not_found");
  expect_error(page.get("/api/pulls/none"), 404, "not_found");
  expect_error(page.get("/api/pulls/none/trace"), 404, "not_found");
  expect_error(page.post("/api/pulls/none/cancel", json::object()), 404, "not_found");
  expect_error(got(page.client().Put(pulls(), "{}", "application/json")), 405, "wrong_method");
  expect_error(got(page.client().Get("/api/pulls/none/cancel")), 405, "wrong_method");
  json body = two_speeds();
  body["to"] = "3000 rpm";
  const std::string pull = start(body);
  ended(pull);
  for (const char* query : {"?variant=1", "?point=1", "?variant=0&point=99"}) {
    expect_error(page.get("/api/pulls/" + pull + "/trace" + query), 404, "not_found");
  }
  for (const char* query : {"?variant=x", "?point=-1", "?variant=1e3"}) {
    expect_error(page.get("/api/pulls/" + pull + "/trace" + query), 400, "bad_request");
  }
}

}  // namespace
}  // namespace fettle::serve
