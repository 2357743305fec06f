#pragma once

#include <optional>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "build/problem.h"

namespace fettle::build {

/// Lengths and angles of one place in the document against their bounds.
class Bounds {
 public:
  Bounds(std::string place, Problems& problems) : place_(std::move(place)), problems_(problems) {}

  template <class Q>
  void check(const char* key, const Q& quantity, double least, double most, const char* accepted,
             const char* example) {
    if (quantity.si() < least || quantity.si() > most) {
      problems_.push_back(
          {fmt::format("{}.{}", place_, key), fmt::format("\"{}\"", quantity.typed()), accepted, example});
      sound_ = false;
    }
  }
  template <class Q>
  void check(const char* key, const std::optional<Q>& quantity, double least, double most,
             const char* accepted, const char* example) {
    if (quantity) {
      check(key, *quantity, least, most, accepted, example);
    }
  }
  bool sound() const { return sound_; }

 private:
  std::string place_;
  Problems& problems_;
  bool sound_ = true;
};

}  // namespace fettle::build
