#pragma once

#include <chrono>
#include <cstdint>
#include <random>
#include <string>

namespace fettle::ledger {

using Instant = std::chrono::time_point<std::chrono::system_clock, std::chrono::milliseconds>;

/// What the ledger takes from the world besides its file. Tests put their own in its place.
class Environment {
 public:
  Environment() = default;
  Environment(const Environment&) = delete;
  Environment& operator=(const Environment&) = delete;
  virtual ~Environment() = default;

  /// The time an entry is stamped with. It may step backwards: entries are ordered by number, never by time.
  virtual Instant now() = 0;

  /// A short url-safe text that no other engine is likely to have. The ledger asks again if it is taken.
  virtual std::string new_engine_id() = 0;
};

/// The system's clock, and ids of ten characters out of 32 (50 random bits, no letter that reads as a digit).
class SystemEnvironment final : public Environment {
 public:
  Instant now() override;
  std::string new_engine_id() override;

 private:
  std::random_device random_;
};

/// UTC, ISO 8601 extended format with milliseconds: "2024-02-29T23:59:59.042Z".
/// @throws std::invalid_argument outside the years 0 to 9999
std::string iso8601(Instant instant);

}  // namespace fettle::ledger
