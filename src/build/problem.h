#pragma once

#include <string>
#include <vector>

namespace fettle::build {

/// One thing wrong with a document, said so that its writer can mend it: where it stands (a path such as
/// `readings[3].wheel`, or line and column for text that is no JSON at all), what was given there, what is
/// accepted, and a right example (may be empty).
struct Problem {
  std::string place;
  std::string given;
  std::string accepted;
  std::string example;

  /// "readings[3].wheel: given 41; accepted: an angle with its unit; for example "41 deg"".
  std::string message() const;
};

using Problems = std::vector<Problem>;

/// The nearest of `known` to what was typed, or empty when none is near enough to be meant.
std::string nearest(const std::string& typed, const std::vector<std::string>& known);

}  // namespace fettle::build
