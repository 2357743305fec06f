#pragma once

#include <nlohmann/json.hpp>

#include "pull/pull.h"

namespace fettle::pull {

/// The result as JSON, SI units and radians (docs/pull.md names the keys). Numbers that are not there are
/// null.
nlohmann::ordered_json pull_json(const PullResult& result);

}  // namespace fettle::pull
