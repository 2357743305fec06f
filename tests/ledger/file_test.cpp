// What the ledger does with files that are not as they should be.

#include <algorithm>

#include <SQLiteCpp/SQLiteCpp.h>
#include <gtest/gtest.h>

#include "ledger/ledger.h"
#include "ledger/schema.h"
#include "ledger/support.h"

namespace fettle::ledger {
namespace {

using nlohmann::json;
using namespace testing;
namespace fs = std::filesystem;

Options with_access(Access access) {
  Options options;
  options.file.access = access;
  return options;
}

std::size_t files_in(const fs::path& folder) {
  return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder), fs::directory_iterator()));
}

// A closed ledger with one engine and `changes` changes.
void make_ledger(const fs::path& file, int changes) {
  CountingEnvironment environment;
  Ledger ledger(file, {}, &environment);
  EntryNumber version = applied(ledger.create("Invented 5.4", two_readings(), turner())).version;
  for (int i = 0; i < changes; ++i) {
    const std::string wheel = fmt::format("{} deg, read on a wheel of invented make", i);
    version = applied(ledger.change("e1", version, {set("/readings/r1/wheel", wheel)}, turner())).version;
  }
}

void sql(const fs::path& file, const std::string& text) {
  SQLite::Database database(file.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
  database.exec("PRAGMA foreign_keys = ON");
  database.exec(text);
}

void expect_refused_untouched(const fs::path& file, Trouble trouble) {
  const std::string before = contents(file);
  const auto files = files_in(file.parent_path());
  for (const Access access : {Access::create, Access::read_write, Access::read_only}) {
    EXPECT_EQ(trouble_of([&] { Ledger(file, with_access(access)); }), trouble);
  }
  EXPECT_EQ(contents(file), before);
  EXPECT_EQ(files_in(file.parent_path()), files);
}

TEST(LedgerFile, IsMadeWhereThereIsNone) {
  const TemporaryFolder folder;
  make_ledger(folder / "shop.fettle", 0);
  // SQLite, "Database File Format", section 1.3: offsets 0, 60 and 68 of the header.
  const std::string header = contents(folder / "shop.fettle").substr(0, 100);
  EXPECT_EQ(header.substr(0, 16), std::string("SQLite format 3\0", 16));
  EXPECT_EQ(header.substr(60, 4), std::string("\0\0\0\1", 4));
  EXPECT_EQ(header.substr(68, 4), "Fetl");
  EXPECT_EQ(files_in(folder.path()), 1U) << "nothing is left beside a closed ledger";
}

TEST(LedgerFile, IsNotMadeUnlessAskedFor) {
  const TemporaryFolder folder;
  for (const Access access : {Access::read_write, Access::read_only}) {
    EXPECT_EQ(trouble_of([&] { Ledger(folder / "none", with_access(access)); }), Trouble::missing);
  }
  EXPECT_EQ(files_in(folder.path()), 0U);
  EXPECT_EQ(trouble_of([&] { Ledger(folder / "no folder" / "shop.fettle"); }), Trouble::input_output);
}

TEST(LedgerFile, IsKeptTheSafeWay) {
  const TemporaryFolder folder;
  SQLite::Database database = open_file(folder / "shop.fettle", {});
  EXPECT_EQ(database.execAndGet("PRAGMA journal_mode").getString(), "wal");
  EXPECT_EQ(database.execAndGet("PRAGMA synchronous").getInt(),
            2);  // FULL: sqlite.org/pragma.html#pragma_synchronous
  EXPECT_EQ(database.execAndGet("PRAGMA foreign_keys").getInt(), 1);
  EXPECT_EQ(database.execAndGet("SELECT count(*) FROM pragma_table_list WHERE schema = 'main' AND strict = 1")
                .getInt(),
            2);
}

TEST(LedgerFile, OfAnotherProgramIsRefusedUntouched) {
  const TemporaryFolder folder;
  sql(folder / "other",
      "PRAGMA journal_mode = WAL; CREATE TABLE engines (id); INSERT INTO engines VALUES (1)");
  expect_refused_untouched(folder / "other", Trouble::not_a_ledger);
  sql(folder / "numbered", "PRAGMA application_id = 7; CREATE TABLE t (x)");
  expect_refused_untouched(folder / "numbered", Trouble::not_a_ledger);
}

TEST(LedgerFile, ThatIsNoDatabaseIsRefusedUntouched) {
  const TemporaryFolder folder;
  write_file(folder / "text", std::string(5000, 'x'));
  expect_refused_untouched(folder / "text", Trouble::not_a_ledger);
  write_file(folder / "empty", "");
  expect_refused_untouched(folder / "empty", Trouble::not_a_ledger);
  fs::create_directory(folder / "folder");
  EXPECT_EQ(trouble_of([&] { Ledger(folder / "folder"); }), Trouble::not_a_ledger);
}

TEST(LedgerFile, OfALaterLayoutIsRefusedUntouched) {
  const TemporaryFolder folder;
  make_ledger(folder / "shop.fettle", 1);
  sql(folder / "shop.fettle", "PRAGMA user_version = 99; PRAGMA wal_checkpoint(TRUNCATE)");
  expect_refused_untouched(folder / "shop.fettle", Trouble::newer);
}

TEST(LedgerFile, IsBroughtUpToDateStepByStepOrNotAtAll) {
  SQLite::Database database(":memory:", SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE);
  migrate(database, {"CREATE TABLE one (x)"});
  EXPECT_EQ(database.execAndGet("PRAGMA user_version").getInt(), 1);
  const std::vector<std::string> steps = {"CREATE TABLE one (x)", "CREATE TABLE two (x)",
                                          "CREATE TABLE three (x); nonsense"};
  EXPECT_THROW(migrate(database, steps), SQLite::Exception);
  EXPECT_EQ(database.execAndGet("PRAGMA user_version").getInt(), 2);
  EXPECT_TRUE(database.tableExists("two"));
  EXPECT_FALSE(database.tableExists("three"));
}

TEST(LedgerFile, ThatWasCutShortIsFound) {
  const TemporaryFolder folder;
  make_ledger(folder / "shop.fettle", 100);
  const auto size = fs::file_size(folder / "shop.fettle");
  for (const auto kept : {size - 4096, size / 2, std::uintmax_t{4096}, std::uintmax_t{200}}) {
    fs::copy_file(folder / "shop.fettle", folder / "cut", fs::copy_options::overwrite_existing);
    fs::resize_file(folder / "cut", kept);
    EXPECT_EQ(trouble_of([&] { Ledger(folder / "cut"); }), Trouble::damaged) << kept;
  }
}

TEST(LedgerFile, WithABrokenPageIsFound) {
  const TemporaryFolder folder;
  make_ledger(folder / "shop.fettle", 200);
  const std::string whole = contents(folder / "shop.fettle");
  ASSERT_GT(whole.size(), 6U * 4096U);
  int found = 0;
  for (std::size_t page = 1; page < 6; ++page) {
    std::string broken = whole;
    std::fill_n(broken.begin() + static_cast<std::ptrdiff_t>(page * 4096), 64, '\x5a');
    write_file(folder / "broken", broken);
    found += trouble_of([&] { Ledger(folder / "broken"); }) == Trouble::damaged ? 1 : 0;
  }
  EXPECT_EQ(found, 5);
}

// SQLite has no sums over its texts: only replaying finds these.
TEST(LedgerCheck, FindsAChangedTextInAnEntry) {
  const TemporaryFolder folder;
  make_ledger(folder / "shop.fettle", 3);
  std::string bytes = contents(folder / "shop.fettle");
  const std::string text = R"("value":"1 deg, read)";
  ASSERT_NE(bytes.find(text), std::string::npos);
  bytes.replace(bytes.find(text), text.size(), R"("value":"7 deg, read)");
  write_file(folder / "shop.fettle", bytes);
  Ledger ledger(folder / "shop.fettle");
  const auto report = ledger.check();
  ASSERT_EQ(report.faults.size(), 1U);
  EXPECT_NE(report.faults[0].find("entry 4"), std::string::npos) << report.faults[0];
  EXPECT_EQ(trouble_of([&] { ledger.rebuild(); }), Trouble::damaged);
}

TEST(LedgerCheck, FindsAPresentStateThatDoesNotFollowAndRebuildsIt) {
  const TemporaryFolder folder;
  make_ledger(folder / "shop.fettle", 3);
  for (const char* change : {"document = '{}'", "name = 'x'", "archived = 1", "version = 2",
                             "entry_count = 9", "document = 'broken'"}) {
    sql(folder / "shop.fettle", fmt::format("UPDATE engines SET {}", change));
    Ledger ledger(folder / "shop.fettle");
    EXPECT_EQ(ledger.check().faults.size(), 1U) << change;
    EXPECT_EQ(ledger.rebuild(), 1);
    EXPECT_TRUE(ledger.check().faults.empty()) << change;
    EXPECT_EQ(ledger.rebuild(), 0);
    EXPECT_EQ(ledger.engine("e1")->document["readings"][0]["wheel"],
              "2 deg, read on a wheel of invented make");
  }
}

TEST(LedgerCheck, FindsAMissingTrigger) {
  const TemporaryFolder folder;
  make_ledger(folder / "shop.fettle", 1);
  sql(folder / "shop.fettle", "DROP TRIGGER entries_are_never_updated");
  EXPECT_EQ(Ledger(folder / "shop.fettle").check().faults.size(), 1U);
}

TEST(LedgerEntries, AreNeverUpdatedDeletedOrReplaced) {
  const TemporaryFolder folder;
  make_ledger(folder / "shop.fettle", 3);
  const std::string copied =
      "SELECT 2, engine, previous, at, 'forger', device, kind, undoes, redoes, change_key, origin, "
      "operations FROM entries WHERE entry = 2";
  for (const std::string& forgery :
       {std::string("UPDATE entries SET by = 'forger'"), std::string("DELETE FROM entries WHERE entry = 4"),
        std::string("DELETE FROM engines"), "INSERT OR REPLACE INTO entries " + copied,
        "REPLACE INTO entries " + copied,
        std::string("UPDATE OR REPLACE entries SET entry = 2 WHERE entry = 3")}) {
    EXPECT_THROW(sql(folder / "shop.fettle", forgery), SQLite::Exception) << forgery;
  }
  Ledger ledger(folder / "shop.fettle");
  EXPECT_EQ(ledger.check().entries, 4);
  EXPECT_EQ(ledger.entry(2)->by, "turner");
}

TEST(LedgerFile, OpenedForReadingOnlyRefusesWrites) {
  const TemporaryFolder folder;
  make_ledger(folder / "shop.fettle", 1);
  Ledger ledger(folder / "shop.fettle", with_access(Access::read_only));
  EXPECT_EQ(ledger.engines().size(), 1U);
  EXPECT_TRUE(ledger.check().faults.empty());
  EXPECT_EQ(trouble_of([&] { static_cast<void>(ledger.rename("e1", "x", std::nullopt, turner())); }),
            Trouble::read_only);
}

TEST(LedgerBackup, IsOneSoundFile) {
  const TemporaryFolder folder;
  CountingEnvironment environment;
  Ledger ledger(folder / "shop.fettle", {}, &environment);
  applied(ledger.create("A", two_readings(), turner()));
  ledger.backup(folder / "copy.fettle");
  applied(ledger.change("e1", 1, {set("/name", "later")}, turner()));
  {
    const Ledger copy(folder / "copy.fettle", with_access(Access::read_only));
    EXPECT_EQ(copy.engine("e1")->document, two_readings());
    EXPECT_TRUE(copy.check().faults.empty());
  }
  ledger.backup(folder / "copy.fettle");
  EXPECT_EQ(Ledger(folder / "copy.fettle").engine("e1")->document["name"], "later");
  for (const auto& file : fs::directory_iterator(folder.path())) {
    EXPECT_EQ(file.path().string().find("unfinished"), std::string::npos);
  }
}

TEST(LedgerBackup, NeverReplacesWhatIsNoBackup) {
  const TemporaryFolder folder;
  Ledger ledger(folder / "shop.fettle");
  Ledger in_use(folder / "other.fettle");
  applied(in_use.create("A", json::object(), turner()));
  write_file(folder / "letter", "Dear customer");
  for (const char* target : {"shop.fettle", "other.fettle", "letter", "no folder/copy"}) {
    EXPECT_EQ(trouble_of([&] { ledger.backup(folder / target); }), Trouble::input_output) << target;
  }
  EXPECT_EQ(contents(folder / "letter"), "Dear customer");
  EXPECT_TRUE(in_use.check().faults.empty());
}

TEST(LedgerOptions, OutsideTheirRangeAreRefused) {
  const TemporaryFolder folder;
  Options options;
  options.file.busy_timeout_ms = 0;
  EXPECT_THROW(Ledger(folder / "x", options), std::invalid_argument);
  EXPECT_EQ(files_in(folder.path()), 0U);
}

}  // namespace
}  // namespace fettle::ledger
