#include "serve/socket_stream.h"

#include <algorithm>
#include <cerrno>
#include <cstring>

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>

namespace fettle::serve {
namespace {

static_assert(POLLIN == 1 && POLLOUT == 4);

using Asks = int (*)(int, sockaddr*, socklen_t*);

void name_end(Asks ask, int socket, std::string& ip, int& port) {
  sockaddr_in address{};
  socklen_t length = sizeof address;
  std::array<char, INET_ADDRSTRLEN> text{};
  // The sockets interface is made of casts between the kinds of address.
  auto* general =
      reinterpret_cast<sockaddr*>(&address);  // NOLINT(cppcoreguidelines-pro-type-reinterpret-cast)
  if (ask(socket, general, &length) == 0 && address.sin_family == AF_INET &&
      inet_ntop(AF_INET, &address.sin_addr, text.data(), text.size()) != nullptr) {
    ip = text.data();
    port = ntohs(address.sin_port);
  }
}

}  // namespace

int SocketStream::wait(short what, std::chrono::milliseconds time) const {
  pollfd one{socket_, what, 0};
  int ready = 0;
  do {
    ready = ::poll(&one, 1, static_cast<int>(std::max<std::int64_t>(0, time.count())));
  } while (ready < 0 && errno == EINTR);
  return ready;
}

void SocketStream::begin_request() {
  deadline_ = Clock::now() + bounds_.head_time;
  in_body_ = false;
  taken_ = 0;
  expected_ = 0;
}

void SocketStream::head_is_read(std::size_t body_bytes) {
  deadline_ = Clock::now() + bounds_.body_time;
  in_body_ = true;
  taken_ = 0;
  expected_ = body_bytes;
}

bool SocketStream::fill() {
  const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(deadline_ - Clock::now());
  if (left.count() <= 0 || wait(POLLIN, left) <= 0) {
    timed_out_ = true;
    return false;
  }
  ssize_t got = 0;
  do {
    got = ::recv(socket_, buffer_.data(), buffer_.size(), 0);
  } while (got < 0 && errno == EINTR);
  next_ = 0;
  filled_ = got > 0 ? static_cast<std::size_t>(got) : 0;
  return got > 0;
}

ssize_t SocketStream::read(char* data, size_t size) {
  const std::size_t allowed = in_body_ ? expected_ : bounds_.head_bytes;
  if (taken_ >= allowed) {
    head_too_large_ = head_too_large_ || !in_body_;
    return -1;
  }
  if (next_ == filled_ && !fill()) {
    return -1;
  }
  const std::size_t count = std::min({size, filled_ - next_, allowed - taken_});
  std::memcpy(data, buffer_.data() + next_, count);
  next_ += count;
  taken_ += count;
  return static_cast<ssize_t>(count);
}

ssize_t SocketStream::write(const char* data, size_t size) {
  if (head_too_large_ || timed_out_) {
    return static_cast<ssize_t>(size);  // the library's own answer; ours says more
  }
  return write_all({data, size}) ? static_cast<ssize_t>(size) : -1;
}

bool SocketStream::write_all(std::string_view bytes) {
  const auto until = Clock::now() + bounds_.write_time;
  while (!bytes.empty()) {
    const auto left = std::chrono::duration_cast<std::chrono::milliseconds>(until - Clock::now());
    if (left.count() <= 0 || wait(POLLOUT, left) <= 0) {
      return false;
    }
    const ssize_t sent = ::send(socket_, bytes.data(), bytes.size(), MSG_NOSIGNAL | MSG_DONTWAIT);
    if (sent > 0) {
      bytes.remove_prefix(static_cast<std::size_t>(sent));
    } else if (sent < 0 && errno != EINTR && errno != EAGAIN) {
      return false;
    }
  }
  return true;
}

void SocketStream::close_gently() {
  ::shutdown(socket_, SHUT_WR);
  const auto until = Clock::now() + std::chrono::seconds(1);
  std::size_t most = std::size_t{8} << 20;
  while (most > 0 && Clock::now() < until && wait(POLLIN, slice) > 0) {
    const ssize_t got = ::recv(socket_, buffer_.data(), buffer_.size(), MSG_DONTWAIT);
    if (got <= 0) {
      break;
    }
    most -= std::min(most, static_cast<std::size_t>(got));
  }
}

bool SocketStream::is_readable() const {
  return next_ < filled_ || wait(POLLIN, slice) > 0;
}
bool SocketStream::is_writable() const {
  return wait(POLLOUT, bounds_.write_time) > 0;
}

void SocketStream::get_remote_ip_and_port(std::string& ip, int& port) const {
  name_end(::getpeername, socket_, ip, port);
}
void SocketStream::get_local_ip_and_port(std::string& ip, int& port) const {
  name_end(::getsockname, socket_, ip, port);
}

}  // namespace fettle::serve
