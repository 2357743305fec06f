#include "ledger/environment.h"

#include <array>
#include <ctime>
#include <stdexcept>
#include <string_view>

#include <fmt/chrono.h>
#include <fmt/format.h>

namespace fettle::ledger {

Instant SystemEnvironment::now() {
  return std::chrono::floor<std::chrono::milliseconds>(std::chrono::system_clock::now());
}

std::string SystemEnvironment::new_engine_id() {
  constexpr std::string_view alphabet = "abcdefghjkmnpqrstuvwxyz023456789";
  static_assert(alphabet.size() == 32);
  std::string id;
  for (int i = 0; i < 10; ++i) {
    id += alphabet[random_() % alphabet.size()];
  }
  return id;
}

std::string iso8601(Instant instant) {
  const auto second = std::chrono::floor<std::chrono::seconds>(instant);
  // Not by to_time_t, whose nanoseconds overflow in the year 2262; C++20 counts from 1970 as time_t does.
  const std::tm parts = fmt::gmtime(static_cast<std::time_t>(second.time_since_epoch().count()));
  const int year = parts.tm_year + 1900;
  if (year < 0 || year > 9999) {
    throw std::invalid_argument(fmt::format("iso8601: the year {} cannot be written with four digits", year));
  }
  return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}.{:03}Z", year, parts.tm_mon + 1, parts.tm_mday,
                     parts.tm_hour, parts.tm_min, parts.tm_sec, (instant - second).count());
}

}  // namespace fettle::ledger
