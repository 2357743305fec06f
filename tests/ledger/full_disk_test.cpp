// A disk without room and a file that may not be written: a clear error, and nothing lost.

#include <csignal>

#include <gtest/gtest.h>
#include <sched.h>
#include <sys/mount.h>
#include <sys/resource.h>

#include "ledger/children.h"
#include "ledger/ledger.h"
#include "ledger/support.h"

namespace fettle::ledger {
namespace {

using nlohmann::json;
using namespace testing;
namespace fs = std::filesystem;

constexpr int cannot_try = 77;

// Writes until it fails; reports the entries acknowledged. Nothing of the failed change may be seen.
Trouble write_until_it_fails(Ledger& ledger, const std::string& id, const Child::Report& report) {
  EntryNumber version = ledger.engine(id).value().summary.version;
  try {
    for (int i = 0; i < 100000; ++i) {
      const json value = fmt::format("{} {}", i, std::string(2000, 'x'));
      version = std::get<Applied>(ledger.change(id, version, {set("/filler", value)}, turner())).version;
      report(version);
    }
  } catch (const LedgerError& error) {
    const auto now = ledger.engine(id).value();
    if (now.summary.version != version) {
      throw std::runtime_error("a change that failed is there all the same");
    }
    return error.trouble();
  }
  throw std::runtime_error("the disk never got full");
}

void expect_all_there(Ledger& ledger, const std::string& id, const std::vector<std::int64_t>& entries) {
  ASSERT_GT(entries.size(), 5U);
  for (const EntryNumber number : entries) {
    EXPECT_TRUE(ledger.entry(number).has_value()) << number;
  }
  EXPECT_EQ(ledger.engine(id)->summary.version, entries.back());
  EXPECT_TRUE(ledger.check().faults.empty());
  EXPECT_TRUE(
      std::holds_alternative<Applied>(ledger.change(id, entries.back(), {set("/filler", 1)}, turner())))
      << "with room again it goes on";
}

TEST(LedgerFull, OfPagesSaysSoAndLosesNothing) {
  const TemporaryFolder folder;
  Options options;
  options.file.maximum_pages = 60;
  std::vector<std::int64_t> entries;
  CountingEnvironment environment;
  {
    Ledger ledger(folder / "shop.fettle", options, &environment);
    applied(ledger.create("A", json::object(), turner()));
    EXPECT_EQ(write_until_it_fails(ledger, "e1", [&](std::int64_t n) { entries.push_back(n); }),
              Trouble::full);
    EXPECT_EQ(trouble_of([&] {
                static_cast<void>(ledger.create("B", {{"x", std::string(20000, 'x')}}, turner()));
              }),
              Trouble::full);
    EXPECT_TRUE(ledger.check().faults.empty());
  }
  Ledger ledger(folder / "shop.fettle");
  expect_all_there(ledger, "e1", entries);
}

// RLIMIT_FSIZE makes write(2) fail with EFBIG, which SQLite reports as an I/O error rather than a full disk.
TEST(LedgerFull, FileOfLimitedSizeGivesAnErrorAndLosesNothing) {
  const TemporaryFolder folder;
  const fs::path file = folder / "shop.fettle";
  CountingEnvironment environment;
  applied(Ledger(file, {}, &environment).create("A", json::object(), turner()));
  Child child([&](const Child::Report& report) {
    std::signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{300000, 300000};
    if (::setrlimit(RLIMIT_FSIZE, &limit) != 0) {
      return cannot_try;
    }
    Ledger ledger(file);
    return write_until_it_fails(ledger, "e1", report) == Trouble::input_output ? 0 : 1;
  });
  const auto entries = child.rest();
  ASSERT_EQ(child.wait(), 0);
  Ledger ledger(file);
  expect_all_there(ledger, "e1", entries);
}

// A real full disk, in the child's own mount namespace; what it leaves is copied out before the disk is gone.
TEST(LedgerFull, DiskSaysSoAndLosesNothing) {
  const TemporaryFolder folder;
  const fs::path disk = folder / "disk";
  fs::create_directory(disk);
  fs::create_directory(folder / "kept");
  Child child([&](const Child::Report& report) {
    if (::unshare(CLONE_NEWNS) != 0 || ::mount(nullptr, "/", nullptr, MS_REC | MS_PRIVATE, nullptr) != 0 ||
        ::mount("tmpfs", disk.c_str(), "tmpfs", 0, "size=600k") != 0) {
      return cannot_try;
    }
    CountingEnvironment environment;
    Ledger ledger(disk / "shop.fettle", {}, &environment);
    applied(ledger.create("A", json::object(), turner()));
    const Trouble trouble = write_until_it_fails(ledger, "e1", report);
    bool backup_failed = false;
    try {
      ledger.backup(disk / "copy.fettle");
    } catch (const LedgerError& error) {
      backup_failed = error.trouble() == Trouble::full;
    }
    const bool sound = ledger.check().faults.empty() && backup_failed && !fs::exists(disk / "copy.fettle");
    fs::copy(disk, folder / "kept");
    return trouble == Trouble::full && sound ? 0 : 1;
  });
  const auto entries = child.rest();
  const int status = child.wait();
  if (status == cannot_try) {
    GTEST_SKIP()
        << "mounting a small tmpfs needs rights this process does not have; the limit on pages and the "
           "limit on the file's size are tested all the same";
  }
  ASSERT_EQ(status, 0);
  Ledger ledger(folder / "kept" / "shop.fettle");
  expect_all_there(ledger, "e1", entries);
}

// Rights do not bind the superuser, so that the child becomes somebody else first.
TEST(LedgerReadOnly, FileIsReadButNotWritten) {
  const TemporaryFolder folder;
  const fs::path file = folder / "shop #1.fettle";
  CountingEnvironment environment;
  applied(Ledger(file, {}, &environment).create("A", two_readings(), turner()));
  const std::string before = contents(file);
  fs::permissions(file, fs::perms::owner_read | fs::perms::group_read | fs::perms::others_read);
  constexpr auto see_and_enter = static_cast<fs::perms>(0555);
  fs::permissions(folder.path(), see_and_enter);
  Child child([&](const Child::Report& /*report*/) {
    constexpr uid_t nobody = 65534;
    if (::geteuid() == 0 && ::setuid(nobody) != 0) {
      return cannot_try;
    }
    for (const Access access : {Access::create, Access::read_write}) {
      Options options;
      options.file.access = access;
      const Trouble trouble = trouble_of([&] { const Ledger ledger(file, options); });
      if (trouble != Trouble::read_only) {
        return 10 + static_cast<int>(trouble);
      }
    }
    Options options;
    options.file.access = Access::read_only;
    const Ledger ledger(file, options);
    return ledger.engine("e1")->document == two_readings() && ledger.check().faults.empty() ? 0 : 2;
  });
  EXPECT_EQ(child.wait(), 0);
  fs::permissions(folder.path(), fs::perms::owner_all);
  EXPECT_EQ(contents(file), before);
}

}  // namespace
}  // namespace fettle::ledger
