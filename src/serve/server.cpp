#include "serve/server.h"

#include <atomic>
#include <thread>

#include <fmt/format.h>

#include "serve/http_server.h"
#include "serve/pull_json.h"

namespace fettle::serve {
namespace {

/// Works out the verdicts of every engine once, so that the list has them at hand.
void work_out_all(Shop& shop, const std::atomic<bool>& ending) {
  try {
    for (const ledger::EngineSummary& summary : shop.ledger().engines()) {
      const auto view = ending || summary.archived ? std::nullopt : shop.ledger().engine(summary.id);
      if (view && !shop.proofs().counts(summary.id, view->summary.version)) {
        static_cast<void>(shop.proofs().of(summary.id, view->summary.version, view->document));
      }
    }
  } catch (const std::exception&) {
    // Whoever asks for the engine is told what is wrong with it.
  }
}

}  // namespace

struct Server::Inside {
  explicit Inside(const ServerOptions& options)
      : shop(options.ledger, options.pulls),
        hub(shop.ledger(), options.hub),
        http(shop, hub, options.bounds, options.workers) {
    shop.on_entry = [this] { hub.wake(); };
    shop.pulls().on_news = [this](const PullStanding& standing) {
      hub.announce("pull", news_json(standing));
    };
  }
  ~Inside() { shop.pulls().end(); }  // before the hub that it tells
  Inside(const Inside&) = delete;
  Inside& operator=(const Inside&) = delete;
  Shop shop;
  EventHub hub;
  HttpServer http;
  std::atomic<bool> ending = false;
};

Server::Server(const ServerOptions& options) : inside_(std::make_unique<Inside>(options)) {
  const auto port = inside_->http.bind(options.port);
  if (!port) {
    throw PortTaken(
        fmt::format("port {} of 127.0.0.1 cannot be had; another program may hold it: stop that one, or give "
                    "another with --port (0 takes any that is free)",
                    options.port));
  }
  port_ = *port;
}

Server::~Server() = default;

std::string Server::address() const {
  return fmt::format("http://127.0.0.1:{}/", port_);
}

Shop& Server::shop() {
  return inside_->shop;
}

bool Server::run() {
  std::thread first_look([this] { work_out_all(inside_->shop, inside_->ending); });
  const bool asked = inside_->http.serve();
  inside_->ending = true;
  first_look.join();
  return asked;
}

void Server::stop() {
  inside_->ending = true;
  inside_->http.end();
}

}  // namespace fettle::serve
