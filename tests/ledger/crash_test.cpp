// What was acknowledged is there, whatever happens to the process, and whoever else is writing.

#include <algorithm>
#include <atomic>
#include <chrono>
#include <random>
#include <set>
#include <thread>

#include <gtest/gtest.h>

#include "ledger/children.h"
#include "ledger/ledger.h"
#include "ledger/support.h"

namespace fettle::ledger {
namespace {

using nlohmann::json;
using namespace testing;
namespace fs = std::filesystem;

// Every change carries its own entry number's predecessor, so that its content can be checked afterwards.
EntryNumber one_change(Ledger& ledger, const std::string& path, EntryNumber base) {
  const auto result = ledger.change("e1", base, {set(path, fmt::format("after {}", base))}, turner());
  const auto* applied = std::get_if<Applied>(&result);
  if (applied == nullptr) {
    throw std::runtime_error(to_json(result).dump());
  }
  return applied->version;
}

// A stream of changes, sometimes undone, each reported once it has been acknowledged.
int write_without_end(const fs::path& file, const Child::Report& report) {
  Ledger ledger(file);
  EntryNumber version = ledger.engine("e1").value().summary.version;
  report(0);
  for (int i = 0;; ++i) {
    if (i % 7 == 6) {
      version = std::get<Applied>(ledger.undo("e1", version, turner())).version;
    } else {
      version = one_change(ledger, fmt::format("/place{}", i % 5), version);
    }
    report(version);
  }
}

TEST(LedgerCrash, LosesNothingAcknowledgedInAHundredKills) {
  const TemporaryFolder folder;
  const fs::path file = folder / "shop.fettle";
  {
    CountingEnvironment environment;
    applied(Ledger(file, {}, &environment).create("A", two_readings(), turner()));
  }
  std::mt19937 random(20240229);
  std::size_t acknowledged = 0;
  for (int kill = 0; kill < 100; ++kill) {
    Child child([&](const Child::Report& report) { return write_without_end(file, report); });
    std::int64_t started = -1;
    ASSERT_TRUE(child.next(started));
    std::this_thread::sleep_for(std::chrono::microseconds(random() % 60000));
    child.kill();
    const auto entries = child.rest();
    ASSERT_EQ(child.wait(), -SIGKILL);
    acknowledged += entries.size();
    Ledger ledger(file);
    for (const EntryNumber number : entries) {
      const auto entry = ledger.entry(number);
      ASSERT_TRUE(entry.has_value()) << "entry " << number << " of kill " << kill
                                     << " was acknowledged and is lost";
      if (entry->kind == EntryKind::change) {
        ASSERT_EQ(entry->steps.at(0).value, std::optional<json>(fmt::format("after {}", *entry->previous)));
      }
    }
    const auto report = ledger.check();
    ASSERT_TRUE(report.faults.empty()) << report.faults[0];
    // At most the one change in flight was made and not acknowledged.
    const auto version = ledger.engine("e1")->summary.version;
    ASSERT_LE(version, (entries.empty() ? version : entries.back() + 1));
  }
  EXPECT_GT(acknowledged, 100U) << "the children were killed before they could write";
}

TEST(LedgerCrash, LeavesAWholeLedgerOrNoneWhenKilledWhileMakingIt) {
  const TemporaryFolder folder;
  const auto begun = std::chrono::steady_clock::now();
  EXPECT_TRUE(Ledger(folder / "uninterrupted").engines().empty());
  const auto usual = std::chrono::steady_clock::now() - begun;
  std::mt19937 random(1);
  int made = 0;
  for (int kill = 0; kill < 50; ++kill) {
    const fs::path file = folder / fmt::format("shop{}", kill);
    Child child([&](const Child::Report& report) {
      report(0);
      const Ledger ledger(file);
      ::pause();
      return 0;
    });
    std::int64_t started = -1;
    ASSERT_TRUE(child.next(started));
    std::this_thread::sleep_for(usual * (random() % 200) / 100);
    child.kill();
    child.wait();
    made += fs::exists(file) ? 1 : 0;
    EXPECT_TRUE(Ledger(file).check().faults.empty());
  }
  EXPECT_GT(made, 0);
  EXPECT_LT(made, 50);
}

TEST(LedgerProcesses, WriteAtOnceAndLoseNothing) {
  const TemporaryFolder folder;
  const fs::path file = folder / "shop.fettle";
  CountingEnvironment environment;
  Ledger ledger(file, {}, &environment);
  applied(ledger.create("A", two_readings(), turner()));
  const auto write = [&](const std::string& path) {
    return [&file, path](const Child::Report& report) {
      Ledger own(file);
      EntryNumber base = 1;
      for (int i = 0; i < 100; ++i) {
        base = one_change(own, path, base);
        report(base);
      }
      return 0;
    };
  };
  Child one(write("/readings/r1/wheel"));
  Child other(write("/readings/r2/wheel"));
  std::vector<std::int64_t> entries = one.rest();
  const auto more = other.rest();
  EXPECT_EQ(one.wait(), 0);
  EXPECT_EQ(other.wait(), 0);
  entries.insert(entries.end(), more.begin(), more.end());
  EXPECT_EQ(std::set<std::int64_t>(entries.begin(), entries.end()).size(), 200U);
  EXPECT_EQ(ledger.engine("e1")->summary.entry_count, 201);
  EXPECT_EQ(ledger.engine("e1")->summary.version, 201);
  EXPECT_TRUE(ledger.check().faults.empty());
}

TEST(LedgerProcesses, OfWhichOnlyOneMayChangeTheSamePlace) {
  const TemporaryFolder folder;
  const fs::path file = folder / "shop.fettle";
  CountingEnvironment environment;
  Ledger ledger(file, {}, &environment);
  applied(ledger.create("A", {{"counter", 0}}, turner()));
  // Each adds one, fifty times, and tries again after a conflict: no addition may be lost.
  const auto count = [&](const Child::Report& /*report*/) {
    Ledger own(file);
    for (int i = 0; i < 50;) {
      const auto seen = own.engine("e1").value();
      const json next = seen.document["counter"].get<int>() + 1;
      const auto result = own.change("e1", seen.summary.version, {set("/counter", next)}, turner());
      i += std::holds_alternative<Applied>(result) ? 1 : 0;
    }
    return 0;
  };
  Child one(count);
  Child other(count);
  EXPECT_EQ(one.wait(), 0);
  EXPECT_EQ(other.wait(), 0);
  EXPECT_EQ(ledger.engine("e1")->document["counter"], 100);
}

TEST(LedgerProcesses, MakeOneLedgerTogether) {
  const TemporaryFolder folder;
  const fs::path file = folder / "shop.fettle";
  const auto make = [&](const Child::Report& /*report*/) {
    Ledger own(file);
    return std::holds_alternative<Applied>(own.create("A", json::object(), turner())) ? 0 : 1;
  };
  Child a(make);
  Child b(make);
  Child c(make);
  EXPECT_EQ(a.wait() + b.wait() + c.wait(), 0);
  EXPECT_EQ(Ledger(file).engines().size(), 3U);
  EXPECT_EQ(std::distance(fs::directory_iterator(folder.path()), fs::directory_iterator()), 1);
}

TEST(LedgerThreads, ShareOneLedger) {
  const TemporaryFolder folder;
  Ledger ledger(folder / "shop.fettle");
  const std::string id = applied(ledger.create("A", {{"a", 0}}, turner())).engine;
  std::atomic<int> made = 0;
  std::vector<std::thread> threads;
  threads.reserve(4);
  for (int t = 0; t < 4; ++t) {
    threads.emplace_back([&, t] {
      for (int i = 0; i < 25; ++i) {
        const auto base = ledger.engine(id)->summary.version;
        made += std::holds_alternative<Applied>(
                    ledger.change(id, base, {set(fmt::format("/t{}", t), i)}, turner()))
                    ? 1
                    : 0;
        static_cast<void>(ledger.history(id, std::nullopt, 5));
      }
    });
  }
  for (auto& thread : threads) {
    thread.join();
  }
  EXPECT_EQ(made, 100);
  EXPECT_TRUE(ledger.check().faults.empty());
}

TEST(LedgerBackup, MadeWhileOthersWriteIsOneMomentsState) {
  const TemporaryFolder folder;
  const fs::path file = folder / "shop.fettle";
  CountingEnvironment environment;
  Ledger ledger(file, {}, &environment);
  applied(ledger.create("A", two_readings(), turner()));
  Child writer([&](const Child::Report& report) { return write_without_end(file, report); });
  std::int64_t seen = 0;
  EntryNumber last = 0;
  for (int i = 0; i < 20; ++i) {
    for (int j = 0; j < 5; ++j) {
      ASSERT_TRUE(writer.next(seen));
    }
    ledger.backup(folder / "copy.fettle");
    const Ledger copy(folder / "copy.fettle");
    const auto report = copy.check();
    ASSERT_TRUE(report.faults.empty()) << report.faults[0];
    const auto state = copy.engine("e1").value();
    ASSERT_GE(state.summary.version, seen) << "what was acknowledged before the backup is in it";
    ASSERT_TRUE(identical(state.document, ledger.engine_as_of("e1", state.summary.version)->state.document));
    last = state.summary.version;
  }
  EXPECT_GT(last, 100);
  writer.kill();
  writer.wait();
}

}  // namespace
}  // namespace fettle::ledger
