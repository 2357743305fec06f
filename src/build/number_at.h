#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>

#include "build/problem.h"
#include "build/types.h"
#include "quantity/dimension.h"

namespace fettle::build {

/// One number of a build that can be set without reading the document again.
struct NumberAt {
  quantity::Dimension dimension = quantity::Dimension::ratio;
  bool bare = false;  ///< a plain number in the document, no quantity with a unit
  double si = 0;      ///< as it stands
  /// Sets it, SI; throws std::invalid_argument for what is not finite. Good for as long as the build lives
  /// where it is and nothing is put into its lists.
  std::function<void(double)> set;
};

struct FoundNumber {
  std::optional<NumberAt> number;
  std::optional<Problem> problem;  ///< why there is none; its place is the path
};

/// The number at a JSON Pointer (RFC 6901) into the document, as "/gasket/thickness" or
/// "/springs/intake/rate"; a reading by its place or its id. Only what the build states can be found: a key
/// left out has no number. Whole numbers, words and texts are none either.
FoundNumber number_at(Build& build, std::string_view pointer);

}  // namespace fettle::build
