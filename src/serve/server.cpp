#include "serve/server.h"

#include <fmt/format.h>

#include "serve/http_server.h"

namespace fettle::serve {

struct Server::Inside {
  explicit Inside(const ServerOptions& options)
      : shop(options.ledger), hub(shop.ledger(), options.hub), http(shop, hub, options.bounds, options.workers) {
    shop.on_entry = [this] { hub.wake(); };
  }
  Shop shop;
  EventHub hub;
  HttpServer http;
};

Server::Server(const ServerOptions& options) : inside_(std::make_unique<Inside>(options)) {
  const auto port = inside_->http.bind(options.port);
  if (!port) {
    throw PortTaken(fmt::format("port {} of 127.0.0.1 cannot be had; another program may hold it: stop that one, or give "
                                "another with --port (0 takes any that is free)", options.port));
  }
  port_ = *port;
}

Server::~Server() = default;

std::string Server::address() const { return fmt::format("http://127.0.0.1:{}/", port_); }

Shop& Server::shop() { return inside_->shop; }

bool Server::run() { return inside_->http.serve(); }

void Server::stop() { inside_->http.end(); }

}  // namespace fettle::serve
