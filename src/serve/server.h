#pragma once

#include <filesystem>
#include <memory>
#include <stdexcept>
#include <string>

#include "serve/bounds.h"
#include "serve/event_hub.h"
#include "serve/shop.h"

namespace fettle::serve {

inline constexpr int default_port = 8730;

struct ServerOptions {
  std::filesystem::path ledger;  ///< made when there is none; its folder must exist
  int port = default_port;       ///< 0: any that is free
  std::size_t workers = 24;
  RequestBounds bounds;
  HubOptions hub;
  PullBounds pulls;
};

/// The port cannot be had.
class PortTaken : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// The page and its interface (docs/api.md) on this machine's loopback address.
class Server {
 public:
  /// Opens the ledger and binds the port; answers nobody yet.
  /// @throws ledger::LedgerError, PortTaken
  explicit Server(const ServerOptions& options);
  ~Server();
  Server(const Server&) = delete;
  Server& operator=(const Server&) = delete;

  [[nodiscard]] int port() const { return port_; }
  [[nodiscard]] std::string address() const;  ///< "http://127.0.0.1:8730/"
  Shop& shop();

  /// Answers until stop() is called; requests in hand are finished first.
  /// @returns false when the system ended it
  bool run();
  /// May be called from any thread, before run() too.
  void stop();

 private:
  struct Inside;
  std::unique_ptr<Inside> inside_;
  int port_ = 0;
};

}  // namespace fettle::serve
