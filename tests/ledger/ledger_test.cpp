#include "ledger/ledger.h"

#include <limits>

#include <gtest/gtest.h>

#include "ledger/support.h"

namespace fettle::ledger {
namespace {

using nlohmann::json;
using namespace testing;

class LedgerTest : public ::testing::Test {
 protected:
  Applied begin() { return applied(ledger.create("Invented 5.4", two_readings(), turner())); }
  json document(const std::string& id) { return ledger.engine(id).value().document; }

  TemporaryFolder folder{quick_parent()};
  CountingEnvironment environment;
  Ledger ledger{folder / "shop.fettle", {}, &environment};
};

TEST_F(LedgerTest, ShowsAnEngineAsItWasCreated) {
  const Applied made = begin();
  EXPECT_EQ(made.entry, 1);
  EXPECT_EQ(made.version, 1);
  const auto engine = ledger.engine(made.engine).value();
  EXPECT_EQ(engine.document, two_readings());
  EXPECT_EQ(engine.summary.id, "e1");
  EXPECT_EQ(engine.summary.name, "Invented 5.4");
  EXPECT_EQ(engine.summary.created, "2023-11-14T22:13:20.000Z");  // 1 700 000 000 s after 1970 by date(1)
  EXPECT_EQ(engine.summary.entry_count, 1);
  EXPECT_EQ(ledger.engines().size(), 1U);
}

TEST_F(LedgerTest, KeepsWhoWhenWhatAndBeforeOfAChange) {
  const Applied made = begin();
  const Applied changed = applied(ledger.change(
      "e1", made.version, {set("/readings/r1/wheel", "1 deg"), removal("/readings/r2")}, reader()));
  const Entry entry = ledger.entry(changed.entry).value();
  EXPECT_EQ(entry.by, "reader");
  EXPECT_EQ(entry.device, "tablet");
  EXPECT_EQ(entry.at, "2023-11-14T22:13:21.000Z");
  EXPECT_EQ(entry.kind, EntryKind::change);
  EXPECT_EQ(entry.previous, made.entry);
  EXPECT_EQ(entry.steps[0].before, std::optional<json>("0 deg"));
  EXPECT_EQ(entry.steps[0].value, std::optional<json>("1 deg"));
  EXPECT_EQ(entry.steps[1].before, std::optional(two_readings()["readings"][1]));
  EXPECT_EQ(entry.steps[1].value, std::nullopt);
  EXPECT_EQ(ledger.engines()[0].changed_by, "reader");
}

TEST_F(LedgerTest, AppliesAllOperationsOrNone) {
  begin();
  const auto refused =
      expect_outcome<Refused>(ledger.change("e1", 1, {set("/name", "Other"), set("/cam/card", 1)}, turner()));
  EXPECT_EQ(refused.reason, Reason::missing);
  EXPECT_EQ(refused.path, "/cam/card");
  EXPECT_EQ(document("e1"), two_readings());
  EXPECT_EQ(ledger.history("e1", std::nullopt, 10).entries.size(), 1U);
}

TEST_F(LedgerTest, MergesChangesToDifferentPaths) {
  begin();
  applied(ledger.change("e1", 1, {set("/readings/r1/wheel", "1 deg")}, turner()));
  applied(ledger.change(
      "e1", 1, {set("/readings/r2/wheel", "42 deg"), set("/readings/r3", {{"wheel", "3 deg"}})}, reader()));
  const json readings = document("e1")["readings"];
  EXPECT_EQ(readings[0]["wheel"], "1 deg");
  EXPECT_EQ(readings[1]["wheel"], "42 deg");
  EXPECT_EQ(readings[2]["wheel"], "3 deg");
}

TEST_F(LedgerTest, MergesTheFirstReadingsOfTwoPeople) {
  applied(ledger.create("Empty", {{"fettle", 1}}, turner()));
  applied(ledger.change("e1", 1, {set("/readings/a", json::object())}, turner()));
  applied(ledger.change("e1", 1, {set("/readings/b", json::object())}, reader()));
  EXPECT_EQ(document("e1")["readings"], json::parse(R"([{"id": "a"}, {"id": "b"}])"));
  applied(ledger.undo("e1", std::nullopt, turner()));
  applied(ledger.undo("e1", std::nullopt, turner()));
  EXPECT_EQ(document("e1"), (json{{"fettle", 1}}));
}

TEST_F(LedgerTest, TellsTwoPeopleThatTheyChangedTheSameReading) {
  begin();
  applied(ledger.change("e1", 1, {set("/readings/r1/wheel", "1 deg")}, turner()));
  const Applied latest = applied(ledger.change("e1", 2, {set("/readings/r1/wheel", "2 deg")}, turner()));
  const auto conflict = expect_outcome<Conflict>(
      ledger.change("e1", 1, {set("/name", "Free"), set("/readings/r1/wheel", "9 deg")}, reader()));
  EXPECT_EQ(conflict.version, latest.version);
  ASSERT_EQ(conflict.clashes.size(), 1U);
  const Clash& clash = conflict.clashes[0];
  EXPECT_EQ(clash.path, "/readings/r1/wheel");
  EXPECT_EQ(clash.present, std::optional<json>("2 deg"));
  EXPECT_EQ(clash.refused, std::optional<json>("9 deg"));
  EXPECT_EQ(clash.by, "turner");
  EXPECT_EQ(clash.device, "phone");
  EXPECT_EQ(clash.entry, latest.entry);
  EXPECT_EQ(clash.at, ledger.entry(latest.entry).value().at);
  EXPECT_EQ(document("e1")["name"], "Invented 5.4") << "nothing of a refused change is applied";
}

TEST_F(LedgerTest, RefusesAChangeAboveOrBelowAnother) {
  begin();
  applied(ledger.change("e1", 1, {removal("/readings/r1")}, turner()));
  const auto below =
      expect_outcome<Conflict>(ledger.change("e1", 1, {set("/readings/r1/wheel", "9 deg")}, reader()));
  EXPECT_EQ(below.clashes[0].changed_path, "/readings/r1");
  EXPECT_EQ(below.clashes[0].present, std::nullopt);
  const auto above =
      expect_outcome<Conflict>(ledger.change("e1", 1, {set("/readings", json::array())}, reader()));
  EXPECT_EQ(above.clashes[0].path, "/readings");
  EXPECT_EQ(above.clashes[0].present, std::optional(document("e1")["readings"]));
}

TEST_F(LedgerTest, RefusesAnIndexWhoseMeaningHasShifted) {
  begin();
  applied(ledger.change("e1", 1, {removal("/timing_set/positions/0")}, turner()));
  expect_outcome<Conflict>(ledger.change("e1", 1, {set("/timing_set/positions/1", "1 deg")}, reader()));
  applied(ledger.change("e1", 2, {set("/timing_set/positions/1", "5 deg")}, turner()));
  expect_outcome<Conflict>(ledger.change("e1", 2, {removal("/timing_set/positions/0")}, reader()));
  expect_outcome<Conflict>(ledger.change("e1", 2, {set("/timing_set/positions/-", "8 deg")}, reader()));
}

TEST_F(LedgerTest, RefusesABaseThatIsNoVersionOfTheEngine) {
  begin();
  applied(ledger.create("Other", json::object(), turner()));
  for (const EntryNumber base : {EntryNumber{0}, EntryNumber{2}, EntryNumber{99}, EntryNumber{-1}}) {
    EXPECT_EQ(expect_outcome<Refused>(ledger.change("e1", base, {set("/name", "x")}, turner())).reason,
              Reason::unknown_base);
  }
}

TEST_F(LedgerTest, AnswersAChangeSentAgainWithTheFirstAnswer) {
  begin();
  const std::vector<Operation> operations = {set("/readings/r3", {{"wheel", "3 deg"}})};
  const Applied first = applied(ledger.change("e1", 1, operations, under_key("k1")));
  applied(ledger.change("e1", first.version, {set("/readings/r3/wheel", "4 deg")}, reader()));
  const auto repeated = expect_outcome<Repeated>(ledger.change("e1", 1, operations, under_key("k1")));
  EXPECT_EQ(repeated.first.entry, first.entry);
  EXPECT_EQ(repeated.first.state.document, first.state.document);
  EXPECT_EQ(repeated.version_now, 3);
  EXPECT_EQ(ledger.engine("e1").value().summary.entry_count, 3);
}

TEST_F(LedgerTest, AnswersEveryKindOfRequestOnlyOnce) {
  const auto twice = [&](const auto& request, const char* key) {
    const Applied first = applied(request(under_key(key)));
    const auto again = expect_outcome<Repeated>(request(under_key(key)));
    EXPECT_EQ(again.first.entry, first.entry) << key;
  };
  twice([&](const Writer& w) { return ledger.create("A", two_readings(), w); }, "create");
  twice([&](const Writer& w) { return ledger.change("e1", 1, {set("/timing_set/positions/-", "8 deg")}, w); },
        "append");
  twice([&](const Writer& w) { return ledger.undo("e1", std::nullopt, w); }, "undo");
  twice([&](const Writer& w) { return ledger.redo("e1", std::nullopt, w); }, "redo");
  twice([&](const Writer& w) { return ledger.rename("e1", "B", std::nullopt, w); }, "rename");
  twice([&](const Writer& w) { return ledger.copy("e1", "C", w); }, "copy");
  twice([&](const Writer& w) { return ledger.archive("e1", std::nullopt, w); }, "archive");
  twice([&](const Writer& w) { return ledger.restore("e1", std::nullopt, w); }, "restore");
  const json history = ledger.export_history("e1").value();
  twice([&](const Writer& w) { return ledger.import_history(history, w); }, "import");
  EXPECT_TRUE(ledger.check().faults.empty());
}

TEST_F(LedgerTest, RefusesAKeyUsedForSomethingElse) {
  begin();
  applied(ledger.change("e1", 1, {set("/name", "x")}, under_key("k")));
  EXPECT_EQ(expect_outcome<Refused>(ledger.change("e1", 1, {set("/name", "y")}, under_key("k"))).reason,
            Reason::key_reused);
  EXPECT_EQ(expect_outcome<Refused>(ledger.undo("e1", std::nullopt, under_key("k"))).reason,
            Reason::key_reused);
}

TEST_F(LedgerTest, LeavesTheKeyOfARefusedChangeFree) {
  begin();
  expect_outcome<Refused>(ledger.change("e1", 1, {set("/cam/x", 1)}, under_key("k")));
  applied(ledger.change("e1", 1, {set("/cam", {{"x", 1}})}, under_key("k")));
}

TEST_F(LedgerTest, UndoesAndRedoesStepByStep) {
  begin();
  applied(ledger.change("e1", 1, {set("/name", "a")}, turner()));
  applied(ledger.change("e1", 2, {set("/name", "b")}, turner()));
  const Applied back = applied(ledger.undo("e1", std::nullopt, turner()));
  EXPECT_EQ(back.state.document["name"], "a");
  EXPECT_EQ(ledger.entry(back.entry).value().undoes, 3);
  EXPECT_EQ(applied(ledger.undo("e1", std::nullopt, turner())).state.document, two_readings());
  EXPECT_EQ(expect_outcome<Refused>(ledger.undo("e1", std::nullopt, turner())).reason, Reason::nothing_to_do);
  const Applied again = applied(ledger.redo("e1", std::nullopt, turner()));
  EXPECT_EQ(again.state.document["name"], "a");
  EXPECT_EQ(ledger.entry(again.entry).value().redoes, 2);
  EXPECT_EQ(ledger.undo_state("e1").undo, 2);
  EXPECT_EQ(ledger.undo_state("e1").redo, 3);
  EXPECT_EQ(ledger.engine("e1").value().summary.entry_count, 6) << "undo and redo are entries";
}

TEST_F(LedgerTest, ForgetsWhatCouldBeRedoneAfterANewChange) {
  begin();
  applied(ledger.change("e1", 1, {set("/name", "a")}, turner()));
  applied(ledger.undo("e1", std::nullopt, turner()));
  applied(ledger.change("e1", 3, {set("/name", "b")}, turner()));
  EXPECT_EQ(expect_outcome<Refused>(ledger.redo("e1", std::nullopt, turner())).reason, Reason::nothing_to_do);
  EXPECT_EQ(applied(ledger.undo("e1", std::nullopt, turner())).state.document["name"], "Invented 5.4");
}

TEST_F(LedgerTest, DoesNotUndoAReadingUnseen) {
  begin();
  const Applied mine = applied(ledger.change("e1", 1, {set("/readings/r1/wheel", "1 deg")}, turner()));
  applied(ledger.change("e1", mine.version, {set("/readings/r2/wheel", "40 deg")}, reader()));
  const auto conflict = expect_outcome<Conflict>(ledger.undo("e1", mine.version, turner()));
  ASSERT_EQ(conflict.clashes.size(), 1U);
  EXPECT_EQ(conflict.clashes[0].path, "/readings/r2/wheel");
  EXPECT_EQ(conflict.clashes[0].present, std::optional<json>("40 deg"));
  EXPECT_EQ(conflict.clashes[0].by, "reader");
  applied(ledger.undo("e1", conflict.version, turner()));
  EXPECT_EQ(document("e1")["readings"][1]["wheel"], "41 deg");
  expect_outcome<Conflict>(ledger.redo("e1", mine.version, turner()));
}

TEST_F(LedgerTest, RenamesAndArchivesAndUndoesBoth) {
  begin();
  EXPECT_EQ(applied(ledger.rename("e1", "Blue one", 1, turner())).state.name, "Blue one");
  const auto conflict = expect_outcome<Conflict>(ledger.rename("e1", "Red one", 1, reader()));
  EXPECT_EQ(conflict.clashes.at(0).present, std::optional<json>("Blue one"));
  EXPECT_EQ(conflict.clashes.at(0).refused, std::optional<json>("Red one"));
  EXPECT_TRUE(applied(ledger.archive("e1", 1, turner())).state.archived);
  EXPECT_EQ(expect_outcome<Refused>(ledger.archive("e1", 3, turner())).reason, Reason::nothing_to_do);
  EXPECT_EQ(expect_outcome<Refused>(ledger.change("e1", 3, {set("/name", "x")}, turner())).reason,
            Reason::archived);
  EXPECT_EQ(expect_outcome<Refused>(ledger.rename("e1", "x", 3, turner())).reason, Reason::archived);
  EXPECT_FALSE(applied(ledger.undo("e1", std::nullopt, turner())).state.archived);
  EXPECT_EQ(applied(ledger.undo("e1", std::nullopt, turner())).state.name, "Invented 5.4");
  EXPECT_EQ(document("e1"), two_readings()) << "the name of the engine is not the member of its document";
}

TEST_F(LedgerTest, ShowsTheEngineAsItWas) {
  begin();
  applied(ledger.create("Other", json::object(), turner()));
  applied(ledger.change("e1", 1, {set("/name", "a")}, turner()));
  EXPECT_EQ(ledger.engine_as_of("e1", 0), std::nullopt);
  EXPECT_EQ(ledger.engine_as_of("e1", 2)->state.document, two_readings());
  EXPECT_EQ(ledger.engine_as_of("e1", 2)->version, 1);
  EXPECT_EQ(ledger.engine_as_of("e1", 3)->state.document["name"], "a");
}

TEST_F(LedgerTest, PagesHistoryNewestFirst) {
  begin();
  for (EntryNumber i = 1; i <= 6; ++i) {
    applied(ledger.change("e1", i, {set("/n", i)}, turner()));
  }
  std::vector<EntryNumber> seen;
  std::optional<EntryNumber> before;
  do {
    const auto page = ledger.history("e1", before, 3);
    for (const Entry& entry : page.entries) {
      seen.push_back(entry.number);
    }
    before = page.before;
  } while (before);
  EXPECT_EQ(seen, (std::vector<EntryNumber>{7, 6, 5, 4, 3, 2, 1}));
  EXPECT_THROW(static_cast<void>(ledger.history("e1", before, 0)), std::invalid_argument);
}

TEST_F(LedgerTest, CopiesAnEngineAndSaysWhence) {
  begin();
  const Applied copy = applied(ledger.copy("e1", "Second", reader()));
  EXPECT_EQ(document(copy.engine), two_readings());
  EXPECT_EQ(ledger.entry(copy.entry).value().origin, std::optional(json{{"engine", "e1"}, {"entry", 1}}));
  applied(ledger.change(copy.engine, copy.version, {set("/name", "x")}, reader()));
  EXPECT_EQ(document("e1"), two_readings());
}

TEST_F(LedgerTest, ReadsAnUnknownEngineAsNothing) {
  EXPECT_FALSE(ledger.engine("none").has_value());
  EXPECT_FALSE(ledger.export_history("none").has_value());
  EXPECT_FALSE(ledger.entry(5).has_value());
  EXPECT_TRUE(ledger.history("none", std::nullopt, 5).entries.empty());
  for (const WriteResult& result :
       {ledger.undo("none", std::nullopt, turner()), ledger.change("none", 1, {set("/a", 1)}, turner()),
        ledger.copy("none", "x", turner()), ledger.rename("\xff", "x", std::nullopt, turner())}) {
    EXPECT_EQ(expect_outcome<Refused>(result).reason, Reason::missing);
  }
}

TEST_F(LedgerTest, RefusesWhatCannotBeKept) {
  begin();
  const auto invalid = [](const WriteResult& result) {
    EXPECT_EQ(expect_outcome<Refused>(result).reason, Reason::invalid);
    EXPECT_NO_THROW(static_cast<void>(to_json(result).dump()));
  };
  invalid(ledger.create("", json::object(), turner()));
  invalid(ledger.create("line\nbreak", json::object(), turner()));
  invalid(ledger.create("x", 5, turner()));
  invalid(ledger.create("x", json::object(), {"", "phone", std::nullopt}));
  invalid(ledger.create("x", json::object(), {"turner", "\xff", std::nullopt}));
  invalid(ledger.create("x", json::object(), {"turner", "phone", ""}));
  invalid(ledger.change("e1", 1, {}, turner()));
  invalid(ledger.change("e1", 1, {set("/a", std::numeric_limits<double>::infinity())}, turner()));
  invalid(ledger.change("e1", 1, {set("/\xff", 1)}, turner()));
  invalid(ledger.rename("e1", std::string(201, 'x'), std::nullopt, turner()));
}

TEST_F(LedgerTest, RefusesADocumentThatGrowsTooLarge) {
  Options small;
  small.maximum_document_bytes = 100;
  Ledger other(folder / "small.fettle", small, &environment);
  applied(other.create("x", json::object(), turner()));
  EXPECT_EQ(
      expect_outcome<Refused>(other.change("e1", 1, {set("/a", std::string(200, 'x'))}, turner())).reason,
      Reason::too_large);
  EXPECT_EQ(expect_outcome<Refused>(other.create("x", {{"a", std::string(200, 'x')}}, turner())).reason,
            Reason::too_large);
}

TEST_F(LedgerTest, TellsAListenerWhatItMissed) {
  EXPECT_EQ(ledger.latest_entry(), 0);
  begin();
  applied(ledger.create("Other", json::object(), turner()));
  applied(ledger.change("e1", 1, {set("/name", "a")}, turner()));
  const auto missed = ledger.entries_after(1, 10);
  ASSERT_EQ(missed.size(), 2U);
  EXPECT_EQ(missed[0].engine, "e2");
  EXPECT_EQ(missed[1].engine, "e1");
  EXPECT_EQ(ledger.entries_after(0, 1).size(), 1U);
  EXPECT_TRUE(ledger.entries_after(ledger.latest_entry(), 10).empty());
}

TEST_F(LedgerTest, RefusesWhatTheOwnerObjectsTo) {
  Options options;
  // Sound as long as not both are there.
  options.objections = [](const json& document) -> std::optional<json> {
    return document.contains("a") && document.contains("b") ? std::optional(json::array({"a and b"}))
                                                            : std::nullopt;
  };
  Ledger guarded(folder / "guarded.fettle", options, &environment);
  const Applied made = applied(guarded.create("x", json::object(), turner()));
  applied(guarded.change(made.engine, made.version, {set("/a", 1)}, turner()));
  const auto refused =
      expect_outcome<Refused>(guarded.change(made.engine, made.version, {set("/b", 1)}, reader()));
  EXPECT_EQ(refused.reason, Reason::unsound);
  EXPECT_EQ(refused.objections, std::optional(json::array({"a and b"})));
  EXPECT_EQ(expect_outcome<Refused>(guarded.create("y", {{"a", 1}, {"b", 1}}, turner())).reason,
            Reason::unsound);
  EXPECT_EQ(guarded.engine(made.engine)->document, (json{{"a", 1}}));
}

TEST(SystemEnvironmentTest, GivesShortUrlSafeIds) {
  SystemEnvironment environment;
  const std::string id = environment.new_engine_id();
  EXPECT_EQ(id.size(), 10U);
  EXPECT_EQ(id.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789"), std::string::npos);
  EXPECT_NE(id, environment.new_engine_id());
}

// The seconds since 1970 of these moments are those of date(1) (GNU coreutils, date -u -d ... +%s).
TEST(Iso8601, WritesUtcWithMilliseconds) {
  EXPECT_EQ(iso8601(Instant(std::chrono::milliseconds(0))), "1970-01-01T00:00:00.000Z");
  EXPECT_EQ(iso8601(Instant(std::chrono::milliseconds(1709251199042))), "2024-02-29T23:59:59.042Z");
  EXPECT_EQ(iso8601(Instant(std::chrono::milliseconds(-1))), "1969-12-31T23:59:59.999Z");
  EXPECT_THROW(iso8601(Instant(std::chrono::hours(24 * 366) * 9000)), std::invalid_argument);
}

}  // namespace
}  // namespace fettle::ledger
