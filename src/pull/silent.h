#pragma once

#include <optional>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "pull/pull.h"
#include "quantity/print.h"
#include "quantity/quantity.h"

namespace fettle::pull {

/// Takes what the build says, and where it is silent a default, of which it keeps note.
class Silent {
 public:
  template <quantity::Dimension D>
  double take(const std::optional<quantity::Quantity<D>>& given, double fallback, std::string text) {
    return given ? given->si() : assume(D, fallback, std::move(text));
  }
  double take(const std::optional<double>& given, double fallback, std::string text) {
    return given ? *given : assume_number(fallback, std::move(text));
  }

  double assume(quantity::Dimension dimension, double si, std::string text) {
    if (once(text)) {
      notes_.push_back({std::move(text), dimension, si, quantity::print(si, unit_for(dimension))});
    }
    return si;
  }
  double assume_number(double value, std::string text) {
    if (once(text)) {
      notes_.push_back({std::move(text), quantity::Dimension::ratio, value, fmt::format("{:.3g}", value)});
    }
    return value;
  }
  void say(std::string text, std::string value) {
    if (once(text)) {
      notes_.push_back({std::move(text), std::nullopt, 0.0, std::move(value)});
    }
  }

  const std::vector<Assumption>& notes() const { return notes_; }

 private:
  bool once(const std::string& text) const {
    for (const Assumption& note : notes_) {
      if (note.text == text) {
        return false;
      }
    }
    return true;
  }
  static quantity::Unit unit_for(quantity::Dimension dimension) {
    return dimension == quantity::Dimension::volume
               ? quantity::unit_named(dimension, "L")
               : quantity::default_unit(dimension, quantity::System::metric);
  }

  std::vector<Assumption> notes_;
};

}  // namespace fettle::pull
