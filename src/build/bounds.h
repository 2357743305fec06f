#pragma once

#include <optional>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "build/problem.h"

namespace fettle::build {

/// Quantities of one place in the document against their bounds.
class Bounds {
 public:
  Bounds(std::string place, Problems& problems) : place_(std::move(place)), problems_(problems) {}

  template <class Q>
  void check(const char* key, const Q& quantity, double least, double most, const char* accepted,
             const char* example) {
    if (quantity.si() < least || quantity.si() > most) {
      refuse(key, fmt::format("\"{}\"", quantity.typed()), accepted, example);
    }
  }
  template <class Q>
  void check(const char* key, const std::optional<Q>& quantity, double least, double most,
             const char* accepted, const char* example) {
    if (quantity) {
      check(key, *quantity, least, most, accepted, example);
    }
  }
  /// Plain numbers.
  void check(const char* key, const std::optional<double>& number, double least, double most,
             const char* accepted, const char* example) {
    if (number && (*number < least || *number > most)) {
      refuse(key, fmt::format("{}", *number), accepted, example);
    }
  }
  void refuse(const char* key, std::string given, std::string accepted, const char* example) {
    problems_.push_back({fmt::format("{}.{}", place_, key), std::move(given), std::move(accepted), example});
    sound_ = false;
  }
  bool sound() const { return sound_; }

 private:
  std::string place_;
  Problems& problems_;
  bool sound_ = true;
};

}  // namespace fettle::build
