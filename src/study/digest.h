#pragma once

#include <memory>
#include <string>
#include <string_view>

namespace fettle::study {

/// BLAKE2b of 256 bits (RFC 7693) over what is added, in order.
class Digest {
 public:
  Digest();
  ~Digest();
  Digest(const Digest&) = delete;
  Digest& operator=(const Digest&) = delete;

  void add(std::string_view bytes);
  /// What has been added so far; nothing may be added after.
  std::string hex();

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace fettle::study
