#pragma once

#include <cmath>
#include <string>

#include <fmt/format.h>

namespace fettle::stations {

/// Lengths of what is written into the document: in inches or millimetres, as those were typed that they
/// stand beside.
struct LengthText {
  bool metric = false;

  static LengthText like(const std::string& typed) {
    return {typed.find("mm") != std::string::npos || typed.find("um") != std::string::npos};
  }
  /// To the ten thousandth of an inch, or to the micrometre; one digit more where the length has it.
  std::string operator()(double metres) const {
    const double steps = metres / step();
    const bool finer = std::abs(steps - std::round(steps)) > 1e-3;
    const int decimals = (metric ? 3 : 4) + (finer ? 1 : 0);
    // No minus before nought.
    const double value = std::abs(steps) < 1e-3 ? 0 : metres / (metric ? 1e-3 : 0.0254);
    return fmt::format("{:.{}f} {}", value, decimals, metric ? "mm" : "in");
  }
  /// The step that is written, m.
  double step() const { return metric ? 1e-6 : 0.0001 * 0.0254; }
};

/// A length in a sentence, for those who work in either: "0.016 in (0.41 mm)".
/// @param decimals of the inches, at least 1
inline std::string in_both(double metres, int decimals) {
  return fmt::format("{:.{}f} in ({:.{}f} mm)", metres / 0.0254, decimals, metres / 1e-3, decimals - 1);
}

}  // namespace fettle::stations
