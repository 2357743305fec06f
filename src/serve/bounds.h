#pragma once

#include <chrono>
#include <cstddef>

namespace fettle::serve {

/// How much of a connection's time and of this machine's memory one request may take.
struct RequestBounds {
  std::size_t head_bytes = std::size_t{16} << 10;  ///< request line and headers
  std::size_t body_bytes = std::size_t{4} << 20;
  std::chrono::milliseconds idle{5000};         ///< between two requests on a connection
  std::chrono::milliseconds head_time{10000};   ///< from the first byte to the end of the headers
  std::chrono::milliseconds body_time{30000};   ///< and to the end of the body
  std::chrono::milliseconds write_time{30000};  ///< of an answer
};

}  // namespace fettle::serve
