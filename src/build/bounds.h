#pragma once

#include <optional>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "build/problem.h"

namespace fettle::build {

/// Quantities and bare numbers of one place in the document against their bounds.
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
  void check(const char* key, double number, double least, double most, const char* accepted,
             const char* example) {
    if (!(number >= least && number <= most)) {
      refuse(key, fmt::format("{}", number), accepted, example);
    }
  }
  void check(const char* key, int number, int least, int most, const char* accepted, const char* example) {
    if (number < least || number > most) {
      refuse(key, fmt::format("{}", number), accepted, example);
    }
  }
  template <class Q>
  void check(const char* key, const std::optional<Q>& quantity, double least, double most,
             const char* accepted, const char* example) {
    if (quantity) {
      check(key, *quantity, least, most, accepted, example);
    }
  }
  void refuse(const std::string& key, std::string given, std::string accepted, std::string example) {
    problems_.push_back(
        {fmt::format("{}.{}", place_, key), std::move(given), std::move(accepted), std::move(example)});
    sound_ = false;
  }
  bool sound() const { return sound_; }

 private:
  std::string place_;
  Problems& problems_;
  bool sound_ = true;
};

}  // namespace fettle::build
