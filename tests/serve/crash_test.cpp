// What the server has acknowledged is in the ledger, however it ends.

#include <atomic>
#include <csignal>
#include <random>

#include <fmt/format.h>

#include "ledger/children.h"
#include "serve/support.h"

namespace fettle::serve {
namespace {

using namespace testing;
using ledger::testing::Child;

int serve_until_killed(const std::filesystem::path& file, const Child::Report& report) {
  ServerOptions options;
  options.ledger = file;
  options.port = 0;
  options.workers = 3;
  Server server(options);
  report(server.port());
  return server.run() ? 0 : 1;
}

struct Acknowledged {
  std::int64_t entry;
  std::string id;
  std::string wheel;
};

TEST(ServeCrash, LosesNoAcknowledgedReadingInAHundredKills) {
  const TemporaryFolder folder;
  const auto file = folder / "shop.fettle";
  ledger::testing::CountingEnvironment environment;
  std::int64_t version = 0;
  {
    ledger::Ledger ledger(file, {}, &environment);
    json document = build::small_document();
    // Little to prove, so that the kills fall into the writing.
    document["readings"] = json::array();
    document.erase("cam");
    version = std::get<ledger::Applied>(ledger.create("A", document, {"Ada", "phone", std::nullopt})).version;
  }
  std::mt19937 random(20240229);
  std::size_t acknowledged = 0;
  std::size_t unanswered_but_made = 0;
  for (int round = 0; round < 100; ++round) {
    Child child([&](const Child::Report& report) { return serve_until_killed(file, report); });
    std::int64_t port = 0;
    ASSERT_TRUE(child.next(port));
    // Killed at any moment of a change: a random while, up to two changes long, after the first was
    // acknowledged.
    std::atomic<std::int64_t> change_time = 0;
    const double part = std::uniform_real_distribution<>(0, 2)(random);
    std::thread killer([&] {
      const auto begun = std::chrono::steady_clock::now();
      while (change_time == 0 && std::chrono::steady_clock::now() - begun < std::chrono::seconds(30)) {
        std::this_thread::sleep_for(std::chrono::microseconds(100));
      }
      std::this_thread::sleep_for(
          std::chrono::microseconds(static_cast<std::int64_t>(part * static_cast<double>(change_time))));
      child.kill();
    });
    std::vector<Acknowledged> taken;
    httplib::Client client("127.0.0.1", static_cast<int>(port));
    client.set_keep_alive(true);
    std::string last_wheel;
    for (int i = 0;; ++i) {
      // Few readings, overwritten again and again: the build stays small.
      const std::string id = fmt::format("r{}", i % 4 + 1);
      last_wheel = fmt::format("{}.{} deg", i % 60, round);
      const json reading{{"kind", "chain_slack"}, {"slack", last_wheel}};
      const json body{{"base", version},
                      {"by", "Ada"},
                      {"device", "phone"},
                      {"operations", set("/readings/" + id, reading)}};
      const auto asked = std::chrono::steady_clock::now();
      const auto result = client.Post("/api/engines/e1/changes", body.dump(), "application/json");
      if (!result) {
        break;
      }
      if (result->status != 200) {
        ADD_FAILURE() << result->body;
        break;
      }
      version = json::parse(result->body)["version"].get<std::int64_t>();
      taken.push_back({version, id, last_wheel});
      change_time =
          std::chrono::duration_cast<std::chrono::microseconds>(std::chrono::steady_clock::now() - asked)
              .count();
    }
    killer.join();
    ASSERT_EQ(child.wait(), -SIGKILL);
    acknowledged += taken.size();
    const ledger::Ledger ledger(file);
    for (const Acknowledged& one : taken) {
      const auto entry = ledger.entry(one.entry);
      ASSERT_TRUE(entry.has_value()) << "entry " << one.entry << " of round " << round
                                     << " was acknowledged and is lost";
      ASSERT_EQ(entry->steps.at(0).value->at("slack"), one.wheel);
    }
    const auto view = ledger.engine("e1").value();
    // At most the one in flight was made without an answer.
    ASSERT_LE(view.summary.version, version + 1);
    unanswered_but_made += view.summary.version > version ? 1 : 0;
    if (!taken.empty() && view.summary.version == version) {
      bool there = false;
      for (const json& reading : view.document["readings"]) {
        there = there || (reading["id"] == taken.back().id && reading["slack"] == taken.back().wheel);
      }
      ASSERT_TRUE(there);
    }
    version = view.summary.version;
    if (round % 20 == 19) {
      ASSERT_TRUE(ledger.check().faults.empty());
    }
  }
  EXPECT_GE(acknowledged, 100U) << "the servers were killed before they could write";
  RecordProperty("acknowledged", static_cast<int>(acknowledged));
  RecordProperty("made_but_not_answered", static_cast<int>(unanswered_but_made));
}

}  // namespace
}  // namespace fettle::serve
