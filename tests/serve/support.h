#pragma once

#include <arpa/inet.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#include <chrono>
#include <map>
#include <optional>
#include <string>
#include <thread>

#include <gtest/gtest.h>
#include <httplib.h>
#include <nlohmann/json.hpp>

#include "build/small_build.h"
#include "ledger/support.h"
#include "serve/server.h"

namespace fettle::serve::testing {

using ledger::testing::TemporaryFolder;
using nlohmann::json;

/// A server on a port of its own, in this process, with a fresh ledger.
class RunningServer {
 public:
  explicit RunningServer(ServerOptions options = {}) : server_(prepared(options, folder_)) {
    thread_ = std::thread([this] { ended_as_asked_ = server_.run(); });
  }
  ~RunningServer() {
    server_.stop();
    thread_.join();
    EXPECT_TRUE(ended_as_asked_);
  }
  RunningServer(const RunningServer&) = delete;
  RunningServer& operator=(const RunningServer&) = delete;

  [[nodiscard]] int port() const { return server_.port(); }
  [[nodiscard]] std::filesystem::path file() const { return folder_ / "shop.fettle"; }

 private:
  static ServerOptions prepared(ServerOptions options, const TemporaryFolder& folder) {
    options.port = 0;
    options.ledger = folder / "shop.fettle";
    return options;
  }
  TemporaryFolder folder_;
  Server server_;
  std::thread thread_;
  bool ended_as_asked_ = false;
};

struct Got {
  int status = 0;
  json body;
  httplib::Headers headers;
};

inline Got got(const httplib::Result& result) {
  if (!result) {
    ADD_FAILURE() << "no answer: " << to_string(result.error());
    return {};
  }
  return {result->status, json::parse(result->body, nullptr, false), result->headers};
}

/// What a page does, without a page.
class Page {
 public:
  explicit Page(int port) : client_("127.0.0.1", port) {
    client_.set_keep_alive(true);
    client_.set_read_timeout(30);
  }
  Got get(const std::string& path) { return got(client_.Get(path)); }
  Got post(const std::string& path, const json& body) { return got(client_.Post(path, body.dump(), "application/json")); }
  httplib::Client& client() { return client_; }

  /// A fresh engine. @returns id and version
  std::pair<std::string, std::int64_t> make(const json& document = build::small_document()) {
    const Got made = post("/api/engines", {{"document", document}, {"by", "Ada"}, {"device", "phone"}});
    EXPECT_EQ(made.status, 201) << made.body.dump();
    return {made.body.value("id", ""), made.body.value("version", std::int64_t{0})};
  }
  Got change(const std::string& id, std::int64_t base, const json& operations, const json& more = json::object()) {
    json body{{"base", base}, {"by", "Ada"}, {"device", "phone"}, {"operations", operations}};
    body.update(more);
    return post("/api/engines/" + id + "/changes", body);
  }

 private:
  httplib::Client client_;
};

inline json set(const std::string& path, const json& value) { return json::array({{{"path", path}, {"value", value}}}); }

/// An error in the form of docs/api.md.
inline void expect_error(const Got& answer, int status, const std::string& code) {
  EXPECT_EQ(answer.status, status) << answer.body.dump();
  ASSERT_TRUE(answer.body.is_object() && answer.body.contains("error")) << answer.body.dump();
  EXPECT_EQ(answer.body["error"].value("code", ""), code) << answer.body.dump();
  EXPECT_FALSE(answer.body["error"].value("says", "").empty());
}

/// Bytes sent as they are, and what came back until the server closed or nothing more came.
class RawConnection {
 public:
  explicit RawConnection(int port) : socket_(::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)) {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_port = htons(static_cast<std::uint16_t>(port));
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    EXPECT_EQ(::connect(socket_, reinterpret_cast<sockaddr*>(&address), sizeof address), 0);
  }
  ~RawConnection() { close(); }
  RawConnection(const RawConnection&) = delete;
  RawConnection& operator=(const RawConnection&) = delete;

  void close() {
    if (socket_ >= 0) {
      ::close(socket_);
      socket_ = -1;
    }
  }
  /// @returns whether all of it went out
  bool send(std::string_view bytes) const {
    while (!bytes.empty()) {
      const ssize_t sent = ::send(socket_, bytes.data(), bytes.size(), MSG_NOSIGNAL);
      if (sent <= 0) {
        return false;
      }
      bytes.remove_prefix(static_cast<std::size_t>(sent));
    }
    return true;
  }
  void end_sending() const { ::shutdown(socket_, SHUT_WR); }

  /// Reads until `wanted` has come, the server closes, or the time is over.
  const std::string& read_until(const std::string& wanted, std::chrono::milliseconds time = std::chrono::seconds(20)) {
    const auto until = std::chrono::steady_clock::now() + time;
    while (wanted.empty() || text_.find(wanted) == std::string::npos) {
      const auto left = std::chrono::duration_cast<std::chrono::microseconds>(until - std::chrono::steady_clock::now());
      if (left.count() <= 0) {
        break;
      }
      timeval wait{left.count() / 1000000, left.count() % 1000000};
      ::setsockopt(socket_, SOL_SOCKET, SO_RCVTIMEO, &wait, sizeof wait);
      char block[4096];
      const ssize_t count = ::recv(socket_, static_cast<char*>(block), sizeof block, 0);
      if (count <= 0) {
        closed_ = count == 0;
        break;
      }
      text_.append(static_cast<char*>(block), static_cast<std::size_t>(count));
    }
    return text_;
  }
  [[nodiscard]] bool closed() const { return closed_; }

  /// The whole answer of a server that closes after it, parted.
  Got answer() {
    const std::string text = read_until("");
    Got answer;
    if (text.size() > 12 && text.starts_with("HTTP/1.1 ")) {
      answer.status = std::stoi(text.substr(9, 3));
    }
    const auto head = text.find("\r\n\r\n");
    if (head != std::string::npos) {
      answer.body = json::parse(text.substr(head + 4), nullptr, false);
    }
    EXPECT_NE(text.find("Content-Security-Policy: default-src 'none'"), std::string::npos) << text.substr(0, 400);
    return answer;
  }

 private:
  int socket_;
  bool closed_ = false;
  std::string text_;
};

}  // namespace fettle::serve::testing
