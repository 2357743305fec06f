#pragma once

#include <cmath>
#include <compare>
#include <stdexcept>
#include <string>
#include <utility>

#include "quantity/dimension.h"

namespace fettle::quantity {

// A finite SI value of one dimension, and the text it was typed as, if a person typed it. What is written
// back is that text, so that a document keeps the units and the digits of whoever measured.
// Comparison is by SI value alone. There is no default value: a quantity that may be missing is a
// std::optional. A value that is not finite throws std::invalid_argument.
template <Dimension D>
class Quantity {
 public:
  static constexpr Dimension dimension = D;

  static Quantity from_si(double si) { return Quantity(si, {}); }
  static Quantity typed(double si, std::string text) { return Quantity(si, std::move(text)); }

  double si() const noexcept { return si_; }

  // As typed, to the byte; empty when the value did not come from a person.
  const std::string& typed() const noexcept { return typed_; }

  friend bool operator==(const Quantity& a, const Quantity& b) noexcept { return a.si_ == b.si_; }
  friend std::partial_ordering operator<=>(const Quantity& a, const Quantity& b) noexcept {
    return a.si_ <=> b.si_;
  }

 private:
  Quantity(double si, std::string text) : si_(si), typed_(std::move(text)) {
    if (!std::isfinite(si)) {
      throw std::invalid_argument("Quantity: the value of " + std::string(name_with_article(D)) +
                                  " must be finite");
    }
  }

  double si_;
  std::string typed_;
};

using Length = Quantity<Dimension::length>;
using Angle = Quantity<Dimension::angle>;
using Force = Quantity<Dimension::force>;
using SpringRate = Quantity<Dimension::rate>;
using Pressure = Quantity<Dimension::pressure>;
using Volume = Quantity<Dimension::volume>;
using Mass = Quantity<Dimension::mass>;
using Temperature = Quantity<Dimension::temperature>;
using TemperatureDifference = Quantity<Dimension::temperature_difference>;
using Torque = Quantity<Dimension::torque>;
using Duration = Quantity<Dimension::time>;
using RotationalSpeed = Quantity<Dimension::speed>;
using Velocity = Quantity<Dimension::velocity>;
using Area = Quantity<Dimension::area>;
using Flow = Quantity<Dimension::flow>;
using Power = Quantity<Dimension::power>;
using Ratio = Quantity<Dimension::ratio>;
using Viscosity = Quantity<Dimension::viscosity>;

}  // namespace fettle::quantity
