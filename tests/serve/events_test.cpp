// Server-sent events: what one changes, the others hear, and what they missed they are told.

#include <fmt/format.h>

#include "serve/support.h"

namespace fettle::serve {
namespace {

using namespace testing;
using namespace std::chrono_literals;

class Events : public ::testing::Test {
 protected:
  static ServerOptions quick() {
    ServerOptions options;
    options.hub.heartbeat = 300ms;
    options.hub.look = 100ms;
    options.hub.most_clients = 60;
    options.workers = 4;
    return options;
  }
  [[nodiscard]] std::string request(const std::string& more = "") const {
    return fmt::format("GET /api/events HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n{}\r\n", server.port(), more);
  }
  RunningServer server{quick()};
  Page page{server.port()};
};

TEST_F(Events, AChangeIsSeenByAnotherClient) {
  const auto [id, version] = page.make();
  RawConnection listener(server.port());
  listener.send(request());
  const std::string head = listener.read_until("\n\n");
  EXPECT_NE(head.find("Content-Type: text/event-stream"), std::string::npos);
  EXPECT_NE(head.find("Content-Security-Policy"), std::string::npos);
  listener.read_until(": listening\n\n");
  const auto now = page.change(id, version, set("/readings/r1/wheel", "1 deg")).body["version"].get<std::int64_t>();
  const std::string text = listener.read_until("\"device\":\"phone\"}\n\n");
  EXPECT_NE(text.find(fmt::format("id: {0}\nevent: changed\ndata: {{\"engine\":\"{1}\",\"version\":{0},\"entry\":{0},\"kind\":\"change\",\"by\":\"Ada\",\"device\":\"phone\"}}\n\n", now, id)), std::string::npos) << text;
}

TEST_F(Events, WhatWasMissedIsToldInOrder) {
  auto [id, version] = page.make();
  for (int i = 1; i <= 5; ++i) {
    version = page.change(id, version, set("/readings/r1/wheel", fmt::format("{} deg", i))).body["version"].get<std::int64_t>();
  }
  RawConnection listener(server.port());
  listener.send(request("Last-Event-ID: 2\r\n"));
  const std::string text = listener.read_until(fmt::format("id: {}\n", version));
  std::size_t last = 0;
  for (std::int64_t entry = 3; entry <= version; ++entry) {
    const auto at = text.find(fmt::format("id: {}\n", entry));
    ASSERT_NE(at, std::string::npos) << entry;
    EXPECT_GT(at, last);
    last = at;
  }
  EXPECT_EQ(text.find("id: 2\n"), std::string::npos);
}

TEST_F(Events, MoreThanOnePageOfMissedEntriesIsTold) {
  ledger::Ledger raw(server.file());
  auto made = std::get<ledger::Applied>(raw.create("A", build::small_document(), {"Ada", "phone", std::nullopt}));
  for (int i = 0; i < 450; ++i) {
    made = std::get<ledger::Applied>(raw.change(made.engine, made.version, {{"/name", fmt::format("A{}", i)}}, {"Ada", "phone", std::nullopt}));
  }
  RawConnection listener(server.port());
  listener.send(request("Last-Event-ID: 0\r\n"));
  const std::string text = listener.read_until(fmt::format("id: {}\n", made.version));
  EXPECT_NE(text.find("id: 1\n"), std::string::npos);
  EXPECT_NE(text.find("id: 201\n"), std::string::npos);
  EXPECT_NE(text.find("id: 451\n"), std::string::npos);
}

TEST_F(Events, AChangeMadeByAnotherProgramIsToldToo) {
  RawConnection listener(server.port());
  listener.send(request());
  listener.read_until(": listening\n\n");
  ledger::Ledger raw(server.file());
  ASSERT_TRUE(std::holds_alternative<ledger::Applied>(raw.create("A", build::small_document(), {"Eve", "command", std::nullopt})));
  EXPECT_NE(listener.read_until("\"by\":\"Eve\"").find("\"kind\":\"create\""), std::string::npos);
}

TEST_F(Events, ANumberFromAnotherLedgerOrNoneAtAllIsTakenAsNone) {
  for (const std::string number : {"999999", "x", "-5", "99999999999999999999999"}) {
    RawConnection listener(server.port());
    listener.send(request("Last-Event-ID: " + number + "\r\n"));
    listener.read_until(": listening\n\n");
    const auto [id, version] = page.make();
    EXPECT_NE(listener.read_until("\"kind\":\"create\"").find(id), std::string::npos) << number;
  }
}

TEST_F(Events, SilenceIsBrokenByAHeartbeat) {
  RawConnection listener(server.port());
  listener.send(request());
  EXPECT_NE(listener.read_until("listening\n\n:\n\n:\n\n", 3s).find("listening\n\n:\n\n:\n\n"), std::string::npos);
}

TEST_F(Events, FiftyListenersLeaveTheWorkersFreeAndOneTooManyIsTold) {
  std::vector<std::unique_ptr<RawConnection>> listeners;
  for (int i = 0; i < 60; ++i) {
    listeners.push_back(std::make_unique<RawConnection>(server.port()));
    listeners.back()->send(request());
    listeners.back()->read_until(": listening\n\n");
  }
  {
    RawConnection late(server.port());
    late.send(request());
    expect_error(late.answer(), 503, "too_many");
  }
  const auto [id, version] = page.make();
  for (auto& listener : listeners) {
    EXPECT_NE(listener->read_until("\"kind\":\"create\"").find(id), std::string::npos);
  }
  // Those who go make room within a heartbeat.
  for (auto& listener : listeners) {
    listener->close();
  }
  std::this_thread::sleep_for(700ms);
  RawConnection next(server.port());
  next.send(request());
  EXPECT_NE(next.read_until(": listening\n\n").find("200 OK"), std::string::npos);
}

TEST_F(Events, AListenerThatNeverReadsDoesNotHoldUpTheOthers) {
  RawConnection deaf(server.port());
  deaf.send(request("Last-Event-ID: 0\r\n"));
  RawConnection listener(server.port());
  listener.send(request());
  listener.read_until(": listening\n\n");
  auto [id, version] = page.make();
  for (int i = 1; i <= 20; ++i) {
    version = page.change(id, version, set("/name", fmt::format("A{}", i))).body["version"].get<std::int64_t>();
    EXPECT_NE(listener.read_until(fmt::format("id: {}\n", version), 5s).find(fmt::format("id: {}\n", version)), std::string::npos);
  }
}

}  // namespace
}  // namespace fettle::serve
