#include <functional>

#include <gtest/gtest.h>

#include "ledger/ledger.h"
#include "ledger/support.h"

namespace fettle::ledger {
namespace {

using nlohmann::json;
using namespace testing;

class ExchangeTest : public ::testing::Test {
 protected:
  void SetUp() override {
    applied(ledger.create("Invented 5.4", two_readings(), turner()));
    applied(ledger.change("e1", 1, {set("/readings/r1/wheel", "1 deg")}, under_key("k1")));
    applied(ledger.change("e1", 2, {removal("/readings/r2")}, reader()));
    applied(ledger.undo("e1", std::nullopt, turner()));
    applied(ledger.rename("e1", "Renamed", std::nullopt, turner()));
  }
  json history() { return ledger.export_history("e1").value(); }

  TemporaryFolder folder{quick_parent()};
  CountingEnvironment environment;
  CountingEnvironment elsewhere{"f"};
  Ledger ledger{folder / "shop.fettle", {}, &environment};
  Ledger other{folder / "other.fettle", {}, &elsewhere};
};

TEST_F(ExchangeTest, CarriesAnEngineWithItsHistoryIntoAnotherLedger) {
  applied(other.create("Already there", json::object(), turner()));
  const Applied imported = applied(other.import_history(history(), reader()));
  EXPECT_EQ(imported.engine, "e1");
  EXPECT_EQ(imported.state.name, "Renamed");
  EXPECT_EQ(imported.state.document, ledger.engine("e1")->document);
  const auto theirs = other.history("e1", std::nullopt, 100).entries;
  const auto ours = ledger.history("e1", std::nullopt, 100).entries;
  ASSERT_EQ(theirs.size(), ours.size() + 1);
  EXPECT_EQ(theirs[0].kind, EntryKind::import);
  EXPECT_EQ(theirs[0].by, "reader");
  for (std::size_t i = 0; i < ours.size(); ++i) {
    EXPECT_EQ(theirs[i + 1].at, ours[i].at);
    EXPECT_EQ(theirs[i + 1].by, ours[i].by);
    EXPECT_EQ(theirs[i + 1].number, ours[i].number + 1) << "this ledger had one entry";
    EXPECT_EQ(to_json(theirs[i + 1].steps), to_json(ours[i].steps));
  }
  EXPECT_EQ(theirs[2].undoes, 4);
  EXPECT_TRUE(other.check().faults.empty());
}

TEST_F(ExchangeTest, GoesOnUndoingWhatWasImported) {
  applied(other.import_history(history(), reader()));
  EXPECT_EQ(applied(other.undo("e1", std::nullopt, reader())).state.name, "Invented 5.4");
  EXPECT_EQ(applied(other.undo("e1", std::nullopt, reader())).state.document, two_readings());
}

TEST_F(ExchangeTest, GivesANewIdWhereTheOldOneIsTaken) {
  const Applied again = applied(ledger.import_history(history(), reader()));
  EXPECT_EQ(again.engine, "e2");
  EXPECT_EQ(again.state.document, ledger.engine("e1")->document);
  EXPECT_EQ(ledger.engines().size(), 2U);
  EXPECT_EQ(ledger.entry(2)->change_key, "k1");
  EXPECT_EQ(ledger.entry(7)->change_key, std::nullopt) << "a key stands for one entry";
  EXPECT_TRUE(ledger.check().faults.empty());
}

TEST_F(ExchangeTest, RefusesAHistoryThatContradictsItself) {
  const std::vector<std::pair<const char*, std::function<void(json&)>>> forgeries = {
      {"no export", [](json& h) { h.erase("fettle_history"); }},
      {"a later form", [](json& h) { h["fettle_history"] = 2; }},
      {"no entries", [](json& h) { h["entries"] = json::array(); }},
      {"entries missing", [](json& h) { h.erase("entries"); }},
      {"another document", [](json& h) { h["document"]["fettle"] = 2; }},
      {"another name", [](json& h) { h["name"] = "x"; }},
      {"an id for no URL", [](json& h) { h["engine"] = "a/b"; }},
      {"an entry left out", [](json& h) { h["entries"].erase(2); }},
      {"a value changed", [](json& h) { h["entries"][1]["operations"][0]["value"] = "9 deg"; }},
      {"a before changed", [](json& h) { h["entries"][1]["operations"][0]["before"] = "9 deg"; }},
      {"an undo of another entry", [](json& h) { h["entries"][3]["undoes"] = 2; }},
      {"an undo that does more",
       [](json& h) { h["entries"][3]["operations"].push_back(h["entries"][1]["operations"][0]); }},
      {"nobody", [](json& h) { h["entries"][1]["by"] = ""; }},
      {"no time", [](json& h) { h["entries"][1]["at"] = "yesterday"; }},
      {"no kind", [](json& h) { h["entries"][1]["kind"] = "guess"; }},
      {"another engine", [](json& h) { h["entries"][1]["engine"] = "e9"; }},
      {"a number twice", [](json& h) { h["entries"][2]["entry"] = 2; }},
      {"a number of no kind", [](json& h) { h["entries"][2]["entry"] = "3"; }},
      {"not an object", [](json& h) { h = json::array(); }},
      {"nested without end", [](json& h) {
         for (int i = 0; i < 100000; ++i) {
           json outer = json::array();
           outer.push_back(std::move(h["document"]));
           h["document"] = std::move(outer);
         }
       }}};
  for (const auto& [what, forge] : forgeries) {
    json forged = history();
    forge(forged);
    const auto result = other.import_history(forged, reader());
    EXPECT_TRUE(std::holds_alternative<Refused>(result)) << what;
    EXPECT_TRUE(other.engines().empty()) << what;
  }
}

TEST_F(ExchangeTest, KeepsTheNoteOfAnEarlierImport) {
  applied(other.import_history(history(), reader()));
  const json twice = other.export_history("e1").value();
  const Applied back = applied(ledger.import_history(twice, turner()));
  EXPECT_TRUE(ledger.check().faults.empty());
  EXPECT_EQ(ledger.history(back.engine, std::nullopt, 100).entries.size(), 7U);
}

}  // namespace
}  // namespace fettle::ledger
