// `fettle serve` and `fettle ledger`, the program itself as a child.

#include <fcntl.h>
#include <fmt/format.h>
#include <SQLiteCpp/SQLiteCpp.h>
#include <sys/wait.h>

#include <csignal>
#include <cstdlib>

#include "serve/support.h"

namespace fettle::serve {
namespace {

using namespace testing;
using ledger::testing::contents;
using ledger::testing::write_file;

struct Ran {
  int status = -1;
  std::string out;
  std::string err;
};

class Command : public ::testing::Test {
 protected:
  void SetUp() override { write_file(folder / "build.json", build::small_document().dump(2)); }

  /// Runs the program through the shell; {} stands for the test's folder.
  Ran run(const std::string& arguments) const {
    std::string line = arguments;
    for (auto at = line.find("{}"); at != std::string::npos; at = line.find("{}")) {
      line.replace(at, 2, folder.path().string());
    }
    const std::string out = (folder / "out").string();
    const std::string err = (folder / "err").string();
    const std::string whole = fmt::format("XDG_DATA_HOME={} {} {} >{} 2>{}", folder.path().string(), FETTLE_PROGRAM, line, out, err);
    const int status = std::system(whole.c_str());
    return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, contents(out), contents(err)};
  }
  TemporaryFolder folder;
};

TEST_F(Command, ImportListExportAndCheckGoRound) {
  const Ran imported = run("ledger import {}/build.json");
  ASSERT_EQ(imported.status, 0) << imported.err;
  EXPECT_TRUE(std::filesystem::exists(folder / "fettle/ledger.fettle")) << "the default place";
  const std::string id = imported.out.substr(0, imported.out.size() - 1);
  const Ran list = run("ledger list --json");
  EXPECT_EQ(list.status, 0);
  EXPECT_EQ(json::parse(list.out)["engines"][0]["id"], id);
  EXPECT_EQ(json::parse(list.out)["engines"][0]["layout"], "V8");
  EXPECT_NE(run("ledger list").out.find("Invented 5.4"), std::string::npos);
  const Ran by_name = run("ledger export 'Invented 5.4' -o {}/again.json");
  EXPECT_EQ(by_name.status, 0) << by_name.err;
  EXPECT_EQ(contents(folder / "again.json"), run("ledger export " + id).out);
  EXPECT_EQ(run("ledger import {}/again.json --ledger {}/second.fettle").status, 0);
  EXPECT_EQ(run("ledger export 'Invented 5.4' --ledger {}/second.fettle").out, contents(folder / "again.json"));
  const Ran check = run("ledger check --json");
  EXPECT_EQ(check.status, 0);
  EXPECT_EQ(json::parse(check.out)["faults"], json::array());
}

TEST_F(Command, AHistoryIsCarriedToAnotherLedger) {
  ASSERT_EQ(run("ledger import {}/build.json --ledger {}/a.fettle").status, 0);
  {
    ledger::Ledger ledger(folder / "a.fettle");
    const auto engine = ledger.engines().at(0);
    ASSERT_TRUE(std::holds_alternative<ledger::Applied>(ledger.change(engine.id, engine.version, {{"/name", "Later"}}, {"Bo", "tablet", std::nullopt})));
  }
  ASSERT_EQ(run("ledger export Later --history --ledger {}/a.fettle -o {}/history.json").status, 0);
  const Ran taken = run("ledger import {}/history.json --ledger {}/b.fettle --by Cy --json");
  ASSERT_EQ(taken.status, 0) << taken.err;
  const ledger::Ledger ledger(folder / "b.fettle");
  const auto history = ledger.history(json::parse(taken.out)["id"], std::nullopt, 10);
  ASSERT_EQ(history.entries.size(), 3U);
  EXPECT_EQ(history.entries[0].by, "Cy");
  EXPECT_EQ(history.entries[1].by, "Bo");
  // One whose last document is no sound build is not taken in.
  json spoilt = json::parse(contents(folder / "history.json"));
  spoilt["document"]["engine"]["bore"] = 5;
  write_file(folder / "spoilt.json", spoilt.dump());
  const Ran refused = run("ledger import {}/spoilt.json --ledger {}/b.fettle");
  EXPECT_EQ(refused.status, 2);
  EXPECT_NE(refused.err.find("engine.bore"), std::string::npos) << refused.err;
  EXPECT_EQ(ledger.engines().size(), 1U);
}

TEST_F(Command, WhatIsWrongIsSaidAndNothingIsHalfDone) {
  EXPECT_EQ(run("ledger list --ledger {}/none.fettle").status, 2);
  EXPECT_NE(run("ledger list --ledger {}/none.fettle").err.find("none.fettle"), std::string::npos);
  EXPECT_FALSE(std::filesystem::exists(folder / "none.fettle")) << "a listing makes no ledger";
  EXPECT_EQ(run("ledger check --ledger {}/build.json").status, 2);
  ASSERT_EQ(run("ledger import {}/build.json").status, 0);
  EXPECT_EQ(run("ledger export nobody").status, 1);
  ASSERT_EQ(run("ledger import {}/build.json").status, 0);
  const Ran twice = run("ledger export 'Invented 5.4'");
  EXPECT_EQ(twice.status, 1);
  EXPECT_NE(twice.err.find("give the id"), std::string::npos);
  json spoilt = build::small_document();
  spoilt["engine"]["bore"] = 5;
  write_file(folder / "spoilt.json", spoilt.dump());
  const Ran refused = run("ledger import {}/spoilt.json");
  EXPECT_EQ(refused.status, 2);
  EXPECT_NE(refused.err.find("engine.bore"), std::string::npos);
  write_file(folder / "broken.json", "{\"fettle\": 1,");
  EXPECT_EQ(run("ledger import {}/broken.json").status, 2);
  EXPECT_EQ(run("ledger import {}/no-such-file.json").status, 2);
  EXPECT_EQ(json::parse(run("ledger list --json").out)["engines"].size(), 2U);
  const std::string id = json::parse(run("ledger list --json").out)["engines"][0]["id"];
  const Ran nowhere = run("ledger export " + id + " -o {}/no/folder/x.json");
  EXPECT_EQ(nowhere.status, 2);
  EXPECT_NE(nowhere.err.find("cannot be written"), std::string::npos);
  EXPECT_EQ(run("ledger").status, 2);
  EXPECT_EQ(run("ledger burn").status, 2);
}

TEST_F(Command, ADamagedLedgerIsNotSound) {
  ASSERT_EQ(run("ledger import {}/build.json").status, 0);
  {
    SQLite::Database raw(folder / "fettle/ledger.fettle", SQLite::OPEN_READWRITE);
    raw.exec("UPDATE engines SET document = '{}'");
  }
  const Ran check = run("ledger check");
  EXPECT_EQ(check.status, 1) << check.out << check.err;
  EXPECT_NE(check.out.find("not sound"), std::string::npos);
}

TEST_F(Command, ABackupIsALedger) {
  ASSERT_EQ(run("ledger import {}/build.json").status, 0);
  EXPECT_EQ(run("ledger backup {}/copy.fettle").status, 0);
  EXPECT_EQ(run("ledger check --ledger {}/copy.fettle").status, 0);
  EXPECT_EQ(run("ledger list --ledger {}/copy.fettle").out, run("ledger list").out);
  EXPECT_EQ(run("ledger backup {}/build.json").status, 2) << "another file is not replaced";
  EXPECT_EQ(contents(folder / "build.json"), build::small_document().dump(2));
}

/// The program serving, as a child whose first line has been read.
class Served {
 public:
  explicit Served(const std::vector<std::string>& arguments) {
    int ends[2] = {-1, -1};
    EXPECT_EQ(::pipe2(static_cast<int*>(ends), O_CLOEXEC), 0);
    pid_ = ::fork();
    if (pid_ == 0) {
      ::dup2(ends[1], STDOUT_FILENO);
      std::vector<const char*> argv{FETTLE_PROGRAM, "serve"};
      for (const auto& one : arguments) {
        argv.push_back(one.c_str());
      }
      argv.push_back(nullptr);
      ::execv(FETTLE_PROGRAM, const_cast<char* const*>(argv.data()));
      ::_exit(99);
    }
    ::close(ends[1]);
    char letter = 0;
    while (::read(ends[0], &letter, 1) == 1 && letter != '\n') {
      line_ += letter;
    }
    ::close(ends[0]);
  }
  ~Served() {
    if (pid_ > 0) {
      ::kill(pid_, SIGKILL);
      ::waitpid(pid_, nullptr, 0);
    }
  }
  Served(const Served&) = delete;
  Served& operator=(const Served&) = delete;

  [[nodiscard]] const std::string& line() const { return line_; }
  [[nodiscard]] int port() const {
    const std::string before = "http://127.0.0.1:";
    const auto at = line_.find(before);
    return at == std::string::npos ? 0 : std::stoi(line_.substr(at + before.size()));
  }
  /// @returns the exit code, or minus the signal
  int end(int signal) {
    ::kill(pid_, signal);
    return wait();
  }
  int wait() {
    int status = 0;
    ::waitpid(pid_, &status, 0);
    pid_ = -1;
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
  }

 private:
  pid_t pid_ = -1;
  std::string line_;
};

TEST_F(Command, ServePrintsItsAddressLoadsTheDemoOnceAndEndsOnASignal) {
  const std::string ledger = (folder / "shop.fettle").string();
  std::filesystem::create_directory(folder / "examples");
  write_file(folder / "examples/one.json", build::small_document().dump());
  const std::vector<std::string> arguments{"--ledger", ledger, "--port", "0", "--demo", "--examples", (folder / "examples").string()};
  for (const int signal : {SIGINT, SIGTERM, SIGTERM}) {
    Served served(arguments);
    ASSERT_NE(served.port(), 0) << served.line();
    Page page(served.port());
    EXPECT_EQ(page.get("/api/engines").body["engines"].size(), 1U);
    RawConnection listener(served.port());
    listener.send(fmt::format("GET /api/events HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\r\n", served.port()));
    listener.read_until(": listening\n\n");
    EXPECT_EQ(served.end(signal), 0);
    listener.read_until("no such text");
    EXPECT_TRUE(listener.closed());
  }
  EXPECT_EQ(run("ledger check --ledger {}/shop.fettle").status, 0);
  EXPECT_FALSE(std::filesystem::exists(ledger + "-wal")) << "the ledger was closed";
}

TEST_F(Command, ServeThatCannotBeginSaysWhy) {
  Served first({"--ledger", (folder / "shop.fettle").string(), "--port", "0"});
  const Ran taken = run(fmt::format("serve --ledger {{}}/shop.fettle --port {}", first.port()));
  EXPECT_EQ(taken.status, 2);
  EXPECT_NE(taken.err.find("--port"), std::string::npos) << taken.err;
  EXPECT_EQ(run("serve --port 70000").status, 2);
  const Ran foreign = run("serve --ledger {}/build.json --port 0");
  EXPECT_EQ(foreign.status, 2);
  EXPECT_NE(foreign.err.find("build.json"), std::string::npos);
  EXPECT_EQ(run("serve --ledger {}/no/such/folder/x.fettle --port 0").status, 2);
  write_file(folder / "broken.json", "{");
  EXPECT_EQ(run("serve --ledger {}/new.fettle --port 0 --demo --examples {}").status, 2) << "a broken example is no demo";
}

}  // namespace
}  // namespace fettle::serve
