// What comes over the wire that is no well-formed request: bounded, answered, and nothing left behind.

#include <fmt/format.h>

#include "serve/support.h"

namespace fettle::serve {
namespace {

using namespace testing;
using namespace std::chrono_literals;

class Connection : public ::testing::Test {
 protected:
  static ServerOptions quick() {
    ServerOptions options;
    options.workers = 4;
    options.bounds.head_time = 400ms;
    options.bounds.body_time = 600ms;
    options.bounds.idle = 1000ms;
    return options;
  }
  [[nodiscard]] std::string host() const { return fmt::format("Host: 127.0.0.1:{}\r\n", server.port()); }
  Got answer_to(const std::string& bytes, bool end = false) const {
    RawConnection connection(server.port());
    connection.send(bytes);
    if (end) {
      connection.end_sending();
    }
    return connection.answer();
  }
  [[nodiscard]] std::string post(const std::string& more, const std::string& body) const {
    return "POST /api/engines HTTP/1.1\r\n" + host() + "Content-Type: application/json\r\n" + more + "\r\n" + body;
  }

  RunningServer server{quick()};
};

TEST_F(Connection, WhatIsNoHttpIsAnsweredWithAnError) {
  for (const std::string bytes : {"nonsense\r\n\r\n", "GET\r\n\r\n", "GET / HTTP/9.9\r\n\r\n", "BREW /tea HTTP/1.1\r\n\r\n", "\r\n\r\n"}) {
    EXPECT_EQ(answer_to(bytes).status, 400) << bytes;
  }
  EXPECT_EQ(answer_to("GET / HTTP/1.1\r\n\r\n").status, 403) << "no Host";
  EXPECT_EQ(answer_to("GET / HTTP/1.1\r\n" + host() + host() + "\r\n").status, 403) << "two Hosts";
}

TEST_F(Connection, AHeadTooLargeIsRefused) {
  expect_error(answer_to("GET / HTTP/1.1\r\n" + host() + "X-Long: " + std::string(20000, 'a') + "\r\n\r\n"), 431, "too_large");
  std::string many;
  for (int i = 0; i < 2000; ++i) {
    many += fmt::format("X-{}: a\r\n", i);
  }
  expect_error(answer_to("GET / HTTP/1.1\r\n" + host() + many + "\r\n"), 431, "too_large");
  expect_error(answer_to("GET /" + std::string(20000, 'a') + " HTTP/1.1\r\n" + host() + "\r\n"), 431, "too_large");
  expect_error(answer_to("GET /" + std::string(3000, 'a') + " HTTP/1.1\r\n" + host() + "\r\n"), 414, "too_large");
  // One that never ends its line is cut off while it still sends.
  RawConnection endless(server.port());
  const std::string block(1 << 16, 'x');
  int sent = 0;
  while (sent < 1000 && endless.send(block)) {
    ++sent;
  }
  EXPECT_LT(sent, 1000);
}

TEST_F(Connection, ABodyTooLargeIsRefusedBeforeItIsSent) {
  expect_error(answer_to(post("Content-Length: 5000000\r\n", "{")), 413, "too_large");
  expect_error(answer_to(post("Content-Length: 99999999999999999999\r\n", "{")), 400, "bad_request");
  expect_error(answer_to(post("Content-Length: -1\r\n", "{")), 400, "bad_request");
  expect_error(answer_to(post("Content-Length: 2\r\nContent-Length: 3\r\n", "{}")), 400, "bad_request");
  expect_error(answer_to(post("", "{}")), 411, "length_required");
  expect_error(answer_to(post("Transfer-Encoding: chunked\r\n", "2\r\n{}\r\n0\r\n\r\n")), 411, "length_required");
  // And answered even to one who sends all of it before reading.
  Page page(server.port());
  expect_error(got(page.client().Post("/api/engines", std::string(5 << 20, ' '), "application/json")), 413, "too_large");
}

TEST_F(Connection, ABodyOfFourMegabytesIsRead) {
  Page page(server.port());
  const Got answer = got(page.client().Post("/api/engines", std::string((std::size_t{4} << 20) - 2, ' ') + "{}", "application/json"));
  expect_error(answer, 400, "bad_request");
  EXPECT_EQ(answer.body["error"]["problems"][0]["place"], "document");
}

TEST_F(Connection, ATruncatedBodyIsNeitherTakenNorWaitedForWithoutEnd) {
  EXPECT_EQ(answer_to(post("Content-Length: 100\r\n", "{\"document\":"), true).status, 400);
  expect_error(answer_to(post("Content-Length: 100\r\n", "{\"document\":")), 408, "too_slow");
  expect_error(answer_to("GET / HT"), 408, "too_slow");
}

TEST_F(Connection, TricklingOrSilentCallersDoNotKeepTheOthersOut) {
  std::vector<std::unique_ptr<RawConnection>> idlers;
  for (int i = 0; i < 12; ++i) {
    idlers.push_back(std::make_unique<RawConnection>(server.port()));
    idlers.back()->send("G");
  }
  const auto begun = std::chrono::steady_clock::now();
  Page page(server.port());
  EXPECT_EQ(page.get("/api/engines").status, 200);
  EXPECT_LT(std::chrono::steady_clock::now() - begun, 5s);
}

TEST_F(Connection, RequestsFollowOneAnotherOnOneConnection) {
  RawConnection connection(server.port());
  const std::string get = "GET /api/engines HTTP/1.1\r\n" + host() + "\r\n";
  connection.send(get + get + get);  // pipelined
  std::string text = connection.read_until("no such text", 700ms);
  std::size_t answers = 0;
  for (auto at = text.find("HTTP/1.1 200"); at != std::string::npos; at = text.find("HTTP/1.1 200", at + 1)) {
    ++answers;
  }
  EXPECT_EQ(answers, 3U);
}

TEST_F(Connection, TheBodyOfARefusedRequestIsNotTakenForARequest) {
  const std::string inner = "GET /api/schema HTTP/1.1\r\n" + host() + "\r\n";
  RawConnection connection(server.port());
  connection.send("POST /api/engines HTTP/1.1\r\n" + host() + fmt::format("Content-Type: text/plain\r\nContent-Length: {}\r\n\r\n", inner.size()) + inner);
  const std::string text = connection.read_until("");
  EXPECT_EQ(text.find("HTTP/1.1 200"), std::string::npos) << text;
  RawConnection with_get(server.port());
  with_get.send("GET /api/engines HTTP/1.1\r\n" + host() + fmt::format("Content-Length: {}\r\n\r\n", inner.size()) + inner);
  const std::string once = with_get.read_until("");
  EXPECT_EQ(once.find("$schema"), std::string::npos);
}

TEST_F(Connection, RangesAreNotServed) {
  std::string ranges = "0-0";
  for (int i = 0; i < 1800; ++i) {
    ranges += ",0-0";
  }
  RawConnection connection(server.port());
  connection.send("GET /api/schema HTTP/1.1\r\n" + host() + "Connection: close\r\nRange: bytes=" + ranges + "\r\n\r\n");
  EXPECT_TRUE(connection.answer().body.is_object());
}

TEST_F(Connection, EveryAnswerCarriesTheHeadersThatProtectThePage) {
  Page page(server.port());
  for (const std::string route : {"/", "/nothing", "/api/engines", "/api/nothing", "/../etc/passwd", "/%2e%2e/%2e%2e/etc/passwd", "/%00"}) {
    const auto result = page.client().Get(route);
    ASSERT_TRUE(result) << route;
    EXPECT_TRUE(result->get_header_value("Content-Security-Policy").starts_with("default-src 'none'; script-src 'self'"));
    EXPECT_EQ(result->get_header_value("X-Content-Type-Options"), "nosniff");
    EXPECT_EQ(result->get_header_value("X-Frame-Options"), "DENY");
    EXPECT_EQ(result->get_header_value("Referrer-Policy"), "no-referrer");
    EXPECT_FALSE(result->has_header("Access-Control-Allow-Origin"));
    EXPECT_EQ(result->get_header_value("Cache-Control"), route.starts_with("/api/") ? "no-store" : (route == "/" ? "no-cache" : "no-store"));
  }
}

TEST_F(Connection, ASecondServerDoesNotShareThePort) {
  const TemporaryFolder folder;
  ServerOptions options;
  options.ledger = folder / "other.fettle";
  options.port = server.port();
  EXPECT_THROW(Server{options}, PortTaken);
}

TEST(ServerEnd, ComesEvenWhenItIsAskedForBeforeTheBeginning) {
  const TemporaryFolder folder;
  ServerOptions options;
  options.ledger = folder / "shop.fettle";
  options.port = 0;
  Server server(options);
  server.stop();
  EXPECT_TRUE(server.run());
}

TEST(ServerEnd, FinishesTheRequestInHand) {
  const TemporaryFolder folder;
  ServerOptions options;
  options.ledger = folder / "shop.fettle";
  options.port = 0;
  Server server(options);
  std::thread runner([&] { EXPECT_TRUE(server.run()); });
  const std::string body = json{{"document", build::small_document()}}.dump();
  RawConnection connection(server.port());
  connection.send(fmt::format("POST /api/engines HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nContent-Type: application/json\r\nContent-Length: {}\r\n\r\n", server.port(), body.size()));
  std::this_thread::sleep_for(200ms);
  server.stop();
  std::this_thread::sleep_for(100ms);
  connection.send(body);
  EXPECT_EQ(connection.answer().status, 201);
  runner.join();
}

}  // namespace
}  // namespace fettle::serve
