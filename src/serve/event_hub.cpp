#include "serve/event_hub.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <system_error>

#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include "serve/answer.h"

namespace fettle::serve {
namespace {

constexpr int entries_at_once = 200;
/// What may lie unread for a client, or in all; more of what passes by anyhow is dropped.
constexpr std::size_t most_announced = std::size_t{64} << 10;

std::string opening_words() {
  std::string head =
      "HTTP/1.1 200 OK\r\nContent-Type: text/event-stream\r\nCache-Control: no-store\r\nConnection: "
      "close\r\n";
  for (const auto& [name, value] : security_headers()) {
    head += fmt::format("{}: {}\r\n", name, value);
  }
  // A browser whose connection breaks tries again after two seconds.
  return head + "\r\nretry: 2000\n: listening\n\n";
}

std::string event_text(const ledger::Entry& entry) {
  const nlohmann::ordered_json data{{"engine", entry.engine}, {"version", entry.number},
                                    {"entry", entry.number},  {"kind", to_text(entry.kind)},
                                    {"by", entry.by},         {"device", entry.device}};
  return fmt::format("id: {}\nevent: changed\ndata: {}\n\n", entry.number, data.dump());
}

}  // namespace

EventHub::EventHub(const ledger::Ledger& ledger, const HubOptions& options)
    : ledger_(ledger), options_(options) {
  if (::pipe2(static_cast<int*>(wake_ends_), O_NONBLOCK | O_CLOEXEC) != 0) {
    throw std::system_error(errno, std::generic_category(), "EventHub: no pipe");
  }
  latest_ = ledger_.latest_entry();
  thread_ = std::thread([this] { run(); });
}

EventHub::~EventHub() {
  ending_ = true;
  wake();
  thread_.join();
  for (const Client& client : clients_) {
    ::close(client.socket);
  }
  for (const Client& client : arrivals_) {
    ::close(client.socket);
  }
  ::close(wake_ends_[0]);
  ::close(wake_ends_[1]);
}

bool EventHub::adopt(int socket, std::optional<ledger::EntryNumber> seen) {
  const std::lock_guard lock(mutex_);
  if (ending_ || count_ >= options_.most_clients) {
    return false;
  }
  ++count_;
  arrivals_.push_back({socket, seen.value_or(-1), opening_words(), Clock::now(), Clock::now()});
  wake();
  return true;
}

void EventHub::announce(std::string_view event, const nlohmann::ordered_json& data) {
  {
    const std::lock_guard lock(mutex_);
    if (announced_.size() < most_announced) {
      announced_ += fmt::format("event: {}\ndata: {}\n\n", event,
                                data.dump(-1, ' ', false, nlohmann::ordered_json::error_handler_t::replace));
    }
  }
  wake();
}

void EventHub::wake() {
  const char byte = 0;
  // A pipe that is full wakes as well as one with one byte more.
  static_cast<void>(!::write(wake_ends_[1], &byte, 1));
}

void EventHub::take_in_new_ones() {
  const std::lock_guard lock(mutex_);
  for (Client& client : arrivals_) {
    // Without a number they begin with what comes next; a number from another ledger is as good as none.
    client.seen = client.seen < 0 ? latest_ : std::min(client.seen, latest_);
    clients_.push_back(std::move(client));
  }
  arrivals_.clear();
}

void EventHub::tell_news() {
  try {
    latest_ = ledger_.latest_entry();
    ledger::EntryNumber page_after = -1;
    std::string page;
    ledger::EntryNumber page_last = -1;
    for (Client& client : clients_) {
      if (!client.unsent.empty() || client.seen >= latest_) {
        continue;
      }
      if (client.seen != page_after) {  // most of them stand at the same entry
        page.clear();
        page_after = client.seen;
        page_last = client.seen;
        for (const ledger::Entry& entry : ledger_.entries_after(client.seen, entries_at_once)) {
          page += event_text(entry);
          page_last = entry.number;
        }
      }
      client.unsent = page;
      client.seen = page_last;
      client.spoken = Clock::now();
    }
  } catch (const ledger::LedgerError&) {
    // The ledger cannot be read just now; whoever asks it for something is told. The next look may succeed.
  }
}

void EventHub::spread_announcements() {
  std::string announced;
  {
    const std::lock_guard lock(mutex_);
    announced.swap(announced_);
  }
  if (announced.empty()) {
    return;
  }
  for (Client& client : clients_) {
    if (client.unsent.size() < most_announced) {
      client.unsent += announced;
      client.spoken = Clock::now();
    }
  }
}

/// Sends what there is to send. @returns whether the client is still there
bool EventHub::serve(Client& client, short events) const {
  if ((events & (POLLERR | POLLHUP | POLLNVAL)) != 0) {
    return false;
  }
  if ((events & POLLIN) != 0) {
    std::array<char, 256> ignored{};
    const ssize_t got = ::recv(client.socket, ignored.data(), ignored.size(), MSG_DONTWAIT);
    if (got == 0 || (got < 0 && errno != EAGAIN && errno != EINTR)) {
      return false;
    }
  }
  const auto now = Clock::now();
  if (client.unsent.empty() && now - client.spoken >= options_.heartbeat) {
    client.unsent = ":\n\n";
    client.spoken = now;
  }
  if (client.unsent.empty()) {
    client.progress = now;
    return true;
  }
  const ssize_t sent =
      ::send(client.socket, client.unsent.data(), client.unsent.size(), MSG_NOSIGNAL | MSG_DONTWAIT);
  if (sent > 0) {
    client.unsent.erase(0, static_cast<std::size_t>(sent));
    client.progress = now;
  } else if (sent < 0 && errno != EAGAIN && errno != EINTR) {
    return false;
  }
  return now - client.progress < options_.patience;
}

void EventHub::wait_for_something() {
  std::vector<pollfd> watched{{wake_ends_[0], POLLIN, 0}};
  for (const Client& client : clients_) {
    watched.push_back(
        {client.socket, static_cast<short>(client.unsent.empty() ? POLLIN : POLLIN | POLLOUT), 0});
  }
  const auto time = std::min(options_.look, options_.heartbeat / 2);
  if (::poll(watched.data(), watched.size(), static_cast<int>(time.count())) < 0 && errno != EINTR) {
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  std::array<char, 256> ignored{};
  while (::read(wake_ends_[0], ignored.data(), ignored.size()) > 0) {
  }
  auto place = watched.begin() + 1;
  for (auto client = clients_.begin(); client != clients_.end(); ++place) {
    if (serve(*client, place->revents)) {
      ++client;
    } else {
      ::close(client->socket);
      client = clients_.erase(client);
      --count_;
    }
  }
}

void EventHub::run() {
  while (!ending_) {
    take_in_new_ones();
    tell_news();
    spread_announcements();
    for (Client& client : clients_) {
      static_cast<void>(serve(client, 0));  // one that has gone is seen by the next poll
    }
    wait_for_something();
  }
}

}  // namespace fettle::serve
