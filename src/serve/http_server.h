#pragma once

#include <atomic>
#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <thread>
#include <vector>

#include <httplib.h>

#include "serve/event_hub.h"
#include "serve/shop.h"
#include "serve/socket_stream.h"

namespace fettle::serve {

/// Threads that handle connections, and a queue of those waiting that is never longer than `most`.
class WorkerQueue final : public httplib::TaskQueue {
 public:
  WorkerQueue(std::size_t workers, std::size_t most, std::atomic<std::size_t>& waiting);
  void enqueue(std::function<void()> task) override;
  void shutdown() override;

 private:
  void work();

  std::size_t most_;
  std::atomic<std::size_t>& waiting_;
  std::mutex mutex_;
  std::condition_variable changed_;
  std::deque<std::function<void()>> tasks_;
  bool ending_ = false;
  std::vector<std::thread> threads_;
};

/// The library's server with what it leaves open closed: heads, bodies, times and queues are bounded, foreign
/// hosts and origins are refused before anything is read, listeners to events are handed to the hub.
class HttpServer final : public httplib::Server {
 public:
  HttpServer(Shop& shop, EventHub& hub, const RequestBounds& bounds, std::size_t workers);

  /// @param port 0: any that is free
  /// @returns the port bound, or nothing when it is taken
  std::optional<int> bind(int port);
  /// Serves until stop(). @returns false when it ended by itself
  bool serve();
  void end();

 private:
  struct HandOver;
  struct Refusal;

  bool process_and_close_socket(socket_t socket) override;
  bool one_request(SocketStream& stream, bool& handed_over);
  void admit(httplib::Request& request, SocketStream& stream) const;
  void demand_own_page(const httplib::Request& request) const;
  void answer(const httplib::Request& request, httplib::Response& response);

  Shop& shop_;
  EventHub& hub_;
  RequestBounds bounds_;
  int port_ = 0;
  std::atomic<bool> ending_ = false;
  std::atomic<std::size_t> waiting_ = 0;
};

}  // namespace fettle::serve
