// Counsel and comparing, as a page asks for them.

#include <gmock/gmock.h>

#include "serve/support.h"

namespace fettle::serve {
namespace {

using namespace testing;

class Weighing : public ::testing::Test {
 protected:
  Got change(const std::string& id, std::int64_t version, const std::string& path, const json& value) {
    return page.post("/api/engines/" + id + "/changes",
                     {{"base", version},
                      {"by", "Ada"},
                      {"device", "bench"},
                      {"operations", {{{"path", path}, {"value", value}}}}});
  }

  RunningServer server;
  Page page{server.port()};
};

TEST_F(Weighing, CounselNamesWhatDoesNotHold) {
  const auto [id, version] = page.make();
  const Got report = page.get("/api/engines/" + id);
  int troubled = 0;
  for (const json& finding : report.body["report"]["findings"]) {
    troubled += finding["verdict"] == "fails" || finding["verdict"] == "too_close" ? 1 : 0;
  }
  const Got counsel = page.get("/api/engines/" + id + "/counsel");
  ASSERT_EQ(counsel.status, 200);
  EXPECT_EQ(counsel.body["version"], version);
  EXPECT_EQ(counsel.body["troubles"].size(), static_cast<std::size_t>(troubled));
  EXPECT_EQ(counsel.body["fails"].get<int>() + counsel.body["too_close"].get<int>(), troubled);
  EXPECT_EQ(page.get("/api/engines/none/counsel").status, 404);
}

TEST_F(Weighing, AnEngineIsComparedWithWhatItWas) {
  const auto [id, version] = page.make();
  const Got changed = change(id, version, "/readings/r1/wheel", "0.5 deg");
  ASSERT_EQ(changed.status, 200);
  const Got since = page.get("/api/engines/" + id + "/compare?at=" + std::to_string(version));
  ASSERT_EQ(since.status, 200);
  EXPECT_EQ(since.body["moved"], changed.body["moved"]);
  EXPECT_FALSE(since.body["moved"].empty());
  const auto now = changed.body["version"].get<std::int64_t>();
  EXPECT_TRUE(page.get("/api/engines/" + id + "/compare?at=" + std::to_string(now)).body["moved"].empty());
}

TEST_F(Weighing, TwoEnginesAreCompared) {
  const auto [first, first_version] = page.make();
  const auto [second, second_version] = page.make();
  EXPECT_TRUE(page.get("/api/engines/" + first + "/compare?with=" + second).body["moved"].empty());
  ASSERT_EQ(change(second, second_version, "/readings/r1/wheel", "0.5 deg").status, 200);
  const Got there = page.get("/api/engines/" + first + "/compare?with=" + second);
  const Got back = page.get("/api/engines/" + second + "/compare?with=" + first);
  ASSERT_EQ(there.body["moved"].size(), back.body["moved"].size());
  ASSERT_FALSE(there.body["moved"].empty());
  EXPECT_EQ(there.body["moved"][0]["from"], back.body["moved"][0]["to"]);
  EXPECT_EQ(there.body["moved"][0]["to"], back.body["moved"][0]["from"]);
}

TEST_F(Weighing, ComparingNeedsOneOther) {
  const auto [id, version] = page.make();
  for (const std::string query : {"", "?at=", "?at=0", "?at=x", "?at=1&with=other"}) {
    const Got refused = page.get("/api/engines/" + id + "/compare" + query);
    EXPECT_EQ(refused.status, 400) << query;
    EXPECT_FALSE(refused.body["error"]["problems"].empty()) << query;
  }
  EXPECT_EQ(page.get("/api/engines/" + id + "/compare?with=none").status, 404);
  EXPECT_EQ(page.get("/api/engines/none/compare?at=1").status, 404);
}

}  // namespace
}  // namespace fettle::serve
