#pragma once

#include <atomic>
#include <chrono>
#include <functional>
#include <list>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

#include <nlohmann/json.hpp>

#include "ledger/ledger.h"

namespace fettle::serve {

struct HubOptions {
  std::size_t most_clients = 256;
  std::chrono::milliseconds heartbeat{15000};
  std::chrono::milliseconds look{1000};       ///< how often it looks for entries made by other programs
  std::chrono::milliseconds patience{30000};  ///< how long a client may leave what was sent unread
};

/// Tells everyone who listens (server-sent events) of every entry of the ledger. One thread holds all the
/// connections, so that listeners take no worker from those who ask.
class EventHub {
 public:
  /// `ledger` outlives the hub.
  explicit EventHub(const ledger::Ledger& ledger, const HubOptions& options = {});
  ~EventHub();
  EventHub(const EventHub&) = delete;
  EventHub& operator=(const EventHub&) = delete;

  /// Takes over a connected socket and closes it in the end. Entries after `seen` are sent first, where it is
  /// given.
  /// @returns false, with the socket left alone, when there are too many listeners or the hub is ending
  bool adopt(int socket, std::optional<ledger::EntryNumber> seen);

  /// Tells all who listen now of something that is no entry: it carries no `id` and is not told again to
  /// those who missed it. May be called from any thread.
  void announce(std::string_view event, const nlohmann::ordered_json& data);

  /// Looks at the ledger at once. May be called from any thread.
  void wake();

  [[nodiscard]] std::size_t clients() const { return count_; }

 private:
  using Clock = std::chrono::steady_clock;
  struct Client {
    int socket;
    ledger::EntryNumber seen;
    std::string unsent;
    Clock::time_point spoken;    // when something was last put into `unsent`
    Clock::time_point progress;  // when the socket last took something, or had nothing to take
  };

  void run();
  void take_in_new_ones();
  void tell_news();
  void spread_announcements();
  bool serve(Client& client, short events) const;
  void wait_for_something();

  const ledger::Ledger& ledger_;
  HubOptions options_;
  int wake_ends_[2] = {-1, -1};
  std::atomic<bool> ending_ = false;
  std::atomic<std::size_t> count_ = 0;
  std::mutex mutex_;
  std::vector<Client> arrivals_;
  std::string announced_;
  std::list<Client> clients_;  // of the hub's own thread
  ledger::EntryNumber latest_ = 0;
  std::thread thread_;
};

}  // namespace fettle::serve
