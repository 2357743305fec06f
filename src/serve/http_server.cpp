#include "serve/http_server.h"

#include <algorithm>
#include <charconv>

#include <fmt/format.h>
#include <sys/socket.h>
#include <unistd.h>

#include "serve/assets.h"

namespace fettle::serve {
namespace {

constexpr std::size_t longest_path = 2000;

std::string wire(const Answer& answer) {
  std::string text =
      fmt::format("HTTP/1.1 {} \r\nContent-Type: {}\r\nContent-Length: {}\r\nConnection: close\r\n",
                  answer.status, answer.type, answer.body.size());
  for (const auto& [name, value] : all_headers(answer)) {
    text += fmt::format("{}: {}\r\n", name, value);
  }
  return text + "\r\n" + answer.body;
}

std::optional<std::int64_t> number(const std::string& text) {
  std::int64_t value = 0;
  const char* end = text.data() + text.size();
  const auto read = std::from_chars(text.data(), end, value);
  const bool whole = read.ec == std::errc() && read.ptr == end && value >= 0;
  return whole ? std::optional(value) : std::nullopt;
}

/// "application/json", with or without "; charset=utf-8".
bool is_json(std::string type) {
  type = type.substr(0, type.find(';'));
  type.erase(type.find_last_not_of(" \t") + 1);
  std::transform(type.begin(), type.end(), type.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
  return type == json_type;
}

bool only_reads(const std::string& method) {
  return method == "GET" || method == "HEAD" || method == "OPTIONS";
}

}  // namespace

/// Thrown while a request's head is looked at, so that the library does not go on with it.
struct HttpServer::HandOver {
  std::optional<std::int64_t> seen;
};
struct HttpServer::Refusal {
  Answer answer;
};

WorkerQueue::WorkerQueue(std::size_t workers, std::size_t most, std::atomic<std::size_t>& waiting)
    : most_(most), waiting_(waiting) {
  for (std::size_t i = 0; i < workers; ++i) {
    threads_.emplace_back([this] { work(); });
  }
}

void WorkerQueue::enqueue(std::function<void()> task) {
  std::unique_lock lock(mutex_);
  // Whoever accepts connections waits too when there are too many; the system then keeps the callers.
  changed_.wait(lock, [this] { return tasks_.size() < most_ || ending_; });
  tasks_.push_back(std::move(task));
  waiting_ = tasks_.size();
  changed_.notify_all();
}

void WorkerQueue::shutdown() {
  {
    const std::lock_guard lock(mutex_);
    ending_ = true;
  }
  changed_.notify_all();
  for (std::thread& thread : threads_) {
    thread.join();
  }
}

void WorkerQueue::work() {
  for (;;) {
    std::function<void()> task;
    {
      std::unique_lock lock(mutex_);
      changed_.wait(lock, [this] { return !tasks_.empty() || ending_; });
      if (tasks_.empty()) {
        return;
      }
      task = std::move(tasks_.front());
      tasks_.pop_front();
      waiting_ = tasks_.size();
    }
    changed_.notify_all();
    task();
  }
}

HttpServer::HttpServer(Shop& shop, EventHub& hub, const RequestBounds& bounds, std::size_t workers)
    : shop_(shop), hub_(hub), bounds_(bounds) {
  constexpr std::size_t most_waiting = 256;
  new_task_queue = [this, workers] { return new WorkerQueue(workers, most_waiting, waiting_); };
  set_keep_alive_timeout(bounds.idle.count() / 1000);
  set_keep_alive_max_count(1000);
  set_payload_max_length(bounds.body_bytes);
  set_tcp_nodelay(true);
  // Not the library's choice, SO_REUSEPORT: under that a second server takes half of the first one's callers.
  set_socket_options([](socket_t socket) {
    const int yes = 1;
    ::setsockopt(socket, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes);
  });
  httplib::Headers headers;
  for (const auto& [name, value] : security_headers()) {
    headers.emplace(name, value);
  }
  set_default_headers(headers);
  const auto handler = [this](const httplib::Request& request, httplib::Response& response) {
    answer(request, response);
  };
  Get(".*", handler)
      .Post(".*", handler)
      .Put(".*", handler)
      .Patch(".*", handler)
      .Delete(".*", handler)
      .Options(".*", handler);
  set_error_handler(
      httplib::Server::Handler([](const httplib::Request& /*request*/, httplib::Response& response) {
        if (response.body.empty()) {  // the library's own refusal
          const Answer said =
              error_answer(response.status, "bad_request", "This is no request this server understands.");
          response.set_content(said.body, said.type);
          response.set_header("Cache-Control", "no-store");
        }
      }));
}

std::optional<int> HttpServer::bind(int port) {
  const char* loopback = "127.0.0.1";
  if (port == 0) {
    port_ = bind_to_any_port(loopback);
  } else {
    port_ = bind_to_port(loopback, port) ? port : -1;
  }
  if (port_ <= 0) {
    return std::nullopt;
  }
  ::listen(svr_sock_, SOMAXCONN);  // the library lets five callers wait; a page alone makes six
  return port_;
}

bool HttpServer::serve() {
  return listen_after_bind() || ending_;
}

void HttpServer::end() {
  ending_ = true;
  // Not stop(): before the library has begun to listen that does nothing, and the server would never end.
  const socket_t listener = svr_sock_.exchange(INVALID_SOCKET);
  if (listener != INVALID_SOCKET) {
    ::shutdown(listener, SHUT_RDWR);
    ::close(listener);
  }
}

bool HttpServer::process_and_close_socket(socket_t socket) {
  SocketStream stream(socket, bounds_);
  bool handed_over = false;
  // A connection at rest gives way to one that waits for a worker.
  const auto give_up = [this] { return ending_ || waiting_ > 0; };
  bool first = true;
  while ((first && stream.wait_for_request([this] { return ending_.load(); })) ||
         (!first && stream.wait_for_request(give_up))) {
    first = false;
    if (!one_request(stream, handed_over)) {
      break;
    }
  }
  if (!handed_over) {
    stream.close_gently();
    ::close(socket);
  }
  return true;
}

/// @returns whether another request may follow on the connection
bool HttpServer::one_request(SocketStream& stream, bool& handed_over) {
  bool asked_to_close = false;
  const bool last = ending_;
  stream.begin_request();
  try {
    const bool well = process_request(stream, last, asked_to_close,
                                      [&](httplib::Request& request) { admit(request, stream); });
    if (stream.head_too_large()) {
      stream.write_all(wire(error_answer(
          431, "too_large",
          fmt::format("Request line and headers have at most {} kB.", bounds_.head_bytes >> 10))));
    } else if (stream.timed_out()) {
      stream.write_all(wire(error_answer(408, "too_slow", "The request did not arrive in time.")));
    }
    return well && !last && !asked_to_close && stream.request_is_whole();
  } catch (const Refusal& refusal) {
    stream.write_all(wire(refusal.answer));
  } catch (const HandOver& listener) {
    handed_over = hub_.adopt(stream.socket(), listener.seen);
    if (!handed_over) {
      stream.write_all(wire(
          error_answer(503, "too_many", "Too many pages listen already. Close some, or try again later.")));
    }
  } catch (const std::exception&) {
    stream.write_all(wire(error_answer(500, "failed", "The request could not be handled.")));
  }
  return false;
}

void HttpServer::demand_own_page(const httplib::Request& request) const {
  const auto refuse = [](std::string_view says) { throw Refusal{error_answer(403, "forbidden", says)}; };
  // A name that merely leads here (DNS rebinding) is not the address served.
  const std::string host = request.get_header_value("Host");
  if (request.get_header_value_count("Host") != 1 ||
      (host != fmt::format("127.0.0.1:{}", port_) && host != fmt::format("localhost:{}", port_))) {
    refuse(
        fmt::format("This server answers to http://127.0.0.1:{0}/ and http://localhost:{0}/ only.", port_));
  }
  if (only_reads(request.method)) {
    return;
  }
  if (request.has_header("Origin") && request.get_header_value("Origin") != "http://" + host) {
    refuse("A page of another site asked for this change.");
  }
  if (request.get_header_value_count("Content-Type") != 1 ||
      !is_json(request.get_header_value("Content-Type"))) {
    throw Refusal{error_answer(415, "wrong_type", "A change comes as Content-Type: application/json.")};
  }
  if (request.has_header("Content-Encoding")) {
    throw Refusal{error_answer(415, "wrong_type", "A body comes as it is, without Content-Encoding.")};
  }
}

void HttpServer::admit(httplib::Request& request, SocketStream& stream) const {
  demand_own_page(request);
  if (request.target.size() > longest_path) {
    throw Refusal{
        error_answer(414, "too_large", fmt::format("An address has at most {} letters.", longest_path))};
  }
  if (request.has_header("Transfer-Encoding") ||
      (!only_reads(request.method) && !request.has_header("Content-Length"))) {
    throw Refusal{error_answer(411, "length_required", "A body comes with its Content-Length.")};
  }
  std::int64_t length = 0;
  if (request.has_header("Content-Length")) {
    const auto given = number(request.get_header_value("Content-Length"));
    if (!given || request.get_header_value_count("Content-Length") != 1) {
      throw Refusal{error_answer(400, "bad_request", "Content-Length is one whole number.")};
    }
    length = *given;
  }
  if (length > static_cast<std::int64_t>(bounds_.body_bytes)) {
    throw Refusal{
        error_answer(413, "too_large", fmt::format("A body has at most {} MB.", bounds_.body_bytes >> 20))};
  }
  if (request.method == "GET" && request.path == "/api/events") {
    throw HandOver{number(request.get_header_value("Last-Event-ID"))};
  }
  // Answers are sent whole and as they are: no ranges of them, and no compressing while somebody waits.
  request.ranges.clear();
  const std::string codings = request.get_header_value("Accept-Encoding");
  request.headers.erase("Accept-Encoding");
  request.headers.emplace("X-Codings", codings);
  stream.head_is_read(static_cast<std::size_t>(length));
}

void HttpServer::answer(const httplib::Request& request, httplib::Response& response) {
  Answer said;
  if (request.path == "/api" || request.path.starts_with("/api/")) {
    std::map<std::string, std::string> query(request.params.begin(), request.params.end());
    said = shop_.answer({request.method, request.path, std::move(query), request.body});
  } else if (request.method == "GET" || request.method == "HEAD") {
    said = page_answer(request.path, request.get_header_value("X-Codings"),
                       request.get_header_value("If-None-Match"));
  } else {
    said = error_answer(405, "wrong_method", "The page is asked with GET.");
    said.headers.emplace_back("Allow", "GET, HEAD");
  }
  response.status = said.status;
  for (const auto& [name, value] : said.headers) {
    response.headers.erase(name);  // of the default headers: the library would send both
    response.set_header(name, value);
  }
  response.set_content(said.body, said.type);
}

}  // namespace fettle::serve
