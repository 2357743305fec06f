// What a client gets wrong is answered clearly, in the form of docs/api.md, and changes nothing.

#include <gmock/gmock.h>

#include "serve/support.h"

namespace fettle::serve {
namespace {

using namespace testing;

class Refusals : public ::testing::Test {
 protected:
  void SetUp() override {
    std::tie(id, version) = page.make();
    before = page.get("/api/engines/" + id).body;
  }
  void TearDown() override { EXPECT_EQ(page.get("/api/engines/" + id).body, before) << "something was changed all the same"; }

  [[nodiscard]] std::string path(const std::string& verb) const { return "/api/engines/" + id + "/" + verb; }
  Got raw_post(const std::string& where, const std::string& body, const std::string& type = "application/json") {
    return got(page.client().Post(where, body, type));
  }

  RunningServer server;
  Page page{server.port()};
  std::string id;
  std::int64_t version = 0;
  json before;
};

const std::vector<std::string>& changing_verbs() {
  static const std::vector<std::string> verbs{"changes", "undo", "redo", "rename", "archive", "restore", "what-if"};
  return verbs;
}

TEST_F(Refusals, ABodyThatIsNoJsonObjectIsRefusedByEveryRoute) {
  const std::string deep = std::string(2000, '[') + std::string(2000, ']');
  std::vector<std::string> routes{"/api/engines"};
  for (const auto& verb : changing_verbs()) {
    routes.push_back(path(verb));
  }
  for (const auto& route : routes) {
    for (const std::string& body : {std::string(), std::string("{"), std::string("nonsense"), std::string("[]"), std::string("7"),
                                    std::string("{\"base\": 1"), std::string("\xff\xfe"), std::string("{\"a\":1}{\"b\":2}"), deep,
                                    std::string("{\"base\":1,\"base\":2}"), std::string("{\"base\":1e999}")}) {
      const Got answer = raw_post(route, body);
      expect_error(answer, 400, "bad_request");
      EXPECT_FALSE(answer.body["error"]["problems"].empty()) << route << " " << body.substr(0, 40);
    }
  }
}

TEST_F(Refusals, MembersOfTheWrongKindAreAllNamed) {
  const Got answer = page.post(path("changes"), {{"base", "3"}, {"by", 7}, {"device", json::array()}, {"change_key", nullptr}, {"operations", json::object()}});
  expect_error(answer, 400, "bad_request");
  std::vector<std::string> places;
  for (const json& problem : answer.body["error"]["problems"]) {
    places.push_back(problem["place"]);
    EXPECT_FALSE(problem["accepted"].get<std::string>().empty());
  }
  EXPECT_THAT(places, ::testing::UnorderedElementsAre("base", "by", "device", "change_key", "operations"));
}

TEST_F(Refusals, EachMemberOfEachRouteIsHeldToItsKind) {
  const json operations = set("/name", "X");
  const std::vector<std::pair<std::string, json>> wrong{
      {path("changes"), {{"operations", operations}}},
      {path("changes"), {{"base", -1}, {"operations", operations}}},
      {path("changes"), {{"base", 1.5}, {"operations", operations}}},
      {path("changes"), {{"base", 1e30}, {"operations", operations}}},
      {path("changes"), {{"base", version}}},
      {path("changes"), {{"base", version}, {"operations", json::array()}}},
      {path("changes"), {{"base", version}, {"operations", {7}}}},
      {path("changes"), {{"base", version}, {"operations", {{{"value", 1}}}}}},
      {path("changes"), {{"base", version}, {"operations", {{{"path", 1}}}}}},
      {path("changes"), {{"base", version}, {"operations", {{{"path", "/name"}, {"valeu", 1}}}}}},
      {path("changes"), {{"base", version}, {"operations", {{{"path", std::string(501, '/')}, {"value", 1}}}}}},
      {path("changes"), {{"base", version}, {"operations", operations}, {"by", std::string(61, 'a')}}},
      {path("changes"), {{"base", version}, {"operations", operations}, {"by", "a\nb"}}},
      {path("changes"), {{"base", version}, {"operations", operations}, {"baze", 1}}},
      {path("undo"), json::object()},
      {path("redo"), {{"base", nullptr}}},
      {path("rename"), {{"base", version}}},
      {path("rename"), {{"base", version}, {"name", ""}}},
      {path("rename"), {{"base", version}, {"name", std::string(61, 'n')}}},
      {path("archive"), {{"base", true}}},
      {path("restore"), {{"base", "x"}}},
      {path("what-if"), {{"operations", "x"}}},
      {"/api/engines", json::object()},
      {"/api/engines", {{"document", 7}}},
      {"/api/engines", {{"document", build::small_document()}, {"nmae", "x"}}},
      {"/api/engines", {{"copy_of", id}}},
      {"/api/engines", {{"copy_of", 7}, {"name", "x"}}},
  };
  for (const auto& [route, body] : wrong) {
    SCOPED_TRACE(route + " " + body.dump());
    expect_error(page.post(route, body), 400, "bad_request");
  }
}

TEST_F(Refusals, ADocumentThatWouldNotBeSoundIsRefusedWithEveryProblem) {
  const Got answer = page.change(id, version, json::array({{{"path", "/engine/bore"}, {"value", 100}}, {{"path", "/engine/strok"}, {"value", "3 in"}}}));
  expect_error(answer, 422, "unsound");
  EXPECT_EQ(answer.body["error"]["problems"].size(), 2U) << answer.body.dump();
  json document = build::small_document();
  document.erase("name");
  expect_error(page.post("/api/engines", {{"document", document}}), 422, "unsound");
  document = build::small_document();
  document["readings"][0]["id"] = document["readings"][1]["id"] = "r1";
  expect_error(page.post("/api/engines", {{"document", document}}), 422, "unsound");
  EXPECT_EQ(page.get("/api/engines").body["engines"].size(), 1U);
}

TEST_F(Refusals, APlaceThatIsNotThereOrABaseThatNeverWasIsNamed) {
  expect_error(page.change(id, version, set("/cams/card", 1)), 422, "missing");
  expect_error(page.change(id, version, set("no-pointer", 1)), 400, "invalid");
  expect_error(page.change(id, 999, set("/name", "X")), 422, "unknown_base");
  expect_error(page.change(id, 0, set("/name", "X")), 422, "unknown_base");
  expect_error(page.post(path("undo"), {{"base", version}}), 422, "nothing_to_do");
}

TEST_F(Refusals, AnUnknownEngineIsNotFoundByAnyRoute) {
  for (const std::string verb : {"", "/history", "/export"}) {
    expect_error(page.get("/api/engines/nobody" + verb), 404, "not_found");
  }
  for (const auto& verb : changing_verbs()) {
    json body{{"operations", set("/name", "X")}};
    if (verb != "what-if") {
      body["base"] = 1;
    }
    if (verb != "what-if" && verb != "changes") {
      body.erase("operations");
    }
    if (verb == "rename") {
      body["name"] = "X";
    }
    expect_error(page.post("/api/engines/nobody/" + verb, body), 404, "not_found");
  }
}

TEST_F(Refusals, AnUnknownPathIsNotFoundAndAWrongMethodIsTold) {
  for (const std::string route : {"/api", "/api/", "/api/nothing", "/api/engines/a/b/c", "/api/engines/", "/api//engines"}) {
    const Got answer = page.get(route);
    EXPECT_EQ(answer.status, 404) << route << answer.body.dump();
  }
  const Got read = page.get(path("changes"));
  expect_error(read, 405, "wrong_method");
  EXPECT_EQ(read.headers.find("Allow")->second, "POST");
  expect_error(page.post("/api/engines/" + id, json::object()), 405, "wrong_method");
  expect_error(page.post("/api/stations", json::object()), 405, "wrong_method");
  expect_error(got(page.client().Put("/api/engines", "{}", "application/json")), 405, "wrong_method");
  expect_error(got(page.client().Patch(path("changes"), "{}", "application/json")), 405, "wrong_method");
  expect_error(got(page.client().Delete("/api/engines/" + id, "{}", "application/json")), 405, "wrong_method");
  expect_error(got(page.client().Options("/api/engines")), 405, "wrong_method");
  expect_error(page.post("/", json::object()), 405, "wrong_method");
}

TEST_F(Refusals, AnotherTypeOfBodyIsRefused) {
  const std::string body = json{{"base", version}, {"operations", set("/name", "X")}}.dump();
  for (const char* type : {"text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", "application/jsonp", "application/json-seq"}) {
    expect_error(raw_post(path("changes"), body, type), 415, "wrong_type");
  }
  httplib::Headers compressed{{"Content-Encoding", "gzip"}};
  expect_error(got(page.client().Post(path("changes"), compressed, body, "application/json")), 415, "wrong_type");
}

TEST_F(Refusals, AForeignOriginOrHostIsRefused) {
  const std::string body = json{{"base", version}, {"operations", set("/name", "X")}}.dump();
  for (const std::string origin : {"http://evil.example", "null", "https://127.0.0.1", "http://127.0.0.1:1"}) {
    expect_error(got(page.client().Post(path("changes"), {{"Origin", origin}}, body, "application/json")), 403, "forbidden");
  }
  const std::string port = std::to_string(server.port());
  for (const std::string& host : {std::string("evil.example"), "evil.example:" + port, std::string("127.0.0.1"), "127.0.0.1:1" + port,
                                  "localhost." + std::string(":") + port, std::string("")}) {
    expect_error(got(page.client().Get("/api/engines", {{"Host", host}})), 403, "forbidden");
  }
  // Its own page, by either name.
  EXPECT_EQ(got(page.client().Get("/api/engines", {{"Host", "localhost:" + port}})).status, 200);
  const std::string own = json{{"operations", set("/name", "X")}}.dump();
  EXPECT_EQ(got(page.client().Post(path("what-if"), {{"Origin", "http://127.0.0.1:" + port}}, own, "application/json")).status, 200);
  expect_error(got(page.client().Post(path("what-if"), {{"Origin", "http://localhost:" + port}}, own, "application/json")), 403, "forbidden");
}

class Conflicts : public ::testing::Test {
 protected:
  RunningServer server;
  Page ada{server.port()};
  Page bo{server.port()};
};

TEST_F(Conflicts, ToTheSamePlaceShowBothValuesAndChangeNothing) {
  const auto [id, version] = ada.make();
  const Got first = ada.change(id, version, set("/readings/r1/wheel", "1 deg"));
  ASSERT_EQ(first.status, 200);
  const Got second = bo.change(id, version, json::array({{{"path", "/readings/r2/wheel"}, {"value", "42 deg"}}, {{"path", "/readings/r1/wheel"}, {"value", "2 deg"}}}));
  expect_error(second, 409, "conflict");
  EXPECT_EQ(second.body["version"], first.body["version"]);
  ASSERT_EQ(second.body["conflicts"].size(), 1U);
  const json& clash = second.body["conflicts"][0];
  EXPECT_EQ(clash["path"], "/readings/r1/wheel");
  EXPECT_EQ(clash["present"], "1 deg");
  EXPECT_EQ(clash["refused"], "2 deg");
  EXPECT_EQ(clash["by"], "Ada");
  EXPECT_EQ(clash["entry"], first.body["entry"]);
  EXPECT_EQ(bo.get("/api/engines/" + id).body["document"]["readings"][1]["wheel"], "41 deg");
}

TEST_F(Conflicts, ToOtherPlacesMerge) {
  const auto [id, version] = ada.make();
  ASSERT_EQ(ada.change(id, version, set("/readings/r1/wheel", "1 deg")).status, 200);
  const Got second = bo.change(id, version, set("/readings/r2/wheel", "42 deg"));
  ASSERT_EQ(second.status, 200) << second.body.dump();
  EXPECT_NE(second.body["previous"], version);
  const json readings = bo.get("/api/engines/" + id).body["document"]["readings"];
  EXPECT_EQ(readings[0]["wheel"], "1 deg");
  EXPECT_EQ(readings[1]["wheel"], "42 deg");
}

TEST_F(Conflicts, TwoChangesSoundEachButNotTogetherAreNotBothTaken) {
  const auto [id, version] = ada.make();
  ASSERT_EQ(ada.change(id, version, json::array({{{"path", "/timing_set"}}})).status, 200);
  const Got second = bo.change(id, version, set("/readings/r3/tool", "no such tool"));
  expect_error(second, 422, "unsound");
}

TEST_F(Conflicts, ARepeatedKeyIsAnsweredLikeTheFirstTime) {
  const auto [id, version] = ada.make();
  const json key{{"change_key", "5d2c"}};
  const Got first = ada.change(id, version, set("/readings/r1/wheel", "1 deg"), key);
  ASSERT_EQ(first.status, 200);
  ASSERT_EQ(bo.change(id, first.body["version"], set("/readings/r2/wheel", "42 deg")).status, 200);
  Got again = ada.change(id, version, set("/readings/r1/wheel", "1 deg"), key);
  ASSERT_EQ(again.status, 200) << again.body.dump();
  for (const char* member : {"version", "entry", "previous", "moved", "report"}) {
    EXPECT_EQ(again.body[member], first.body[member]) << member;
  }
  EXPECT_EQ(ada.get("/api/engines/" + id + "/history").body["entries"].size(), 3U);
  expect_error(ada.change(id, version, set("/readings/r1/wheel", "3 deg"), key), 422, "key_reused");
  const json made{{"document", build::small_document()}, {"change_key", "made-once"}};
  const Got one = ada.post("/api/engines", made);
  EXPECT_EQ(ada.post("/api/engines", made).body, one.body);
}

}  // namespace
}  // namespace fettle::serve
