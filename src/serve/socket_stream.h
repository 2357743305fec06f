#pragma once

#include <array>
#include <atomic>
#include <chrono>
#include <cstddef>
#include <string>
#include <string_view>

#include <httplib.h>

#include "serve/bounds.h"

namespace fettle::serve {

/// One accepted connection as the HTTP library reads and writes it. Counts what a request takes and ends it
/// when it takes too much; takes from the socket's data exactly what was asked for, so that it knows whether
/// a body was read.
class SocketStream final : public httplib::Stream {
 public:
  SocketStream(int socket, const RequestBounds& bounds) : socket_(socket), bounds_(bounds) {}

  /// Waits for the first byte of a request.
  /// @param give_up looked at several times a second
  /// @returns whether there is one
  template <class GiveUp>
  bool wait_for_request(const GiveUp& give_up) {
    const auto until = Clock::now() + bounds_.idle;
    while (next_ == filled_) {
      if (give_up() || Clock::now() >= until) {
        return false;
      }
      if (wait(poll_in, slice) > 0) {
        return true;
      }
    }
    return true;
  }

  void begin_request();
  /// The headers are in; `body_bytes` are still to come.
  void head_is_read(std::size_t body_bytes);
  /// Whether the request said more than it may before its headers ended.
  [[nodiscard]] bool head_too_large() const { return head_too_large_; }
  [[nodiscard]] bool timed_out() const { return timed_out_; }
  /// Whether the next byte on the connection begins a new request.
  [[nodiscard]] bool request_is_whole() const { return in_body_ && taken_ == expected_; }

  bool is_readable() const override;
  bool is_writable() const override;
  ssize_t read(char* data, size_t size) override;
  ssize_t write(const char* data, size_t size) override;
  void get_remote_ip_and_port(std::string& ip, int& port) const override;
  void get_local_ip_and_port(std::string& ip, int& port) const override;
  socket_t socket() const override { return socket_; }

  /// Writes past all bounds but the time: for the answer to a request that broke them.
  bool write_all(std::string_view bytes);
  /// Says that nothing more will come, and takes in what the other end still sends, so that it can read the
  /// answer.
  void close_gently();

 private:
  using Clock = std::chrono::steady_clock;
  static constexpr short poll_in = 1;   // POLLIN
  static constexpr short poll_out = 4;  // POLLOUT
  static constexpr std::chrono::milliseconds slice{100};

  int wait(short what, std::chrono::milliseconds time) const;
  bool fill();

  int socket_;
  RequestBounds bounds_;
  Clock::time_point deadline_;
  bool in_body_ = false;
  bool head_too_large_ = false;
  bool timed_out_ = false;
  std::size_t taken_ = 0;     // of the head, then of the body
  std::size_t expected_ = 0;  // of the body
  std::array<char, 16384> buffer_{};
  std::size_t next_ = 0;
  std::size_t filled_ = 0;
};

}  // namespace fettle::serve
