#pragma once

#include <nlohmann/json.hpp>

#include "counsel/counsel.h"

namespace fettle::counsel {

/// Counsel as `fettle counsel --json` prints it and the page reads it (docs/api.md, "Counsel"): SI numbers
/// and radians.
nlohmann::ordered_json counsel_json(const Counsel& counsel);

}  // namespace fettle::counsel
